/**
 * One worker for a page: started when first wanted, watched while it starts, ended and started anew when it is to stop.
 *
 * @typedef {import("./protocol.js").ToWorker} ToWorker
 * @typedef {import("./protocol.js").FromWorker} FromWorker
 * @typedef {import("./protocol.js").Stage} Stage
 * @typedef {import("./protocol.js").Texts} Texts
 * @typedef {import("./protocol.js").Urls} Urls
 *
 * @typedef {{ state: "idle" }
 *     | { state: "starting", text: string, fraction: number }
 *     | { state: "ready" }
 *     | { state: "failed", reason: string }} EngineState
 *
 * @typedef {{ kind: "run", form: string, texts: Texts }
 *     | { kind: "cells", form: string, field: string, text: string }
 *     | { kind: "sound", form: string, texts: Texts, key: string }
 *     | { kind: "sheet", form: string, texts: Texts, key: string }
 *     | { kind: "samples", key: string }} Question
 * @typedef {{ question: Question, asker: object, tell: (fraction: number) => void, resolve: (answer: any) => void,
 *     reject: (error: Error) => void }} Waiting  `tell` hears how far an answer is that takes long.
 */

/** A question that was dropped: a later one replaced it, or the reader pressed Stop. */
export class Dropped extends Error {}

/**
 * Seconds without a sign of life, by stage, after which it is given up. A slow line may take long over one file, and a slow phone over
 * one answer; but a worker that the browser has ended says nothing, ever.
 */
export const LIMITS = { fetching: 300, starting: 60, answering: 180 };

/** Milliseconds that a timer is late by if the page has slept meanwhile. */
const OVERSLEPT = 5000;

/** Questions of which only an asker's last one counts. */
const LATEST_COUNTS = new Set(["run", "sound", "sheet"]);

export class Engine {
  /** @type {EngineState} */
  status = { state: "idle" };
  /** @type {Worker | undefined} */
  #worker;
  /** @type {Map<number, Waiting>} */
  #asked = new Map();
  /** @type {Waiting[]} */
  #queue = [];
  /** @type {Set<(status: EngineState) => void>} */
  #watchers = new Set();
  #lastId = 0;
  #timer = 0;

  /**
   * @param {Urls} urls
   * @param {Record<Stage | "answering", number>} limits
   */
  constructor(urls, limits = LIMITS) {
    this.urls = urls;
    this.limits = limits;
  }

  /** @param {(status: EngineState) => void} watcher */
  watch(watcher) {
    this.#watchers.add(watcher);
    watcher(this.status);
  }

  /** Starts the worker unless it runs already. */
  start() {
    if (this.status.state === "starting" || this.status.state === "ready") return;
    if (typeof WebAssembly === "undefined") {
      return this.#fail("this browser has no WebAssembly, in which Python runs here");
    }
    if (typeof Worker === "undefined") {
      return this.#fail("this browser has no workers, in which Python runs here");
    }
    this.#become({ state: "starting", text: "Fetching Python…", fraction: 0 });
    this.#expectLife("fetching");
    try {
      this.#worker = this.#takeWorker();
    } catch {
      return this.#fail("a security policy of this site or browser does not let workers run");
    }
    this.#post({ kind: "start", urls: this.urls });
  }

