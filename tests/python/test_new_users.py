"""Files as new users wrote them, from the README alone: they run, and what is told of them is what such a person needs.

`new_users/rigs`: ten with at most ten keys; `more`: what takes more; `procedures`: three of their own.
"""

import re
from pathlib import Path

import pytest

import evenstroke as es
from conftest import PROCEDURE, command

HERE = Path(__file__).with_name("new_users")
TEN = sorted((HERE / "rigs").glob("*.toml"))
ALL = [*TEN, *sorted((HERE / "more").glob("*.toml"))]
RUNS = [*((p, PROCEDURE) for p in ALL if "tee" not in p.stem and "single" not in p.stem and "rod_up_port" not in p.stem),
        *((p, HERE / "procedures" / "tee_strokes.toml") for p in ALL if "bench_leaf" in p.stem or "tee" in p.stem),
        (TEN[1], HERE / "procedures" / "flush_strokes_compare.toml"),
        (TEN[7], HERE / "procedures" / "hand_refill_strokes.toml")]  # fmt: skip


def named(path):
    return next(p for p in ALL if path in p.name and p.name.startswith(path.split("_")[0]))


def rig_of(path):
    return es.load_rig(path)


def contents_of(rig):
    return es.Contents.after_exchange(rig, dry=[f"{rig.branches[0]}.cylinder"], rods="out")


def test_ten_of_them_have_at_most_ten_keys():
    assert len(TEN) == 10
    for path in TEN:
        keys = [k for k in re.findall(r"^(\w+) *=", path.read_text(encoding="utf-8"), re.MULTILINE)]
        assert len([k for k in keys if k not in ("format_version", "name")]) <= 10, path.name


@pytest.mark.parametrize("rig, procedure", RUNS, ids=lambda p: p.stem)
def test_each_runs_and_its_story_ends_with_an_answer(rig, procedure):
    rig = rig_of(rig)
    run = es.run(rig, contents_of(rig), es.load_procedure(procedure, rig), max_strokes=6, record=False)
    assert run.status.ok and run.books.oil_rel_error < 1e-12 and run.books.air_rel_error < 1e-12
    assert re.search(r"stays within|does not come within", run.story())


def answer_of(path, procedure=PROCEDURE, **more):
    rig = rig_of(path)
    contents = more.pop("contents", None) or contents_of(rig)
    return es.strokes_to_parallel(rig, contents, es.load_procedure(procedure, rig), members=4, max_strokes=4, **more)


def test_one_cylinder_has_nothing_to_be_in_step_with_and_is_told_its_air():
    answer = answer_of(named("07_bench_leaf_single"), HERE / "procedures" / "tee_strokes.toml")
    assert not answer.parallel.defined and "one rod has none to be in step with" in answer.text()
    assert "Free air left" in answer.text()


def test_of_three_rods_the_one_that_lags_is_named():
    """The rear cylinder is dry."""
    rig = rig_of(named("04_assembly_table_three"))
    contents = es.Contents.after_exchange(rig, dry=["rear.cylinder"], rods="out")
    run = es.run(rig, contents, es.load_procedure(PROCEDURE), max_strokes=1, record=False)
    assert run.strokes["behind"][0] == "rear" and "(rear lags)" in run.story().split("\n")[0]


def test_on_a_tee_whose_variants_part_by_friction_the_answer_says_that_the_values_as_given_do_not():
    answer = answer_of(named("03_teaching_board_tee"), HERE / "procedures" / "tee_strokes.toml")
    text = answer.text()
    assert answer.parallel.p_never > 0.5 and "With the values as given, the whole mismatch: stroke" in text
    assert "Most variants never get there although the values as given do" in text


@pytest.mark.parametrize("name, words", {
    "09_heavy_table_reservoir": ["constants of a 12 V motor"], "06_choir_platform_24v": ["constants of a 12 V motor"],
    "09_lectern_other_bore": ["bores of 25 and 28 mm"], "01_trap_door": [],
}.items())  # fmt: skip
def test_what_is_hardly_meant_is_told_with_the_answer(name, words):
    rig = rig_of(named(name))
    run = es.run(rig, contents_of(rig), es.load_procedure(PROCEDURE), max_strokes=1, checks=False, record=False)
    assert all(any(w in note for note in run.notes) for w in words)
    assert bool(words) or not run.notes


def test_a_reservoir_too_small_for_the_rods_is_told_at_once_and_one_that_is_not_is_not():
    rig = rig_of(named("09_heavy_table_reservoir"))
    small = rig.replace(**{"reservoir.oil_m3": 0.6e-3, "reservoir.capacity_m3": 1e-3})
    def told(r):
        run = es.run(r, es.Contents.bled(r), es.load_procedure(PROCEDURE), max_strokes=1, checks=False, record=False)
        return [n for n in run.notes if "with all of them out" in n]
    assert told(rig) == [] and len(told(small)) == 1
    rods_ml = sum(small.get(f"branch.{b}.rod_m") ** 2 * 0.785398 * small.get(f"branch.{b}.stroke_m") for b in small.branches) * 1e6
    assert f"{rods_ml:.0f}" in told(small)[0].replace(".", " ").split("take ")[1]


def test_who_forgets_to_say_what_was_dry_is_told_so():
    rig = rig_of(TEN[0])
    assert "Nothing was said to be dry or opened" in answer_of(TEN[0], contents=es.Contents.after_exchange(rig)).text()
    assert "Nothing was said" not in answer_of(TEN[0]).text()


@pytest.mark.parametrize("change, said", [
    (("supply_v = 24", "supply_v = 24 V"), "its unit is in the key"),
    (("cap_line_length_m = 2", "cap_line_length_m = 800"), "looks like mm"),
    (('kind = "metering_pistons"', 'kind = "metering pistons"'), "did you mean metering_pistons?"),
    (("[branch]", "[branch]\nrelief_bar_gauge = 90"), "it belongs in [valve_block]"),
    (("[branch]", "[branch]\nlowering_area_mm2 = 2"), "it belongs in [valve_block]"),
])  # fmt: skip
def test_their_first_mistakes_are_refused_with_what_would_have_helped(tmp_path, change, said):
    text = re.sub(r"cap_line_length_mm? = .*", "cap_line_length_m = 2", named("06_choir_platform_24v").read_text(encoding="utf-8"))
    assert change[0] in text
    file = tmp_path / "rig.toml"
    file.write_text(text.replace(*change), encoding="utf-8")
    done = command("answer", file, PROCEDURE)
    assert done.returncode == 2 and said in done.stderr
