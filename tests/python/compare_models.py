"""Runs the library (public Python face only) on the cases of the second model and prints both side by side.

    python compare_models.py [second_model_cases/01_bled.json ...]     # all cases when none is named
"""

import json
import math
import pathlib
import sys

import evenstroke as es

from second_model_rig import Rig

CASES = pathlib.Path(__file__).parent / "second_model_cases"


def case_files():
    return sorted(p for p in CASES.glob("*.json") if not p.name.endswith(".results.json"))


def run_library(case, **options):
    """The library on a case file's texts, with the case's own options where it has some."""
    rig = es.parse_rig(case["rig"])
    contents = es.Contents.after_exchange(rig, **case["contents"])
    return es.run(rig, contents, es.parse_procedure(case["procedure"]), max_strokes=case["strokes"],
                  stop_at_verdict=False, **{**case.get("library", {}), **options})


def readings(run, which):
    """Rows of three mismatches in mm, None without a reading."""
    rows = []
    for row in run.strokes:
        e = [row[f"mismatch_{at}_{which}_mm"] for at in (25, 50, 75)]
        rows.append(None if any(math.isnan(z) for z in e) else e)
    return rows


def compare(case, stored, **options):
    """Per stroke and check: library, second model, worst difference in mm; strokes counted by both."""
    run = run_library(case, **options)
    lines = []
    for which in ("free", "load"):
        ours, theirs = readings(run, which), [row[which] for row in stored["rows"]]
        for n, (a, b) in enumerate(zip(ours, theirs)):
            gap = max(abs(x - y) for x, y in zip(a, b)) if a and b else (0.0 if a == b else math.inf)
            lines.append(dict(stroke=n, check=which, library=a, second=b, gap_mm=gap))
    air = [sum(v for k, v in row.items() if k.startswith("free_air_") and k[9:-3] in
               {*run.inputs.rig.branches, "shared"}) for row in run.strokes]
    to_20_deg_c = 293.15 / Rig(case["rig"]).oil["temperature_k"]
    air_second = [to_20_deg_c * sum(r["air_ml"].values()) for r in stored["rows"]]
    return dict(run=run, lines=lines, air_library=air, air_second=air_second)


def fmt(e):
    return "      -        -        -   " if e is None else " ".join(f"{z:+8.3f}" for z in e)


def main(names):
    for path in [pathlib.Path(n) for n in names] or case_files():
        case = json.loads(path.read_text())
        stored = json.loads(path.with_suffix("").with_suffix(".results.json").read_text())
        both = compare(case, stored)
        run = both["run"]
        print(f"{path.stem}: {case['name']}; library {run.status}; bled: library {run.bled.stroke}, "
              f"second {stored['bled']}; parallel: library {run.parallel.stroke}, second {stored['parallel']}")
        for line in both["lines"]:
            n = line["stroke"]
            print(f"  {line['check']} {n:3d}  library {fmt(line['library'])}  second {fmt(line['second'])}  gap "
                  f"{line['gap_mm']:8.4f} mm   air {both['air_library'][n]:8.4f} {both['air_second'][n]:8.4f} mL")


if __name__ == "__main__":
    main(sys.argv[1:])
