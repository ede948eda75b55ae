/**
 * Reads a chart out: by pointer, by finger, and by the arrow keys. All texts come with the chart.
 *
 * @typedef {import("./protocol.js").Chart} Chart
 * @typedef {{ series: number, point: number }} Place
 * @typedef {import("./chart_frame.js").Frame} Frame
 */

import { across, down } from "./chart_frame.js";
import { svg } from "./dom.js";

const STRIDE = 10;

/**
 * @param {HTMLElement} figure
 * @param {Chart} chart
 */
export function addReadout(figure, chart) {
  const plot = /** @type {HTMLElement} */ (figure.querySelector(".bp-plot"));
  const line = /** @type {HTMLElement} */ (figure.querySelector(".bp-readout"));
  if (chart.series.every((series) => series.x.length === 0)) return;
  /** @type {Place} */
  let place = { series: 0, point: 0 };
  let shown = false;

  plot.tabIndex = 0;
  plot.setAttribute("role", "application");
  plot.setAttribute("aria-roledescription", "chart to read");
  plot.setAttribute("aria-label", `${chart.title}. Left and right arrow keys read point by point`
    + `${chart.series.length > 1 ? ", up and down change the line" : ""}.`);

  /** @param {Place} next */
  const show = (next) => {
    place = next;
    shown = true;
    const series = chart.series[place.series];
    const text = series.texts[place.point];
    line.textContent = chart.series.length > 1 ? `${series.label}, ${text}` : text;
    const drawing = visibleDrawing(plot);
    if (drawing) moveCursor(drawing, chart, place);
  };
  const hide = () => {
    shown = false;
    line.textContent = "";
    for (const cursor of plot.querySelectorAll(".bp-cursor")) cursor.remove();
  };

  plot.addEventListener("keydown", (event) => {
    if (event.key === "Escape") return hide();
    const next = shown ? step(chart, place, event.key) : opening(chart, event.key);
    if (!next) return;
    event.preventDefault();
    event.stopPropagation();
    show(next);
  });
  /** @param {PointerEvent} event */
  const follow = (event) => {
    const drawing = visibleDrawing(plot);
    if (drawing) show(nearest(chart, drawing, event));
  };
  plot.addEventListener("pointermove", follow);
  plot.addEventListener("pointerdown", follow);
  plot.addEventListener("pointerleave", (event) => event.pointerType === "mouse" && hide());
  plot.addEventListener("blur", hide);
}

/** @param {HTMLElement} plot */
function visibleDrawing(plot) {
  return [.../** @type {NodeListOf<SVGSVGElement>} */ (plot.querySelectorAll(".bp-svg"))].find((drawing) => drawing.clientWidth > 0);
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
 * @param {SVGSVGElement} drawing
 * @param {PointerEvent} event
 * @returns {Place}
 */
function nearest(chart, drawing, event) {
  const frame = frameOf(drawing);
  const bounds = drawing.getBoundingClientRect();
  const scale = drawing.viewBox.baseVal.width / bounds.width;
  const [x, y] = [(event.clientX - bounds.left) * scale, (event.clientY - bounds.top) * scale];
  let best = { series: 0, point: 0, far: Infinity };
  chart.series.forEach((series, index) => series.x.forEach((value, point) => {
    const far = Math.hypot(4 * (across(chart.x, value, frame) - x), down(chart.y, series.y[point], frame) - y);
    if (far < best.far) best = { series: index, point, far };
  }));
  return best;
}

/**
 * @param {SVGSVGElement} drawing
 * @returns {Frame}
 */
function frameOf(drawing) {
  const [left, top, right, bottom] = (drawing.dataset.frame ?? "").split(" ").map(Number);
  return { left, top, right, bottom, width: drawing.viewBox.baseVal.width, height: drawing.viewBox.baseVal.height };
}

/**
 * @param {SVGSVGElement} drawing
 * @param {Chart} chart
 * @param {Place} place
 */
function moveCursor(drawing, chart, place) {
  const frame = frameOf(drawing);
  const series = chart.series[place.series];
  const x = across(chart.x, series.x[place.point], frame);
  const y = Math.min(Math.max(down(chart.y, series.y[place.point], frame), frame.top), frame.bottom);
  drawing.querySelector(".bp-cursor")?.remove();
  drawing.append(svg(document, "g", { class: "bp-cursor", "aria-hidden": "true" },
    svg(document, "line", { x1: x, x2: x, y1: frame.top, y2: frame.bottom, stroke: "currentColor", "stroke-width": 1 }),
    svg(document, "circle", { cx: x, cy: y, r: 5, fill: "var(--bp-accent)", stroke: "var(--bp-paper)", "stroke-width": 2 })));
}
