/**
 * What there is to read in a chart: point by point along each line.
 *
 * @typedef {import("./protocol.js").Chart} Chart
 * @typedef {{ series: number, point: number }} Place
 * @typedef {import("./chart_frame.js").Frame} Frame
 */

import { across, down } from "./chart_frame.js";
import { svg } from "./dom.js";
import { readOut } from "./readout.js";

const STRIDE = 10;

/**
 * @param {HTMLElement} figure
 * @param {Chart} chart
 */
export function addReadout(figure, chart) {
  if (chart.series.every((series) => series.x.length === 0)) return;
  const several = chart.series.length > 1;
  readOut(figure, {
    name: chart.title,
    help: `Left and right arrow keys read point by point${several ? ", up and down change the line" : ""}.`,
    open: (key) => opening(chart, key),
    step: (/** @type {Place} */ place, key) => step(chart, place, key),
    nearest: (x, y, frame) => nearest(chart, x, y, frame),
    text: ({ series, point }) => {
      const { label, texts } = chart.series[series];
      return several ? `${label}, ${texts[point]}` : texts[point];
    },
    cursor: (place, frame) => cursor(chart, place, frame),
  });
}

/**
 * @param {Chart} chart
 * @param {string} key
 * @returns {Place | null}
 */
function opening(chart, key) {
  const series = chart.series.findIndex((entry) => entry.x.length > 0);
  return ["ArrowLeft", "ArrowRight", "ArrowUp", "ArrowDown", "Home"].includes(key)
    ? { series, point: 0 }
    : key === "End" ? { series, point: chart.series[series].x.length - 1 } : null;
}

/**
 * @param {Chart} chart
 * @param {Place} place
 * @param {string} key
 * @returns {Place | null}
 */
function step(chart, place, key) {
  const last = chart.series[place.series].x.length - 1;
  /** @type {Record<string, number>} */
  const moves = { ArrowRight: 1, ArrowLeft: -1, PageUp: STRIDE, PageDown: -STRIDE, Home: -last, End: last };
  if (key in moves) return { ...place, point: Math.min(Math.max(place.point + moves[key], 0), last) };
  const turn = key === "ArrowUp" ? -1 : key === "ArrowDown" ? 1 : 0;
  if (!turn) return null;
  const lines = chart.series.map((_, index) => index).filter((index) => chart.series[index].x.length > 0);
  const series = lines[(lines.indexOf(place.series) + turn + lines.length) % lines.length];
  const x = chart.series[place.series].x[place.point];
  return { series, point: closest(chart.series[series].x, x) };
}

/**
 * @param {number[]} values
 * @param {number} wanted
 */
function closest(values, wanted) {
  let best = 0;
  for (let index = 1; index < values.length; index += 1) {
    if (Math.abs(values[index] - wanted) < Math.abs(values[best] - wanted)) best = index;
  }
  return best;
}

/**
 * The point whose place is nearest to the pointer: mainly along, so that a line far above still answers.
 *
 * @param {Chart} chart
 * @param {number} x
 * @param {number} y
 * @param {Frame} frame
 * @returns {Place}
 */
function nearest(chart, x, y, frame) {
  let best = { series: 0, point: 0, far: Infinity };
  chart.series.forEach((series, index) => series.x.forEach((value, point) => {
    const far = Math.hypot(4 * (across(chart.x, value, frame) - x), down(chart.y, series.y[point], frame) - y);
    if (far < best.far) best = { series: index, point, far };
  }));
  return best;
}

/**
 * @param {Chart} chart
 * @param {Place} place
 * @param {Frame} frame
 */
function cursor(chart, place, frame) {
  const series = chart.series[place.series];
  const x = across(chart.x, series.x[place.point], frame);
  const y = Math.min(Math.max(down(chart.y, series.y[place.point], frame), frame.top), frame.bottom);
  return svg(document, "g", { class: "bp-cursor", "aria-hidden": "true" },
    svg(document, "line", { x1: x, x2: x, y1: frame.top, y2: frame.bottom, stroke: "currentColor", "stroke-width": 1 }),
    svg(document, "circle", { cx: x, cy: y, r: 5, fill: "var(--bp-accent)", stroke: "var(--bp-paper)", "stroke-width": 2 }));
}
