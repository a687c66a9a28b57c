// What has been changed by hand: every step can be taken back, and done again.
const steps = []; // each: the beads with their colours before and after, and loops with their wishes
let done = 0, savedAt = 0, stroke = null;
const counts = new Int32Array(colours.length * 2); // of each colour and size
colourOf.forEach((colour, bead) => counts[colour * 2 + sizeOf[bead]]++);
const wishes = new Map(); // name of a loop: "drop" or "add"
for (const kind of ["drop", "add"]) for (const name of file.wishes?.[kind] || []) wishes.set(name, kind);
let changed = 0; // beads that differ from the file
const onChange = []; // called with the beads that have changed

function put(bead, colour) {
  const before = colourOf[bead];
  counts[before * 2 + sizeOf[bead]]--;
  counts[colour * 2 + sizeOf[bead]]++;
  changed += (colour !== asGiven[bead]) - (before !== asGiven[bead]);
  colourOf[bead] = colour;
}
const tell = (which) => onChange.forEach((call) => call(which));

function beginStroke() { stroke = { before: new Map(), loops: [], refused: new Set() }; }

// Gives beads a colour as far as it comes in their size.
function paint(which, colour) {
  const now = [];
  for (const bead of which) {
    if (!inSize(colour, sizeOf[bead])) { stroke.refused.add(bead); continue; }
    if (colourOf[bead] === colour) continue;
    if (!stroke.before.has(bead)) stroke.before.set(bead, colourOf[bead]);
    put(bead, colour);
    now.push(bead);
  }
  if (now.length) tell(now);
}
function wish(name, kind) {
  stroke.loops.push([name, wishes.get(name), kind]);
  setWish(name, kind);
  tell([]);
}
function setWish(name, kind) { if (kind) wishes.set(name, kind); else wishes.delete(name); }

// Ends a stroke and returns how many beads it has changed and which it could not.
function endStroke() {
  const { before, loops, refused } = stroke;
  stroke = null;
  if (before.size || loops.length) {
    const list = Int32Array.from(before.keys());
    if (savedAt > done) savedAt = -1; // what was saved can no longer be come back to
    steps.length = done;
    steps.push({ beads: list, before: Int32Array.from(before.values()), after: list.map((bead) => colourOf[bead]), loops });
    done++;
    tell([]);
  }
  return { painted: before.size, refused: [...refused] };
}
function dropStroke() {
  if (!stroke) return;
  const { before } = stroke;
  before.forEach((colour, bead) => put(bead, colour));
  stroke = null;
  tell([...before.keys()]);
}
function undo() {
  if (!done || stroke) return false;
  const step = steps[--done];
  step.beads.forEach((bead, at) => put(bead, step.before[at]));
  for (const [name, was] of [...step.loops].reverse()) setWish(name, was);
  tell(step.beads);
  return true;
}
function redo() {
  if (done === steps.length || stroke) return false;
  const step = steps[done++];
  step.beads.forEach((bead, at) => put(bead, step.after[at]));
  for (const [name, , now] of step.loops) setWish(name, now);
  tell(step.beads);
  return true;
}
const unsaved = () => done !== savedAt;
