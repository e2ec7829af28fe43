"""A run that plays: what the page has embedded are the run's own numbers, its volumes are the rig's, and it needs nothing else."""

import html
import json
import re

import numpy as np
import pytest

import evenstroke as es
from conftest import RIGS, exchanged
from evenstroke import animation, animation_film
from evenstroke.geometry import volume_law

CYCLE = es.parse_procedure('format_version = 1\n[[step]]\nkind = "cycle"\ndwell_s = 5\n')
R_AIR = 287.05   # J/(kg K), dry air
BENCH = """format_version = 1
name = "bench <%d> & more"
[oil]
grade = "ISO VG 32"
temperature_deg_c = 45
[pump]
displacement_cm3_per_rev = 0.5
supply_v = 12
[reservoir]
oil_l = 3
capacity_l = 6
[synchroniser]
%s
[panel]
mass_kg = 100
[branch]
bore_mm = 25
rod_mm = 14
stroke_mm = 200
cap_line_bore_mm = 5
cap_line_length_m = 1.5
"""
METERING = 'kind = "metering_pistons"'
ROTARY = 'kind = "rotary_divider"\nsection_cm3_per_rev = 0.2'


def bench(names, kind=METERING):
    """Unlike branches: strokes of 200, 190, ... mm and outlets that divide unevenly, where the kind lets them."""
    own = "".join(f"[branch.{n}]\nstroke_mm = {200 - 10 * i}\ndividing_error = {0.01 * i}\n" for i, n in enumerate(names))
    return es.parse_rig(BENCH % (len(names), kind) + own)


RIGS_MADE = {
    "one": lambda: bench(["mast"]),
    "three": lambda: bench(["left", "centre", "right"]),
    "rotary": lambda: bench(["left", "centre", "right"], ROTARY),
    **{name: lambda name=name: es.load_rig(RIGS / f"{name}.toml") for name in
       ("roof_hatch", "riser_platform", "choir_riser", "side_shutter")},
}


def played(rig, strokes=1, procedure=CYCLE, **more):
    contents = es.Contents.after_exchange(rig, dry=[f"{rig.branches[0]}.cylinder"])
    return es.run(rig, contents, procedure, max_strokes=strokes, **more)


@pytest.fixture(scope="module", params=RIGS_MADE)
def any_run(request):
    return played(RIGS_MADE[request.param](), checks=False)


def embedded(path):
    """Text of a page, and the data in it."""
    text = path.read_text(encoding="utf-8")
    found = re.findall(r'<script type="application/json" id="run">(.*?)</script>', text, re.DOTALL)
    assert len(found) == 1
    return text, json.loads(found[0])


def written(run, tmp_path):
    run.animate(tmp_path / "run.html")
    return embedded(tmp_path / "run.html")


def volume_ml(data, place):
    """Of a place over the samples, as the page reckons it."""
    p = data["places"][place]
    moved = np.array(data["axes_mm"][p["axis"]]) if p["axis"] else np.zeros(len(data["time_s"]))
    return p["base_ml"] + p["ml_per_mm"] * moved


def near_samples(run, data, k):
    """Recorded samples that the time of frame k may mean: two may lie within what is rounded off."""
    found = np.flatnonzero(np.abs(np.array(run.time_s) - data["time_s"][k]) <= 0.00051)
    assert len(found)
    return found


def test_the_page_stands_alone_and_is_small(run, tmp_path):
    text, _ = written(run, tmp_path)
    assert (tmp_path / "run.html").stat().st_size < 1_000_000
    assert "http" not in text and "@@" not in text
    assert not re.search(r"\ssrc=|@import|<link|fetch\(|XMLHttp|import\(|<iframe", text)
    assert set(re.findall(r"url\((.*?)\)", text)) == {"#hatch"}


def test_a_page_of_eight_branches_and_many_samples_is_small(tmp_path, monkeypatch):
    eight = played(bench([f"rod_{i}" for i in range(1, 9)]), strokes=2, checks=False, max_samples=10_000, quantum_share=0.01)
    assert len(eight.time_s) > 2000
    text, data = written(eight, tmp_path)
    assert len(text.encode()) < 1_000_000 and 300 <= len(data["time_s"]) <= 2000


