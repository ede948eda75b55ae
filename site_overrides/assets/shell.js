/**
 * Mends in the theme's frame what only a pointer can do: its labels that open the menu and the search become buttons, which answer to
 * the keyboard and say what they are. Without scripts they stay labels, and work as such. And its keys of one letter, which lead to the
 * search and to other pages, are taken from it: who speaks to the machine, or slips, would press them unawares (WCAG 2.2, 2.1.4).
 */

import { tendMenu } from "./menu.js";
import { tendPalette } from "./palette.js";
import { tendScrollers } from "./scrollers.js";
import { tendTerms } from "./terms.js";

tendMenu(document);
tendPalette(document);
tendScrollers(document);
tendTerms(document);

addEventListener("keydown", (event) => {
  const { key, ctrlKey, metaKey, altKey, target } = event;
  const isTyping = target instanceof HTMLElement && (target.matches("input, select, textarea") || target.isContentEditable);
  if (key.length === 1 && key !== " " && !ctrlKey && !metaKey && !altKey && !isTyping) event.stopImmediatePropagation();
}, { capture: true });

for (const label of /** @type {NodeListOf<HTMLLabelElement>} */ (document.querySelectorAll("label[data-button]"))) {
  const toggle = /** @type {HTMLInputElement} */ (label.control);
  const button = document.createElement("button");
  button.type = "button";
  button.className = label.className;
  button.setAttribute("aria-label", label.dataset.button ?? "");
  button.append(...label.childNodes);
  const tell = () => button.setAttribute("aria-expanded", String(toggle.checked));
  button.addEventListener("click", () => toggle.click());
  toggle.addEventListener("change", tell);
  document.addEventListener("keydown", (event) => {
    if (event.key !== "Escape" || !toggle.checked) return;
    toggle.click();
    if (button.checkVisibility()) button.focus();
    else if (document.activeElement instanceof HTMLElement) document.activeElement.blur(); // from the search, which opens at its focus
  });
  tell();
  label.replaceWith(button);
}
