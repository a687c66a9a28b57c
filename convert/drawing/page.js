  const byId = (id) => document.getElementById(id);
  const data = JSON.parse(byId("data").textContent);
  const steps = data.steps.length - 1;
  const storeKey = "combweave:" + document.body.dataset.key;
  const firstTip = data.x.length - data.tips.length;

  // ---- what each step does -------------------------------------------------------------------------------
  // The first pass of a bead picks it up; the step at which that happens says whether the bead is woven.
  const wovenAt = new Int32Array(data.x.length).fill(-1);
  const pickedUp = new Uint8Array(data.passes.length);
  const stepOf = new Int32Array(data.passes.length);
  for (let step = 0; step < steps; step++) {
    for (let at = data.steps[step]; at < data.steps[step + 1]; at++) {
      stepOf[at] = step;
      const bead = data.passes[at];
      if (wovenAt[bead] < 0) { wovenAt[bead] = step; pickedUp[at] = 1; }
    }
  }
  const stepOfLoop = new Int32Array(data.loops.length).fill(-1);
  data.round.forEach((loop, at) => { if (loop >= 0 && stepOfLoop[loop] < 0) stepOfLoop[loop] = stepOf[at]; });
  const beadsUpTo = new Int32Array(steps + 1);
  pickedUp.forEach((picked, at) => { if (picked) beadsUpTo[stepOf[at] + 1]++; });
  for (let step = 0; step < steps; step++) beadsUpTo[step + 1] += beadsUpTo[step];

  const codeOf = (bead) => data.colours[data.colour[bead]].called[+data.size_of[bead]];
  const listed = (words) => words.length < 2 ? words.join("") : words.slice(0, -1).join(", ") + " and " + words[words.length - 1];
  const folded = (words) => {
    const runs = [];
    for (const word of words) {
      const last = runs[runs.length - 1];
      if (last && last.word === word) last.count++; else runs.push({ word, count: 1 });
    }
    // A number stays on one line with what it counts.
    return runs.map((run) => (run.count > 1 ? run.count + " × " + run.word : run.word).replaceAll(" ", "\u00a0"));
  };
  const sentence = (text) => text ? text[0].toUpperCase() + text.slice(1) + "." : "";

  function told(step) {
    const start = data.steps[step], end = data.steps[step + 1];
    let through = start;
    while (through < end && pickedUp[through]) through++;
    let travel = end;
    while (travel > through && data.travels[travel - 1] === "1") travel--;
    const loops = [];
    for (let at = start; at < (through > start ? through : travel); at++) {
      const loop = data.round[at];
      if (loop >= 0 && !loops.includes(loop)) loops.push(loop);
    }
    const parts = [];
    const codes = (from, to) => {
      const runs = folded(Array.from({ length: to - from }, (_, i) => codeOf(data.passes[from + i])));
      return runs.length > 1 ? (to - from) + ": " + runs.join(", ") : runs[0];
    };
    const closed = (from, to) => {
      const names = [];
      for (let at = from; at < to; at++) if (data.closes[at] >= 0) names.push(data.loops[data.closes[at]]);
      return names.length ? " (closes " + listed(names) + ")" : "";
    };
    if (through > start) parts.push("pick up " + codes(start, through) + closed(start, through));
    if (travel > through) parts.push("pass through " + codes(through, travel) + closed(through, travel));
    if (end > travel) parts.push("sew through " + (end - travel) + " to " + codeOf(data.passes[end - 1]));
    return { start, through, travel, end, loops, words: sentence(parts.join("; ")) };
  }

  // ---- the canvas ----------------------------------------------------------------------------------------
  const canvas = byId("piece"), pen = canvas.getContext("2d");
  const view = { scale: 1, x: 0, y: 0 };
  const [left, top, right, bottom] = data.extent;
  // Beads lie in buckets, so that only those in sight are drawn.
  const BUCKET = Math.max(200, Math.sqrt((right - left) * (bottom - top) / Math.max(1, data.x.length)) * 12);
  const across = Math.floor((right - left) / BUCKET) + 1;
  const buckets = new Map();
  data.x.forEach((x, bead) => {
    const place = Math.floor((data.y[bead] - top) / BUCKET) * across + Math.floor((x - left) / BUCKET);
    if (!buckets.has(place)) buckets.set(place, []);
    buckets.get(place).push(bead);
  });
