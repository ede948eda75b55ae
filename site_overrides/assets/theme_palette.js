/** Sets the colours that the reader chose, or that the system prefers, before the page is painted. A classic script. */
(() => {
  const chosen = /** @type {any} */ (window).__md_get("colours") ?? "system";
  const dark = chosen === "system" ? !matchMedia("(prefers-color-scheme: light)").matches : chosen === "night";
  document.body.setAttribute("data-md-color-scheme", dark ? "night" : "paper");
})();
