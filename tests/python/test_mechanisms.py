"""The reason that is named is the cause: without it the rods get in step, without any other they do not."""

import pytest

import evenstroke as es
from conftest import RIGS

SHORT, LONG = dict(cap_line_bore_mm=4, cap_line_length_m=1), dict(cap_line_bore_mm=8, cap_line_length_m=3)
SOUND = dict(
    SHORT, attitude="rod_down", leak=0.0, hose=0.0, bypass="open", spare_ml=440, area_cm2=80, centre=0.5, breakaway_bar=2,
    right_bore_mm=20, right_stroke_mm=100,
)  # fmt: skip
HERE = dict(  # what a bench has that is no reason
    dry=["left.cylinder"], opened=[], rods="in", dwell_s=20, grade=22, deg_c=20, synchroniser="metering_pistons", mass_kg=110,
    left_line_m=None, strokes=7,
)  # fmt: skip
REMOVED = {  # what a rig is without one of the reasons
    "air above a port": dict(attitude="rod_down"),
    "line too long for the stroke": SHORT,
    "bypass shut": dict(bypass="open"),
    "reservoir too low": dict(spare_ml=440),   # oil above the intake
    "bubbles go round": dict(area_cm2=1000),
    "leakage": dict(leak=0.0),
    "soft lines": dict(hose=0.0),
    "friction and load": dict(centre=0.5, breakaway_bar=2),
    "unequal cylinders": dict(right_bore_mm=20, right_stroke_mm=100),
}
PORT, LINE, SHUT = dict(attitude="rod_up"), dict(dry=["left.cap_line"], **LONG), dict(bypass="closed", dry=["synchroniser"])
LEAK, HOSE = dict(leak=1e-12), dict(hose=2e-8)
LOAD, LONGER, SHORTER = dict(centre=0.1, mass_kg=550), dict(right_stroke_mm=105), dict(right_stroke_mm=95)
TEE = dict(synchroniser="tee", dry=[], opened=["left.cap_line"])
ONE_LONGER = dict(cap_line_bore_mm=5, cap_line_length_m=1.4, left_line_m=0.3)   # of the lines: else both sides have alike
LOW = dict(ONE_LONGER, spare_ml=24, strokes=5)
BOTH = dict(dry=["left.cylinder", "right.cylinder"], rods="out")
# cold, and hardly a rest
ROUND = dict(ONE_LONGER, **BOTH, spare_ml=240, area_cm2=30, dwell_s=2, grade=32, deg_c=10, mass_kg=0, strokes=5)
ONE = {
    "port": (PORT, "air above a port"),
    "port, thin line": (dict(attitude="rod_up", cap_line_bore_mm=3), "air above a port"),
    "port, reservoir shallow but never down to its intake": (dict(PORT, spare_ml=60), "air above a port"),
    "port, and a slug that comes out last": (dict(PORT, rods="out"), "air above a port"),
    "line": (LINE, "line too long for the stroke"),
    "line, half as long": (dict(LINE, cap_line_length_m=1.5), "line too long for the stroke"),
    "line as long as a stroke, bubbles": (dict(cap_line_bore_mm=6, rods="out"), "line too long for the stroke"),
    "shut": (SHUT, "bypass shut"),
    "shut, cylinder dry": (dict(bypass="closed"), "bypass shut"),
    "low": (LOW, "reservoir too low"),
    "bubbles": (ROUND, "bubbles go round"),
    "bubbles, thicker oil": (dict(ROUND, grade=46, deg_c=15), "bubbles go round"),
    "leak": (LEAK, "leakage"),
    "hose": (HOSE, "soft lines"),
    "load": (LOAD, "friction and load"),
    "load on a tee": (dict(TEE, centre=0.52), "friction and load"),
    "friction on a tee": (dict(TEE, breakaway_bar=2.2), "friction and load"),
    "stroke": (LONGER, "unequal cylinders"),
    "bore on a tee": (dict(TEE, right_bore_mm=20.5), "unequal cylinders"),
}
TWO = {
    "port and leak": (dict(PORT, **LEAK), {"air above a port", "leakage"}),
    "line and hose": (dict(LINE, **HOSE), {"line too long for the stroke", "soft lines"}),
    "shut and leak": (dict(SHUT, **LEAK), {"bypass shut", "leakage"}),
    "port and hose": (dict(PORT, **HOSE), {"air above a port", "soft lines"}),
    "port and load": (dict(PORT, **LOAD), {"air above a port", "friction and load"}),
    "port and stroke": (dict(PORT, **LONGER), {"air above a port", "unequal cylinders"}),
    "low and port": (dict(LOW, **PORT), {"reservoir too low", "air above a port"}),
    "bubbles and line": (dict(ROUND, dwell_s=3, strokes=7), {"bubbles go round", "line too long for the stroke"}),
    "bubbles and stroke": (dict(ROUND, **SHORTER), {"bubbles go round", "unequal cylinders"}),
}


