/**
 * A form's values in the page's address, each field under its own name, and only those that differ from what stands there at first.
 *
 * @typedef {import("./protocol.js").Texts} Texts
 */

const BARE = "bare";

/**
 * What the address says: texts for known fields, and a sentence for each thing that cannot be used.
 *
 * @param {string} search
 * @param {string[]} names  of the form's fields
 * @returns {{ texts: Texts, complaints: string[] }}
 */
export function readAddress(search, names) {
  /** @type {Texts} */
  const texts = {};
  const complaints = [];
  for (const [name, text] of new URLSearchParams(search)) {
    if (name === BARE) continue;
    if (!names.includes(name)) complaints.push(`The address has “${shortened(name)}”, which is no field of this form.`);
    else if (name in texts) complaints.push(`The address has “${name}” more than once; the first was taken.`);
    else texts[name] = text;
  }
  return { texts, complaints };
}

/**
 * The query string for these texts, with its question mark; empty when all are as at first.
 *
 * @param {Texts} texts
 * @param {Texts} defaults
 * @param {boolean} bare
 */
export function query(texts, defaults, bare = false) {
  const changed = Object.entries(texts).filter(([name, text]) => text !== defaults[name]);
  const written = new URLSearchParams([...(bare ? [[BARE, "1"]] : []), ...changed]).toString();
  return written && `?${written}`;
}

/** Whether the page shows the form alone. */
export function isBare() {
  return new URLSearchParams(location.search).get(BARE) === "1";
}

/** @param {string} text */
function shortened(text) {
  return text.length > 40 ? `${text.slice(0, 40)}…` : text;
}
