/**
 * The logbook's page: lists what is kept, sorts and searches it; keeps readings; exports, imports, clears, and undoes.
 *
 * @typedef {import("./logbook_file.js").Entry} Entry
 * @typedef {import("./logbook_entry.js").Forms} Forms
 * @typedef {{ entry: Entry, text: string, words: string, view: HTMLElement }} Shown
 */

import { save } from "./design_file.js";
import { element } from "./dom.js";
import { Draft, HERE_AGAIN, drafted } from "./logbook_draft.js";
import { button, entryEditor, entryView, folded, kindOf, question, wordsOf } from "./logbook_entry.js";
import { dateLine, labelled, notesBox, textBox, titleLine } from "./logbook_fields.js";
import { checkedEntry, fileText, logbookText, newId, readLogbook, today } from "./logbook_file.js";
import { LogbookStore } from "./logbook_store.js";

const inFolder = location.protocol === "file:";

/** @param {HTMLElement} place */
export function openLogbook(place) {
  void new LogbookPage(place).refresh();
}

class LogbookPage {
  /** What is kept, each with its words and as it is shown, by id. @type {Map<string, Shown>} */
  #shown = new Map();
  /** Entries that are being changed, by id. @type {Map<string, HTMLElement>} */
  #editors = new Map();
  /** What was taken out, the last one last. @type {{ what: string, entries: Entry[] }[]} */
  #removed = [];
  /** What went wrong with the last thing that was done, and with the store. */
  #wrong = { done: "", store: "" };

