"""Readings weigh the variants; the advice follows from what the weighted variants do next."""

import numpy as np
import pytest
from scipy.stats import chi2
from test_mechanisms import LEAK, PORT, done

import evenstroke as es
from evenstroke.next_steps import advise, chi_squared_tail, weighted_quantile
from evenstroke.sampling import members_from_bands, quantile


@pytest.fixture(scope="module")
def hatch(rig, procedure):
    """Variants of the exchanged hatch, and others whose readings play the bench."""
    contents = es.Contents.after_exchange(rig, dry=["left.cylinder"], opened=["left.cap_line"], rods="out")
    table, truth = members_from_bands(rig, members=64, seed=1), members_from_bands(rig, members=12, seed=77)
    runs, bench = (es.run_batch(rig, contents, procedure, t, max_strokes=10) for t in (table, truth))
    return rig, runs, table, bench


def read(run, *strokes, step_mm=0.5):
    worst = run.strokes.worst_mm()
    return [es.Reading(n, round(float(worst[min(n, len(worst) - 1)]) / step_mm) * step_mm, step_mm) for n in strokes]


def test_the_band_after_two_readings_holds_what_the_bench_did_next(hatch):
    """Twelve benches drawn from the same bands and read to half a millimetre; a band of 95 % may miss one, 64 variants two."""
    rig, runs, table, bench = hatch
    inside, narrower = 0, 0
    prior = weighted_quantile(counts(runs, 2), np.full(64, 1 / 64), 0.975)
    for run in bench:
        step = advise(rig, runs, table, read(run, 1, 2), 0.95)
        truth = counts([run], 2)[0]
        inside += step.low <= truth <= step.high
        narrower += step.high < prior
    assert inside >= 9 and narrower >= 6


def counts(runs, last):
    return np.array(
        [max(r.parallel.stroke - last, 0) if r.parallel.answered is es.Answered.reached else np.inf for r in runs]
    )


def test_limit_a_reading_that_tells_nothing_leaves_the_variants_as_they_were(hatch):
    rig, runs, table, _ = hatch
    step = advise(rig, runs, table, [es.Reading(1, 0.0, 1e6)], 0.95)
    assert step.weights == pytest.approx(1 / 64, rel=1e-3) and step.effective == pytest.approx(64, rel=1e-3)
    assert (step.more, step.low, step.high) == tuple(quantile(counts(runs, 1), q) for q in (0.5, 0.025, 0.975))


def test_small_readings_late_are_enough_and_large_ones_ask_to_go_on(hatch):
    rig, runs, table, _ = hatch
    late = advise(rig, runs, table, [es.Reading(10, 0.3, 0.3)], 0.95)
    assert late.advice == "enough" and "No further air found at this resolution" in late.text()
    early = advise(rig, runs, table, [es.Reading(1, -70.0, 0.5)], 0.95)
    assert early.advice == "go on" and 1 <= early.more < np.inf and "Keep hands" in early.text()


def test_what_no_variant_explains_sends_one_elsewhere(hatch):
    """The first rod far ahead for good: a right piston that leaks, of which the variants know nothing."""
    rig, runs, table, _ = hatch
    step = advise(rig, runs, table, [es.Reading(n, 14.0) for n in (3, 4, 6)], 0.95)
    assert step.advice == "look elsewhere" and step.probability < 0.01 and "leaks" in step.text()


def test_a_procedure_that_cannot_get_there_is_answered_with_a_change_that_was_run():
    run = done(PORT)
    i = run.inputs
    step = es.next_step(i.rig, i.contents, i.procedure, read(run, 2, 4), members=16, max_strokes=7, tolerance_mm=3)
    assert step.advice == "change" and step.probability > 0.5 and "turned rod down" in step.cures.best.what
    assert step.cures.text() in step.text()


def test_a_leak_read_at_the_bench_is_no_air():
    sound, leaks = done({}).inputs, done(LEAK)
    step = es.next_step(sound.rig, sound.contents, sound.procedure, read(leaks, 1, 2, 3), members=16, max_strokes=7)
    assert step.advice == "look elsewhere"


def test_reference_the_tail_of_the_chi_squared_law():
    """SciPy's."""
    for degrees in (1, 2, 3, 4, 5, 8):
        for square in (0.0, 0.3, 2.0, 9.0, 30.0):
            assert chi_squared_tail(square, degrees) == pytest.approx(chi2.sf(square, degrees), rel=1e-12)
    assert chi_squared_tail(np.inf, 3) == 0


def test_equal_weights_give_the_order_statistic():
    values = np.array([4.0, 1.0, np.inf, 2.0, 3.0])
    for q in (0.025, 0.2, 0.5, 0.8, 0.975):
        assert weighted_quantile(values, np.full(5, 0.2), q) == quantile(values, q)


def test_readings_that_cannot_be_are_refused_by_name(rig, contents, procedure):
    for readings, field in (
        ([], "readings"),
        (3, "readings"),
        ([(1.5, 2.0)], "stroke"),
        ([(-1, 2.0)], "stroke"),
        ([(1, "two")], "mismatch_mm"),
        ([(1, np.nan)], "mismatch_mm"),
        ([(1, 2.0, 0.0)], "resolution_mm"),
        ([(1, 2.0, np.inf)], "resolution_mm"),
    ):
        with pytest.raises(es.InputError) as caught:
            es.next_step(rig, contents, procedure, readings, members=2)
        assert caught.value.field == field
    with pytest.raises(es.InputError, match="confidence"):
        es.next_step(rig, contents, procedure, [(1, 2.0)], members=2, confidence=1.0)
