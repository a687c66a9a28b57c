// The keyboard: arrow keys walk along the honeycomb's three directions, one of them with Shift.
// For each key: degrees on the page, clockwise from the right, and which neighbour a loop has there.
const WAYS = given.along
  ? { ArrowUp: [-90, 0], ArrowDown: [90, 1], ArrowRight: [-30, 4], ArrowLeft: [150, 3], "Shift ArrowRight": [30, 5], "Shift ArrowLeft": [210, 2] }
  : { ArrowLeft: [180, 0], ArrowRight: [0, 1], ArrowUp: [-60, 3], ArrowDown: [120, 4], "Shift ArrowUp": [-120, 2], "Shift ArrowDown": [60, 5] };

function hear(words) {
  // The same words again are heard again.
  const heard = byId("heard");
  heard.textContent = heard.textContent === words ? words + "\u00a0" : words;
}
const spoken = (bead) => beadWords(bead).replaceAll(" · ", ", ");

function walk(key) {
  const way = WAYS[key] || WAYS[key.replace("Shift ", "")];
  if (atLoop) {
    const next = besideOf(...atLoop)[way[1]];
    if (!isThere(next) && !besideOf(...next).some(isThere)) { hear("Nothing beyond."); return; }
    atLoop = next;
    comeTo(...centreOf(...next));
    showSpot();
    hear(loopWords(...next));
    return;
  }
  const bead = nextBead(current, way[0]);
  if (bead < 0) { hear("Edge of the piece."); return; }
  hovered = -1;
  setCurrent(bead);
  comeTo(beadX[bead], beadY[bead]);
  hear(spoken(bead));
}

canvas.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.altKey || event.metaKey) return;
  if (event.key.startsWith("Arrow")) walk((event.shiftKey ? "Shift " : "") + event.key);
  else if (event.key === "Enter" || event.key === " ") {
    if (atLoop) useOnLoop(...atLoop);
    else if (tool === "move") say("This tool is for the hand; choose another to use it with the keyboard.");
    else useOn(current);
  } else if (event.key === "c" && !atLoop) { choose(colourOf[current]); say(`Chosen: ${called(chosen)}.`); }
  else if (event.key === "+" || event.key === "=") zoom(1.4);
  else if (event.key === "-") zoom(1 / 1.4);
  else if (event.key === "0") fitPiece();
  else return;
  event.preventDefault();
});
canvas.addEventListener("focus", () => { hear(atLoop ? loopWords(...atLoop) : spoken(current)); ask(); });
canvas.addEventListener("blur", ask);

document.addEventListener("keydown", (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.altKey || event.target.matches("input[type=search], input[type=text]")) return;
  const key = event.key.toLowerCase();
  if (key === "z") byId(event.shiftKey ? "redo" : "undo").click();
  else if (key === "y") byId("redo").click();
  else if (key === "s") byId("save").click();
  else return;
  event.preventDefault();
});

// A bead by its loops, its edge or its tip, or the first of a loop, as the stitch order and redraw name them:
// 2.5/3.4, 2.5/left, 2.5/tip, 2.5.
const short = (name) => name.replace(/^tip of (.+)$/, "$1/tip").replace("edge of ", "").replace(", ", "/").split("/");
function beadNamed(text) {
  const wanted = short(text.trim().toLowerCase()).map((part) => part.trim());
  if (!given.loops.includes(wanted[0]) && !given.loops.includes(wanted[1])) return -1;
  for (let bead = 0; bead < beads; bead++) {
    const own = short(placeOf(bead));
    if (wanted.length === 1 ? own.includes(wanted[0]) : own.length === wanted.length && wanted[0] !== wanted[1] && wanted.every((part) => own.includes(part))) return bead;
  }
  return -1;
}
byId("jump").addEventListener("submit", (event) => {
  event.preventDefault();
  const bead = beadNamed(byId("goal").value);
  byId("missed").textContent = bead < 0 ? "There is no such loop or bead." : "";
  if (bead < 0) return;
  const named = given.loops.indexOf(byId("goal").value.trim()), loop = named < 0 ? beside[2 * bead] : named;
  if (atLoop) atLoop = [grid.row[loop], grid.place[loop]];
  hovered = -1;
  if (given.narrow * view.scale < LEAST_SYMBOL) view.scale = 2 * LEAST_SYMBOL / given.narrow;
  view.x = beadX[bead]; view.y = beadY[bead];
  setCurrent(bead);
  redrawAll();
  canvas.focus();
});
