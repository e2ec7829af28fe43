// Columns of oil, one a branch: their places at one scale of volume. First of three scripts that one page holds.
const run = JSON.parse(document.getElementById("run").textContent);
const one = (id) => document.getElementById(id);
const last = run.time_s.length - 1, start = run.time_s[0], length = Math.max(run.time_s[last] - start, 1e-9);
const rods = run.branches.map((b) => run.axes_mm[b.name + ".rod"]);
const PISTON = 8, GAP = 1;   // thickness of a piston in pixels; what is left of a column's edge
const gaps = run.stages.filter((x) => x[1] > x[0]);   // steps between strokes are not recorded
let frame = 0;

// ---- drawing by hand: elements once, their numbers every frame
const space = one("rods").querySelector("svg").namespaceURI;
function add(parent, kind, attributes = {}, text = "") {
  const made = document.createElementNS(space, kind);
  set(made, attributes);
  if (text) made.textContent = text;
  parent.append(made);
  return made;
}
const set = (what, attributes) => { for (const key in attributes) what.setAttribute(key, attributes[key]); };
const html = (parent, kind, name = "", text = "") => {
  const made = document.createElement(kind);
  if (name) made.className = name;
  made.textContent = text;
  parent.append(made);
  return made;
};
const fine = (x) => x >= 99.95 ? x.toFixed(0) : x >= 9.995 ? x.toFixed(1) : x.toFixed(2);
const signed = (mm) => (mm < 0 ? "\u2212" : "+") + Math.abs(mm).toFixed(2);
const clock = (s) => Math.floor(s / 60) + " min " + (s % 60).toFixed(2).padStart(5, "0") + " s";
const volume = (place, k) => place.base_ml + (place.axis ? place.ml_per_mm * run.axes_mm[place.axis][k] : 0);
const total = (names, k) => names.reduce((sum, name) => sum + volume(run.places[name], k), 0);
const most = (names) => { let top = 0; for (let k = 0; k <= last; ++k) top = Math.max(top, total(names, k)); return top; };
const lead = Math.max(...run.branches.map((b) => most(b.before)));       // mL left of where the cap lines start
const rest = Math.max(...run.branches.map((b) => most(b.after)));
const whole = lead + rest;
// the drive chamber of many branches is as large as their metering chambers together
const smaller = Math.max(Math.ceil(most(run.shared) / whole - 1e-3), 1);

// ---- columns
function column(name, before, after, pistons, ends, height) {
  const box = html(one("columns"), "div", ends.length ? "branch" : "branch shared");
  const title = html(box, "h2", "", name);
  const svg = add(box, "svg", { "aria-hidden": "true" });
  const cells = html(box, "div", "cells");
  const parts = [...before, ...after].map((id) => {
    const place = run.places[id], cell = html(cells, "div");
    html(cell, "span", "", place.label);
    return { id, place, oil: add(svg, "rect", { class: "oil" }), gas: add(svg, "rect", { class: "gas" }),
             lead: add(svg, "path", { class: "thin" }), ml: html(cell, "b"), bar: html(cell, "span") };
  });
  const metal = pistons.map(() => add(svg, "rect", { class: "metal" }));
  const words = ends.map((text, i) => add(svg, "text", { "text-anchor": i ? "end" : "start" }, text));
  return { name, before, after, parts, metal, pistons, words, title, svg, cells, height };
}
const columns = run.branches.map((b) => {
  const pistons = [b.name + ".rod_chamber"];
  if (b.before.some((id) => id.endsWith("metering_chamber"))) pistons.unshift(b.before[0]);
  return Object.assign(column(b.name, b.before, b.after, pistons, [b.left_end, b.right_end], 38), { branch: b });
});
if (run.shared.length)
  columns.push(column("valve block" + (run.places["synchroniser.drive"] ? " and drive of the synchroniser" : "") + ": shared by all"
                        + (smaller > 1 ? `, drawn at 1/${smaller} of the scale` : ""),
                      [], run.shared, [], [], 18));

