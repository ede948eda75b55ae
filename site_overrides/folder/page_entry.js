/** The scripts of a page of the folder edition, in one. */
import "../assets/shell.js";
import "../assets/forms.js";
