"""Writes RESULTS.md and its plots from what measure.py has measured.

    .venv/bin/python tests/benchmark/report.py BUILD_DIR
"""

import json
import math
import re
import statistics
import sys
import textwrap
from pathlib import Path

import plots

HERE = Path(__file__).resolve().parent
OURS = "evenstroke Rodas5P"
LEVELS = (1e-3, 1e-5, 1e-7)
SHOWN = ("extend, dry", "retract under panel, bled", "pump starts under panel, bled, inertance")   # segments whose counts are told


def short(x, digits=2):
    return f"{float(f'{x:.{digits}g}'):g}"


def power(x):
    mantissa, exponent = f"{x:.1e}".split("e")
    return f"{mantissa.removesuffix('.0')}e{int(exponent)}"


def spread(times, factor=1.0, digits=3):
    middle, low, high = (short(factor * f(times), digits) for f in (statistics.median, min, max))
    return middle if len(times) == 1 else f"{middle} ({low}–{high})"


def settings(runs, segment, family):
    curves = {}
    for r in runs:
        if r["segment"] == segment and r["family"] == family and r["reached"]:
            curves.setdefault(r["setting"], []).append((r["error"], statistics.median(r["seconds"])))
    return curves.values()


def time_at(runs, segment, family, level):
    """Least time of any setting at an error, between neighbouring tolerances by logarithms; and whether it is only a bound,
    because the error there was already smaller. (None, False): never reached."""
    found = []
    for curve in settings(runs, segment, family):
        found += [(t, True) for e, t in curve if e <= level]
        for (e0, t0), (e1, t1) in zip(curve, curve[1:]):
            if e0 > level > e1 > 0:
                share = math.log(level / e0) / math.log(e1 / e0)
                found.append((t0 * (t1 / t0) ** share, False))
    return min(found, default=(None, False))


def table(head, rows):
    lines = ["| " + " | ".join(head) + " |", "|" + " --- |" * len(head)]
    return "\n".join(lines + ["| " + " | ".join(map(str, r)) + " |" for r in rows]) + "\n"


def compared(m, segments, families, level):
    """Rows of times over ours, and what was faster than ours."""
    ours = [time_at(m["runs"], s, OURS, level) for s in segments]
    rows = [[f"**{OURS}**, ms"] + [("≤" if bound else "") + short(1e3 * t) if t else "–" for t, bound in ours] + [""]]
    faster = []
    for family in families:
        cells, logs = [], []
        for s, (mine, _) in zip(segments, ours):
            t, bound = time_at(m["runs"], s, family, level)
            if t is None or mine is None:
                cells.append("–")
                continue
            cells.append(("≤" if bound else "") + short(t / mine))
            logs.append(math.log(t / mine))
            if t < mine:
                faster.append((family, s, t / mine))
        mean = short(math.exp(statistics.mean(logs))) if logs else "–"
        if 0 < len(logs) < len(ours):
            mean += f" of {len(logs)}"
        rows.append([family] + cells + [mean])
    return rows, faster


def counts(m, families, segment):
    rows = []
    for family in [OURS] + families:
        good = [r for r in m["runs"]
                if (r["segment"], r["family"]) == (segment, family) and r["reached"] and r["error"] <= 1e-5]
        if not good:
            rows.append([family, "not reached"] + [""] * 8)
            continue
        r = min(good, key=lambda r: statistics.median(r["seconds"]))
        numbers = ["" if r[k] is None else r[k] for k in ("steps", "rejected", "rhs", "jacobians", "factorisations")]
        rows.append([family, r["setting"], power(r["rel_tol"]), power(r["error"]), *numbers, spread(r["seconds"], 1e3)])
    return table(["solver", "setting", "rel. tol.", "error", "steps", "rejected", "f", "J", "LU", "ms"], rows)


def wrapped(line):
    if line.startswith(("|", "#", "!")):
        return line
    return textwrap.fill(line, 120, subsequent_indent="  " * line.startswith("- "), break_on_hyphens=False)


def segments_text(m, families):
    letter = dict(zip(m["segments"], "abcdefghijklmnop"))
    text = ["Segments: " + "; ".join(f"{c} {s}" for s, c in letter.items()) + ".\n"]
    inert = [s for s in letter if s.endswith("inertance")]
    usual = [s for s in letter if s not in inert]
    for level, segments in [(level, usual) for level in LEVELS] + [(level, inert) for level in LEVELS]:
        rows, faster = compared(m, segments, families, level)
        of = ", with inertance of the lines" if segments is inert else ""
        text += [f"### Error {power(level)}{of}: time over ours\n", table([""] + [letter[s] for s in segments] + ["mean"], rows)]
        by_family = {}
        for family, segment, ratio in faster:
            by_family.setdefault(family, []).append(f"{letter[segment]} {short(ratio)}")
        text.append("Faster than ours: " + ("; ".join(f"{f} ({', '.join(c)})" for f, c in by_family.items()) or "none") + ".\n")
    return text + [f"### Counts: {s}, fastest with an error of 1e-5 or less\n\n" + counts(m, families, s) for s in SHOWN]


