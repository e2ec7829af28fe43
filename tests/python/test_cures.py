"""Changes of a procedure are run before they are advised, and hold when run again from the file they write."""

import pytest
from conftest import exchanged

import evenstroke as es
from evenstroke import cautions
from test_practice import lift_table


@pytest.fixture(scope="module")
def low(low_rig, procedure):
    """Ports low, strokes alone never get there."""
    return es.cures(low_rig, exchanged(low_rig), procedure, members=8)


def test_air_above_a_low_port_goes_when_the_cylinder_is_turned_and_by_nothing_that_leaves_it_standing(low):
    """Common practice, no source: ports uppermost, or turn the cylinder."""
    works = [c.what for c in low.tried if c.works]
    assert works and all("rod down" in what for what in works)
    assert {"as it is", "filling up before each pass"} <= {c.what for c in low.tried if not c.works}
    assert low.best in low.tried and low.best.works and low.count.possible


def test_each_change_holds_when_run_again_from_the_file_it_writes(low, low_rig, tmp_path):
    contents, file = exchanged(low_rig), tmp_path / "cure.toml"

    def read_back(cure):
        file.write_text(cure.text(), encoding="utf-8")
        return es.load_procedure(file, low_rig)

    for cure in low.tried:
        again = es.run(low_rig, contents, read_back(cure), record=False)
        assert again.parallel == cure.parallel, cure.what
    answer = es.strokes_to_parallel(low_rig, contents, read_back(low.best), members=8)
    assert answer.parallel == low.count and answer.parallel.text in low.text()


def test_the_cheapest_comes_first(low):
    order = [(not c.works, c.joints_parted) for c in low.tried]
    assert order == sorted(order)


def test_what_works_comes_with_its_cautions_in_text_and_repr(low):
    for told in (low.text(), repr(low), repr(low.best)):
        assert all(c in told for c in low.best.cautions)
    assert {cautions.PARTING, cautions.OPEN, cautions.BY_HAND, cautions.HANDS} <= set(low.best.cautions)
    assert cautions.LIMITS in low.text() and cautions.LOCAL in low.text() and cautions.TURNING in low.text()


def test_a_change_that_is_only_named_brings_its_cautions_too(rig, procedure):
    """The hatch gets there as it is; stroking by hand would do as well, and that parts joints."""
    found = es.cures(rig, exchanged(rig), procedure, members=2)
    named = [c for c in found.tried if c.works and c.joints_parted]
    assert found.best.what == "as it is" and named
    assert all(c in found.text() for cure in named for c in cure.cautions)


def test_a_rig_that_stalls_is_answered_and_nothing_is_lost(rig, procedure):
    """The relief opens at 1 bar and lets everything by under four tonnes."""
    stalled = rig.replace(**{"valve_block.relief_pa_gauge": 1e5, "panel.mass_kg": 4000.0})
    found = es.cures(stalled, exchanged(stalled), procedure, members=2, max_strokes=3)
    assert "as it is" in [c.what for c in (*found.tried, *found.refused)]
    assert found.best is None and cautions.LIMITS in found.text()


def test_a_procedure_that_works_is_left_as_it_is(rig, procedure):
    found = es.cures(rig, exchanged(rig), procedure, members=4)
    assert found.best.what == "as it is" and "works as it is" in found.text()


def test_nothing_is_advised_against_a_piston_that_leaks(rig, procedure):
    """A rod that lags for want of a seal lags without air as well: no bleeding cures it."""
    leaks = rig.replace(**{"branch.right.leak_m3_per_s_pa": 5e-13})
    answer = es.strokes_to_parallel(leaks, exchanged(leaks), procedure, members=4, max_strokes=4)
    found = answer.cures(members=4)
    assert found.best is None and found.count is None
    assert "look for another cause" in found.text() and "none works" in repr(found)


def test_what_raises_the_pressure_above_the_relief_and_above_what_was_is_not_advised(rig, procedure):
    """On this rig strokes that follow a filling by hand reach 8.3 bar, those of the procedure as it is 8.1."""
    found = es.cures(rig.replace(**{"valve_block.relief_pa_gauge": 8.2e5}), exchanged(rig), procedure, members=4)
    assert all(c.highest_bar_gauge <= 8.2 for c in found.tried)
    assert found.refused and all(c.highest_bar_gauge > 8.2 for c in found.refused)
    assert found.best not in found.refused and found.refused[0].what in found.text().split("Not recommended")[1]


def test_each_kind_of_step_has_cautions_and_open_joints_add_theirs():
    for kind in ("cycle", "stand", "flush", "refill"):
        assert cautions.of_steps([es.Step(kind=kind)])
    assert cautions.BY_HAND in cautions.of_steps([es.Step(kind="hand", by_hand=["left"])])
    joined = es.Step(kind="flush", parted=["left.cap_port", "left.rod_port"], line_end="joined")
    opened = es.Step(kind="stand", parted=["left.cap_port"], line_end="container")
    assert cautions.PARTING in cautions.of_steps([joined]) and cautions.OPEN not in cautions.of_steps([joined])
    assert {cautions.OPEN, cautions.UNDER_OIL} <= set(cautions.of_steps([opened]))
    assert set(cautions.of_steps([joined, opened])) <= set(cautions.CAUTIONS)


