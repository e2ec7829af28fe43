"""A run that plays: what `Run.animate` writes. One self-contained page, or a film where ffmpeg is there.

Every branch is one column of oil, unrolled from its end at the valve block through line and cylinder and back; lengths are
volumes, of oil and of gas alike. What is embedded are recorded samples, none in between.
"""

import html
import json
import os
import pathlib

import numpy as np

from . import cautions
from .errors import refuse
from .geometry import volume_law
from .stories import DONE, SHARED, place_text

P0_PA, T0_K = 101325.0, 293.15   # of free air
MOST_FRAMES, MOST_NUMBERS = 2000, 100_000   # what keeps a page of eight branches under 1 MB
BEFORE = ("metering_chamber", "divider", "outlet")   # of a branch's column, in its order, up to the cap line
AFTER = ("cap_line", "cap_chamber", "rod_chamber", "rod_line", "link")
SIDES = {"cap_chamber": "cap side", "rod_chamber": "rod side"}


def stages(run):
    """What was being done from when on, and how warm the oil was.

    Returns
    -------
    told : list of (float, float, str)
        Start [s], end [s] of what is not recorded (steps between strokes; else 0), text.
    knots : tuple of times [s] and temperatures [K]
        Straight between them: a stand warms evenly.
    """
    table, steps = run.strokes, list(run.steps)
    ends = table["minutes"] * 60
    at, kelvin = run.inputs.contents.time_s, run.inputs.rig.get("oil.temperature_k") + run.inputs.contents.warmed_k
    told, knots = [], [(at, kelvin)]
    for n in range(1, len(table) + 1):
        start = at = run.inputs.contents.time_s if n == 1 else float(ends[n - 1])   # row 0 comes after the steps before stroke 1
        done = [row for row in steps if row["before_stroke"] == n]
        for row in done:
            knots += [(at, knots[-1][1]), (at + 60 * row["minutes"], row["oil_deg_c"] + 273.15)]
            at += 60 * row["minutes"]
        if done:
            what = ", ".join(dict.fromkeys(DONE[row["kind"]] for row in done))
            told.append((start, at, f"before stroke {n}: {what} (not recorded)"))
        if n < len(table):
            told.append((at, 0.0, f"stroke {n} (bypass {table['kind'][n]})" if run.inputs.rig.has_bypass else f"stroke {n}"))
        elif at < run.time_s[-1] - 1e-6:
            told.append((at, 0.0, f"stroke {n}, not ended"))
    return told, tuple(zip(*knots))


