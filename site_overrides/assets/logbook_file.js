/**
 * The logbook as a file: its entries with a version, checked on opening, and told apart from what is there.
 *
 * @typedef {import("./protocol.js").Texts} Texts
 * @typedef {{ id: string, title: string, date: string, notes: string }} Heading
 * @typedef {Heading & { kind: "design", form: string, fields: Texts, answer: string }} Design
 * @typedef {Heading & { kind: "reading", text: string }} Reading
 * @typedef {Design | Reading} Entry
 *   answer: the sentence that the form gave when the design was kept; empty if it gave none
 * @typedef {{ fresh: Entry[], same: Entry[], second: Entry[] }} Merged  second: differed, so it has another id
 */

import { isRecord, shown } from "./design_file.js";

const VERSION_NAME = "borrowed-power-logbook";
const VERSION = 1;
const DESIGN_NAME = "borrowed-power";
const MOST_BYTES = 5_000_000;
const TOO_LARGE = "This file is too large: a logbook has at most 5 MB.";
const MOST_ENTRIES = 5000;
/** Letters of each text; the published schema has the same. */
export const LONGEST = { id: 80, title: 200, date: 10, notes: 20_000, form: 80, answer: 2000, text: 100_000 };
const PARTS = { design: ["form", "fields", "answer"], reading: ["text"] };

/** @param {Entry[]} entries */
export function logbookText(entries) {
  return `${JSON.stringify({ [VERSION_NAME]: VERSION, entries }, null, 2)}\n`;
}

/**
 * Stops what would make a book that could not be read back from its file.
 *
 * @param {Entry[]} entries  all of the book
 */
export function requireRoom(entries) {
  if (entries.length > MOST_ENTRIES) throw new Error(`The logbook is full: it holds at most ${MOST_ENTRIES} entries.`);
  if (bytes(logbookText(entries)) > MOST_BYTES) throw new Error("The logbook is full: it holds at most 5 MB.");
}

/** @param {string} text */
function bytes(text) {
  return new TextEncoder().encode(text).length;
}

/**
 * The text of a file, unless it is too large to be read at all.
 *
 * @param {File} file
 */
export async function fileText(file) {
  if (file.size > MOST_BYTES) throw new Error(TOO_LARGE);
  return file.text();
}

/**
 * The entries of a file; a single design becomes one entry. An error's message is a sentence for the reader.
 *
 * @param {string} text
 * @param {string[]} forms  that the site has
 * @param {{ id: string, date: string }} made  for a design, which has neither
 * @returns {Entry[]}
 */
export function readLogbook(text, forms, made) {
  if (bytes(text) > MOST_BYTES) throw new Error(TOO_LARGE);
  /** @type {unknown} */
  let book;
  try {
    book = JSON.parse(text);
  } catch {
    throw new Error("This file is not a logbook: it is not JSON, or it is damaged.");
  }
  if (isRecord(book) && Object.hasOwn(book, DESIGN_NAME)) return [fromDesign(book, forms, made)];
  if (!isRecord(book) || !Object.hasOwn(book, VERSION_NAME)) {
    throw new Error(`This file is not a logbook: it does not say “${VERSION_NAME}”.`);
  }
  if (book[VERSION_NAME] !== VERSION) {
    throw new Error(`This logbook is of version ${shown(book[VERSION_NAME])}; this page reads version ${VERSION}.`);
  }
  if (!Array.isArray(book.entries)) throw new Error("This logbook has no list of entries.");
  if (book.entries.length > MOST_ENTRIES) throw new Error(`A logbook has at most ${MOST_ENTRIES} entries.`);
  const entries = book.entries.map((entry) => checkedEntry(entry, forms));
  if (new Set(entries.map((entry) => entry.id)).size !== entries.length) {
    throw new Error("Two entries of this logbook have the same id.");
  }
  return entries;
}

/**
 * What an opened file adds to the entries that are there, none of which it changes.
 *
 * @param {Entry[]} there
 * @param {Entry[]} opened
 * @param {() => string} newId
 * @returns {Merged}
 */
export function merge(there, opened, newId) {
  const ids = new Set(there.map((entry) => entry.id));
  const contents = new Set(there.map(content));
  /** @type {Merged} */
  const merged = { fresh: [], same: [], second: [] };
  for (const entry of opened) {
    if (contents.has(content(entry))) merged.same.push(entry);
    else if (ids.has(entry.id)) merged.second.push({ ...entry, id: newId() });
    else merged.fresh.push(entry);
  }
  return merged;
}

/** @param {Entry} entry */
function content(entry) {
  const { id: _, ...rest } = entry;
  const parts = Object.entries(rest).map(([name, value]) => [name, isRecord(value) ? Object.entries(value).sort() : value]);
  return JSON.stringify(parts.sort());
}

/**
 * @param {Record<string, unknown>} design
 * @param {string[]} forms
 * @param {{ id: string, date: string }} made
 */
function fromDesign(design, forms, made) {
  if (design[DESIGN_NAME] !== 1) throw new Error("This design is not of version 1, which this page reads.");
  const { form, fields } = design;
  return checkedEntry({ ...made, kind: "design", title: form, notes: "", form, fields, answer: "" }, forms);
}

/**
 * What is one entry for certain. An error's message is a sentence for the reader.
 *
 * @param {unknown} entry
 * @param {string[]} forms
 * @returns {Entry}
 */
export function checkedEntry(entry, forms) {
  if (!isRecord(entry)) throw new Error("An entry of this logbook is no record.");
  const { kind } = entry;
  if (kind !== "design" && kind !== "reading") throw new Error("An entry of this logbook is neither a design nor a reading.");
  const names = ["id", "kind", "title", "date", "notes", ...PARTS[kind]];
  const stranger = Object.keys(entry).find((name) => !names.includes(name));
  if (stranger !== undefined) throw new Error(`An entry of this logbook has ${shown(stranger)}, which no ${kind} has.`);
  for (const [name, longest] of Object.entries(LONGEST)) {
    if (!names.includes(name)) continue;
    const value = entry[name];
    if (typeof value !== "string") throw new Error(`An entry of this logbook needs its ${name} as text.`);
    if (value.length > longest) throw new Error(`The ${name} of an entry is longer than ${longest} characters.`);
  }
  if (entry.id === "") throw new Error("An entry of this logbook has no id.");
  if (!isDate(String(entry.date))) throw new Error(`${shown(entry.date)} is no date: write it as 2026-01-31.`);
  if (kind === "design") {
    if (!forms.includes(String(entry.form))) throw new Error(`The site has no form ${shown(entry.form)}.`);
    const plain = isRecord(entry.fields) &&
      Object.entries(entry.fields).every(([name, value]) => /^[a-z][a-z0-9_]*$/.test(name) && typeof value === "string");
    if (!plain) throw new Error("The fields of a design must be names with texts.");
  }
  return /** @type {Entry} */ (/** @type {unknown} */ (entry));
}

/** @param {string} text */
function isDate(text) {
  const day = new Date(`${text}T00:00:00Z`);
  return !Number.isNaN(day.valueOf()) && day.toISOString().startsWith(`${text}T`);
}

/** Today by the reader's clock, as 2026-01-31. */
export function today() {
  const now = new Date();
  now.setUTCFullYear(now.getFullYear(), now.getMonth(), now.getDate());
  return now.toISOString().slice(0, 10);
}

/** An id that no other entry has. Not by `randomUUID`, which a club's server without https does not have. */
export function newId() {
  return [...crypto.getRandomValues(new Uint8Array(16))].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}
