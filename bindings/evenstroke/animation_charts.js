// Rods on one ruler, and what sets them apart over time. Uses what animation_columns.js made.
// ---- rods, side by side on one ruler
const ruler = Math.max(...run.branches.map((b) => b.stroke_mm));
function tick(range, count) {
  const raw = range / count, ten = 10 ** Math.floor(Math.log10(raw));
  return ten * ([1, 2, 5].find((f) => f * ten >= raw) || 10);
}
function drawRods(k) {
  const svg = one("rods").querySelector("svg"), width = svg.clientWidth, small = innerWidth <= 700;
  const height = small ? 150 : 300, low = height - 42, top = 24, up = (mm) => low - (low - top) * mm / ruler;
  svg.replaceChildren();
  set(svg, { height });
  for (let mm = 0, step = tick(ruler, small ? 3 : 6); mm <= ruler * 1.0001; mm += step) {
    add(svg, "path", { class: "thin", d: `M36 ${up(mm)}H${width}` });
    add(svg, "text", { x: 30, y: up(mm) + 4, "text-anchor": "end" }, mm.toFixed(0));
  }
  const pitch = (width - 44) / rods.length, across = (i) => 44 + pitch * (i + 0.5), thick = Math.min(22, pitch / 3);
  const named = run.branches.every((b) => 7.5 * b.name.length < pitch);   // else numbers, in the columns' order
  rods.forEach((rod, i) => {
    const b = run.branches[i], x = across(i), y = up(rod[k]);
    add(svg, "rect", { class: "thin", x: x - thick / 2, y: up(b.stroke_mm), width: thick, height: low - up(b.stroke_mm) });
    add(svg, "rect", { class: "metal", x: x - thick / 2, y, width: thick, height: Math.max(low - y, 0) });
    add(svg, "circle", { class: "mark", cx: x, cy: y, r: 5 });
    add(svg, "text", { x, y: low + 18, "text-anchor": "middle" }, named ? b.name : i + 1);
    add(svg, "text", { x, y: low + 36, "text-anchor": "middle", class: pitch > 50 ? "strong" : "" }, rod[k].toFixed(pitch > 50 ? 1 : 0));
  });
  if (rods.length > 1)
    add(svg, "path", { class: "line", "stroke-dasharray": "6 4", d: "M" + rods.map((r, i) => `${across(i)} ${up(r[k])}`).join("L") });
}

// ---- the rods' difference while they move, and the mismatch read in check strokes
const apart = (k) => rods.length === 2 ? rods[0][k] - rods[1][k]
  : Math.max(...rods.map((r) => r[k])) - Math.min(...rods.map((r) => r[k]));
const first = run.branches[0].name, two = rods.length === 2;
function chart(title) {
  const box = html(one("charts"), "div");
  html(box, "h2", "", title);
  const svg = add(box, "svg", { "aria-hidden": "true" });
  svg.addEventListener("pointerdown", (e) => seek(svg, e));
  return svg;
}
const many = rods.length > 1;
const moving = chart(many ? `Rods apart in the run [mm], ${two ? "+ = " + first + " ahead" : "largest less smallest"}` : "Rod out [mm]");
const read = many ? chart(`Mismatch in check strokes [mm], uneven scale; shaded: \u00b1${run.tolerance_mm}`) : null;
const LEFT = 52, FOOT = 34;
function frameOf(svg, low, high, ticks, law = (v) => v) {
  const width = svg.clientWidth, height = 128, a = law(low), b = law(high);
  const x = (s) => LEFT + (width - LEFT - 10) * (s - start) / length, y = (v) => 6 + (height - 6 - FOOT) * (b - law(v)) / (b - a);
  svg.replaceChildren();
  set(svg, { height });
  const told = [];   // heights of the numbers so far; those that come first count most
  for (const v of ticks) {
    add(svg, "path", { class: "thin", d: `M${LEFT} ${y(v)}H${width - 10}` });
    if (told.some((other) => Math.abs(other - y(v)) < 13)) continue;
    told.push(y(v));
    add(svg, "text", { x: LEFT - 6, y: y(v) + 4, "text-anchor": "end" }, String(+v.toPrecision(3)).replace("-", "\u2212"));
  }
  const minutes = length > 300, unit = minutes ? 60 : 1, step = tick(length / unit, width < 500 ? 4 : 8);
  for (let v = Math.ceil(start / unit / step) * step; v * unit <= start + length; v += step)
    add(svg, "text", { x: x(v * unit), y: height - 18, "text-anchor": "middle" }, String(+v.toPrecision(6)));
  add(svg, "text", { x: width - 10, y: height - 3, "text-anchor": "end" }, minutes ? "time [min]" : "time [s]");
  svg.across = x;
  svg.up = y;
  return svg;
}
function seek(svg, event) {
  const at = (event.clientX - svg.getBoundingClientRect().left - LEFT) / (svg.clientWidth - LEFT - 10);
  show(frameAt(start + length * at));
}
function drawCharts() {
  let low = 0, high = 0;
  const value = many ? apart : (k) => rods[0][k];
  for (let k = 0; k <= last; ++k) { low = Math.min(low, value(k)); high = Math.max(high, value(k)); }
  const room = Math.max(high - low, 0.1), step = tick(room, 5), ticks = [];
  for (let v = Math.ceil(low / step) * step; v <= high + 1e-9; v += step) ticks.push(v);
  frameOf(moving, low - 0.08 * room, high + 0.08 * room, ticks);
  let path = "";
  const parted = (k) => gaps.some((x) => x[0] < run.time_s[k] && run.time_s[k - 1] < x[1] - 1e-3);   // k from 1
  for (let k = 0; k <= last; ++k)
    path += (k && !parted(k) ? "L" : "M") + moving.across(run.time_s[k]).toFixed(1) + " " + moving.up(value(k)).toFixed(1);
  add(moving, "path", { class: "line", d: path });
  moving.cursor = add(moving, "path", { class: "cursor" });
  if (!read) return;
  const limit = run.tolerance_mm, known = run.readings.filter((r) => r.mm !== null);
  const top = Math.max(2.5 * limit, ...known.map((r) => 1.4 * Math.abs(r.mm)));
  const decades = [0.01, 0.1, 1, 10, 100, 1000].filter((d) => d > 1.9 * limit && d < top);
  const far = decades.slice(-1);   // one beyond the tolerance, or letters would meet
  frameOf(read, -top, top, [...far.map((d) => -d), ...far, 0, -limit, limit], (v) => Math.asinh(v / limit * 1.5));
  read.insertBefore(add(read, "rect", { class: "band", x: LEFT, y: read.up(limit), width: read.clientWidth - LEFT - 10,
                                        height: read.up(-limit) - read.up(limit) }), read.firstChild);
  let written = -Infinity;   // where the last number ends
  for (const r of known) {
    const x = read.across(r.time_s), y = read.up(r.mm);
    add(read, "circle", { class: "mark", cx: x, cy: y, r: 5 });
    if (x < written || x > read.clientWidth - 60) continue;
    add(read, "text", { x: x + 9, y: y + 4 }, r.mm.toFixed(1).replace("-", "\u2212"));
    written = x + 60;
  }
  if (!known.length) add(read, "text", { x: LEFT + 12, y: read.up(limit) - 4 }, "no reading in this run");
  read.cursor = add(read, "path", { class: "cursor" });
}
