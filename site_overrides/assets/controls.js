/**
 * A form's controls by name, wherever they stand on the page: each holds a text.
 *
 * @typedef {HTMLInputElement | HTMLSelectElement | HTMLTextAreaElement} TextControl
 * @typedef {TextControl | Choices} Control
 */

import { element } from "./dom.js";

/** Buttons of which one is pressed, as one control. */
export class Choices {
  /** @param {HTMLElement} group */
  constructor(group) {
    this.group = group;
    this.id = group.id;
    this.name = this.#buttons()[0].name;
  }

  get value() {
    return this.#buttons().find((button) => button.checked)?.value ?? "";
  }

  set value(text) {
    for (const button of this.#buttons()) button.checked = button.value === text;
  }

  /** @param {string} text */
  offers(text) {
    return this.#buttons().some((button) => button.value === text);
  }

  /** Adds a choice that is none of the form's own, so that what is wrong can be seen. @param {string} text */
  add(text) {
    const label = /** @type {HTMLElement} */ (this.#buttons()[0].closest("label"));
    const added = /** @type {HTMLElement} */ (label.cloneNode(true));
    const button = /** @type {HTMLInputElement} */ (added.querySelector("input"));
    button.value = text;
    button.removeAttribute("checked");
    button.removeAttribute("id");
    added.removeAttribute("for");
    /** @type {Element} */ (added.querySelector("span")).textContent = text;
    label.parentElement?.append(added);
  }

  /** @param {string} name @param {string} value */
  setAttribute(name, value) {
    this.group.setAttribute(name, value);
  }

  /** @param {string} name */
  removeAttribute(name) {
    this.group.removeAttribute(name);
  }

  #buttons() {
    return /** @type {HTMLInputElement[]} */ ([...this.group.querySelectorAll("input")]);
  }
}

/**
 * @param {HTMLElement} section
 * @returns {Map<string, Control>}
 */
export function controlsOf(section) {
  /** @type {Map<string, Control>} */
  const found = new Map();
  for (const control of /** @type {NodeListOf<TextControl>} */ (section.querySelectorAll("[name]"))) {
    if (control.type !== "radio") found.set(control.name, control);
    else if (!found.has(control.name)) found.set(control.name, new Choices(/** @type {HTMLElement} */ (control.closest(".bp-question"))));
  }
  return found;
}

/**
 * A closed list keeps a text that is none of its choices, so that what is wrong can be seen.
 *
 * @param {Control} control
 * @param {string} text
 */
export function setControl(control, text) {
  if (control instanceof HTMLSelectElement && ![...control.options].some((option) => option.value === text)) {
    control.append(element(document, "option", { value: text }, text));
  } else if (control instanceof Choices && !control.offers(text)) {
    control.add(text);
  }
  control.value = text;
}
