/**
 * The player of a sound: made once for a form, and kept while its answers come and go. It never starts by itself.
 *
 * @typedef {import("./protocol.js").Sound} Sound
 * @typedef {import("./protocol.js").Recipe} Recipe
 * @typedef {import("./protocol.js").Refusal} Refusal
 * @typedef {import("./protocol.js").Answer} Answer
 * @typedef {import("./protocol.js").Texts} Texts
 * @typedef {import("./engine.js").Engine} Engine
 * @typedef {{ engine: Engine, form: string, texts: () => Texts }} Source
 */

import { element } from "./dom.js";
import { Dropped } from "./engine.js";
import { Calibration } from "./sound_calibration.js";
import { soundItems } from "./sound_figure.js";
import { MixtureGraph } from "./sound_graph.js";
import { slider } from "./sound_slider.js";

const PLAY = "Play the mixture";
const STOP = "Stop";

/** Loops that have been made, for all players of the page. @type {Map<string, AudioBuffer>} */
const made = new Map();

/** The players of one form. */
export class Sounds {
  /** @type {Map<string, Player>} */
  #players = new Map();

  /** @param {Source} source */
  constructor(source) {
    this.source = source;
  }

  /**
   * Gives each figure its player, and ends players whose figure is gone.
   *
   * @param {HTMLElement[]} figures
   * @param {Answer} answer
   */
  keep(figures, answer) {
    for (const [key, player] of this.#players) {
      if (figures.includes(player.figure)) continue;
      player.end();
      this.#players.delete(key);
    }
    for (const sound of answer.sounds) {
      const figure = figures.find(({ dataset }) => dataset.key === sound.key);
      if (!figure) continue;
      const player = this.#players.get(sound.key) ?? new Player(figure, sound, this.source);
      this.#players.set(sound.key, player);
      player.update(sound);
    }
  }
}

class Player {
  /** @type {AudioContext | undefined} */
  #context;
  /** @type {MixtureGraph | undefined} */
  #graph;
  #life = new AbortController();
  /** What is not let in, by key. @type {Set<string>} */
  #shut = new Set();
  /** Names in the list, by key. @type {Map<string, string>} */
  #listed = new Map();

