/**
 * Makes an element. Works in the browser and at build time alike, so the document is an argument.
 *
 * @template {keyof HTMLElementTagNameMap} K
 * @param {Document} document
 * @param {K} tag
 * @param {Record<string, string | boolean | null | undefined>} [attributes]  false, null and undefined are left out
 * @param {...(Node | string | null | false)} children
 * @returns {HTMLElementTagNameMap[K]}
 */
export function element(document, tag, attributes = {}, ...children) {
  const made = document.createElement(tag);
  dress(made, attributes);
  for (const child of children) if (child) made.append(child);
  return made;
}

/**
 * Makes a button that does something.
 *
 * @param {Document} document
 * @param {string} text
 * @param {() => void} act
 */
export function button(document, text, act) {
  const made = element(document, "button", { type: "button", class: "bp-button" }, text);
  made.addEventListener("click", act);
  return made;
}

/**
 * Makes an SVG element.
 *
 * @template {keyof SVGElementTagNameMap} K
 * @param {Document} document
 * @param {K} tag
 * @param {Record<string, string | number | boolean | null | undefined>} [attributes]
 * @param {...(Node | string | null | false)} children
 * @returns {SVGElementTagNameMap[K]}
 */
export function svg(document, tag, attributes = {}, ...children) {
  const made = document.createElementNS("http://www.w3.org/2000/svg", tag);
  dress(made, attributes);
  for (const child of children) if (child) made.append(child);
  return /** @type {SVGElementTagNameMap[K]} */ (made);
}

/**
 * @param {Element} made
 * @param {Record<string, string | number | boolean | null | undefined>} attributes
 */
function dress(made, attributes) {
  for (const [name, value] of Object.entries(attributes)) {
    if (value === true) made.setAttribute(name, "");
    else if (value !== false && value !== null && value !== undefined) made.setAttribute(name, String(value));
  }
}

const MADE_AT = typeof window === "undefined" ? "b" : "p";
let named = 0;

/**
 * A name that nothing else has in the document, be it drawn at build time or in the page.
 *
 * @param {string} stem
 */
export function newName(stem) {
  named += 1;
  return `${stem}-${MADE_AT}${named}`;
}

/** Puts a text where another may stand, and leaves alone what is the same. @param {Element} place @param {string} text */
export function setText(place, text) {
  if (place.textContent !== text) place.textContent = text;
}
