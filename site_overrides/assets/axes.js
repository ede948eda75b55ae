/**
 * What every picture with axes has: the sheet to draw on, grid, axes with their ticks, labelled points, words with a halo.
 *
 * @typedef {import("./protocol.js").Axis} Axis
 * @typedef {import("./protocol.js").Mark} Mark
 * @typedef {import("./protocol.js").Tick} Tick
 * @typedef {import("./chart_frame.js").Frame} Frame
 * @typedef {import("./chart_frame.js").Label} Label
 */

import { across, down, ticksThatFit, TYPE } from "./chart_frame.js";
import { svg } from "./dom.js";

const TICK = 5;

/** A length without digits that no screen shows. @param {number} length */
export function short(length) {
  return Math.round(length * 10) / 10;
}

/**
 * @param {Document} document
 * @param {Frame} frame
 * @param {string} kind
 * @param {string} name  what it shows, for those who do not see it
 * @param {...(Node | null | false)} children
 */
export function sheet(document, frame, kind, name, ...children) {
  return svg(document, "svg", {
    class: kind, width: frame.width, height: frame.height, viewBox: `0 0 ${frame.width} ${frame.height}`,
    fill: "currentColor", "font-size": TYPE, role: "img", "aria-label": name,
    "data-frame": [frame.left, frame.top, frame.right, frame.bottom].join(" "),
  }, ...children);
}

/**
 * @param {Document} document
 * @param {Axis} x
 * @param {Axis | null} y
 * @param {Frame} frame
 */
export function gridLines(document, x, y, frame) {
  const upright = x.ticks.map((tick) => `M${short(across(x, tick.value, frame))} ${frame.top}V${frame.bottom}`);
  const level = (y?.ticks ?? []).map((tick) => `M${frame.left} ${short(down(/** @type {Axis} */ (y), tick.value, frame))}H${frame.right}`);
  return svg(document, "path", { d: [...upright, ...level].join(""), stroke: "var(--bp-grid)", fill: "none" });
}

/**
 * @param {Document} document
 * @param {Axis} x
 * @param {Axis} y
 * @param {Frame} frame
 * @returns {SVGElement[]}
 */
export function axes(document, x, y, frame) {
  return [
    svg(document, "path", {
      d: `M${frame.left} ${frame.top}V${frame.bottom}H${frame.right}`
        + y.ticks.map((tick) => `M${frame.left} ${short(down(y, tick.value, frame))}h${-TICK}`).join(""),
      stroke: "currentColor", fill: "none",
    }),
    ...acrossTicks(document, x, frame),
    svg(document, "g", { "text-anchor": "end", "data-mark": "ticks" }, ...y.ticks.map((tick) => (
      svg(document, "text", { x: frame.left - TICK - 3, y: short(down(y, tick.value, frame)), dy: "0.32em" }, tick.text)))),
    plain(document, { x: 2, y: TYPE / 2 + 2, anchor: "start", text: y.label }),
    plain(document, { x: frame.right, y: frame.height - TYPE / 2 - 2, anchor: "end", text: x.label }),
  ];
}

/**
 * Ticks below the frame, as many as there is room for.
 *
 * @param {Document} document
 * @param {Axis} x
 * @param {Frame} frame
 * @returns {SVGElement[]}
 */
export function acrossTicks(document, x, frame) {
  const ticks = ticksThatFit(x, frame);
  const places = ticks.map((tick) => short(across(x, tick.value, frame)));
  return [
    svg(document, "path", {
      d: places.map((place) => `M${place} ${frame.bottom}v${TICK}`).join(""), stroke: "currentColor", fill: "none",
    }),
    svg(document, "g", { "text-anchor": "middle", "data-mark": "ticks" }, ...ticks.map((tick, index) => (
      svg(document, "text", { x: places[index], y: frame.bottom + TICK + 9, dy: "0.32em" }, tick.text)))),
  ];
}

/**
 * Dots of labelled points, the emphasised ones on top.
 *
 * @param {Document} document
 * @param {Mark[]} marks
 * @param {Axis} x
 * @param {Axis} y
 * @param {Frame} frame
 */
export function dots(document, marks, x, y, frame) {
  return svg(document, "g", { "data-mark": "dot", "stroke-width": 1.6 },
    ...marks.toSorted((a, b) => Number(a.emphasis) - Number(b.emphasis)).map((mark) => svg(document, "circle", {
      cx: short(across(x, mark.x, frame)), cy: short(down(y, mark.y, frame)), r: mark.emphasis ? 5.5 : 4,
      stroke: mark.emphasis ? "var(--bp-accent)" : "currentColor", fill: mark.emphasis ? "var(--bp-accent)" : "var(--bp-paper)",
    })));
}

/**
 * @param {Document} document
 * @param {Label} label
 */
export function labelled(document, label) {
  const [x1, y1, x2, y2] = label.leader ?? [0, 0, 0, 0];
  const leader = label.leader ? [svg(document, "line", { x1, y1, x2, y2, stroke: "var(--bp-muted)" })] : [];
  return [...leader, words(document, label)];
}

/**
 * Words that stay readable over lines.
 *
 * @param {Document} document
 * @param {{ x: number, y: number, anchor: string, text: string }} label
 */
export function words(document, { x, y, anchor, text }) {
  const halo = { stroke: "var(--bp-paper)", "stroke-width": 4, "stroke-linejoin": "round", "paint-order": "stroke" };
  return svg(document, "text", { x: short(x), y: short(y), dy: "0.32em", "text-anchor": anchor, ...halo }, text);
}

/**
 * @param {Document} document
 * @param {{ x: number, y: number, anchor: string, text: string }} label
 */
export function plain(document, { x, y, anchor, text }) {
  return svg(document, "text", { x: short(x), y: short(y), dy: "0.32em", "text-anchor": anchor }, text);
}
