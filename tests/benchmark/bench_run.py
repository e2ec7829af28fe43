"""What a run, an answer and an import cost on this machine: a report, not a test.

    .venv/bin/python tests/benchmark/bench_run.py

Run from the root of the checkout. Times depend on the machine and on what else it does; ratios, from one call, less.
"""

import os
import platform
import statistics
import subprocess
import sys
import time
from pathlib import Path

import numpy as np

import evenstroke as es

ROOT = Path(__file__).resolve().parents[2]
STROKES, REPEATS, MEMBERS, IMPORTS = 12, 7, 64, 5
USUAL_SHARE = 0.05   # the default quantum, so that half of it can be asked for


def seconds(work, repeats):
    """Times of so many calls, after one that is thrown away, and the last result."""
    result, times = work(), []
    for _ in range(repeats):
        start = time.perf_counter()
        result = work()
        times.append(time.perf_counter() - start)
    return times, result


def spread(times, unit, factor):
    low, middle, high = (factor * f(times) for f in (min, statistics.median, max))
    return f"{middle:8.2f} {unit}  ({low:.2f} to {high:.2f})"


def import_seconds(module):
    """Time of an import in an interpreter of its own; its start is not part of it."""
    code = f"import time; t = time.perf_counter(); import {module}; print(time.perf_counter() - t)"
    return [float(subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout)
            for _ in range(IMPORTS)]


def available_threads():
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()


def main():
    rig = es.load_rig(ROOT / "examples/rigs/roof_hatch.toml")
    procedure = es.load_procedure(ROOT / "examples/procedures/shop_bleed.toml")
    contents = es.Contents.after_exchange(rig, dry=["left.cylinder"], opened=["left.cap_line"], rods="out")
    threads = available_threads()
    print(f"evenstroke {es.__version__}, Python {platform.python_version()}, numpy {np.__version__}, "
          f"{platform.machine()}, {threads} threads available")
    if hasattr(os, "getloadavg"):
        print(f"other work: load of the last minute {os.getloadavg()[0]:.1f}; above 0.5 the times below say little")

    print(f"\n{STROKES} strokes of {rig.name}, two check strokes after each, channels recorded; "
          f"median of {REPEATS} (least to most)")
    def twelve(share=None):
        return es.run(rig, contents, procedure, max_strokes=STROKES, stop_at_verdict=False, quantum_share=share)

    if twelve().counts != twelve(USUAL_SHARE).counts:
        sys.exit(f"the default quantum is no longer {USUAL_SHARE}: correct USUAL_SHARE")
    medians = []
    for name, share in (("default quantum", USUAL_SHARE), ("half of it", USUAL_SHARE / 2)):
        times, run = seconds(lambda: twelve(share), REPEATS)
        medians.append(statistics.median(times))
        print(f"  {name:16}{spread(times, 'ms', 1e3)}  {run.status!r}, {len(run.strokes) - 1} strokes, "
              f"{run.counts['quanta']} quanta, {run.counts['steps']} steps")
        print(f"  {'':16}bled {run.bled!r}; parallel {run.parallel!r}")
    print(f"  half / default  {medians[1] / medians[0]:8.2f}")

    print(f"\n{MEMBERS} members, up to {STROKES} strokes each; one call")
    walls = {}
    for n in sorted({1, threads}):
        start = time.perf_counter()
        answer = es.strokes_to_parallel(rig, contents, procedure, members=MEMBERS, threads=n, max_strokes=STROKES)
        walls[n] = time.perf_counter() - start
        print(f"  {n:3} thread{'s' if n > 1 else ' '}     {walls[n]:8.2f} s   bled {answer.bled.text}; "
              f"parallel {answer.parallel.text}; {answer.failed} failed")
    if threads > 1:
        print(f"  1 / {threads} threads {walls[1] / walls[threads]:8.2f}")

    print(f"\nimport in a fresh interpreter; median of {IMPORTS} (least to most)")
    ours, bare = import_seconds("evenstroke"), import_seconds("numpy")
    print(f"  evenstroke      {spread(ours, 'ms', 1e3)}")
    print(f"  numpy alone     {spread(bare, 'ms', 1e3)}")
    print(f"  ratio           {statistics.median(ours) / statistics.median(bare):8.2f}")


if __name__ == "__main__":
    main()
