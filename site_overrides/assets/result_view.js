/**
 * The parts of an answer as they stand in the page. A later answer changes only what it says otherwise.
 *
 * @typedef {import("./protocol.js").Answer} Answer
 * @typedef {{ data: unknown, shown: HTMLElement }} Shown
 */

import { partsOf } from "./result.js";
import { tendScrollers } from "./scrollers.js";

const NARROWEST = 300;
const WIDEST = 720;

export class ResultView {
  /** What stands there, by name. @type {Map<string, Shown>} */
  #parts = new Map();
  #width = 0;

  /**
   * @param {HTMLElement} place
   * @param {Answer} answer  that stands there from the beginning
   * @param {(form: string) => string} formAddress  of a form's own page
   */
  constructor(place, answer, formAddress) {
    this.place = place;
    this.formAddress = formAddress;
    const shown = /** @type {HTMLElement[]} */ ([...place.children]);
    partsOf(answer).forEach(({ name, data, kind }, index) => {
      this.#parts.set(name, { data, shown: shown[index] });
      kind.enliven?.(shown[index], data);
    });
    // asked for in good time: while an answer is being put in, asking would have the page laid out half way
    new ResizeObserver(([{ contentRect }]) => { this.#width = contentRect.width; }).observe(place);
  }

  /** @param {Answer} answer */
  show(answer) {
    const width = Math.min(Math.max(Math.floor(this.#width || this.place.clientWidth), NARROWEST), WIDEST);
    const tools = { document, widths: () => [width], formAddress: this.formAddress };
    /** @type {Map<string, Shown>} */
    const parts = new Map();
    for (const { name, data, kind } of partsOf(answer)) {
      const before = this.#parts.get(name);
      const same = before !== undefined && alike(before.data, data);
      const kept = before !== undefined && (same || kind.renew(before.shown, data, tools, before.data));
      const shown = kept ? before.shown : kind.make(data, tools);
      if (!same) kind.enliven?.(shown, data);
      if (!kept) tendScrollers(shown);
      parts.set(name, { data, shown });
    }
    this.#parts = parts;
    this.#arrange([...parts.values()].map(({ shown }) => shown));
  }

  /** Moves nothing that stands right: what is moved loses the focus. @param {HTMLElement[]} wanted */
  #arrange(wanted) {
    const keep = new Set(wanted);
    for (const child of [...this.place.childNodes]) if (!keep.has(/** @type {HTMLElement} */ (child))) child.remove();
    wanted.forEach((shown, index) => {
      const standing = this.place.childNodes[index];
      if (standing !== shown) this.place.insertBefore(shown, standing ?? null);
    });
  }
}

/**
 * Whether two pieces of JSON say the same.
 *
 * @param {unknown} one
 * @param {unknown} other
 * @returns {boolean}
 */
export function alike(one, other) {
  if (one === other) return true;
  if (typeof one !== "object" || typeof other !== "object" || one === null || other === null) return false;
  if (Array.isArray(one)) {
    return Array.isArray(other) && one.length === other.length && one.every((entry, index) => alike(entry, other[index]));
  }
  const [left, right] = [/** @type {Record<string, unknown>} */ (one), /** @type {Record<string, unknown>} */ (other)];
  const names = Object.keys(left);
  return names.length === Object.keys(right).length && names.every((name) => alike(left[name], right[name]));
}
