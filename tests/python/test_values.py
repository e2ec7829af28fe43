"""Rigs, procedures, contents, runs and answers are values: they copy, compare and pickle."""

import copy
import multiprocessing
import pickle

import pytest

import evenstroke as es

KINDS = ["rig", "procedure", "contents", "run", "answer"]


@pytest.fixture(params=KINDS)
def value(request):
    return request.getfixturevalue(request.param)


def test_pickle_and_copy_give_an_equal_other_object(value):
    for again in (pickle.loads(pickle.dumps(value)), copy.copy(value), copy.deepcopy(value)):
        assert again is not value
        assert again == value and hash(again) == hash(value)
        assert type(again) is type(value)


def test_no_two_kinds_are_equal(rig, procedure, contents, run):
    things = [rig, procedure, contents, run, "rig", None]
    for i, a in enumerate(things):
        assert all(a != b for b in things[i + 1 :])


def test_one_number_makes_the_difference(rig, procedure, contents):
    for f in rig.fields():
        other = f.range[0] if f.value != f.range[0] else f.range[1]
        try:
            changed = rig.replace(**{f.path: other})
        except es.InputError:
            continue  # a combination that cannot be built
        assert changed != rig and pickle.loads(pickle.dumps(changed)).get(f.path) == other
    assert es.Contents.bled(rig) != contents
    assert es.Contents.bled(rig) == es.Contents.bled(rig)
    assert es.Procedure(steps=procedure.steps, name=procedure.name, max_strokes=59) != procedure


def test_the_parts_of_a_result_pickle(run, answer):
    parts = [run.status, run.books, run.books.ledger, run.bled, run.twin.free, answer.bled, run.inputs]
    parts += [run.status.outcome, run.bled.answered, *answer.limiting, run.inputs.procedure.steps[0]]
    for part in parts:
        assert pickle.loads(pickle.dumps(part)) == part


def test_a_run_that_comes_back_tells_the_same(run):
    again = pickle.loads(pickle.dumps(run))
    assert again.story() == run.story() and again.strokes == run.strokes and again.inputs.rig == run.inputs.rig


def test_a_row_of_a_batch_pickles_with_its_own_rig(rig, contents, procedure):
    rows = {"air.slug_slip": [0.25, 0.75]}
    runs = es.run_batch(rig, contents, procedure, rows, max_strokes=1)
    again = pickle.loads(pickle.dumps(runs))
    assert [r.inputs.rig.get("air.slug_slip") for r in again] == rows["air.slug_slip"]


@pytest.mark.parametrize("kind", [es.Rig, es.Procedure, es.Contents])
def test_damaged_pickles_are_refused(kind, rig, procedure, contents):
    value = next(v for v in (rig, procedure, contents) if isinstance(v, kind))
    version, data = value.__getstate__()
    for state in (
        (version, data[:-1]),
        (version, data + b"x"),
        ("0.0.0", data),
        (version, b"\xff" * len(data)),
        (version,),
    ):
        with pytest.raises(ValueError):
            kind.__new__(kind).__setstate__(state)


def test_errors_pickle():
    with pytest.raises(es.FileError) as caught:
        es.parse_rig("x = ", name="some.toml")
    again = pickle.loads(pickle.dumps(caught.value))
    assert type(again) is es.FileError and str(again) == str(caught.value)
    assert (again.file, again.line, again.column) == ("some.toml", caught.value.line, caught.value.column)


def test_values_go_to_a_fresh_process_and_back(rig, contents, procedure):
    with multiprocessing.get_context("spawn").Pool(1) as pool:
        there = pool.apply(es.run, (rig, contents, procedure), dict(max_strokes=1))
    assert there == es.run(rig, contents, procedure, max_strokes=1)
