/**
 * Keeps the site for use without a connection, by the service worker; says in the footer how far that is, and offers new versions.
 *
 * @typedef {{ kind: "look" | "keep" | "use" | "leave", asked?: boolean }} ToKeeper
 * @typedef {{ kind: "state", whole: boolean } | { kind: "progress", bytes: number, of: number } | { kind: "failed" }} FromKeeper
 */

import { isBare } from "./address.js";
import { element } from "./dom.js";

const place = /** @type {HTMLElement | null} */ (document.querySelector(".bp-offline"));
const workers = navigator.serviceWorker;
/**
 * A worker that is put to sleep may miss a message: after so many milliseconds it is told again. But each message keeps it awake, by
 * up to half a minute: so it is left alone for longer before it is told once more, and from then on.
 */
const [AGAIN, ONCE_MORE] = [2000, 45_000];

/** Whether each byte may cost the reader money: then nothing large is fetched unasked. */
function metered() {
  const line = /** @type {any} */ (navigator).connection;
  return Boolean(line?.saveData || line?.type === "cellular");
}

/** @param {HTMLElement} place */
function footerControl(place) {
  const size = place.dataset.size;
  const text = element(document, "span", { role: "status", tabindex: "-1" });
  const bar = element(document, "progress", { max: "1", "aria-label": "Kept for offline use", hidden: true });
  const button = element(document, "button", { type: "button", class: "bp-button" }, "Keep for offline use");
  place.append(text, " ", bar, " ", button);
  place.hidden = false;
  return {
    button,
    /** @param {string} words @param {boolean} offer @param {number} [fraction] */
    show(words, offer, fraction) {
      if (text.textContent !== words) text.textContent = words;
      if (!offer && button === document.activeElement) text.focus({ preventScroll: true }); // a hidden button would lose it
      button.hidden = !offer;
      bar.hidden = fraction === undefined;
      if (fraction !== undefined) bar.value = fraction;
    },
    texts: {
      nothing: `Pages and forms can be kept on this device and used without a connection (${size}).`,
      pages: `The pages are kept on this device; with what the forms need it is ${size}.`,
      keeping: `Keeping pages and forms on this device (${size})…`,
      whole: "Pages and forms are kept on this device and work without a connection.",
      failed: `Not all could be fetched and kept (${size}). What was kept before still works.`,
    },
  };
}

/** @param {HTMLElement} place */
function tend(place) {
  const control = footerControl(place);
  const { show, texts } = control;
  /** Whether the reader has asked for it: what fails unasked is no news. */
  let asked = false;
  const notKept = () => show(asked ? texts.failed : texts.nothing, true);

  /** @param {FromKeeper} message */
  const hear = (message) => {
    if (message.kind === "progress") show(texts.keeping, false, message.bytes / message.of);
    else if (message.kind === "state") show(message.whole ? texts.whole : texts.pages, !message.whole);
    else show(asked ? texts.failed : texts.pages, true);
    place.dataset.kept = message.kind === "state" ? (message.whole ? "whole" : "pages") : message.kind;
  };
  /** @param {"look" | "keep"} kind */
  const ask = async (kind) => {
    const { active } = await workers.ready;
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = ({ data }) => hear(data);
    active?.postMessage(/** @type {ToKeeper} */ ({ kind, asked }), [port2]);
  };
  const register = async () => {
    const registration = await workers.register(new URL("../service_worker.js", import.meta.url));
    if (!registration) return false;
    watchForNew(registration);
    const first = registration.active ? null : registration.installing;
    first?.addEventListener("statechange", () => first.state === "redundant" && notKept());
    return true;
  };
  const begin = async () => {
    if (!(await register())) return;
    await ask("look");
    const root = document.documentElement;
    const keepIfUsed = () => root.dataset.calculations === "ready" && ask("keep");
    new MutationObserver(keepIfUsed).observe(root, { attributeFilter: ["data-calculations"] });
    keepIfUsed();
  };

  control.button.addEventListener("click", async () => {
    asked = true;
    show(texts.keeping, false, 0);
    navigator.storage?.persist?.();
    try {
      if (!(await workers.getRegistration())) await begin();
      await ask("keep");
    } catch {
      notKept();
    }
  });
  show(texts.nothing, true);
  workers.getRegistration().then((known) => {
    return known || !metered() ? begin() : undefined;
  }).catch(notKept); // storage is blocked or full: the pages work all the same
}

/** Offers a new version once all of it is here. @param {ServiceWorkerRegistration} registration */
function watchForNew(registration) {
  let controlled = Boolean(workers.controller);
  workers.addEventListener("controllerchange", () => {
    if (controlled) {
      document.dispatchEvent(new Event("bp:leave")); // what was typed goes into the address
      location.reload();
    }
    controlled = true;
  });
  const offer = () => registration.waiting && workers.controller && offerNew(registration);
  registration.addEventListener("updatefound", () => registration.installing?.addEventListener("statechange", offer));
  registration.installing?.addEventListener("statechange", offer);
  offer();
}

/** @param {ServiceWorkerRegistration} registration */
function offerNew(registration) {
  const button = element(document, "button", { type: "button", class: "bp-button" }, "New version: use it");
  /** @param {ServiceWorker | null} worker @param {ToKeeper} message */
  const tell = (worker, message) => worker?.postMessage(message);
  const change = () => {
    tell(workers.controller, { kind: "leave" });
    tell(registration.waiting, { kind: "use" });
  };
  button.addEventListener("click", () => {
    button.disabled = true;
    change();
    setTimeout(change, AGAIN);
    setInterval(change, ONCE_MORE); // until the new version reloads the page
  });
  document.querySelector(".bp-new")?.remove();
  const words = "A new version of this reference is here, complete. ";
  document.querySelector(".md-main")?.before(element(document, "p", { class: "bp-new", role: "status" }, words, button));
}

if (place && workers && location.protocol !== "file:" && !isBare()) {
  if (document.readyState === "complete") tend(place);
  else addEventListener("load", () => tend(/** @type {HTMLElement} */ (place)), { once: true });
}
