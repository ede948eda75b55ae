/**
 * Boxes that scroll sideways can be reached by keyboard while there is something to scroll to, and are no stop on the way when not.
 */

const observer = new ResizeObserver((entries) => {
  for (const { target } of entries) tend(/** @type {HTMLElement} */ (target));
});

/** @param {ParentNode} root */
export function tendScrollers(root) {
  for (const box of root.querySelectorAll(".bp-scroll, .bp-formula")) observer.observe(box);
  if (root instanceof Element && root.matches(".bp-scroll")) observer.observe(root);
}

/** @param {HTMLElement} box */
function tend(box) {
  if (box.scrollWidth > box.clientWidth + 1) {
    box.tabIndex = 0;
    box.setAttribute("role", "group");
    box.setAttribute("aria-label", box.querySelector("caption")?.textContent ?? "More to the side");
  } else {
    for (const name of ["tabindex", "role", "aria-label"]) box.removeAttribute(name);
  }
}
