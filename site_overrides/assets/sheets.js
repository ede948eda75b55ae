/**
 * Sheets to print of a form's answer. Each is made when it is asked for, stands alone on the page, and is put away again.
 *
 * @typedef {import("./form_view.js").FormView} FormView
 * @typedef {import("./protocol.js").Sheet} Sheet
 * @typedef {import("./protocol.js").Refusal} Refusal
 */

import { element } from "./dom.js";
import { Dropped } from "./engine.js";
import { sheetLeaf } from "./sheet_leaf.js";

/** The button that was pressed last: its sheet alone is shown. @type {HTMLButtonElement | undefined} */
let latest;

/** @param {FormView} view */
export function addSheets(view) {
  const part = /** @type {HTMLDetailsElement | null} */ (view.section.querySelector(".bp-prints"));
  if (!part) return;
  part.hidden = false;
  const said = /** @type {HTMLElement} */ (part.querySelector(".bp-prints-said"));
  for (const button of /** @type {NodeListOf<HTMLButtonElement>} */ (part.querySelectorAll("[data-sheet]"))) {
    button.addEventListener("click", () => open(view, button, said));
  }
  view.section.addEventListener("bp:answer", () => {
    said.textContent = "";
    if (part.querySelector("[aria-invalid]")) part.open = true; // what is wrong must be seen
  });
}

/**
 * @param {FormView} view
 * @param {HTMLButtonElement} button
 * @param {HTMLElement} said
 */
async function open(view, button, said) {
  latest = button;
  said.textContent = "Making the sheet…";
  try {
    const question = { kind: /** @type {const} */ ("sheet"), form: view.data.form, texts: view.texts(), key: button.dataset.sheet ?? "" };
    const found = /** @type {{ ok: true, sheet: Sheet } | Refusal} */ (JSON.parse(await view.engine.ask(question, view)));
    if (latest !== button) return;
    if (found.ok) {
      said.textContent = "";
      show(found.sheet, button);
    } else said.textContent = `No sheet. ${Object.values(found.errors).join(" ")}`;
  } catch (error) {
    if (latest !== button) return;
    if (error instanceof Dropped) said.textContent = "";
    else said.textContent = `No sheet: ${error instanceof Error ? error.message : String(error)}.`;
  }
}

/**
 * Shows a sheet in place of the page, and prints it.
 *
 * @param {Sheet} sheet
 * @param {HTMLButtonElement} button  that asked for it, and has the focus again once it is put away
 */
function show(sheet, button) {
  const { title } = document;
  const { scrollX, scrollY } = window;
  const again = element(document, "button", { type: "button", class: "bp-button" }, "Print");
  const away = element(document, "button", { type: "button", class: "bp-button" }, "Back to the form");
  const paper = element(document, "main", { class: "bp-paper" },
    element(document, "div", { class: "bp-paper-tools md-typeset", role: "group", "aria-label": "Sheet" }, again, away,
      element(document, "p", {}, "Print at 100 %, on the paper that you chose, without headers or footers of the browser.")),
    element(document, "div", { class: "bp-paper-desk", tabindex: "0", role: "region", "aria-label": sheet.title }, sheetLeaf(sheet, { document })));

  const close = () => {
    document.removeEventListener("keydown", escape);
    paper.remove();
    delete document.documentElement.dataset.sheet;
    document.title = title;
    window.scrollTo(scrollX, scrollY);
    button.focus({ preventScroll: true });
  };
  const escape = (/** @type {KeyboardEvent} */ event) => {
    if (event.key === "Escape") close();
  };
  again.addEventListener("click", () => window.print());
  away.addEventListener("click", close);
  document.addEventListener("keydown", escape);
  document.body.append(paper);
  document.documentElement.dataset.sheet = "open";
  document.title = sheet.title; // what a printer or a file is given as its name
  window.scrollTo(0, 0);
  again.focus();
  window.print();
}
