"""What the package offers by name: documented, light to import, and as its help says."""

import inspect
import re
import subprocess
import sys

import numpy as np
import pytest

import evenstroke as es

HEAVY = ("matplotlib", "scipy", "pandas", "xarray")
PUBLIC = [name for name in es.__all__ if callable(getattr(es, name))]
LAWS = [name for name in es.laws.__all__ if name != "FlowSegment"]


def test_import_loads_nothing_heavy_and_takes_at_most_0_3_s():
    code = (
        "import sys, time; t = time.process_time(); import evenstroke; t = time.process_time() - t;"
        f"print(t); print([m for m in {HEAVY!r} if m in sys.modules])"
    )
    times = []
    for _ in range(3):  # the first may find cold files; the best of three is the package's own
        out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.split(
            "\n"
        )
        assert out[1] == "[]"
        times.append(float(out[0]))
    assert min(times) <= 0.3


@pytest.mark.parametrize("name", PUBLIC)
def test_every_public_name_says_what_it_is(name):
    thing = getattr(es, name)
    doc = inspect.getdoc(thing)
    assert doc and doc != inspect.getdoc(object) and len(doc.split("\n")[0]) <= 120
    if inspect.isfunction(thing):
        assert "Returns\n-------" in doc and "Raises\n------" in doc
        for parameter in inspect.signature(thing).parameters:
            assert parameter in doc, parameter


@pytest.mark.parametrize("name", LAWS)
def test_every_law_names_its_parameters_and_result(name):
    doc = getattr(es.laws, name).__doc__
    head, _, rest = doc.partition("Parameters\n----------\n")
    assert "Returns\n-------" in rest, doc
    arguments = re.findall(r"(\w+): ", head.split("->")[0])
    assert arguments
    for argument in arguments:
        assert re.search(rf"^{argument} : ", rest, re.MULTILINE), argument


@pytest.mark.parametrize("name", ["Run", "Answer", "StrokeTable"])
def test_every_public_member_of_a_result_is_documented(name):
    kind = getattr(es, name)
    for member in vars(kind):
        if not member.startswith("_"):
            assert inspect.getdoc(getattr(kind, member)) or f"{member}" in kind.__doc__, member


def test_fields_of_a_rig_say_value_range_band_and_source(rig):
    fields = {f.path: f for f in rig.fields()}
    slip = fields["air.slug_slip"]
    assert slip.range == (0, 1) and slip.band == (0, 1) and slip.evidence == "slug_slip" and slip.help.endswith(".")
    assert fields["branch.left.bore_m"].band is None
    assert all(f.range[0] <= f.value <= f.range[1] for f in fields.values())
    assert all(rig.get(path) == f.value for path, f in fields.items())


def test_replace_changes_one_field_of_a_copy(rig):
    before = rig.get("branch.left.cap_line_length_m")
    longer = rig.replace(**{"branch.left.cap_line_length_m": before + 1})
    assert longer.get("branch.left.cap_line_length_m") == before + 1
    assert rig.get("branch.left.cap_line_length_m") == before
    changed = [f.path for f, g in zip(rig.fields(), longer.fields()) if f.value != g.value]
    assert changed == ["branch.left.cap_line_length_m"]


def test_a_path_without_a_branch_means_all_of_them(rig):
    thin = rig.replace(**{"branch.cap_line_bore_m": 0.003})
    assert thin.get("branch.cap_line_bore_m") == thin.get("branch.right.cap_line_bore_m") == 0.003
    with pytest.raises(es.InputError, match="branches differ"):
        thin.replace(**{"branch.left.cap_line_bore_m": 0.004}).get("branch.cap_line_bore_m")


def test_parts_and_branches(rig):
    assert rig.branches == ("left", "right")
    assert {"left.cylinder", "left.cap_line", "right.rod_line", "valve_block"} <= set(rig.parts)
    assert rig.name in repr(rig)


def test_contents_hold_what_was_said(rig, contents):
    joint = rig.get("air.joint_m3")
    area = np.pi / 4 * rig.get("branch.left.bore_m") ** 2
    ring = area - np.pi / 4 * rig.get("branch.left.rod_m") ** 2
    dry = (
        rig.get("branch.left.cap_clearance_m3")
        + rig.get("branch.left.rod_clearance_m3")
        + ring * rig.get("branch.left.stroke_m")
    )
    warm = 293.15 / rig.get("oil.temperature_k")  # free air is counted at 20 deg C
    assert contents.free_air_m3 == pytest.approx((dry + joint) * warm, rel=1e-9)
    assert es.Contents.bled(rig).free_air_m3 == 0
    assert contents.parcels("left.cap_line")[-1]["slug"]  # at the cylinder end
    out = es.Contents.after_exchange(rig, dry=["left.cylinder"], rods="out")
    assert out.positions_m["left.rod"] == rig.get("branch.left.stroke_m")


def test_a_run_leaves_its_input_alone_and_another_goes_on_from_it(rig, contents, procedure, run):
    assert contents == es.Contents.after_exchange(rig, dry=["left.cylinder"], opened=["left.cap_line"])
    assert run.contents.time_s > 0 and run.contents != contents
    on = es.run(rig, run.contents, procedure, max_strokes=1)
    assert on.strokes["minutes"][0] == pytest.approx(run.strokes["minutes"][-1])
    assert on.strokes["pocket_ml"][0] == pytest.approx(run.strokes["pocket_ml"][-1], rel=1e-9, abs=1e-9)


def test_a_run_says_its_status_first(run):
    assert repr(run).startswith("<Run ok;")
    run.raise_for_status()
    assert run.status.ok and run.status.outcome is es.Outcome.ok
    assert run.books.oil_rel_error <= 1e-9 and run.books.air_rel_error <= 1e-9


def test_procedure_from_steps_is_what_a_file_says(procedure):
    steps = [
        es.Step(bypass=s.bypass, strokes=s.strokes, dwell_s=s.dwell_s, rods=s.rods, repeat=s.repeat)
        for s in procedure.steps
    ]
    assert es.Procedure(name=procedure.name, steps=steps, max_strokes=procedure.max_strokes) == procedure
