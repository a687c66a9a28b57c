// The piece as the page got it: where beads lie from the data, all else from the pattern file itself.
const byId = (id) => document.getElementById(id);
const given = JSON.parse(byId("data").textContent);
byId("data").textContent = ""; // a large piece is not kept twice
const file = JSON.parse(given.pattern);

const beads = given.x.length, woven = given.row_start.at(-1); // the small beads at tips come last
const beadX = Float64Array.from(given.x), beadY = Float64Array.from(given.y);
const outlineOf = Uint16Array.from(given.outline);
const sizeOf = Uint8Array.from(given.size_of, Number);
const ends = Int32Array.from(given.ends); // two junctions a bead, -1 where there is none
const beside = Int32Array.from(given.beside); // two loops a bead, -1 beyond the edge
const sizes = [file.core, file.connector], sizeNames = sizes.map((size) => size.name);
const twoSizes = sizeNames[0] !== sizeNames[1];
const [left, top_, right, bottom] = given.extent;

// Rows of beads, as the file lists them: where each begins, and where the last one ends.
const rowStart = given.row_start;
const rowNumber = (bead) => {
  let low = 0, high = rowStart.length - 1;
  while (high - low > 1) { const middle = (low + high) >> 1; if (rowStart[middle] <= bead) low = middle; else high = middle; }
  return low;
};

// What the picture asks of each bead, as 0xBBGGRR; read when it is first wanted.
let asked = null;
const hasPicture = Boolean(file.wanted);
function pictureOf() {
  if (asked || !hasPicture) return asked;
  asked = new Int32Array(beads).fill(-1);
  let bead = 0;
  for (const row of file.wanted) {
    // Four digits a channel, of which a screen shows the first two.
    for (let at = 0; at < row.length; at += 12, bead++) {
      asked[bead] = parseInt(row.substr(at + 8, 2) + row.substr(at + 4, 2) + row.substr(at, 2), 16);
    }
  }
  for (const unseen of file.unshown || []) asked[unseen] = -1;
  return asked;
}

// Names, as in the stitch order.
const COMPASS = ["right", "bottom right", "bottom", "bottom left", "left", "top left", "top", "top right"];
function placeOf(bead) {
  const one = beside[2 * bead], other = beside[2 * bead + 1];
  if (bead >= woven) return "tip of " + given.loops[one];
  if (other >= 0) return given.loops[one] + "/" + given.loops[other];
  const eighth = Math.round(Math.atan2(beadY[bead] - given.loop_y[one], beadX[bead] - given.loop_x[one]) * 4 / Math.PI);
  return "edge of " + given.loops[one] + ", " + COMPASS[(eighth + 8) % 8];
}
const counted = (number, word) => number.toLocaleString("en-GB") + " " + word + (number === 1 ? "" : "s");