def test_what_is_embedded_are_samples_of_the_run(any_run, tmp_path):
    """Every frame is one recorded sample, to the digits written."""
    run = any_run
    _, data = written(run, tmp_path)
    assert data["time_s"][0] == pytest.approx(run.time_s[0], abs=6e-4)
    assert data["time_s"][-1] == pytest.approx(run.time_s[-1], abs=6e-4)
    assert np.all(np.diff(data["time_s"]) >= 0)
    for k in range(0, len(data["time_s"]), 7):
        def fits(i):
            rods = all(abs(1e3 * run[f"{b}.rod_position_m"][i] - data["axes_mm"][f"{b}.rod"][k]) <= 0.0051
                       for b in run.inputs.rig.branches)
            return rods and all(abs(run[f"{p}_pressure_pa_abs"][i] / 1e5 - x["bar_abs"][k]) <= 0.00051
                                for p, x in data["places"].items())
        assert any(fits(i) for i in near_samples(run, data, k)), k


def test_every_place_stands_in_one_column(any_run, tmp_path):
    run = any_run
    _, data = written(run, tmp_path)
    columns = [b["before"] + b["after"] for b in data["branches"]] + [data["shared"]]
    drawn = [p for column in columns for p in column]
    assert len(drawn) == len(set(drawn)) and set(drawn) == set(run.contents.places) == set(data["places"])
    assert [b["name"] for b in data["branches"]] == list(run.inputs.rig.branches)
    for branch, column in zip(data["branches"], columns):
        kinds = [p.removeprefix(branch["name"] + ".") for p in column]
        at = kinds.index("cap_line")
        assert kinds[at : at + 4] == ["cap_line", "cap_chamber", "rod_chamber", "rod_line"]
        assert branch["before"] == column[:at]


@pytest.mark.parametrize("rods", ["in", "out"])
@pytest.mark.parametrize("made", RIGS_MADE)
def test_volumes_are_what_oil_and_gas_fill(made, rods):
    """Balance: at rest at p0 what a place holds, oil by its density and gas by the gas law, is as large as it is drawn."""
    rig = RIGS_MADE[made]()
    kelvin = rig.get("oil.temperature_k")
    density = es.laws.oil_density(temperature_k=kelvin, **{k: rig.get(f"oil.{k}") for k in
                                                           ("density_15_kg_per_m3", "expansion_per_k")})
    contents = es.Contents.after_exchange(rig, dry=[f"{rig.branches[0]}.cylinder"], rods=rods)
    for place, held in contents.places.items():
        base, per_m, axis = volume_law(rig, place)
        gas = (held["pocket_kg"] + held["coarse_kg"] + held["fine_kg"]) * R_AIR * kelvin / 101325
        drawn = base + per_m * (contents.positions_m[axis] if axis else 0.0)
        assert held["oil_kg"] / density + gas == pytest.approx(drawn, rel=2e-3), place


def test_what_a_metering_piston_sends_is_what_its_cylinder_takes():
    """Balance: in a rig full of oil, bypass closed, metering chamber and cap side change by opposite volumes; so does the drive."""
    rig = es.load_rig(RIGS / "roof_hatch.toml")
    run = es.run(rig, es.Contents.bled(rig), CYCLE, max_strokes=1, checks=False)
    data = animation.film(run)
    meters = [f"{b}.metering_chamber" for b in rig.branches]
    for branch, meter in zip(rig.branches, meters):
        cap = volume_ml(data, f"{branch}.cap_chamber")
        sent = volume_ml(data, meter)[0] - volume_ml(data, meter)
        assert np.ptp(cap) > 50
        np.testing.assert_allclose(sent, cap - cap[0], atol=0.02 * np.ptp(cap))   # oil gives way by a part in a hundred
    drive = volume_ml(data, "synchroniser.drive")
    np.testing.assert_allclose(drive + sum(volume_ml(data, m) for m in meters), drive[0] + sum(volume_ml(data, m)[0] for m in meters))


