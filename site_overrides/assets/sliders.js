/**
 * Sliders beside fields: moving one puts the text of its stop into the field, as if it were typed. Where a slider stands for a typed
 * text comes with the answer.
 *
 * @typedef {import("./controls.js").Control} Control
 */

import { setControl } from "./controls.js";

export class Slider {
  /**
   * @param {HTMLInputElement} range
   * @param {Control} control
   */
  constructor(range, control) {
    this.range = range;
    this.control = control;
    this.stops = /** @type {string[]} */ (JSON.parse(range.dataset.stops ?? "[]"));
    // ahead of the form, which hears of it next, on the event's way up
    range.addEventListener("input", () => {
      setControl(control, this.stops[range.valueAsNumber]);
      this.#tell();
    });
    this.#tell();
  }

  /** Moves to where the field's text lies, unless it is there already. @param {number | undefined} stop */
  follow(stop) {
    if (stop !== undefined && this.stops[this.range.valueAsNumber] !== this.control.value) this.range.value = String(stop);
    this.#tell();
  }

  #tell() {
    this.range.setAttribute("aria-valuetext", this.control.value);
  }
}

/**
 * @param {HTMLElement} section
 * @param {Map<string, Control>} controls
 */
export function slidersOf(section, controls) {
  const ranges = /** @type {NodeListOf<HTMLInputElement>} */ (section.querySelectorAll(".bp-slider"));
  return new Map([...ranges].map((range) => {
    const name = range.dataset.turns ?? "";
    return [name, new Slider(range, /** @type {Control} */ (controls.get(name)))];
  }));
}
