/**
 * Draws a map of an answer as a figure: in the page, and at build time under Node. Each region has its own hatching and its letter,
 * so that it can be told apart without colour.
 *
 * @typedef {import("./protocol.js").RegionMap} RegionMap
 * @typedef {import("./chart_frame.js").Frame} Frame
 * @typedef {import("./picture.js").Look} Look
 * @typedef {{ xs: number[], ys: number[] }} Edges  Where the edges of columns and rows lie on the sheet.
 */

import { axes, dots, labelled, plain, sheet, short } from "./axes.js";
import { across, down, layOut, placeLabels } from "./chart_frame.js";
import { element, newName, svg } from "./dom.js";
import { picture } from "./picture.js";
import { boundaries, largestBlock, patches } from "./regions.js";

const LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ";
const DISC = 10;
/** A tile of each hatching: how large, what is drawn in it, how thick, and how far it is turned. */
const TILES = [
  { size: 6, d: "M0 3H6", thick: 1.3, turn: 45 },
  { size: 8, d: "M4 4h0.01", thick: 3, turn: 0 },
  { size: 6, d: "M0 3H6", thick: 1.3, turn: -45 },
  { size: 8, d: "M0 4H8M4 0V8", thick: 0.9, turn: 0 },
  { size: 5, d: "M0 2.5H5", thick: 1.2, turn: 0 },
  { size: 12, d: "M0 6H12", thick: 3, turn: 45 },
  { size: 5, d: "M0 2.5H5", thick: 1.2, turn: 90 },
  { size: 9, d: "M0 4.5H9M4.5 0V9", thick: 0.9, turn: 45 },
  { size: 5, d: "M2.5 2.5h0.01", thick: 1.8, turn: 45 },
  { size: 12, d: "M0 6H12", thick: 3, turn: -45 },
  { size: 10, d: "M0 3H10M0 6H10", thick: 1, turn: 90 },
  { size: 10, d: "M0 3H10M0 6H10", thick: 1, turn: 30 },
];
const COLOURS = 5;

export const { figure: mapFigure, renew: renewMap } = picture(mapLook);

/**
 * @param {RegionMap} map
 * @param {Document} document
 * @returns {Look}
 */
function mapLook(map, document) {
  return {
    kind: "bp-map",
    legend: legend(map, document),
    draw: (width, kind) => draw(map, width, kind, document),
  };
}

/**
 * @param {RegionMap} map
 * @param {number} width
 * @param {string} kind
 * @param {Document} document
 */
function draw(map, width, kind, document) {
  const { frame } = layOut({ ...map, rules: [] }, width);
  const edges = edgesOf(map, frame);
  const name = newName("bp-hatching");
  const marks = map.marks.map((mark) => ({ x: across(map.x, mark.x, frame), y: down(map.y, mark.y, frame) }));
  const clear = (/** @type {{ x: number, y: number }} */ place) => marks.every(({ x, y }) => Math.hypot(place.x - x, place.y - y) > 2 * DISC);
  const present = map.regions.map((_, index) => index).filter((index) => map.cells.some((row) => row.includes(index)));
  return sheet(document, frame, kind, map.title,
    svg(document, "defs", {}, ...present.map((index) => hatching(index, `${name}-${index}`, document))),
    svg(document, "g", { "data-mark": "regions" }, ...present.map((index) => svg(document, "path", {
      d: patches(map.cells, index, edges), fill: `url(#${name}-${index})`, "data-region": index,
    }))),
    svg(document, "path", { d: boundaries(map.cells, edges), stroke: "currentColor", "stroke-width": 1.2, fill: "none", "stroke-linecap": "square" }),
    ...axes(document, map.x, map.y, frame),
    ...present.map((index) => letter(index, largestBlock(map.cells, index, edges, clear), document)),
    dots(document, map.marks, map.x, map.y, frame),
    ...placeLabels({ ...map, series: [], rules: [] }, frame).flatMap((label) => labelled(document, label)));
}

/**
 * Where the edges of a map's columns and rows lie in its frame.
 *
 * @param {RegionMap} map
 * @param {Frame} frame
 * @returns {Edges}
 */
export function edgesOf(map, frame) {
  return {
    xs: map.x_edges.map((edge) => short(across(map.x, edge, frame))),
    ys: map.y_edges.map((edge) => short(down(map.y, edge, frame))),
  };
}

/**
 * @param {number} index
 * @param {string} name
 * @param {Document} document
 */
function hatching(index, name, document) {
  const { size, d, thick, turn } = TILES[index % TILES.length];
  return svg(document, "pattern", {
    id: name, width: size, height: size, patternUnits: "userSpaceOnUse", patternTransform: turn ? `rotate(${turn})` : null,
  },
  svg(document, "path", { d, stroke: `var(--bp-line-${(index % COLOURS) + 1})`, "stroke-width": thick, "stroke-linecap": "round", fill: "none" }));
}

/**
 * @param {number} index
 * @param {{ x: number, y: number }} place
 * @param {Document} document
 */
function letter(index, { x, y }, document) {
  return svg(document, "g", { "data-mark": "letter", "font-weight": 700 },
    svg(document, "circle", { cx: short(x), cy: short(y), r: DISC, fill: "var(--bp-paper)", stroke: "currentColor" }),
    plain(document, { x, y, anchor: "middle", text: LETTERS[index % LETTERS.length] }));
}

/**
 * @param {RegionMap} map
 * @param {Document} document
 */
function legend(map, document) {
  const entry = (/** @type {Node[]} */ sample, /** @type {string} */ text) => element(document, "li", {},
    svg(document, "svg", { width: 34, height: 20, "aria-hidden": "true", class: "bp-sample" }, ...sample), text);
  const box = (/** @type {string} */ fill) => svg(document, "rect", { x: 0.5, y: 0.5, width: 33, height: 19, fill, stroke: "currentColor" });
  const entries = map.regions.map((region, index) => {
    const name = newName("bp-hatching");
    return entry([hatching(index, name, document), box(`url(#${name})`)], `${LETTERS[index % LETTERS.length]}: ${region}`);
  });
  if (map.cells.some((row) => row.includes(-1))) entries.push(entry([box("none")], map.nowhere));
  return element(document, "ul", { class: "bp-legend" }, ...entries);
}
