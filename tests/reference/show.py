"""Numbers that others published, and ours beside them.

    python tests/reference/show.py            prints the page
    python tests/reference/show.py --write    and writes it to tests/reference/VALIDATION.md
    python tests/reference/show.py --claims other.csv

`claims.csv` holds data only: per claim the value as printed, its source, how good the evidence is, the tolerance and
why. Ours comes from the public laws or is read from the arrays of a full run: claims_flow.py, claims_air.py, claims_sync.py,
uncounted.py, rigs.py. Ends with 1 if a number that has to be inside its tolerance is not.

evidence  seen: read where the source says   abstract: read in the paper's abstract   memory: remembered
          common practice: a habit of the trade, no source
"""

import argparse
import csv
import sys
import time
from functools import lru_cache

import claims_air
import claims_flow
import claims_sync
import uncounted
from rigs import HOME

CLAIMS_FILE, PAGE, UNKNOWN = (HOME / name for name in ("claims.csv", "VALIDATION.md", "no_evidence.csv"))
OURS = {**claims_flow.OURS, **claims_air.OURS, **claims_sync.OURS, **uncounted.OURS}
INSIDE = {"claim", "library", "closed form"}   # tables whose numbers have to agree
COMMAND = "python tests/reference/show.py --write"

HEADINGS = {
    "claim": ("Published claims", "Counted. Each bears on the answer; at most three come from one book, article or page."),
    "library": ("Values of general-purpose libraries", "Not counted."),
    "closed form": ("Closed forms", "Not counted."),
    "not reached": ("Published numbers that ours does not reach",
                    "Not counted. Each lies outside what its print allows, and why is told."),
    "practice": ("Rules of practice",
                 "Not counted, common practice, no source. Nothing is asserted: whether ours lies in the range is told."),
}


def records(path=CLAIMS_FILE):
    """Rows of the data file as dicts; value and tolerance as numbers."""
    with open(path, newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    return [{**row, "printed": row["value"], **{key: float(row[key]) for key in ("value", "tolerance")}} for row in rows]


def unknown():
    """What has no outside evidence, and what a rig would have to measure."""
    with open(UNKNOWN, newline="", encoding="utf-8") as file:
        return [(row["what"], row["what a rig would have to measure"]) for row in csv.DictReader(file)]


@lru_cache(None)
def ours(name):
    return float(OURS[name]())


def allowed(record):
    """Tolerance in the unit of the value."""
    return record["tolerance"] * (abs(record["value"]) if record["kind"] == "rel" else 1.0)


def agrees(record, number):
    return abs(number - record["value"]) <= allowed(record)   # NaN does not


def failed(found):
    return [r["id"] for r in found if r["table"] in INSIDE and not agrees(r, ours(r["id"]))]


def source_of(record):
    """The book, article or page, without the place in it."""
    return record["source"].split(", Example")[0].split(", Problem")[0].split(", worked")[0].split(", ch.")[0].split(", p.")[0]


def share(record):
    """How far off, in parts of what is allowed; to a tenth, so that the last bits of a machine do not show."""
    text = f"{(ours(record['id']) - record['value']) / allowed(record):+.1f}"
    return "0.0" if float(text) == 0 else text


def cells(r):
    number = f"{ours(r['id']):.4g}"
    by = r["computed_by"] if r["computed_by"] == "es.run" else r["computed_by"].replace("es.laws.", "law: ")
    if r["table"] == "practice":
        low, high = r["value"] - r["tolerance"], r["value"] + r["tolerance"]
        return [r["what"], f"{low:g} to {high:g} {r['unit']}", number, "yes" if agrees(r, ours(r["id"])) else "no",
                r["why_tolerance"], by]
    return [r["what"], f"{r['printed']} {r['unit']}".removesuffix(" -"), number, share(r),
            f"{allowed(r):.3g}: {r['why_tolerance']}", by, r["evidence"], r["source"]]


def table(name, rows):
    head = (["rule", "range", "ours", "inside", "of what", "by"] if name == "practice" else
            ["what", "published", "ours", "off by, of allowed", "allowed, and why", "by", "evidence", "source"])
    return ["| " + " | ".join(row) + " |" for row in (head, ["---"] * len(head), *map(cells, rows))]


def page(found):
    counted = [r for r in found if r["table"] == "claim"]
    runs = sum(r["computed_by"] == "es.run" for r in counted)
    lines = [
        "# What others published, and ours beside it", "",
        f"Written by `{COMMAND}`; a test fails when it is stale. {len(counted)} claims out of "
        f"{len({source_of(r) for r in counted})} sources, {runs} of them read from full runs of ideal rigs, the others from "
        f"public laws; {sum(r['evidence'] == 'memory' for r in counted)} are from memory. "
        f"Outside their tolerance: {', '.join(failed(found)) or 'none'}.", "",
        "Seen: read where the source says, often as printed by a public companion to the book. Abstract: read in the paper's "
        "abstract. Memory: remembered. Ours has four digits here; \"off by\" is the difference over what is allowed, 1 being "
        "the limit. Most claims hold a part against its worked example. That the parts together give the right number of bleed "
        "strokes is shown by none of them: see the end.", ""]
    for name, (heading, said) in HEADINGS.items():
        rows = [r for r in found if r["table"] == name]
        lines += [f"## {heading}: {len(rows)}", "", said, "", *table(name, rows), ""]
    lines += ["## What has no outside evidence", "",
              "And which measurement on a rig would supply it.", "",
              *(f"- **{what[0].upper() + what[1:]}**: {measure}." for what, measure in unknown())]
    return "\n".join(lines) + "\n"


def main():
    options = argparse.ArgumentParser(description="Published numbers, and ours beside them.")
    options.add_argument("--write", action="store_true", help=f"write {PAGE.name}")
    options.add_argument("--claims", default=CLAIMS_FILE, help="another data file")
    given = options.parse_args()
    began, found = time.perf_counter(), records(given.claims)
    text = page(found)
    print(text)
    if given.write:
        PAGE.write_text(text, encoding="utf-8")
    outside = failed(found)
    print(f"{len(outside)} outside the tolerance: {', '.join(outside)}" if outside else "all inside their tolerances")
    print(f"computed in {time.perf_counter() - began:.1f} s")
    return 1 if outside else 0


if __name__ == "__main__":
    sys.exit(main())
