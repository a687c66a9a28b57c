// Loops to drop or to add: the page keeps the wish, since they change the way of the thread.
let atLoop = null; // the place [row, place] the keyboard is at while loops are marked, or null
const grid = given.grid, loopAt = new Map(); // "row.place" to the number of the loop
if (grid) given.loops.forEach((name, loop) => loopAt.set(name, loop));
const loopName = (row, place) => (row + 1) + "." + (place + 1);
const ROW_STEP = Math.sqrt(3) / 2;

// Centre of a place in the rows, in the piece's units; rows are shifted by half a loop in turns.
function centreOf(row, place) {
  const shift = (each) => (Math.abs(each + grid.shifted) % 2) / 2, first = 0;
  const along = (place - grid.place[first] + shift(row) - shift(grid.row[first])) * given.pitch, across = (row - grid.row[first]) * ROW_STEP * given.pitch;
  return given.along ? [given.loop_x[first] + across, given.loop_y[first] + along] : [given.loop_x[first] + along, given.loop_y[first] + across];
}
function placeAt(x, y) {
  const [x0, y0] = centreOf(0, 0), across = given.along ? x - x0 : y - y0;
  let best = null, least = Infinity;
  const near = Math.round(across / (ROW_STEP * given.pitch));
  for (let row = near - 1; row <= near + 1; row++) {
    const [rx, ry] = centreOf(row, 0), place = Math.round((given.along ? y - ry : x - rx) / given.pitch);
    const [cx, cy] = centreOf(row, place), far = Math.hypot(x - cx, y - cy);
    if (far < least) { least = far; best = [row, place]; }
  }
  return best;
}
function besideOf(row, place) {
  const odd = Math.abs(row + grid.shifted) % 2;
  return [[row, place - 1], [row, place + 1], [row - 1, place - 1 + odd], [row - 1, place + odd], [row + 1, place - 1 + odd], [row + 1, place + odd]];
}
const isThere = ([row, place]) => loopAt.has(loopName(row, place)) || wishes.get(loopName(row, place)) === "add";

// What a tap on a place does, in words.
function toggleLoop(row, place) {
  const name = loopName(row, place), there = loopAt.has(name);
  if (wishes.has(name)) { wish(name, undefined); return there ? `Loop ${name} stays.` : `Loop ${name} is not added.`; }
  if (there) { wish(name, "drop"); return `Loop ${name} is to be dropped.`; }
  if (!besideOf(row, place).some(isThere)) return "A loop can only be added beside another.";
  wish(name, "add");
  return `Loop ${name} is to be added.`;
}
function loopWords(row, place) {
  const name = loopName(row, place), wished = wishes.get(name);
  if (!loopAt.has(name)) return wished ? `Place ${name}, to be added` : `Place ${name}, no loop`;
  return wished ? `Loop ${name}, to be dropped` : `Loop ${name}`;
}

function drawLoops(lined, dot) {
  if (!grid) return;
  const hexagon = (row, place, share) => {
    const [cx, cy] = centreOf(row, place), path = new Path2D(), turn = given.along ? 0 : 30;
    for (let corner = 0; corner < 6; corner++) {
      const angle = (turn + 60 * corner) * Math.PI / 180, radius = given.pitch / Math.sqrt(3) * share;
      path[corner ? "lineTo" : "moveTo"](cx + radius * Math.cos(angle), cy + radius * Math.sin(angle));
    }
    path.closePath();
    return path;
  };
  for (const [name, kind] of wishes) {
    const [row, place] = name.split(".").map((part) => Number(part) - 1);
    const [cx, cy] = centreOf(row, place), arm = given.pitch * 0.28, path = new Path2D();
    if (kind === "drop") { path.moveTo(cx - arm, cy - arm); path.lineTo(cx + arm, cy + arm); path.moveTo(cx - arm, cy + arm); path.lineTo(cx + arm, cy - arm); }
    else { path.moveTo(cx - arm, cy); path.lineTo(cx + arm, cy); path.moveTo(cx, cy - arm); path.lineTo(cx, cy + arm); }
    lined(path, 2.5);
    lined(hexagon(row, place, 0.9), 1.5, kind === "add" ? [5, 4] : []);
  }
  if (atLoop) lined(hexagon(...atLoop, 1), document.activeElement === canvas ? 3 : 1.5);
}
