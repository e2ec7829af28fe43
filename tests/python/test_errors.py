"""The caller's mistakes raise an error that names them; what nature does is a status."""

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
        tolerance_mm=0, max_strokes=0, quantum_share=2, rel_tol=0, ln_pressure=-1, max_samples=1
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
