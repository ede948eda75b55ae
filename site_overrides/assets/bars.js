/**
 * Draws bars of an answer as a figure: in the page, and at build time under Node.
 *
 * @typedef {import("./protocol.js").Bars} Bars
 * @typedef {import("./protocol.js").Bar} Bar
 * @typedef {import("./chart_frame.js").Frame} Frame
 * @typedef {import("./picture.js").Look} Look
 * @typedef {{ stacked: boolean, over: boolean, head: number, line: number, block: number, frame: Frame, notes: boolean,
 *     ruleLabels: import("./chart_frame.js").Label[] }} Plan
 *     How the bars lie: names above their bars or beside them; texts over bars or at their ends; heights of a name, of a bar's
 *     line, and of a whole thing.
 */

import { acrossTicks, gridLines, labelled, plain, sheet, short, words } from "./axes.js";
import { across, LINE, textWidth, TYPE, uprightRuleLabels } from "./chart_frame.js";
import { element, svg } from "./dom.js";
import { picture } from "./picture.js";

const BAR = 11;
const APART = 10;
const GAP = 6;
const EDGE = 12;
/** Widest that names may stand beside their bars, and texts at their ends, as shares of the sheet. */
const NAMES = 0.3;
const TEXTS = 0.24;
const LEAST_PLOT = 200;
/** How the bars of each series are filled: full, hatched one way, empty, hatched the other way. */
const HATCHES = [{ lean: 0, solid: true }, { lean: 1, solid: false }, { lean: 0, solid: false }, { lean: -1, solid: false }];
const HATCH_STEP = 5;

export const { figure: barsFigure, renew: renewBars } = picture(barsLook);

/**
 * @param {Bars} bars
 * @param {Document} document
 * @returns {Look}
 */
function barsLook(bars, document) {
  return {
    kind: "bp-bars",
    legend: bars.series.length > 1 ? legend(bars, document) : null,
    draw: (width, kind) => draw(bars, width, kind, document),
  };
}

/**
 * @param {Bars} bars
 * @param {number} width
 * @param {string} kind
 * @param {Document} document
 */
function draw(bars, width, kind, document) {
  const plan = layOut(bars, width);
  const { frame } = plan;
  const base = short(across(bars.axis, bars.base, frame));
  const rules = bars.rules.map(({ value }) => `M${short(across(bars.axis, value, frame))} ${frame.top}V${frame.bottom}`);
  return sheet(document, frame, kind, `${bars.title}. ${bars.bars.map((bar) => told(bar, bars)).join("; ")}.`,
    gridLines(document, bars.axis, null, frame),
    ...acrossTicks(document, bars.axis, frame),
    plain(document, { x: frame.right, y: frame.height - TYPE / 2 - 2, anchor: "end", text: bars.axis.label }),
    ...bars.bars.map((bar, index) => thing(bar, frame.top + index * plan.block, base, bars, plan, document)),
    svg(document, "path", { d: `M${base} ${frame.top}V${frame.bottom}`, stroke: "currentColor", fill: "none", "data-mark": "base" }),
    rules.length > 0 && svg(document, "path", {
      d: rules.join(""), stroke: "var(--bp-muted)", "stroke-width": 1.4, "stroke-dasharray": "4 3", fill: "none", "data-mark": "rules",
    }),
    ...bars.bars.map((bar, index) => texts(bar, frame.top + index * plan.block, base, bars, plan, document)),
    ...plan.ruleLabels.flatMap((label) => labelled(document, label)));
}

/**
 * A thing's bars in words.
 *
 * @param {Bar} bar
 * @param {Bars} bars
 */
function told(bar, bars) {
  const figures = bar.texts.map((text, index) => (bars.series[index] ? `${bars.series[index]} ${text}` : text));
  return [`${bar.label}: ${figures.join(", ")}`, bar.note].filter(Boolean).join(", ");
}

/**
 * @param {Bars} bars
 * @param {number} width
 * @returns {Plan}
 */
