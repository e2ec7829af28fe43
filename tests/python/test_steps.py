"""What is done between bleed strokes: its table and its sentences say what the ledger says."""

import pickle

import numpy as np
import pytest

import evenstroke as es
from conftest import RIGS
from evenstroke.procedure_text import procedure_text

HOSES = dict(parted=["left.cap_port", "left.rod_port"], line_end="joined", bypass="open")


@pytest.fixture(scope="module")
def flushed():
    rig = es.load_rig(RIGS / "roof_hatch.toml")
    steps = [
        es.Step(kind="flush", valve="retract", motor_s=20, bursts=2, refill=True, repeat=False, **HOSES),
        es.Step(kind="refill", repeat=False),
        es.Step(kind="stand", stand_s=5, repeat=False),
        es.Step(bypass="open"),
    ]
    contents = es.Contents.after_exchange(rig, dry=["left.cap_line"], rods="in")
    return es.run(rig, contents, es.Procedure(steps=steps), max_strokes=1, checks=False, record=False)


def test_the_table_has_a_row_per_step_and_agrees_with_the_ledger(flushed):
    steps = flushed.steps
    assert flushed.status.ok
    assert list(steps["kind"]) == ["flush", "refill", "stand"]
    assert list(steps["step"]) == [1, 2, 3] and list(steps["before_stroke"]) == [1, 1, 1]
    assert list(steps["bursts"]) == [2, 0, 0]
    assert steps["motor_on_minutes"] * 60 == pytest.approx([40, 0, 0])
    assert steps["out_ml"][0] > 50 and steps["bubbles_seen"][0] and not steps["bubbles_seen"][1:].any()
    density = es.laws.oil_density(
        density_15_kg_per_m3=flushed.inputs.rig.get("oil.density_15_kg_per_m3"),
        expansion_per_k=flushed.inputs.rig.get("oil.expansion_per_k"),
        temperature_k=flushed.inputs.rig.get("oil.temperature_k"),
    )
    for column, kg in (("refilled_ml", "oil_refilled_kg"), ("spilled_ml", "oil_spilled_kg")):
        assert steps[column].sum() == pytest.approx(getattr(flushed.books.ledger, kg) / density * 1e6, abs=1e-6)
    assert steps["refilled_ml"][1] > 0 and steps["refilled_ml"][2] == 0


def test_joints_take_air_in_where_they_are_made_and_a_filling_up_makes_none(flushed):
    """One joint between the hoses, none while oil is filled up, two at the ports once the next step joins them."""
    joint = flushed.inputs.rig.get("air.joint_m3") * 1e6   # the hatch is at 20 deg C
    drawn = flushed.steps["drawn_in_ml"]
    assert drawn == pytest.approx([joint, 0, 2 * joint], rel=1e-6, abs=1e-9)


def test_the_table_is_told_compared_and_read_only(flushed):
    steps = flushed.steps
    assert steps == pickle.loads(pickle.dumps(flushed)).steps
    assert "seen" in repr(steps).splitlines()[1] and len(repr(steps).splitlines()) == 4
    assert steps[0]["kind"] == "flush" and len(steps) == 3
    with pytest.raises(ValueError):
        steps["out_ml"][0] = 0.0
    with pytest.raises(KeyError, match="columns are"):
        steps["colour"]


def test_a_run_without_such_steps_has_an_empty_table(flushed):
    i = flushed.inputs
    run = es.run(i.rig, i.contents, es.Procedure(steps=[es.Step(bypass="open")]), max_strokes=1, checks=False, record=False)
    assert len(run.steps) == 0 and "no steps" in repr(run.steps)


def test_the_story_tells_each_step_with_its_numbers_before_the_stroke(flushed):
    lines = flushed.story().splitlines()
    rows = list(flushed.steps)
    assert [line.split(" (")[0] for line in lines[:3]] == ["Step 1", "Step 2", "Step 3"]
    assert f"{rows[0]['out_ml']:.1f} mL of oil went round in 2 bursts; bubbles were seen" in lines[0]
    assert f"{rows[1]['refilled_ml']:.1f} mL of oil filled up" in lines[1]
    assert "at the joints that were made first" in lines[2] and "joints" not in lines[0] + lines[1]
    assert lines[3].startswith("Before the first stroke") and lines[4].startswith("Stroke 1")
    assert not np.isnan(flushed.steps["free_air_ml"]).any()


@pytest.fixture(scope="module")
def compared(rig):
    """A little air on one side; read with the bypass shut, then stood."""
    steps = [es.Step(kind="compare", rods="held", held_n=250, halt_s=3, repeat=False),
             es.Step(kind="stand", stand_s=5, let_go=True, temperature_deg_c=35, repeat=False),
             es.Step(bypass="open", attitude="rod_up", press_s=2, extend_v=9, retract_v=6, travel=0.7)]  # fmt: skip
    contents = es.Contents.after_exchange(rig, opened=["left.cap_line"])
    return es.run(rig, contents, es.Procedure(steps=steps), max_strokes=1, checks=False, record=False)


def test_a_comparison_is_read_to_the_marks_and_other_steps_have_nothing_to_read(compared):
    look, stood = compared.steps
    mark_mm = compared.inputs.rig.get("observer.rod_mark_m") * 1e3
    read = [look[c] for c in ("apart_25_mm", "apart_50_mm", "apart_75_mm", "apart_at_stops_mm", "springs_back_mm")]
    assert np.array(read) / mark_mm == pytest.approx(np.round(np.array(read) / mark_mm), abs=1e-6)
    assert read[1] < 0 and 0 < look["held_n"] <= 250 and look["first_moves_s"] <= look["last_moves_s"]
    names = ("apart_25_mm", "apart_at_stops_mm", "last_moves_s", "to_pressure_s", "current_a", "level_rise_mm", "held_n")
    assert all(np.isnan(stood[c]) for c in names) and not any(np.isnan(look[c]) for c in names)


