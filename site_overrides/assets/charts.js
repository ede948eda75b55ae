/**
 * Draws a chart of an answer as a figure: in the page, and at build time under Node.
 *
 * @typedef {import("./protocol.js").Chart} Chart
 * @typedef {import("./chart_frame.js").Frame} Frame
 * @typedef {import("./chart_frame.js").Label} Label
 * @typedef {typeof import("./vendor/plot.entry.js")} PlotLibrary
 * @typedef {{ document: Document, Plot: PlotLibrary, widths: () => number[] }} Tools
 *     What drawing needs: a document, the charting library, and how wide charts are to be: one drawing for each width.
 */

import { layOut, placeLabels, ticksThatFit, TYPE } from "./chart_frame.js";
import { element, svg } from "./dom.js";

/** Lines differ in dashes as well as in colour. */
const DASHES = [null, "7 4", "2 3", "11 3 2 3", "16 4"];

let drawn = 0;

/**
 * @param {Chart} chart
 * @param {Tools} tools
 * @returns {HTMLElement}
 */
export function chartFigure(chart, tools) {
  const { document } = tools;
  return element(document, "figure", { class: "bp-chart", "data-key": chart.key },
    element(document, "figcaption", {},
      element(document, "p", { class: "bp-caption" }, chart.title),
      element(document, "p", { class: "bp-summary" }, chart.summary)),
    chart.series.length > 1 && legend(chart, document),
    element(document, "div", { class: "bp-plot", "data-search-exclude": true }, ...drawings(chart, tools)),
    element(document, "p", { class: "bp-readout", "aria-live": "polite" }));
}

/**
 * The chart's drawing at each width.
 *
 * @param {Chart} chart
 * @param {Tools} tools
 * @returns {SVGElement[]}
 */
export function drawings(chart, tools) {
  const widths = tools.widths();
  return widths.map((width, index) => {
    const kind = widths.length === 1 ? "bp-svg" : index === 0 ? "bp-svg bp-svg--wide" : "bp-svg bp-svg--narrow";
    return draw(chart, width, kind, tools);
  });
}

/**
 * @param {Chart} chart
 * @param {number} width
 * @param {string} kind
 * @param {Tools} tools
 * @returns {SVGElement}
 */
function draw(chart, width, kind, { document, Plot }) {
  const { frame, ruleLabels } = layOut(chart, width);
  const made = /** @type {SVGElement} */ (/** @type {unknown} */ (Plot.plot({
    document,
    className: "bp-plotted",
    width,
    height: frame.height,
    marginLeft: frame.left,
    marginTop: frame.top,
    marginRight: width - frame.right,
    marginBottom: frame.height - frame.bottom,
    x: { type: chart.x.log ? "log" : "linear", domain: [chart.x.least, chart.x.most], label: null },
    y: { type: chart.y.log ? "log" : "linear", domain: [chart.y.least, chart.y.most], label: null },
    marks: [...axes(chart, frame, Plot), ...rules(chart, Plot), ...lines(chart, Plot), ...marks(chart, Plot)],
  })));
  tidy(made, chart, kind, frame);
  for (const label of [...ruleLabels, ...placeLabels(chart, frame)]) made.append(...labelled(label, document));
  made.append(
    words(document, { x: 2, y: TYPE / 2 + 2, anchor: "start", text: chart.y.label }),
    words(document, { x: frame.right, y: frame.height - TYPE / 2 - 2, anchor: "end", text: chart.x.label }),
  );
  return made;
}

/**
 * @param {Chart} chart
 * @param {Frame} frame
 * @param {PlotLibrary} Plot
 */
function axes(chart, frame, Plot) {
  const acrossTicks = ticksThatFit(chart.x, frame);
  const grid = { stroke: "var(--bp-grid)", strokeOpacity: 1 };
  // all ticks are given: the library must not choose among their texts, as it would on a logarithmic axis
  const look = { ticks: Infinity, tickSize: 5, label: null, fontSize: TYPE };
  return [
    Plot.gridX(chart.x.ticks.map((tick) => tick.value), grid),
    Plot.gridY(chart.y.ticks.map((tick) => tick.value), grid),
    Plot.ruleY([chart.y.least], { stroke: "currentColor" }),
    Plot.ruleX([chart.x.least], { stroke: "currentColor" }),
    Plot.axisX(acrossTicks.map((tick) => tick.value), { tickFormat: textOf(acrossTicks), ...look }),
    Plot.axisY(chart.y.ticks.map((tick) => tick.value), { tickFormat: textOf(chart.y.ticks), ...look }),
  ];
}

