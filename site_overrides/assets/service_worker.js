/**
 * The service worker: keeps the site for use without a connection. The build puts the list of files ahead of it, as `SITE`.
 *
 * Every file is kept under its address and the hash of its content. So a new version fetches only what has changed, takes over only
 * when it has all of its files, and until then the old one finds all of its own. What does not have the hash of the list is refused.
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
/** Ends fetching of what is large when a new version is to take over, which would wait for it. */
let leaving = new AbortController();
/** Milliseconds without a question after which pages are taken to have started; and the most that is waited for that. */
const [QUIET, LONGEST] = [1000, 10_000];
let lastAsked = -Infinity;

/** @param {string} path */
const key = (path) => `${scope}${path}?${encodeURIComponent(files[path][0])}`;

const metered = () => worker.navigator.connection?.saveData || worker.navigator.connection?.type === "cellular";

/** @param {Cache} cache @param {string[]} paths */
async function missing(cache, paths) {
  const kept = new Set((await cache.keys()).map(({ url }) => url));
  return paths.filter((path) => !kept.has(key(path)));
}

/**
 * Fetches a file, from the browser's own cache if that has the right one, and keeps it.
 *
 * @param {Cache} cache
 * @param {string} path
 * @param {RequestCache[]} ways  in the order of trying
 * @param {AbortSignal} [signal]
 */
async function fetchOne(cache, path, ways, signal) {
  const [way, ...others] = ways;
  try {
    const integrity = `sha256-${files[path][0]}`;
    const response = await fetch(scope + path, { cache: way, mode: "same-origin", integrity, signal });
    if (!response.ok) throw new Error(`${path}: ${response.status}`);
    await cache.put(key(path), response.redirected ? new Response(response.body, { headers: response.headers }) : response);
  } catch (error) {
    if (!others.length || signal?.aborted) throw error;
    await fetchOne(cache, path, others, signal);
  }
}

/**
 * Fetches what is not here of these files.
 *
 * @param {string[]} paths
 * @param {RequestCache[]} ways
 * @param {(bytes: number, of: number) => void} tell
 */
async function keep(paths, ways = ["force-cache", "reload"], tell = () => {}) {
  const { signal } = leaving;
  const cache = await caches.open(CACHE);
  const wanted = await missing(cache, paths);
  const all = wanted.reduce((sum, path) => sum + files[path][1], 0);
  let here = 0;
  const queue = wanted.values();
  const fetchSome = async () => {
    for (const path of queue) {
      await fetchOne(cache, path, ways, signal);
      tell((here += files[path][1]), all);
    }
  };
  await Promise.all(Array.from({ length: AT_ONCE }, fetchSome));
}

/** All pages; and the forms' Python if the version before this has it, as forms would stop to work offline without it. */
async function install() {
  const cache = await caches.open(CACHE);
  const hasRuntime = (await cache.keys()).some(({ url }) => url.startsWith(`${scope}runtime/`));
  const paths = Object.keys(hasRuntime ? files : pages);
  const bytes = (await missing(cache, paths)).reduce((sum, path) => sum + files[path][1], 0);
  if (worker.registration.active && metered() && bytes > MOST_UNASKED) throw new Error("waits for a line that is not metered");
  await keep(paths);
}

async function activate() {
  const cache = await caches.open(CACHE);
  const wanted = new Set(Object.keys(files).map(key));
  for (const request of await cache.keys()) if (!wanted.has(request.url)) await cache.delete(request);
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
 * @param {Request} request
 * @param {string} path
 */
async function answer(request, path) {
  const address = request.url.replace(/[?#].*/s, "");
  if (path.endsWith("/") && address === scope + path.slice(0, -1)) {
    return Response.redirect(scope + path + request.url.slice(address.length));
  }
  const cache = await caches.open(CACHE);
  const kept = await cache.match(key(path), { ignoreVary: true });
  if (kept || path in runtime) return kept ?? fetch(request, { signal: leaving.signal });
  try { // a file that the browser has dropped
    await fetchOne(cache, path, ["force-cache", "reload"]);
    return /** @type {Response} */ (await cache.match(key(path), { ignoreVary: true }));
  } catch {
    const other = await fetch(request); // it is there, but not of this version: rather nothing kept than a mixture
    await caches.delete(CACHE);
    await worker.registration.unregister();
    return other;
  }
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
  const look = async () => tell({ kind: "state", whole: !(await missing(await caches.open(CACHE), Object.keys(files))).length });
  if (kind === "use") event.waitUntil(worker.skipWaiting());
  if (kind === "leave") {
    leaving.abort();
    leaving = new AbortController();
    event.waitUntil(quiet());
  }
  if (kind === "look") event.waitUntil(look());
  if (kind === "keep") {
    const kept = keep(Object.keys(files), asked || !metered() ? undefined : ["only-if-cached"], (bytes, of) => tell({ kind: "progress", bytes, of }));
    event.waitUntil(kept.then(look, () => tell({ kind: "failed" })));
  }
});
