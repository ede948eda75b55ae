import { element } from "./dom.js";

/**
 * A slider over steps that have texts.
 *
 * @param {string[]} texts
 * @param {number} first
 * @param {string} name
 */
export function slider(texts, first, name) {
  const input = element(document, "input", { type: "range", class: "bp-sound-slider", min: "0", max: String(texts.length - 1), step: "1", value: String(first), "aria-valuetext": texts[first] });
  const text = element(document, "span", { class: "bp-sound-step" }, texts[first]);
  const whole = element(document, "div", { class: "bp-sound-steps" }, element(document, "label", {}, name, input), text);
  input.addEventListener("input", () => {
    text.textContent = texts[input.valueAsNumber];
    input.setAttribute("aria-valuetext", texts[input.valueAsNumber]);
  });
  return { input, whole };
}
