"""Channels are views into the run: nothing is copied, nothing can be written, nothing dies too early."""

import gc

import numpy as np
import pytest

import evenstroke as es


def test_a_channel_is_a_view_and_not_a_copy(run):
    one, two = run["left.rod_position_m"], run["left.rod_position_m"]
    assert one.ctypes.data == two.ctypes.data and not one.flags.owndata
    other = run["right.rod_position_m"]
    assert abs(other.ctypes.data - one.ctypes.data) % 8 == 0 and one.strides == (8 * len(run.channels),)
    assert len(one) == len(run.time_s) > 10


@pytest.mark.parametrize(
    "array", ["run['left.rod_position_m']", "run.time_s", "run.strokes['vented_ml']", "run.strokes['stroke']"]
)
def test_nothing_can_be_written(run, array):
    view = eval(array)
    with pytest.raises(ValueError):
        view[0] = 1
    with pytest.raises(ValueError):
        view.setflags(write=True)


def test_an_array_keeps_its_run_alive(rig, contents, procedure):
    run = es.run(rig, contents, procedure, max_strokes=2)
    views = [run[name] for name in run.channels] + [run.time_s]
    copies = [np.array(v) for v in views]
    contents_after, member = run.contents, run.books.ledger
    wanted = contents_after.time_s, member.air_vented_kg
    del run
    gc.collect()
    filler = [np.full(200000, 7.0) for _ in range(20)]  # would land where the numbers stood
    assert all(np.array_equal(v, c) for v, c in zip(views, copies))
    assert (contents_after.time_s, member.air_vented_kg) == wanted and filler[0][0] == 7


def test_member_counts_are_read_only_and_outlive_the_answer(rig, contents, procedure):
    member = es.strokes_to_parallel(rig, contents, procedure, members=4).bled.member
    gc.collect()
    assert member.shape == (4,) and not member.flags.writeable
    assert np.all((member >= 1) | np.isnan(member))


def test_channels_agree_with_the_table_and_the_contents(run):
    assert run.time_s[-1] == pytest.approx(run.contents.time_s)
    assert np.all(np.diff(run.time_s) > 0)
    for place in run.contents.places:
        last = run[f"{place}_free_air_m3"][-1] * 1e6
        assert last == pytest.approx(run.strokes[f"free_air_{place}_ml"][-1], rel=1e-9, abs=1e-9)


def test_unknown_names_are_key_errors(run):
    with pytest.raises(KeyError):
        run["left.rod_position_mm"]
    with pytest.raises(KeyError, match="vented_ml"):
        run.strokes["vented_l"]


def test_the_table_is_a_list_of_rows(run):
    table = run.strokes
    assert len(table) == len(list(table)) == len(table[:])
    assert [row["stroke"] for row in table] == list(range(len(table)))
    assert table[-1]["vented_ml"] == table["vented_ml"][-1]
    sides = sum(table[f"free_air_{s}_ml"] for s in ("left", "right", "shared"))
    np.testing.assert_allclose(sides, table["pocket_ml"] + table["dispersed_ml"], rtol=1e-9, atol=1e-9)
    np.testing.assert_allclose(sides[0], sides + table["vented_ml"], rtol=1e-6)  # nothing was taken in
    assert all(len(line) <= 100 for line in (repr(table) + "\n" + table.by_place()).split("\n"))


def test_without_checks_there_is_no_reading(rig, contents, procedure):
    table = es.run(rig, contents, procedure, checks=False, max_strokes=1).strokes
    assert (
        set(table["check"]) == {"not done"}
        and np.isnan(table.mismatch_mm()).all()
        and np.isnan(table["air_50_mm"]).all()
    )


def test_recording_is_capped_and_can_be_left_out(rig, contents, procedure):
    short = es.run(rig, contents, procedure, max_strokes=2, max_samples=50)
    assert 20 <= len(short.time_s) <= 50
    none = es.run(rig, contents, procedure, max_strokes=2, record=False)
    assert none.channels == [] and len(none.time_s) == 0
    assert none.strokes == short.strokes


def test_frames(run):
    pandas = pytest.importorskip("pandas")
    frame = run.to_pandas()
    assert isinstance(frame, pandas.DataFrame) and list(frame.columns) == run.channels
    assert np.array_equal(frame.index, run.time_s)
    assert list(run.strokes.to_pandas()["check"]) == list(run.strokes["check"])


def test_labelled_arrays_say_their_units(run):
    pytest.importorskip("xarray")
    data = run.to_xarray()
    assert data["left.rod_position_m"].attrs["units"] == "m"
    assert data["left.cap_line_pressure_pa_abs"].attrs["units"] == "Pa abs"
    assert all(data[name].attrs["units"] for name in run.channels)