  /** @param {HTMLElement} place */
  constructor(place) {
    this.place = place;
    /** @type {Forms} */
    this.forms = JSON.parse(place.querySelector(".bp-logbook-forms")?.textContent ?? "{}");
    this.ids = Object.keys(this.forms);
    this.said = element(document, "p", { class: "bp-said", role: "status" });
    this.notice = element(document, "div", { class: "bp-notice", role: "alert", hidden: true });
    this.undo = button("Undo", "Undo", () => this.#undo());
    this.list = element(document, "div", { class: "bp-log-list" });
    this.count = element(document, "p", { class: "bp-log-count" });
    this.search = element(document, "input", { type: "search", class: "bp-control", autocomplete: "off" });
    this.order = element(document, "select", { class: "bp-control" },
      element(document, "option", { value: "newest" }, "newest first"),
      element(document, "option", { value: "oldest" }, "oldest first"),
      element(document, "option", { value: "title" }, "by title"));
    this.file = element(document, "input", { type: "file", accept: ".json,application/json", hidden: true });
    this.writer = this.#writer();
    this.surely = this.#surely();
    this.clear = button("Clear the logbook", "Clear the logbook", () => this.#askClear());
    this.clear.setAttribute("aria-expanded", "false");
    this.undo.hidden = true;
    this.search.addEventListener("input", () => this.#show());
    this.order.addEventListener("change", () => this.#show());
    this.file.addEventListener("change", () => this.#import());
    this.store = new LogbookStore((sentence) => this.#complain("store", sentence));
    this.store.watch(() => this.refresh());
    document.addEventListener("visibilitychange", () => document.hidden || this.refresh()); // where tabs cannot tell each other
    place.append(
      this.notice,
      this.writer,
      element(document, "div", { class: "bp-log-tools" },
        labelled("Search", this.search).field, labelled("Order", this.order).field,
        element(document, "div", { class: "bp-buttons" },
          button("Export all", "Export all", () => this.#export()),
          button("Import", "Import", () => this.file.click()),
          button("Print", "Print", () => window.print()), this.clear, this.file)),
      this.surely,
      element(document, "h2", {}, "Entries"), this.count, this.list,
      element(document, "div", { class: "bp-log-bar" }, this.said, this.undo));
    this.#reopen();
  }

  /** Reads the logbook anew and shows it. What is being changed stays as it is. */
  async refresh() {
    try {
      this.#take(await this.store.all());
      this.place.dataset.state = "open";
      this.#show();
      this.#complain("store", "");
    } catch (error) {
      this.#complain("store", sentenceOf(error));
    }
  }

  /** What has not changed is left as it stands, opened or with the focus in it. @param {Entry[]} entries */
  #take(entries) {
    const before = this.#shown;
    this.#shown = new Map(entries.map((entry) => {
      const text = JSON.stringify(entry);
      const known = before.get(entry.id);
      return [entry.id, known?.text === text ? known : { entry, text, words: wordsOf(entry, this.forms), view: this.#view(entry) }];
    }));
  }

  /** A new reading, which is typed here. */
  #writer() {
    const title = titleLine("");
    const date = dateLine(today());
    const text = textBox("Readings", "text", "");
    const notes = notesBox("");
    const wrong = element(document, "p", { class: "bp-error", role: "alert" });
    const form = element(document, "form", { class: "bp-log-editor", novalidate: true, "aria-label": "New readings" },
      title.field, date.field, text.field, notes.field, wrong,
      element(document, "div", { class: "bp-buttons" }, element(document, "button", { type: "submit", class: "bp-button" }, "Keep these readings")));
    const part = element(document, "details", { class: "bp-log-new" }, element(document, "summary", {}, "Write down readings"), form);
    const draft = new Draft("new", form, { title: title.control, date: date.control, text: text.control, notes: notes.control });
    part.open = draft.restore();
    part.addEventListener("toggle", () => draft.renew());
    draft.followDays();
    form.addEventListener("submit", async (event) => {
      event.preventDefault();
      wrong.textContent = "";
      if (!text.control.value.trim() && !notes.control.value.trim()) {
        wrong.textContent = "Write the readings first, or a note.";
        return text.control.focus();
      }
      wrong.textContent = await this.#try(async () => {
        const entry = checkedEntry({
          id: newId(), kind: "reading", title: title.control.value.trim() || "Readings", date: date.control.value,
          notes: notes.control.value, text: text.control.value,
        }, this.ids);
        const { same } = await this.store.add([entry]);
        for (const { control } of [title, text, notes]) control.value = "";
        draft.done();
        await this.refresh();
        this.#say(same.length ? "The logbook has this entry already, word for word." : `Kept as “${entry.title}”.`);
      }, false);
    });
    return part;
  }

  #show() {
    const words = folded(this.search.value).split(/\s+/).filter(Boolean);
    const found = [...this.#shown.values()].filter((one) => this.#editors.has(one.entry.id) || words.every((word) => one.words.includes(word)))
      .map(({ entry }) => entry);
    const by = this.order.value;
    found.sort((a, b) => (by === "title" ? a.title.localeCompare(b.title) : 0) ||
      (by === "oldest" ? a.date.localeCompare(b.date) : b.date.localeCompare(a.date)) || a.title.localeCompare(b.title));
    const shown = new Set(found.map(({ id }) => id));
    const gone = [...this.#editors].filter(([id]) => !shown.has(id)).map(([, editor]) => editor);
    const wanted = [...gone, ...found.map((entry) => this.#editors.get(entry.id) ?? this.#shown.get(entry.id)?.view ?? "")];
    const focused = /** @type {HTMLElement | null} */ (this.list.contains(document.activeElement) ? document.activeElement : null);
    this.list.replaceChildren(...wanted);
    if (focused?.isConnected) focused.focus({ preventScroll: true });
    const all = this.#shown.size;
    this.count.textContent = this.place.dataset.state !== "open" ? ""
      : all === 0 ? "Nothing is kept yet. Press “Keep in logbook” below a form, or write down readings above."
      : found.length === all ? `${all} ${all === 1 ? "entry" : "entries"}.` : `${found.length} of ${all} entries have these words.`;
  }

  /** @param {Entry} entry */
  #view(entry) {
    const view = entryView(entry, this.forms, {
      edit: () => this.#edit(entry),
      remove: () => this.#remove([entry.id], `“${entry.title}”`),
      address: (form) => formAddress(form),
    });
    view.dataset.id = entry.id;
    return view;
  }

  /** What was being changed when the page was left. It is said once the page is drawn, so that it is read out. */
  #reopen() {
    for (const was of drafted()) {
      try {
        this.#open(checkedEntry(was, this.ids));
      } catch {
        // the site has no such entries any more
      }
    }
    this.#show();
    if (this.#editors.size || this.writer.open) requestAnimationFrame(() => this.#say(HERE_AGAIN));
  }

  /** @param {Entry} entry */
  #edit(entry) {
    const editor = this.#open(entry);
    this.#show();
    editor.querySelector("input")?.focus();
  }

  /** @param {Entry} entry */
  #open(entry) {
    const close = (/** @type {string} */ id) => {
      this.#editors.delete(entry.id);
      this.#show();
      /** @type {HTMLElement | null} */ (this.list.querySelector(`[data-id="${CSS.escape(id)}"] button`))?.focus();
    };
    const editor = entryEditor(entry, {
      cancel: () => close(entry.id),
      save: (changed) => this.#try(async () => {
        const { entry: kept, beside } = await this.store.replace(entry, checkedEntry(changed, this.ids));
        this.#say(beside ? `“${kept.title}” was changed in another tab meanwhile. Both are kept.` : `“${kept.title}” is changed.`);
        await this.refresh();
        close(kept.id);
      }, false),
    });
    this.#editors.set(entry.id, editor);
    return editor;
  }

