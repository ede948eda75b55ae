/**
 * A design as a file: what stands in a form's fields, with a version, checked on opening.
 *
 * @typedef {import("./protocol.js").Texts} Texts
 */

const VERSION_NAME = "borrowed-power";
const VERSION = 1;
const MOST_BYTES = 1_000_000;

/**
 * @param {string} form
 * @param {Texts} texts
 */
export function designText(form, texts) {
  return `${JSON.stringify({ [VERSION_NAME]: VERSION, form, fields: texts }, null, 2)}\n`;
}

/**
 * Hands the reader a file to keep.
 *
 * @param {string} name
 * @param {string} text
 */
export function save(name, text) {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([text], { type: "application/json" }));
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
}

/**
 * The texts of a design file for this form. An error's message is a sentence for the reader.
 *
 * @param {File} file
 * @param {string} form
 * @param {string[]} names  of the form's fields
 * @returns {Promise<Texts>}
 */
export async function open(file, form, names) {
  if (file.size > MOST_BYTES) throw new Error("This file is too large to be a design.");
  return readDesign(await file.text(), form, names);
}

/**
 * @param {string} text
 * @param {string} form
 * @param {string[]} names
 * @returns {Texts}
 */
function readDesign(text, form, names) {
  /** @type {unknown} */
  let design;
  try {
    design = JSON.parse(text);
  } catch {
    throw new Error("This file is not a design: it is not JSON.");
  }
  if (!isRecord(design) || !(VERSION_NAME in design)) {
    throw new Error(`This file is not a design: it does not say “${VERSION_NAME}”.`);
  }
  if (design[VERSION_NAME] !== VERSION) {
    throw new Error(`This file is of version ${shown(design[VERSION_NAME])}; this page reads version ${VERSION}.`);
  }
  if (design.form !== form) {
    throw new Error(`This file is for the form ${shown(design.form)}; this one is “${form}”.`);
  }
  if (!isRecord(design.fields)) throw new Error("This file has no fields.");
  const strangers = Object.keys(design.fields).filter((name) => !names.includes(name));
  if (strangers.length) throw new Error(`This file has ${strangers.slice(0, 3).map(shown).join(", ")}, which this form does not have.`);
  const wrong = Object.entries(design.fields).filter(([, value]) => typeof value !== "string").map(([name]) => name);
  if (wrong.length) throw new Error(`In this file ${wrong.slice(0, 3).map(shown).join(", ")} must be text in quotation marks.`);
  return /** @type {Texts} */ (design.fields);
}

/**
 * What stands in a file, short enough for a sentence.
 *
 * @param {unknown} value
 */
export function shown(value) {
  if (typeof value === "object" && value !== null) return Array.isArray(value) ? "[…]" : "{…}"; // however deep it goes
  const text = typeof value === "string" ? value : JSON.stringify(value) ?? "none";
  const short = text.length > 40 ? `${text.slice(0, 40)}…` : text;
  return typeof value === "string" ? `“${short}”` : short;
}

/**
 * @param {unknown} value
 * @returns {value is Record<string, unknown>}
 */
export function isRecord(value) {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}
