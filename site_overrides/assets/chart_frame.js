/**
 * Where things lie in a chart: its frame, the way from values to lengths, and places for labels. No drawing.
 *
 * @typedef {import("./protocol.js").Axis} Axis
 * @typedef {import("./protocol.js").Chart} Chart
 * @typedef {import("./protocol.js").Tick} Tick
 * @typedef {{ left: number, top: number, right: number, bottom: number, width: number, height: number }} Frame
 * @typedef {{ left: number, top: number, right: number, bottom: number }} Box
 * @typedef {{ text: string, x: number, y: number, anchor: "start" | "middle" | "end",
 *     leader: [number, number, number, number] | null }} Label
 */

export const TYPE = 13;
export const LINE = 17;
const GAP = 6;
const STEP = 7;

/** @param {string} text  Its width in the chart's type, about: there is nothing to measure with at build time. */
export function textWidth(text) {
  return text.length * TYPE * 0.5;
}

/**
 * How far along its axis a value lies, from 0 to 1.
 *
 * @param {Axis} axis
 * @param {number} value
 */
export function fraction(axis, value) {
  const [least, most, at] = axis.log ? [axis.least, axis.most, value].map(Math.log) : [axis.least, axis.most, value];
  return most === least ? 0.5 : (at - least) / (most - least);
}

/**
 * @param {Axis} axis
 * @param {number} value
 * @param {Frame} frame
 */
export function across(axis, value, frame) {
  return frame.left + fraction(axis, value) * (frame.right - frame.left);
}

/**
 * @param {Axis} axis
 * @param {number} value
 * @param {Frame} frame
 */
export function down(axis, value, frame) {
  return frame.bottom - fraction(axis, value) * (frame.bottom - frame.top);
}

/**
 * The frame of a chart drawn `width` wide, with room for its ticks, its axes' labels and the labels of rules that stand upright.
 *
 * @param {Pick<Chart, "x" | "y" | "rules">} chart
 * @param {number} width
 * @returns {{ frame: Frame, ruleLabels: Label[] }}
 */
export function layOut(chart, width) {
  const left = Math.ceil(Math.max(...chart.y.ticks.map((tick) => textWidth(tick.text)), LINE)) + 14;
  const frame = { left, top: LINE + 8, right: width - 16, bottom: 0, width, height: 0 };
  const { labels, rows } = uprightRuleLabels(chart, frame);
  frame.top += rows * LINE;
  frame.bottom = frame.top + Math.round(Math.max((frame.right - frame.left) * (width < 480 ? 0.75 : 0.5), 190));
  frame.height = frame.bottom + 2 * LINE + 10;
  return { frame, ruleLabels: labels };
}

/**
 * Labels of upright rules stand above the frame, in as many rows as keep them apart.
 *
 * @param {Pick<Chart, "x" | "rules">} chart
 * @param {Frame} frame
 */
export function uprightRuleLabels(chart, frame) {
  /** @type {number[]} */
  const ends = [];
  const rules = chart.rules.filter((rule) => rule.axis === "x").toSorted((a, b) => a.value - b.value);
  const labels = rules.map((rule) => {
    const half = textWidth(rule.label) / 2;
    const x = Math.min(Math.max(across(chart.x, rule.value, frame), frame.left + half - 8), frame.right - half + 12);
    const free = ends.findIndex((end) => end + 2 * GAP < x - half);
    const row = free < 0 ? ends.length : free;
    ends[row] = x + half;
    return { text: rule.label, x, row };
  });
  const rows = ends.length;
  return {
    rows,
    labels: labels.map(({ text, x, row }) => ({
      text, x, y: LINE + 4 + (row + 0.5) * LINE, anchor: /** @type {const} */ ("middle"), leader: null,
    })),
  };
}

/**
 * Every how many-th tick text there is room for.
 *
 * @param {Axis} axis
 * @param {Frame} frame
 * @returns {Tick[]}
 */
export function ticksThatFit(axis, frame) {
  const widest = Math.max(...axis.ticks.map((tick) => textWidth(tick.text)), 1) + 2 * GAP;
  for (let step = 1; step < axis.ticks.length; step += 1) {
    const kept = axis.ticks.filter((_, index) => index % step === 0);
    const places = kept.map((tick) => across(axis, tick.value, frame));
    if (places.every((place, index) => index === 0 || place - places[index - 1] >= widest)) return kept;
  }
  return axis.ticks.slice(0, 1);
}

/**
 * Places for the labels of level rules and of marks: each beside its own thing, clear of each other, of the marks, and as far as may
 * be of the lines.
 *
 * @param {Pick<Chart, "x" | "y" | "series" | "marks" | "rules">} chart
 * @param {Frame} frame
 * @returns {Label[]}
 */
