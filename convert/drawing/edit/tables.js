// What the piece takes, and the beads of a row, as tables that can be read without seeing the piece.
function cells(kind, words) {
  const row = document.createElement("tr");
  row.append(...words.map((word, at) => {
    const cell = document.createElement(kind === "td" && at === 0 ? "th" : kind);
    if (cell.tagName === "TH") cell.scope = kind === "td" ? "row" : "col";
    cell.textContent = word;
    return cell;
  }));
  return row;
}
const total = (rows, what) => rows.reduce((sum, row) => (row[what] === null ? sum : (sum ?? 0) + row[what]), null);

function showFigures() {
  const used = [...colours.keys()].filter((number) => counts[2 * number] || counts[2 * number + 1]);
  const all = used.flatMap((number) => rowsOf(number).filter((row) => row.beads).map((row) => ({ ...row, number })));
  all.sort((a, b) => b.beads - a.beads);
  // Sizes of one entry share its stock, and so what goes beyond it.
  const over = new Map();
  for (const row of all) if (row.left !== null && row.left < 0) over.set(colours[row.number].entries[row.size], -row.left);
  const tooMany = [...over.values()].reduce((sum, each) => sum + each, 0), known = all.some((row) => row.stock !== null);
  const codes = new Set(used.map((number) => colours[number].code)), buy = total(all, "toBuy"), cost = total(all.filter((row) => row.toBuy), "cost"), value = total(all, "used");
  byId("totals").textContent = [
    `${counted(total(all, "beads"), "bead")} in ${counted(codes.size, "colour")}`,
    value === null ? "" : `cost of beads ${money(value)}`,
    buy === 0 ? "nothing to buy" : `to buy ${counted(buy, "bead")}` + (cost === null ? "" : `, packs ${money(cost)}`),
  ].filter(Boolean).join(" · ");
  const warning = byId("over-stock");
  warning.hidden = !tooMany;
  warning.textContent = tooMany ? `${counted(tooMany, "bead")} beyond the stock: ringed on the piece, counted from the first row.` : "";
  if (byId("takes").closest("details").open) {
    const table = all.map((row) => cells("td", [
      called(row.number) + (twoSizes ? " " + sizeNames[row.size] : ""), many(row.beads), row.stock === null ? "–" : many(row.stock),
      row.left === null ? "–" : row.left < 0 ? `${many(-row.left)} too many` : many(row.left), many(row.toBuy), row.cost === null ? "–" : money(row.cost),
    ]));
    byId("takes").replaceChildren(...table);
    byId("stock-note").hidden = known;
  }
}

// The row of beads that the current bead is in; tips are a row of their own.
let tabled = "";
function showRow() {
  const details = byId("row").closest("details");
  const row = current >= woven ? -1 : rowNumber(current), key = row + ":" + done + ":" + steps.length + ":" + changed;
  if (!details.open || tabled === key || stroke) return;
  tabled = key;
  const from = row < 0 ? woven : rowStart[row], to = row < 0 ? beads : rowStart[row + 1], runs = [];
  for (let bead = from; bead < to; bead++) runs.push(cells("td", [placeOf(bead), called(colourOf[bead]), sizeNames[sizeOf[bead]]]));
  byId("row").replaceChildren(...runs);
  byId("row-name").textContent = row < 0 ? "Beads at the tips" : `Row ${row + 1} of ${rowStart.length - 1} rows of beads`;
}

// Whether anything is changed, kept and saved.
function showState() {
  const marks = wishes.size, words = [];
  if (changed) words.push(`${counted(changed, "bead")} changed`);
  if (marks) words.push(`${counted(marks, "loop")} marked`);
  if (unsaved()) words.push(keeps ? "not saved" : "not saved, and this browser cannot keep it: save it before you close the page");
  else if (words.length && savedAt) words.push("saved");
  byId("state").textContent = words.join(", ") || "Nothing changed";
  byId("undo").disabled = !done;
  byId("redo").disabled = done === steps.length;
  const asked = inOrder("drop"), added = inOrder("add");
  byId("wishes").textContent = [asked.length ? "To drop: " + asked.join(", ") + "." : "", added.length ? "To add: " + added.join(", ") + "." : ""].filter(Boolean).join(" ");
}
