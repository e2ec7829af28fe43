"""How the members of an answer are drawn and counted, and what the answer says."""

import re

import numpy as np
import pytest
from scipy.stats import qmc

import evenstroke as es
from evenstroke.sampling import members_from_bands, quantile, sobol_points


def test_members_depend_on_index_and_seed_only(rig):
    few, many = members_from_bands(rig, members=4, seed=3), members_from_bands(rig, members=64, seed=3)
    other = members_from_bands(rig, members=4, seed=4)
    bands = {f.path: f.band for f in rig.fields() if f.band}
    assert set(few) == set(bands)
    for path, (low, high) in bands.items():
        assert np.array_equal(few[path], many[path][:4]) and not np.array_equal(few[path], other[path])
        assert np.all((low <= many[path]) & (many[path] <= high))


def test_points_are_those_of_sobol_but_for_the_shift():
    """A digital shift cancels in the XOR of two points; SciPy has the same direction numbers (Joe and Kuo 2008)."""
    bits, dimensions, count = 53, 12, 64

    def differences(points):
        whole = (points * 2.0**bits).astype(np.uint64)
        return whole[1:] ^ whole[:1]

    plain = qmc.Sobol(dimensions, scramble=False, bits=bits).random(2 * count)
    for seed in (1, 2, 77):
        ours = differences(sobol_points(points=count, dimensions=dimensions, seed=seed))
        starts = [np.array_equal(ours, differences(plain[skip : skip + count])) for skip in (0, 1)]
        assert any(starts), seed  # the first point, all zeros, may be left out


@pytest.mark.parametrize("count", [1, 2, 7, 64, 255])
def test_quantile_is_numpys_inverted_cdf(count):
    random = np.random.default_rng(count)
    for _ in range(20):
        values = random.integers(1, 30, count).astype(float)
        for q in (0.0, 0.025, 0.31, 0.5, 0.975, 1.0):
            assert quantile(values, q) == np.quantile(values, q, method="inverted_cdf")


def test_quantile_takes_infinity_and_refuses_nan():
    assert quantile([1, np.inf, np.inf], 0.5) == np.inf and quantile([1, np.inf, np.inf], 1 / 3) == 1
    for values, q in (([1, np.nan], 0.5), ([], 0.5), ([1], 1.5), ([1], np.nan)):
        with pytest.raises(es.InputError):
            quantile(values, q)


def test_the_band_of_an_answer_is_made_of_its_members(answer):
    for count in (answer.bled, answer.parallel):
        known = count.member[~np.isnan(count.member)]
        assert len(known) == answer.done - answer.failed == 8
        assert count.strokes == np.quantile(known, 0.5, method="inverted_cdf")
        assert count.low == known.min() and count.high == known.max()  # 8 members: the tails of 95 % hold less than one
        assert count.p_never + count.p_not_within == np.isinf(known).mean()


def test_the_answer_is_that_of_its_table(rig, contents, procedure, answer):
    runs = es.run_batch(rig, contents, procedure, answer.table, tolerance_mm=0.5)
    strokes = [r.bled.stroke if r.bled.stroke is not None else np.inf for r in runs]
    assert np.array_equal(strokes, answer.bled.member)


def test_the_books_are_told_with_every_result(run, answer):
    form = re.compile(
        r"ooks: oil off by (\S+), air off by (\S+), transport off by up to (\S+) mm of rod travel in a stroke, "
        r"pump work (\S+) J"
    )
    for text, books in ((answer.text(), answer.nominal.books), (repr(run), run.books), (repr(answer.nominal), None)):
        told = form.findall(text)
        assert len(told) == 1
        oil, air, transport, work = map(float, told[0])
        books = books or answer.nominal.books
        assert oil == pytest.approx(books.oil_rel_error, rel=0.06, abs=0) and abs(oil) < 1e-9
        assert air == pytest.approx(books.air_rel_error, rel=0.06, abs=0) and abs(air) < 1e-9
        assert transport == pytest.approx(1e3 * books.transport_error_m, rel=0.06) and transport > 0
        assert work == pytest.approx(books.pump_work_j, rel=1e-3) and work > 0


def test_what_an_answer_says_about_itself(rig, contents, procedure, answer):
    text = answer.text()
    assert "95 % of 8 variants of the stated inputs" in text and "assumption" not in text
    assumed = es.strokes_to_parallel(rig, contents, procedure, members=2).text()
    assert "No tolerance was given: 2.5 mm is an assumption" in assumed  # 1 % of the 250 mm of the demo rigs
    for caution in (
        "through skin",
        "Pressure stays stored",
        "Prop or hold",
        "Keep hands",
        "hot",
        "stalled",
        "off by centimetres",
    ):
        assert caution in text
    assert "does not certify" in text and "no further air found at this resolution" in text
    assert "fit for use" not in text and len(repr(answer)) < 120
