"""A second model of the same circuit, written from the physics alone and by other means than the library: air moves as
particles (second_model_transport.py), hydraulics are algebraic at every instant (second_model_circuit.py).

    python second_model.py second_model_cases/*.json     # writes the .results.json beside each case
"""

import copy
import json
import math
import sys
import time
from concurrent.futures import ProcessPoolExecutor

import numpy as np

from second_model_circuit import HOME_M, Circuit
from second_model_rig import Rig, procedure
from second_model_transport import GAS

REST_M_PER_S = 5e-5            # rods slower than this, at steady pressures, have stalled


class Model(Circuit):
    """The job: phases, strokes, check strokes."""

    def phase(self, valve, bypass, on_panel, watch=None, limit_s=180.0):
        """Motor on until the rods (retracting: and the carriage) stand at their stops, or nothing moves any more."""
        dt, still, start = 1e-4, 0.0, self.time
        goal = self.top if valve == "extend" else [0.0] * len(self.x)
        while self.time - start < limit_s:
            movers = range(self.n) if valve == "extend" or not self.rig.metering else range(len(self.x))
            if all(abs(self.x[m] - goal[m]) < (1e-9 if m < self.n else HOME_M) for m in movers):
                return True
            if still > 2.0 and all(abs(self.x[m] - goal[m]) < 1e-9 for m in range(self.n)):
                return True
            if still > 2.0:
                return False
            was, p_was = list(self.x), self.p
            dt, worst = self.step(dt, valve, True, bypass, on_panel)
            rest = max(abs(a - b) for a, b in zip(was, self.x)) < REST_M_PER_S * dt \
                and np.max(np.abs(np.log(self.p / p_was))) < 2e-3 * dt
            still = still + dt if rest else 0.0
            if watch is not None and watch(was[:self.n], self.x[:self.n]):
                return True
            dt = min(0.2, dt * (1.6 if worst < 0.5 else 1.0 / max(worst, 0.4)))
        return False

    def dwell(self, seconds, valve, bypass, on_panel):
        end, dt = self.time + seconds, 0.005
        while self.time < end - 1e-9:
            dt, worst = self.step(min(dt, end - self.time), valve, False, bypass, on_panel)
            dt = min(2.0, dt * (1.6 if worst < 0.5 else 1.0 / max(worst, 0.4)))

    def stroke(self, s):
        for valve in ("extend", "retract"):
            self.phase(valve, s["bypass"], s["rods"] == "panel")
            self.dwell(s["dwell_s"], valve, s["bypass"], s["rods"] == "panel")

    def check(self, s, on_panel):
        """Mismatch at 25, 50, 75 % of the mean travel, on a copy."""
        f = copy.deepcopy(self)
        for bypass in ("closed", "open") if self.opt["home_closed"] else (s["bypass"],):
            if any(x > (1e-9 if m < self.n else HOME_M) for m, x in enumerate(f.x)):
                f.phase("retract", bypass, False)
                f.dwell(s["dwell_s"], "retract", bypass, False)
        if any(x > HOME_M for x in f.x):
            return None
        travel = sum(self.top[: self.n]) / self.n
        marks, found = [0.25 * travel, 0.5 * travel, 0.75 * travel], []

        def e(x):
            return x[0] - x[1] if len(x) == 2 else max(x) - min(x)

        def watch(a, b):
            ma, mb = sum(a) / len(a), sum(b) / len(b)
            while len(found) < 3 and mb >= marks[len(found)]:
                w = (marks[len(found)] - ma) / (mb - ma)
                found.append((1.0 - w) * e(a) + w * e(b))
            return len(found) == 3
        f.phase("extend", "closed", on_panel, watch)
        return [1e3 * z for z in found] if len(found) == 3 else None

    def whereabouts(self):
        """Gas of every place and mean position of every line's slugs [m3]."""
        slugs = []
        for line in self.line.values():
            some = line.kind == GAS
            total = line.amount[some].sum()
            slugs.append((line.q[some] * line.amount[some]).sum() / total if total > 1e-9 else 0.0)
        return np.array(list(self.air_by_place().values()) + slugs)

    def least_m2(self):
        return min(b["cap_m2"] for b in self.rig.branches)


def worst(e):
    return None if e is None else max(e, key=abs)


def first_inside(series, tolerance):
    """Stroke after which this and the next three stay inside; None: not seen."""
    ok = [e is not None and abs(e) <= tolerance for e in series]
    return next((n for n in range(1, len(ok) - 3) if all(ok[n:n + 4])), None)


