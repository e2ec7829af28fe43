"""The command line prints the answer, the table, the story, what is left and the cautions."""

import re
import signal
import subprocess
import sys

from conftest import PROCEDURE, RIGS, ROOT, command

import evenstroke as es
from evenstroke import cautions

RIG = RIGS / "roof_hatch.toml"


def test_answer_prints_what_the_library_says(tmp_path):
    arguments = [
        "--dry",
        "left.cylinder",
        "--opened",
        "left.cap_line",
        "--members",
        4,
        "--tolerance-mm",
        0.5,
        "--seed",
        9,
    ]
    done = command("answer", RIG, PROCEDURE, *arguments, "--out", tmp_path)
    assert done.returncode == 0 and done.stderr == ""
    rig, procedure = es.load_rig(RIG), es.load_procedure(PROCEDURE)
    contents = es.Contents.after_exchange(rig, dry=["left.cylinder"], opened=["left.cap_line"])
    answer = es.strokes_to_parallel(rig, contents, procedure, members=4, tolerance_mm=0.5, seed=9)
    for part in (*answer.text().split("\n\n"), repr(answer.nominal.strokes), answer.nominal.story(), cautions.text(procedure.steps)):
        assert part in done.stdout
    for left in answer.limiting:
        assert f"{left.free_air_m3 * 1e6:.3f} mL" in done.stdout
    assert {p.name for p in tmp_path.iterdir()} == {
        f"roof_hatch{e}" for e in (".txt", ".csv", "_run.png", "_answer.png")
    }
    assert all(p.stat().st_size > 500 for p in tmp_path.iterdir())
    line = [x for x in answer.text().split("\n") if x.startswith("Books: ")]
    assert len(line) == 1 and done.stdout.count(line[0]) == 1
    assert (tmp_path / "roof_hatch.txt").read_text().count(line[0]) == 1
    table = (tmp_path / "roof_hatch.csv").read_text().split("\n")
    assert table[0].split(",") == list(answer.nominal.strokes.columns) and len(table) == len(answer.nominal.strokes) + 2


def test_demo_tells_both_stories_with_pictures(tmp_path):
    done = command("demo", "--examples", ROOT / "examples", "--out", tmp_path, "--members", 4)
    assert done.returncode == 0 and done.stderr == ""
    for name in ("roof_hatch", "roof_hatch_ports_low"):
        assert es.load_rig(RIGS / f"{name}.toml").name in done.stdout
        for end in ("_run.png", "_answer.png"):
            assert (tmp_path / f"{name}{end}").read_bytes().startswith(b"\x89PNG")
    assert done.stdout.count("4 variants of the stated inputs") == 3   # two answers and a cure
    assert done.stdout.count("Before the first stroke") == 2
    assert done.stdout.count("Best change found") == 1 and done.stdout.count(cautions.LIMITS) == 3
    cure = es.load_procedure(tmp_path / "roof_hatch_ports_low_cure.toml", es.load_rig(RIGS / "roof_hatch_ports_low.toml"))
    assert cure.steps[0].attitude == "rod_down"
    assert re.search(r"apart in the check, mm:.*free air, mL:", done.stdout)


def test_demo_finds_the_examples_where_try_sh_calls_it(tmp_path):
    script = (ROOT / "cmake" / "try.sh").read_text()
    words = re.search(r"-m evenstroke (demo .*)--out", script).group(1).split()
    done = command(*words, "--out", tmp_path, "--members", 2, cwd=ROOT)
    assert done.returncode == 0, done.stderr


def test_interrupted_it_prints_what_is_there_and_ends_with_130():
    before = signal.getsignal(signal.SIGINT)
    code = (
        "import os, signal, sys, threading\nfrom evenstroke.command import main\n"
        "signal.signal(signal.SIGINT, signal.default_int_handler)\n"   # a parent in the background leaves it ignored
        "threading.Timer(1.5, os.kill, (os.getpid(), signal.SIGINT)).start()\nsys.exit(main(sys.argv[1:]))"
    )
    call = [
        sys.executable,
        "-c",
        code,
        "answer",
        str(RIG),
        str(PROCEDURE),
        "--dry",
        "left.cylinder",
        "--members",
        "60000",
    ]
    done = subprocess.run(call, capture_output=True, text=True, timeout=60)
    assert done.returncode == 130 and done.stderr == ""
    assert "Interrupted: only " in done.stdout and cautions.LIMITS in done.stdout
    assert signal.getsignal(signal.SIGINT) is before   # of this process: nobody touched it


def test_a_reader_that_goes_away_gets_no_traceback():
    call = f"{sys.executable} -m evenstroke answer {RIG} {PROCEDURE} --members 2 --dry left.cylinder | head -n 1"
    done = subprocess.run(["bash", "-c", call], capture_output=True, text=True, timeout=60)
    assert done.stdout.count("\n") == 1 and "Traceback" not in done.stderr and "Error" not in done.stderr
