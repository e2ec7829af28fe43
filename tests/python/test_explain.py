"""A mismatch split into causes: adds up, takes no side, gives nothing to what does nothing, and each law its own part."""

import itertools

import matplotlib.pyplot as plt
import numpy as np
import pytest
from conftest import exchanged

import evenstroke as es
from evenstroke import cautions, explanation_pictures
from evenstroke.causes import shapley

AIR_M3, KG, STROKE_MM = 2e-6, 110.0, 250.0
STRAIGHT = es.Procedure(steps=[es.Step()])
HEAT = es.Step(kind="stand", stand_s=3600, let_go=True, temperature_deg_c=60, repeat=False)
STIFF = dict.fromkeys(("branch.cap_line_wall_modulus_pa", "branch.rod_line_wall_modulus_pa"), 5e11)


def bench(kind="metering_pistons", branches=("left", "right"), **new):
    """A rig with nothing in it that sets rods apart: no friction, no leaks, rigid lines, air that stays where it is."""
    rig = es.parse_rig(f"""
        format_version = 1
        oil.grade = "ISO VG 22"
        pump.displacement_cm3_per_rev = 0.1
        pump.supply_v = 12
        synchroniser.kind = "{kind}"
        panel.mass_kg = {KG}
        [branch]
        bore_mm = 20
        rod_mm = 12
        stroke_mm = {STROKE_MM}
        attitude = "level"
        cap_line_bore_mm = 8
        cap_line_length_m = 0.5
        {chr(10).join(f"[branch.{b}]" for b in branches)}
        """)
    still = {
        **STIFF, "branch.breakaway_pa_diff": 0.0, "branch.viscous_n_s_per_m": 1.0, "branch.leak_m3_per_s_pa": 0.0,
        "synchroniser.breakaway_pa_diff": 0.0, "synchroniser.viscous_n_s_per_m": 1.0, "synchroniser.leak_m3_per_s_pa": 0.0,
        "air.joint_m3": AIR_M3, "air.coarse_share": 0.0, "air.dispersed_share": 0.0, "air.diffusivity_m2_per_s": 0.0,
        "air.bunsen": 0.0, "air.pocket_heat": 0.0,
    }  # fmt: skip
    return rig.replace(**{**still, **new})


def split(rig, opened=(), strokes=0, procedure=STRAIGHT):
    contents = es.Contents.after_exchange(rig, dry=[], opened=[f"{b}.cap_line" for b in opened])
    return es.explain(es.run(rig, contents, procedure, max_strokes=2, record=False, stop_at_verdict=False), strokes)


def of(told, name):
    """At 25, 50 and 75 % of the travel of the last stroke."""
    return told.mm[-1, :, told.names.index(name)]


def lag_mm(rig):
    """Closed form: V0 (1 - p0/p)/A, with the pressure that half of the panel makes."""
    area = es.laws.cap_area_m2(rig.get("branch.left.bore_m"))
    return 1e3 * AIR_M3 * (1 - 101325 / (101325 + KG * 9.80665 / 2 / area)) / area


def spread_mm(eps):
    """Closed form, at the stations: rods as 1 + eps to 1, read as their mean passes."""
    return 2 * eps / (2 + eps) * STROKE_MM * np.array([0.25, 0.5, 0.75])


@pytest.fixture(scope="module")
def hatch(rig, procedure):
    """The demo with rigid lines and tight pistons: a quarter of the sets of causes."""
    tight = {"branch.leak_m3_per_s_pa": 0.0, "synchroniser.leak_m3_per_s_pa": 0.0}
    rigid = rig.replace(**STIFF, **tight)
    return es.run(rigid, exchanged(rigid), procedure, record=False)


@pytest.fixture(scope="module")
def told(hatch):
    return es.explain(hatch, [0, 1])


def check_adds_up(told):
    np.testing.assert_allclose(told.mm.sum(axis=2) + told.rest_mm, told.total_mm, rtol=0, atol=1e-9)


