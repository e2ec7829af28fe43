"""Runs everything, rivals in turn with ours, and writes what was measured; report.py tells it.

    .venv/bin/python tests/benchmark/measure.py BUILD_DIR
"""

import json
import os
import platform
import re
import subprocess
import sys
import time
from pathlib import Path

import matplotlib
import numba
import numpy
import scipy

import equations
import rivals_scipy
import stacks

ROOT = Path(__file__).resolve().parents[2]
ROUNDS, WHOLE_ROUNDS = 5, 3
SLOW_S, SLOW_TIMES = 0.05, 2              # what takes longer is run so many times and then left out
SCIPY_TOLERANCES = [10.0 ** -d for d in range(2, 11)]


def run(program, *arguments):
    text = subprocess.run([program, ROOT / "examples", *map(str, arguments)], capture_output=True, text=True, check=True).stdout
    return [json.loads(line) for line in text.splitlines()]


def scipy_pass(segments, skip):
    for s in segments:
        for rel_tol in SCIPY_TOLERANCES:
            for method in ("Radau", "BDF", "LSODA"):
                for kind, functions in (("numba", equations.COMPILED), ("plain Python", equations.PLAIN)):
                    key = (s["name"], f"SciPy {method}, {kind}", "dense LU", f"{rel_tol:g}")
                    if "|".join(key) not in skip:
                        yield dict(zip(("segment", "family", "setting"), key), rel_tol=float(key[3]),
                                   **rivals_scipy.solve(s, functions, method, rel_tol))


def segment_runs(program, folder):
    segments = run(program, "export")[0]
    apart = [rivals_scipy.verify(s, f) for s in segments for f in (equations.COMPILED, equations.PLAIN)]
    if max(map(max, apart)) > 1e-12:
        sys.exit(f"the Python equations are not the library's: {apart}")
    found, skip = {}, set()
    for n in range(ROUNDS):
        start = time.perf_counter()
        (folder / "skip").write_text("\n".join(skip))
        for row in [*run(program, "pass", folder / "skip"), *scipy_pass(segments, skip)]:
            seconds = row.pop("seconds")
            key = "|".join((row["segment"], row["family"], row["setting"], f"{row['rel_tol']:g}"))
            times = found.setdefault(key, dict(row, seconds=[]))["seconds"]
            times.append(seconds)
            if not row["reached"] or (len(times) >= SLOW_TIMES and min(times) > SLOW_S):
                skip.add(key)
        print(f"segments, round {n + 1} of {ROUNDS}: {time.perf_counter() - start:.0f} s", flush=True)
    return [s["name"] for s in segments], list(found.values()), float(max(map(max, apart)))


def whole_runs(program):
    """Rows with their seconds; the long ones once, all others in turn."""
    cases = [("run", 12, 1, 2, 1), ("run", 12, 0, 2, 1), ("run", 12, 1, 2, 0.5)]
    cases += [("run", 2, 0, branches, 1) for branches in (2, 3, 4, 6, 8)]
    cases += [("run", 10, 0, 2, 1), ("run", 100, 0, 2, 1), ("members", 100, 1), ("members", 100, 2)]
    long = [("run", 1000, 0, 2, 1), ("members", 1000, 1), ("members", 1000, 2), ("members", 10000, 2)]
    found = {}
    for n in range(WHOLE_ROUNDS):
        start = time.perf_counter()
        for case in cases + (long if n == 1 else []):
            row = run(program, *case)[0]
            seconds = row.pop("seconds")
            found.setdefault(case, dict(row, case=case, seconds=[]))["seconds"].append(seconds)
        print(f"whole runs, round {n + 1} of {WHOLE_ROUNDS}: {time.perf_counter() - start:.0f} s", flush=True)
    return list(found.values())


def import_seconds(module):
    """Times of an import in interpreters of its own; empty when there is no such module."""
    code = f"import time; t = time.perf_counter(); import {module}; print(time.perf_counter() - t)"
    done = [subprocess.run([sys.executable, "-c", code], capture_output=True, text=True) for _ in range(5)]
    return [float(d.stdout) for d in done if d.returncode == 0]


def machine(build, program):
    cache = (build / "CMakeCache.txt").read_text()
    flags = [re.search(rf"^CMAKE_CXX_FLAGS{kind}:[^=]*=(.*)$", cache, re.M).group(1) for kind in ("", "_RELEASE")]
    cpu = re.search(r"model name\s*: (.*)", Path("/proc/cpuinfo").read_text())
    return {"processor": cpu.group(1) if cpu else platform.processor(), "cores": len(os.sched_getaffinity(0)),
            "system": platform.freedesktop_os_release()["PRETTY_NAME"], "flags": " ".join(flags),
            "versions": {**run(program, "versions")[0], "Python": platform.python_version(), "NumPy": numpy.__version__,
                         "SciPy": scipy.__version__, "numba": numba.__version__, "Matplotlib": matplotlib.__version__}}


def main(build):
    programs, folder = build / "tests/benchmark", build / "benchmark"
    folder.mkdir(exist_ok=True)
    begin, load = time.time(), [os.getloadavg()[0]]
    result = {"machine": machine(build, programs / "segment_runs"), "date": time.strftime("%Y-%m-%d")}
    result["segments"], result["runs"], result["python_apart"] = segment_runs(programs / "segment_runs", folder)
    load.append(os.getloadavg()[0])
    result["whole"] = whole_runs(programs / "whole_runs")
    subprocess.run([programs / "whole_runs", ROOT / "examples", "profile", "15", folder / "stacks"], check=True)
    result["profile"] = stacks.shares(programs / "whole_runs", folder / "stacks")
    result["import"] = {name: import_seconds(name) for name in ("numpy", "evenstroke")}
    load.append(os.getloadavg()[0])
    result["minutes"], result["load"] = (time.time() - begin) / 60, load
    (folder / "measured.json").write_text(json.dumps(result))


if __name__ == "__main__":
    main(Path(sys.argv[1]).resolve())
