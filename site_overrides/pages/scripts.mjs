/**
 * Makes one script of a page's modules, and one of its worker's: a browser that asks for sixty small files waits for each round
 * of them. The folder that they go into is named.
 */
import { build } from "esbuild";
import { fileURLToPath } from "node:url";

await build({
  entryPoints: ["page.js", "worker.js"].map((name) => fileURLToPath(new URL(`../assets/${name}`, import.meta.url))),
  bundle: true, minify: true, format: "esm", charset: "utf8", target: "es2022", sourcemap: true, outdir: process.argv[2], logLevel: "error",
});