def test_shares_are_the_mean_over_all_orders():
    value = np.random.default_rng(3).normal(size=(16, 2))
    orders = list(itertools.permutations(range(4)))
    mean = np.zeros((4, 2))
    for order in orders:
        inside = 0
        for i in order:
            mean[i] += (value[inside | 1 << i] - value[inside]) / len(orders)
            inside |= 1 << i
    np.testing.assert_allclose(shapley(value), mean, atol=1e-14)
    np.testing.assert_allclose(shapley(value).sum(axis=0), value[-1] - value[0], atol=1e-14)


def test_what_does_nothing_to_any_set_changes_no_other_share():
    value = np.random.default_rng(4).normal(size=8)
    more = np.concatenate([value, value])   # a fourth cause
    np.testing.assert_allclose(shapley(more), [*shapley(value), 0.0], atol=1e-15)
    assert shapley(np.array([7.0])).shape == (0,)


def test_parts_and_rest_add_up_to_the_reading(told, hatch):
    check_adds_up(told)
    assert told.mm.shape == (2, 3, len(told.names)) and told.deciding == hatch.strokes.deciding == "load"
    np.testing.assert_allclose(told.total_mm, hatch.strokes.mismatch_mm()[[0, 1]], atol=1e-3)   # read again from the contents


def test_causes_that_a_rig_has_not_are_told_as_such(told):
    assert {"air, left lifting side", "load"} <= set(told.names)
    assert {"walls", "leakage", "divider and bores", "friction", "temperature"} <= set(told.absent)
    assert not set(told.names) & set(told.absent)


def test_mirrored_rig_mirrors_signs():
    new = {"panel.centre_of_mass": 0.4, "branch.right.leak_m3_per_s_pa": 1e-14, "branch.left.breakaway_pa_diff": 1e5}
    swap = {"left": "right", "right": "left"}
    mirrored = {".".join(swap.get(word, word) for word in path.split(".")): value for path, value in new.items()}
    a, b = split(bench(**new), ["left"], [0, 1]), split(bench(**{**mirrored, "panel.centre_of_mass": 0.6}), ["right"], [0, 1])
    names = [" ".join(swap.get(word, word) for word in name.split(" ")) for name in b.names]
    assert sorted(names) == sorted(a.names) and {"load", "leakage", "friction"} < set(names)
    np.testing.assert_allclose(b.mm, -a.mm[:, :, [a.names.index(name) for name in names]], atol=1e-6)
    np.testing.assert_allclose(b.rest_mm, -a.rest_mm, atol=1e-6)
    assert np.abs(a.mm).max(axis=(0, 1)).min() > 1e-3 and abs(a.total_mm).min() > 1


def test_law_air_alone_takes_the_travel_of_its_volume():
    """The left rod lags; what is left without air is 0, because both sides are alike."""
    rig = bench()
    told = split(rig, ["left"])
    check_adds_up(told)
    assert told.names == ("air, left lifting side",)
    np.testing.assert_allclose(of(told, "air, left lifting side"), -lag_mm(rig), rtol=0.01)
    np.testing.assert_allclose(told.rest_mm, 0, atol=1e-6)


def test_law_a_dividing_error_grows_with_the_way():
    told = split(bench(**{"branch.left.dividing_error": 0.01}))
    assert told.names == ("divider and bores",)
    np.testing.assert_allclose(of(told, "divider and bores"), spread_mm(0.01), rtol=0.01)
    np.testing.assert_allclose(told.rest_mm, 0, atol=1e-6)


def test_law_bores_that_differ_part_the_rods_of_a_divider_of_equal_sections():
    """The same oil in each: rods as the inverse of the areas; a mean bore for both leaves 0. The slip of the sections is nought."""
    new = {"synchroniser.section_m3_per_rad": 4e-7, "synchroniser.section_slip": 0.0, "synchroniser.shaft_torque_n_m": 0.0}
    rig = es.parse_rig("""
        format_version = 1
        oil.grade = "ISO VG 22"
        pump.displacement_cm3_per_rev = 0.1
        pump.supply_v = 12
        synchroniser.kind = "rotary_divider"
        synchroniser.section_cm3_per_rev = 0.2
        panel.mass_kg = 0
        [branch]
        bore_mm = 20
        rod_mm = 12
        stroke_mm = 250
        cap_line_bore_mm = 8
        cap_line_length_m = 0.5
        """).replace(**STIFF, **new, **{"branch.leak_m3_per_s_pa": 0.0, "branch.right.bore_m": 0.0202})
    told = split(rig)
    assert told.deciding == "free" and "load" in told.absent and "divider and bores" in told.names
    np.testing.assert_allclose(of(told, "divider and bores"), spread_mm(1.01**2 - 1), rtol=0.02)
    np.testing.assert_allclose(told.rest_mm, 0, atol=1e-6)


