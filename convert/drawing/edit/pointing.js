// Touch and mouse: one finger uses the tool, two move and zoom; so do the wheel and the right mouse button.
const fingers = new Map(); // pointers that are down, by their number
let gesture = null; // "paint", "tap", "pan", "pinch" or null
let begun = null; // where it began, and whether it has moved since
const TAP = 8; // pixels of the page that a tap may slip

canvas.addEventListener("pointerdown", (event) => {
  event.preventDefault();
  canvas.focus({ preventScroll: true });
  canvas.setPointerCapture(event.pointerId);
  fingers.set(event.pointerId, event);
  hovered = -1;
  say("");
  if (fingers.size > 1) {
    // The first finger had not meant to paint.
    if (gesture === "paint") dropStroke();
    gesture = "pinch";
    return;
  }
  begun = { event, moved: false };
  gesture = tool === "move" || event.button > 0 ? "pan" : tool === "paint" ? "paint" : "tap";
  if (gesture === "paint") { beginStroke(); paintAt(...pieceAt(event)); }
});
canvas.addEventListener("pointermove", (event) => {
  const before = fingers.get(event.pointerId);
  if (!before) {
    const bead = event.pointerType === "mouse" ? beadAt(...pieceAt(event)) : -1;
    if (bead !== hovered && !atLoop) { hovered = bead; showSpot(); ask(); }
    return;
  }
  if (gesture === "pinch" && fingers.size === 2) {
    const other = [...fingers].find(([id]) => id !== event.pointerId)[1], box = canvas.getBoundingClientRect();
    const wide = (one) => Math.hypot(one.clientX - other.clientX, one.clientY - other.clientY);
    pan((event.clientX - before.clientX) / 2, (event.clientY - before.clientY) / 2);
    if (wide(before) > 4) zoom(wide(event) / wide(before), (event.clientX + other.clientX) / 2 - box.left, (event.clientY + other.clientY) / 2 - box.top);
  } else if (gesture === "pan") pan(event.clientX - before.clientX, event.clientY - before.clientY);
  else if (gesture === "paint") {
    let [x, y] = pieceAt(before);
    // A quick hand leaves wide gaps between what the browser tells.
    const told = event.getCoalescedEvents?.() ?? [];
    for (const each of told.length ? told : [event]) {
      const [toX, toY] = pieceAt(each);
      paintLine(x, y, toX, toY);
      [x, y] = [toX, toY];
    }
  }
  if (begun && Math.hypot(event.clientX - begun.event.clientX, event.clientY - begun.event.clientY) > TAP) begun.moved = true;
  fingers.set(event.pointerId, event);
});
function lift(event) {
  if (!fingers.delete(event.pointerId)) return;
  if (gesture === "paint") report(endStroke(), chosen);
  else if (gesture === "tap" && !begun.moved && event.type === "pointerup") tapAt(...pieceAt(event));
  // What is left of two fingers does nothing more.
  gesture = fingers.size ? "pinch" : null;
  ask();
}
canvas.addEventListener("pointerup", lift);
canvas.addEventListener("pointercancel", lift);
canvas.addEventListener("pointerleave", () => { if (hovered >= 0) { hovered = -1; showSpot(); ask(); } });
canvas.addEventListener("contextmenu", (event) => event.preventDefault());
canvas.addEventListener("wheel", (event) => {
  event.preventDefault();
  const box = canvas.getBoundingClientRect(), lines = event.deltaMode === 1 ? 16 : 1;
  zoom(Math.exp(-event.deltaY * lines / 400), event.clientX - box.left, event.clientY - box.top);
}, { passive: false });

function tapAt(x, y) {
  if (tool === "loops") { useOnLoop(...placeAt(x, y)); return; }
  const bead = beadAt(x, y);
  if (bead >= 0) useOn(bead);
}
function paintAt(x, y) {
  const bead = beadAt(x, y);
  if (bead < 0) return;
  paint(withPartners(bead), chosen);
  if (bead !== current || gesture) setCurrent(bead);
}
function paintLine(x, y, toX, toY) {
  const pieces = Math.max(1, Math.ceil(Math.hypot(toX - x, toY - y) / (given.narrow * 0.5)));
  for (let at = 1; at <= pieces; at++) paintAt(x + (toX - x) * at / pieces, y + (toY - y) * at / pieces);
}

byId("closer").addEventListener("click", () => zoom(1.4));
byId("farther").addEventListener("click", () => zoom(1 / 1.4));
byId("fit").addEventListener("click", fitPiece);
