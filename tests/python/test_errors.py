"""The caller's mistakes raise an error that names them; what nature does is a status."""

import reprlib
from decimal import Decimal
from fractions import Fraction

import numpy as np
import pytest

import evenstroke as es
from conftest import RIGS, exchanged

GOOD = (RIGS / "roof_hatch.toml").read_text(encoding="utf-8")


def test_errors_name_field_value_and_rule(rig, contents, procedure):
    with pytest.raises(es.InputError) as caught:
        rig.replace(**{"branch.left.bore_m": 20})
    e = caught.value
    assert (e.field, e.value) == ("branch.left.bore_m", "20") and e.rule and e.field in str(e) and "20" in str(e)
    for name, value in dict(
        tolerance_mm=0, max_strokes=0, quantum_share=2, rel_tol=0, ln_pressure=-1, max_samples=1, streamtubes=513, parcels=3,
        solver="rodas6p"
    ).items():
        with pytest.raises(es.InputError, match=name):
            es.run(rig, contents, procedure, **{name: value})


def test_what_the_rig_cannot_do_is_refused(rig, procedure):
    tee = es.parse_rig(GOOD.replace('"metering_pistons"', '"tee"', 1))
    opened = es.Procedure(steps=[es.Step(bypass="open")])
    with pytest.raises(es.InputError, match="bypass"):
        es.run(tee, es.Contents.bled(tee), opened)
    with pytest.raises(es.InputError, match="panel"):
        bare = rig.replace(**{"panel.mass_kg": 0})
        es.run(bare, es.Contents.bled(bare), es.Procedure(steps=[es.Step(rods="panel")]))
    with pytest.raises(es.InputError, match="same parts"):
        used = es.run(tee, exchanged(tee), es.Procedure(steps=[es.Step()]), max_strokes=1, checks=False).contents
        es.run(rig, used, procedure)  # a tee has no carriage to give


def test_arguments_go_by_name(rig, contents, procedure):
    with pytest.raises(TypeError):
        es.run(rig, contents, procedure, 1.0)
    with pytest.raises(TypeError, match="tolerance"):
        es.run(rig, contents, procedure, tolerance=1.0)
    with pytest.raises(TypeError):
        es.Contents.after_exchange(rig, ["left.cylinder"])


def refused(field, value, call):
    """The call raises InputError that names argument, value and a rule, in one line."""
    with pytest.raises(es.InputError) as caught:
        call()
    e = caught.value
    assert e.field == field and e.rule and "\n" not in str(e), str(e)
    assert str(e).startswith(f"{field} = ") and str(value) in str(e) and e.rule in str(e), str(e)


@pytest.mark.parametrize("value", ["x", "1.5", b"1", None, [0.5], {}, 1j, True, np.array([0.5]), 10**400])
def test_what_is_no_number_is_refused_by_its_name(rig, contents, procedure, value):
    told = reprlib.repr(value)
    refused("air.slug_slip", told, lambda: rig.replace(**{"air.slug_slip": value}))
    refused("dwell_s", told, lambda: es.Step(dwell_s=value))
    refused("confidence", told, lambda: es.strokes_to_parallel(rig, contents, procedure, confidence=value))
    if value is not None:
        for name in ("tolerance_mm", "quantum_share", "rel_tol", "ln_pressure"):
            refused(name, told, lambda: es.run(rig, contents, procedure, **{name: value}))


@pytest.mark.parametrize("value", ["x", "3", 3.0, True, [3], 0, 10**30])
def test_what_is_no_whole_number_in_range_is_refused_by_its_name(rig, contents, procedure, value):
    told = reprlib.repr(value)
    for name in ("max_strokes", "max_samples", "streamtubes", "parcels"):
        refused(name, told, lambda: es.run(rig, contents, procedure, **{name: value}))
    refused("members", told, lambda: es.strokes_to_parallel(rig, contents, procedure, members=value))
    refused("members", told, lambda: es.sampling.members_from_bands(rig, members=value))
    refused("strokes", told, lambda: es.Step(strokes=value))
    refused("max_strokes", told, lambda: es.Procedure(steps=[es.Step()], max_strokes=value))


def test_numbers_of_other_kinds_are_taken(rig, contents, procedure):
    for half in (0.5, np.float32(0.5), np.array(0.5), Fraction(1, 2), Decimal("0.5")):
        assert rig.replace(**{"air.slug_slip": half}).get("air.slug_slip") == 0.5
    assert es.Step(strokes=np.int64(3), dwell_s=5) == es.Step(strokes=3, dwell_s=5.0)
    assert es.run(rig, contents, procedure, max_strokes=np.int8(1), tolerance_mm=2).tolerance_mm == 2


