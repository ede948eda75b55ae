/**
 * The buttons below a form: copy its link, set it back, save and open a design.
 *
 * @typedef {import("./form_view.js").FormView} FormView
 */

import { designText, open, save } from "./design_file.js";
import { element } from "./dom.js";

/** @param {FormView} view */
export function addTools(view) {
  const said = element(document, "p", { class: "bp-said", role: "status" });
  const link = element(document, "input", { type: "text", class: "bp-control bp-link", readonly: true, hidden: true, "aria-label": "Link to this form" });
  const file = element(document, "input", { type: "file", accept: ".json,application/json", hidden: true });
  const names = [...view.controls.keys()];

  const copy = tool("Copy link", async () => {
    const address = view.link();
    try {
      await navigator.clipboard.writeText(address);
      link.hidden = true;
      said.textContent = "Link copied.";
    } catch {
      link.value = address;
      link.hidden = false;
      link.select();
      said.textContent = "Copy the link from here:";
    }
  });
  const reset = tool("Reset to defaults", () => {
    view.setTexts({});
    link.hidden = true;
    said.textContent = "All fields are as at first.";
  });
  const keep = tool("Save design", () => {
    save(`${view.data.form}-design.json`, designText(view.data.form, view.texts()));
    said.textContent = "Design saved as a file.";
  });
  const fetchBack = tool("Open design", () => file.click());
  file.addEventListener("change", async () => {
    const chosen = file.files?.[0];
    if (!chosen) return;
    try {
      view.setTexts({ ...view.data.declared, ...(await open(chosen, view.data.form, names)) });
      said.textContent = `${chosen.name} opened.`;
    } catch (error) {
      said.textContent = "";
      view.complain([error instanceof Error ? error.message : String(error)]);
    }
    file.value = "";
  });

  view.form.append(element(document, "div", { class: "bp-tools" },
    element(document, "div", { class: "bp-buttons" }, copy, reset, keep, fetchBack), said, link, file));
}

/**
 * @param {string} text
 * @param {() => void} act
 */
function tool(text, act) {
  const made = element(document, "button", { type: "button", class: "bp-button" }, text);
  made.addEventListener("click", act);
  return made;
}
