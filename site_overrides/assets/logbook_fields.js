/** What is typed into an entry of the logbook: its title, its date, its notes. Each a label with its control. */

import { element, newName } from "./dom.js";
import { LONGEST } from "./logbook_file.js";

/**
 * @template {HTMLElement} C
 * @param {string} label
 * @param {C} control
 */
export function labelled(label, control) {
  control.id = newName("log");
  return { control, field: element(document, "div", { class: "bp-log-field" }, element(document, "label", { for: control.id }, label), control) };
}

/** @param {string} text */
export function titleLine(text) {
  const control = element(document, "input", { type: "text", class: "bp-control", maxlength: String(LONGEST.title), autocomplete: "off" });
  control.value = text;
  return labelled("Title", control);
}

/** @param {string} date */
export function dateLine(date) {
  const control = element(document, "input", { type: "date", class: "bp-control", max: "9999-12-31", required: true });
  control.value = date;
  return labelled("Date", control);
}

/** @param {string} text */
export function notesBox(text) {
  return textBox("Notes", "notes", text);
}

/**
 * @param {string} label
 * @param {"notes" | "text"} kind
 * @param {string} text
 */
export function textBox(label, kind, text) {
  const control = element(document, "textarea", { class: "bp-control bp-log-words", rows: "3", maxlength: String(LONGEST[kind]) });
  control.value = text;
  return labelled(label, control);
}
