/**
 * The engine of this page: one for all its forms, whoever asks first.
 */

import { Engine, LIMITS } from "./engine.js";
import { siteUrls } from "./urls.js";

/** Seconds for which Python may be silent, if the page sets its own limit. */
function limits() {
  const own = Number(document.documentElement.dataset.startLimit);
  return own > 0 ? { fetching: own, starting: own, answering: own } : LIMITS;
}

export const engine = new Engine(siteUrls(), limits());