def test_air_and_dividing_error_together_get_their_own():
    """What they do to each other is eps/2 of the lag: half of that each."""
    rig, eps = bench(**{"branch.left.dividing_error": 0.01}), 0.01
    told = split(rig, ["left"])
    check_adds_up(told)
    both = lag_mm(rig) * eps / 2 / (1 + eps / 2) / 2
    np.testing.assert_allclose(of(told, "air, left lifting side"), of(split(bench(), ["left"]), "air, left lifting side") + both, atol=2e-3)
    np.testing.assert_allclose(of(told, "divider and bores"), of(split(rig), "divider and bores") + both, atol=2e-3)


def test_two_causes_that_act_alike_get_alike_and_three_rods_add_up():
    """Of three rods two have the same air: the third is ahead of both by the lag, as largest less smallest."""
    rig = bench(branches=("a", "b", "c"))
    told = split(rig, ["a", "b"])
    check_adds_up(told)
    np.testing.assert_allclose(of(told, "air, a lifting side"), of(told, "air, b lifting side"), atol=1e-9)
    third = KG * 9.80665 / 3 / es.laws.cap_area_m2(0.02)
    lag = 1e3 * es.laws.air_offset_m(air_m3=AIR_M3, area_m2=es.laws.cap_area_m2(0.02), p_pa_abs=101325 + third)
    np.testing.assert_allclose(told.total_mm, lag, rtol=0.01)
    one = split(rig, ["a"])   # one alone parts the rods as far: so two share what one does
    np.testing.assert_allclose(of(told, "air, a lifting side"), of(one, "air, a lifting side") / 2, rtol=0.01)


def test_the_same_air_on_both_sides_cancels():
    told = split(bench(), ["left", "right"])
    np.testing.assert_allclose(of(told, "air, left lifting side"), -of(told, "air, right lifting side"), atol=1e-9)
    np.testing.assert_allclose(told.total_mm, 0, atol=1e-6)


def test_a_cause_that_does_nothing_gets_nothing():
    """A share of no breakaway: friction differs by name only."""
    told = split(bench(**{"branch.left.running_share": 0.3}), ["left"])
    assert np.array_equal(of(told, "friction"), np.zeros(3)) and abs(of(told, "air, left lifting side")).min() > 1


def test_without_its_temperature_a_rig_is_as_before_it_was_warmed():
    """On a tee with unlike lines, full of oil: warm the run's own bled twin, cold that of one never warmed."""
    rig = bench("tee", **{"branch.left.cap_line_bore_m": 0.003, "panel.torsion_n_m_per_rad": 3e5})
    warm = es.Procedure(steps=[es.Step(repeat=False), HEAT, es.Step()])
    run = es.run(rig, es.Contents.bled(rig), warm, max_strokes=2, record=False, stop_at_verdict=False)
    told = es.explain(run, 2)
    assert told.names == ("temperature",)
    cold = es.run(rig, es.Contents.bled(rig), STRAIGHT, max_strokes=1, record=False)
    rest, total = (1e3 * abs(one.twin.load.worst_m) for one in (cold, run))
    assert np.abs(told.rest_mm).max() == pytest.approx(rest, rel=0.02)
    assert np.abs(told.total_mm).max() == pytest.approx(total, rel=0.02) and abs(rest - total) > 0.1 * rest