def done(change):
    """The run of a small pair of cylinders, sound but for the change; the left cylinder dry where nothing else is said."""
    k = {**SOUND, **HERE, **change}
    left = f"[branch.left]\ncap_line_bore_mm = 4\ncap_line_length_m = {k['left_line_m']}" if k["left_line_m"] else ""
    rig = es.parse_rig(f"""
        format_version = 1
        name = "riser"
        [oil]
        grade = "ISO VG {k['grade']}"
        temperature_deg_c = {k['deg_c']}
        [pump]
        displacement_cm3_per_rev = 0.24
        supply_v = 12
        [reservoir]
        oil_ml = {k['spare_ml'] + 2 * k['area_cm2']}
        area_cm2 = {k['area_cm2']}
        intake_mm = 20
        capacity_l = 4
        [synchroniser]
        kind = "{k['synchroniser']}"
        [panel]
        mass_kg = {k['mass_kg']}
        centre_of_mass = {k['centre']}
        [branch]
        bore_mm = 20
        rod_mm = 12
        stroke_mm = 100
        attitude = "{k['attitude']}"
        cap_line_bore_mm = {k['cap_line_bore_mm']}
        cap_line_length_m = {k['cap_line_length_m']}
        rod_line_bore_mm = 4
        rod_line_length_m = 1
        {left}
        [branch.right]
        bore_mm = {k['right_bore_mm']}
        stroke_mm = {k['right_stroke_mm']}
        breakaway_pa_diff = {1e5 * k['breakaway_bar']}
        leak_m3_per_s_pa = {k['leak']}
        cap_line_expansion_per_pa = {k['hose']}
        """)
    contents = es.Contents.after_exchange(rig, dry=k["dry"], opened=k["opened"], rods=k["rods"])
    bypass = {} if k["synchroniser"] == "tee" else dict(bypass=k["bypass"])
    procedure = es.Procedure(steps=[es.Step(strokes=2, dwell_s=k["dwell_s"], **bypass)])
    return es.run(rig, contents, procedure, max_strokes=k["strokes"], record=False)


def in_step(run):
    return run.parallel.answered is es.Answered.reached


def without(change, reasons):
    return {**change, **{key: value for r in reasons for key, value in REMOVED[r].items()}}


@pytest.mark.parametrize("name", ONE)
def test_without_the_reason_named_the_rods_get_in_step_and_without_any_other_they_do_not(name):
    change, reason = ONE[name]
    run = done(change)
    assert not in_step(run) and run.mechanisms()[0].name == reason
    for other in REMOVED:
        if {**SOUND, **without(change, [other])} != {**SOUND, **change}:  # the rig has it
            assert in_step(done(without(change, [other]))) is (other == reason), other


@pytest.mark.parametrize("name", TWO)
def test_of_two_reasons_both_are_named_and_only_without_both_the_rods_get_in_step(name):
    change, reasons = TWO[name]
    found = done(change).mechanisms()
    assert {m.name for m in found[:2]} == reasons
    assert found[0].costs_mm >= found[1].costs_mm
    for reason in reasons:
        assert not in_step(done(without(change, [reason])))
    assert in_step(done(without(change, reasons)))


def swung(rods="panel", **change):
    """A table that swings past the upright, full of oil, without a valve that holds it; compared to 1.9 mm."""
    rig = es.load_rig(RIGS / "lift_table.toml").replace(**{"valve_block.counterbalance_pa_gauge": 0.0, **change})
    procedure = es.Procedure(steps=[es.Step(bypass="open", rods=rods)])
    return es.run(rig, es.Contents.bled(rig), procedure, max_strokes=5, tolerance_mm=1.9, record=False)


