/**
 * Makes a grid of cells over the lines of text that a table's field holds. The text stays what is sent, and stays to be had.
 * Text is split into cells by Python, never here; joining cells to text is the one thing done here.
 *
 * @typedef {import("./protocol.js").BadCell} BadCell
 * @typedef {{ name: string, label: string, unit: string, keypad: string,
 *     choices: { value: string, label: string }[] }} ColumnOfCells
 * @typedef {(text: string) => Promise<string[][]>} Split  Rejects with a sentence when the text cannot be split.
 */

import { button, element } from "./dom.js";

const PARTS = /[;"\n\r\t]|^\s|\s$/;

export class TableField {
  #asText = false;

  /**
   * @param {HTMLTextAreaElement} area
   * @param {string[][]} rows
   * @param {Split} split
   */
  constructor(area, rows, split) {
    this.area = area;
    this.split = split;
    this.columns = /** @type {ColumnOfCells[]} */ (JSON.parse(area.dataset.columns ?? "[]"));
    this.mostRows = Number(area.dataset.mostRows);
    this.body = element(document, "tbody");
    this.grid = this.#makeGrid();
    this.addButton = button(document, "Add a row", () => this.#add());
    this.textButton = button(document, "Edit as text", () => this.#toggle());
    const tools = element(document, "div", { class: "bp-buttons" }, this.addButton, this.textButton);
    area.after(this.grid, tools);
    this.#showText(false);
    this.#fill(rows);
    this.grid.addEventListener("input", () => this.#join());
    this.grid.addEventListener("change", () => this.#join());
    this.grid.addEventListener("keydown", (event) => this.#key(event));
    this.grid.addEventListener("paste", (event) => this.#paste(event));
  }

  /** @param {string} text */
  async setText(text) {
    this.area.value = text;
    const { value } = this.area; // with its line ends as areas have them
    this.#showText(true);
    try {
      const rows = await this.split(text);
      if (this.area.value !== value) return;
      const hasFocus = document.activeElement === this.area;
      this.#fill(rows);
      this.#showText(false);
      if (hasFocus) cellsOf(this.body.rows[0])[0]?.focus();
    } catch {
      this.#showText(true);
    }
  }

  /**
   * Puts back rows that are known to be the cells of a text.
   *
   * @param {string} text
   * @param {string[][]} rows
   */
  setRows(text, rows) {
    this.area.value = text;
    this.#fill(rows);
    this.#showText(false);
  }

  /**
   * @param {BadCell[]} bad
   * @param {string} described  id of the field's error text
   */
  mark(bad, described) {
    const places = new Set(bad.map((cell) => `${cell.row} ${cell.column}`));
    const filled = this.#filledRows();
    for (const line of this.body.rows) {
      cellsOf(line).forEach((cell, column) => {
        const wrong = places.has(`${filled.indexOf(line)} ${this.columns[column].name}`);
        if (wrong) cell.setAttribute("aria-describedby", described);
        else cell.removeAttribute("aria-describedby");
        if (wrong) cell.setAttribute("aria-invalid", "true");
        else cell.removeAttribute("aria-invalid");
      });
    }
  }

  #makeGrid() {
    const heads = this.columns.map((column) => element(document, "th", { scope: "col", class: column.choices.length > 0 && "bp-chosen" }, column.label,
      column.unit && element(document, "span", { class: "bp-unit" }, ` ${column.unit}`)));
    const table = element(document, "table", { class: "bp-cells" },
      element(document, "thead", {}, element(document, "tr", {}, ...heads, element(document, "td", {}))), this.body);
    return element(document, "div", {
      class: "bp-grid", role: "group", "aria-labelledby": `${this.area.id}-label`,
      "aria-describedby": this.area.getAttribute("aria-describedby"),
    }, table);
  }

  /** @param {string[][]} rows */
  #fill(rows) {
    this.body.replaceChildren(...rows.map((row) => this.#makeRow(row)));
    this.#number();
  }

  /** @param {string[]} cells */
  #makeRow(cells) {
    const line = element(document, "tr");
    this.columns.forEach((column, index) => {
      const cell = column.choices.length ? chooser(column, cells[index]) : element(document, "input", {
        type: "text", class: "bp-control", inputmode: column.keypad, value: cells[index], autocomplete: "off", spellcheck: "false",
      });
      line.append(element(document, "td", { "data-label": [column.label, column.unit].filter(Boolean).join(" ") }, cell));
    });
    const remove = button(document, "×", () => this.#remove(line));
    remove.classList.add("bp-remove");
    line.append(element(document, "td", { class: "bp-last" }, remove));
    return line;
  }

  /** Names each cell after its column and row. */
  #number() {
    const lines = [...this.body.rows];
    lines.forEach((line, index) => {
      cellsOf(line).forEach((cell, column) => cell.setAttribute("aria-label", `${this.columns[column].label}, row ${index + 1}`));
      line.querySelector(".bp-remove")?.setAttribute("aria-label", `Remove row ${index + 1}`);
    });
    this.addButton.disabled = lines.length >= this.mostRows;
  }

  #filledRows() {
    return [...this.body.rows].filter((line) => cellsOf(line).some((cell) => cell.value.trim()));
  }

  /** Writes the cells as text; rows that are all empty are left out. */
  #join() {
    this.area.value = this.#filledRows().map((line) => {
      const cells = cellsOf(line).map((cell) => quoted(cell.value));
      return cells.length === 1 ? `${cells[0]};` : cells.join("; ");
    }).join("\n");
  }

  /** Tells the form that the text has changed. */
  #changed() {
    this.#number();
    this.#join();
    this.area.dispatchEvent(new Event("input", { bubbles: true }));
  }

  #add() {
    this.body.append(this.#makeRow(this.columns.map((column) => column.choices[0]?.value ?? "")));
    this.#changed();
    cellsOf(/** @type {HTMLTableRowElement} */ (this.body.lastElementChild))[0].focus();
  }

  /** @param {HTMLTableRowElement} line */
  #remove(line) {
    const next = line.nextElementSibling ?? line.previousElementSibling;
    line.remove();
    this.#changed();
    (/** @type {HTMLElement | null} */ (next?.querySelector(".bp-remove")) ?? this.addButton).focus();
  }

  async #toggle() {
    if (!this.#asText) {
      this.#showText(true);
      this.area.focus();
      return;
    }
    this.area.focus();
    await this.setText(this.area.value);
  }

  /** @param {boolean} asText */
  #showText(asText) {
    this.#asText = asText;
    this.area.hidden = !asText;
    this.grid.hidden = asText;
    this.addButton.hidden = asText;
    this.textButton.textContent = asText ? "Edit as a table" : "Edit as text";
  }

  /** Up, down and Enter move between rows. @param {KeyboardEvent} event */
  #key(event) {
    const cell = event.target;
    if (!(cell instanceof HTMLInputElement)) return;
    const move = event.key === "ArrowUp" ? -1 : event.key === "ArrowDown" || event.key === "Enter" ? 1 : 0;
    if (!move) return;
    event.preventDefault();
    const { row, column } = this.#where(cell);
    if (event.key === "Enter" && row === this.body.rows.length - 1 && !this.addButton.disabled) this.#add();
    else cellsOf(this.body.rows[row + move])[column]?.focus();
  }

  /**
   * Several cells pasted at once are spread over the grid from where the caret stands.
   *
   * @param {ClipboardEvent} event
   */
  async #paste(event) {
    const text = event.clipboardData?.getData("text/plain") ?? "";
    const cell = event.target;
    if (!(cell instanceof HTMLInputElement) || !/[\n\t;]/.test(text.trim())) return;
    event.preventDefault();
    /** @type {string[][]} */
    let rows;
    try {
      rows = await this.split(text);
    } catch {
      return this.#takeAsText(text);
    }
    if (!cell.isConnected) return this.#takeAsText(text); // its row has gone meanwhile
    const width = Math.max(...rows.map((row) => row.findLastIndex((entry) => entry !== "") + 1), 1);
    const { row, column } = this.#where(cell);
    const first = column + width <= this.columns.length ? column : 0;
    if (row + rows.length > this.mostRows) return this.#takeAsText(text);
    rows.forEach((entries, index) => {
      while (this.body.rows.length <= row + index) this.body.append(this.#makeRow(this.columns.map(() => "")));
      const line = cellsOf(this.body.rows[row + index]);
      entries.slice(0, width).forEach((entry, offset) => put(line[first + offset], entry));
    });
    this.#changed();
  }

  /** Shows, as text below what is there, what does not fit into the grid: the form says why, and none of it is lost. @param {string} text */
  #takeAsText(text) {
    this.#join();
    this.area.value = [this.area.value, text].filter(Boolean).join("\n");
    this.#showText(true);
    this.area.focus();
    this.area.dispatchEvent(new Event("input", { bubbles: true }));
  }

  /** @param {HTMLInputElement} cell */
  #where(cell) {
    const line = /** @type {HTMLTableRowElement} */ (cell.closest("tr"));
    return { row: line.sectionRowIndex, column: cellsOf(line).indexOf(cell) };
  }
}

/**
 * @param {HTMLTableRowElement | undefined} line
 * @returns {(HTMLInputElement | HTMLSelectElement)[]}
 */
function cellsOf(line) {
  return [...(line?.querySelectorAll(/** @type {"input"} */ ("input, select")) ?? [])];
}

/**
 * @param {ColumnOfCells} column
 * @param {string} value
 */
function chooser(column, value) {
  const known = column.choices.some((choice) => choice.value === value);
  const choices = known ? column.choices : [...column.choices, { value, label: value }];
  const made = element(document, "select", { class: "bp-control" },
    ...choices.map((choice) => element(document, "option", { value: choice.value }, choice.label)));
  made.value = value;
  return made;
}

/** What is not in a cell's list joins it: the form says that it is wrong. @param {HTMLInputElement | HTMLSelectElement} cell @param {string} text */
function put(cell, text) {
  cell.value = text;
  if (cell.value !== text && cell instanceof HTMLSelectElement) {
    cell.add(new Option(text, text));
    cell.value = text;
  }
}

/** @param {string} cell */
function quoted(cell) {
  const text = cell.replaceAll(/[\t\n\r]/g, " ");
  return PARTS.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}
