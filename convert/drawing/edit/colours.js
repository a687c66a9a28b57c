// Bead colours: entries of the palette that differ in their size only are one.
const colours = [];
given.colour_of_entry.forEach((number, at) => {
  const entry = file.palette.entries[at];
  const colour = colours[number] ||= { code: entry.code, name: entry.name, hex: entry.hex, entries: [-1, -1], symbol: given.symbols[given.symbol_of[number]] };
  sizeNames.forEach((name, size) => { if (entry.size === null || entry.size === name) colour.entries[size] = at; });
});
const inSize = (colour, size) => colours[colour].entries[size] >= 0;
const called = (colour) => [colours[colour].code, colours[colour].name].filter(Boolean).join(" ");
const sizesOf = (colour) => [...new Set(sizeNames.filter((_, size) => inSize(colour, size)))];

// The colour of each bead, from the codes in the file.
const colourOf = new Int32Array(beads);
{
  const byCode = [new Map(), new Map()];
  colours.forEach((colour, number) => colour.entries.forEach((entry, size) => { if (entry >= 0) byCode[size].set(colour.code, number); }));
  let bead = 0;
  for (const row of [...file.bead_rows, file.tips || []]) for (const code of row) { colourOf[bead] = byCode[sizeOf[bead]].get(code); bead++; }
}
const asGiven = colourOf.slice();

// Colours as the screen's memory has them: blue, green, red from the highest byte.
const packed = (hex) => parseInt(hex.slice(5, 7) + hex.slice(3, 5) + hex.slice(1, 3), 16);
const fills = Int32Array.from(colours, (colour) => packed(colour.hex));
// Relative luminance and contrast of WCAG 2.1.
function luminance(bgr) {
  const light = [bgr & 255, (bgr >> 8) & 255, bgr >> 16].map((byte) => byte <= 10 ? byte / 3294.6 : ((byte / 255 + 0.055) / 1.055) ** 2.4);
  return 0.2126 * light[0] + 0.7152 * light[1] + 0.0722 * light[2];
}
const contrast = (one, other) => {
  const [low, high] = [luminance(one), luminance(other)].sort((a, b) => a - b);
  return (high + 0.05) / (low + 0.05);
};
const inkOn = (bgr) => (contrast(bgr, 0) > contrast(bgr, 0xffffff) ? 0 : 0xffffff);
const inks = fills.map(inkOn);
function mixed(one, other, share) {
  let sum = 0;
  for (const shift of [0, 8, 16]) sum |= Math.round(((one >> shift) & 255) * (1 - share) + ((other >> shift) & 255) * share) << shift;
  return sum;
}
const hexOf = (bgr) => "#" + [bgr & 255, (bgr >> 8) & 255, bgr >> 16].map((byte) => byte.toString(16).padStart(2, "0")).join("");

// The ground of the page, and the line about each bead that shows on it: a shade of the bead's own colour
// where the bead stands out by itself, or else the grey that stands out.
let ground = 0xffffff, paper = 0xffffff, line = 0, warn = 0, accent = "", rims = new Int32Array(colours.length);
function readTheme() {
  const style = getComputedStyle(document.documentElement), named = (name) => style.getPropertyValue(name).trim();
  ground = packed(named("--mat")); line = packed(named("--rim")); warn = packed(named("--warn")); accent = named("--accent");
  rims = fills.map((fill) => (contrast(fill, ground) < 3 ? line : mixed(fill, 0, 0.45)));
}
