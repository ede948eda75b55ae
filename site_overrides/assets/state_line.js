/**
 * The line above an answer that says how the calculations are: starting, live, working, failed.
 *
 * @typedef {import("./engine.js").Engine} Engine
 * @typedef {import("./engine.js").EngineState} EngineState
 */

import { button, element } from "./dom.js";

const SAY_WORKING_AFTER = 500;
const OFFER_STOP_AFTER = 1000;
const LIVE = "Live: the answer follows what you type.";

export class StateLine {
  #timers = /** @type {number[]} */ ([]);

  /**
   * @param {HTMLElement} place
   * @param {Engine} engine
   */
  constructor(place, engine) {
    this.engine = engine;
    this.place = place;
    this.text = element(document, "p", { role: "status", tabindex: "-1" });
    this.bar = element(document, "progress", { max: "1", hidden: true });
    this.again = button(document, "Try again", () => engine.restart());
    this.stop = button(document, "Stop", () => engine.restart());
    this.again.hidden = this.stop.hidden = true;
    place.append(this.text, this.bar, this.again, this.stop);
    engine.watch((status) => this.#tell(status));
  }

  /** @param {string} sentence */
  say(sentence) {
    if (this.text.textContent !== sentence) this.text.textContent = sentence;
  }

  /** @param {boolean} busy  Whether an answer is being waited for. */
  working(busy) {
    for (const timer of this.#timers) clearTimeout(timer);
    this.#timers = [];
    this.#offer(this.stop, false);
    if (!busy) {
      this.bar.hidden = this.engine.status.state !== "starting";
      if (this.text.textContent === "Working…") this.say(LIVE);
      return;
    }
    if (this.engine.status.state !== "ready") return;
    this.#timers = [
      setTimeout(() => this.engine.status.state === "ready" && this.say("Working…"), SAY_WORKING_AFTER),
      setTimeout(() => this.#offer(this.stop, this.engine.status.state === "ready"), OFFER_STOP_AFTER),
    ];
  }

  /** @param {number} fraction  How much of an answer that takes long is done. */
  comeTo(fraction) {
    this.say("Working…");
    this.#show("The answer on its way", fraction);
  }

  /** @param {string} name @param {number} fraction */
  #show(name, fraction) {
    this.bar.setAttribute("aria-label", name);
    this.bar.value = fraction;
    this.bar.hidden = false;
  }

  /** Who has pressed a button that goes is left at its line. @param {HTMLButtonElement} made @param {boolean} isOffered */
  #offer(made, isOffered) {
    if (!isOffered && document.activeElement === made) this.text.focus();
    made.hidden = !isOffered;
  }

  /** @param {EngineState} status */
  #tell(status) {
    this.place.dataset.state = status.state;
    this.bar.hidden = status.state !== "starting";
    this.#offer(this.again, status.state === "failed");
    if (status.state !== "ready") this.#offer(this.stop, false);
    if (status.state === "starting") this.#show("Python on its way", status.fraction);
    this.say(sentence(status));
  }
}

/** @param {EngineState} status */
function sentence(status) {
  switch (status.state) {
    case "idle":
      return "";
    case "starting":
      return status.text;
    case "ready":
      return LIVE;
    case "failed":
      return `The form cannot calculate: ${status.reason}; the answer below stays as it is.`;
  }
}
