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
    np.testing.assert_allclose(sides, table["pocket_ml"] + table["coarse_ml"] + table["fine_ml"], rtol=1e-9, atol=1e-9)
    texts = [repr(table), table.by_place(), table.by_form()]
    assert all(len(line) <= 100 for line in "\n".join(texts).split("\n"))
    assert table.by_form().count("\n") == len(table) and table[0]["apparent_index"] is None


def air_ml(contents):
    """Free and dissolved, in the circuit, the reservoir and the container."""
    circuit = contents.free_air_m3 + contents.dissolved_air_m3
    tanks = sum(sum(tank.values()) - tank["oil_kg"] for tank in (contents.reservoir, contents.container))
    return (circuit + es.laws.free_air_m3(tanks)) * 1e6


def test_air_that_is_gone_was_vented(run):
    """Free, dissolved, in the reservoir's oil or as foam: whatever is not there has crossed the border."""
    taken_in = es.laws.free_air_m3(run.books.ledger.air_ingested_kg) * 1e6
    out = air_ml(run.inputs.contents) + taken_in - air_ml(run.contents)
    assert out == pytest.approx(run.strokes["vented_ml"][-1], rel=1e-9, abs=1e-9)
    assert run.strokes["dissolved_ml"][-1] == pytest.approx(run.contents.dissolved_air_m3 * 1e6, rel=1e-12)


def test_clouds_and_parcels_hold_what_the_line_holds(run):
    lines = {place: held for place, held in run.contents.places.items() if place.endswith("_line")}
    for line, held in lines.items():
        clouds, parcels = run.contents.bubbles(line), run.contents.parcels(line)
        assert {len(column) for column in clouds.values()} == {len(clouds["kg"])}
        assert np.all((0 <= clouds["from"]) & (clouds["from"] <= clouds["to"]) & (clouds["to"] <= 1))
        for form in ("coarse", "fine"):
            kg = clouds["kg"][clouds["class"] == form].sum()
            assert kg == pytest.approx(held[f"{form}_kg"], rel=1e-12, abs=1e-20)
        slugs = sum(x["gas_kg"] for x in parcels if x["slug"])
        assert slugs == pytest.approx(held["pocket_kg"], rel=1e-12, abs=1e-20)
        for what in ("oil_kg", "dissolved_kg"):
            assert sum(x[what] for x in parcels) == pytest.approx(held[what], rel=1e-12)
    assert len(run.contents.bubbles("valve_block.p")["kg"]) == 0 and run.contents.parcels("left.cap_chamber") == []
    for ask in (run.contents.bubbles, run.contents.parcels):
        with pytest.raises(es.InputError, match="left.cap_lime"):
            ask("left.cap_lime")


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