def test_short_strokes_that_move_less_than_the_line_holds_are_cured_by_whole_ones():
    """Common practice, no source: the whole stop-to-stop stroke. 47 mL a stroke, a line of 28 mL, strokes of a third."""
    rig = lift_table(6, stroke_mm=150)
    contents = es.Contents.after_exchange(rig, dry=["left.cap_line"])
    short = es.Procedure(steps=[es.Step(bypass="open", travel=1 / 3)], max_strokes=8)
    found = es.cures(rig, contents, short, members=2)
    whole = next(c for c in found.tried if c.what == "whole strokes, from stop to stop")
    assert not next(c for c in found.tried if c.what == "as it is").works and whole.works
    again = es.run(rig, contents, es.parse_procedure(whole.text()), record=False)
    assert again.parallel == whole.parallel and all(s.travel == 1 for s in whole.procedure.steps)


def test_warming_and_other_voltages_are_tried_and_bring_their_cautions(low):
    what = {c.what: c for c in (*low.tried, *low.refused)}
    warm = next(c for name, c in what.items() if name.startswith("first warming oil and parts to 40 °C"))
    assert cautions.WARM in warm.cautions and warm.minutes > 60
    assert {f"the motor at 6 V on the way {way}" for way in ("out", "back", "out and back")} <= set(what)
    assert cautions.WARM not in what["the motor at 6 V on the way out"].cautions


def test_oil_that_is_warm_already_is_not_warmed_and_a_weak_supply_is_not_halved(rig, procedure):
    warmed = es.run(rig, exchanged(rig), es.Procedure(steps=[es.Step(kind="stand", stand_s=3600, let_go=True, repeat=False,
                    temperature_deg_c=60), es.Step(bypass="open")]), max_strokes=1, checks=False, record=False).contents  # fmt: skip
    weak = rig.replace(**{"pump.supply_v": 1.5})
    for r, contents, word in ((rig, warmed, "warming"), (weak, exchanged(weak), "the motor at")):
        found = es.cures(r, contents, procedure, members=2, max_strokes=2)
        assert not [c.what for c in (*found.tried, *found.refused) if word in c.what]


def test_the_bypass_is_not_advised_open_under_the_panel(rig):
    """Nothing keeps the rods in step then, bled or not."""
    shut = es.Procedure(steps=[es.Step(bypass="closed", rods="panel")], max_strokes=2)
    found = es.cures(rig, exchanged(rig), shut, members=2)
    opened = next(c for c in (*found.tried, *found.refused) if c.what.startswith("the bypass valves open"))
    assert "rods off the panel" in opened.what and all(s.rods == "free" for s in opened.procedure.steps)
    assert cautions.BYPASS in opened.cautions
    noted = es.run(rig, exchanged(rig), es.Procedure(steps=[es.Step(bypass="open", rods="panel")]), max_strokes=1, checks=False)
    assert any("bypass open under the panel" in n for n in noted.notes)


def test_a_procedure_written_as_text_reads_back_as_it_was():
    steps = [
        es.Step(kind="flush", parted=["left.cap_port", "left.rod_port"], line_end="joined", bursts=3, motor_s=12.5,
                clear_m3=1e-4, refill=True, valve="retract", bypass="open", repeat=False, dwell_s=0.1),
        es.Step(kind="hand", by_hand=["left"], parted=["left.cap_port"], port="container", attitude="level", hand_n=33.3,
                hand_speed_m_per_s=0.1, strokes=4, repeat=False),
        es.Step(kind="stand", stand_s=1e-3, temperature_deg_c=38.7, let_go=True),
        es.Step(kind="refill"),
        es.Step(kind="compare", halt_s=77.7),
        es.Step(bypass="open", strokes=3, rods="panel", extend_v=8.1, retract_v=3.3, travel=0.123),
    ]  # fmt: skip
    procedure = es.Procedure(name='a "b"\\\n\x7f é', max_strokes=7, steps=steps)
    assert es.parse_procedure(es.procedure_text(procedure)) == procedure
    with pytest.raises(es.InputError, match="procedure"):
        es.procedure_text("no procedure")


def test_errors_of_cures_name_the_argument(rig, procedure):
    with pytest.raises(es.InputError, match="members"):
        es.cures(rig, exchanged(rig), procedure, members=1)
    with pytest.raises(es.InputError, match="confidence"):
        es.cures(rig, exchanged(rig), procedure, confidence=95)
    with pytest.raises(TypeError, match="record"):
        es.cures(rig, exchanged(rig), procedure, record=False)
    with pytest.raises(es.InputError, match="rig"):
        es.cures("rig", exchanged(rig), procedure)