def test_a_stroke_without_a_reading_is_not_split_and_says_so():
    """On a tee the relief valve opens before the heavier rod lifts; with the load in the middle both rise, and that is told."""
    told = split(bench("tee", **{"panel.centre_of_mass": 0.8, "valve_block.relief_pa_gauge": 2.2e6}))
    assert told.names == ("load",) and np.isnan(told.mm[0, 2, 0]) and np.isnan(told.total_mm[0, 2])
    np.testing.assert_allclose(told.rest_mm, 0, atol=1e-6)
    assert [(u.stroke, u.without, u.check) for u in told.unread] == [(0, (), "not reached")]
    assert told.table["check"][2] == "no reading" and np.isnan(told.table["load_mm"][2])
    assert "not split" in told.text() and "not split" in repr(told) and "not reached" in told.text()
    assert "no reading" in [t.get_text() for t in told.plot()[0].texts]
    plt.close("all")


def test_the_table_holds_the_numbers(told):
    table = told.table
    assert table.columns[:3] == ("stroke", "travel_percent", "mismatch_mm") and table.columns[-2:] == ("rest_mm", "check")
    assert table["stroke"].tolist() == [0] * 3 + [1] * 3 and table["travel_percent"].tolist() == [25, 50, 75] * 2
    assert np.array_equal(table["air_left_lifting_side_mm"].reshape(2, 3), told.mm[:, :, told.names.index("air, left lifting side")])
    assert table.to_pandas().shape == (6, len(table.columns) - 1)
    lines = repr(table).split("\n")
    assert len(lines) == 7 and f"{told.total_mm[1, 0]:+.2f}" in lines[4] and "rest mm" in lines[0]


def test_text_names_what_makes_most_first_and_certifies_nothing(told):
    sentence = told.text().split("\n")[1]
    assert sentence.startswith("Before the first stroke") and sentence.split("mm: ")[1].split(" mm ")[1].startswith("air, left lifting side")
    assert f"{told.total_mm[0, told.worst(0)]:+.2f} mm" in sentence and cautions.LIMITS in told.text()


def test_bars_are_the_parts_and_are_told_apart_without_colour(told):
    axes = told.plot()
    figure = axes[0].figure
    figure.canvas.draw()
    rows, at = [0, 1], [told.worst(0), told.worst(1)]
    drawn = {bars.get_label(): [bar.get_height() for bar in bars] for bars in axes[0].containers}
    for i, name in enumerate(told.names):
        np.testing.assert_allclose(drawn[name], told.mm[rows, at, i])
    np.testing.assert_allclose(axes[0].get_lines()[0].get_ydata(), told.total_mm[rows, at])
    np.testing.assert_allclose(sum(np.abs(b.get_height()) for bars in axes[1].containers for b in bars), 200)   # two bars of 100 %
    assert "[mm]" in axes[0].get_ylabel() and "[%]" in axes[1].get_ylabel() and "stroke" in axes[1].get_xlabel()
    assert min(t.get_fontsize() for t in figure.findobj(plt.Text) if t.get_visible() and t.get_text().strip()) >= 12
    assert "left lifting side" in figure.alt_text
    plain = [colour for colour, hatch in explanation_pictures.FILLS if not hatch]
    hatches = [hatch for _, hatch in explanation_pictures.FILLS if hatch]
    assert len(set(hatches)) == len(hatches)
    grey = [np.dot(plt.matplotlib.colors.to_rgb(colour), (0.2126, 0.7152, 0.0722)) for colour in plain]
    assert min(abs(a - b) for a, b in itertools.combinations(grey, 2)) > 0.2
    plt.close("all")


def test_errors_name_the_argument(run):
    for given in (9, [0, 99], "all", [], -1, [0.5], True):
        with pytest.raises(es.InputError, match="strokes"):
            es.explain(run, given)
    with pytest.raises(es.InputError, match="run"):
        es.explain("run")
    with pytest.raises(es.InputError, match="threads"):
        es.explain(run, 0, threads=-1)


def test_before_the_first_stroke_is_not_asked_where_another_step_comes_first():
    rig = bench()
    bled = es.Contents.bled(rig)
    first = es.Procedure(steps=[es.Step(kind="stand", repeat=False), es.Step()])
    run = es.run(rig, bled, first, max_strokes=2, record=False, stop_at_verdict=False)
    assert es.explain(run).strokes.tolist() == [1, 2]
    with pytest.raises(es.InputError, match="other steps come before"):
        es.explain(run, 0)