  /**
   * @param {HTMLElement} figure
   * @param {Sound} sound
   * @param {Source} source
   */
  constructor(figure, sound, source) {
    this.figure = figure;
    this.sound = sound;
    this.source = source;
    const { texts, first } = sound.volumes;
    this.button = element(document, "button", { type: "button", class: "bp-button" }, PLAY);
    this.said = element(document, "p", { class: "bp-said", role: "status" });
    this.volume = slider(texts, first, "Volume");
    this.calibration = new Calibration(sound.calibration, {
      begin: () => this.stop(),
      changed: () => this.#set(),
    });
    this.button.addEventListener("click", () => (this.#context ? this.stop("Stopped.") : this.play()));
    this.volume.input.addEventListener("input", () => this.#set());
    figure.addEventListener("input", (event) => this.#letIn(event.target));
    const { signal } = this.#life;
    document.addEventListener("visibilitychange", () => document.hidden && this.#hidden(), { signal });
    window.addEventListener("pagehide", () => this.#hidden(), { signal });
    this.#part(".bp-sound-controls").replaceChildren(
      element(document, "p", { class: "bp-sound-warning" }, sound.warning),
      element(document, "div", { class: "bp-buttons" }, this.button), this.volume.whole, this.said, this.calibration.whole,
      element(document, "p", { class: "bp-help" }, "Clear a box to leave a sound out."));
  }

  /** Shows another answer's sound, and glides to it if it plays. @param {Sound} sound */
  update(sound) {
    this.sound = sound;
    this.#part(".bp-summary").textContent = sound.summary;
    this.#list();
    this.calibration.update(sound.calibration);
    if (this.#graph) this.#follow();
  }

  async play() {
    const context = this.#begin();
    if (!context) return;
    try {
      this.said.textContent = "Making the programmes…";
      const begun = this.sound;
      const recipe = await this.#recipe();
      await this.#load(recipe);
      await context.resume();
      if (context !== this.#context) return;
      this.#graph = new MixtureGraph(context, recipe, loopMade, this.#settings());
      this.figure.dataset.playing = "yes";
      this.#tell();
      if (this.sound !== begun) this.#follow(); // what was turned while the programmes were made
    } catch (error) {
      if (context !== this.#context) return;
      const why = error instanceof Dropped ? "the calculation was stopped" : error instanceof Error ? error.message : String(error);
      this.stop(`Nothing plays: ${why}.`);
    }
  }

  /** @param {string} said */
  async stop(said = "") {
    this.calibration.stop();
    const context = this.#context, graph = this.#graph;
    if (said) this.said.textContent = said;
    if (!context) return;
    this.#context = this.#graph = undefined;
    this.button.textContent = PLAY;
    delete this.figure.dataset.playing;
    await graph?.stop();
    await context.close();
  }

  /** For good. */
  end() {
    this.stop();
    this.#life.abort();
  }

  /** @returns {AudioContext | undefined} */
  #begin() {
    this.calibration.stop();
    try {
      this.#context = new AudioContext({ sampleRate: this.sound.sample_rate, latencyHint: "playback" });
    } catch {
      this.said.textContent = "Nothing plays: this browser has no sound that a page can make.";
      return undefined;
    }
    this.#context.resume(); // at once, while the press still counts
    this.button.textContent = STOP;
    return this.#context;
  }

  #hidden() {
    this.calibration.stop();
    if (this.#context) this.stop("Stopped, since the page was out of sight.");
  }

  async #follow() {
    const graph = this.#graph;
    try {
      const recipe = await this.#recipe();
      await this.#load(recipe);
      if (graph !== this.#graph) return;
      graph?.update(recipe);
      this.#tell();
    } catch {
      // what plays goes on: a later answer comes, or the form says what is wrong
    }
  }

  /** @returns {Promise<Recipe>} */
  async #recipe() {
    const { engine, form, texts } = this.source;
    const json = await engine.ask({ kind: "sound", form, texts: texts(), key: this.sound.key }, this);
    const found = /** @type {{ ok: true, recipe: Recipe } | Refusal} */ (JSON.parse(json));
    if (!found.ok) throw new Error("a field of the form wants mending");
    return found.recipe;
  }

  /** @param {Recipe} recipe */
  async #load({ voices, room, sample_rate: sampleRate }) {
    const wanted = [...voices.map(({ loop }) => loop), ...(room ? [room.loop] : [])];
    for (const key of wanted.filter((loop) => !made.has(loop))) {
      const samples = new Float32Array(await this.source.engine.samples(key, this));
      const buffer = new AudioBuffer({ length: samples.length, numberOfChannels: 1, sampleRate });
      buffer.copyToChannel(samples, 0);
      made.set(key, buffer);
    }
  }

  #settings() {
    return { volume: this.volume.input.valueAsNumber, calibrated: this.calibration.step, shut: this.#shut };
  }

  #set() {
    this.volume.whole.hidden = this.calibration.step !== null;
    for (const box of /** @type {NodeListOf<HTMLInputElement>} */ (this.figure.querySelectorAll("[data-sounds]"))) {
      box.checked = !this.#shut.has(box.dataset.sounds ?? "");
    }
    for (const alone of /** @type {NodeListOf<HTMLElement>} */ (this.figure.querySelectorAll("[data-alone]"))) {
      alone.setAttribute("aria-pressed", String(this.#isAlone(alone.dataset.alone ?? "")));
    }
    this.#graph?.set(this.#settings());
    if (this.#graph) this.#tell();
  }

  #tell() {
    const { step } = this.calibration;
    const said = step === null ? "Playing: levels are true to each other." : `Playing. ${this.#graph?.recipe.calibrated[step].text ?? ""}`;
    if (this.said.textContent !== said) this.said.textContent = said;
  }

  /** @param {EventTarget | null} target */
  #letIn(target) {
    if (!(target instanceof HTMLInputElement) || !target.dataset.sounds) return;
    if (target.checked) this.#shut.delete(target.dataset.sounds);
    else this.#shut.add(target.dataset.sounds);
    this.#set();
  }

  /** Lets in one sound alone, or all again if it was alone already. @param {string} key */
  #alone(key) {
    const others = [...this.#listed.keys()].filter((other) => other !== key);
    this.#shut = new Set(this.#isAlone(key) ? [] : others);
    this.#set();
  }

  /** @param {string} key */
  #isAlone(key) {
    return this.#listed.size > 1 && [...this.#listed.keys()].every((other) => this.#shut.has(other) === (other !== key));
  }

  /** Shows who is heard; a sound that stays keeps its place and whether it is let in. */
  #list() {
    const items = soundItems(this.sound), list = this.#part(".bp-sound-list");
    if (items.length === this.#listed.size && items.every(({ key, label }) => this.#listed.get(key) === label)) {
      const texts = list.querySelectorAll(".bp-sound-text");
      items.forEach(({ text }, index) => { texts[index].textContent = text; });
      return;
    }
    const stays = items.filter(({ key, label }) => this.#shut.has(key) && this.#listed.get(key) === label);
    this.#shut = new Set(stays.map(({ key }) => key));
    this.#listed = new Map(items.map(({ key, label }) => [key, label]));
    list.replaceChildren(...items.map(({ key, label, text }) => {
      const alone = element(document, "button", { type: "button", class: "bp-button", "aria-label": `${label} alone`, "data-alone": key }, "Alone");
      alone.addEventListener("click", () => this.#alone(key));
      return element(document, "li", { "data-key": key },
        element(document, "label", {},
          element(document, "input", { type: "checkbox", "data-sounds": key }),
          element(document, "span", { class: "bp-sound-name" }, label)),
        element(document, "span", { class: "bp-sound-text" }, text), alone);
    }));
    this.#set();
  }

  /**
   * @param {string} selector
   * @returns {HTMLElement}
   */
  #part(selector) {
    const found = this.figure.querySelector(selector);
    if (!found) throw new Error(`the figure has no ${selector}`);
    return /** @type {HTMLElement} */ (found);
  }
}

/** @param {string} key */
function loopMade(key) {
  const buffer = made.get(key);
  if (!buffer) throw new Error(`the loop ${key} was not made`);
  return buffer;
}
