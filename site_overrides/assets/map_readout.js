/**
 * What there is to read in a map: cell by cell, along both its axes.
 *
 * @typedef {import("./protocol.js").RegionMap} RegionMap
 * @typedef {import("./protocol.js").Axis} Axis
 * @typedef {{ row: number, column: number }} Place
 */

import { svg } from "./dom.js";
import { edgesOf } from "./map.js";
import { readOut } from "./readout.js";

const STRIDE = 10;
/** Columns and rows to go by each key; rows rise. @type {Record<string, [number, number]>} */
const MOVES = {
  ArrowRight: [1, 0], ArrowLeft: [-1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1],
  PageUp: [0, STRIDE], PageDown: [0, -STRIDE], Home: [-Infinity, 0], End: [Infinity, 0],
};

/**
 * @param {HTMLElement} figure
 * @param {RegionMap} map
 */
export function addMapReadout(figure, map) {
  const [rows, columns] = [map.cells.length, map.cells[0].length];
  readOut(figure, {
    name: map.title,
    help: "Arrow keys read place by place.",
    open: (key) => (key in MOVES ? opening(map) : null),
    step: (/** @type {Place} */ { row, column }, key) => {
      if (!(key in MOVES)) return null;
      const [along, up] = MOVES[key];
      return { row: limited(row + up, rows), column: limited(column + along, columns) };
    },
    nearest: (x, y, frame) => {
      const { xs, ys } = edgesOf(map, frame);
      return {
        column: limited(xs.findLastIndex((edge) => edge <= x), columns),
        row: limited(ys.findLastIndex((edge) => edge >= y), rows),
      };
    },
    text: ({ row, column }) => {
      const region = map.cells[row][column];
      return `${quantity(map.x)} ${map.x_texts[column]}, ${quantity(map.y)} ${map.y_texts[row]}: `
        + `${region < 0 ? map.nowhere : map.regions[region]}`;
    },
    cursor: ({ row, column }, frame) => {
      const { xs, ys } = edgesOf(map, frame);
      return svg(document, "g", { class: "bp-cursor", "aria-hidden": "true", fill: "none" }, ...[[5, "paper"], [2, "accent"]].map(
        ([thick, role]) => svg(document, "rect", {
          x: xs[column] - 2, y: ys[row + 1] - 2, width: xs[column + 1] - xs[column] + 4, height: ys[row] - ys[row + 1] + 4,
          stroke: `var(--bp-${role})`, "stroke-width": thick,
        })));
    },
  });
}

/** Reading begins at the present setting where one is marked, else in the middle. @param {RegionMap} map @returns {Place} */
function opening(map) {
  const mark = map.marks.find((entry) => entry.emphasis) ?? map.marks[0];
  const [rows, columns] = [map.cells.length, map.cells[0].length];
  if (!mark) return { row: rows >> 1, column: columns >> 1 };
  return {
    row: limited(map.y_edges.findLastIndex((edge) => edge <= mark.y), rows),
    column: limited(map.x_edges.findLastIndex((edge) => edge <= mark.x), columns),
  };
}

/** What runs along an axis, without its unit. @param {Axis} axis */
function quantity(axis) {
  return axis.label.split(" [")[0];
}

/**
 * @param {number} index
 * @param {number} count
 */
function limited(index, count) {
  return Math.min(Math.max(index, 0), count - 1);
}
