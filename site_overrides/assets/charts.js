/**
 * Draws a chart of an answer as a figure: in the page, and at build time under Node.
 *
 * @typedef {import("./protocol.js").Chart} Chart
 * @typedef {import("./chart_frame.js").Frame} Frame
 * @typedef {import("./picture.js").Look} Look
 */

import { axes, dots, gridLines, labelled, sheet, short } from "./axes.js";
import { across, down, layOut, placeLabels } from "./chart_frame.js";
import { element, svg } from "./dom.js";
import { picture } from "./picture.js";

/** Lines differ in dashes as well as in colour. */
const DASHES = [null, "7 4", "2 3", "11 3 2 3", "16 4"];
/** Beyond any sheet: a line that leaves the frame need not be followed further. */
const FAR = 9999;

export const { figure: chartFigure, renew: renewChart } = picture(chartLook);

/**
 * @param {Chart} chart
 * @param {Document} document
 * @returns {Look}
 */
function chartLook(chart, document) {
  return {
    kind: "bp-chart",
    legend: chart.series.length > 1 ? legend(chart, document) : null,
    draw: (width, kind) => draw(chart, width, kind, document),
  };
}

/**
 * @param {Chart} chart
 * @param {number} width
 * @param {string} kind
 * @param {Document} document
 * @returns {SVGElement}
 */
function draw(chart, width, kind, document) {
  const { frame, ruleLabels } = layOut(chart, width);
  return sheet(document, frame, kind, chart.title,
    gridLines(document, chart.x, chart.y, frame),
    ...axes(document, chart.x, chart.y, frame),
    rules(chart, frame, document),
    lines(chart, frame, document),
    dots(document, chart.marks, chart.x, chart.y, frame),
    ...[...ruleLabels, ...placeLabels(chart, frame)].flatMap((label) => labelled(document, label)));
}

/**
 * @param {Chart} chart
 * @param {Frame} frame
 * @param {Document} document
 */
function rules(chart, frame, document) {
  const paths = chart.rules.map(({ axis, value }) => (axis === "x"
    ? `M${short(across(chart.x, value, frame))} ${frame.top}V${frame.bottom}`
    : `M${frame.left} ${short(down(chart.y, value, frame))}H${frame.right}`));
  return paths.length > 0 && svg(document, "path", {
    d: paths.join(""), stroke: "var(--bp-muted)", "stroke-dasharray": "4 3", fill: "none", "data-mark": "rules",
  });
}

/**
 * The lines, cut off at the frame: a sheet within the sheet shows nothing beyond its own edge.
 *
 * @param {Chart} chart
 * @param {Frame} frame
 * @param {Document} document
 */
function lines(chart, frame, document) {
  const [width, height] = [frame.right - frame.left, frame.bottom - frame.top];
  return svg(document, "svg", {
    x: frame.left, y: frame.top, width, height, viewBox: `${frame.left} ${frame.top} ${width} ${height}`, overflow: "hidden",
  },
  svg(document, "g", { "data-mark": "line", fill: "none", "stroke-width": 2, "stroke-linejoin": "round" },
    ...chart.series.map((series, index) => svg(document, "path", { d: linePath(series, chart, frame), ...line(index) }))));
}

/**
 * @param {import("./protocol.js").Series} series
 * @param {Chart} chart
 * @param {Frame} frame
 */
function linePath({ x, y }, chart, frame) {
  let path = "";
  for (let index = 0; index < x.length; index += 1) {
    const place = down(chart.y, y[index], frame);
    path += `${index ? "L" : "M"}${short(across(chart.x, x[index], frame))} ${short(Math.min(Math.max(place, -FAR), FAR))}`;
  }
  return path;
}

/** @param {number} index */
function line(index) {
  return { stroke: `var(--bp-line-${(index % DASHES.length) + 1})`, "stroke-dasharray": DASHES[index % DASHES.length] };
}

/**
 * @param {Chart} chart
 * @param {Document} document
 */
function legend(chart, document) {
  return element(document, "ul", { class: "bp-legend" }, ...chart.series.map((series, index) => {
    const look = { x1: 0, y1: 6, x2: 34, y2: 6, "stroke-width": 2, ...line(index) };
    const sample = svg(document, "svg", { width: 34, height: 12, "aria-hidden": "true" }, svg(document, "line", look));
    return element(document, "li", {}, sample, series.label);
  }));
}