  /** The worker that early_start.js has made, or a new one. */
  #takeWorker() {
    /** @type {Worker} */
    const worker = /** @type {any} */ (globalThis).preparedWorker ?? new Worker(this.urls.worker, { type: "module" });
    Object.assign(globalThis, { preparedWorker: undefined });
    worker.addEventListener("message", (event) => worker === this.#worker && this.#hear(event.data));
    worker.addEventListener("error", (event) => {
      event.preventDefault();
      if (worker === this.#worker) this.#fail("the worker that runs Python could not be fetched or broke off");
    });
    return worker;
  }

  /**
   * The answer's JSON text. At most one `run`, one `sound` and one `sheet` of an asker wait while another is being answered; a later
   * one takes the place of the one before.
   *
   * @param {Question} question
   * @param {object} asker
   * @param {(fraction: number) => void} [tell]  hears how far it is, if it takes long
   * @returns {Promise<string>}
   */
  ask(question, asker, tell = () => {}) {
    return new Promise((resolve, reject) => {
      if (this.status.state === "failed") return reject(new Error(this.status.reason));
      this.#queue = this.#queue.filter((waiting) => {
        const replaced = waiting.asker === asker && waiting.question.kind === question.kind && LATEST_COUNTS.has(question.kind);
        if (replaced) waiting.reject(new Dropped());
        return !replaced;
      });
      this.#queue.push({ question, asker, tell, resolve, reject });
      this.start();
      this.#next();
    });
  }

  /**
   * The samples of a loop, as bytes of 32-bit floats.
   *
   * @param {string} key
   * @param {object} asker
   * @returns {Promise<ArrayBuffer>}
   */
  samples(key, asker) {
    return /** @type {Promise<any>} */ (this.ask({ kind: "samples", key }, asker));
  }

  /** Ends what is being worked on, drops what waits, and starts afresh: the way to stop, and to try again after a failure. */
  restart() {
    this.#end(new Dropped());
    this.#become({ state: "idle" });
    this.start();
  }

  #next() {
    if (this.status.state !== "ready" || this.#asked.size > 0) return;
    const waiting = this.#queue.shift();
    if (!waiting) return;
    const id = ++this.#lastId;
    this.#asked.set(id, waiting);
    this.#expectLife("answering");
    this.#post({ id, ...waiting.question });
  }

  /** @param {FromWorker} message */
  #hear(message) {
    switch (message.kind) {
      case "progress":
        this.#become({ state: "starting", text: message.text, fraction: message.fraction });
        this.#expectLife(message.stage);
        return;
      case "ready":
        clearTimeout(this.#timer);
        this.#become({ state: "ready" });
        this.#next();
        return;
      case "answering":
        this.#asked.get(message.id)?.tell(message.fraction);
        this.#expectLife("answering");
        return;
      case "result":
        this.#settle(message.id)?.resolve(message.json);
        return;
      case "samples":
        this.#settle(message.id)?.resolve(message.samples);
        return;
      case "failed":
        if (message.id === null) this.#fail(message.message);
        else this.#settle(message.id)?.reject(new Error(message.message));
        return;
    }
  }

  /** @param {number} id */
  #settle(id) {
    const waiting = this.#asked.get(id);
    this.#asked.delete(id);
    clearTimeout(this.#timer);
    queueMicrotask(() => this.#next());
    return waiting;
  }

  /** @param {Stage | "answering"} stage */
  #expectLife(stage) {
    clearTimeout(this.#timer);
    const reason = stage === "answering" ? "no answer came from Python" : "Python took too long to start";
    const limit = this.limits[stage] * 1000, begun = performance.now();
    this.#timer = setTimeout(() => {
      // a page that was put to sleep hears of the time at once, and of its worker, that slept as well, a little later
      if (performance.now() - begun > limit + OVERSLEPT) this.#expectLife(stage);
      else this.#fail(reason);
    }, limit);
  }

  /** @param {string} reason */
  #fail(reason) {
    this.#end(new Error(reason));
    this.#become({ state: "failed", reason });
  }

  /** @param {Error} error */
  #end(error) {
    clearTimeout(this.#timer);
    this.#worker?.terminate();
    this.#worker = undefined;
    const dropped = [...this.#asked.values(), ...this.#queue];
    this.#asked.clear();
    this.#queue = [];
    for (const waiting of dropped) waiting.reject(error);
  }

  /** @param {EngineState} status */
  #become(status) {
    this.status = status;
    for (const watcher of this.#watchers) watcher(status);
  }

  /** @param {ToWorker} message */
  #post(message) {
    this.#worker?.postMessage(message);
  }
}
