/** The scripts of a page, in one: what it does besides the theme. */
import "./shell.js";
import "./forms.js";
import "./offline.js";
