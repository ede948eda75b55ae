/**
 * What the theme's own scripts expect to find: the site's root, and a way to keep the reader's choices. A classic script, as it must
 * run before the others. Where storage is blocked, choices last for the page.
 */
(() => {
  const root = document.documentElement;
  root.classList.replace("no-js", "js");
  // The theme marks a page so when its script comes, after all styles have been worked out: they would be anew.
  root.classList.add("js-focus-visible");
  root.setAttribute("data-js-focus-visible", "");
  const scope = new URL(document.currentScript?.dataset.base ?? ".", location.href);
  /** @type {any} */ (window).__md_scope = scope;
  /** @param {string} text */
  const hash = (text) => [...text].reduce((sum, letter) => (sum << 5) - sum + letter.charCodeAt(0), 0);
  /**
   * @param {string} key
   * @param {Storage} [store]
   * @param {URL} [base]
   */
  const get = (key, store, base = scope) => {
    try {
      return JSON.parse((store ?? localStorage).getItem(`${base.pathname}.${key}`) ?? "null");
    } catch {
      return null;
    }
  };
  /**
   * @param {string} key
   * @param {unknown} value
   * @param {Storage} [store]
   * @param {URL} [base]
   */
  const set = (key, value, store, base = scope) => {
    try {
      (store ?? localStorage).setItem(`${base.pathname}.${key}`, JSON.stringify(value));
    } catch {
      // Storage is blocked or full: the choice lasts for this page.
    }
  };
  Object.assign(window, { __md_hash: hash, __md_get: get, __md_set: set });
})();
