/** Sets the colours that the reader chose, or that the system prefers, before the page is painted. A classic script. */
(() => {
  const chosen = /** @type {any} */ (window).__md_get("__palette")?.color;
  const light = matchMedia("(prefers-color-scheme: light)").matches;
  const automatic = !chosen || chosen.media === "(prefers-color-scheme)";
  const scheme = automatic ? (light ? "paper" : "night") : chosen.scheme;
  document.body.setAttribute("data-md-color-scheme", scheme === "night" ? "night" : "paper");
})();
