/**
 * Turns an answer into what the reader sees: rows, tables, charts, drawings, advice. In the page, and at build time under Node.
 *
 * @typedef {import("./protocol.js").Answer} Answer
 * @typedef {import("./protocol.js").Row} Row
 * @typedef {import("./protocol.js").Table} Table
 * @typedef {import("./protocol.js").Advice} Advice
 * @typedef {import("./charts.js").Tools} Tools
 */

import { chartFigure } from "./charts.js";
import { element } from "./dom.js";
import { drawingFigure } from "./drawing.js";
import { soundFigure } from "./sound_figure.js";

const LEADS = { note: "", limit: "Left out: ", caution: "Caution: " };

/**
 * @param {Answer} answer
 * @param {Tools} tools
 * @returns {HTMLElement[]}
 */
export function answerSections(answer, tools) {
  const { document } = tools;
  /** @type {Record<string, () => HTMLElement[]>} */
  const parts = {
    rows: () => (answer.rows.length ? [rowsTable(answer.rows, document)] : []),
    tables: () => answer.tables.map((table) => resultTable(table, document)),
    charts: () => answer.charts.map((chart) => chartFigure(chart, tools)),
    sounds: () => (answer.sounds ?? []).map((sound) => soundFigure(sound, tools)),
    drawings: () => answer.drawings.map((drawing) => drawingFigure(drawing, tools)),
    advice: () => (answer.advice.length ? [adviceList(answer.advice, document)] : []),
  };
  return answer.order.flatMap((name) => parts[name]());
}

/**
 * @param {Row[]} rows
 * @param {Document} document
 */
function rowsTable(rows, document) {
  return element(document, "table", { class: "bp-rows" },
    element(document, "caption", { class: "bp-unseen" }, "Figures of the answer"),
    element(document, "tbody", {}, ...rows.map((row) => element(document, "tr", { "data-key": row.key },
      element(document, "th", { scope: "row" }, row.label, row.how && element(document, "span", { class: "bp-how" }, row.how)),
      element(document, "td", {}, row.text)))));
}

/**
 * The roles are said outright, since on a narrow screen the rows are laid out as cards, and browsers then forget them.
 *
 * @param {Table} table
 * @param {Document} document
 */
function resultTable(table, document) {
  const heads = table.columns.map((column) => (
    element(document, "th", { scope: "col", role: "columnheader", class: sort(column.unit) }, column.label)));
  const lines = table.rows.map((row) => element(document, "tr", { role: "row" }, ...row.map((cell, index) => {
    const { label, unit } = table.columns[index];
    return index === 0
      ? element(document, "th", { scope: "row", role: "rowheader", class: sort(unit) }, cell.text)
      : element(document, "td", { role: "cell", class: sort(unit), "data-label": label }, cell.text);
  })));
  return element(document, "div", { class: "bp-scroll", "data-key": table.key },
    element(document, "table", { class: "bp-table", role: "table" },
      element(document, "caption", { class: "bp-caption" }, table.title),
      element(document, "thead", { role: "rowgroup" }, element(document, "tr", { role: "row" }, ...heads)),
      element(document, "tbody", { role: "rowgroup" }, ...lines)));
}

/** @param {string} unit */
function sort(unit) {
  return unit === "text" ? "bp-words" : "bp-number";
}

/**
 * @param {Advice[]} advice
 * @param {Document} document
 */
function adviceList(advice, document) {
  return element(document, "ul", { class: "bp-advice" }, ...advice.map(({ kind, text }) => element(document, "li", { class: `bp-${kind}` },
    LEADS[kind] && element(document, "strong", {}, LEADS[kind]), text)));
}
