/**
 * Where everything is, in one place.
 *
 * @returns {import("./protocol.js").Urls}
 */
export function siteUrls() {
  /** @param {string} path */
  const at = (path) => new URL(path, import.meta.url).href;
  return {
    python: at("../runtime/pyodide.mjs"),
    interpreter: at("../runtime/pyodide.asm.mjs"),
    manifest: at("../runtime/manifest.json"),
    lock: at("../runtime/pyodide-lock.json"),
    worker: at("worker.js"),
  };
}
