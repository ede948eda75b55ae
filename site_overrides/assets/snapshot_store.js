/**
 * Keeps the memory of a Python that has started, from one visit to the next, in this site's private files.
 *
 * There is one file at most: the snapshot, and the interpreter's code behind it. Its name is their two sha256, so that the
 * site's manifest tells whether it is of this build. It is written as a whole or not at all. A worker reads it where it lies,
 * which takes a tenth of the time of a fetch.
 *
 * @typedef {import("./protocol.js").Urls} Urls
 * @typedef {{ file: string, bytes: number, sha256: string }} Named  What the manifest says of a file.
 * @typedef {{ kind: "notes" | "memory" | "standard library" | "library" | "file", path: string, at?: number, offset: number,
 *     length: number }} Part  `at` is the place of a piece of memory.
 * @typedef {{ version: string, memory: number, table: number, exports: string[], length: number, parts: Part[] }} Head
 * @typedef {{ read(to: Uint8Array, options: { at: number }): number, getSize(): number, close(): void }} Access  Of a file that
 *     lies open; tsc does not know it outside of workers.
 */

const FOLDER = "python-snapshot";
const CODE = "pyodide.asm.wasm";
const ALIGNED = 16;
/** Room is asked for so many times the bytes of a packed snapshot: unpacked it has about three times as many. */
const UNPACKED = 4;
/** What a file of ours is called. One that is being written has an ending of the browser's besides. */
const NAME = /^[0-9a-f]{64}\.[0-9a-f]{64}$/;
/** Another page may be reading, which some browsers let only one do at a time: it is waited for so often, so many milliseconds. */
const [TRIES, BETWEEN] = [40, 25];

/** Held here, since starting Python watches `fetch` for missing files: none of these is one. */
const plainFetch = self.fetch.bind(self);

/** Whether this browser, and this address, let a snapshot be unpacked, checked and written. */
function possible() {
  const writes = "createWritable" in (globalThis.FileSystemFileHandle?.prototype ?? {});
  return writes && typeof DecompressionStream !== "undefined" && Boolean(globalThis.crypto?.subtle);
}

/** Whether the reader pays for what is fetched, or has asked for less. */
function metered() {
  const connection = /** @type {any} */ (navigator).connection;
  return Boolean(connection?.saveData || connection?.type === "cellular" || /2g$/.test(connection?.effectiveType ?? ""));
}

/** @param {boolean} [create] */
async function folder(create) {
  const root = await navigator.storage.getDirectory();
  return root.getDirectoryHandle(FOLDER, { create });
}

/**
 * Whether there is a place for so many bytes. Some browsers have none in a private window, and some do not tell its size.
 *
 * @param {number} bytes
 */
async function hasRoom(bytes) {
  try {
    await navigator.storage.getDirectory();
    const { quota = Infinity, usage = 0 } = (await navigator.storage.estimate?.()) ?? {};
    return quota - usage > bytes;
  } catch {
    return false;
  }
}

/**
 * What the manifest says of the snapshot and of the interpreter's code, and the name that their file has.
 *
 * @param {Urls} urls
 * @returns {Promise<{ snapshot: Named, code: Named, name: string } | undefined>}  undefined if it names none; rejects if it is not
 *     to be had.
 */
async function named(urls) {
  const response = await plainFetch(urls.manifest);
  if (!response.ok) throw new Error("the manifest cannot be had");
  const { snapshot, files } = await response.json();
  return snapshot && { snapshot, code: { file: CODE, ...files[CODE] }, name: `${snapshot.sha256}.${files[CODE].sha256}` };
}

/**
 * Opens a file where it lies.
 *
 * @param {FileSystemFileHandle} file
 * @returns {Promise<Access>}
 */
async function open(file) {
  for (let left = TRIES; ; left--) {
    try {
      return await /** @type {any} */ (file).createSyncAccessHandle({ mode: "read-only" });
    } catch (error) {
      if (!left || !(error instanceof DOMException) || error.name !== "NoModificationAllowedError") throw error;
      await new Promise((resolve) => setTimeout(resolve, BETWEEN));
    }
  }
}

/** A snapshot that lies open, to be read part by part. */
export class Kept {
  #access;
  #begin;

