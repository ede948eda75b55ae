/**
 * Draws a sheet to print: words, tables, and drawings in millimetres of paper.
 *
 * @typedef {import("./protocol.js").Sheet} Sheet
 * @typedef {import("./protocol.js").WordsBlock} WordsBlock
 * @typedef {import("./protocol.js").GridBlock} GridBlock
 * @typedef {import("./protocol.js").PictureBlock} PictureBlock
 */

import { drawingSvg, roomForWords } from "./drawing.js";
import { element } from "./dom.js";

const PIXEL = 25.4 / 96; // millimetres
const SOURCE = "Borrowed Power, a reference for receivers without a battery";

/**
 * @param {Sheet} sheet
 * @param {{ document: Document }} tools
 */
export function sheetLeaf(sheet, tools) {
  const { document } = tools;
  return element(document, "article", { class: "bp-leaf", "data-paper": sheet.paper, "data-turned": sheet.turned },
    element(document, "h1", {}, sheet.title),
    element(document, "p", { class: "bp-leaf-lead" }, sheet.lead),
    ...sheet.blocks.map((block) => blockElement(block, tools)),
    element(document, "p", { class: "bp-leaf-source" }, SOURCE));
}

/**
 * @param {Sheet["blocks"][number]} block
 * @param {{ document: Document }} tools
 */
function blockElement(block, tools) {
  switch (block.block) {
    case "words":
      return wordsElement(block, tools);
    case "grid":
      return gridElement(block, tools);
    case "picture":
      return pictureElement(block, tools);
  }
}

/**
 * @param {WordsBlock} words
 * @param {{ document: Document }} tools
 */
function wordsElement({ heading, paragraphs, kind }, { document }) {
  return element(document, "div", { class: `bp-leaf-words bp-leaf-${kind}` },
    heading && element(document, "h2", {}, heading),
    ...paragraphs.map((text) => element(document, "p", {}, kind === "caution" && element(document, "strong", {}, "Caution: "), text)));
}

/**
 * @param {GridBlock} grid
 * @param {{ document: Document }} tools
 */
function gridElement({ title, heads, rows, shares, numbers, row_height: rowHeight }, { document }) {
  const sort = (/** @type {number} */ column) => (numbers.includes(column) ? "bp-number" : "bp-words");
  const table = element(document, "table", { class: rowHeight ? "bp-leaf-grid bp-leaf-ruled" : "bp-leaf-grid" },
    element(document, "caption", {}, title),
    element(document, "colgroup", {}, ...shares.map((share) => {
      const column = element(document, "col");
      column.style.width = `${share * 100}%`;
      return column;
    })),
    heads.length > 0 && element(document, "thead", {}, element(document, "tr", {},
      ...heads.map((head, index) => element(document, "th", { scope: "col", class: sort(index) }, head)))),
    element(document, "tbody", {}, ...rows.map((row) => element(document, "tr", {}, ...row.map((text, index) => (
      index === 0
        ? element(document, "th", { scope: "row", class: sort(index) }, text)
        : element(document, "td", { class: sort(index) }, text)))))));
  if (rowHeight) for (const row of table.tBodies[0].rows) row.style.height = `${rowHeight}mm`;
  return table;
}

/**
 * @param {PictureBlock} picture
 * @param {{ document: Document }} tools
 */
function pictureElement({ drawing, true_size: trueSize, width, height }, tools) {
  const drawn = trueSize
    ? trueSvg(drawing, tools)
    : drawingSvg(drawing, roomForWords(drawing), { width: `${width}mm`, height: `${height}mm` }, tools);
  return element(tools.document, "figure", { class: "bp-leaf-picture", "data-key": drawing.key, "data-true-size": trueSize },
    element(tools.document, "figcaption", {}, drawing.title), drawn);
}

/**
 * A drawing whose lengths are millimetres of paper. Browsers make a picture a whole number of pixels wide and high, and would squeeze
 * it to fit; so its box is widened to whole pixels first.
 *
 * @param {import("./protocol.js").Drawing} drawing
 * @param {{ document: Document }} tools
 */
function trueSvg(drawing, tools) {
  const [left, top, ...sides] = drawing.box;
  const [width, height] = sides.map((side) => Math.ceil(side / PIXEL - 1e-6));
  return drawingSvg(drawing, [left, top, width * PIXEL, height * PIXEL], { width, height }, tools);
}
