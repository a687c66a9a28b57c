// The pattern file with what has been changed, and what the browser keeps until it is saved.
const storeKey = "combweave:edit:" + document.body.dataset.key;

// The file's own text but for the rows with other beads in them, so that nothing else can change.
function savedText() {
  const lines = given.pattern.split("\n");
  const listed = (words) => "[" + words.map((word) => JSON.stringify(word)).join(", ") + "]";
  const codes = (from, to) => listed(Array.from(colourOf.subarray(from, to), (colour) => colours[colour].code));
  const differs = (from, to) => { for (let bead = from; bead < to; bead++) if (colourOf[bead] !== asGiven[bead]) return true; return false; };
  const ending = (line) => (line.endsWith(",") ? "," : "");
  const find = (key) => lines.findIndex((line) => line.startsWith(` "${key}": `));
  const replace = (key, text) => { // a part of the file up to the next one
    const at = find(key);
    let next = at + 1;
    while (!/^( "|\})/.test(lines[next])) next++;
    lines.splice(at, next - at, ...text);
  };
  const rows = find("bead_rows") + 1;
  for (let row = 0; row + 1 < rowStart.length; row++) {
    if (differs(rowStart[row], rowStart[row + 1])) lines[rows + row] = "  " + codes(rowStart[row], rowStart[row + 1]) + ending(lines[rows + row]);
  }
  if (differs(woven, beads)) replace("tips", [` "tips": ${codes(woven, beads)},`]);
  if (wishesNow() !== wishesGiven) {
    if (find("wishes") >= 0) replace("wishes", []);
    const wished = (kind) => listed(inOrder(kind));
    if (wishes.size) lines.splice(find("thread"), 0, ' "wishes": {', `  "drop": ${wished("drop")},`, `  "add": ${wished("add")}`, " },");
  }
  return lines.join("\n");
}
const inOrder = (kind) => [...wishes].filter(([, each]) => each === kind).map(([name]) => name).sort((a, b) => a.localeCompare(b, "en", { numeric: true }));
const wishesNow = () => JSON.stringify([inOrder("drop"), inOrder("add")]);
const wishesGiven = wishesNow();

function save() {
  const link = document.createElement("a"), address = URL.createObjectURL(new Blob([savedText()], { type: "application/json" }));
  link.href = address;
  link.download = "pattern.json";
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(address), 60_000);
  savedAt = done;
  keep();
}

// Kept are the beads that differ from the file, so that the page can be closed and opened again.
let keeps = true, waiting = 0;
function keep() {
  clearTimeout(waiting);
  waiting = 0;
  const found = [];
  colourOf.forEach((colour, bead) => { if (colour !== asGiven[bead]) found.push(bead + ":" + colour); });
  try {
    if (found.length || wishesNow() !== wishesGiven) localStorage.setItem(storeKey, JSON.stringify({ saved: !unsaved(), beads: found.join(" "), wishes: [...wishes] }));
    else localStorage.removeItem(storeKey);
    keeps = true;
  } catch { keeps = false; }
}
function keepSoon() { if (!waiting) waiting = setTimeout(keep, 400); }

// Work from last time comes back as one step, which can be taken back like any other.
function recall() {
  let kept = null;
  try { kept = JSON.parse(localStorage.getItem(storeKey)); } catch { /* nothing that can be read */ }
  if (typeof kept !== "object" || !kept) return 0;
  beginStroke();
  const ofColour = new Map();
  for (const pair of String(kept.beads || "").split(" ").filter(Boolean)) {
    const [bead, colour] = pair.split(":").map(Number);
    if (!(bead in colourOf && colours[colour])) continue;
    if (!ofColour.has(colour)) ofColour.set(colour, []);
    ofColour.get(colour).push(bead);
  }
  ofColour.forEach((which, colour) => paint(which, colour));
  const then = new Map((Array.isArray(kept.wishes) ? kept.wishes : []).filter(([name, kind]) => grid && /^-?\d+\.-?\d+$/.test(name) && ["drop", "add"].includes(kind)));
  for (const name of new Set([...wishes.keys(), ...then.keys()])) if (wishes.get(name) !== then.get(name)) wish(name, then.get(name));
  const { painted } = endStroke();
  if (kept.saved) savedAt = done;
  return painted || done;
}