def one_run(case, options, strokes=None):
    """The strokes of a case, its bled twin, from which stroke nothing moves, and what the books are off by."""
    rig = Rig(case["rig"])
    max_strokes, steps = procedure(case["procedure"])
    n_max = strokes or case.get("strokes", max_strokes)
    loaded = rig.panel["mass_kg"] > 0.0
    twin_model = Model(rig, options)
    twin = dict(free=twin_model.check(steps[0], False), load=twin_model.check(steps[0], True) if loaded else None)
    m = Model(rig, options, **case["contents"])
    oil0, gas0 = m.books()
    todo = [s for s in steps for _ in range(s.get("strokes", 1))]
    block = [s for s in steps if s["repeat"] for _ in range(s.get("strokes", 1))]
    rows, never, places = [], None, []
    tol = tolerance_mm(case, rig)
    for n in range(n_max + 1):
        s = steps[0] if n == 0 else todo[n - 1] if n <= len(todo) else block[(n - 1 - len(todo)) % len(block)]
        if n:
            m.stroke(s)
        rows.append(dict(stroke=n, free=m.check(s, False), load=m.check(s, True) if loaded else None,
                         vented_ml=1e6 * m.vented, reservoir_ml=list(1e6 * m.pool[2:]), minutes=m.time / 60.0,
                         carriage_mm=1e3 * m.x[-1] if rig.metering else 0.0,
                         air_ml={k: 1e6 * z for k, z in m.air_by_place().items()}))
        if n >= len(todo) and (n - len(todo)) % len(block) == 0:
            places.append(m.whereabouts())
            if never is None and len(places) > 1:
                moved = np.max(np.abs(places[-1] - places[-2]))
                never = n if moved < 0.01e-3 * tol * m.least_m2() else None
    oil, gas = m.books()
    return dict(twin=twin, rows=rows, nothing_moves_from=never, oil_error_ml=1e6 * (oil - oil0),
                air_error_ml=1e6 * (gas - gas0))


def tolerance_mm(case, rig):
    return case.get("tolerance_mm", max(1.0, 10.0 * min(b["stroke_m"] for b in rig.branches)))


def mean(alike):
    """Of numbers, and of whatever holds them in the same places; None where one has no reading."""
    if isinstance(alike[0], dict):
        return {k: mean([z[k] for z in alike]) for k in alike[0]}
    if any(z is None for z in alike):
        return None
    if isinstance(alike[0], list):
        return [mean(z) for z in zip(*alike, strict=True)]
    return sum(alike) / len(alike)


def run_case(case, options=None, strokes=None):
    """A case and its verdicts; where its model has `seeds` the mean of so many runs, which differ in where bubbles enter
    a line, with its standard error."""
    t0 = time.time()
    options = dict(case.get("model", {}), **(options or {}))
    seeds = range(options.pop("seeds", 1))
    with ProcessPoolExecutor() as pool:
        runs = list(pool.map(one_run, *zip(*((case, dict(options, seed=n), strokes) for n in seeds))))
    r = dict(mean([dict(x, nothing_moves_from=0) for x in runs]), nothing_moves_from=runs[0]["nothing_moves_from"])
    rig = Rig(case["rig"])
    key, tol = "load" if rig.panel["mass_kg"] > 0.0 else "free", tolerance_mm(case, rig)
    for n, row in enumerate(r["rows"]):
        row["stroke"] = n
        row["air_ml"] = {k: round(z, 5) for k, z in row["air_ml"].items() if z > 1e-4}
        if len(seeds) > 1 and row[key]:
            each = np.array([x["rows"][n][key] for x in runs])
            row["standard_error_mm"] = float(np.max(each.std(axis=0, ddof=1))) / math.sqrt(len(seeds))
    e = [worst(x[key]) for x in r["rows"]]
    part = [worst([a - b for a, b in zip(x[key], r["twin"][key])]) if x[key] and r["twin"][key] else None
            for x in r["rows"]]
    return dict(case=case["name"], deciding=key, tolerance_mm=tol, **r, bled=first_inside(part, tol),
                parallel=first_inside(e, tol), seconds=round(time.time() - t0, 1))


def text(result):
    out = [f"{result['case']}: bled {result['bled']}, parallel {result['parallel']}, nothing moves from "
           f"{result['nothing_moves_from']}, tolerance {result['tolerance_mm']} mm, "
           f"books oil {result['oil_error_ml']:.1e} air {result['air_error_ml']:.1e} mL, {result['seconds']} s",
           f"  twin free {fmt(result['twin']['free'])} load {fmt(result['twin']['load'])}"]
    out += [f"  {r['stroke']:3d} free {fmt(r['free'])} load {fmt(r['load'])} air {sum(r['air_ml'].values()):8.4f} "
            f"vented {r['vented_ml']:8.4f} {r['minutes']:6.2f} min" for r in result["rows"]]
    return "\n".join(out)


def fmt(e):
    return "      -       -       -" if e is None else " ".join(f"{z:+8.3f}" for z in e)


if __name__ == "__main__":
    for name in (n for n in sys.argv[1:] if not n.endswith(".results.json")):
        with open(name) as file:
            result = run_case(json.load(file))
        result["command"] = "python second_model.py " + "/".join(name.split("/")[-2:])
        with open(name.replace(".json", ".results.json"), "w") as file:
            json.dump(result, file, indent=1)
        print(text(result), flush=True)
