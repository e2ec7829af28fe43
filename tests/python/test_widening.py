"""What widens a band is found from the members themselves, and only what chance does not explain is told."""

import numpy as np
import pytest
from conftest import exchanged

import evenstroke as es
from evenstroke.sampling import sobol_points
from evenstroke.widening import MEASURE, first_order, ranks


def ishigami(u, a=7.0, b=0.1):
    x = np.pi * (2 * u - 1)
    return np.sin(x[:, 0]) + a * np.sin(x[:, 1]) ** 2 + b * x[:, 2] ** 4 * np.sin(x[:, 0])


def test_reference_first_order_indices_of_the_ishigami_function():
    """0.3139, 0.4424, 0: Ishigami and Homma 1990 with a = 7, b = 0.1; from memory, and by its variances:
    V1 = (1 + b pi^4/5)^2/2, V2 = a^2/8, V = a^2/8 + b pi^4/5 + b^2 pi^8/18 + 1/2."""
    share = first_order(u := sobol_points(points=4096, dimensions=3, seed=1), ishigami(u), 32)
    assert share == pytest.approx([0.3139, 0.4424, 0.0], abs=0.02)


def test_law_chance_alone_adds_nothing_on_average():
    """Without the correction 7 of 63 degrees of freedom, 0.11, would be found in noise."""
    random = np.random.default_rng(2)
    shares = first_order(random.random((64, 40)), random.random((200, 64)), 8)
    assert abs(shares.mean()) < 0.01


def test_ranks_share_ties_and_put_last_what_never_ends():
    assert list(ranks(np.array([3.0, 1.0, np.inf, np.inf, 2.0]))) == [2.0, 0.0, 3.5, 3.5, 1.0]


def test_every_unknown_of_a_rig_says_how_it_can_be_measured(rig, low_rig):
    tee = es.parse_rig(
        'format_version = 1\nname = ""\n[oil]\ngrade = "ISO VG 22"\n[pump]\ndisplacement_cm3_per_rev = 0.24\nsupply_v = 12\n'
        '[synchroniser]\nkind = "tee"\n[panel]\nmass_kg = 10\n[branch]\nbore_mm = 20\nrod_mm = 12\nstroke_mm = 100\n'
        "cap_line_bore_mm = 4\ncap_line_length_m = 1\n"
    )
    banded = {f.evidence for r in (rig, low_rig, tee) for f in r.fields() if f.band}
    assert banded <= set(MEASURE)


@pytest.fixture(scope="module")
def answer(rig, procedure):
    contents = es.Contents.after_exchange(rig, dry=["left.cylinder"], opened=["left.cap_line"], rods="out")
    return es.strokes_to_parallel(rig, contents, procedure, members=64, max_strokes=12)


def test_the_size_of_coarse_bubbles_widens_the_hatchs_band_most_and_that_shows_in_its_members(answer):
    """Held against the members: the third with the coarsest bubbles ranks far from the third with the finest."""
    first = answer.widened_by[0]
    assert first.path == "air.coarse_m" and first.measure in answer.text() and 0 < first.share <= 1
    size, strokes = answer.table["air.coarse_m"], ranks(np.asarray(answer.parallel.member))
    order = np.argsort(size)
    third = len(order) // 3
    assert abs(strokes[order[-third:]].mean() - strokes[order[:third]].mean()) > 0.25 * len(order)


def test_nothing_is_named_where_nothing_varies(rig, procedure):
    bled = es.strokes_to_parallel(rig, es.Contents.bled(rig), procedure, members=32, tolerance_mm=20, max_strokes=4)
    assert bled.widened_by == [] and "widens" not in bled.text()


def test_few_members_say_that_an_end_of_the_band_is_open(rig, procedure):
    few = es.strokes_to_parallel(rig, exchanged(rig), procedure, members=4, max_strokes=6)
    assert np.isinf(few.parallel.own_error) and "could as well lie further out" in few.text()
