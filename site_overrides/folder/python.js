/**
 * Python in a folder: assets/worker.js, with a `fetch` that knows only the files that the page has handed over as base64.
 * The build makes one function of all this, which runs in a worker made from its text, or in the page itself.
 */

/** @type {Map<string, string>} */
const files = new Map();
const TYPES = /** @type {Record<string, string>} */ ({ wasm: "application/wasm", json: "application/json" });

/** @param {RequestInfo | URL} request */
self.fetch = async (request) => {
  const name = new URL(request instanceof Request ? request.url : request).pathname.split("/").at(-1) ?? "";
  const text = files.get(name);
  if (text === undefined) throw new TypeError(`${name} is not in this folder`);
  files.delete(name); // each is asked for once
  const bytes = Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
  const whole = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"));
  return new Response(whole, { headers: { "Content-Type": TYPES[name.split(".").at(-1) ?? ""] ?? "application/octet-stream" } });
};
// Pyodide has a worker read an empty script: one that can is of the classic kind, which it does not want. The policy refuses
// that here anyway, but Firefox reports a refusal as an error.
Object.defineProperty(self, "importScripts", { value: undefined });
// What is kept by a browser belongs to a site; a folder is none.
Object.defineProperty(self, "caches", { value: undefined });
self.addEventListener("message", (event) => {
  if (event.data.kind !== "files") return;
  for (const [name, text] of Object.entries(event.data.files)) files.set(name, text);
  event.stopImmediatePropagation();
});
