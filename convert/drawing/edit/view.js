// What is in sight, and how it comes on the screen: only what has changed is drawn again.
const canvas = byId("piece"), pen = canvas.getContext("2d", { alpha: false, willReadFrequently: true }), over = byId("over"), overPen = over.getContext("2d");
const view = { scale: 1, x: 0, y: 0 }; // pixels of the page a hundredth of a millimetre, and what lies in the middle
let current = 0, hovered = -1; // the bead the keyboard is at, and the one below the mouse
const LEAST_SYMBOL = 10; // pixels of the page across a bead
const SLOW_MS = 22, MANY = 1500;

let everything = true, queued = false, marksStale = true, moving = 0, lastFull = 0;
const stale = new Set();
const afterFrame = [];
function ask() { if (!queued) { queued = true; requestAnimationFrame(frame); } }
function redrawAll() { everything = true; ask(); }
function redrawBeads(which) { for (const bead of which) stale.add(bead); ask(); }

// Where a full picture takes long, it is coarser as long as the view moves.
function viewMoved() {
  clearTimeout(moving);
  moving = setTimeout(() => { moving = 0; redrawAll(); }, 140);
  redrawAll();
}

function frame() {
  queued = false;
  const ratio = window.devicePixelRatio || 1, coarse = moving && lastFull > SLOW_MS ? 0.5 : 1;
  const width = Math.max(1, Math.round(canvas.clientWidth * ratio * coarse)), height = Math.max(1, Math.round(canvas.clientHeight * ratio * coarse));
  if (canvas.width !== width || canvas.height !== height) {
    canvas.width = width; canvas.height = height;
    everything = true;
  }
  const dots = ratio * coarse, scale = view.scale * dots, across = given.narrow * scale;
  setScreen(pen, width, height, scale, width / 2 - view.x * scale, height / 2 - view.y * scale);
  screen.rim = Math.min(2.5 * dots, Math.max(0.09 * across, Math.min(0.5, 0.1 * across)));
  screen.marked = given.narrow * view.scale >= LEAST_SYMBOL;
  const side = Math.max(5, Math.round(across * 0.7));
  if (side !== maskSide) { maskSide = side; masks.clear(); }
  if (marksStale) { marksStale = false; for (const bead of markBeyond()) stale.add(bead); }
  if (everything || stale.size > MANY) {
    const began = performance.now();
    drawBox(0, 0, width, height);
    pen.putImageData(screen.image, 0, 0);
    if (coarse === 1) lastFull = performance.now() - began;
  } else {
    for (const bead of stale) {
      const [l, t, r, b] = boxOf(bead);
      if (l >= r || t >= b) continue;
      drawBox(l, t, r, b);
      pen.putImageData(screen.image, 0, 0, l, t, r - l, b - t);
    }
  }
  everything = false;
  stale.clear();
  drawOver();
  afterFrame.forEach((call) => call());
}

