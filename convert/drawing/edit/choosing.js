// The palette to choose from, with what is on hand and what is left as the piece is now.
const SVG = "http://www.w3.org/2000/svg", MOST_SHOWN = 300;
const items = new Map(); // of colours that are listed: where their figures stand

function swatch(number) {
  const colour = colours[number], picture = document.createElementNS(SVG, "svg"), bead = document.createElementNS(SVG, "rect"), mark = document.createElementNS(SVG, "path");
  const tall = shapes[0].rounded ? shapes[0].length / shapes[0].width : Math.min(1, shapes[0].length / shapes[0].width);
  const high = Math.max(0.6, tall), round = shapes[0].rounded ? high * 0.95 : 0.08;
  picture.setAttribute("viewBox", "-1.05 -1.05 2.1 2.1");
  picture.setAttribute("aria-hidden", "true");
  for (const [name, value] of Object.entries({ x: -0.95, y: -0.95 * high, width: 1.9, height: 1.9 * high, rx: round, fill: colour.hex, class: "rim" })) bead.setAttribute(name, value);
  mark.setAttribute("d", colour.symbol.map((polygon) => "M" + polygon.map(([x, y]) => x * 0.85 + " " + y * 0.85).join("L") + "Z").join(""));
  mark.setAttribute("fill", inks[number] ? "#fff" : "#000");
  mark.setAttribute("fill-rule", "evenodd");
  picture.append(bead, mark);
  return picture;
}
function named(number) {
  const words = document.createElement("span"), code = document.createElement("b");
  code.textContent = colours[number].code;
  words.className = "named";
  words.append(code, colours[number].name ? " " + colours[number].name : "");
  return words;
}

function choose(number) {
  chosen = number;
  if (items.has(number)) items.get(number).input.checked = true;
  byId("chosen").replaceChildren(swatch(number), "Chosen: ", named(number));
}

function item(number) {
  const label = document.createElement("label"), input = document.createElement("input"), figures = document.createElement("span");
  label.className = "bead";
  input.type = "radio"; input.name = "colour"; input.value = number; input.checked = number === chosen;
  input.addEventListener("change", () => choose(number));
  figures.className = "figures";
  label.append(input, swatch(number), named(number), figures);
  items.set(number, { input, figures, told: null });
  return label;
}

// Those in use first, most beads first; then all others as the palette has them.
const usedAtFirst = (number) => counts[2 * number] + counts[2 * number + 1];
const listed = [...colours.keys()].filter((number) => sizesOf(number).length);
listed.sort((a, b) => usedAtFirst(b) - usedAtFirst(a));
function listColours() {
  const wanted = byId("find").value.trim().toLowerCase();
  const found = listed.filter((number) => called(number).toLowerCase().includes(wanted));
  items.clear();
  byId("beads").replaceChildren(...found.slice(0, MOST_SHOWN).map(item));
  byId("more").textContent = !found.length ? "No colour is called so." : found.length > MOST_SHOWN ? `and ${(found.length - MOST_SHOWN).toLocaleString("en-GB")} more: write part of a code or name to find them.` : "";
  showStock();
}
const many = (number) => number.toLocaleString("en-GB");
function showStock() {
  for (const [number, { figures, told }] of items) {
    const key = counts[2 * number] + ":" + counts[2 * number + 1];
    if (told === key) continue;
    items.get(number).told = key;
    figures.replaceChildren(...rowsOf(number).map((row) => {
      const line = document.createElement("span");
      const stock = row.stock === null ? "" : row.left < 0 ? `, ${many(-row.left)} too many: ${many(row.stock)} on hand` : `, ${many(row.left)} left of ${many(row.stock)}`;
      line.textContent = (twoSizes ? sizeNames[row.size] + ": " : "") + many(row.beads) + " used" + stock;
      if (row.left !== null && row.left < 0) line.className = "beyond";
      return line;
    }));
  }
}
byId("find").addEventListener("input", listColours);
