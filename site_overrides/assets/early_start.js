/**
 * Makes the worker of a page that is there for its form, while the page is still being read. If an earlier visit kept Python's
 * snapshot, Python starts at once, for little need be fetched: two modules, lock and manifest. Else it waits until the page asks.
 * A classic script, as modules run after all that. engine.js takes the worker over.
 */
if (typeof Worker !== "undefined" && !(/** @type {any} */ (navigator).connection?.saveData)) {
  try {
    const address = new URL("worker.js", /** @type {HTMLScriptElement} */ (document.currentScript).src);
    const worker = new Worker(address, { type: "module" });
    worker.postMessage({ kind: "prepare" });
    Object.assign(globalThis, { preparedWorker: worker });
    worker.addEventListener("error", () => Object.assign(globalThis, { preparedWorker: undefined }));
  } catch {
    // What is in the way is met again, and told, when the page asks.
  }
}
