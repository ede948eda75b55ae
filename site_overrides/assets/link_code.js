/** A link as a QR code, for the phone on the bench. What makes it is fetched only when it is asked for. */

import { svg } from "./dom.js";

const MARGIN = 4; // modules of clear space around, as ISO/IEC 18004 asks
const LONGEST = 1000; // letters; beyond that the modules become too fine for a telephone before a screen

/**
 * The drawing, black on white whatever the page's colours; and null if the link is too long for one that can be read.
 *
 * @param {string} link
 */
export async function linkCode(link) {
  if (link.length > LONGEST) return null;
  /** @type {{ generate(text: string): { size: number, get(x: number, y: number): boolean } }} */
  const { generate } = await import(new URL("vendor/lean-qr.mjs", import.meta.url).href);
  const code = generate(link);
  const { size } = code;
  let path = "";
  for (let y = 0; y < size; y += 1) for (let x = 0; x < size; x += 1) if (code.get(x, y)) path += `M${x} ${y}h1v1h-1z`;
  const box = [-MARGIN, -MARGIN, size + 2 * MARGIN, size + 2 * MARGIN];
  return svg(document, "svg", { class: "bp-code", viewBox: box.join(" "), role: "img", "aria-label": "QR code of the link" },
    svg(document, "path", { d: path }));
}