/*ring:
  // ---- a ring is turned so that its seam lies away from the step -----------------------------------------
  const [ringX, ringY] = data.ring, turn = ringX * ringX + ringY * ringY;
  const laid = [["x", "y"], ["loop_x", "loop_y"], ["junction_x", "junction_y"]].map(([x, y]) => [x, y, data[x], data[y]]);
  const rounds = (dx, dy) => Math.round((dx * ringX + dy * ringY) / turn);
  function turnTo(start, end) {
    const [, , beadX, beadY] = laid[0];
    let x, y, l = Infinity, r = -Infinity, t = Infinity, b = -Infinity;
    for (let at = Math.max(0, start - 1); at < end; at++) {
      const nextX = beadX[data.passes[at]], nextY = beadY[data.passes[at]];
      const jumped = x === undefined ? 0 : rounds(nextX - x, nextY - y);
      x = nextX - jumped * ringX; y = nextY - jumped * ringY;
      l = Math.min(l, x); r = Math.max(r, x); t = Math.min(t, y); b = Math.max(b, y);
    }
    const hereX = (l + r) / 2, hereY = (t + b) / 2;
    // What is here comes to the middle of the piece along the ring.
    const along = ((left + right) / 2 - hereX) * ringX + ((top + bottom) / 2 - hereY) * ringY;
    const moveX = along * ringX / turn, moveY = along * ringY / turn;
    for (const [nameX, nameY, xs, ys] of laid) {
      data[nameX] = xs.map((placeX, i) => placeX - rounds(placeX - hereX, ys[i] - hereY) * ringX + moveX);
      data[nameY] = ys.map((placeY, i) => placeY - rounds(xs[i] - hereX, placeY - hereY) * ringY + moveY);
    }
    buckets.clear();
    data.x.forEach((placeX, bead) => {
      const place = Math.floor((data.y[bead] - top) / BUCKET) * across + Math.floor((placeX - left) / BUCKET);
      if (!buckets.has(place)) buckets.set(place, []);
      buckets.get(place).push(bead);
    });
  }
:ring*/
  const outlines = data.outlines.map((points) => pathOf(points, 1));
  const symbols = data.colours.map((colour) => {
    const path = new Path2D();
    for (const polygon of colour.symbol) path.addPath(pathOf(polygon, 1));
    return path;
  });
  function pathOf(points, factor) {
    const path = new Path2D();
    points.forEach(([x, y], i) => i ? path.lineTo(x * factor, y * factor) : path.moveTo(x * factor, y * factor));
    path.closePath();
    return path;
  }

  let now = 0, current = told(0), queued = false;
  function redraw() { if (!queued) { queued = true; requestAnimationFrame(draw); } }

  function draw() {
    queued = false;
    const ratio = window.devicePixelRatio || 1;
    const width = canvas.clientWidth, height = canvas.clientHeight;
    if (canvas.width !== Math.round(width * ratio) || canvas.height !== Math.round(height * ratio)) {
      canvas.width = Math.round(width * ratio);
      canvas.height = Math.round(height * ratio);
    }
    const style = getComputedStyle(document.documentElement);
    const accent = style.getPropertyValue("--accent").trim(), soft = style.getPropertyValue("--line").trim();
    pen.setTransform(1, 0, 0, 1, 0, 0);
    pen.clearRect(0, 0, canvas.width, canvas.height);
    const scale = view.scale * ratio;
    const place = () => pen.setTransform(scale, 0, 0, scale, width * ratio / 2 - view.x * scale, height * ratio / 2 - view.y * scale);
    const reach = BUCKET * 0.5;
    const x0 = view.x - width / 2 / view.scale - reach, x1 = view.x + width / 2 / view.scale + reach;
    const y0 = view.y - height / 2 / view.scale - reach, y1 = view.y + height / 2 / view.scale + reach;
    const first = (low, from) => Math.max(0, Math.floor((low - from) / BUCKET));
    const small = data.narrow * view.scale < 3, marked = data.narrow * view.scale > 13;
    const inStep = new Set(data.passes.slice(current.start, current.end));
    place();
    for (let row = first(y0, top); row <= Math.floor((Math.min(y1, bottom) - top) / BUCKET); row++) {
      for (let column = first(x0, left); column <= Math.floor((Math.min(x1, right) - left) / BUCKET); column++) {
        for (const bead of buckets.get(row * across + column) || []) {
          const colour = data.colours[data.colour[bead]];
          const woven = wovenAt[bead] <= now;
          pen.globalAlpha = woven ? 1 : 0.22;
          pen.fillStyle = colour.fill;
          if (small) {
            const size = data.narrow * 1.15;
            pen.fillRect(data.x[bead] - size / 2, data.y[bead] - size / 2, size, size);
            continue;
          }
          pen.translate(data.x[bead], data.y[bead]);
          const outline = outlines[data.outline[bead]];
          pen.fill(outline);
          pen.lineWidth = wovenAt[bead] === now ? 16 : 9;
          pen.strokeStyle = wovenAt[bead] === now ? accent : woven ? colour.rim : soft;
          pen.stroke(outline);
          if (marked && (woven || inStep.has(bead))) {
            const side = data.narrow * 0.66;
            pen.scale(side, side);
            pen.fillStyle = colour.ink;
            pen.fill(symbols[data.colour[bead]], "evenodd");
          }
          place();
        }
      }
    }
    pen.globalAlpha = 1;
    drawThread(accent, style.getPropertyValue("--ground").trim());
  }

  // The thread of this step: through each bead from end to end, round the junctions in smooth bends.
  function drawThread(accent, ground) {
    const points = [];
    for (let at = Math.max(0, current.start - 1); at < current.end; at++) {
      const bead = data.passes[at], junction = data.leaves[at];
      points.push([data.x[bead], data.y[bead]]);
      // Bend a little inside the corner of the loop, so that passes on both sides of a bead stay apart.
      const loop = at + 1 < data.round.length ? data.round[at + 1] : -1;
      if (at < current.end - 1) {
        const jx = data.junction_x[junction], jy = data.junction_y[junction];
        const pull = loop >= 0 ? 0.16 : 0;
        points.push([jx + (loop >= 0 ? (data.loop_x[loop] - jx) * pull : 0), jy + (loop >= 0 ? (data.loop_y[loop] - jy) * pull : 0)]);
      } else {
        points.push([(data.x[bead] + data.junction_x[junction] * 3) / 4, (data.y[bead] + data.junction_y[junction] * 3) / 4]);
      }
    }
    const wide = Math.max(data.narrow * 0.17, 2.2 / view.scale);
    for (const [colour, width] of [[ground, wide * 1.9], [accent, wide]]) {
      pen.strokeStyle = colour; pen.lineWidth = width; pen.lineJoin = pen.lineCap = "round";
      pen.beginPath();
      pen.moveTo(points[0][0], points[0][1]);
      for (let i = 1; i < points.length - 1; i++) {
        const [x, y] = points[i], [nx, ny] = points[i + 1];
        pen.quadraticCurveTo(x, y, (x + nx) / 2, (y + ny) / 2);
      }
      const end = points[points.length - 1];
      pen.lineTo(end[0], end[1]);
      pen.stroke();
    }
    const [ex, ey] = points[points.length - 1], [px, py] = points[points.length - 2];
    const angle = Math.atan2(ey - py, ex - px), head = wide * 3;
    pen.fillStyle = accent;
    pen.beginPath();
    pen.moveTo(ex + Math.cos(angle) * head, ey + Math.sin(angle) * head);
    for (const side of [2.5, -2.5]) pen.lineTo(ex + Math.cos(angle + side) * head, ey + Math.sin(angle + side) * head);
    pen.closePath();
    pen.fill();
    pen.beginPath();
    pen.arc(points[0][0], points[0][1], wide * 1.2, 0, 7);
    pen.fill();
  }

  function fitPiece() {
    view.x = (left + right) / 2; view.y = (top + bottom) / 2;
    view.scale = Math.min(canvas.clientWidth / (right - left), canvas.clientHeight / (bottom - top)) * 0.92;
    redraw();
  }
  function fitStep() {
    let l = Infinity, r = -Infinity, t = Infinity, b = -Infinity;
    for (let at = Math.max(0, current.start - 1); at < current.end; at++) {
      const bead = data.passes[at];
      l = Math.min(l, data.x[bead]); r = Math.max(r, data.x[bead]);
      t = Math.min(t, data.y[bead]); b = Math.max(b, data.y[bead]);
    }
    const room = data.narrow * 14;
    view.x = (l + r) / 2; view.y = (t + b) / 2;
    view.scale = Math.min(canvas.clientWidth / (r - l + room), canvas.clientHeight / (b - t + room));
    redraw();
  }
  function zoom(factor, cx = canvas.clientWidth / 2, cy = canvas.clientHeight / 2) {
    const dx = (cx - canvas.clientWidth / 2) / view.scale, dy = (cy - canvas.clientHeight / 2) / view.scale;
    const scale = Math.min(2, Math.max(1e-4, view.scale * factor));
    view.x += dx - (cx - canvas.clientWidth / 2) / scale;
    view.y += dy - (cy - canvas.clientHeight / 2) / scale;
    view.scale = scale;
    redraw();
  }
  const fingers = new Map();
  let spread = 0;
  canvas.addEventListener("pointerdown", (event) => {
    canvas.setPointerCapture(event.pointerId);
    fingers.set(event.pointerId, event);
    spread = 0;
  });
  canvas.addEventListener("pointermove", (event) => {
    const before = fingers.get(event.pointerId);
    if (!before) return;
    fingers.set(event.pointerId, event);
    if (fingers.size === 1) {
      view.x -= (event.clientX - before.clientX) / view.scale;
      view.y -= (event.clientY - before.clientY) / view.scale;
      redraw();
    } else if (fingers.size === 2) {
      const [one, two] = [...fingers.values()], box = canvas.getBoundingClientRect();
      const wide = Math.hypot(one.clientX - two.clientX, one.clientY - two.clientY);
      if (spread) zoom(wide / spread, (one.clientX + two.clientX) / 2 - box.left, (one.clientY + two.clientY) / 2 - box.top);
      spread = wide;
    }
  });
  for (const name of ["pointerup", "pointercancel"]) canvas.addEventListener(name, (event) => { fingers.delete(event.pointerId); spread = 0; });
  canvas.addEventListener("wheel", (event) => {
    event.preventDefault();
    const box = canvas.getBoundingClientRect();
    zoom(Math.exp(-event.deltaY / 400), event.clientX - box.left, event.clientY - box.top);
  }, { passive: false });

  // ---- the stitch in words -------------------------------------------------------------------------------
  const SVG = "http://www.w3.org/2000/svg";
  function chip(bead, count) {
    const colour = data.colours[data.colour[bead]], item = document.createElement("li");
    const picture = document.createElementNS(SVG, "svg");
    const points = data.outlines[data.outline[bead]], far = Math.max(...points.flat().map(Math.abs)) * 1.15;
    picture.setAttribute("viewBox", [-far, -far, 2 * far, 2 * far].join(" "));
    picture.setAttribute("aria-hidden", "true");
    const shape = document.createElementNS(SVG, "polygon");
    shape.setAttribute("points", points.map((p) => p.join(",")).join(" "));
    shape.setAttribute("fill", colour.fill); shape.setAttribute("stroke", colour.rim); shape.setAttribute("stroke-width", far / 14);
    picture.append(shape);
    const mark = document.createElementNS(SVG, "path"), side = data.narrow * 0.66;
    mark.setAttribute("d", colour.symbol.map((polygon) => "M" + polygon.map((p) => p[0] * side + " " + p[1] * side).join("L") + "Z").join(""));
    mark.setAttribute("fill", colour.ink); mark.setAttribute("fill-rule", "evenodd");
    picture.append(mark);
    const words = document.createElement("span"), name = document.createElement("small");
    words.textContent = (count > 1 ? count + " × " : "") + colour.code + " ";
    name.textContent = colour.name + (data.sizes[0] !== data.sizes[1] ? " " + data.sizes[+data.size_of[bead]] : "");
    words.append(name);
    item.append(picture, words);
    return item;
  }

  // The number of the stitch in the stitch order, with a letter where the stitch has several steps.
  function stitchName(step) {
    let low = 0, high = data.stitches.length;
    while (high - low > 1) { const middle = (low + high) >> 1; if (data.stitches[middle] <= step) low = middle; else high = middle; }
    const end = low + 1 < data.stitches.length ? data.stitches[low + 1] : steps, part = step - data.stitches[low];
    return (low + 1) + (end - data.stitches[low] === 1 ? "" : part < 26 ? String.fromCharCode(97 + part) : "." + (part + 1));
  }

  function heading() {
    const names = current.loops.map((loop) => data.loops[loop]);
    if (names.length) return (names.length > 1 ? "Loops " : "Loop ") + listed(names);
    const tip = data.passes.slice(current.start, current.end).find((bead) => bead >= firstTip);
    if (tip === undefined) return "On the way";
    const name = data.tips[tip - firstTip];
    return name[0].toUpperCase() + name.slice(1);
  }

  function show(moved) {
    current = told(now);
/*ring:
    turnTo(current.start, current.end);
:ring*/
    const first = current.loops[0];
    const line = first === undefined ? "" : data.rows[first] + data.first_line;
    byId("where").textContent = [
      "Step " + (now + 1) + " of " + steps, "stitch " + stitchName(now), line === "" ? "" : line === 0 ? "centre" : data.line + " " + line,
    ].filter(Boolean).join(" · ");
    byId("heading").textContent = heading();
/*ring:
    if (current.loops.some((loop) => data.closing.includes(loop))) byId("heading").textContent += " · close to " + data.closed_to;
:ring*/
    byId("words").textContent = current.words;
    const begins = data.threads.indexOf(current.start);
    const thread = byId("thread");
    thread.hidden = begins < 0;
    thread.textContent = begins < 0 ? "" : data.thread_words[begins];
    byId("end").hidden = now < steps - 1;
    byId("end").textContent = data.ending;
    const beads = byId("beads");
    beads.replaceChildren();
    for (let at = current.start; at < current.through;) {
      let to = at + 1;
      const same = (a, b) => data.colour[a] === data.colour[b] && data.size_of[a] === data.size_of[b];
      while (to < current.through && same(data.passes[to], data.passes[at])) to++;
      beads.append(chip(data.passes[at], to - at));
      at = to;
    }
    const share = beadsUpTo[now] / data.x.length;
    byId("bar").value = share;
    byId("percent").textContent = Math.floor(share * 100) + " % · thread left: " + data.left[now] + " cm";
    byId("back").disabled = now === 0;
    byId("next").disabled = now === steps - 1;
    byId("link").href = "#s=" + (now + 1);
    if (byId("left").closest("details").open) showLeft();
    if (moved) {
      try { localStorage.setItem(storeKey, String(now)); } catch { /* the link keeps the place */ }
      try { history.replaceState(null, "", "#s=" + (now + 1)); } catch { /* some viewers forbid it */ }
    }
    fitStep();
  }
  function showLeft() {
    const counts = new Map();
    data.colour.forEach((colour, bead) => {
      if (wovenAt[bead] < now) return;
      const key = colour * 2 + +data.size_of[bead];
      counts.set(key, (counts.get(key) || 0) + 1);
    });
    const rows = [...counts].sort((a, b) => b[1] - a[1]).map(([key, count]) => {
      const row = document.createElement("tr"), bead = document.createElement("td"), left = document.createElement("td");
      const colour = data.colours[key >> 1];
      bead.textContent = [colour.code, colour.name, data.sizes[key & 1]].filter(Boolean).join(" ");
      left.textContent = count;
      row.append(bead, left);
      return row;
    });
    byId("left").replaceChildren(...rows);
  }
  byId("left").closest("details").addEventListener("toggle", showLeft);

  function go(step) {
    const goal = Math.min(steps - 1, Math.max(0, step));
    if (goal !== now) { now = goal; show(true); }
  }
  byId("next").addEventListener("click", () => go(now + 1));
  byId("back").addEventListener("click", () => go(now - 1));
  byId("told").addEventListener("click", () => go(now + 1));
  byId("closer").addEventListener("click", () => zoom(1.4));
  byId("farther").addEventListener("click", () => zoom(1 / 1.4));
  byId("fit").addEventListener("click", fitPiece);
  byId("here").addEventListener("click", fitStep);
  byId("jump").addEventListener("submit", (event) => {
    event.preventDefault();
    const goal = byId("goal").value.trim().replace(",", ".");
    let step = -1;
    const loop = data.loops.indexOf(goal);
    if (loop >= 0) step = stepOfLoop[loop];
    else if (/^\d+$/.test(goal)) {
      data.rows.forEach((row, l) => { if (row + data.first_line === +goal && (step < 0 || stepOfLoop[l] < step)) step = stepOfLoop[l]; });
    }
    byId("missed").textContent = step < 0 ? "There is no such " + (data.line === "row" ? "row or " : "") + "loop." : "";
    if (step >= 0) go(step);
  });
  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.altKey || event.metaKey || /^(INPUT|TEXTAREA)$/.test(event.target.tagName)) return;
    const onControl = /^(BUTTON|SUMMARY|A)$/.test(event.target.tagName);
    const forward = ["ArrowRight", "ArrowDown", "PageDown"].includes(event.key) || (event.key === " " && !onControl);
    const backward = ["ArrowLeft", "ArrowUp", "PageUp"].includes(event.key);
    if (event.key === "Home") go(0);
    else if (event.key === "End") go(steps - 1);
    else if (forward || backward) go(now + (forward ? 1 : -1));
    else return;
    event.preventDefault();
  });
  window.addEventListener("hashchange", () => { const step = fromLink(); if (step !== null) go(step); });
  function fromLink() {
    const match = /^#s=(\d{1,9})$/.exec(location.hash);
    return match ? Math.min(steps, Math.max(1, +match[1])) - 1 : null;
  }

  // ---- begin ---------------------------------------------------------------------------------------------
  document.title = data.title + " · combweave";
  byId("title").textContent = data.title;
  byId("imprint").textContent = data.imprint;
  byId("facts").textContent = data.size + (data.copies > 1 ? " · make " + data.copies : "");
  byId("goal-label").textContent = "Go to loop" + (data.line === "row" ? " or row" : "");
  let kept = null;
  try { kept = localStorage.getItem(storeKey); } catch { /* no store: the link keeps the place */ }
  now = fromLink() ?? Math.min(steps - 1, Math.max(0, parseInt(kept || "0", 10) || 0));
  new ResizeObserver(redraw).observe(canvas);
  window.matchMedia("(prefers-color-scheme: dark)").addEventListener("change", redraw);
  show(false);

  // The screen stays awake while the page is in sight, where the browser can.
  async function stayAwake() {
    try { await navigator.wakeLock?.request("screen"); } catch { /* not allowed now */ }
  }
  document.addEventListener("visibilitychange", () => { if (document.visibilityState === "visible") stayAwake(); });
  document.addEventListener("pointerdown", stayAwake, { once: true });
