/**
 * The buttons below a form: copy its link or its answer as text, show the link as a QR code, set it back, save and open a design, keep it
 * in the logbook.
 *
 * @typedef {import("./form_view.js").FormView} FormView
 */

import { isBare, query } from "./address.js";
import { answerText } from "./answer_text.js";
import { designText, open, save } from "./design_file.js";
import { button, element } from "./dom.js";
import { linkCode } from "./link_code.js";

/** A file's address means nothing to a telephone, so that the folder edition draws no code of it. */
const inFolder = location.protocol === "file:";

/** @param {FormView} view */
export function addTools(view) {
  const said = element(document, "p", { class: "bp-said", role: "status" });
  const link = element(document, "input", { type: "text", class: "bp-control bp-link", readonly: true, hidden: true, "aria-label": "Link to this form" });
  const words = element(document, "textarea", { class: "bp-control", rows: "8", readonly: true, hidden: true, "aria-label": "The answer as text" });
  const code = element(document, "div", { hidden: true });
  const file = element(document, "input", { type: "file", accept: ".json,application/json", hidden: true });
  const names = [...view.controls.keys()];
  let coded = "";

  /** The answer that is shown, and what stood in the fields for it. */
  let shown = { texts: view.data.defaults, answer: view.data.answer };
  view.section.addEventListener("bp:answer", (event) => {
    const { detail } = /** @type {CustomEvent} */ (event);
    if (detail.answer.ok) shown = detail;
  });
  view.section.addEventListener("bp:edit", () => { // what no longer holds is put away
    const now = view.link();
    if (coded !== now) code.hidden = true;
    if (link.value !== now) link.hidden = true;
    words.hidden = true;
  });

  /**
   * @param {HTMLInputElement | HTMLTextAreaElement} byHand  where it can be copied from if the browser does not let us
   * @param {string} text
   * @param {"Link" | "Text"} what
   */
  const hand = async (byHand, text, what) => {
    try {
      await navigator.clipboard.writeText(text);
      byHand.hidden = true;
      said.textContent = `${what} copied.`;
    } catch {
      byHand.value = text;
      byHand.hidden = false;
      byHand.select();
      said.textContent = `Copy the ${what.toLowerCase()} from here:`;
    }
  };
  const copy = button(document, inFolder ? "Copy file address" : "Copy link", () => hand(link, view.link(), "Link"));
  const copyText = button(document, "Copy as text", () => {
    const address = view.form.action.split("?")[0] + query(shown.texts, view.data.declared);
    hand(words, answerText(view.data.title, asked(view, shown.texts), shown.answer, address), "Text");
  });
  const show = button(document, "QR code", async () => {
    coded = view.link();
    const drawn = code.hidden ? await linkCode(coded).catch(() => undefined) : undefined;
    if (drawn === null) said.textContent = "This link is too long for a QR code; copy it, or save the design.";
    else if (drawn === undefined && code.hidden) said.textContent = "What draws the code could not be fetched.";
    else said.textContent = "";
    code.replaceChildren(...(drawn ? [drawn] : []));
    code.hidden = !drawn || coded !== view.link();
  });
  const reset = button(document, "Reset to defaults", () => {
    view.setTexts({});
    said.textContent = "All fields are as at first.";
  });
  const keep = button(document, "Save design", () => {
    save(`${view.data.form}-design.json`, designText(view.data.form, view.texts()));
    said.textContent = "Design saved as a file.";
  });
  const fetchBack = button(document, "Open design", () => file.click());
  /** @type {ReturnType<typeof import("./logbook_keep.js").keepPart> | undefined} */
  let book;
  const keepInBook = button(document, "Keep in logbook", async () => {
    try {
      if (!book) {
        const { keepPart } = await import("./logbook_keep.js");
        book ??= keepPart(view, sentence, said, keepInBook);
        said.after(book.part);
      }
      said.textContent = "";
      book.toggle();
    } catch {
      said.textContent = "A part of the logbook could not be fetched. Try again when there is a connection.";
    }
  });
  keepInBook.setAttribute("aria-expanded", "false");
  /** The first sentence of the answer, if it is that to what stands in the fields. */
  const sentence = () => {
    const texts = view.texts();
    return Object.entries(texts).every(([name, text]) => shown.texts[name] === text) ? shown.answer.sentence : "";
  };
  file.addEventListener("change", async () => {
    const chosen = file.files?.[0];
    if (!chosen) return;
    try {
      view.setTexts({ ...view.data.declared, ...(await open(chosen, view.data.form, names)) });
      said.textContent = `${chosen.name} opened.`;
    } catch (error) {
      said.textContent = "";
      view.complain([error instanceof Error ? error.message : String(error)]);
    }
    file.value = "";
  });

  view.form.append(element(document, "div", { class: "bp-tools" },
    element(document, "div", { class: "bp-buttons" }, copy, copyText, ...(inFolder ? [] : [show]), reset, keep, fetchBack, ...(isBare() ? [] : [keepInBook])), said, link, words, code, file));
}

/**
 * What is asked for these texts, by the labels of the fields.
 *
 * @param {FormView} view
 * @param {import("./protocol.js").Texts} texts
 * @returns {[label: string, text: string][]}
 */
function asked(view, texts) {
  return Object.entries(texts).flatMap(([name, text]) => {
    const field = /** @type {HTMLElement} */ (view.section.querySelector(`[data-field="${CSS.escape(name)}"]`));
    if (field.hidden || field.closest(".bp-prints")) return []; // what stands on paper says it there
    const choice = [...field.querySelectorAll("option, input[type=radio]")].find((entry) => /** @type {any} */ (entry).value === text);
    const label = field.querySelector("label, legend")?.textContent?.trim() ?? name;
    return [[label, (choice?.closest("label, option")?.textContent ?? text).trim()]];
  });
}