function layOut(bars, width) {
  const widest = (/** @type {string[]} */ entries) => Math.max(0, ...entries.map(textWidth));
  const names = widest(bars.bars.map((bar) => bar.label)) + 8;
  const notes = widest(bars.bars.map((bar) => bar.note));
  const ends = widest(bars.bars.flatMap((bar) => bar.texts));
  const aside = names + (notes ? notes + 2 * GAP : 0) + ends;
  const stacked = names > NAMES * width || width - aside < LEAST_PLOT;
  const over = ends > TEXTS * (stacked ? width : width - names - notes);
  const line = over ? LINE + BAR + 3 : Math.max(BAR + 5, bars.series.length > 1 ? BAR + 5 : LINE + 2);
  const twoLines = stacked && bars.bars.some((bar) => bar.note && textWidth(bar.label) + textWidth(bar.note) + 16 > width);
  const head = stacked ? LINE * (twoLines ? 2 : 1) + 2 : 0;
  const block = head + line * bars.series.length + APART;
  const left = stacked ? EDGE : names + GAP;
  const right = width - EDGE - (over ? 0 : ends + GAP) - (stacked || !notes ? 0 : notes + 2 * GAP);
  const frame = { left, top: 4, right, bottom: 0, width, height: 0 };
  const { labels, rows } = uprightRuleLabels({ x: bars.axis, rules: bars.rules.map((rule) => ({ ...rule, axis: "x" })) }, frame);
  // labels of rules are placed for a chart, with its axis' name above them
  const ruleLabels = labels.map((label) => ({ ...label, y: label.y - LINE }));
  frame.top += rows * LINE + (rows ? 4 : 0);
  frame.bottom = frame.top + block * bars.bars.length;
  frame.height = frame.bottom + 2 * LINE + 10;
  return { stacked, over, head, line, block, frame, notes: notes > 0, ruleLabels };
}

/**
 * The bars of one thing, with their whiskers.
 *
 * @param {Bar} bar
 * @param {number} top
 * @param {number} base
 * @param {Bars} bars
 * @param {Plan} plan
 * @param {Document} document
 */
function thing(bar, top, base, bars, plan, document) {
  const group = svg(document, "g", { "data-mark": "bar", "data-emphasis": bar.emphasis || null });
  bar.values.forEach((value, index) => {
    if (value === null) return;
    const place = within(across(bars.axis, value, plan.frame), plan.frame);
    const y = barTop(top, index, plan);
    group.append(...rod(Math.min(base, place), Math.max(base, place), y, index, bar.emphasis, document));
    const span = bar.spans[index];
    if (span) group.append(whisker(span.map((end) => short(within(across(bars.axis, end, plan.frame), plan.frame))), y + BAR / 2, document));
  });
  return group;
}

/**
 * @param {number} left
 * @param {number} right
 * @param {number} top
 * @param {number} series
 * @param {boolean} emphasis
 * @param {Document} document
 */
function rod(left, right, top, series, emphasis, document) {
  const { lean, solid } = HATCHES[series % HATCHES.length];
  const colour = emphasis ? "var(--bp-accent)" : series % 2 ? "var(--bp-line-2)" : "var(--bp-bar)";
  const box = svg(document, "rect", {
    x: short(left), y: short(top), width: short(Math.max(right - left, 0.6)), height: BAR,
    fill: solid ? colour : "var(--bp-paper)", stroke: colour, "stroke-width": 1.2,
  });
  if (!lean) return [box];
  return [box, svg(document, "path", { d: hatch(left, right, top, lean), stroke: colour, "stroke-width": 1.1, fill: "none" })];
}

/**
 * Slanting lines across a bar, cut off at its ends.
 *
 * @param {number} left
 * @param {number} right
 * @param {number} top
 * @param {number} lean
 */
function hatch(left, right, top, lean) {
  let path = "";
  for (let foot = left - BAR + HATCH_STEP / 2; foot < right; foot += HATCH_STEP) {
    const [from, to] = [Math.max(foot, left), Math.min(foot + BAR, right)];
    if (to <= from) continue;
    const height = (/** @type {number} */ x) => (lean > 0 ? top + BAR - (x - foot) : top + (x - foot));
    path += `M${short(from)} ${short(height(from))}L${short(to)} ${short(height(to))}`;
  }
  return path;
}

