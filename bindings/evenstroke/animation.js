// One frame, playing, keys. Uses what animation_columns.js and animation_charts.js made.
// ---- one frame
function frameAt(s) {   // the last sample that is not later
  let a = 0, b = last;
  while (a < b) { const m = (a + b + 1) >> 1; if (run.time_s[m] <= s + 1e-9) a = m; else b = m - 1; }
  return a;
}
function words(k) {
  const s = run.time_s[k], stage = run.stages.filter((x) => x[0] <= s + 1e-6).pop();
  const reading = run.readings.filter((r) => r.mm !== null && r.time_s <= s + 1e-6).pop();
  return (stage ? stage[2] : "start") + (many ? ` \u00b7 rods ${two ? signed(apart(k)) : apart(k).toFixed(2)} mm apart` : "")
    + (reading && many ? ` \u00b7 last check (stroke ${reading.stroke}, ${run.where}): ${two ? signed(reading.mm) : reading.mm.toFixed(2)} mm` : "");
}
function show(k) {
  frame = Math.min(Math.max(k, 0), last);
  columns.forEach((c) => drawColumn(c, frame));
  drawRods(frame);
  for (const svg of [moving, read]) {
    if (svg) set(svg.cursor, { d: `M${svg.across(run.time_s[frame])} 2V96` });
  }
  one("now").textContent = words(frame);
  one("clock").textContent = clock(run.time_s[frame]);
  one("scrub").value = frame;
  one("scrub").setAttribute("aria-valuetext", `${clock(run.time_s[frame])}, ${words(frame)}`);
}
function layout() { drawScale(); drawCharts(); show(frame); }

// ---- playing: simulated seconds by the wall's clock
const speeds = [0.1, 0.5, 1, 2, 5, 10, 20, 50, 100, 500];
const usual = speeds.find((v) => length / v <= 90) || 500;
for (const v of speeds) { const o = html(one("speed"), "option", "", v + " \u00d7"); o.value = v; o.selected = v === usual; }
let playing = false, simulated = 0, before = 0;
function play(go) {
  if (go && frame === last) show(0);
  playing = go;
  one("play").textContent = go ? "Pause" : "Play";
  one("now").setAttribute("aria-live", go ? "off" : "polite");   // a reader is not talked over while it plays
  if (go) { simulated = run.time_s[frame]; before = performance.now(); requestAnimationFrame(turn); }
}
function turn(wall) {
  if (!playing) return;
  const gap = gaps.find((x) => x[0] <= simulated + 1e-6 && simulated < x[1]);   // told for a second, not sat through
  simulated += Math.max(wall - before, 0) / 1000 * Math.max(Number(one("speed").value), gap ? gap[1] - gap[0] : 0);
  before = wall;
  const k = frameAt(simulated);
  if (k !== frame) show(k);
  if (frame === last) play(false); else requestAnimationFrame(turn);
}
function step(k) { play(false); show(k); }
one("play").addEventListener("click", () => play(!playing));
one("back").addEventListener("click", () => step(frame - 1));
one("on").addEventListener("click", () => step(frame + 1));
one("scrub").max = last;
one("scrub").addEventListener("input", () => step(Number(one("scrub").value)));
document.addEventListener("keydown", (e) => {
  const kind = e.target.tagName;
  if (kind === "SELECT" || e.ctrlKey || e.metaKey || e.altKey) return;
  if (e.key === " " && (kind === "BUTTON" || kind === "SUMMARY")) return;   // the button's own
  const does = { " ": () => play(!playing), ArrowLeft: () => step(frame - 1), ArrowRight: () => step(frame + 1),
                 Home: () => step(0), End: () => step(last) }[e.key];
  if (does) { e.preventDefault(); does(); }
});
one("columns").parentElement.style.setProperty("--rods", Math.max(210, 44 + rods.length * (rods.length > 4 ? 46 : 62)) + "px");
addEventListener("resize", layout);
layout();
play(!matchMedia("(prefers-reduced-motion: reduce)").matches);
