/**
 * Shapes of a map's regions: the patches that fill them, the lines between them, and the place for a letter. No drawing.
 *
 * @typedef {import("./map.js").Edges} Edges
 */

/**
 * A region as one path: runs of its cells along a row, each drawn down over all rows in which the same run follows.
 *
 * @param {number[][]} cells
 * @param {number} region
 * @param {Edges} edges
 */
export function patches(cells, region, { xs, ys }) {
  let path = "";
  /** @type {Map<string, { from: number, to: number, first: number }>} */
  let open = new Map();
  for (let row = 0; row <= cells.length; row += 1) {
    const runs = row < cells.length ? runsOf(cells[row], region) : [];
    /** @type {typeof open} */
    const next = new Map();
    for (const { from, to } of runs) {
      const name = `${from} ${to}`;
      next.set(name, open.get(name) ?? { from, to, first: row });
    }
    for (const [name, { from, to, first }] of open) {
      if (!next.has(name)) path += `M${xs[from]} ${ys[first]}H${xs[to]}V${ys[row]}H${xs[from]}Z`;
    }
    open = next;
  }
  return path;
}

/**
 * @param {number[]} row
 * @param {number} region
 */
function runsOf(row, region) {
  const runs = [];
  for (let from = 0; from < row.length; from += 1) {
    if (row[from] !== region) continue;
    let to = from + 1;
    while (to < row.length && row[to] === region) to += 1;
    runs.push({ from, to });
    from = to;
  }
  return runs;
}

/**
 * The lines where one region meets another, or none, as one path.
 *
 * @param {number[][]} cells
 * @param {Edges} edges
 */
export function boundaries(cells, { xs, ys }) {
  let path = "";
  const [rows, columns] = [cells.length, cells[0].length];
  for (let row = 1; row < rows; row += 1) {
    for (let from = 0; from < columns; from += 1) {
      let to = from;
      while (to < columns && cells[row][to] !== cells[row - 1][to]) to += 1;
      if (to > from) path += `M${xs[from]} ${ys[row]}H${xs[to]}`;
      from = to;
    }
  }
  for (let column = 1; column < columns; column += 1) {
    for (let from = 0; from < rows; from += 1) {
      let to = from;
      while (to < rows && cells[to][column] !== cells[to][column - 1]) to += 1;
      if (to > from) path += `M${xs[column]} ${ys[from]}V${ys[to]}`;
      from = to;
    }
  }
  return path;
}

/**
 * The middle of the largest square of cells that lies within a region. One whose middle is not clear counts for a third of its size.
 *
 * @param {number[][]} cells
 * @param {number} region
 * @param {Edges} edges
 * @param {(place: { x: number, y: number }) => boolean} clear
 */
export function largestBlock(cells, region, { xs, ys }, clear) {
  let best = { worth: 0, x: 0, y: 0 };
  /** Side of the largest square whose last corner is each cell of the row above. @type {number[]} */
  let above = [];
  cells.forEach((line, row) => {
    /** @type {number[]} */
    const sides = [];
    line.forEach((cell, column) => {
      const side = cell !== region ? 0 : 1 + Math.min(above[column] ?? 0, above[column - 1] ?? 0, sides[column - 1] ?? 0);
      sides.push(side);
      if (3 * side <= best.worth) return;
      const place = { x: (xs[column + 1 - side] + xs[column + 1]) / 2, y: (ys[row + 1 - side] + ys[row + 1]) / 2 };
      const worth = clear(place) ? 3 * side : side;
      if (worth > best.worth) best = { worth, ...place };
    });
    above = sides;
  });
  return best;
}