/**
 * @param {number[]} ends
 * @param {number} y
 * @param {Document} document
 */
function whisker([from, to], y, document) {
  const d = `M${from} ${y}H${to}M${from} ${y - 4}v8M${to} ${y - 4}v8`;
  return svg(document, "g", { fill: "none", "data-mark": "span" },
    svg(document, "path", { d, stroke: "var(--bp-paper)", "stroke-width": 4.5 }),
    svg(document, "path", { d, stroke: "currentColor", "stroke-width": 1.5 }));
}

/**
 * Name, figures and note of one thing.
 *
 * @param {Bar} bar
 * @param {number} top
 * @param {number} base
 * @param {Bars} bars
 * @param {Plan} plan
 * @param {Document} document
 */
function texts(bar, top, base, bars, plan, document) {
  const { stacked, over, head, frame } = plan;
  const middle = top + (plan.block - APART / 2) / 2;
  const group = svg(document, "g", {});
  const name = stacked
    ? words(document, { x: 2, y: top + LINE / 2, anchor: "start", text: bar.label })
    : plain(document, { x: frame.left - GAP, y: middle, anchor: "end", text: bar.label });
  name.setAttribute("font-weight", bar.emphasis ? "700" : "400");
  group.append(name);
  bar.texts.forEach((text, index) => {
    const y = barTop(top, index, plan);
    const [least, most] = reach(bar, index, base, bars, frame);
    group.append(over
      ? words(document, { ...overPlace(text, base, least < base && most === base, frame), y: y - LINE / 2 - 1, text })
      : words(document, { x: Math.max(most, base) + GAP, y: y + BAR / 2, anchor: "start", text }));
  });
  if (bar.note) {
    const twoLines = head > LINE + 2;
    const note = stacked
      ? words(document, { x: twoLines ? 2 : frame.width - 4, y: top + LINE * (twoLines ? 1.5 : 0.5), anchor: twoLines ? "start" : "end", text: bar.note })
      : plain(document, { x: frame.width - 4, y: middle, anchor: "end", text: bar.note });
    note.setAttribute("fill", "var(--bp-muted)");
    group.append(note);
  }
  return group;
}

/**
 * Where a text over its bar stands: from the base on the way the bar goes, or wherever else it does not run out of the frame.
 *
 * @param {string} text
 * @param {number} base
 * @param {boolean} back  whether the bar goes to the left
 * @param {Frame} frame
 */
function overPlace(text, base, back, frame) {
  const room = textWidth(text) + 4;
  if (back && base - room >= frame.left - 6) return { x: base - 4, anchor: "end" };
  return base + room <= frame.width ? { x: base + 4, anchor: "start" } : { x: frame.width - 4, anchor: "end" };
}

/**
 * From where to where a bar and its whisker lie.
 *
 * @param {Bar} bar
 * @param {number} index
 * @param {number} base
 * @param {Bars} bars
 * @param {Frame} frame
 */
function reach(bar, index, base, bars, frame) {
  const value = bar.values[index];
  const ends = [...(value === null ? [] : [value]), ...(bar.spans[index] ?? [])];
  const places = [base, ...ends.map((end) => within(across(bars.axis, end, frame), frame))];
  return [Math.min(...places), Math.max(...places)];
}

/**
 * @param {number} top
 * @param {number} index
 * @param {Plan} plan
 */
function barTop(top, index, { head, line, over }) {
  return top + APART / 2 - 2 + head + index * line + (over ? LINE : Math.max((line - BAR) / 2, 0));
}

/**
 * @param {number} place
 * @param {Frame} frame
 */
function within(place, frame) {
  return Math.min(Math.max(place, frame.left), frame.right);
}

/**
 * @param {Bars} bars
 * @param {Document} document
 */
function legend(bars, document) {
  return element(document, "ul", { class: "bp-legend" }, ...bars.series.map((name, index) => (
    element(document, "li", {},
      svg(document, "svg", { width: 28, height: BAR + 2, "aria-hidden": "true", class: "bp-sample" },
        ...rod(1, 27, 1, index, false, document)),
      name))));
}
