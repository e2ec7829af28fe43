"""What a run says about itself that is no number: a step nature did not let happen, an index no pocket has shown."""

import pickle
import re

import pytest

import evenstroke as es
from conftest import RIGS

PORTS = ["left.cap_port", "left.rod_port"]


def by_hand(rig, hand_n):
    """Left cylinder off its lines and in the air, drawn out and pushed in once before the first stroke."""
    steps = [
        es.Step(kind="hand", by_hand=["left"], parted=PORTS, port="air", hand_n=hand_n, dwell_s=0, repeat=False),
        es.Step(kind="cycle", dwell_s=1),
    ]
    contents = es.Contents.after_exchange(rig, dry=["left.cylinder"], opened=[])
    return es.run(rig, contents, es.Procedure(name="push", steps=steps, max_strokes=1), checks=False)


def friction_n(rig):
    """Breakaway friction, a pressure on the piston's area."""
    get = rig.get
    return get("branch.left.breakaway_pa_diff") * 3.141592653589793 / 4 * get("branch.left.bore_m") ** 2


def test_a_hand_too_weak_for_its_rod_is_told(rig):
    needed_n = friction_n(rig)
    weak = by_hand(rig, 0.5 * needed_n)
    assert weak.status.ok
    note, pressed = weak.notes   # the dry side gives way, and the other one's piston gets all of the carriage's force
    assert "pressed" in pressed
    assert note.startswith("step 1, before stroke 1: a hand of ") and "did not move left.rod out from 0 mm" in note
    told_n = float(re.search(r"takes (\d+) N$", note).group(1))
    assert needed_n <= told_n <= 1.3 * needed_n   # friction grows by a tenth per decade of seconds at rest
    assert f"S{note[1:]}." in weak.story().split("\n")
    assert pickle.loads(pickle.dumps(weak)).notes == weak.notes
    assert [told for told in by_hand(rig, 3 * needed_n).notes if "pressed" not in told] == []


def test_an_index_that_no_pocket_has_shown_is_none_and_a_dash(rig, procedure):
    full = es.run(rig, es.Contents.bled(rig), procedure, max_strokes=1, checks=False)
    assert list(full.strokes["apparent_index"]) == [None, None]
    assert [line.split()[-1] for line in full.strokes.by_form().split("\n")[1:]] == ["-", "-"]
    assert pickle.loads(pickle.dumps(full)) == full


def test_an_index_that_pockets_have_shown_lies_between_isothermal_and_adiabatic(rig):
    contents = es.Contents.after_exchange(rig, dry=["left.cylinder", "right.cylinder"], opened=[])
    lift = es.Procedure(name="lift", steps=[es.Step(kind="cycle", dwell_s=5, rods="panel")], max_strokes=1)
    table = es.run(rig, contents, lift, checks=False).strokes
    assert table[0]["apparent_index"] is None
    assert 1.01 < table[1]["apparent_index"] <= 1.402
    assert table.by_form().split("\n")[2].split()[-1] == f"{table[1]['apparent_index']:.3f}"


def test_time_at_low_pressure_agrees_with_the_lowest(run):
    for row in run.strokes[1:]:
        assert (row["low_pressure_s"] > 0) <= (row["lowest_bar_abs"] < 0.7)
        assert 0 <= row["low_pressure_s"] <= 60 * row["minutes"]
    assert run.strokes[0]["low_pressure_s"] == 0


def test_a_run_without_hands_has_nothing_to_note(run):
    assert run.notes == []
    with pytest.raises(AttributeError):
        run.notes = ["nothing"]


def test_a_dividing_error_of_what_does_not_divide_is_told():
    """And not of metering pistons, where it counts."""
    for name, words in (("riser_platform", "a tee divides nothing"), ("side_shutter", "a series pair divides nothing"), ("roof_hatch", "")):
        rig = es.load_rig(RIGS / f"{name}.toml")
        given = rig.replace(**{f"branch.{rig.branches[0]}.dividing_error": 0.02})
        told = [es.run(r, es.Contents.bled(r), es.Procedure(steps=[es.Step()]), max_strokes=1, checks=False).notes for r in (rig, given)]
        found = [[n for n in notes if "dividing_error" in n] for notes in told]
        assert found[0] == [] and len(found[1]) == bool(words) and all(words in n for n in found[1])