  /** @param {string[] | undefined} ids @param {string} what */
  async #remove(ids, what) {
    await this.#try(async () => {
      const entries = await this.store.remove(ids);
      if (entries.length) this.#removed.push({ what, entries });
      await this.refresh();
      this.#say(`${what} ${ids ? "is deleted" : "is cleared"}. Until this page closes it can be had back.`);
      this.#offerUndo();
      this.undo.focus();
    });
  }

  async #undo() {
    const last = this.#removed.at(-1);
    if (!last) return;
    await this.#try(async () => {
      await this.store.add(last.entries);
      this.#removed.pop();
      await this.refresh();
      this.#say(`${last.what} is back.`);
      this.#offerUndo();
      if (this.undo.hidden) this.search.focus();
    });
  }

  #offerUndo() {
    const last = this.#removed.at(-1);
    this.undo.hidden = !last;
    this.undo.textContent = last ? `Undo: have ${last.what} back` : "";
  }

  #surely() {
    const words = "This takes all entries out of this browser, those that the search hides too. Export them first if in doubt. " +
      "Clear the logbook?";
    return question("Clear the logbook?", words, {
      "No, keep it": () => {
        this.#closeSurely();
        this.clear.focus();
      },
      "Yes, clear all of it": () => {
        this.#closeSurely();
        void this.#remove(undefined, "The whole logbook");
      },
    });
  }

  #askClear() {
    if (!this.#shown.size) return this.#say("The logbook is empty already.");
    this.surely.hidden = false;
    this.clear.setAttribute("aria-expanded", "true");
    this.surely.querySelector("button")?.focus();
  }

  #closeSurely() {
    this.surely.hidden = true;
    this.clear.setAttribute("aria-expanded", "false");
  }

  async #export() {
    await this.#try(async () => {
      const entries = await this.store.all();
      save(`logbook-${today()}.json`, logbookText(entries));
      this.#say(`${counted(entries)} exported as a file.`);
    });
  }

  async #import() {
    const chosen = this.file.files?.[0];
    if (!chosen) return;
    await this.#try(async () => {
      const opened = readLogbook(await fileText(chosen), this.ids, { id: newId(), date: today() });
      const { fresh, same, second } = await this.store.add(opened.map((entry) => titled(entry, this.forms)));
      await this.refresh();
      this.#say([
        `${chosen.name}: ${fresh.length} new`,
        same.length && `${same.length} the same as here`,
        second.length && `${second.length} differed from the one here and ${second.length === 1 ? "was" : "were"} kept beside it`,
      ].filter(Boolean).join(", ") + ".");
    });
    this.file.value = "";
  }

  /**
   * Does it, and gives the sentence of what went wrong, which is shown above all unless it has a place of its own.
   *
   * @param {() => Promise<void>} act
   * @param {boolean} [above]
   */
  async #try(act, above = true) {
    try {
      await act();
      this.#complain("done", "");
      return "";
    } catch (error) {
      const sentence = sentenceOf(error);
      if (above) {
        this.#say("");
        this.#complain("done", sentence);
      }
      return sentence;
    }
  }

  /** @param {string} sentence */
  #say(sentence) {
    this.said.textContent = sentence;
  }

  /** @param {"done" | "store"} about @param {string} sentence  empty if nothing is wrong with it now */
  #complain(about, sentence) {
    if (!sentence && !this.#wrong[about]) return; // so that the other is not read out once more
    this.#wrong[about] = sentence;
    const sentences = [...new Set(Object.values(this.#wrong))].filter(Boolean);
    this.notice.replaceChildren(...sentences.map((wrong) => element(document, "p", {}, wrong)));
    this.notice.hidden = sentences.length === 0;
  }
}

/** A design from a file of its own is named after its form. @param {Entry} entry @param {Forms} forms @returns {Entry} */
function titled(entry, forms) {
  return entry.kind === "design" && entry.title === entry.form ? { ...entry, title: kindOf(entry, forms) } : entry;
}

/** @param {Entry[]} entries */
function counted(entries) {
  return entries.length === 1 ? "1 entry" : `${entries.length} entries`;
}

/** @param {string} form */
function formAddress(form) {
  const page = new URL(location.href);
  return new URL(`${page.pathname.endsWith("index.html") || page.pathname.endsWith("/") ? ".." : "."}/forms/${form}/${inFolder ? "index.html" : ""}`, page).href;
}

/** @param {unknown} error */
function sentenceOf(error) {
  return error instanceof Error ? error.message : String(error);
}