def test_things_of_another_kind_are_refused_by_their_name(rig, contents, procedure):
    for name, call in {
        "rig": lambda: es.run("roof_hatch.toml", contents, procedure),
        "contents": lambda: es.run(rig, rig, procedure),
        "procedure": lambda: es.strokes_to_parallel(rig, contents, None),
        "rigs": lambda: es.run_batch([rig, 1], contents, procedure),
        "procedures": lambda: es.run_batch(rig, contents, []),
        "checks": lambda: es.run(rig, contents, procedure, checks="no"),
        "dry": lambda: es.Contents.after_exchange(rig, dry="left.cylinder"),
        "opened": lambda: es.Contents.after_exchange(rig, opened=[1]),
        "rods": lambda: es.Contents.bled(rig, rods=1),
        "bypass": lambda: es.Step(bypass=True),
        "repeat": lambda: es.Step(repeat="yes"),
        "steps": lambda: es.Procedure(steps=es.Step()),
        "solver": lambda: es.run(rig, contents, procedure, solver=4),
        "kind": lambda: es.Step(kind=1),
        "parted": lambda: es.Step(kind="stand", parted="left.cap_port"),
        "attitude": lambda: es.Step(kind="stand", attitude=2),
        "hand_n": lambda: es.Step(kind="hand", by_hand=["left"], hand_n="strong"),
    }.items():
        refused(name, "", call)


def test_a_step_takes_what_belongs_to_its_kind():
    hand = dict(kind="hand", by_hand=["left"])
    for field, value, said, step in (
        ("kind", "stnad", "did you mean stand?", dict()),
        ("parted", "left.cap_prot", "did you mean left.cap_port?", dict(kind="stand")),
        ("line_end", "contaner", "did you mean container?", dict(kind="stand", parted=["left.cap_port"])),
        ("port", "air", "no joint is parted", hand),
        ("stand_s", 5, 'of kind "stand"', hand),
        ("rods", "panel", 'of kind "cycle"', hand),
        ("parted", ["left.cap_port"], 'of kind "hand" or "stand"', dict()),
        ("strokes", 2, 'of kind "cycle" or "hand"', dict(kind="stand")),
        ("hand_speed_m_per_s", 0.1, 'of kind "hand"', dict(kind="stand")),
        ("by_hand", ["left", "left"], "named twice", dict(kind="hand")),
    ):
        given = {**step, field: [value] if field == "parted" and isinstance(value, str) else value}
        with pytest.raises(es.InputError) as caught:
            es.Step(**given)
        assert caught.value.field == field and said in caught.value.rule, (field, str(caught.value))


def test_a_procedure_names_the_step_that_is_out_of_range(rig):
    for field, step in {
        "step 1.hand_n": es.Step(kind="hand", by_hand=["left"], hand_n=0, repeat=False),
        "step 1.hand_speed_m_per_s": es.Step(kind="hand", by_hand=["left"], hand_speed_m_per_s=2, repeat=False),
        "step 1.stand_s": es.Step(kind="stand", stand_s=-1, repeat=False),
        "step 1.by_hand": es.Step(kind="hand", repeat=False),
    }.items():
        with pytest.raises(es.InputError) as caught:
            es.Procedure(steps=[step, es.Step()])
        assert caught.value.field == field
    with pytest.raises(es.InputError, match="powered strokes"):
        es.Procedure(steps=[es.Step(kind="stand")])
    for step in (dict(kind="hand", by_hand=["middle"]), dict(kind="stand", parted=["middle.cap_port"])):
        with pytest.raises(es.InputError, match="middle"):
            bench = es.Procedure(steps=[es.Step(**step, repeat=False), es.Step()])
            es.run(rig, es.Contents.bled(rig), bench, max_strokes=1)


def test_nature_is_a_status_and_never_an_error(rig, procedure):
    relief = {
        "valve_block.relief_pa_gauge": 1e5,
        "valve_block.relief_gain_m3_per_s_pa": 1e-9,
    }  # opens wide, far too early
    weak = rig.replace(**relief, **{"panel.mass_kg": 4000})
    lift = es.Procedure(steps=[es.Step(rods="panel")])
    run = es.run(weak, es.Contents.bled(weak), lift, checks=False)
    assert (
        run.status.outcome is es.Outcome.stalled
        and "relief" in run.status.message
        and repr(run).startswith("<Run stalled")
    )
    assert run.status.message in run.story()
    with pytest.raises(es.RunStopped, match="relief"):
        run.raise_for_status()
