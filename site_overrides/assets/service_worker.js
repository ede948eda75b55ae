/**
 * The service worker: keeps the site for use without a connection. The build puts the list of files ahead of it, as `SITE`.
 *
 * Every file is kept under its address and the hash of its content. So a new version fetches only what has changed, takes over only
 * when it has all of its pages (and the forms' Python if the old one has any of it), and until then the old one finds all that it has
 * kept. What does not have the hash of the list is refused, whether it was to be kept or is handed on to a page.
 *
 * @typedef {Record<string, [hash: string, bytes: number]>} Files  By path from the site's root.
 * @typedef {{ pages: Files, runtime: Files }} Site
 */

const worker = /** @type {any} */ (self); // tsc knows a page's globals here, not a service worker's
const { pages, runtime } = /** @type {Site} */ (worker.SITE);
const files = { ...pages, ...runtime };
const scope = /** @type {string} */ (worker.registration.scope);
const CACHE = `borrowed-power ${scope}`;
const MOST_UNASKED = 1_000_000;
const AT_ONCE = 6;
/** How often an installation looks whether all is here. */
const ROUNDS = 5;
/** From the browser's own cache if that has the right file, else from the server. @type {RequestCache[]} */
const WAYS = ["force-cache", "reload"];
/** The status that stands for a file which the server has of another version only; start.js knows it. */
const OTHER_VERSION = 409;
/** Ends fetching of what is large when a new version is to take over, which would wait for it. */
let leaving = new AbortController();
/** Milliseconds without a question after which pages are taken to have started; and the most that is waited for that. */
const [QUIET, LONGEST] = [1000, 10_000];
let lastAsked = -Infinity;

/** @param {string} path */
const key = (path) => `${scope}${path}?${encodeURIComponent(files[path][0])}`;

const metered = () => worker.navigator.connection?.saveData || worker.navigator.connection?.type === "cellular";

/** @param {string[]} paths */
async function missing(paths) {
  const cache = await caches.open(CACHE);
  const kept = new Set((await cache.keys()).map(({ url }) => url));
  return paths.filter((path) => !kept.has(key(path)));
}

/**
 * Fetches a file of this version.
 *
 * @param {string} path
 * @param {RequestCache[]} ways  in the order of trying
 * @param {AbortSignal} [signal]
 * @returns {Promise<Response>}
 */
async function fetchOne(path, ways, signal) {
  const [way, ...others] = ways;
  try {
    const integrity = `sha256-${files[path][0]}`;
    const response = await fetch(scope + path, { cache: way, mode: "same-origin", integrity, signal });
    if (!response.ok) throw new Error(`${path}: ${response.status}`);
    return response.redirected ? new Response(response.body, { headers: response.headers }) : response;
  } catch (error) {
    if (!others.length || signal?.aborted) throw error;
    return fetchOne(path, others, signal);
  }
}

/**
 * Whether the server has something else in a file's place, or nothing; not if it does not answer, or says that it cannot.
 *
 * @param {string} path
 */
async function isOther(path) {
  try {
    const response = await fetch(scope + path, { cache: "no-cache", mode: "same-origin" });
    if (!response.ok) return response.status === 404 || response.status === 410;
    const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", await response.arrayBuffer()));
    return btoa(String.fromCharCode(...digest)) !== files[path][0];
  } catch {
    return false;
  }
}

/**
 * Fetches what is not here of these files.
 *
 * @param {string[]} paths
 * @param {RequestCache[]} ways
 * @param {(bytes: number, of: number) => void} tell
 */
async function keep(paths, ways = WAYS, tell = () => {}) {
  const { signal } = leaving;
  const cache = await caches.open(CACHE);
  const wanted = await missing(paths);
  const all = wanted.reduce((sum, path) => sum + files[path][1], 0);
  let here = 0;
  const queue = wanted.values();
  const fetchSome = async () => {
    for (const path of queue) {
      await cache.put(key(path), await fetchOne(path, ways, signal));
      tell((here += files[path][1]), all);
    }
  };
  await Promise.all(Array.from({ length: AT_ONCE }, fetchSome));
}

/**
 * All pages; and the forms' Python if the version before this has it, as forms would stop to work offline without it. At the end all
 * is looked for again: another version may have taken over meanwhile, and cleared away what is none of its own.
 */
async function install() {
  const cache = await caches.open(CACHE);
  const hasRuntime = (await cache.keys()).some(({ url }) => url.startsWith(`${scope}runtime/`));
  const paths = Object.keys(hasRuntime ? files : pages);
  const bytes = (await missing(paths)).reduce((sum, path) => sum + files[path][1], 0);
  if (worker.registration.active && metered() && bytes > MOST_UNASKED) throw new Error("waits for a line that is not metered");
  for (let left = ROUNDS; (await missing(paths)).length; left--) {
    if (!left) throw new Error("what has been kept goes again");
    await keep(paths);
  }
}

