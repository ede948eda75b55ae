/**
 * Lets Escape put away the meaning of a word that is shown beside its link, until pointer or focus moves on. Showing it wants no script.
 *
 * @param {Document} document
 */
export function tendTerms(document) {
  const away = "bp-term--away";
  document.addEventListener("keydown", (event) => {
    if (event.key !== "Escape") return;
    for (const term of document.querySelectorAll(".bp-term:is(:hover, :focus-within)")) {
      term.classList.add(away);
      const back = () => term.classList.remove(away);
      term.addEventListener("pointerleave", back, { once: true });
      term.addEventListener("focusout", back, { once: true });
    }
  });
}
