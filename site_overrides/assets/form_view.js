/**
 * One form of the page: reads its fields, asks for the answer, shows it or what is wrong.
 *
 * @typedef {import("./protocol.js").Answer} Answer
 * @typedef {import("./protocol.js").Refusal} Refusal
 * @typedef {import("./protocol.js").Cells} Cells
 * @typedef {import("./protocol.js").Texts} Texts
 * @typedef {import("./engine.js").Engine} Engine
 * @typedef {{ form: string, title: string, declared: Texts, defaults: Texts, cells: Record<string, string[][]>,
 *     answer: Answer }} FormData
 * @typedef {import("./controls.js").Control} Control
 */

import { pageQuery, query, readAddress } from "./address.js";
import { controlsOf, setControl } from "./controls.js";
import { element, setText } from "./dom.js";
import { Dropped } from "./engine.js";
import { ResultView, alike } from "./result_view.js";
import { slidersOf } from "./sliders.js";
import { Sounds } from "./sound.js";
import { StateLine } from "./state_line.js";
import { TableField } from "./table_field.js";

const SPEAK_AFTER = 800;
const ADDRESS_AFTER = 300;

export class FormView {
  /** Where each field's error stands, and the name of its help. @type {Map<string, { error: HTMLElement, help: string }>} */
  #notes = new Map();
  /** Fields that are asked only for some values of another. @type {{ field: HTMLElement, other: string, values: string[] }[]} */
  #wanted = [];
  /** @type {Map<string, TableField>} */
  #tables = new Map();
  /** @type {string[]} */
  #complaints = [];
  #asked = 0;
  /** The latest question whose answer is shown. */
  #answered = 0;
  /** Whether an answer is being waited for. */
  #waits = false;
  /** Whether the calculations failed before they answered. */
  #owing = false;
  #speakTimer = 0;
  #addressTimer = 0;

