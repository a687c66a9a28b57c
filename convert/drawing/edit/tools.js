// What each tool does with a bead or a loop, and what is said about it.
const HINTS = {
  paint: "Tap a bead or drag over beads: they take the chosen colour.",
  fill: "Tap a bead: all beads of its colour that hang together with it take the chosen colour.",
  swap: "Tap a bead: every bead of its colour in the piece takes the chosen colour.",
  pick: "Tap a bead: its colour becomes the chosen one.",
  move: "Drag to move the piece. With any tool two fingers, or the right mouse button, move it, too.",
  loops: "Tap a loop to drop it, or a place at the edge to add one there. That changes the way of the thread: the mark is saved in the pattern, and combweave redraw sees to it.",
};
let tool = "paint", chosen = 0;

function say(words) { byId("told").textContent = words; }

// What a stroke has done, in words; beads that the colour does not come for stay as they are.
function report({ painted, refused }, colour) {
  const words = painted ? [`${counted(painted, "bead")} now ${called(colour)}.`] : [];
  if (refused.length) {
    const stay = [...new Set(refused.map((bead) => sizeNames[sizeOf[bead]]))].join(" and ");
    words.push(`${colours[colour].code} comes in ${sizesOf(colour).join(" and ")} only: ${counted(refused.length, "bead")} of ${stay} ${refused.length === 1 ? "stays as it is" : "stay as they are"}.`);
  }
  if (words.length) say(words.join(" "));
}
function whole(which, colour) {
  beginStroke();
  paint(which, colour);
  report(endStroke(), colour);
}

function useOn(bead) {
  use(bead);
  setCurrent(bead);
}
function use(bead) {
  if (tool === "paint") whole(withPartners(bead), chosen);
  else if (tool === "pick") { choose(colourOf[bead]); setTool("paint"); say(`Chosen: ${called(chosen)}.`); }
  else if (tool === "fill" || tool === "swap") {
    const old = colourOf[bead];
    if (old === chosen) { say(`This is ${called(chosen)} already; choose another colour first.`); return; }
    const which = tool === "swap"
      ? Array.from(colourOf.keys()).filter((each) => colourOf[each] === old)
      : [...new Set(withPartners(bead).flatMap((each) => area(each, colourOf)))];
    whole(which, chosen);
  }
}
function useOnLoop(row, place) {
  atLoop = [row, place];
  beginStroke();
  const words = toggleLoop(row, place);
  endStroke();
  say(words);
  ask();
}

function setTool(name) {
  if (tool === "loops" && name !== "loops") atLoop = null;
  tool = name;
  byId("tool-" + name).checked = true;
  byId("hint").textContent = HINTS[name];
  canvas.style.cursor = name === "move" ? "grab" : "crosshair";
  if (name === "loops") {
    const loop = beside[2 * current];
    atLoop = [grid.row[loop], grid.place[loop]];
  }
  showSpot();
  ask();
}

// The bead that the keyboard is at, or that was touched last.
function setCurrent(bead) { current = bead; showSpot(); ask(); }
function beadWords(bead) {
  return [placeOf(bead), called(colourOf[bead]), twoSizes ? sizeNames[sizeOf[bead]] : "", beyond[bead] ? "beyond the stock" : ""].filter(Boolean).join(" · ");
}
function showSpot() {
  byId("spot").textContent = atLoop ? loopWords(...atLoop) : beadWords(hovered >= 0 ? hovered : current);
}
