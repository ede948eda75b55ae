/**
 * Draws parts of pages at build time, with the modules that the browser uses.
 *
 * A list of parts comes in on standard input as JSON; a list of their HTML goes out.
 */

import process from "node:process";
import { text } from "node:stream/consumers";
import { parseHTML } from "linkedom";

import { chartFigure } from "../assets/charts.js";
import { drawingFigure } from "../assets/drawing.js";
import { answerSections } from "../assets/result.js";

/** Stands for the way to the site's root, which each page has its own of. */
const ROOT = "bp-root:/";
const STATIC_WIDTHS = [640, 330];

const { document } = parseHTML("<!doctype html><html><body></body></html>");
const tools = { document, widths: () => STATIC_WIDTHS, formAddress: (/** @type {string} */ form) => `${ROOT}forms/${form}/` };

const draw = {
  answer: (part) => answerSections(part.answer, tools),
  chart: (part) => [chartFigure(part.chart, tools)],
  drawing: (part) => [drawingFigure(part.drawing, tools)],
};

const parts = JSON.parse(await text(process.stdin));
const drawn = parts.map((part) => draw[part.kind](part).map((node) => node.outerHTML).join("\n"));
process.stdout.write(JSON.stringify(drawn));