def test_a_panel_that_outruns_the_pump_is_named_and_only_what_holds_it_or_takes_it_off_cures():
    run = swung()
    first = run.mechanisms()[0]
    assert not in_step(run) and first.name == "panel outruns the pump" and "0.7 bar abs" in first.text
    held = {"valve_block.counterbalance_pa_gauge": 60e5}
    assert in_step(swung(**held)) and in_step(swung(rods="free"))
    stiff = {f"branch.{b}.{line}_wall_modulus_pa": 5e11 for b in ("left", "right") for line in ("cap_line", "rod_line")}
    for change in ({"reservoir.area_m2": 0.1, "reservoir.capacity_m3": 0.1}, stiff, {"panel.centre_of_mass": 0.5}):
        assert not in_step(swung(**change)), change
    alike = {"branch.right.cap_line_length_m": 1.5, "branch.right.rod_line_length_m": 1.5}
    assert in_step(swung(**alike))   # then both sides have it, and it sets none apart
    assert "panel outruns the pump" not in [m.name for m in swung(**held, **{"branch.right.leak_m3_per_s_pa": 1e-12}).mechanisms()]


def test_a_rig_whose_port_lies_uppermost_is_never_said_to_trap_air_below_it():
    """A reservoir that runs dry leaves air under the piston as well; a run that stalls is not judged at all."""
    run = done({})
    i = run.inputs
    dry = i.rig.replace(**{"reservoir.oil_m3": 1e-5})
    stalled = i.rig.replace(**{"valve_block.relief_pa_gauge": 1e5, "panel.mass_kg": 4000.0})
    for rig in (dry, stalled):
        again = es.run(rig, es.Contents.after_exchange(rig, dry=["left.cylinder"]), i.procedure, max_strokes=3, record=False)
        assert "air above a port" not in [m.name for m in again.mechanisms()]


def test_air_that_both_sides_have_alike_is_no_reason():
    """1.5 mL under each piston; the longer stroke alone sets the rods apart."""
    run = done(dict(PORT, **LONGER, dry=["left.cylinder", "right.cylinder"]))
    held = [run.contents.places[f"{b}.cap_chamber"]["free_air_m3"] * 1e6 for b in ("left", "right")]
    assert not in_step(run) and held == pytest.approx([1.5, 1.5], abs=0.05)
    assert [m.name for m in run.mechanisms()] == ["unequal cylinders"]


def test_rods_inside_the_tolerance_that_are_only_not_confirmed_need_no_reason():
    run = done(dict(strokes=2))
    assert not in_step(run) and run.mechanisms() == [] and "have not confirmed it" in run.why_not_fewer()


def test_a_run_that_gets_there_has_no_reason_to_name():
    run = done({})
    assert in_step(run) and run.mechanisms() == [] and "Reason:" not in run.story()


def test_reasons_stand_in_the_story_and_in_the_answer(low_run, low_rig, procedure):
    first = low_run.mechanisms()[0]
    assert first.name == "air above a port" and "left cylinder" in first.text
    assert f"Reason: {first.name}" in low_run.story()
    i = low_run.inputs
    assert f"Reason: {first.name}" in es.strokes_to_parallel(i.rig, i.contents, i.procedure, members=2).text()


def test_what_would_take_a_reason_away_comes_with_its_cautions_in_story_answer_and_repr(low_run):
    first = low_run.mechanisms()[0]
    assert first.cautions and all(c in low_run.story() and c in repr(first) for c in first.cautions)
    assert set(first.cautions) <= set(es.cautions.CAUTIONS)
    i = low_run.inputs
    assert all(c in es.strokes_to_parallel(i.rig, i.contents, i.procedure, members=2).text() for c in first.cautions)


def test_law_the_cost_of_air_is_the_travel_its_volume_takes(low_run):
    """V / A: 1 mL on a bore of 20 mm is 3.18 mm; the other side holds next to none."""
    first = low_run.mechanisms()[0]
    held = low_run.contents.places["left.cap_chamber"]["free_air_m3"]
    assert first.costs_mm == pytest.approx(held / 3.14159265e-4 * 1e3, rel=1e-3)


def test_what_parts_rods_without_air_is_looked_for_at_the_temperature_they_have():
    """At 60 deg C, on a tee, nothing but a breakaway that is not the same; the rig itself is cold."""
    warm = done(dict(TEE, breakaway_bar=2.2, deg_c=60, strokes=2))
    cold = done(dict(TEE, breakaway_bar=2.2, deg_c=-10, strokes=2)).inputs
    heat = es.Step(kind="stand", stand_s=3600, let_go=True, temperature_deg_c=60, repeat=False)
    heated = es.run(cold.rig, cold.contents, es.Procedure(steps=[es.Step(repeat=False), heat, es.Step()]), max_strokes=2, record=False)
    names = [m.name for m in heated.mechanisms()]
    assert names == [m.name for m in warm.mechanisms()] == ["friction and load"]