def test_gas_is_as_large_as_the_gas_law_says(any_run, tmp_path):
    """Law: free air is a volume at 101325 Pa and 293.15 K; at the oil's temperature it takes p0/p T/T0 of that."""
    run = any_run
    _, data = written(run, tmp_path)
    kelvin = run.inputs.rig.get("oil.temperature_k")
    for place, x in data["places"].items():
        for k in range(0, len(data["time_s"]), 11):
            free = np.array(run[f"{place}_free_air_m3"])[near_samples(run, data, k)] * 1e6
            wanted = free * 101325 / (np.array(run[f"{place}_pressure_pa_abs"])[near_samples(run, data, k)]) * kelvin / 293.15
            assert np.min(np.abs(wanted - x["gas_ml"][k])) <= 6e-5, (place, k)
    assert max(max(x["gas_ml"]) for x in data["places"].values()) > 1


def test_gas_of_warmed_oil_is_larger(tmp_path):
    """Law: after a stand to 45 deg C the gas drawn at the end is m R T/p with the warm T."""
    rig = es.load_rig(RIGS / "roof_hatch.toml")
    steps = [es.Step(), es.Step(kind="stand", stand_s=60, temperature_deg_c=45, let_go=True)]
    run = played(rig, 2, es.Procedure(steps=steps), checks=False)
    assert run.contents.warmed_k == pytest.approx(25)
    assert run.time_s[-1] == pytest.approx(run.contents.time_s)
    _, data = written(run, tmp_path)
    for place, held in run.contents.places.items():
        mass = held["pocket_kg"] + held["coarse_kg"] + held["fine_kg"]
        gas = 1e6 * mass * R_AIR * 318.15 / run[f"{place}_pressure_pa_abs"][-1]
        assert data["places"][place]["gas_ml"][-1] == pytest.approx(gas, rel=2e-3, abs=1e-4)
    first, between, second = data["stages"][:3]
    assert first[2].startswith("stroke 1") and second[2].startswith("stroke 2") and "standing (not recorded)" in between[2]
    assert between[1] - between[0] == pytest.approx(60 * run.steps["minutes"][0], abs=2e-3)
    inside = [t for t in data["time_s"] if between[0] + 2e-3 < t < between[1] - 2e-3]
    assert inside == []


def test_what_is_done_before_the_first_stroke_is_told_before_it():
    steps = [es.Step(kind="stand", stand_s=60, repeat=False), es.Step()]
    run = played(es.load_rig(RIGS / "roof_hatch.toml"), 1, es.Procedure(steps=steps), checks=False)
    (start, end, stand), (begins, _, stroke) = animation.film(run)["stages"]
    assert stand == "before stroke 1: standing (not recorded)" and stroke == "stroke 1 (bypass closed)"
    assert start == 0 and end == begins == pytest.approx(run.time_s[0], abs=2e-3) and end >= 60


def test_stops_and_fast_events_keep_their_frames():
    """Two strokes, a long rest between them and a blink of pressure in it: ends of motion and the blink are among 60 of 8000."""
    time_s = np.arange(8000) * 0.1
    rod = np.interp(time_s, [0, 10, 300, 310, 700, 710, 800], [0, 1, 1, 0, 0, 1, 1])[:, None]
    ln_p = np.zeros((8000, 1))
    ln_p[5000:5003] = 1.0
    at = animation.chosen(time_s, rod, ln_p, 60)
    assert len(at) <= 60 and at[0] == 0 and at[-1] == 7999 and np.all(np.diff(at) > 0)
    for event in (10, 300, 310, 700, 710):
        assert np.min(np.abs(time_s[at] - event)) < 0.15
    assert set(at) & {5000, 5001, 5002}
    assert np.max(np.diff(time_s[at])) < 80   # and a rest is not one jump
    back = np.interp(time_s, time_s[at], rod[at, 0])
    assert np.max(np.abs(back - rod[:, 0])) < 0.02
    assert np.array_equal(animation.chosen(time_s[:50], rod[:50], ln_p[:50], 60), np.arange(50))


def test_readings_and_words_are_the_tables(run, tmp_path):
    text, data = written(run, tmp_path)
    assert [r["stroke"] for r in data["readings"]] == list(run.strokes["stroke"])
    for reading, mm, minutes in zip(data["readings"], run.strokes.worst_mm(), run.strokes["minutes"]):
        assert reading["mm"] is None if np.isnan(mm) else reading["mm"] == pytest.approx(mm, abs=6e-4)
        assert reading["time_s"] == pytest.approx(60 * minutes, abs=6e-4)
    assert data["tolerance_mm"] == run.tolerance_mm
    shown = html.unescape(text)
    assert run.story() in shown and animation.alt_text(run, data) in shown
    assert "does not certify a machine as safe" in shown