async function clearAway() {
  const cache = await caches.open(CACHE);
  const wanted = new Set(Object.keys(files).map(key));
  for (const request of await cache.keys()) if (!wanted.has(request.url)) await cache.delete(request);
}

/** Takes over, and clears away what is of other versions, unless a newer one is on its way: that one will. */
async function activate() {
  if (!worker.registration.installing && !worker.registration.waiting) await clearAway();
  await worker.clients.claim();
}

/**
 * Waits until no page asks for anything. A browser ends the old version when that has nothing to do, then lets the new one take over;
 * a question in between would wake the old one, and both would wait for half a minute.
 */
async function quiet() {
  const latest = performance.now() + LONGEST;
  for (;;) {
    const left = Math.min(lastAsked + QUIET, latest) - performance.now();
    if (left <= 0) return;
    await new Promise((resolve) => setTimeout(resolve, left));
  }
}

/**
 * The path in the list that an address stands for, and undefined if none.
 *
 * @param {string} address
 */
function pathOf(address) {
  const path = address.startsWith(scope) ? address.slice(scope.length).replace(/[?#].*/s, "").replace(/(^|\/)index\.html$/, "$1") : "?";
  return [path, `${path}/`].find((name) => Object.hasOwn(files, name));
}

/**
 * What is kept of a file; nothing if the browser's storage does not work.
 *
 * @param {string} path
 */
async function kept(path) {
  try {
    return await (await caches.open(CACHE)).match(key(path), { ignoreVary: true });
  } catch {
    return undefined;
  }
}

/**
 * A file of Python's that is not kept: of this version or none, as this version's forms are not for another's calculations.
 *
 * @param {string} path
 */
async function runtimeFile(path) {
  const { signal } = leaving;
  try {
    return await fetchOne(path, WAYS, signal);
  } catch (error) {
    if (signal.aborted || !(await isOther(path))) throw error;
    return new Response(null, { status: OTHER_VERSION });
  }
}

/**
 * A file of a page's that is not kept, as the browser has dropped it: kept anew if there is room. If the server has another in its
 * place, nothing is kept any more, rather than a mixture.
 *
 * @param {Request} request
 * @param {string} path
 */
async function pageFile(request, path) {
  const found = await fetchOne(path, WAYS).catch(() => undefined);
  if (found) {
    const copy = found.clone();
    await caches.open(CACHE).then((cache) => cache.put(key(path), copy)).catch(() => {});
    return found;
  }
  const other = await isOther(path);
  const instead = await fetch(request);
  if (other) {
    await caches.delete(CACHE).catch(() => {});
    await worker.registration.unregister();
  }
  return instead;
}

/**
 * @param {Request} request
 * @param {string} path
 */
async function answer(request, path) {
  const address = request.url.replace(/[?#].*/s, "");
  if (path.endsWith("/") && address === scope + path.slice(0, -1)) {
    return Response.redirect(scope + path + request.url.slice(address.length));
  }
  return (await kept(path)) ?? (path in runtime ? runtimeFile(path) : pageFile(request, path));
}

worker.addEventListener("install", (/** @type {any} */ event) => event.waitUntil(install()));
worker.addEventListener("activate", (/** @type {any} */ event) => event.waitUntil(activate()));
worker.addEventListener("fetch", (/** @type {any} */ event) => {
  const path = pathOf(event.request.url);
  lastAsked = performance.now();
  if (path !== undefined && event.request.method === "GET") event.respondWith(answer(event.request, path));
});
worker.addEventListener("message", (/** @type {any} */ event) => {
  const port = /** @type {MessagePort | undefined} */ (event.ports[0]);
  const { kind, asked } = /** @type {import("./offline.js").ToKeeper} */ (event.data);
  /** @param {import("./offline.js").FromKeeper} message */
  const tell = (message) => port?.postMessage(message);
  const look = async () => tell({ kind: "state", whole: !(await missing(Object.keys(files))).length });
  if (kind === "use") event.waitUntil(worker.skipWaiting());
  if (kind === "leave") {
    leaving.abort();
    leaving = new AbortController();
    event.waitUntil(quiet());
  }
  if (kind === "look") event.waitUntil(look());
  if (kind === "keep") {
    const ways = asked || !metered() ? WAYS : /** @type {RequestCache[]} */ (["only-if-cached"]);
    const keeping = keep(Object.keys(files), ways, (bytes, of) => tell({ kind: "progress", bytes, of }));
    event.waitUntil(keeping.then(look, () => tell({ kind: "failed" })));
  }
});