def test_the_story_tells_what_was_read_and_the_text_of_a_procedure_keeps_every_new_key(compared):
    line = compared.story().splitlines()[0]
    look = compared.steps[0]
    assert line.startswith("Step 1 (comparing the rods") and f"{look['apart_50_mm']:+.1f}" in line
    assert f"hands held the rods with up to {look['held_n']:.0f} N" in line
    procedure = compared.inputs.procedure
    assert es.parse_procedure(procedure_text(procedure)).steps == procedure.steps


def test_a_step_refuses_hands_that_hold_nothing_and_keys_of_other_kinds():
    for wrong in (dict(held_n=250.0), dict(kind="stand", rods="held"), dict(kind="compare", press_s=2.0),
                  dict(kind="compare", attitude="level"), dict(kind="compare", strokes=2), dict(temperature_deg_c=40.0),
                  dict(let_go=True), dict(kind="stand", travel=0.5), dict(halt_s=3.0), dict(kind="compare", extend_v=6.0)):  # fmt: skip
        with pytest.raises(es.InputError):
            es.Step(**wrong)
    for wrong in (dict(extend_v=0), dict(retract_v=0.0), dict(kind="stand", temperature_deg_c=-273.15)):
        with pytest.raises(es.InputError, match="_v|temperature_deg_c"):
            es.Step(**wrong)
    for wrong in (dict(rods="held", held_n=0.5), dict(press_s=601.0), dict(rods="panel", attitude="level"), dict(travel=0.0),
                  dict(kind="compare", halt_s=-1.0, repeat=False)):  # fmt: skip
        with pytest.raises(es.InputError):
            es.Procedure(steps=[es.Step(**wrong)])


def test_a_stand_that_warms_is_told_with_its_temperature_and_the_next_steps_keep_it(compared):
    told = [line for line in compared.story().splitlines() if line.startswith("Step 2 (standing")]
    assert len(told) == 1 and "oil and walls came to 35 °C" in told[0]
    assert list(np.round(compared.steps["oil_deg_c"], 6)) == [20, 35]
    assert compared.contents.warmed_k == pytest.approx(15)
    i = compared.inputs
    on = es.run(i.rig, compared.contents, es.Procedure(steps=[es.Step(kind="refill", repeat=False), es.Step()]), max_strokes=1)
    assert on.steps["oil_deg_c"] == pytest.approx([35])


def test_law_a_rig_full_of_oil_that_warms_fills_its_reservoir_by_what_all_of_it_grows(rig):
    """Common practice, no source: the level stands higher warm. V alpha dT of the oil in circuit and reservoir, over its area."""
    def level_mm(**warm):   # with the rods home again
        steps = [es.Step(kind="stand", stand_s=3600, let_go=True, bypass="open", repeat=False, **warm), es.Step(bypass="open")]
        done = es.run(rig, es.Contents.bled(rig), es.Procedure(steps=steps), max_strokes=1, checks=False, record=False)
        return done.strokes["level_mm"][1]
    start, grows = es.Contents.bled(rig), lambda t: 1 + rig.get("oil.expansion_per_k") * (t - 15)
    oil_kg = sum(p["oil_kg"] for p in start.places.values()) + start.reservoir["oil_kg"]
    oil_m3 = oil_kg * grows(20) / rig.get("oil.density_15_kg_per_m3")
    ratio = grows(50) / grows(20)
    rise_mm = oil_m3 * (ratio - 1) / rig.get("reservoir.area_m2") * 1e3
    assert level_mm(temperature_deg_c=50) - level_mm() == pytest.approx(rise_mm, rel=0.02)


def test_a_motor_that_runs_longer_than_its_duty_allows_is_told_and_one_that_rests_is_not(rig):
    limited = rig.replace(**{"pump.duty_s": 20.0})
    def notes(**burst):
        steps = [es.Step(kind="flush", valve="retract", repeat=False, **burst, **HOSES), es.Step(bypass="open")]
        done = es.run(limited, es.Contents.bled(limited), es.Procedure(steps=steps), max_strokes=1, checks=False, record=False)
        return [n for n in done.notes if "without a rest" in n]
    assert notes(motor_s=15, bursts=3, dwell_s=10) == []
    told = notes(motor_s=15, bursts=3, dwell_s=0)   # the bursts run into each other
    assert len(told) == 1 and told[0].startswith("step 1, before stroke 1: the motor ran 45 s") and "pump.duty_s" in told[0]


def test_bleed_screws_and_cracked_bypass_valves_are_told():
    """In the sentence of the step, and as the kind of the strokes: neither open nor closed."""
    rig = es.load_rig(RIGS / "roof_hatch.toml")
    burst = es.Step(kind="flush", motor_s=1, cracked_deg=20, bleed=["left.cap_chamber"], line_end="container", parted=["right.cap_port"], repeat=False)
    procedure = es.Procedure(steps=[burst, es.Step(cracked_deg=30)])
    run = es.run(rig, es.Contents.bled(rig), procedure, max_strokes=1, checks=False, record=False)
    assert run.status.ok, run.status
    assert list(run.strokes["kind"]) == ["start", "cracked"]
    told = run.story().splitlines()
    assert "bleed screws stood open at the cap side of the left cylinder" in told[0] and "cracked by 20°" in told[0]
    assert told[2].startswith("Stroke 1 (bypass cracked)") and "1 cracked" in repr(procedure)
