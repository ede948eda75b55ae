/**
 * What an answer says of a sound: who is heard, and what each plays. In the page, and at build time under Node.
 *
 * @typedef {import("./protocol.js").Sound} Sound
 */

import { element } from "./dom.js";

/**
 * @param {Sound} sound
 * @param {{ document: Document }} tools
 */
export function soundFigure(sound, { document }) {
  return element(document, "figure", { class: "bp-sound", "data-key": sound.key },
    element(document, "figcaption", { class: "bp-caption" }, sound.title),
    element(document, "div", { class: "bp-sound-controls" },
      element(document, "p", { class: "bp-unscripted" }, "Nothing can be played without scripts.")),
    element(document, "ul", { class: "bp-sound-list" }, ...soundItems(sound).map((item) => soundItem(item, document))),
    element(document, "p", { class: "bp-summary" }, sound.summary));
}

/**
 * All that sounds, as lines of a list.
 *
 * @param {Sound} sound
 */
export function soundItems({ voices, whistles, room }) {
  const items = voices.map(({ key, label, plays, text }) => ({ key, label, text: `${plays}; ${text}` }));
  if (whistles) items.push({ key: "whistles", label: "Whistles", text: whistles.text });
  if (room) items.push({ key: "room", label: room.label, text: room.text });
  return items;
}

/**
 * @param {{ key: string, label: string, text: string }} item
 * @param {Document} document
 */
function soundItem({ key, label, text }, document) {
  return element(document, "li", { "data-key": key },
    element(document, "span", { class: "bp-sound-name" }, label), " ",
    element(document, "span", { class: "bp-sound-text" }, text));
}
