/**
 * What is typed into the logbook and not kept yet. It outlives a reload, a new version of the site and the way back, in this tab alone.
 * Where the browser lets nothing be kept, or has no room, it is typed all the same.
 *
 * @typedef {{ [name: string]: { value: string }, date: { value: string } }} Controls
 */

import { isRecord } from "./design_file.js";
import { today } from "./logbook_file.js";

/** Before the names of this page's drafts. */
const PAGE = `borrowed-power-logbook ${location.pathname} `;
export const HERE_AGAIN = "What you had typed is here again.";

export class Draft {
  /** What stood there before anything was typed. @type {Record<string, string>} */
  #start = {};

  /**
   * @param {string} name  unlike those of the page's other drafts
   * @param {HTMLElement} part  in which it is typed
   * @param {Controls} controls
   * @param {unknown} [was]  what it changes
   */
  constructor(name, part, controls, was) {
    this.key = PAGE + name;
    this.controls = controls;
    this.was = was;
    this.day = controls.date.value; // which nobody chose
    this.#begin();
    part.addEventListener("input", () => this.#keep());
  }

  /** Whether anything differs from what was there. */
  get typed() {
    return Object.entries(this.#texts()).some(([name, text]) => text !== this.#start[name]);
  }

  /** Puts back what was typed before the page was left; tells whether there was anything. */
  restore() {
    const kept = read(this.key);
    if (!isRecord(kept) || !isRecord(kept.texts)) return false;
    for (const [name, control] of Object.entries(this.controls)) {
      const text = kept.texts[name];
      if (typeof text === "string") control.value = text;
    }
    this.day = String(kept.day);
    return true;
  }

  /** It is in the logbook. What stands there now is what comes before the next. */
  done() {
    this.#begin();
    this.#forget();
  }

  /** It is not wanted. */
  discard() {
    for (const [name, control] of Object.entries(this.controls)) control.value = this.#start[name];
    this.#forget();
  }

  /** A date that nobody chose becomes today's; but what has been begun keeps its day. */
  renew() {
    if (this.typed || this.controls.date.value !== this.day) return;
    this.day = today();
    this.controls.date.value = this.day;
    this.#begin();
  }

  /** Does so whenever the reader comes back to the page. */
  followDays() {
    window.addEventListener("focus", () => this.renew());
    document.addEventListener("visibilitychange", () => document.hidden || this.renew());
  }

  #begin() {
    this.#start = this.#texts();
  }

  #texts() {
    return Object.fromEntries(Object.entries(this.controls).map(([name, { value }]) => [name, value]));
  }

  #keep() {
    if (!this.typed) return this.#forget();
    try {
      sessionStorage.setItem(this.key, JSON.stringify({ texts: this.#texts(), day: this.day, was: this.was }));
    } catch {
      // it stands in the page still
    }
  }

  #forget() {
    try {
      sessionStorage.removeItem(this.key);
    } catch {
      // nothing was kept
    }
  }
}

/** What the drafts of this page were to change. @returns {unknown[]} */
export function drafted() {
  try {
    return Object.keys(sessionStorage).filter((key) => key.startsWith(PAGE)).map(read)
      .flatMap((kept) => (isRecord(kept) && kept.was !== undefined ? [kept.was] : []));
  } catch {
    return [];
  }
}

/** @param {string} key @returns {unknown} */
function read(key) {
  try {
    return JSON.parse(sessionStorage.getItem(key) ?? "null");
  } catch {
    return null;
  }
}