  /**
   * @param {HTMLElement} section
   * @param {Engine} engine
   * @param {string} prefix  before its fields' names in the page's address; empty for the page's first form
   * @param {string[]} prefixes  of all forms of the page
   */
  constructor(section, engine, prefix, prefixes) {
    this.section = section;
    this.engine = engine;
    this.prefix = prefix;
    this.prefixes = prefixes;
    this.form = /** @type {HTMLFormElement} */ (this.#part("form"));
    this.data = /** @type {FormData} */ (JSON.parse(this.#part(".bp-data").textContent ?? ""));
    this.state = new StateLine(this.#part(".bp-state"), engine);
    this.controls = controlsOf(section);
    this.sliders = slidersOf(section, this.controls);
    this.result = new ResultView(this.#part(".bp-result"), this.data.answer, (form) => this.#pageOf(form));
    for (const [name, { id }] of this.controls) {
      const help = section.querySelector(`#${CSS.escape(`${id}-help`)}`)?.id ?? "";
      this.#notes.set(name, { error: this.#part(`#${CSS.escape(`${id}-error`)}`), help });
    }
    for (const field of /** @type {NodeListOf<HTMLElement>} */ (section.querySelectorAll("[data-when-field]"))) {
      this.#wanted.push({ field, other: field.dataset.whenField ?? "", values: JSON.parse(field.dataset.whenValues ?? "[]") });
    }
    for (const [name, rows] of Object.entries(this.data.cells)) {
      const area = /** @type {HTMLTextAreaElement} */ (this.controls.get(name));
      this.#tables.set(name, new TableField(area, rows, (text) => this.#split(name, text)));
    }
    this.form.addEventListener("submit", (event) => event.preventDefault());
    const result = this.#part(".bp-result");
    section.addEventListener("input", ({ target }) => { // of the whole section: some fields stand outside the form's own box
      if (!result.contains(/** @type {Node} */ (target))) this.#edited();
    });
    engine.watch(({ state }) => {
      if (state === "ready" && this.#owing) this.run();
      else if (state === "ready" && this.#waits) this.state.working(true);
    });
    document.addEventListener("bp:leave", () => this.#keepAddress());
    window.addEventListener("pagehide", () => this.#keepAddress());
    section.addEventListener("change", () => this.#keepAddress()); // a field is left, a slider let go
    window.addEventListener("popstate", () => this.#keepAddress()); // back within the page: what stands in the fields is newer
    this.sounds = new Sounds({ engine, form: this.data.form, texts: () => this.texts() });
    this.sounds.keep(this.#soundFigures(), this.data.answer);
    this.#showWanted();
    this.#openAddress();
  }

  /** What stands in the fields. @returns {Texts} */
  texts() {
    return Object.fromEntries([...this.controls].map(([name, control]) => [name, control.value]));
  }

  /** The address of this form's own page with these values. */
  link() {
    return this.#pageOf(this.data.form) + query(this.texts(), this.data.declared);
  }

  /** The address of a form's own page, which is a file in the folder edition. @param {string} form */
  #pageOf(form) {
    return this.form.action.split("?")[0].replace(`/forms/${this.data.form}/`, `/forms/${form}/`);
  }

  /** @param {Texts} texts  The rest becomes as at first. */
  setTexts(texts) {
    for (const [name, control] of this.controls) {
      const text = texts[name] ?? this.data.defaults[name];
      const table = this.#tables.get(name);
      if (table && text === this.data.defaults[name]) table.setRows(text, this.data.cells[name]);
      else if (table) table.setText(text);
      else setControl(control, text);
    }
    this.#edited();
  }

  /** @param {string[]} sentences */
  complain(sentences) {
    this.#complaints = sentences;
    this.#notice(sentences);
  }

  /** Asks for the answer to what stands in the fields, and shows it. */
  async run() {
    const texts = this.texts();
    const mine = ++this.#asked;
    this.#owing = false;
    this.#waits = true;
    this.state.working(true);
    try {
      const json = await this.engine.ask({ kind: "run", form: this.data.form, texts }, this, (fraction) => this.state.comeTo(fraction));
      if (mine < this.#answered) return;
      this.#answered = mine; // while a slider moves, later questions are under way already: each answer shows all the same
      const answer = /** @type {Answer | Refusal} */ (JSON.parse(json));
      if (answer.ok) this.#show(answer);
      else this.#refuse(answer);
      if (mine === this.#asked) {
        this.#speak(answer.ok ? answer.sentence : Object.entries(answer.errors).find(([name]) => this.controls.has(name))?.[1] ?? "");
        if (answer.ok) for (const [name, slider] of this.sliders) slider.follow(answer.stops[name]);
      }
      this.section.dispatchEvent(new CustomEvent("bp:answer", { detail: { texts, answer } }));
    } catch (error) {
      if (mine !== this.#asked) return;
      this.#outOfDate(true);
      if (error instanceof Dropped) this.complain(["Stopped. Change a value to calculate again."]);
      else if (this.engine.status.state === "failed") this.#owing = true;
      else this.complain([`No answer: ${error instanceof Error ? error.message : String(error)}.`]);
    } finally {
      if (mine === this.#asked) {
        this.#waits = false;
        this.state.working(false);
        this.#part(".bp-result").removeAttribute("aria-busy");
      }
    }
  }

  /** Runs the calculation once unseen, so that the reader's first change is answered at once. */
  warmUp() {
    if (this.#asked === 0) this.engine.ask({ kind: "run", form: this.data.form, texts: this.texts() }, this).catch(() => {});
  }

  #openAddress() {
    const { texts, complaints } = readAddress(location.search, [...this.controls.keys()], this.prefix, this.prefixes);
    // what was typed before this script ran, or was put back by the browser, is newer than the address
    const typed = Object.fromEntries(Object.entries(this.texts()).filter(([name, text]) => text !== this.data.defaults[name]));
    const wanted = { ...texts, ...typed };
    if (Object.entries(wanted).some(([name, text]) => text !== this.data.defaults[name])) this.setTexts(wanted);
    if (complaints.length) this.complain(complaints);
  }

  #edited() {
    this.#complaints = [];
    this.#showWanted();
    clearTimeout(this.#speakTimer);
    this.#part(".bp-spoken").textContent = "";
    this.section.dispatchEvent(new Event("bp:edit"));
    this.#part(".bp-result").setAttribute("aria-busy", "true");
    if (this.engine.status.state !== "ready") this.#outOfDate(true);
    this.run();
    clearTimeout(this.#addressTimer);
    this.#addressTimer = setTimeout(() => this.#keepAddress(), ADDRESS_AFTER);
  }

  #keepAddress() {
    const search = pageQuery(location.search, this.texts(), this.data.defaults, this.prefix, this.prefixes);
    history.replaceState(history.state, "", location.pathname + search + location.hash);
  }

  /** Shows the fields that are asked for these values, and hides the others. */
  #showWanted() {
    for (const { field, other, values } of this.#wanted) field.hidden = !values.includes(this.controls.get(other)?.value.trim() ?? "");
    for (const group of /** @type {NodeListOf<HTMLElement>} */ (this.section.querySelectorAll(".bp-group"))) {
      group.hidden = !group.querySelector(".bp-field:not([hidden])");
    }
  }

  /** @param {Answer} answer */
  #show(answer) {
    this.#mark({ ok: false, errors: {}, cells: [] });
    this.#outOfDate(false);
    setText(this.#part(".bp-sentence"), answer.sentence);
    this.result.show(answer);
    this.sounds.keep(this.#soundFigures(), answer);
  }

  /** @param {Refusal} refusal */
  #refuse(refusal) {
    this.#mark(refusal);
    this.#outOfDate(true);
  }

  /** Puts each error beside its field, and takes away those that are mended. @param {Refusal} refusal */
  #mark({ errors, cells }) {
    for (const [name, control] of this.controls) {
      const message = errors[name] ?? "";
      const { error, help } = /** @type {{ error: HTMLElement, help: string }} */ (this.#notes.get(name));
      if (error.textContent !== message) {
        error.textContent = message;
        error.hidden = !message;
        setOrRemove(control, "aria-invalid", message && "true");
        setOrRemove(control, "aria-describedby", [help, message && error.id].filter(Boolean).join(" "));
      }
      this.#tables.get(name)?.mark(cells.filter((cell) => cell.field === name), error.id);
    }
    const homeless = Object.entries(errors).filter(([name]) => !this.controls.has(name)).map(([, message]) => message);
    this.#notice([...this.#complaints, ...homeless]);
  }

  /** @param {string[]} sentences */
  #notice(sentences) {
    const place = this.#part(".bp-answer .bp-notice");
    if (alike(sentences, [...place.children].map((sentence) => sentence.textContent))) return; // it is said anew if it is put there anew
    place.replaceChildren(...sentences.map((sentence) => element(document, "p", {}, sentence)));
    place.hidden = sentences.length === 0;
  }

  /** @param {boolean} old */
  #outOfDate(old) {
    this.#part(".bp-answer").classList.toggle("bp-answer--old", old);
    this.#part(".bp-stale").hidden = !old;
  }

  /** Speaks once the reader has paused, not at every keystroke. @param {string} sentence */
  #speak(sentence) {
    clearTimeout(this.#speakTimer);
    this.#speakTimer = setTimeout(() => { this.#part(".bp-spoken").textContent = sentence; }, SPEAK_AFTER);
  }

  #soundFigures() {
    return /** @type {HTMLElement[]} */ ([...this.section.querySelectorAll(".bp-sound")]);
  }

  /**
   * @param {string} field
   * @param {string} text
   * @returns {Promise<string[][]>}
   */
  async #split(field, text) {
    const json = await this.engine.ask({ kind: "cells", form: this.data.form, field, text }, this);
    const found = /** @type {Cells | Refusal} */ (JSON.parse(json));
    if (!found.ok) throw new Error(found.errors[field]);
    return found.rows;
  }

  /**
   * @param {string} selector
   * @returns {HTMLElement}
   */
  #part(selector) {
    const found = this.section.querySelector(selector);
    if (!found) throw new Error(`the form has no ${selector}`);
    return /** @type {HTMLElement} */ (found);
  }
}

/**
 * @param {Pick<Element, "setAttribute" | "removeAttribute">} place
 * @param {string} name
 * @param {string} value
 */
function setOrRemove(place, name, value) {
  if (value) place.setAttribute(name, value);
  else place.removeAttribute(name);
}