def whole_text(m):
    rows = {tuple(r["case"]): r for r in m["whole"]}

    def stroke(case):
        r = rows[case]
        return spread([r["strokes"] / s for s in r["seconds"]])
    usual, bare, fine = (rows[c] for c in (("run", 12, 1, 2, 1), ("run", 12, 0, 2, 1), ("run", 12, 1, 2, 0.5)))
    half = statistics.median(fine["seconds"]) / statistics.median(usual["seconds"])
    p = m["profile"]
    text = [
        "### Strokes per second and core\n",
        f"With two check strokes after each: {stroke(('run', 12, 1, 2, 1))}; without: {stroke(('run', 12, 0, 2, 1))}. "
        f"Half the quantum takes {half:.2f} times as long.\n",
        f"Twelve strokes, the checks' not counted: {usual['quanta']} transport quanta, {usual['steps']} steps, "
        f"{usual['rejected']} rejected, {usual['rhs']} right-hand sides, {usual['jacobians']} Jacobians, "
        f"{usual['factorisations']} factorisations.\n",
        f"### Where the time goes\n\nTwelve strokes with checks again and again, {p['samples']} looks at the call stack.\n",
        table(["part", "share"], [[k, f"{100 * v:.1f} %"] for k, v in p["parts"].items()]),
        table(["what it is for", "share", "files it goes into, %"],
              [[name, f"{100 * share:.1f} %", ", ".join(f"{f} {100 * s:.1f}" for f, s in files[:2])]
               for name, share, files in p["purposes"] if share >= 0.005]),
        "The three largest: " + "; ".join(f"{name} ({100 * share:.0f} %)" for name, share, _ in p["purposes"][:3]) + ".\n",
        "### Branches (two strokes, no checks)\n",
        table(["branches", "states", "quanta", "steps", "s per stroke"],
              [[c[3], r["states"], r["quanta"], r["steps"], spread([s / r["strokes"] for s in r["seconds"]])]
               for c, r in rows.items() if c[:3] == ("run", 2, 0)]),
        "### Strokes (no checks, channels recorded)\n",
        table(["strokes", "s", "peak memory, MB"], [[c[1], spread(r["seconds"]), r["peak_mb"]] for c, r in rows.items()
                                                   if c[0] == "run" and c[1] in (10, 100, 1000)]),
        "### Members (one stroke each, no checks, nothing recorded)\n",
        table(["members", "threads", "s", "members per s", "peak memory, MB", "stopped by nature"],
              [[r["members"], r["threads"], spread(r["seconds"]), short(r["members"] / statistics.median(r["seconds"]), 3),
                r["peak_mb"], r["failed"]] for c, r in rows.items() if c[0] == "members"])]
    one, two = (statistics.median(rows[("members", 1000, n)]["seconds"]) for n in (1, 2))
    text.append(f"Two threads over one, 1000 members: {one / two:.2f} times as fast.\n")
    times = m["import"]
    text.append("### Import in a fresh interpreter\n\n" + (
        f"evenstroke {spread(times['evenstroke'], 1e3)} ms, NumPy alone {spread(times['numpy'], 1e3)} ms.\n"
        if times["evenstroke"] else "Not measured: the package was not in `.venv`.\n"))
    return text


def main(build):
    m = json.loads((build / "benchmark/measured.json").read_text())
    families = list(dict.fromkeys(r["family"] for r in m["runs"] if r["family"] != OURS))
    who, v = m["machine"], m["machine"]["versions"]
    nearest = {s: min(r["error"] for r in m["runs"] if r["segment"] == s and r["family"] != OURS and r["reached"])
               for s in m["segments"]}
    head = (HERE / "results_head.md").read_text().format(
        date=m["date"], processor=who["processor"], cores=who["cores"], system=who["system"], flags=who["flags"],
        versions=", ".join(f"{k} {x}" for k, x in v.items()), minutes=f"{m['minutes']:.0f}",
        load=", ".join(f"{x:.1f}" for x in m["load"]), apart=power(m["python_apart"]), nearest=power(max(nearest.values())))
    head = re.sub(r"(?<=[^\n])\n *(?=[^\n#!-])", " ", head)      # lines of a paragraph: its numbers have a length of their own
    text = [head, *segments_text(m, families), "## Whole runs\n", "![time against size](plots/size.png)\n", *whole_text(m)]
    lines = [line for part in text for line in part.split("\n")]
    (HERE / "RESULTS.md").write_text("\n".join(map(wrapped, lines)))
    plots.draw(m, HERE / "plots")


if __name__ == "__main__":
    main(Path(sys.argv[1]).resolve())
