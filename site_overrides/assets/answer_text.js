/**
 * An answer as plain text, to be put into a letter or a notebook.
 *
 * @typedef {import("./protocol.js").Answer} Answer
 */

/** What stands before a sentence of advice, by its kind. */
export const LEADS = { note: "", limit: "Left out: ", caution: "Caution: " };

/**
 * @param {string} title  of the form
 * @param {[label: string, text: string][]} asked  what stood in the fields
 * @param {Answer} answer
 * @param {string} link  that gives this answer
 */
export function answerText(title, asked, answer, link) {
  const blocks = [
    [title],
    [answer.sentence],
    ["You have", ...asked.map(pair)],
    answer.rows.length > 0 && ["The answer", ...answer.rows.map(({ label, text }) => pair([label, text]))],
    ...answer.tables.map(({ title: caption, columns, rows }) => [
      caption, columns.map(({ label }) => label).join("\t"), ...rows.map((row) => row.map(({ text }) => text).join("\t")),
    ]),
    answer.advice.length > 0 && answer.advice.map(({ kind, text }) => LEADS[kind] + text),
    ["Borrowed Power, a reference for receivers without a battery:", link],
  ];
  return `${blocks.filter((block) => block !== false).map((lines) => lines.join("\n")).join("\n\n")}\n`;
}

/** A text of several lines stands below its label. @param {[string, string]} pair */
function pair([label, text]) {
  return text.includes("\n") ? `${label}:\n  ${text.trim().replaceAll("\n", "\n  ")}` : `${label}: ${text}`;
}
