/**
 * Bundles what the site takes from npm into modules of its own, with the licences of all that went in.
 *
 *     node bundle.mjs OUTPUT_FOLDER ENTRY...
 *
 * An entry `name.entry.js` becomes `OUTPUT_FOLDER/name.js`: one minified module that imports nothing. NOTICES.txt beside it
 * holds the name, version and licence text of each package whose code is in it.
 */

import { readdirSync, readFileSync, statSync, writeFileSync } from "node:fs";
import { basename, join } from "node:path";
import { gzipSync } from "node:zlib";

import { build } from "esbuild";

const [output, ...entries] = process.argv.slice(2);

const result = await build({
  entryPoints: entries.map((entry) => ({ in: entry, out: basename(entry, ".entry.js") })),
  outdir: output,
  bundle: true,
  format: "esm",
  minify: true,
  metafile: true,
  target: "es2022",
  legalComments: "none", // all notices are in NOTICES.txt
  logLevel: "warning",
});

/** The folder of the package that a bundled file belongs to, or undefined for a file of ours. */
function packageOf(file) {
  return file.match(/^.*node_modules\/(?:@[^/]+\/)?[^/]+/)?.[0];
}

/** Name, version and licence text of the package in a folder. */
function notice(folder) {
  const { name, version, license } = JSON.parse(readFileSync(join(folder, "package.json"), "utf8"));
  const file = readdirSync(folder).find((each) => /^licen[cs]e/i.test(each));
  const text = file ? readFileSync(join(folder, file), "utf8").trim() : `Licence: ${license}`;
  return `${name} ${version}\n\n${text}\n`;
}

const bundled = Object.values(result.metafile.outputs).flatMap(({ inputs }) =>
  Object.keys(inputs).filter((file) => inputs[file].bytesInOutput > 0),
);
const folders = [...new Set(bundled.map(packageOf).filter(Boolean))].sort();
writeFileSync(join(output, "NOTICES.txt"), folders.map(notice).join(`\n${"-".repeat(72)}\n\n`));

for (const file of Object.keys(result.metafile.outputs)) {
  const size = statSync(file).size.toLocaleString("en");
  const compressed = gzipSync(readFileSync(file), { level: 9 }).length.toLocaleString("en");
  console.log(`  ${basename(file)}: ${size} bytes, ${compressed} gzipped, from ${folders.length} packages`);
}
