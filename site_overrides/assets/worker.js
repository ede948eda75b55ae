/**
 * The worker that runs Python. Only strings cross, JSON text in and JSON text out, and the bytes of sounds.
 *
 * @typedef {import("./protocol.js").ToWorker} ToWorker
 * @typedef {import("./protocol.js").FromWorker} FromWorker
 * @typedef {import("./protocol.js").Urls} Urls
 * @typedef {{ version: string, how: "snapshot" | "plain" }} Started
 * @typedef {{ run_json(form: string, texts: string, tell: (fraction: number) => void): string,
 *     cells_json(form: string, field: string, text: string): string,
 *     sound_json(form: string, texts: string, key: string): string,
 *     sheet_json(form: string, texts: string, key: string): string,
 *     samples(key: string): { getBuffer(type: "u8"): { data: Uint8Array<ArrayBuffer>, release(): void }, destroy(): void } }} Bridge
 */

import { keepSnapshot, keptSnapshot, lookForDamage } from "./snapshot_store.js";
import { startPython } from "./start.js";
import { siteUrls } from "./urls.js";

/** @type {Bridge | undefined} */
let bridge;

/** Milliseconds after which an answer takes long, so that it is told how far it is; and between one such word and the next. */
const [LONG, BETWEEN] = [400, 50];
/** Milliseconds without a question after which the page is taken to be idle. */
const IDLE_AFTER = 4000;
/** Python on its way, once it has been told to start. @type {Promise<Started> | undefined} */
let starting;
/** What an earlier visit kept, looked for beforehand. @type {Promise<import("./snapshot_store.js").Kept | undefined> | undefined} */
let kept;
/** What is to be done once the page is idle. @type {(() => Promise<void>) | undefined} */
let later;
let idleTimer = 0;

/** @param {FromWorker} message */
function tell(message) {
  self.postMessage(message);
}

/**
 * Starts Python and the calculations, once.
 *
 * @param {Urls} urls
 */
function begin(urls) {
  starting ??= load(urls);
  return starting;
}

/**
 * @param {Urls} urls
 * @returns {Promise<Started>}
 */
async function load(urls) {
  const { python, how } = await startPython(urls, tell, await (kept ?? keptSnapshot()));
  try {
    bridge = /** @type {Bridge} */ (python.pyimport("calc.bridge"));
  } catch (error) {
    console.warn(error);
    throw new Error("the calculations did not start");
  }
  return { version: python.version, how };
}

/**
 * Starts, and tells the page once that is done.
 *
 * @param {Urls} urls
 */
async function start(urls) {
  try {
    const { version, how } = await begin(urls);
    tell({ kind: "ready", versions: { pyodide: version }, start: how });
    later = () => (how === "plain" ? keepSnapshot(urls) : lookForDamage(urls));
    expectIdle();
  } catch (error) {
    tell({ kind: "failed", id: null, message: error instanceof Error ? error.message : String(error) });
  }
}

/** Starts beforehand if a snapshot is kept, so that nothing large need be fetched; what comes of it is told when the page asks. */
async function prepare() {
  kept = keptSnapshot();
  if (await kept) begin(siteUrls()).catch(() => {});
}

/** Keeps the snapshot for the next visit, or looks whether it is whole, once nothing has been asked for a while. */
function expectIdle() {
  clearTimeout(idleTimer);
  if (!later) return;
  idleTimer = setTimeout(() => {
    void later?.();
    later = undefined;
  }, IDLE_AFTER);
}

/**
 * What tells the page how far an answer is, if it takes long.
 *
 * @param {number} id
 */
function teller(id) {
  let next = performance.now() + LONG;
  return (/** @type {number} */ fraction) => {
    if (performance.now() < next) return;
    next = performance.now() + BETWEEN;
    tell({ kind: "answering", id, fraction });
  };
}

/**
 * @param {Exclude<ToWorker, { kind: "samples" | "start" | "prepare" }>} message
 * @param {Bridge} calc
 * @returns {string}
 */
function answer(message, calc) {
  switch (message.kind) {
    case "run":
      return calc.run_json(message.form, JSON.stringify(message.texts), teller(message.id));
    case "cells":
      return calc.cells_json(message.form, message.field, message.text);
    case "sound":
      return calc.sound_json(message.form, JSON.stringify(message.texts), message.key);
    case "sheet":
      return calc.sheet_json(message.form, JSON.stringify(message.texts), message.key);
  }
}

/**
 * A copy of what Python holds, to be handed over.
 *
 * @param {string} key
 * @param {Bridge} calc
 */
function samples(key, calc) {
  const bytes = calc.samples(key);
  const view = bytes.getBuffer("u8");
  try {
    return view.data.slice().buffer;
  } finally {
    view.release();
    bytes.destroy();
  }
}

self.addEventListener("message", async (/** @type {MessageEvent<ToWorker>} */ event) => {
  const message = event.data;
  if (message.kind === "prepare") return prepare();
  if (message.kind === "start") return start(message.urls);
  expectIdle();
  try {
    if (!bridge) throw new Error("not started");
    if (message.kind === "samples") {
      const found = samples(message.key, bridge);
      self.postMessage({ kind: "samples", id: message.id, samples: found }, { transfer: [found] });
    } else tell({ kind: "result", id: message.id, json: answer(message, bridge) });
  } catch (error) {
    console.warn(error);
    // An error of Python's leaves Python whole; any other, as when memory runs out, does not.
    if (error instanceof Error && error.name === "PythonError") {
      tell({ kind: "failed", id: message.id, message: "the calculation itself failed, which is a fault of this site" });
    } else tell({ kind: "failed", id: null, message: "Python broke off" });
  }
});
