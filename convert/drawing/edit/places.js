// Which beads lie where: at a point, near it, next to each other, across a mirror.
const shapes = given.outlines.map((shape) => ({
  ...shape,
  // A rounded bead is all within `round` of a line across its hole; a straight one is a box.
  round: shape.rounded ? shape.length : 0,
  line: shape.rounded ? shape.width - shape.length : 0,
  reachX: shape.rounded ? shape.length + (shape.width - shape.length) * Math.abs(shape.y) : shape.length * Math.abs(shape.x) + shape.width * Math.abs(shape.y),
  reachY: shape.rounded ? shape.length + (shape.width - shape.length) * Math.abs(shape.x) : shape.length * Math.abs(shape.y) + shape.width * Math.abs(shape.x),
}));
const mostReach = Math.max(...shapes.map((shape) => Math.max(shape.reachX, shape.reachY)));

// Beads sorted into square cells, so that only those about a place are looked at.
const CELL = given.pitch * 2;
const cellsAcross = Math.floor((right - left) / CELL) + 1, cellsDown = Math.floor((bottom - top_) / CELL) + 1;
const cellFirst = new Int32Array(cellsAcross * cellsDown + 1), inCells = new Int32Array(beads);
const cellOf = (bead) => Math.floor((beadY[bead] - top_) / CELL) * cellsAcross + Math.floor((beadX[bead] - left) / CELL);
for (let bead = 0; bead < beads; bead++) cellFirst[cellOf(bead) + 1]++;
for (let cell = 0; cell < cellsAcross * cellsDown; cell++) cellFirst[cell + 1] += cellFirst[cell];
const filled = cellFirst.slice();
for (let bead = 0; bead < beads; bead++) inCells[filled[cellOf(bead)]++] = bead;

// Calls `each` with every bead whose centre lies in a box, and a few about it.
function eachIn(x0, y0, x1, y1, each) {
  const column0 = Math.max(0, Math.floor((x0 - left) / CELL)), column1 = Math.min(cellsAcross - 1, Math.floor((x1 - left) / CELL));
  const row0 = Math.max(0, Math.floor((y0 - top_) / CELL)), row1 = Math.min(cellsDown - 1, Math.floor((y1 - top_) / CELL));
  for (let row = row0; row <= row1; row++) {
    for (let column = column0; column <= column1; column++) {
      const cell = row * cellsAcross + column;
      for (let at = cellFirst[cell]; at < cellFirst[cell + 1]; at++) each(inCells[at]);
    }
  }
}

// How far a point lies outside a bead's outline; below 0 it is inside.
function outside(bead, x, y) {
  const shape = shapes[outlineOf[bead]], dx = x - beadX[bead], dy = y - beadY[bead];
  const along = Math.abs(dx * shape.x + dy * shape.y), across = Math.abs(dy * shape.x - dx * shape.y);
  return shape.rounded ? Math.hypot(along, Math.max(0, across - shape.line)) - shape.round : Math.max(along - shape.length, across - shape.width);
}

// The bead at a point; a little beside it counts, too.
function beadAt(x, y) {
  const slack = given.narrow * 0.4, around = mostReach + slack;
  let best = -1, least = slack;
  eachIn(x - around, y - around, x + around, y + around, (bead) => {
    const far = outside(bead, x, y);
    if (far < least) { least = far; best = bead; }
  });
  return best;
}

// Beads that meet at each junction, and with them the neighbours of a bead.
const junctions = ends.reduce((most, junction) => Math.max(most, junction), -1) + 1;
const meetFirst = new Int32Array(junctions + 1), meeting = new Int32Array(ends.length);
for (const junction of ends) if (junction >= 0) meetFirst[junction + 1]++;
for (let junction = 0; junction < junctions; junction++) meetFirst[junction + 1] += meetFirst[junction];
const met = meetFirst.slice();
ends.forEach((junction, at) => { if (junction >= 0) meeting[met[junction]++] = at >> 1; });
function eachNeighbour(bead, each) {
  for (let end = 2 * bead; end < 2 * bead + 2; end++) {
    const junction = ends[end];
    if (junction < 0) continue;
    for (let at = meetFirst[junction]; at < meetFirst[junction + 1]; at++) if (meeting[at] !== bead) each(meeting[at]);
  }
}

// The bead that a mirror lays on this one. Only exact mirrors are offered, so there is one.
function partner(bead, flipX, flipY) {
  const x = flipX ? given.mirrors.sums[0] - beadX[bead] : beadX[bead], y = flipY ? given.mirrors.sums[1] - beadY[bead] : beadY[bead];
  let best = bead, least = Infinity;
  eachIn(x - CELL / 8, y - CELL / 8, x + CELL / 8, y + CELL / 8, (other) => {
    const far = (beadX[other] - x) ** 2 + (beadY[other] - y) ** 2;
    if (far < least) { least = far; best = other; }
  });
  return best;
}
const MIRRORS = [
  { name: "one side only", flips: [], offered: true },
  { name: "left and right", flips: [[true, false]], offered: given.mirrors.sides },
  { name: "top and bottom", flips: [[false, true]], offered: given.mirrors.ends },
  { name: "all four quarters", flips: [[true, false], [false, true], [true, true]], offered: given.mirrors.sides && given.mirrors.ends },
  { name: "turned by half a turn", flips: [[true, true]], offered: given.mirrors.turned },
];
let mirror = MIRRORS[0];
const withPartners = (bead) => [...new Set([bead, ...mirror.flips.map(([x, y]) => partner(bead, x, y))])];

// All beads of one colour that hang together about a bead.
function area(bead, colourOf) {
  const wanted = colourOf[bead], seen = new Uint8Array(beads), found = [bead];
  seen[bead] = 1;
  for (let at = 0; at < found.length; at++) {
    eachNeighbour(found[at], (next) => {
      if (!seen[next] && colourOf[next] === wanted) { seen[next] = 1; found.push(next); }
    });
  }
  return found;
}

// The next bead in a direction. The honeycomb's beads lie on lines in three directions, each bead on two of
// them; in the third the next bead lies across a loop.
const WIDEST = 0.62; // of the angle beside the direction, a little above 30 degrees
function nextBead(bead, degrees) {
  const reach = given.pitch * 1.45, ux = Math.cos(degrees * Math.PI / 180), uy = Math.sin(degrees * Math.PI / 180);
  let best = -1, least = Infinity;
  eachIn(beadX[bead] - reach, beadY[bead] - reach, beadX[bead] + reach, beadY[bead] + reach, (other) => {
    const dx = beadX[other] - beadX[bead], dy = beadY[other] - beadY[bead], far = Math.hypot(dx, dy);
    if (other === bead || far > reach) return;
    const angle = Math.abs(Math.atan2(dx * uy - dy * ux, dx * ux + dy * uy));
    const cost = far * (1 + 3 * angle * angle);
    if (angle < WIDEST && cost < least) { least = cost; best = other; }
  });
  return best;
}
