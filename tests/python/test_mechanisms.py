"""The reason that is named is the cause: without it the rods get in step, without any other they do not."""

import pytest

import evenstroke as es

SHORT, LONG = dict(cap_line_bore_mm=4, cap_line_length_m=1), dict(cap_line_bore_mm=8, cap_line_length_m=3)
SOUND = dict(attitude="rod_down", **SHORT, leak=0.0, hose=0.0, bypass="open")
REMOVED = {  # what a rig is without one of the reasons
    "air above a port": dict(attitude="rod_down"),
    "line longer than the stroke": SHORT,
    "bypass shut": dict(bypass="open"),
    "leakage": dict(leak=0.0),
    "soft lines": dict(hose=0.0),
}
PORT, LINE, SHUT = dict(attitude="rod_up"), dict(dry=["left.cap_line"], **LONG), dict(bypass="closed", dry=["synchroniser"])
LEAK, HOSE = dict(leak=1e-12), dict(hose=2e-8)
ONE = {
    "port": (PORT, "air above a port"),
    "port, thin line": (dict(attitude="rod_up", cap_line_bore_mm=3), "air above a port"),
    "line": (LINE, "line longer than the stroke"),
    "line, half as long": (dict(LINE, cap_line_length_m=1.5), "line longer than the stroke"),
    "shut": (SHUT, "bypass shut"),
    "shut, cylinder dry": (dict(bypass="closed"), "bypass shut"),
    "leak": (LEAK, "leakage"),
    "hose": (HOSE, "soft lines"),
}
TWO = {
    "port and leak": (dict(PORT, **LEAK), {"air above a port", "leakage"}),
    "line and hose": (dict(LINE, **HOSE), {"line longer than the stroke", "soft lines"}),
    "shut and leak": (dict(SHUT, **LEAK), {"bypass shut", "leakage"}),
    "port and hose": (dict(PORT, **HOSE), {"air above a port", "soft lines"}),
}


def done(change, strokes=7):
    """The run of a small pair of cylinders, sound but for the change; the left cylinder dry where nothing else is said."""
    k = {**SOUND, "dry": ["left.cylinder"], **change}
    rig = es.parse_rig(f"""
        format_version = 1
        name = "riser"
        [oil]
        grade = "ISO VG 22"
        [pump]
        displacement_cm3_per_rev = 0.24
        supply_v = 12
        [synchroniser]
        kind = "metering_pistons"
        [panel]
        mass_kg = 110
        [branch]
        bore_mm = 20
        rod_mm = 12
        stroke_mm = 100
        attitude = "{k['attitude']}"
        cap_line_bore_mm = {k['cap_line_bore_mm']}
        cap_line_length_m = {k['cap_line_length_m']}
        rod_line_bore_mm = 4
        rod_line_length_m = 1
        [branch.right]
        leak_m3_per_s_pa = {k['leak']}
        cap_line_expansion_per_pa = {k['hose']}
        """)
    contents = es.Contents.after_exchange(rig, dry=k["dry"])
    procedure = es.Procedure(steps=[es.Step(bypass=k["bypass"], strokes=2, dwell_s=20)])
    return es.run(rig, contents, procedure, max_strokes=strokes, record=False)


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


def test_a_rig_whose_port_lies_uppermost_is_never_said_to_trap_air_below_it():
    """A reservoir that runs dry leaves air under the piston as well; a run that stalls is not judged at all."""
    run = done({})
    i = run.inputs
    dry = i.rig.replace(**{"reservoir.oil_m3": 1e-5})
    stalled = i.rig.replace(**{"valve_block.relief_pa_gauge": 1e5, "panel.mass_kg": 4000.0})
    for rig in (dry, stalled):
        again = es.run(rig, es.Contents.after_exchange(rig, dry=["left.cylinder"]), i.procedure, max_strokes=3, record=False)
        assert "air above a port" not in [m.name for m in again.mechanisms()]


def test_rods_inside_the_tolerance_that_are_only_not_confirmed_need_no_reason():
    run = done({}, strokes=2)
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


def test_law_the_cost_of_air_is_the_travel_its_volume_takes(low_run):
    """V / A: 1 mL on a bore of 20 mm is 3.18 mm."""
    first = low_run.mechanisms()[0]
    held = low_run.contents.places["left.cap_chamber"]["free_air_m3"]
    assert first.costs_mm == pytest.approx(held / 3.14159265e-4 * 1e3, rel=1e-3)
