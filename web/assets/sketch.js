// The sketch of a room is drawn with a pointer or with keys. What is drawn stands in the
// fields of the form below it, which work without this.
"use strict";
(() => {
  const place = document.getElementById("drawing"), form = document.getElementById(place?.dataset.form), tools = document.getElementById("tools"), says = document.getElementById("drawing-says");
  if (!form || !tools) return;
  const field = (name) => form.elements.namedItem(name), text = field("p0.sketch");
  const points = [];
  for (let n = 1; field("p" + n + ".x"); n++) points.push({ n, x: field("p" + n + ".x"), y: field("p" + n + ".y"), name: field("p" + n + ".name") });
  const set = (input, value) => { input.value = value; input.dispatchEvent(new Event("input", { bubbles: true })); };
  const tell = (t) => { says.textContent = t; };

  // Lines are lists of corners, in hundredths of the width and the depth of the room.
  const read = () => text.value.split(";").map((l) => l.trim().split(/\s+/).filter(Boolean).map((c) => c.split(",").map(Number))).filter((l) => l.length);
  const write = () => set(text, lines.filter((l) => l.length > 1).map((l) => l.map((c) => c.join(",")).join(" ")).join("; "));
  let lines = read(), line, corner, held, mode = "lines", at = [50, 50], writing = false;
  const record = () => { writing = true; write(); writing = false; };

  const svgns = "http://www.w3.org/2000/svg";
  const put = (kind, attributes, inside) => {
    const e = document.createElementNS(svgns, kind);
    for (const [k, v] of Object.entries(attributes)) e.setAttribute(k, v);
    if (inside) e.textContent = inside;
    return e;
  };
  const svg = put("svg", { viewBox: "-4 -10 108 114", width: "100%", height: "360", tabindex: "0", role: "application", "aria-labelledby": "drawing-help", id: "canvas" });
  svg.style.touchAction = "none";
  place.replaceChildren(svg);
  tools.hidden = false;

  const drawn = (l) => put("polyline", { fill: "none", stroke: "currentColor", "stroke-width": "0.8", points: l.map((c) => c.join(",")).join(" ") });
  const here = (p) => p.x.value.trim() && p.y.value.trim() ? [Number(p.x.value), Number(p.y.value)] : undefined;
  const draw = () => {
    const all = [put("text", { x: 0, y: -4, "font-size": 4, "font-weight": "bold", fill: "currentColor" }, place.dataset.mark), put("rect", { x: 0, y: 0, width: 100, height: 100, fill: "none", stroke: "currentColor", "stroke-width": "0.2", "stroke-dasharray": "1 2" }), ...lines.map(drawn)];
    if (line) all.push(drawn([line.at(-1), at]));
    if (corner) all.push(drawn(box(corner, at)));
    for (const p of points) {
      const c = here(p);
      if (!c) continue;
      all.push(put("circle", { cx: c[0], cy: c[1], r: 3.5, fill: "Canvas", stroke: "currentColor", "stroke-width": held === p ? 1.4 : 0.6 }));
      all.push(put("text", { x: c[0], y: c[1] + 1.6, "font-size": 4.5, "text-anchor": "middle", fill: "currentColor" }, p.n));
    }
    all.push(put("path", { d: `M${at[0] - 3},${at[1]}h6M${at[0]},${at[1] - 3}v6`, stroke: "currentColor", "stroke-width": "0.5" }));
    svg.replaceChildren(...all);
  };
  const box = (a, b) => [a, [b[0], a[1]], b, [a[0], b[1]], a];
  const end = () => { line = corner = held = undefined; lines = lines.filter((l) => l.length > 1); };
  const nearest = () => {
    let best, far = 8;
    for (const p of points) {
      const c = here(p), d = c ? Math.hypot(c[0] - at[0], c[1] - at[1]) : far;
      if (d < far) [best, far] = [p, d];
    }
    return best;
  };
  const name = (p) => "Point " + p.n + (p.name?.value ? " (" + p.name.value + ")" : "");

  // What a press of the pointer or Enter does where the cross is.
  const press = {
    lines() {
      if (line) line.push(at); else lines.push(line = [at]);
      record();
      tell("Corner at " + at + ". The line has " + line.length + ". Escape ends it.");
    },
    rectangle() {
      if (!corner) { corner = at; tell("Corner at " + at + ". Go to the opposite corner."); return; }
      if (corner[0] !== at[0] && corner[1] !== at[1]) lines.push(box(corner, at));
      corner = undefined;
      record();
      tell("Rectangle to " + at + ".");
    },
    point() {
      const p = points.find((p) => !here(p));
      if (!p) { tell("No further point is offered: record these first."); return; }
      set(p.x, at[0]); set(p.y, at[1]);
      tell(name(p) + " is at " + at + ". Write its name below.");
    },
    move() {
      if (held) { tell(name(held) + " is at " + at + "."); held = undefined; return; }
      held = nearest();
      tell(held ? name(held) + " is held. Enter lets it go." : "No point is near the cross.");
    },
  };
  const go = (to) => {
    at = to.map((v) => Math.min(100, Math.max(0, Math.round(v))));
    if (held) { set(held.x, at[0]); set(held.y, at[1]); }
  };

  const choose = (b) => {
    end();
    if (b.dataset.mode) mode = b.dataset.mode;
    else { lines.pop(); record(); tell("The last line is gone."); }
    for (const t of tools.querySelectorAll("[data-mode]")) t.setAttribute("aria-pressed", t.dataset.mode === mode);
    draw();
  };
  tools.addEventListener("click", (e) => { const b = e.target.closest("button"); if (b) choose(b); });
  choose(tools.querySelector("[data-mode]"));

  const under = (e) => { const p = new DOMPoint(e.clientX, e.clientY).matrixTransform(svg.getScreenCTM().inverse()); return [p.x, p.y]; };
  let down;
  svg.addEventListener("pointerdown", (e) => {
    if (e.button) return;
    svg.focus({ preventScroll: true });
    svg.setPointerCapture(e.pointerId);
    go(under(e));
    down = at;
    press[mode]();
    draw();
  });
  svg.addEventListener("pointermove", (e) => { go(under(e)); draw(); });
  svg.addEventListener("pointerup", (e) => {
    go(under(e));
    const dragged = down && Math.hypot(at[0] - down[0], at[1] - down[1]) > 1;
    if (mode === "move" && held || mode === "rectangle" && corner && dragged) press[mode]();
    down = undefined;
    draw();
  });
  svg.addEventListener("keydown", (e) => {
    if (e.altKey || e.ctrlKey || e.metaKey) return;
    const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[e.key], step = e.shiftKey ? 1 : 5;
    if (way) { go([at[0] + way[0] * step, at[1] + way[1] * step]); if (!held) tell("Cross at " + at + "."); }
    else if (e.key === "Enter" || e.key === " ") press[mode]();
    else if (e.key === "Escape") { end(); record(); tell("The line is ended."); }
    else if (e.key === "Backspace" && (line?.length || lines.length)) { if (line?.length > 1) line.pop(); else { end(); lines.pop(); } record(); tell("One step back."); }
    else return;
    e.preventDefault();
    draw();
  });
  form.addEventListener("input", (e) => { if (writing) return; if (e.target === text) { lines = read(); line = undefined; } draw(); });
  draw();
})();
