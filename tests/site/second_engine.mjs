/**
 * Drives a Firefox for tests in another process: a JSON command a line in, its answer a line out.
 *
 *     node second_engine.mjs /path/to/firefox
 *
 * Errors that any page puts on its console are kept, and given to the command "errors".
 */

import { createRequire } from "node:module";
import { createInterface } from "node:readline";

const { launch } = createRequire(new URL("../../site_overrides/package.json", import.meta.url))("puppeteer-core");

const browser = await launch({ browser: "firefox", executablePath: process.argv[2], headless: true });
const page = await browser.newPage();
const errors = [];
page.on("console", (message) => { if (message.type() === "error") errors.push(message.text()); });
page.on("pageerror", (error) => errors.push(String(error)));

/** Each command's name, and what is done with its arguments. */
const commands = {
  version: () => browser.version(),
  size: ([width, height]) => page.setViewport({ width, height }),
  open: async ([address]) => { await page.goto(address); },
  evaluate: ([expression]) => page.evaluate(expression),
  click: ([selector]) => page.click(selector),
  press: ([key]) => page.keyboard.press(key),
  type: async ([selector, text]) => {
    await page.focus(selector);
    await page.$eval(selector, (control) => control.select());
    await page.keyboard.type(text);
  },
  picture: async ([path]) => { await page.screenshot({ path }); },
  errors: () => errors.splice(0),
};

for await (const line of createInterface({ input: process.stdin })) {
  const [name, ...rest] = JSON.parse(line);
  let answer;
  try {
    answer = { value: (await commands[name](rest)) ?? null };
  } catch (error) {
    answer = { fault: String(error) };
  }
  process.stdout.write(`${JSON.stringify(answer)}\n`);
}
await browser.close();
