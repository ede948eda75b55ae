/**
 * The logbook in the browser's database. Each change is one transaction: all of it is kept, or nothing. Other tabs are told.
 *
 * @typedef {import("./logbook_file.js").Entry} Entry
 * @typedef {import("./logbook_file.js").Merged} Merged
 * @typedef {import("idb").IDBPDatabase} Database
 */

import { databaseLibrary } from "./database_library.js";
import { merge, newId, requireRoom } from "./logbook_file.js";

const NAME = "borrowed-power-logbook";
const VERSION = 1;
const ENTRIES = "entries";

/** What went wrong, as the reader is told. By the names that the browser gives its errors. */
const REASONS = /** @type {Record<string, string>} */ ({
  QuotaExceededError: "The browser has no more room for this site. Nothing was changed.",
  VersionError: "The logbook here was written by a newer version of this site: take that version, or reload the page.",
});
const WANTED = "The logbook was closed, since a newer version of this site wants it: reload the page.";
/** What the browser calls it when it has dropped the connection, though it need not have said so before. */
const DROPPED = ["InvalidStateError", "UnknownError"];
const BLOCKED = "This browser does not let the page keep anything: a private window, or site data that is blocked. " +
  "Nothing can be kept in the logbook; save designs as files instead.";

export class LogbookStore {
  /** @type {Promise<Database> | undefined} */
  #opening;
  /** Whether it was closed for a newer version of the site, and is not to be opened again. */
  #wanted = false;
  /** @type {Set<() => void>} */
  #watchers = new Set();
  /** @type {BroadcastChannel | undefined} */
  #others;

  /** @param {(sentence: string) => void} tell  what the reader is to know while it opens, and if it closes; empty once it is open */
  constructor(tell) {
    this.tell = tell;
    if (typeof BroadcastChannel !== "undefined") this.#others = new BroadcastChannel(NAME);
    this.#others?.addEventListener("message", () => this.#changed());
  }

  /** @param {() => void} watcher  called when a change was made elsewhere */
  watch(watcher) {
    this.#watchers.add(watcher);
  }

  /** @returns {Promise<Entry[]>} */
  async all() {
    return this.#do(async (database) => database.getAll(ENTRIES));
  }

  /**
   * Adds entries to those that are there, none of which it changes.
   *
   * @param {Entry[]} entries
   * @returns {Promise<Merged>}
   */
  async add(entries) {
    return this.#change((there) => {
      const merged = merge(there, entries, newId);
      return { answer: merged, put: [...merged.fresh, ...merged.second] };
    });
  }

  /**
   * Puts an entry in the place of what it was. If that has changed meanwhile, or is gone, nothing is overwritten: it is kept beside.
   *
   * @param {Entry} was
   * @param {Entry} now
   * @returns {Promise<{ entry: Entry, beside: boolean }>}
   */
  async replace(was, now) {
    return this.#change((there) => {
      const stands = there.find(({ id }) => id === was.id);
      const beside = stands !== undefined && JSON.stringify(stands) !== JSON.stringify(was);
      const entry = beside ? { ...now, id: newId() } : now;
      return { answer: { entry, beside }, put: [entry] };
    });
  }

  /**
   * Takes entries out, or all.
   *
   * @param {string[]} [ids]
   * @returns {Promise<Entry[]>}  those that were taken out, as they were
   */
  async remove(ids) {
    return this.#change((there) => {
      const gone = there.filter(({ id }) => !ids || ids.includes(id));
      return { answer: gone, drop: gone.map(({ id }) => id) };
    });
  }

  /**
   * @template T
   * @param {(there: Entry[]) => { answer: T, put?: Entry[], drop?: string[] }} decide
   * @returns {Promise<T>}
   */
  async #change(decide) {
    return this.#do(async (database) => {
      const transaction = database.transaction(ENTRIES, "readwrite");
      try {
        const there = /** @type {Entry[]} */ (await transaction.store.getAll());
        const { answer, put = [], drop = [] } = decide(there);
        const touched = new Set([...drop, ...put.map(({ id }) => id)]);
        if (put.length) requireRoom([...there.filter(({ id }) => !touched.has(id)), ...put]);
        await Promise.all([
          ...drop.map((id) => transaction.store.delete(id)),
          ...put.map((entry) => transaction.store.put(entry)),
          transaction.done,
        ]);
        this.#others?.postMessage("changed");
        return answer;
      } catch (error) {
        transaction.done.catch(() => {});
        try {
          transaction.abort();
        } catch {
          // it has ended by itself
        }
        throw error;
      }
    });
  }

  /**
   * @template T
   * @param {(database: Database) => Promise<T>} act
   * @returns {Promise<T>}
   */
  async #do(act) {
    try {
      return await this.#connected(act);
    } catch (error) {
      if (!(error instanceof DOMException)) throw error;
      if (this.#wanted && error.name === "InvalidStateError") throw new Error(WANTED);
      throw new Error(REASONS[error.name] ?? `The browser could not do it (${error.name}).`);
    }
  }

  /**
   * Does it, and once more over a new connection if the first was dropped.
   *
   * @template T
   * @param {(database: Database) => Promise<T>} act
   * @returns {Promise<T>}
   */
  async #connected(act) {
    const opening = (this.#opening ??= this.#open());
    const database = await opening;
    try {
      return await act(database);
    } catch (error) {
      const dropped = error instanceof DOMException && DROPPED.includes(error.name);
      if (!dropped || this.#wanted) throw error;
      database.close();
      if (this.#opening === opening) this.#opening = undefined; // unless it was opened anew meanwhile
      return act(await (this.#opening ??= this.#open()));
    }
  }

  async #open() {
    try {
      const { openDB } = await databaseLibrary().catch(() => {
        throw new Error("A part of the logbook could not be fetched. Try again when there is a connection.");
      });
      if (typeof indexedDB === "undefined") throw new Error(BLOCKED);
      const database = await openDB(NAME, VERSION, {
        upgrade: (database, from) => {
          if (from < 1) database.createObjectStore(ENTRIES, { keyPath: "id" });
        },
        blocked: () => this.tell("Another tab holds the logbook open in an older version: close it, and this one goes on."),
        blocking: (_now, _wanted, event) => {
          this.#wanted = true;
          /** @type {IDBDatabase} */ (event.target).close();
          this.tell(WANTED);
        },
        terminated: () => {
          this.#opening = undefined;
          this.tell("The browser has closed the logbook. It is opened again with the next thing that you do.");
        },
      });
      this.tell("");
      return database;
    } catch (error) {
      this.#opening = undefined; // so that the next try is a new one
      if (error instanceof DOMException && !(error.name in REASONS)) throw new Error(BLOCKED);
      throw error;
    }
  }

  #changed() {
    for (const watcher of this.#watchers) watcher();
  }
}