export function placeLabels(chart, frame) {
  const marks = chart.marks.map((mark) => ({
    ...mark, px: across(chart.x, mark.x, frame), py: down(chart.y, mark.y, frame),
  }));
  /** @type {Box[]} */
  const taken = marks.map(({ px, py }) => box(px - 5, py - 5, 10, 10));
  const points = [...chart.series.flatMap((series) => series.x.map((x, index) => ({
    x: across(chart.x, x, frame), y: down(chart.y, series.y[index], frame),
  }))), ...rulePoints(chart, frame)];
  /** @type {Label[]} */
  const placed = [];
  /** How bad a place is, but for its order. @param {Box} own */
  const faults = (own) => {
    const crowded = taken.filter((other) => overlap(own, other)).length;
    const crossed = points.filter(({ x, y }) => x > own.left && x < own.right && y > own.top && y < own.bottom).length;
    const outside = own.left < frame.left - 4 || own.right > frame.width || own.top < frame.top || own.bottom > frame.bottom;
    return 1000 * crowded + 1000 * Number(outside) + 4 * Math.min(crossed, 12);
  };
  /** @param {Label[]} candidates */
  const place = (candidates) => {
    let [best, least] = [candidates[0], Infinity];
    for (const [order, label] of candidates.entries()) {
      if (least <= order) break; // those that follow cost their order at least
      const cost = order + faults(labelBox(label));
      if (cost < least) [best, least] = [label, cost];
    }
    taken.push(labelBox(best));
    placed.push(best);
  };
  for (const rule of chart.rules.filter((entry) => entry.axis === "y")) {
    place(levelRuleCandidates(rule.label, down(chart.y, rule.value, frame), frame));
  }
  for (const mark of marks.toSorted((a, b) => Number(b.emphasis) - Number(a.emphasis) || a.px - b.px)) {
    place(markCandidates(mark.label, mark.px, mark.py));
  }
  return placed;
}

/**
 * Points along the rules, which labels are to keep clear of as they do of the lines.
 *
 * @param {Pick<Chart, "x" | "y" | "rules">} chart
 * @param {Frame} frame
 */
function rulePoints(chart, frame) {
  return chart.rules.flatMap(({ axis, value }) => {
    const [from, to] = axis === "x" ? [frame.top, frame.bottom] : [frame.left, frame.right];
    const steps = Array.from({ length: Math.ceil((to - from) / STEP) }, (_, index) => from + index * STEP);
    return steps.map((along) => (axis === "x"
      ? { x: across(chart.x, value, frame), y: along }
      : { x: along, y: down(chart.y, value, frame) }));
  });
}

/**
 * @param {string} text
 * @param {number} y
 * @param {Frame} frame
 * @returns {Label[]}
 */
function levelRuleCandidates(text, y, frame) {
  return [
    { text, x: frame.right - 4, y: y - 9, anchor: "end", leader: null },
    { text, x: frame.right - 4, y: y + 10, anchor: "end", leader: null },
    { text, x: frame.left + 6, y: y - 9, anchor: "start", leader: null },
    { text, x: frame.left + 6, y: y + 10, anchor: "start", leader: null },
  ];
}

/**
 * @param {string} text
 * @param {number} x
 * @param {number} y
 * @returns {Label[]}
 */
function markCandidates(text, x, y) {
  /** @type {Label[]} */
  const candidates = [
    { text, x: x + 9, y, anchor: "start", leader: null },
    { text, x: x - 9, y, anchor: "end", leader: null },
    { text, x, y: y - 14, anchor: "middle", leader: null },
    { text, x, y: y + 15, anchor: "middle", leader: null },
  ];
  for (const rise of [24, 40, 56, 72, 88, 104, 120, 136]) {
    for (const way of [-1, 1]) {
      const level = y + way * rise;
      const end = level - way * 8;
      candidates.push(
        { text, x, y: level, anchor: "middle", leader: [x, y + way * 6, x, end] },
        { text, x: x + 4, y: level, anchor: "start", leader: [x, y + way * 6, x + 6, end] },
        { text, x: x - 4, y: level, anchor: "end", leader: [x, y + way * 6, x - 6, end] },
      );
    }
  }
  return candidates;
}

/** @param {Label} label */
function labelBox({ text, x, y, anchor }) {
  const width = textWidth(text);
  const left = anchor === "start" ? x : anchor === "end" ? x - width : x - width / 2;
  return box(left - 2, y - 8, width + 4, 16);
}

/**
 * @param {number} left
 * @param {number} top
 * @param {number} width
 * @param {number} height
 * @returns {Box}
 */
function box(left, top, width, height) {
  return { left, top, right: left + width, bottom: top + height };
}

/**
 * @param {Box} a
 * @param {Box} b
 */
function overlap(a, b) {
  return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
}
