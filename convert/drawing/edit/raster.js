// Beads into pixels. Each pixel is coloured by how far it lies from the outline of its bead, which is exact at
// every scale and, unlike paths, as quick for a hundred thousand beads as for ten.
const screen = { width: 0, height: 0, scale: 1, left: 0, top: 0, image: null, pixels: null };
const show = { strength: 0, mode: "both" };
const OPAQUE = 0xff000000;

// Sets how many pixels there are, how many make a hundredth of a millimetre, and where the piece's zero lies.
function setScreen(pen, width, height, scale, x, y) {
  if (screen.width !== width || screen.height !== height) {
    screen.image = pen.createImageData(width, height);
    screen.pixels = new Uint32Array(screen.image.data.buffer);
    screen.width = width; screen.height = height;
  }
  screen.scale = scale; screen.left = x; screen.top = y;
}

// Share is a whole number from 0 to 256: two channels are blended at once, and a broken one would leak.
const blend = (under, over, share) =>
  ((((under & 0xff00ff) * (256 - share) + (over & 0xff00ff) * share) / 256) & 0xff00ff)
  | ((((under & 0x00ff00) * (256 - share) + (over & 0x00ff00) * share) / 256) & 0x00ff00);

function fillOf(bead) {
  const fill = show.mode === "symbols" && screen.marked ? paper : fills[colourOf[bead]];
  if (!show.strength || pictureOf()[bead] < 0) return fill;
  return blend(fill, asked[bead], Math.round(show.strength * 256));
}

// Draws a bead within a box of pixels.
function stamp(bead, x0, y0, x1, y1) {
  const shape = shapes[outlineOf[bead]], { scale, width, pixels } = screen;
  const cx = beadX[bead] * scale + screen.left, cy = beadY[bead] * scale + screen.top;
  const rx = shape.reachX * scale + 0.5, ry = shape.reachY * scale + 0.5;
  const l = Math.max(x0, Math.floor(cx - rx)), r = Math.min(x1, Math.ceil(cx + rx));
  const t = Math.max(y0, Math.floor(cy - ry)), b = Math.min(y1, Math.ceil(cy + ry));
  if (l >= r || t >= b) return;
  const fill = fillOf(bead), marked = beyond[bead], rim = marked ? warn : rims[colourOf[bead]];
  const solid = OPAQUE | fill;
  const thick = marked ? Math.max(screen.rim * 2.6, 1.2) : screen.rim;
  const { rounded, x: ux, y: uy } = shape;
  const round = shape.round * scale, straight = shape.line * scale, half = shape.length * scale, wide = shape.width * scale;
  // Most pixels are far inside or far outside: squares tell without a root.
  const nothing = (round + 0.5) ** 2, full = Math.max(0, round - thick - 0.5) ** 2;
  for (let py = t; py < b; py++) {
    const dy = py + 0.5 - cy;
    for (let px = l, at = py * width + l; px < r; px++, at++) {
      const dx = px + 0.5 - cx;
      const along = Math.abs(dx * ux + dy * uy), across = Math.abs(dy * ux - dx * uy);
      let far;
      if (rounded) {
        const off = across > straight ? across - straight : 0, square = along * along + off * off;
        if (square >= nothing) continue;
        if (square < full) { pixels[at] = solid; continue; }
        far = Math.sqrt(square) - round;
      } else far = Math.max(along - half, across - wide);
      if (far >= 0.5) continue;
      if (far + thick <= -0.5) { pixels[at] = solid; continue; }
      const inner = Math.min(256, Math.max(0, Math.round((0.5 - far - thick) * 256)));
      const colour = blend(rim, fill, inner);
      pixels[at] = OPAQUE | (far <= -0.5 ? colour : blend(pixels[at], colour, Math.round((0.5 - far) * 256)));
    }
  }
  if (screen.marked && show.mode !== "colours") mark(bead, cx, cy, fill, x0, y0, x1, y1);
}

// Symbols as masks of so many pixels a side, made by the browser once for each scale.
const masks = new Map();
let maskSide = 0;
const maskPen = document.createElement("canvas").getContext("2d", { willReadFrequently: true });
function maskOf(colour) {
  if (masks.has(colour)) return masks.get(colour);
  const side = maskSide;
  maskPen.canvas.width = maskPen.canvas.height = side; // clears it, too
  maskPen.setTransform(side, 0, 0, side, side / 2, side / 2);
  maskPen.fill(symbolPath(colours[colour].symbol), "evenodd");
  const dots = maskPen.getImageData(0, 0, side, side).data, mask = new Uint8Array(side * side);
  for (let at = 0; at < mask.length; at++) mask[at] = dots[4 * at + 3];
  masks.set(colour, mask);
  return mask;
}
function symbolPath(symbol) {
  const path = new Path2D();
  for (const polygon of symbol) {
    polygon.forEach(([x, y], at) => (at ? path.lineTo(x, y) : path.moveTo(x, y)));
    path.closePath();
  }
  return path;
}
function mark(bead, cx, cy, fill, x0, y0, x1, y1) {
  const mask = maskOf(colourOf[bead]), side = maskSide, ink = inkOnFill(fill);
  const l = Math.round(cx - side / 2), t = Math.round(cy - side / 2);
  for (let y = Math.max(0, y0 - t); y < Math.min(side, y1 - t); y++) {
    for (let x = Math.max(0, x0 - l), at = (t + y) * screen.width + l + x; x < Math.min(side, x1 - l); x++, at++) {
      const share = mask[y * side + x];
      if (share) screen.pixels[at] = OPAQUE | blend(screen.pixels[at], ink, share + (share >> 7));
    }
  }
}
const inkOfFill = new Map();
function inkOnFill(fill) {
  if (!inkOfFill.has(fill)) { if (inkOfFill.size > 5000) inkOfFill.clear(); inkOfFill.set(fill, inkOn(fill)); }
  return inkOfFill.get(fill);
}

// Draws all that lies in a box of pixels anew.
function drawBox(x0, y0, x1, y1) {
  const { scale, width, pixels } = screen, bare = OPAQUE | ground;
  for (let y = y0; y < y1; y++) pixels.fill(bare, y * width + x0, y * width + x1);
  const around = mostReach + 1 / scale;
  const piece = (px, zero) => (px - zero) / scale;
  eachIn(piece(x0, screen.left) - around, piece(y0, screen.top) - around, piece(x1, screen.left) + around, piece(y1, screen.top) + around,
    (bead) => stamp(bead, x0, y0, x1, y1));
}
function boxOf(bead) {
  const shape = shapes[outlineOf[bead]], { scale } = screen;
  const cx = beadX[bead] * scale + screen.left, cy = beadY[bead] * scale + screen.top;
  return [
    Math.max(0, Math.floor(cx - shape.reachX * scale - 1)), Math.max(0, Math.floor(cy - shape.reachY * scale - 1)),
    Math.min(screen.width, Math.ceil(cx + shape.reachX * scale + 1)), Math.min(screen.height, Math.ceil(cy + shape.reachY * scale + 1)),
  ];
}
