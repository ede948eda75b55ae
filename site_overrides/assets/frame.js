/**
 * In a frame on another page: tells that page how high the form is, so that it can make the frame as high. The message is
 * `{ borrowedPower: 1, height: <CSS pixels> }`, and it stays so.
 */
export function tellHeight() {
  if (parent === window) return;
  const tell = () => parent.postMessage({ borrowedPower: 1, height: Math.ceil(document.body.getBoundingClientRect().height) }, "*");
  new ResizeObserver(tell).observe(document.body);
}