  /** @param {Access} access @param {string} name */
  constructor(access, name) {
    this.#access = access;
    this.name = name;
    const length = new DataView(this.#bytes(0, 4).buffer).getUint32(0, true);
    /** @type {Head} */
    this.head = JSON.parse(new TextDecoder().decode(this.#bytes(4, length)));
    this.#begin = Math.ceil((4 + length) / ALIGNED) * ALIGNED;
  }

  /** @param {number} at @param {number} length */
  #bytes(at, length) {
    return this.#into(new Uint8Array(length), at);
  }

  /** @param {Uint8Array<ArrayBuffer>} place @param {number} at */
  #into(place, at) {
    if (this.#access.read(place, { at }) !== place.length) throw new Error("it is cut short");
    return place;
  }

  /** The interpreter's code. */
  code() {
    const at = this.#begin + this.head.length;
    return this.#bytes(at, Math.max(0, this.#access.getSize() - at));
  }

  /** @param {Part} part */
  bytesOf(part) {
    return this.#bytes(this.#begin + part.offset, part.length);
  }

  /** @param {Part} part @param {Uint8Array<ArrayBuffer>} place  as long as the part */
  readInto(part, place) {
    this.#into(place, this.#begin + part.offset);
  }

  /** Whether it is of this build, as the manifest says. @param {Urls} urls */
  async isOf(urls) {
    return (await named(urls))?.name === this.name;
  }

  close() {
    this.#access.close();
  }
}

/**
 * The snapshot that an earlier visit kept, opened, if there is one; it may turn out to be of another build.
 *
 * @returns {Promise<Kept | undefined>}
 */
export async function keptSnapshot() {
  /** @type {Access | undefined} */
  let access;
  try {
    for await (const [name, file] of (await folder()).entries()) {
      if (!NAME.test(name)) continue;
      access = await open(/** @type {FileSystemFileHandle} */ (file));
      return new Kept(access, name);
    }
  } catch (error) {
    access?.close();
    if (!(error instanceof DOMException && error.name === "NotFoundError")) {
      console.info("No kept snapshot of Python can be had.", error);
      await forgetSnapshot();
    }
  }
  return undefined;
}

/** Throws away what is kept. */
export async function forgetSnapshot() {
  try {
    await (await navigator.storage.getDirectory()).removeEntry(FOLDER, { recursive: true });
  } catch {
    // There is none, or another page is reading it.
  }
}

/**
 * The bytes, if they are those that the manifest names.
 *
 * @param {ReadableStream} stream
 * @param {Named} found
 */
async function whole(stream, found) {
  const bytes = await new Response(stream).arrayBuffer();
  const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
  const sha256 = Array.from(digest, (byte) => byte.toString(16).padStart(2, "0")).join("");
  if (sha256 !== found.sha256) throw new Error(`${found.file} is not whole, or of another build`);
  return bytes;
}

/**
 * The body of a file of the runtime.
 *
 * @param {Urls} urls
 * @param {Named} found
 */
async function fetched(urls, found) {
  const { ok, body } = await plainFetch(new URL(found.file, urls.manifest));
  if (!ok || !body) throw new Error(`${found.file} cannot be had`);
  return body;
}

/** @param {string} name */
async function isThere(name) {
  const file = await folder().then((found) => found.getFileHandle(name), () => undefined).catch(() => undefined);
  return Boolean((await file?.getFile())?.size); // an empty one was to be written when the browser was closed
}

/**
 * Fetches the snapshot and keeps it for the next visit, unless it is there, cannot be used here, or costs the reader money.
 *
 * @param {Urls} urls
 */
export async function keepSnapshot(urls) {
  if (!possible() || metered()) return;
  try {
    const found = await named(urls);
    if (!found || (await isThere(found.name)) || !(await hasRoom(UNPACKED * found.snapshot.bytes + found.code.bytes))) return;
    const unpacked = (await fetched(urls, found.snapshot)).pipeThrough(new DecompressionStream("gzip"));
    const parts = [await whole(unpacked, found.snapshot), await whole(await fetched(urls, found.code), found.code)];
    await forgetSnapshot();
    const file = await (await folder(true)).getFileHandle(found.name, { create: true });
    const writable = await file.createWritable();
    try {
      for (const part of parts) await writable.write(part);
      await writable.close();
    } catch (error) {
      await writable.abort();
      await forgetSnapshot();
      throw error;
    }
  } catch (error) {
    console.info("No snapshot of Python is kept.", error);
  }
}

/**
 * Throws away what is kept if it has been damaged since, so that the next start is a plain one. To look takes too long for a start.
 *
 * @param {Urls} urls
 */
export async function lookForDamage(urls) {
  const found = await named(urls).catch(() => undefined);
  if (!found) return;
  try {
    const file = await (await (await folder()).getFileHandle(found.name)).getFile();
    const end = file.size - found.code.bytes;
    await whole(file.slice(0, end).stream(), found.snapshot);
    await whole(file.slice(end).stream(), found.code);
  } catch (error) {
    console.info("The kept snapshot of Python is thrown away.", error);
    await forgetSnapshot();
  }
}
