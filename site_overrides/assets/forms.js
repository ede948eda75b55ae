/**
 * Brings the page's forms and charts to life. One worker for all; none on a page without a form.
 */

import { isBare } from "./address.js";
import { addReadout } from "./chart_readout.js";
import { addTools } from "./form_tools.js";
import { FormView } from "./form_view.js";
import { engine } from "./page_engine.js";
import { addSheets } from "./sheets.js";

/** @param {HTMLElement[]} sections */
function bringToLife(sections) {
  const prefixes = sections.map((section, index) => (index ? `${section.dataset.name}.` : ""));
  const views = sections.map((section, index) => new FormView(section, engine, prefixes[index], prefixes));
  for (const view of views) {
    addTools(view);
    addSheets(view);
  }

  const start = () => {
    if (engine.status.state === "idle") engine.start();
  };
  engine.watch(({ state }) => {
    document.documentElement.dataset.calculations = state;
    if (state === "ready") views[0].warmUp();
  });
  for (const section of sections) {
    section.addEventListener("focusin", start, { once: true });
    section.addEventListener("pointerdown", start, { once: true });
  }
  if (!(/** @type {any} */ (navigator).connection?.saveData)) startWhenSeen(sections, start);
}

/**
 * @param {HTMLElement[]} sections
 * @param {() => void} start
 */
function startWhenSeen(sections, start) {
  const observer = new IntersectionObserver((entries) => {
    if (!entries.some((entry) => entry.isIntersecting)) return;
    observer.disconnect();
    // After the page is painted, and not when it is idle: a Python that was kept is there before the reader has read a line.
    requestAnimationFrame(() => setTimeout(start));
  });
  for (const section of sections) observer.observe(section);
}

for (const lone of document.querySelectorAll(".bp-lone")) {
  const figure = /** @type {HTMLElement} */ (lone.querySelector(".bp-chart"));
  addReadout(figure, JSON.parse(lone.querySelector(".bp-chart-data")?.textContent ?? ""));
}
const sections = /** @type {HTMLElement[]} */ ([...document.querySelectorAll("section.bp")]);
if (sections.length) bringToLife(sections);
const logbook = /** @type {HTMLElement | null} */ (document.querySelector(".bp-logbook"));
if (logbook) import("./logbook_page.js").then(({ openLogbook }) => openLogbook(logbook));
if (isBare()) import("./frame.js").then(({ tellHeight }) => tellHeight());
