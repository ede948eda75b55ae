/**
 * Lets the theme's search run from a folder: its worker is made from the text that the build puts before this script.
 */
{
  const text = /** @type {any} */ (globalThis).borrowedPowerFolder.search;
  const address = URL.createObjectURL(new Blob([text], { type: "text/javascript" }));
  const Plain = Worker;
  Object.assign(globalThis, {
    Worker: class extends Plain {
      /** @param {string | URL} wanted @param {WorkerOptions} [options] */
      constructor(wanted, options) {
        super(/\/workers\/search\./.test(String(wanted)) ? address : wanted, options);
      }
    },
  });
}
