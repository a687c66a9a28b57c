// What the piece takes, as the shopping list counts it, and which beads go beyond the stock.
const TINY = 1e-6;
const copies = file.copies ?? 1, spare = file.spare ?? 0.1;
const onHand = (entry, size) => {
  if (entry.on_hand != null || entry.on_hand_g == null) return entry.on_hand ?? null;
  return entry.on_hand_g ? Math.floor(entry.on_hand_g * (entry.per_gram || sizes[size].beads_per_gram) + TINY) : 0;
};

// Rows of the list for a colour, one for each size in use. Sizes of one entry draw on the same stock; the
// first has the first call on it. Of a colour not in use a row for each size it comes in.
function rowsOf(number) {
  const colour = colours[number], rows = [], promised = new Map();
  const used = [0, 1].filter((size) => colour.entries[size] >= 0 && (twoSizes || size === 0));
  const share = (entry) => used.filter((size) => colour.entries[size] === entry)
    .reduce((sum, size) => sum + (counts[number * 2 + size] ? counts[number * 2 + size] * copies / (onHand(file.palette.entries[entry], size) || Infinity) : 0), 0);
  for (const size of used) {
    const at = colour.entries[size], entry = file.palette.entries[at], beads = counts[number * 2 + size] * copies;
    const stock = onHand(entry, size), grams = entry.per_gram || sizes[size].beads_per_gram;
    const needed = beads + Math.ceil(beads * spare - TINY);
    const free = Math.floor((stock ?? 0) * (1 - (promised.get(at) || 0)) + TINY);
    const toBuy = Math.max(0, needed - free);
    promised.set(at, (promised.get(at) || 0) + (needed - toBuy) / (stock || Infinity));
    const packs = entry.pack_g == null ? null : Math.ceil(toBuy / grams / entry.pack_g - TINY);
    const priced = packs !== null && entry.price != null;
    rows.push({
      size, beads, stock, toBuy, packs,
      left: stock === null ? null : Math.floor(stock * (1 - share(at)) + TINY) - (stock === 0 ? beads : 0),
      cost: priced ? packs * entry.price : null,
      used: priced ? beads / grams / entry.pack_g * entry.price : null,
    });
  }
  return rows;
}
const money = (amount) => (amount.toLocaleString("en-GB", { minimumFractionDigits: 2, maximumFractionDigits: 2 }) + " " + given.currency).trim();

// Beads beyond the stock: from the first row on, all for which there is none left.
const beyond = new Uint8Array(beads);
const perBead = file.palette.entries.map(() => null);
function spent(entry, size) { // the share of an entry's stock that a bead takes; 0 where the stock is not known
  const known = perBead[entry] ||= [0, 1].map((each) => { const stock = onHand(file.palette.entries[entry], each); return stock === null ? 0 : copies / (stock || TINY); });
  return known[size];
}
function markBeyond() { // returns the beads whose mark has changed
  const taken = new Float64Array(file.palette.entries.length), turned = [];
  for (let bead = 0; bead < beads; bead++) {
    const size = sizeOf[bead], entry = colours[colourOf[bead]].entries[size];
    const mark = (taken[entry] += spent(entry, size)) > 1 + TINY ? 1 : 0;
    if (mark !== beyond[bead]) { beyond[bead] = mark; turned.push(bead); }
  }
  return turned;
}
