// Puts the page together and begins.
let figuresStale = true;
onChange.push((which) => { marksStale = true; redrawBeads(which); figuresStale = true; keepSoon(); });
afterFrame.push(() => {
  if (figuresStale) { figuresStale = false; showStock(); showFigures(); showState(); showSpot(); }
  showRow();
});

document.title = file.title + " · paint · combweave";
byId("title").textContent = file.title;
byId("imprint").textContent = given.imprint;
byId("facts").textContent = given.size + (copies > 1 ? " · " + copies + " copies, all counted in" : "");
byId("tool-loops").closest("label").hidden = !grid;
byId("goal-label").textContent = "Go to loop or bead";
byId("goal").placeholder = given.loops.length > 1 && grid ? "such as " + given.loops[0] : "";

const offered = MIRRORS.filter((each) => each.offered);
byId("mirror").append(...offered.map((each, at) => new Option(each.name, at)));
byId("mirror").closest("label").hidden = offered.length < 2;
byId("mirror").addEventListener("change", (event) => { mirror = offered[event.target.value]; ask(); });
byId("mode").addEventListener("change", (event) => { show.mode = event.target.value; redrawAll(); });
byId("strength").closest("label").hidden = !hasPicture;
byId("strength").addEventListener("input", (event) => { show.strength = event.target.value / 100; redrawAll(); });
document.querySelectorAll("input[name=tool]").forEach((input) => input.addEventListener("change", () => setTool(input.value)));
byId("undo").addEventListener("click", () => { if (undo()) say("Taken back."); });
byId("redo").addEventListener("click", () => { if (redo()) say("Done again."); });
byId("save").addEventListener("click", () => { save(); figuresStale = true; ask(); say("pattern.json is in your downloads. combweave redraw makes all files anew from it."); });
for (const details of document.querySelectorAll("details")) details.addEventListener("toggle", () => { figuresStale = true; tabled = ""; ask(); });

window.addEventListener("beforeunload", (event) => { if (waiting) keep(); if (unsaved()) event.preventDefault(); });
document.addEventListener("visibilitychange", () => { if (waiting) keep(); });
window.matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => { readTheme(); redrawAll(); });
new ResizeObserver(() => redrawAll()).observe(canvas);

readTheme();
chosen = listed[0];
listColours();
choose(chosen);
const back = recall();
if (back) say(unsaved() ? "Your work from last time is back; it is not saved yet." : "Your work from last time is back.");
setTool("paint");
fitPiece();