function drawColumn(c, k) {
  const width = c.svg.clientWidth, metal = 2 * PISTON + 2 * GAP, scale = (width - metal) / whole / (c.branch ? 1 : smaller);
  const top = c.words.length ? 17 : 2, low = top + c.height, foot = low + 15;
  const origin = c.branch ? lead * scale + PISTON + GAP : GAP;
  let x = origin - (c.branch ? total(c.before, k) * scale : 0);
  const from = x;
  set(c.svg, { height: foot });
  c.parts.forEach((part, i) => {
    const piston = c.pistons.indexOf(part.id);
    if (piston >= 0) {
      const at = piston < c.pistons.length - 1 ? x - PISTON : x;   // the metering piston stands before its chamber
      set(c.metal[piston], { x: at, y: top - 3, width: PISTON, height: c.height + 6 });
      if (at === x) x += PISTON;
    }
    const ml = volume(part.place, k), gas = part.place.gas_ml[k], drawn = Math.min(gas, ml);
    set(part.oil, { x, y: top, width: Math.max(ml * scale, 0), height: c.height });
    set(part.gas, { x: x + (ml - drawn) / 2 * scale, y: top, width: drawn * scale, height: c.height,
                    visibility: drawn * scale > 0.5 ? "visible" : "hidden" });   // a hairline would pass for a wall
    const middle = x + ml / 2 * scale, cell = (i + 0.5) * c.cells.clientWidth / c.parts.length;
    set(part.lead, { d: `M${middle} ${low}L${cell} ${foot}` });
    part.ml.textContent = fine(gas) + " mL";
    part.bar.textContent = fine(part.place.bar_abs[k]) + " bar";
    x += ml * scale;
  });
  if (c.words.length) {
    const short = x - from < 215;   // both would meet above the column
    set(c.words[0], { x: Math.max(from - PISTON, 0), y: 11 });
    set(c.words[1], { x: short ? x + 6 : x, y: short ? top + c.height / 2 + 4 : 11, "text-anchor": short ? "start" : "end" });
  }
  if (!c.branch) return;
  const i = run.branches.indexOf(c.branch), now = rods[i][k];
  c.title.textContent = `${i + 1} \u00b7 ${c.name}: ${now.toFixed(1)} of ${c.branch.stroke_mm.toFixed(0)} mm out, ${motion(i, k)}`;
}
function motion(i, k) {
  const from = Math.max(Math.min(frameAt(run.time_s[k] - 0.2), k - 1), 0);
  const to = Math.min(Math.max(frameAt(run.time_s[k] + 0.2), k + 1), last);
  const speed = (rods[i][to] - rods[i][from]) / Math.max(run.time_s[to] - run.time_s[from], 1e-3);   // mm/s
  return Math.abs(speed) < 0.1 ? "stands" : speed > 0 ? "goes out" : "comes in";
}

// ---- key and scale of the columns
function drawScale() {
  const svg = one("scale").querySelector("svg"), small = svg.clientWidth < 700;
  svg.replaceChildren();
  const hatch = add(add(svg, "defs"), "pattern", { id: "hatch", width: 6, height: 6, patternUnits: "userSpaceOnUse",
                                                     patternTransform: "rotate(45)" });
  add(hatch, "rect", { width: 6, height: 6, fill: "#ffffff" });
  add(hatch, "path", { d: "M0 0V6", stroke: "#1d2321", "stroke-width": 1.6 });
  const per = (columns[0].svg.clientWidth - 2 * PISTON - 2 * GAP) / whole;
  const round = [1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000].find((ml) => ml * per > 60) || 10000;
  let x = 0;
  for (const [kind, text, wide] of [["oil", "oil", 62], ["gas", "gas, as large as it is now", 208], ["metal", "piston", 0]]) {
    add(svg, "rect", { class: kind, x: x + 1, y: 3, width: kind === "metal" ? PISTON : 22, height: 16 });
    add(svg, "text", { x: x + (kind === "metal" ? 14 : 29), y: 16 }, text);
    x += wide;
  }
  const at = small ? 1 : x + 92, y = small ? 34 : 11;
  add(svg, "path", { class: "line", d: `M${at} ${y - 5}V${y + 5}M${at} ${y}H${at + round * per}M${at + round * per} ${y - 5}V${y + 5}` });
  add(svg, "text", { x: at + round * per + 8, y: y + 5 }, `${round} mL in ${smaller > 1 ? "the branches" : "all columns"}`);
  const told = ["To scale: lengths as volumes, of oil and of gas at the oil\u2019s temperature; rod travel.",
                "Not to scale: pistons, heights. Where in a place its gas stands is not known here: it is drawn in the middle, if it is not too thin.",
                "Under each place: its gas now, its absolute pressure."];
  const lines = small ? told.flatMap((text) => wrap(text, Math.floor(svg.clientWidth / 6.6))) : [told[0] + " " + told[2], told[1]];
  lines.forEach((text, i) => add(svg, "text", { x: 0, y: (small ? 60 : 38) + 17 * i }, text));
  set(svg, { height: (small ? 60 : 38) + 17 * lines.length - 8 });
}
function wrap(text, letters) {
  const lines = [""];
  for (const word of text.split(" ")) {
    if ((lines[lines.length - 1] + word).length > letters) lines.push("");
    lines[lines.length - 1] += word + " ";
  }
  return lines;
}
