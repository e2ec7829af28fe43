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
    shares = {"coarse": rig.get("air.coarse_share"), "fine": rig.get("air.dispersed_share")}
    free = sum(p["pocket_kg"] + p["coarse_kg"] + p["fine_kg"] for p in contents.places.values())
    assert es.laws.free_air_m3(free) == pytest.approx(contents.free_air_m3, rel=1e-12)
    line = contents.places["left.cap_line"]
    for form, share in shares.items():
        assert line[f"{form}_kg"] == pytest.approx(share * joint * warm * es.laws.free_air_kg(1.0), rel=1e-9)
    assert all(p["pocket_k"] == rig.get("oil.temperature_k") for p in contents.places.values())
    assert contents.parcels("left.cap_line")[-1]["slug"]  # at the cylinder end
    out = es.Contents.after_exchange(rig, dry=["left.cylinder"], rods="out")
    assert out.positions_m["left.rod"] == rig.get("branch.left.stroke_m")


def test_tanks_hold_oil_and_the_air_dissolved_in_it(rig, contents):
    """Dissolved air by Henry's law: 1.2929 kg/m3 is the density of dry air at 0 deg C and 1 atm."""
    density = es.laws.oil_density(**{k: rig.get(f"oil.{k}") for k in
                                     ("density_15_kg_per_m3", "expansion_per_k", "temperature_k")})
    per_oil = rig.get("air.saturation") * rig.get("air.bunsen") * 1.2929 / density
    for tank, oil in ((contents.reservoir, "reservoir.oil_m3"), (contents.container, "reservoir.container_m3")):
        assert tank["oil_kg"] == pytest.approx(density * rig.get(oil), rel=1e-9)
        assert tank["dissolved_kg"] == pytest.approx(per_oil * tank["oil_kg"], rel=1e-3)
        assert tank["coarse_kg"] == tank["fine_kg"] == tank["foam_kg"] == 0
    oil = sum(p["oil_kg"] for p in contents.places.values())
    assert contents.dissolved_air_m3 == pytest.approx(es.laws.free_air_m3(per_oil * oil), rel=1e-3)


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


BENCH = """format_version = 1
[[step]]
kind = "hand"
by_hand = ["left"]
parted = ["left.cap_port", "left.rod_port"]
line_end = "container"
port = "air"
attitude = "level"
hand_n = 150
hand_speed_m_per_s = 0.02
strokes = 3
dwell_s = 2
repeat = false
[[step]]
kind = "stand"
stand_min = 10
parted = ["right.rod_port"]
repeat = false
[[step]]
kind = "cycle"
"""


@pytest.mark.parametrize("given", [None, BENCH])
def test_procedure_from_steps_is_what_a_file_says(procedure, given):
    wanted = es.parse_procedure(given) if given else procedure
    parameters = [p for p in dir(es.Step) if not p.startswith("_")]
    steps = [es.Step(**{name: getattr(s, name) for name in parameters}) for s in wanted.steps]
    assert es.Procedure(name=wanted.name, steps=steps, max_strokes=wanted.max_strokes) == wanted
    assert [eval(repr(s), {"Step": es.Step}) for s in steps] == list(wanted.steps)


def test_a_step_by_hand_and_a_stand_say_what_was_written():
    hand, stand, cycle = es.parse_procedure(BENCH).steps
    assert (hand.kind, stand.kind, cycle.kind) == ("hand", "stand", "cycle")
    assert hand.by_hand == ("left",) and hand.parted == ("left.cap_port", "left.rod_port")
    assert (hand.line_end, hand.port, hand.attitude) == ("container", "air", "level")
    assert (hand.hand_n, hand.hand_speed_m_per_s, hand.strokes, hand.dwell_s) == (150, 0.02, 3, 2)
    assert stand.stand_s == 600 and stand.line_end == stand.port == "capped" and stand.attitude is None
    assert repr(es.parse_procedure(BENCH)).endswith(": 3 by hand, stand 600 s, 1 closed (repeated)>")


def test_a_run_takes_another_solver(rig, contents, procedure):
    """What two solvers agree on stands in test_flow_segment.py: a stretch of flow to 1e-6, and the stroke counts."""
    short = dict(max_strokes=1, checks=False, record=False)
    ours, theirs = (es.run(rig, contents, procedure, solver=s, **short) for s in ("rodas5p", "odeint_rosenbrock4"))
    assert ours == es.run(rig, contents, procedure, **short) and theirs.counts != ours.counts
    for run in (ours, theirs):
        run.raise_for_status()
        assert abs(run.books.oil_rel_error) <= 1e-9 and abs(run.books.air_rel_error) <= 1e-9
    with pytest.raises(es.InputError, match="did you mean rodas5p?"):
        es.run(rig, contents, procedure, solver="rodas5", **short)


def test_defaults_are_those_of_the_help(rig, contents, procedure):
    """A number that the help gives as a default, written out, changes no bit of a run."""
    said = re.findall(r"^    (\w+) : .*, default ([\d.e-]+)$", es.run.__doc__, re.MULTILINE)
    given = {name: int(value) if value.isdigit() else float(value) for name, value in said}
    assert set(given) == {"max_samples", "quantum_share", "rel_tol", "ln_pressure", "streamtubes", "parcels"}
    short = dict(max_strokes=1, checks=False)
    usual = es.run(rig, contents, procedure, **short)
    assert es.run(rig, contents, procedure, **given, **short) == usual
    for name, value in given.items():
        if name != "max_samples":   # a short run does not come near it
            half = value // 2 if isinstance(value, int) else value / 2
            assert es.run(rig, contents, procedure, **{**given, name: half}, **short) != usual, name


def test_a_run_takes_another_number_of_streamtubes(rig, contents, procedure):
    short = dict(max_strokes=1, checks=False, record=False)
    for n in (1, 3):
        run = es.run(rig, contents, procedure, streamtubes=n, **short)
        assert run.contents.bubbles("left.cap_line")["tube"].max() == n - 1
        assert run.inputs.options["streamtubes"] == n