/**
 * The library asks for a tick's text by its value alone when the axis is logarithmic.
 *
 * @param {import("./protocol.js").Tick[]} ticks
 * @returns {(value: number) => string}
 */
function textOf(ticks) {
  return (value) => ticks.find((tick) => tick.value === value)?.text ?? "";
}

/**
 * @param {Chart} chart
 * @param {PlotLibrary} Plot
 */
function rules(chart, Plot) {
  const look = { stroke: "var(--bp-muted)", strokeWidth: 1, strokeDasharray: "4 3" };
  return chart.rules.map((rule) => (rule.axis === "x" ? Plot.ruleX([rule.value], look) : Plot.ruleY([rule.value], look)));
}

/**
 * @param {Chart} chart
 * @param {PlotLibrary} Plot
 */
function lines(chart, Plot) {
  return chart.series.map((series, index) => Plot.line(series.x, {
    x: series.x,
    y: series.y,
    stroke: `var(--bp-line-${(index % DASHES.length) + 1})`,
    strokeWidth: 2,
    ...(DASHES[index % DASHES.length] ? { strokeDasharray: /** @type {string} */ (DASHES[index % DASHES.length]) } : {}),
    clip: true,
  }));
}

/**
 * @param {Chart} chart
 * @param {PlotLibrary} Plot
 */
function marks(chart, Plot) {
  return [false, true].map((emphasis) => Plot.dot(chart.marks.filter((mark) => mark.emphasis === emphasis), {
    x: "x",
    y: "y",
    r: emphasis ? 5.5 : 4,
    stroke: emphasis ? "var(--bp-accent)" : "currentColor",
    fill: emphasis ? "var(--bp-accent)" : "var(--bp-paper)",
    strokeWidth: 1.6,
  }));
}

/**
 * Gives the library's drawing our name, type and look: its own style sheet would be refused by a strict policy, its names for
 * clipped parts would meet those of other charts, and its labels for groups of lines are not allowed on plain groups.
 *
 * @param {SVGElement} made
 * @param {Chart} chart
 * @param {string} kind
 * @param {Frame} frame
 */
function tidy(made, chart, kind, frame) {
  for (const style of made.querySelectorAll("style")) style.remove();
  for (const group of made.querySelectorAll("g[aria-label]")) {
    group.setAttribute("data-mark", group.getAttribute("aria-label") ?? "");
    group.removeAttribute("aria-label");
  }
  made.setAttribute("class", kind);
  made.setAttribute("role", "img");
  made.setAttribute("aria-label", chart.title);
  made.setAttribute("font-size", String(TYPE));
  made.removeAttribute("font-family");
  made.setAttribute("data-frame", [frame.left, frame.top, frame.right, frame.bottom].join(" "));
  drawn += 1;
  for (const clip of made.querySelectorAll("clipPath")) {
    const name = `bp-${chart.key}-${drawn}-${clip.id}`;
    for (const user of made.querySelectorAll(`[clip-path="url(#${clip.id})"]`)) user.setAttribute("clip-path", `url(#${name})`);
    clip.id = name;
  }
}

/**
 * @param {Label} label
 * @param {Document} document
 */
function labelled(label, document) {
  const [x1, y1, x2, y2] = label.leader ?? [0, 0, 0, 0];
  const leader = label.leader ? [svg(document, "line", { x1, y1, x2, y2, stroke: "var(--bp-muted)" })] : [];
  return [...leader, words(document, label)];
}

/**
 * @param {Document} document
 * @param {{ x: number, y: number, anchor: string, text: string }} label
 */
function words(document, { x, y, anchor, text }) {
  const halo = { stroke: "var(--bp-paper)", "stroke-width": 4, "stroke-linejoin": "round", "paint-order": "stroke" };
  return svg(document, "text", { x, y, dy: "0.32em", "text-anchor": anchor, ...halo }, text);
}

/**
 * @param {Chart} chart
 * @param {Document} document
 */
function legend(chart, document) {
  return element(document, "ul", { class: "bp-legend" }, ...chart.series.map((series, index) => {
    const look = {
      x1: 0, y1: 6, x2: 34, y2: 6,
      stroke: `var(--bp-line-${(index % DASHES.length) + 1})`, "stroke-width": 2,
      "stroke-dasharray": DASHES[index % DASHES.length],
    };
    const sample = svg(document, "svg", { width: 34, height: 12, "aria-hidden": "true" }, svg(document, "line", look));
    return element(document, "li", {}, sample, series.label);
  }));
}
