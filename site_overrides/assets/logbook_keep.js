/**
 * "Keep in logbook" below a form: asks for a title, a date and notes, and keeps what stands in the fields with the answer's sentence.
 *
 * @typedef {import("./form_view.js").FormView} FormView
 */

import { element } from "./dom.js";
import { Draft, HERE_AGAIN } from "./logbook_draft.js";
import { checkedEntry, newId, today } from "./logbook_file.js";
import { dateLine, notesBox, titleLine } from "./logbook_fields.js";
import { LogbookStore } from "./logbook_store.js";

/**
 * The part of the page in which it is done, closed.
 *
 * @param {FormView} view
 * @param {() => string} sentence  of the answer to what stands in the fields, or empty
 * @param {HTMLElement} said
 * @param {HTMLElement} button  that opens it, and has the focus again
 */
export function keepPart(view, sentence, said, button) {
  const store = new LogbookStore((told) => { said.textContent = told; });
  const title = titleLine(view.data.title);
  const date = dateLine(today());
  const notes = notesBox("");
  const keep = element(document, "button", { type: "button", class: "bp-button" }, "Keep");
  const cancel = element(document, "button", { type: "button", class: "bp-button" }, "Cancel");
  const part = element(document, "div", { class: "bp-keep", role: "group", "aria-label": "Keep in the logbook", hidden: true },
    title.field, date.field, notes.field, element(document, "div", { class: "bp-buttons" }, keep, cancel));
  const controls = { title: title.control, date: date.control, notes: notes.control };
  const draft = new Draft(`form ${view.prefix}${view.data.form}`, part, controls);
  let again = draft.restore();
  draft.followDays();
  part.addEventListener("input", (event) => event.stopPropagation()); // it is not the form's: nothing is to be calculated
  part.addEventListener("keydown", (event) => {
    if (event.isComposing) return;
    if (event.key === "Escape") close();
    if (event.key !== "Enter" || event.target instanceof HTMLTextAreaElement || event.target instanceof HTMLButtonElement) return;
    event.preventDefault();
    void save();
  });
  keep.addEventListener("click", () => save());
  cancel.addEventListener("click", () => {
    draft.discard();
    close();
  });

  const close = () => {
    part.hidden = true;
    button.setAttribute("aria-expanded", "false");
    button.focus();
  };
  const save = async () => {
    try {
      const entry = checkedEntry({
        id: newId(), kind: "design", title: title.control.value.trim() || view.data.title, date: date.control.value,
        notes: notes.control.value, form: view.data.form, fields: view.texts(), answer: sentence(),
      }, [view.data.form]);
      const { same } = await store.add([entry]);
      notes.control.value = "";
      draft.done();
      close();
      const what = same.length ? "The logbook has this entry already, word for word." : `Kept in the logbook as “${entry.title}”.`;
      said.replaceChildren(`${what} `, element(document, "a", { href: logbookAddress(view.form.action) }, "Open the logbook"));
    } catch (error) {
      said.textContent = error instanceof Error ? error.message : String(error);
    }
  };
  return {
    part,
    toggle() {
      if (!part.hidden) return close();
      draft.renew();
      if (again) said.textContent = HERE_AGAIN;
      again = false;
      part.hidden = false;
      button.setAttribute("aria-expanded", "true");
      title.control.select();
    },
  };
}

/** @param {string} own  the address of the form's own page, which in the folder edition is a file */
function logbookAddress(own) {
  const at = new URL(own);
  return new URL(`../../logbook/${at.pathname.endsWith("/index.html") ? "index.html" : ""}`, at).href;
}
