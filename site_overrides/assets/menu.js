/**
 * Keeps in sight what the menu of pages is looked at for: the link that has the focus, whenever the menu gets lower (the theme makes it
 * as high as the window leaves room for, and lower as the page's foot comes up); and till the reader scrolls it, the open page's link.
 *
 * @param {Document} document
 */
export function tendMenu(document) {
  const box = document.querySelector(".md-sidebar--primary .md-sidebar__scrollwrap");
  if (!box) return;
  let sought = box.querySelector("[aria-current=page]");
  for (const scrolls of ["wheel", "touchstart", "mousedown"]) {
    box.addEventListener(scrolls, () => (sought = null), { passive: true });
  }
  new ResizeObserver(() => {
    const link = box.querySelector(":focus") ?? sought;
    if (!link) return;
    const [row, seen] = [link.getBoundingClientRect(), box.getBoundingClientRect()];
    if (row.top >= seen.top && row.bottom <= seen.bottom) return;
    box.scrollTop += (row.top + row.bottom - seen.top - seen.bottom) / 2;
  }).observe(box);
}
