"""What the README shows runs as it stands there."""

import os
import re
import subprocess
import sys

import evenstroke as es
from conftest import PROCEDURE, RIGS, ROOT


def test_the_readmes_python_runs():
    blocks = re.findall(
        r"^```python\n(.*?)^```", (ROOT / "README.md").read_text(encoding="utf-8"), re.DOTALL | re.MULTILINE
    )
    assert blocks, "README.md shows no Python"
    done = subprocess.run(
        [sys.executable, "-c", "\n".join(blocks)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=300,
        env={**os.environ, "MPLBACKEND": "Agg"},
    )
    assert done.returncode == 0, done.stderr


def joined(text):
    """One line, single spaces."""
    return " ".join(text.split())


def test_the_first_result_is_what_the_package_says(low_run):
    """Word for word, with the members of the demo: what cmake/try.sh prints for this rig."""
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    section = readme.split("## A first result\n")[1].split("\n## ")[0]
    quoted = [joined(block) for block in re.findall(r"(?:^    .*\n)+", section, re.MULTILINE)]
    assert quoted.pop() in joined(low_run.story())
    rig, procedure = es.load_rig(RIGS / "roof_hatch.toml"), es.load_procedure(PROCEDURE)
    contents = es.Contents.after_exchange(rig, dry=["left.cylinder"], opened=["left.cap_line"], rods="out")
    answer = es.strokes_to_parallel(rig, contents, procedure, members=64)
    said = [joined(answer.text()), joined(answer.nominal.story())]
    for block in quoted:
        assert any(block in text for text in said), f"README.md: {block!r}\nthe package: {said}"
    everything = " ".join(quoted)
    assert len(re.findall(r"\d+ \(\d+ to \d+\) bleed strokes\.", everything)) == 2
    assert "64 variants" in everything and "Stroke 1 (bypass open): " in everything


def test_the_other_hatch_is_as_the_readme_says(low_run):
    readme = joined((ROOT / "README.md").read_text(encoding="utf-8"))
    said = re.search(r"([\d.]+) mL of air stay under the left piston for good, and the rods ([\d.]+) mm apart", readme)
    assert low_run.bled.answered is low_run.parallel.answered is es.Answered.never
    last = low_run.strokes[-1]
    apart = abs(low_run.strokes.worst_mm()[-1])
    assert said.groups() == (f"{last['free_air_left.cap_chamber_ml']:.1f}", f"{apart:.1f}")


def test_the_readmes_files_are_read():
    """The rig file, its hinged panel, and the procedure file with a step of every kind."""
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    rig, hinged, others, procedure = re.findall(r"^```toml\n(.*?)^```", readme, re.DOTALL | re.MULTILINE)
    assert es.parse_rig(rig).branches == ("left", "right")
    without = re.sub(r"\[(panel|valve_block)\]\n(?:[^\[\n].*\n|\n)*", "", rig)
    assert es.parse_rig(f"{without}\n{hinged}").panel == "hinged"
    spool = others.split("# kind = \"rotary_divider\"")[0].replace("[synchroniser]", "").split("[valve_block]")[0]
    fed = re.sub(r"kind = \"metering_pistons\".*\n", spool, without)
    kept = others[others.index("[valve_block]"):others.index("[branch.left]")]
    made = es.parse_rig(f"{fed}\n[panel]\nmass_kg = 90\n{kept}")
    assert (made.synchroniser, made.circuit) == ("spool_divider", "closed")
    for kind, lines in re.findall(r"# kind = \"(\w+)\".*\n((?:# (?!kind)\w.*\n)+)", others):
        keys = "\n".join(line.removeprefix("# ") for line in lines.splitlines())
        changed = re.sub(r"kind = \"metering_pistons\".*\n", f"kind = \"{kind}\"\n{keys}\n", without)
        assert es.parse_rig(f"{changed}\n[panel]\nmass_kg = 90\n").synchroniser == kind
    assert [s.kind for s in es.parse_procedure(procedure).steps] == ["flush", "hand", "stand", "refill", "compare", "cycle"]
