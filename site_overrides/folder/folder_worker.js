/**
 * What pages of the folder edition use as `Worker`: reads Python from classic scripts, the only files that a page may read there,
 * and runs it in a worker made from a Blob; where the browser does not let it, in the page itself.
 */

/** Filled by the scripts in `python/`; `names` are those of the scripts, by the build. */
const folder = /** @type {{ names: string[], files: Record<string, string>, python?: (scope: object) => void }} */ (
  /** @type {any} */ (globalThis).borrowedPowerFolder);
const here = /** @type {HTMLScriptElement} */ (document.currentScript).src;

/** @type {Promise<void> | undefined} */
let reading;

/**
 * @param {string} name
 * @returns {Promise<void>}
 */
function readScript(name) {
  return new Promise((resolve, reject) => {
    const script = document.createElement("script");
    script.src = new URL(`../python/${name}`, here).href;
    script.onload = () => resolve();
    script.onerror = () => reject(new Error(`a part of Python, the file ${name}, is not in this folder`));
    document.head.append(script);
  });
}

/** @param {(fraction: number) => void} progress */
async function readAll(progress) {
  for (const [index, name] of folder.names.entries()) {
    progress(index / folder.names.length);
    await readScript(name);
  }
}

class Worker extends EventTarget {
  /** What is to be posted, until there is a worker. @type {any[]} */
  #waiting = [];
  /** @type {{ postMessage(message: any): void, terminate(): void } | undefined} */
  #real;
  #ended = false;

  constructor() {
    super();
    void this.#begin();
  }

  /** @param {any} message */
  postMessage(message) {
    if (this.#real) this.#real.postMessage(message);
    else this.#waiting.push(message);
  }

  terminate() {
    this.#ended = true;
    this.#real?.terminate();
  }

  async #begin() {
    try {
      const progress = (/** @type {number} */ fraction) =>
        this.#tell({ kind: "progress", stage: "fetching", text: "Reading Python from the folder…", fraction });
      reading ??= readAll(progress);
      await reading;
    } catch (error) {
      reading = undefined;
      this.#tell({ kind: "failed", id: null, message: error instanceof Error ? error.message : String(error) });
      return;
    }
    if (this.#ended) return;
    this.#tell({ kind: "progress", stage: "starting", text: "Starting Python…", fraction: 1 });
    try {
      this.#take(await inWorker().catch(() => inPage()));
    } catch (error) {
      this.#tell({ kind: "failed", id: null, message: error instanceof Error ? error.message : String(error) });
    }
  }

  /** @param {any} real */
  #take(real) {
    if (this.#ended) return real.terminate();
    this.#real = real;
    real.addEventListener("message", (/** @type {MessageEvent} */ { data }) => {
      if (data.kind !== "progress" || data.stage !== "fetching") this.#tell(data);
    });
    real.addEventListener("error", () => this.dispatchEvent(new Event("error", { cancelable: true })));
    real.postMessage({ kind: "files", files: folder.files });
    for (const message of this.#waiting.splice(0)) real.postMessage(message);
  }

  /** @param {any} data */
  #tell(data) {
    if (!this.#ended) this.dispatchEvent(new MessageEvent("message", { data }));
  }
}

/** A real worker, once it has said that it runs. */
function inWorker() {
  return new Promise((resolve, reject) => {
    const text = `self.postMessage("here"); (${folder.python})(self);`;
    const address = URL.createObjectURL(new Blob([text], { type: "text/javascript" }));
    const worker = new globalThis.Worker(address);
    worker.addEventListener("error", reject, { once: true });
    worker.addEventListener("message", () => {
      URL.revokeObjectURL(address);
      worker.removeEventListener("error", reject);
      resolve(worker);
    }, { once: true });
  });
}

/** Python in the page itself: it stands still while Python thinks, and cannot be stopped. */
function inPage() {
  const page = new EventTarget();
  const python = Object.assign(new EventTarget(), {
    postMessage: (/** @type {any} */ data) => page.dispatchEvent(new MessageEvent("message", { data })),
  });
  folder.python?.(python);
  return Object.assign(page, {
    postMessage: (/** @type {any} */ data) => setTimeout(() => python.dispatchEvent(new MessageEvent("message", { data }))),
    terminate: () => {},
  });
}

export { Worker };
