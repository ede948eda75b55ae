/**
 * Forms' values in the page's address, each field under its own name, and only those that differ from what stands there at first.
 *
 * Where a page holds several forms, plain names belong to the first. Those of another form have its name and a point before them:
 * `?turns=80` and `?coil-2.turns=80`.
 *
 * @typedef {import("./protocol.js").Texts} Texts
 */

const BARE = "bare";

/**
 * What the address says to a form: texts for known fields, and a sentence for each thing that cannot be used.
 *
 * @param {string} search
 * @param {string[]} names  of the form's fields
 * @param {string} prefix  before its fields' names; empty for the first form
 * @param {string[]} prefixes  of all forms of the page
 * @returns {{ texts: Texts, complaints: string[] }}
 */
export function readAddress(search, names, prefix = "", prefixes = [prefix]) {
  /** @type {Texts} */
  const texts = {};
  const complaints = [];
  for (const [whole, text] of new URLSearchParams(search)) {
    if (whole === BARE || ownerOf(whole, prefixes) !== prefix) continue;
    const name = whole.slice(prefix.length);
    if (!names.includes(name)) complaints.push(`The address has “${shortened(whole)}”, which is no field of this form.`);
    else if (name in texts) complaints.push(`The address has “${whole}” more than once; the first was taken.`);
    else texts[name] = text;
  }
  return { texts, complaints };
}

/**
 * The query string for these texts, with its question mark; empty when all are as at first.
 *
 * @param {Texts} texts
 * @param {Texts} defaults
 */
export function query(texts, defaults) {
  return written(changes(texts, defaults, ""));
}

/**
 * The page's query string with a form's part of it made anew; the parts of other forms stay.
 *
 * @param {string} search
 * @param {Texts} texts
 * @param {Texts} defaults
 * @param {string} prefix
 * @param {string[]} prefixes
 */
export function pageQuery(search, texts, defaults, prefix, prefixes) {
  const others = [...new URLSearchParams(search)].filter(([name]) => name !== BARE && ownerOf(name, prefixes) !== prefix);
  const own = changes(texts, defaults, prefix);
  return written([...(isBare() ? [[BARE, "1"]] : []), ...(prefix ? [...others, ...own] : [...own, ...others])]);
}

/** Whether the page shows the form alone. */
export function isBare() {
  return new URLSearchParams(location.search).get(BARE) === "1";
}

/**
 * The prefix of the form that a name in the address belongs to.
 *
 * @param {string} name
 * @param {string[]} prefixes
 */
function ownerOf(name, prefixes) {
  return prefixes.find((prefix) => prefix && name.startsWith(prefix)) ?? "";
}

/**
 * @param {Texts} texts
 * @param {Texts} defaults
 * @param {string} prefix
 */
function changes(texts, defaults, prefix) {
  return Object.entries(texts).filter(([name, text]) => text !== defaults[name]).map(([name, text]) => [prefix + name, text]);
}

/** @param {string[][]} entries */
function written(entries) {
  const text = new URLSearchParams(entries).toString();
  return text && `?${text}`;
}

/** @param {string} text */
function shortened(text) {
  return text.length > 40 ? `${text.slice(0, 40)}…` : text;
}
