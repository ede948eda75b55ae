/**
 * Turns an answer into what the reader sees: rows, tables, bars, charts, maps, sounds, drawings, advice. In the page, and at build time under
 * Node. In the page, what stands from the answer before is kept where it still holds, and renewed in its place where it does not.
 *
 * @typedef {import("./protocol.js").Answer} Answer
 * @typedef {import("./protocol.js").Row} Row
 * @typedef {import("./protocol.js").Table} Table
 * @typedef {import("./protocol.js").Advice} Advice
 * @typedef {import("./picture.js").Tools} Tools
 */

import { LEADS } from "./answer_text.js";
import { barsFigure, renewBars } from "./bars.js";
import { addReadout } from "./chart_readout.js";
import { chartFigure, renewChart } from "./charts.js";
import { element, setText } from "./dom.js";
import { drawingFigure } from "./drawing.js";
import { mapFigure, renewMap } from "./map.js";
import { addMapReadout } from "./map_readout.js";
import { soundFigure } from "./sound_figure.js";

/**
 * How one part of an answer is made; how an element that shows an earlier one is renewed (true), or that it cannot be (false); and
 * what makes it readable in the page.
 *
 * @template Data
 * @typedef {{ make: (data: Data, tools: Tools) => HTMLElement,
 *     renew: (element: HTMLElement, data: Data, tools: Tools, before: Data) => boolean,
 *     enliven?: (element: HTMLElement, data: Data) => void }} Kind
 */

/** @template Data @typedef {{ name: string, data: Data, kind: Kind<Data> }} Part */

/** @type {Kind<Row[]>} */
const ROWS = { make: (rows, { document }) => rowsTable(rows, document), renew: renewRows };
/** @type {Kind<Table>} */
const TABLE = { make: (table, { document }) => resultTable(table, document), renew: renewTable };
/** @type {Kind<import("./protocol.js").Chart>} */
const CHART = { make: chartFigure, renew: always(renewChart), enliven: addReadout };
/** @type {Kind<import("./protocol.js").Bars>} */
const BARS = { make: barsFigure, renew: always(renewBars) };
/** @type {Kind<import("./protocol.js").RegionMap>} */
const MAP = { make: mapFigure, renew: always(renewMap), enliven: addMapReadout };
/** Its figure stays, and its player renews it. @type {Kind<import("./protocol.js").Sound>} */
const SOUND = { make: soundFigure, renew: () => true };
/** @type {Kind<import("./protocol.js").Drawing>} */
const DRAWING = { make: drawingFigure, renew: () => false };
/** @type {Kind<import("./protocol.js").Onward>} */
const ONWARD = { make: onwardLink, renew: () => false };
/** @type {Kind<Advice[]>} */
const ADVICE = { make: (advice, { document }) => adviceList(advice, document), renew: () => false };

/**
 * An answer's parts in the order in which they are shown.
 *
 * @param {Answer} answer
 * @returns {Part<any>[]}
 */
export function partsOf(answer) {
  /** @type {Record<string, () => Part<any>[]>} */
  const parts = {
    sounds: () => answer.sounds.map((sound) => ({ name: `sound ${sound.key}`, data: sound, kind: SOUND })),
    bars: () => answer.bars.map((bars) => ({ name: `bars ${bars.key}`, data: bars, kind: BARS })),
    rows: () => (answer.rows.length ? [{ name: "rows", data: answer.rows, kind: ROWS }] : []),
    tables: () => answer.tables.map((table) => ({ name: `table ${table.key}`, data: table, kind: TABLE })),
    charts: () => answer.charts.map((chart) => ({ name: `chart ${chart.key}`, data: chart, kind: CHART })),
    maps: () => answer.maps.map((map) => ({ name: `map ${map.key}`, data: map, kind: MAP })),
    drawings: () => answer.drawings.map((drawing) => ({ name: `drawing ${drawing.key}`, data: drawing, kind: DRAWING })),
    onward: () => answer.onward.map((onward) => ({ name: `onward ${onward.key}`, data: onward, kind: ONWARD })),
    advice: () => (answer.advice.length ? [{ name: "advice", data: answer.advice, kind: ADVICE }] : []),
  };
  return answer.order.flatMap((name) => parts[name]());
}

/**
 * @param {Answer} answer
 * @param {Tools} tools
 * @returns {HTMLElement[]}
 */
export function answerSections(answer, tools) {
  return partsOf(answer).map(({ kind, data }) => kind.make(data, tools));
}

/**
 * @template Data
 * @param {(element: HTMLElement, data: Data, tools: Tools) => void} renew
 */
function always(renew) {
  return (/** @type {HTMLElement} */ element, /** @type {Data} */ data, /** @type {Tools} */ tools) => {
    renew(element, data, tools);
    return true;
  };
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
 * @param {HTMLElement} table
 * @param {Row[]} rows
 * @param {Tools} _tools
 * @param {Row[]} before
 */
function renewRows(table, rows, _tools, before) {
  if (rows.length !== before.length) return false;
  if (rows.some((row, index) => row.key !== before[index].key || row.label !== before[index].label || !row.how !== !before[index].how)) {
    return false;
  }
  const lines = /** @type {HTMLTableElement} */ (table).tBodies[0].rows;
  rows.forEach((row, index) => {
    if (row.text !== before[index].text) lines[index].cells[1].textContent = row.text;
    if (row.how !== before[index].how) setText(/** @type {Element} */ (lines[index].querySelector(".bp-how")), row.how);
  });
  return true;
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

/**
 * @param {HTMLElement} box
 * @param {Table} table
 * @param {Tools} _tools
 * @param {Table} before
 */
function renewTable(box, table, _tools, before) {
  if (table.rows.length !== before.rows.length || table.columns.length !== before.columns.length) return false;
  if (table.columns.some((column, index) => column.label !== before.columns[index].label || column.unit !== before.columns[index].unit)) {
    return false;
  }
  const shown = /** @type {HTMLTableElement} */ (box.querySelector("table"));
  if (table.title !== before.title) setText(/** @type {Element} */ (shown.caption), table.title);
  const lines = shown.tBodies[0].rows;
  table.rows.forEach((row, line) => row.forEach((cell, column) => {
    if (cell.text !== before.rows[line][column].text) lines[line].cells[column].textContent = cell.text;
  }));
  return true;
}

/** @param {string} unit */
function sort(unit) {
  return unit === "text" ? "bp-words" : "bp-number";
}

/**
 * A way on to another form, filled in.
 *
 * @param {import("./protocol.js").Onward} onward
 * @param {Tools} tools
 */
function onwardLink({ key, text, form, texts }, { document, formAddress }) {
  const href = `${formAddress(form)}?${new URLSearchParams(texts)}`;
  return element(document, "p", { class: "bp-onward", "data-key": key }, element(document, "a", { href }, text));
}

/**
 * @param {Advice[]} advice
 * @param {Document} document
 */
function adviceList(advice, document) {
  return element(document, "ul", { class: "bp-advice" }, ...advice.map(({ kind, text }) => element(document, "li", { class: `bp-${kind}` },
    LEADS[kind] && element(document, "strong", {}, LEADS[kind]), text)));
}
