/**
 * Reads a picture out: by pointer, by finger, and by the arrow keys. All texts come with the answer.
 *
 * @typedef {import("./chart_frame.js").Frame} Frame
 */

/**
 * What a picture has to be read: how it is called, where reading begins, where a key or a point of the sheet leads, what is read
 * there, and the sign that is drawn there.
 *
 * @template Place
 * @typedef {{ name: string, help: string,
 *     open: (key: string) => Place | null,
 *     step: (place: Place, key: string) => Place | null,
 *     nearest: (x: number, y: number, frame: Frame) => Place,
 *     text: (place: Place) => string,
 *     cursor: (place: Place, frame: Frame) => SVGElement }} Reader
 */

/** @type {WeakMap<Element, (reader: Reader<any>) => void>} */
const renewals = new WeakMap();

/**
 * Lets a figure be read, or, if it is read already, tells it what there is to read now.
 *
 * @template Place
 * @param {HTMLElement} figure
 * @param {Reader<Place>} given
 */
export function readOut(figure, given) {
  const renew = renewals.get(figure);
  if (renew) return renew(given);
  const plot = /** @type {HTMLElement} */ (figure.querySelector(".bp-plot"));
  const line = /** @type {HTMLElement} */ (figure.querySelector(".bp-readout"));
  let reader = given;
  /** @type {Place | null} */
  let place = null;

  const name = () => {
    plot.tabIndex = 0;
    plot.setAttribute("role", "application");
    plot.setAttribute("aria-roledescription", "chart to read");
    plot.setAttribute("aria-label", `${reader.name}. ${reader.help}`);
  };
  /** @param {Place} next */
  const show = (next) => {
    place = next;
    line.textContent = reader.text(next);
    const drawing = visibleDrawing(plot);
    drawing?.querySelector(".bp-cursor")?.remove();
    drawing?.append(reader.cursor(next, frameOf(drawing)));
  };
  const hide = () => {
    if (place === null) return;
    place = null;
    line.textContent = "";
    for (const cursor of plot.querySelectorAll(".bp-cursor")) cursor.remove();
  };
  /** @param {PointerEvent} event */
  const follow = (event) => {
    const drawing = visibleDrawing(plot);
    if (!drawing) return;
    const bounds = drawing.getBoundingClientRect();
    const scale = drawing.viewBox.baseVal.width / bounds.width;
    show(reader.nearest((event.clientX - bounds.left) * scale, (event.clientY - bounds.top) * scale, frameOf(drawing)));
  };

  name();
  renewals.set(figure, (next) => {
    hide();
    reader = next;
    name();
  });
  plot.addEventListener("keydown", (event) => {
    if (event.key === "Escape") return hide();
    const next = place === null ? reader.open(event.key) : reader.step(place, event.key);
    if (!next) return;
    event.preventDefault();
    event.stopPropagation();
    show(next);
  });
  plot.addEventListener("pointermove", follow);
  plot.addEventListener("pointerdown", follow);
  plot.addEventListener("pointerleave", (event) => event.pointerType === "mouse" && hide());
  plot.addEventListener("blur", hide);
}

/** @param {HTMLElement} plot */
function visibleDrawing(plot) {
  return [.../** @type {NodeListOf<SVGSVGElement>} */ (plot.querySelectorAll(".bp-svg"))].find((drawing) => drawing.clientWidth > 0);
}

/**
 * @param {SVGSVGElement} drawing
 * @returns {Frame}
 */
function frameOf(drawing) {
  const [left, top, right, bottom] = (drawing.dataset.frame ?? "").split(" ").map(Number);
  return { left, top, right, bottom, width: drawing.viewBox.baseVal.width, height: drawing.viewBox.baseVal.height };
}
