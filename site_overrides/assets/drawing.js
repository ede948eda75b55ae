/**
 * Draws a drawing of an answer as a figure: in the page, and at build time under Node.
 *
 * @typedef {import("./protocol.js").Drawing} Drawing
 * @typedef {import("./protocol.js").Shape} Shape
 */

import { element, newName, svg } from "./dom.js";

/** Height of a drawing's type on the screen at its full size. */
const TYPE = 15;
const WIDEST = 760;
/** Width of a letter, on average, over the height of the type. */
const LETTER = 0.5;

/**
 * @param {Drawing} drawing
 * @param {{ document: Document }} tools
 * @returns {HTMLElement}
 */
export function drawingFigure(drawing, { document }) {
  const box = roomForWords(drawing);
  const [, , width, height] = box;
  const scale = Math.min(TYPE / drawing.type_size, WIDEST / width);
  return element(document, "figure", { class: "bp-drawing", "data-key": drawing.key },
    element(document, "figcaption", { class: "bp-caption" }, drawing.title),
    drawingSvg(drawing, box, { width: Math.round(width * scale), height: Math.round(height * scale) }, { document }));
}

/**
 * @param {Drawing} drawing
 * @param {[left: number, top: number, width: number, height: number]} box  that is shown
 * @param {{ width: string | number, height: string | number }} size
 * @param {{ document: Document }} tools
 */
export function drawingSvg(drawing, box, size, { document }) {
  const name = newName(`bp-drawing-${drawing.key}`);
  return svg(document, "svg", {
    class: "bp-picture", "data-search-exclude": true, viewBox: box.map(short).join(" "), ...size,
    role: "img", "aria-labelledby": `${name}-title`, "aria-describedby": `${name}-words`,
    "font-size": drawing.type_size,
  },
  svg(document, "title", { id: `${name}-title` }, drawing.title),
  svg(document, "desc", { id: `${name}-words` }, drawing.description),
  ...drawing.shapes.map((shape) => shapeElement(shape, drawing.type_size, document)));
}

/**
 * The drawing's box, widened where its words would be cut off: their width depends on the type, which only we know.
 *
 * @param {Drawing} drawing
 * @returns {[left: number, top: number, width: number, height: number]}
 */
export function roomForWords({ box: [left, top, width, height], shapes, type_size: typeSize }) {
  let [from, to] = [left, left + width];
  for (const shape of shapes) {
    if (shape.shape !== "text") continue;
    const long = shape.text.length * LETTER * typeSize * shape.size;
    const start = shape.x - { start: 0, middle: long / 2, end: long }[shape.anchor];
    from = Math.min(from, start);
    to = Math.max(to, start + long);
  }
  return [from, top, to - from, height];
}

/**
 * @param {Shape} shape
 * @param {number} typeSize
 * @param {Document} document
 * @returns {SVGElement}
 */
function shapeElement(shape, typeSize, document) {
  const look = { class: `bp-${shape.role}`, "vector-effect": "non-scaling-stroke" };
  switch (shape.shape) {
    case "line": {
      const points = shape.points.map((point) => point.join(",")).join(" ");
      const dash = { "stroke-dasharray": shape.dashed ? "6 4" : null };
      return svg(document, shape.closed ? "polygon" : "polyline", { points, ...look, ...dash, ...fill(shape.filled) });
    }
    case "circle":
      return svg(document, "circle", { cx: shape.x, cy: shape.y, r: shape.radius, ...look, ...fill(shape.filled) });
    case "arc":
      return svg(document, "path", { d: arcPath(shape), ...look, ...fill(false) });
    case "text":
      return svg(document, "text", {
        x: shape.x, y: shape.y, dy: "0.32em", class: `bp-${shape.role}`, "text-anchor": shape.anchor,
        "font-size": shape.size === 1 ? null : short(shape.size * typeSize),
        transform: shape.turn ? `rotate(${shape.turn} ${shape.x} ${shape.y})` : null,
      }, shape.text);
  }
}

/** A length without digits that no screen shows. @param {number} length */
function short(length) {
  return Math.round(length * 1e4) / 1e4;
}

/** @param {boolean} filled */
function fill(filled) {
  return { "data-filled": filled };
}

/** @param {import("./protocol.js").ArcShape} arc */
function arcPath({ x, y, radius, start, end }) {
  /** @param {number} degrees */
  const at = (degrees) => {
    const angle = (degrees * Math.PI) / 180;
    return `${short(x + radius * Math.cos(angle))} ${short(y + radius * Math.sin(angle))}`;
  };
  const span = end - start;
  return `M${at(start)}A${radius} ${radius} 0 ${Number(Math.abs(span) > 180)} ${Number(span > 0)} ${at(end)}`;
}