def chosen(time_s, moving, changing, most):
    """Indices of samples to show: at most so many, nearer to each other where things move or change, and all ends of motion.

    Parameters
    ----------
    time_s : array, s, shape (samples,)
    moving : array, shape (samples, rods)
        Positions as shares of the stroke.
    changing : array, shape (samples, channels)
        What else is shown, each over a range of its own.
    most : int, at least 2
    """
    count = len(time_s)
    if count <= most:
        return np.arange(count)

    def share(steps):
        return steps / steps.sum() if steps.sum() > 0 else steps

    steps = np.abs(np.diff(moving, axis=0))
    way = share(np.diff(time_s)) + share(steps.sum(axis=1)) + share(np.abs(np.diff(changing, axis=0)).sum(axis=1))
    along = np.concatenate([[0.0], np.cumsum(way)])
    turns = 1 + np.flatnonzero(np.any(np.diff(steps > 1e-6, axis=0), axis=1))   # a rod starts or stops there
    turns = turns[:: max(1, -(-2 * len(turns) // most))]
    even = np.searchsorted(along, np.linspace(0, along[-1], most - len(turns)))
    return np.unique(np.concatenate([np.minimum(even, count - 1), turns, [0, count - 1]]))[:most]


def _rounded(values, digits):
    """Numbers for JSON, None for what is none; whole ones without a decimal point."""
    return [None if np.isnan(x) else int(x) if x == int(x) else float(x) for x in np.round(np.asarray(values, float), digits)]


def _end_texts(rig, i):
    """What the two ends of a branch's column look into."""
    if rig.synchroniser == "series_pair":
        last = i + 1 == len(rig.branches)
        from_text = "valve block A" if i == 0 else f"from the {rig.branches[i - 1]} link"
        return from_text, "valve block B" if last else "to the next"
    return {"metering_pistons": "metering piston", "tee": "valve block A"}.get(rig.synchroniser, "divider"), "valve block B"


def film(run):
    """All that is drawn, as plain lists and numbers in mm, mL, bar abs and s: what a page has embedded.

    Raises
    ------
    InputError
        For a run that has nothing recorded.
    """
    if not len(run.time_s):
        if run.inputs.options.get("record"):
            refuse("run", run.status, "stopped before anything was recorded")
        refuse("run.inputs.options record", False, "nothing was recorded to play: run it again with record=True")
    rig, names = run.inputs.rig, run.channels
    places = [name.removesuffix("_free_air_m3") for name in names if name.endswith("_free_air_m3")]
    laws = {place: volume_law(rig, place) for place in places}
    rods = [f"{b}.rod" for b in rig.branches]
    axes = rods + sorted({axis for *_, axis in laws.values() if axis} - set(rods))
    told, knots = stages(run)
    time_s = np.array(run.time_s)
    warmth = np.interp(time_s, *knots) / T0_K
    bar = {p: np.array(run[f"{p}_pressure_pa_abs"]) / 1e5 for p in places}
    gas = {p: np.array(run[f"{p}_free_air_m3"]) * 1e6 * warmth * (P0_PA / 1e5) / bar[p] for p in places}
    out = np.stack([np.array(run[f"{b}.rod_position_m"]) / rig.get(f"branch.{b}.stroke_m") for b in rig.branches], axis=1)
    shown = np.stack([x / max(np.ptp(x), tiny) for p in places for x, tiny in ((np.log(bar[p]), 0.1), (gas[p], 0.1))], axis=1)
    at = chosen(time_s, out, shown, min(MOST_FRAMES, MOST_NUMBERS // (1 + len(axes) + 2 * len(places))))
    table = run.strokes
    branches = []
    for i, branch in enumerate(rig.branches):
        before, after = ([f"{branch}.{k}" for k in kinds if f"{branch}.{k}" in laws] for kinds in (BEFORE, AFTER))
        left, right = _end_texts(rig, i)
        branches.append({"name": branch, "stroke_mm": 1e3 * rig.get(f"branch.{branch}.stroke_m"), "before": before,
                         "after": after, "left_end": left, "right_end": right})
    return {
        "rig": rig.name or "a rig",
        "tolerance_mm": run.tolerance_mm,
        "where": "under the panel" if run.on_load else "rods free",
        "time_s": _rounded(time_s[at], 3),
        "axes_mm": {a: _rounded(1e3 * np.array(run[f"{a}_position_m"])[at], 3 if a.endswith("spool") else 2) for a in axes},
        "branches": branches,
        "shared": [p for p in places if p.split(".")[0] not in rig.branches],
        "places": {p: {"label": _label(p), "base_ml": 1e6 * laws[p][0], "ml_per_mm": 1e3 * laws[p][1], "axis": laws[p][2],
                       "gas_ml": _rounded(gas[p][at], 4), "bar_abs": _rounded(bar[p][at], 3)} for p in places},
        "stages": [[round(start, 3), round(end, 3), text] for start, end, text in told],
        "readings": [{"time_s": round(60 * m, 3), "stroke": int(n), "mm": mm, "check": str(check)} for m, n, mm, check in
                     zip(table["minutes"], table["stroke"], _rounded(table.worst_mm(), 3), table["check"])],
    }


def _label(place):
    if place in SHARED:
        return SHARED[place].replace(" of the valve block", "").replace(" of the synchroniser", "")
    kind = place.split(".")[1]
    return SIDES.get(kind, kind.replace("_", " "))


def alt_text(run, data):
    """The point of the animation in words."""
    gas = {p: x["gas_ml"][-1] for p, x in data["places"].items()}
    fullest = max(gas, key=gas.get)
    ways = {b["name"]: data["axes_mm"][b["name"] + ".rod"] for b in data["branches"]}
    rods = "; ".join(f"{name} between {min(way):g} and {max(way):g} mm" for name, way in ways.items())
    known = [r for r in data["readings"] if r["mm"] is not None]
    read = "There is no reading of the mismatch."
    if known and len(data["branches"]) > 1:
        read = (f"The mismatch in check strokes goes from {known[0]['mm']:+.2f} to {known[-1]['mm']:+.2f} mm against a tolerance "
                f"of {data['tolerance_mm']:g} mm.")
    return (f"{data['time_s'][-1] - data['time_s'][0]:.0f} s of {data['rig']}, {max(len(run.strokes) - 1, 0)} bleed strokes. "
            f"Rods out: {rods}. At the end gas takes {sum(gas.values()):.2f} mL in all places, most of it ({gas[fullest]:.2f} mL) in the {place_text(fullest)}. {read}")


def page(run):
    """The page as text; nothing in it points anywhere else."""
    data = film(run)
    here = pathlib.Path(__file__)
    parts = {
        "TITLE": html.escape(data["rig"]),
        "ALT": html.escape(alt_text(run, data)),
        "STORY": html.escape(run.story()),
        "CAUTIONS": html.escape(cautions.text(run.inputs.procedure.steps, run.inputs.rig)),
        "STYLE": here.with_suffix(".css").read_text(encoding="utf-8"),
        "SCRIPT": "".join(here.with_name(f"{here.stem}{s}.js").read_text(encoding="utf-8") for s in ("_columns", "_charts", "")),
        "DATA": json.dumps(data, separators=(",", ":"), allow_nan=False).replace("<", "\\u003c"),
    }
    pieces = here.with_suffix(".html").read_text(encoding="utf-8").split("@@")   # text, name, text, name, ..., text
    return "".join(parts[piece] if i % 2 else piece for i, piece in enumerate(pieces))


def animate(run, path):
    """See `Run.animate`."""
    try:
        path = os.fspath(path)
        ending = os.path.splitext(path)[1].lower() if isinstance(path, str) else ""
    except TypeError:
        ending = ""
    if ending == ".mp4":
        from .animation_film import write

        write(run, path)
    elif ending == ".html":
        pathlib.Path(path).write_text(page(run), encoding="utf-8")
    else:
        refuse("path", path, "must be the name of a file that ends in .html or .mp4")
