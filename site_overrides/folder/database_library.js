/** In place of assets/database_library.js: nothing can be imported from a folder, so the library is part of the script. */

import * as idb from "idb";

export async function databaseLibrary() {
  return idb;
}
