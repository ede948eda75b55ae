/**
 * One entry of the logbook in its page: as it is read, and as it is changed.
 *
 * @typedef {import("./logbook_file.js").Entry} Entry
 * @typedef {{ title: string, fields: Record<string, { label: string, usual: string, choices: Record<string, string> }> }} FormNames
 * @typedef {Record<string, FormNames>} Forms
 * @typedef {{ edit(): void, remove(): void, address(form: string): string }} Doings
 */

import { query } from "./address.js";
import { element } from "./dom.js";
import { Draft } from "./logbook_draft.js";
import { dateLine, notesBox, textBox, titleLine } from "./logbook_fields.js";

/** @param {Entry} entry @param {Forms} forms */
export function kindOf(entry, forms) {
  return entry.kind === "reading" ? "Readings" : forms[entry.form]?.title ?? entry.form;
}

/**
 * What was asked otherwise than usual, in the form's own words.
 *
 * @param {Entry} entry
 * @param {Forms} forms
 * @returns {[label: string, text: string][]}
 */
export function askedOf(entry, forms) {
  if (entry.kind === "reading") return [];
  const known = forms[entry.form]?.fields ?? {};
  return Object.entries(entry.fields).filter(([name, text]) => text !== known[name]?.usual).map(([name, text]) =>
    [known[name]?.label ?? name, (known[name] && Object.hasOwn(known[name].choices, text) ? known[name].choices[text] : text)]);
}

/** All its words, for the search. @param {Entry} entry @param {Forms} forms */
export function wordsOf(entry, forms) {
  const own = entry.kind === "reading" ? [entry.text] : [entry.answer, ...askedOf(entry, forms).flat()];
  return folded([entry.title, entry.date, entry.notes, kindOf(entry, forms), ...own].join("\n"));
}

/** As letters are compared: whatever their case or their way of being written. @param {string} text */
export function folded(text) {
  return text.normalize("NFKC").toLocaleLowerCase();
}

/**
 * @param {Entry} entry
 * @param {Forms} forms
 * @param {Doings} doings
 */
export function entryView(entry, forms, doings) {
  const title = entry.title || "Untitled";
  const asked = askedOf(entry, forms);
  const edit = button("Edit", `Edit “${title}”`, doings.edit);
  return element(document, "article", { class: "bp-log-entry", "aria-label": title },
    element(document, "h3", {}, title),
    element(document, "p", { class: "bp-log-line" }, element(document, "time", { datetime: entry.date }, entry.date), ` · ${kindOf(entry, forms)}`),
    entry.kind === "design" && entry.answer && element(document, "p", { class: "bp-log-answer" }, entry.answer),
    entry.kind === "reading" && entry.text && element(document, "p", { class: "bp-log-text" }, entry.text),
    entry.notes && element(document, "p", { class: "bp-log-notes" }, entry.notes),
    asked.length > 0 && element(document, "details", { class: "bp-log-asked" }, element(document, "summary", {}, "What was entered"),
      element(document, "dl", {}, ...asked.flatMap(([label, text]) => [element(document, "dt", {}, label), element(document, "dd", {}, text)]))),
    entry.kind === "design" && asked.length === 0 && element(document, "p", { class: "bp-log-line" }, "All fields as they are at first."),
    element(document, "div", { class: "bp-buttons" },
      entry.kind === "design" && element(document, "a", { class: "bp-button", href: linkOf(entry, forms, doings), "aria-label": `Open in its form: “${title}”` }, "Open in its form"),
      edit, button("Delete", `Delete “${title}”`, doings.remove)));
}

/**
 * @param {import("./logbook_file.js").Design} entry
 * @param {Forms} forms
 * @param {Doings} doings
 */
function linkOf(entry, forms, doings) {
  const usual = Object.fromEntries(Object.entries(forms[entry.form]?.fields ?? {}).map(([name, field]) => [name, field.usual]));
  return doings.address(entry.form) + query(entry.fields, usual);
}

/**
 * The same with its texts to be changed, or as they were typed before the page was left. `save` gives what went wrong, or nothing.
 *
 * @param {Entry} entry
 * @param {{ save(changed: Entry): Promise<string>, cancel(): void }} doings
 */
export function entryEditor(entry, doings) {
  const title = titleLine(entry.title);
  const date = dateLine(entry.date);
  const notes = notesBox(entry.notes);
  const text = entry.kind === "reading" ? textBox("Readings", "text", entry.text) : undefined;
  const wrong = element(document, "p", { class: "bp-error", role: "alert" });
  const cancel = () => {
    draft.discard();
    doings.cancel();
  };
  let left = /** @type {HTMLElement} */ (title.control); // where the focus was before the question
  const surely = question("Throw away what you typed?", "Throw away what you typed?", {
    "No, keep it": () => {
      surely.hidden = true;
      left.focus();
    },
    "Yes, throw it away": cancel,
  });
  const form = element(document, "form", { class: "bp-log-entry bp-log-editor", novalidate: true, "aria-label": `Edit “${entry.title || "Untitled"}”` },
    title.field, date.field, text?.field ?? null, notes.field, wrong, surely,
    element(document, "div", { class: "bp-buttons" }, element(document, "button", { type: "submit", class: "bp-button" }, "Save"),
      button("Cancel", "Cancel", cancel)));
  const controls = { title: title.control, date: date.control, notes: notes.control };
  const draft = new Draft(`entry ${entry.id}`, form, text ? { ...controls, text: text.control } : controls, entry);
  draft.restore();
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const changed = { ...entry, title: title.control.value.trim(), date: date.control.value, notes: notes.control.value };
    wrong.textContent = await doings.save(changed.kind === "reading" ? { ...changed, text: text?.control.value ?? "" } : changed);
    if (!wrong.textContent) draft.done();
  });
  form.addEventListener("keydown", (event) => {
    if (event.key !== "Escape" || event.isComposing) return;
    if (!draft.typed) return cancel();
    left = /** @type {HTMLElement} */ (event.target);
    surely.hidden = false;
    surely.querySelector("button")?.focus();
  });
  return form;
}

/**
 * A question, hidden until it is asked. Escape is the first answer.
 *
 * @param {string} name
 * @param {string} words
 * @param {Record<string, () => void>} answers
 */
export function question(name, words, answers) {
  const buttons = Object.entries(answers).map(([text, act]) => button(text, text, act));
  const part = element(document, "div", { class: "bp-notice bp-log-surely", role: "group", "aria-label": name, hidden: true },
    element(document, "p", {}, words), element(document, "div", { class: "bp-buttons" }, ...buttons));
  part.addEventListener("keydown", (event) => {
    if (event.key !== "Escape") return;
    event.stopPropagation();
    buttons[0].click();
  });
  return part;
}

/**
 * @param {string} text
 * @param {string} name  for those who hear it without its place on the page
 * @param {() => void} act
 */
export function button(text, name, act) {
  const made = element(document, "button", { type: "button", class: "bp-button", "aria-label": name === text ? null : name }, text);
  made.addEventListener("click", act);
  return made;
}
