/**
 * Setting a player true to the ear: a row of tones, of which the reader marks the faintest that can be heard.
 *
 * @typedef {import("./protocol.js").Sound} Sound
 * @typedef {{ begin: () => void, changed: () => void }} Told  Before a tone plays, and when another step stands.
 */

import { element } from "./dom.js";
import { slider } from "./sound_slider.js";

const PLAY = "Play the tone";
const STOP = "Stop the tone";

export class Calibration {
  /** The tone that was marked, by its number. @type {number | null} */
  step = null;
  /** @type {{ context: AudioContext, level: GainNode } | undefined} */
  #tone;

  /**
   * @param {Sound["calibration"]} calibration
   * @param {Told} told
   */
  constructor(calibration, told) {
    this.calibration = calibration;
    this.told = told;
    this.text = element(document, "p", {}, calibration.text);
    this.steps = slider(calibration.texts, 0, "Tone");
    this.button = element(document, "button", { type: "button", class: "bp-button" }, PLAY);
    this.mark = element(document, "button", { type: "button", class: "bp-button" }, "I can just hear this tone");
    this.forget = element(document, "button", { type: "button", class: "bp-button", hidden: true }, "Forget it");
    this.said = element(document, "p", { class: "bp-said", role: "status" });
    this.button.addEventListener("click", () => (this.#tone ? this.stop() : this.#play()));
    this.mark.addEventListener("click", () => this.#set(this.steps.input.valueAsNumber));
    this.forget.addEventListener("click", () => this.#set(null));
    this.steps.input.addEventListener("input", () => this.#glide());
    this.whole = element(document, "details", { class: "bp-sound-calibration" },
      element(document, "summary", {}, "Make it true to your ears"),
      this.text, this.steps.whole,
      element(document, "div", { class: "bp-buttons" }, this.button, this.mark, this.forget), this.said);
  }

  /** @param {Sound["calibration"]} calibration */
  update(calibration) {
    this.calibration = calibration;
    this.text.textContent = calibration.text;
  }

  stop() {
    this.#tone?.context.close();
    this.#tone = undefined;
    this.button.textContent = PLAY;
  }

  async #play() {
    this.told.begin();
    const { frequency, gains, glide } = this.calibration.tone;
    let context;
    try {
      context = new AudioContext({ latencyHint: "playback" });
    } catch {
      this.said.textContent = "Nothing plays: this browser has no sound that a page can make.";
      return;
    }
    const source = new OscillatorNode(context, { frequency });
    const level = new GainNode(context, { gain: 0 });
    source.connect(level).connect(context.destination);
    this.#tone = { context, level };
    this.button.textContent = STOP;
    await context.resume();
    level.gain.setTargetAtTime(gains[this.steps.input.valueAsNumber], context.currentTime, glide);
    source.start();
  }

  #glide() {
    const { gains, glide } = this.calibration.tone;
    this.#tone?.level.gain.setTargetAtTime(gains[this.steps.input.valueAsNumber], this.#tone.context.currentTime, glide);
  }

  /** @param {number | null} step */
  #set(step) {
    this.stop();
    this.step = step;
    this.forget.hidden = step === null;
    this.said.textContent = step === null ? "Levels are true to each other only." : `Set by ${this.calibration.texts[step]}.`;
    this.told.changed();
  }
}
