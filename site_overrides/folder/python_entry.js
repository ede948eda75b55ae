/** In this order: worker.js looks for `fetch` when it is read. */
import "./python.js";
import "../assets/worker.js";