def test_the_page_can_be_driven_and_read(run, tmp_path):
    """Keys, slider, speed, focus, small screen, less motion and words without scripts are in the page."""
    text, _ = written(run, tmp_path)
    for asked in (' id="play"', ' id="back"', ' id="on"', ' id="scrub"', ' id="speed"', "<noscript>", "ArrowLeft", "ArrowRight", "Home:",
                  "End:", '" ": () => play', ":focus-visible", "prefers-reduced-motion", "@media (max-width", 'role="img"',
                  "aria-valuetext", "To scale:", "Not to scale:", 'lang="en"', 'name="viewport"'):
        assert asked in text, asked


def test_a_name_cannot_break_out_of_the_page(tmp_path):
    text, data = written(played(bench(["mast"]), checks=False), tmp_path)
    assert data["rig"] == "bench <1> & more" and "bench <1>" not in text


def test_refusals(rig, contents, run, tmp_path, monkeypatch):
    blind = es.run(rig, contents, CYCLE, max_strokes=1, checks=False, record=False)
    for name in ("run.html", "run.mp4"):
        monkeypatch.setattr("matplotlib.animation.FFMpegWriter.isAvailable", classmethod(lambda kind: True))
        with pytest.raises(es.InputError, match="record=True"):
            blind.animate(tmp_path / name)
    for path in ("run.gif", "run", "", 3, None, b"run.html"):
        with pytest.raises(es.InputError, match="ends in .html or .mp4") as caught:
            run.animate(path)
        assert caught.value.field == "path"
    monkeypatch.setattr("matplotlib.animation.FFMpegWriter.isAvailable", classmethod(lambda kind: False))
    with pytest.raises(es.InputError, match="ffmpeg"):
        run.animate(tmp_path / "run.mp4")
    assert list(tmp_path.iterdir()) == []
    with pytest.raises(OSError):
        run.animate(tmp_path / "nowhere" / "run.html")


def test_a_film_shows_samples_evenly_in_time():
    time_s = [0.0, 1.0, 10.0, 100.0, 700.0, 800.0]
    at = animation_film.frames(time_s, [])
    assert at[0] == 0 and at[-1] == 5 and np.all(np.diff(at) >= 0)
    assert np.mean(at == 3) == pytest.approx(600 / 800, abs=0.01)   # from 100 to 700 s
    gap = animation_film.frames(time_s, [[100.0, 700.0, "not recorded"]])
    assert np.sum(gap == 3) == pytest.approx(animation_film.PER_S, abs=1)   # a second of film
    assert len(gap) / animation_film.PER_S == pytest.approx(200 / 8 + 1, abs=0.1)


@pytest.mark.parametrize("made", ["one", "three", "riser_platform", "side_shutter"])
def test_a_films_columns_are_volumes(made):
    plt = pytest.importorskip("matplotlib.pyplot")
    run = played(RIGS_MADE[made](), checks=False)
    data = animation.film(run)
    scene = animation_film.Scene(data)
    k = len(data["time_s"]) // 3
    scene.show(k)
    for before, after, _, smaller, oil, gas, *_ in scene.columns:
        for place, full, free in zip(before + after, oil, gas):
            ml = volume_ml(data, place)[k]
            assert full.get_width() == pytest.approx(ml / smaller)
            assert free.get_width() == pytest.approx(min(data["places"][place]["gas_ml"][k], ml) / smaller)
    assert all(t.get_fontsize() >= 12 for t in scene.figure.findobj(plt.Text) if t.get_text().strip())
    plt.close(scene.figure)


def test_a_film_is_an_mp4(run, tmp_path, monkeypatch):
    writer = pytest.importorskip("matplotlib.animation").FFMpegWriter
    if not writer.isAvailable():
        pytest.skip("no ffmpeg")
    monkeypatch.setattr(animation_film, "LONGEST_S", 1.0)
    monkeypatch.setattr(animation_film, "SHORTEST_S", 1.0)
    run.animate(tmp_path / "run.mp4")
    assert (tmp_path / "run.mp4").read_bytes()[4:8] == b"ftyp"
