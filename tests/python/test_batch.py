"""Many runs in one call: the same bytes for any number of threads."""

import hashlib
import pickle
import time

import numpy as np
import pytest

import evenstroke as es
from conftest import RIGS
from evenstroke.sampling import members_from_bands


def fingerprint(runs):
    """Hash of every number of every run, to the last bit."""
    return hashlib.sha256(b"".join(pickle.dumps(r._core) for r in runs)).hexdigest()


def test_threads_do_not_change_a_bit(rig, contents, procedure):
    rows = members_from_bands(rig, members=6, seed=5)
    alone = es.run_batch(rig, contents, procedure, rows, max_strokes=3, threads=1, record=True)
    wanted = fingerprint(alone)
    for threads in (2, 3):
        again = es.run_batch(rig, contents, procedure, rows, max_strokes=3, threads=threads, record=True)
        assert fingerprint(again) == wanted
    assert fingerprint(alone[::-1]) != wanted  # the hash does see the numbers


def test_a_row_is_what_a_single_run_of_its_rig_gives(rig, procedure):
    start = es.Contents.after_exchange(rig, dry=["left.cylinder"])
    rows = {"air.dispersed_share": np.array([0.0, 0.3]), "branch.left.cap_clearance_m3": np.array([1e-6, 2e-6])}
    runs = es.run_batch(rig, start, procedure, rows, max_strokes=2, record=True)
    for i, one in enumerate(runs):
        own = rig.replace(**{name: column[i] for name, column in rows.items()})
        assert one.inputs.rig == own
        assert one == es.run(own, es.Contents.after_exchange(own, dry=["left.cylinder"]), procedure, max_strokes=2)


def test_rows_may_be_a_structured_array_or_lists_of_inputs(rig, low_rig, contents, procedure):
    columns = {"air.slug_slip": [0.1, 0.9]}
    table = np.array([(0.1,), (0.9,)], dtype=[("air.slug_slip", float)])
    wanted = es.run_batch(rig, contents, procedure, columns, max_strokes=1)
    assert es.run_batch(rig, contents, procedure, table, max_strokes=1) == wanted
    starts = [contents, es.Contents.after_exchange(low_rig, dry=["left.cylinder"])]
    two = es.run_batch([rig, low_rig], starts, procedure, max_strokes=1)
    assert two[1] == es.run(low_rig, starts[1], procedure, max_strokes=1, record=False)
    assert two[1].inputs.rig == low_rig


@pytest.mark.parametrize(
    "rows, complaint",
    [
        ({"air.slug_slop": [0.5]}, "slug_slip"),
        ({"air.slug_slip": [0.5, 1.5]}, "slug_slip"),
        ({"air.slug_slip": [np.nan]}, "finite"),
        ({"air.slug_slip": [0.5], "air.joint_m3": [1e-7, 1e-6]}, "as long as"),
        ({"air.slug_slip": [[0.5]]}, "one-dimensional"),
        ({}, "at least one column"),
        ({"air.slug_slip": []}, "at least one row"),
        ({"air.slug_slip": ["x"]}, "air.slug_slip = 'x': must be a number"),
        ({"air.slug_slip": ["0.5"]}, "air.slug_slip = '0.5': must be a number"),
        ({"air.slug_slip": [0.5, None]}, "air.slug_slip = None: must be a number"),
        ({"air.slug_slip": [True]}, "air.slug_slip = True: must be a number"),
        ({"air.slug_slip": [[0.5], [0.5, 1]]}, "one per row"),
        ({"air.slug_slip": 0.5}, "one-dimensional"),
        ([0.5], "must be a dict of columns"),
    ],
)
def test_bad_rows_are_refused_before_anything_runs(rig, contents, procedure, rows, complaint):
    with pytest.raises(es.InputError, match=complaint):
        es.run_batch(rig, contents, procedure, rows)


@pytest.mark.parametrize("nobody", [[], [[], [], []]])
def test_a_batch_of_nothing_is_refused(rig, contents, procedure, nobody):
    three = nobody or [[], contents, procedure]
    with pytest.raises(es.InputError, match="rigs = .*at least one Rig"):
        es.run_batch(*three)


def test_a_last_row_that_cannot_run_is_refused_before_anything_ran(rig, contents, procedure):
    tee_text = (RIGS / "roof_hatch.toml").read_text(encoding="utf-8").replace('"metering_pistons"', '"tee"', 1)
    tee = es.parse_rig(tee_text)
    closed = es.Procedure(steps=[es.Step()])
    used = es.run(tee, es.Contents.bled(tee), closed, max_strokes=1, checks=False).contents
    told = []
    with pytest.raises(es.InputError, match="same parts") as caught:
        es.run_batch(
            rig, [contents] * 200 + [used], closed, threads=1, progress=lambda done, of: told.append(done)
        )
    assert caught.value.field == "contents" and not any(told)
    start = time.perf_counter()
    with pytest.raises(es.InputError, match="bypass"):  # the procedure of the last row needs valves a tee has not
        es.run_batch(tee, es.Contents.bled(tee), [closed] * 200 + [procedure], threads=1)
    assert time.perf_counter() - start < 1  # 200 rows take several seconds


def test_lists_of_unequal_length_are_refused(rig, contents, procedure):
    with pytest.raises(es.InputError, match="length"):
        es.run_batch([rig, rig], contents, [procedure] * 3)


def test_progress_is_told_and_may_raise(rig, contents, procedure):
    told = []
    rows = {"air.slug_slip": np.linspace(0, 1, 8)}
    es.run_batch(rig, contents, procedure, rows, max_strokes=10, progress=lambda done, of: told.append((done, of)))
    assert told[-1] == (8, 8) and told == sorted(told)

    class Enough(Exception):
        pass

    def stop(done, of):
        raise Enough

    with pytest.raises(Enough):
        es.run_batch(rig, contents, procedure, {"air.slug_slip": np.linspace(0, 1, 500)}, progress=stop)
