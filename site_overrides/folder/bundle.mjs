/** Makes classic scripts of the modules, into the folder that is named: `page.js` and `python.js`. */
import { build } from "esbuild";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

const here = dirname(fileURLToPath(import.meta.url));
const own = {
  name: "own",
  setup(/** @type {import("esbuild").PluginBuild} */ { onResolve }) {
    onResolve({ filter: /^\.\/(pyodide_modules|database_library)\.js$/ }, ({ path }) => ({ path: join(here, path) }));
  },
};
const common = {
  bundle: true, minify: true, legalComments: /** @type {const} */ ("inline"), format: /** @type {const} */ ("iife"),
  charset: /** @type {const} */ ("utf8"), target: "es2022", plugins: [own], external: ["node:*", "ws"],
  define: { "import.meta.url": '"file:///assets/folder.js"' }, logLevel: /** @type {const} */ ("error"),
};
const to = process.argv[2];
await build({ ...common, entryPoints: [join(here, "page_entry.js")], inject: [join(here, "folder_worker.js")], outfile: join(to, "page.js") });
await build({
  ...common, entryPoints: [join(here, "python_entry.js")], outfile: join(to, "python.js"),
  // Pyodide says plain `fetch`: in the page itself that, too, must be the one of this scope
  banner: { js: "borrowedPowerFolder.python = function (self) { const fetch = (...asked) => self.fetch(...asked);" }, footer: { js: "};" },
});
