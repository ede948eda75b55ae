/**
 * The switch of colours in the header: from following the system to light, to dark, and back. What is chosen is kept. The theme has
 * a switch of its own, which works out every style of a page four times when it opens.
 *
 * @typedef {"system" | "paper" | "night"} Colours
 */

const light = matchMedia("(prefers-color-scheme: light)");

/** @param {Colours} colours */
function wear(colours) {
  const { body } = document;
  const scheme = colours === "system" ? (light.matches ? "paper" : "night") : colours;
  if (body.getAttribute("data-md-color-scheme") === scheme) return;
  body.setAttribute("data-md-color-switching", ""); // nothing fades, until the next frame has been painted
  body.setAttribute("data-md-color-scheme", scheme);
  requestAnimationFrame(() => requestAnimationFrame(() => body.removeAttribute("data-md-color-switching")));
}

/** @param {Document} page */
export function tendPalette(page) {
  const memory = /** @type {any} */ (window);
  const options = /** @type {HTMLInputElement[]} */ ([...page.querySelectorAll(".bp-palette input")]);
  const chosen = () => /** @type {Colours} */ (options.find((option) => option.checked)?.value ?? "system");
  const show = () => {
    for (const option of options) /** @type {HTMLElement} */ (option.nextElementSibling).hidden = !option.checked;
    wear(chosen());
  };
  const kept = memory.__md_get("colours");
  for (const option of options) {
    option.checked = option.value === (kept ?? "system");
    option.addEventListener("change", () => {
      memory.__md_set("colours", chosen());
      show();
    });
  }
  light.addEventListener("change", show);
  show();
}