// Over the beads: where the keyboard and the mouse are, mirrors, and loops to drop or to add.
function drawOver() {
  const ratio = window.devicePixelRatio || 1, width = Math.round(over.clientWidth * ratio), height = Math.round(over.clientHeight * ratio);
  if (over.width !== width || over.height !== height) { over.width = width; over.height = height; }
  const scale = view.scale * ratio;
  overPen.setTransform(1, 0, 0, 1, 0, 0);
  overPen.clearRect(0, 0, width, height);
  overPen.setTransform(scale, 0, 0, scale, width / 2 - view.x * scale, height / 2 - view.y * scale);
  const dot = 1 / view.scale, plain = hexOf(ground);
  const lined = (path, thick, dashes = []) => {
    overPen.setLineDash(dashes.map((length) => length * dot));
    for (const [colour, more] of [[plain, 3], [accent, 0]]) {
      overPen.strokeStyle = colour; overPen.lineWidth = (thick + more) * dot; overPen.stroke(path);
    }
    overPen.setLineDash([]);
  };
  const axis = (x0, y0, x1, y1) => { const path = new Path2D(); path.moveTo(x0, y0); path.lineTo(x1, y1); lined(path, 1, [8, 6]); };
  const [sumX, sumY] = given.mirrors.sums, far = given.pitch;
  if (mirror.flips.some(([x, y]) => x && !y)) axis(sumX / 2, top_ - far, sumX / 2, bottom + far);
  if (mirror.flips.some(([x, y]) => y && !x)) axis(left - far, sumY / 2, right + far, sumY / 2);
  if (mirror.flips.length === 1 && mirror.flips[0][0] && mirror.flips[0][1]) {
    const path = new Path2D();
    path.arc(sumX / 2, sumY / 2, given.pitch / 2, 0, 7);
    lined(path, 1.5);
  }
  drawLoops(lined, dot);
  if (atLoop) return;
  if (hovered >= 0 && hovered !== current) lined(outlinePath(hovered, dot), 1);
  lined(outlinePath(current, dot), document.activeElement === canvas ? 3 : 1.5);
}
function outlinePath(bead, dot) {
  const shape = shapes[outlineOf[bead]], path = new Path2D(), more = 2 * dot;
  const angle = Math.atan2(shape.y, shape.x), place = new DOMMatrix().translate(beadX[bead], beadY[bead]).rotate(angle * 180 / Math.PI);
  const plain = new Path2D();
  if (shape.rounded) plain.roundRect(-shape.round - more, -shape.width - more, 2 * (shape.round + more), 2 * (shape.width + more), shape.round + more);
  else plain.rect(-shape.length - more, -shape.width - more, 2 * (shape.length + more), 2 * (shape.width + more));
  path.addPath(plain, place);
  return path;
}

const fitScale = () => Math.min(canvas.clientWidth / (right - left + given.pitch), canvas.clientHeight / (bottom - top_ + given.pitch));
function fitPiece() {
  view.x = (left + right) / 2; view.y = (top_ + bottom) / 2;
  view.scale = fitScale();
  viewMoved();
}
function zoom(factor, cx = canvas.clientWidth / 2, cy = canvas.clientHeight / 2) {
  const scale = Math.min(Math.max(60 / given.narrow, fitScale()), Math.max(fitScale() * 0.6, view.scale * factor));
  view.x += (cx - canvas.clientWidth / 2) * (1 / view.scale - 1 / scale);
  view.y += (cy - canvas.clientHeight / 2) * (1 / view.scale - 1 / scale);
  view.scale = scale;
  holdInSight();
}
function pan(dx, dy) { view.x -= dx / view.scale; view.y -= dy / view.scale; holdInSight(); }
// The piece stays in sight; half of half a view is free about it, so that its edge can be worked at.
function holdInSight() {
  const held = (at, low, high, half) => {
    const middle = (low + high) / 2;
    return Math.min(Math.max(high - half, middle) + half / 2, Math.max(Math.min(low + half, middle) - half / 2, at));
  };
  view.x = held(view.x, left, right, canvas.clientWidth / 2 / view.scale);
  view.y = held(view.y, top_, bottom, canvas.clientHeight / 2 / view.scale);
  viewMoved();
}
function pieceAt(event) {
  const box = canvas.getBoundingClientRect();
  return [view.x + (event.clientX - box.left - box.width / 2) / view.scale, view.y + (event.clientY - box.top - box.height / 2) / view.scale];
}
// Brings a place into sight, as far as needed.
function comeTo(x, y) {
  const room = Math.min(60, canvas.clientWidth / 4, canvas.clientHeight / 4), wide = (canvas.clientWidth / 2 - room) / view.scale, high = (canvas.clientHeight / 2 - room) / view.scale;
  const before = [view.x, view.y];
  view.x = Math.min(x + wide, Math.max(x - wide, view.x)); view.y = Math.min(y + high, Math.max(y - high, view.y));
  if (before[0] !== view.x || before[1] !== view.y) redrawAll(); else ask();
}
