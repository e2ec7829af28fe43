"""Every number of claims.csv against ours; what is compared and how stands in show.py."""

import csv
import math
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest
import show

RECORDS = show.records()
CLAIMS = [r for r in RECORDS if r["table"] == "claim"]
HOME = Path(show.__file__).parent

AIR_AND_STEP = {"gas compression", "bulk modulus and air", "wall compliance", "slug", "purge of a line",
                "divider and synchronising"}   # what the answer of this library hangs on


@pytest.mark.parametrize("record", RECORDS, ids=lambda r: r["id"])
def test_ours_is_within_the_tolerance(record):
    ours = float(show.OURS[record["id"]]())
    assert show.agrees(record, ours), (
        f"{record['what']}: published {record['value']} {record['unit']}, ours {ours:.8g}, "
        f"allowed {show.allowed(record):.3g} ({record['why_tolerance']}); {record['source']}")


def test_every_record_is_complete_and_has_a_number_of_ours():
    names = [r["id"] for r in RECORDS]
    assert len(set(names)) == len(names)
    assert set(names) == set(show.OURS)
    for r in RECORDS:
        assert all(str(text).strip() for text in r.values()), r["id"]
        assert r["kind"] in ("abs", "rel") and r["tolerance"] > 0, r["id"]
        assert r["table"] in show.HEADINGS, r["id"]
        good_evidence = {"claim": ("seen", "abstract", "memory", "common practice")}.get(r["table"], (r["table"],))
        assert r["evidence"] in good_evidence, r["id"]


def test_claims_are_many_and_spread():
    groups = Counter(r["group"] for r in CLAIMS)
    assert len(CLAIMS) >= 12
    assert max(groups.values()) <= 2
    assert sum(n for group, n in groups.items() if group in AIR_AND_STEP) >= 6
    assert sum(r["computed_by"] == "es.run" for r in CLAIMS) >= 4


@pytest.mark.parametrize("record", RECORDS, ids=lambda r: r["id"])
def test_a_tolerance_is_no_wider_than_five_percent(record):
    assert show.allowed(record) <= 0.05 * abs(record["value"])


@pytest.mark.parametrize("record", RECORDS, ids=lambda r: r["id"])
def test_what_lies_outside_is_refused(record):
    beyond = 1.01 * show.allowed(record)
    for wrong in (record["value"] + beyond, record["value"] - beyond, math.nan):
        assert not show.agrees(record, wrong)


def shown(*arguments):
    return subprocess.run([sys.executable, str(HOME / "show.py"), *map(str, arguments)], capture_output=True, text=True)


def test_one_command_lists_all_and_ends_with_0():
    done = shown()
    assert done.returncode == 0, done.stdout + done.stderr
    for r in RECORDS:
        assert any(line.startswith(r["id"] + " ") and r["source"] in line for line in done.stdout.splitlines()), r["id"]
    assert f"(counted): {len(CLAIMS)}\n" in done.stdout


def test_one_wrong_number_ends_it_with_1(tmp_path):
    with open(HOME / "claims.csv", newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    rows[0]["value"] = str(1.1 * float(rows[0]["value"]))
    wrong = tmp_path / "wrong.csv"
    with open(wrong, "w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, rows[0].keys())
        writer.writeheader()
        writer.writerows(rows)
    done = shown(wrong)
    assert done.returncode == 1, done.stderr
    assert done.stdout.count("FAILED") == 1
    assert "1 outside the tolerance" in done.stdout
