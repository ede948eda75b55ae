/**
 * What charts, bars and maps have in common: a figure with its title, its summary in words, a legend, the drawing and a line for
 * what is read from it. A later answer is put into the figure that stands, so that focus stays where it is.
 *
 * @typedef {{ document: Document, widths: () => number[], formAddress: (form: string) => string }} Tools
 *     What drawing needs: a document, how wide pictures are to be (one drawing for each width), and where the
 *     page of a form is.
 * @typedef {{ key: string, title: string, summary: string }} Told
 * @typedef {{ kind: string, legend: Element | null, draw: (width: number, kind: string) => SVGElement }} Look
 */

import { element, setText } from "./dom.js";

/**
 * A kind of picture by how it looks: how its figure is made, and how one that stands is renewed.
 *
 * @template {Told} Data
 * @param {(data: Data, document: Document) => Look} look
 */
export function picture(look) {
  return {
    /** @param {Data} data @param {Tools} tools */
    figure: (data, tools) => pictureFigure(data, look(data, tools.document), tools),
    /** @param {HTMLElement} figure @param {Data} data @param {Tools} tools */
    renew: (figure, data, tools) => renewPicture(figure, data, look(data, tools.document), tools),
  };
}

/**
 * @param {Told} told
 * @param {Look} look
 * @param {Tools} tools
 * @returns {HTMLElement}
 */
function pictureFigure(told, look, tools) {
  const { document } = tools;
  return element(document, "figure", { class: look.kind, "data-key": told.key },
    element(document, "figcaption", {},
      element(document, "p", { class: "bp-caption" }, told.title),
      element(document, "p", { class: "bp-summary" }, told.summary)),
    look.legend,
    element(document, "div", { class: "bp-plot", "data-search-exclude": true }, ...drawings(look, tools)),
    element(document, "p", { class: "bp-readout", "aria-live": "polite" }));
}

/**
 * @param {HTMLElement} figure
 * @param {Told} told
 * @param {Look} look
 * @param {Tools} tools
 */
function renewPicture(figure, told, look, tools) {
  setText(/** @type {Element} */ (figure.querySelector(".bp-caption")), told.title);
  setText(/** @type {Element} */ (figure.querySelector(".bp-summary")), told.summary);
  const plot = /** @type {Element} */ (figure.querySelector(".bp-plot"));
  const legend = figure.querySelector(".bp-legend");
  if (legend && look.legend) legend.replaceWith(look.legend);
  else if (legend) legend.remove();
  else if (look.legend) plot.before(look.legend);
  plot.replaceChildren(...drawings(look, tools));
}

/**
 * The drawing at each width.
 *
 * @param {Look} look
 * @param {Tools} tools
 */
function drawings(look, tools) {
  const widths = tools.widths();
  return widths.map((width, index) => (
    look.draw(width, widths.length === 1 ? "bp-svg" : index === 0 ? "bp-svg bp-svg--wide" : "bp-svg bp-svg--narrow")));
}
