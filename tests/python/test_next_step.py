"""Readings weigh the variants; the advice follows from what the weighted variants do next."""

import numpy as np
import pytest
from test_mechanisms import LEAK, PORT, done

import evenstroke as es
from evenstroke import cautions
from evenstroke.next_steps import advise, weighted_quantile
from evenstroke.sampling import members_from_bands, quantile


@pytest.fixture(scope="module")
def hatch(rig, procedure):
    """Variants of the exchanged hatch, and others whose readings play the bench."""
    contents = es.Contents.after_exchange(rig, dry=["left.cylinder"], opened=["left.cap_line"], rods="out")
    table, truth = members_from_bands(rig, members=64, seed=1), members_from_bands(rig, members=12, seed=77)
    runs, bench = (es.run_batch(rig, contents, procedure, t, max_strokes=10) for t in (table, truth))
    return runs, table, bench


def ask(hatch, readings):
    runs, table, _ = hatch
    return advise(runs, table, [es.Reading(*r) for r in readings], 0.95, 10, 250.0)


def read(run, *strokes, step_mm=0.5):
    worst = run.strokes.worst_mm()
    return [es.Reading(n, round(float(worst[min(n, len(worst) - 1)]) / step_mm) * step_mm, step_mm) for n in strokes]


def test_the_band_after_two_readings_holds_what_the_bench_did_next(hatch):
    """Twelve benches drawn from the same bands and read to half a millimetre; a band of 95 % may miss one, 64 variants two."""
    runs, _, bench = hatch
    inside, narrower = 0, 0
    prior = weighted_quantile(counts(runs, 2), np.full(64, 1 / 64), 0.975)
    for run in bench:
        step = ask(hatch, read(run, 1, 2))
        truth = counts([run], 2)[0]
        inside += step.low <= truth <= step.high
        narrower += step.high < prior
    assert inside >= 9 and narrower >= 6


def counts(runs, last):
    return np.array(
        [max(r.parallel.stroke - last, 0) if r.parallel.answered is es.Answered.reached else np.inf for r in runs]
    )


def test_limit_a_reading_that_tells_nothing_leaves_the_variants_as_they_were(hatch):
    runs = hatch[0]
    step = ask(hatch, [(1, 0.0, 1e6)])
    assert step.weights == pytest.approx(1 / 64, rel=1e-3) and step.effective == pytest.approx(64, rel=1e-3)
    assert (step.more, step.low, step.high) == tuple(quantile(counts(runs, 1), q) for q in (0.5, 0.025, 0.975))


def test_small_readings_late_are_enough_and_large_ones_ask_to_go_on(hatch):
    late = ask(hatch, [(10, 0.3, 0.3)])
    assert late.advice == "enough" and "No further air found at this resolution" in late.text()
    early = ask(hatch, [(1, -70.0, 0.5)])
    assert early.advice == "go on" and 1 <= early.more < np.inf
    assert "Keep hands" in early.text() and "Keep hands" in repr(early)


def test_a_reading_outside_the_tolerance_is_never_enough(hatch):
    """However coarse it is, and however sure the variants are."""
    assert "enough" not in {ask(hatch, [r]).advice for r in ((10, 3.5, 1.5), (10, -6.0, 3.0), (10, 40.0, 100.0))}


def test_what_no_variant_explains_sends_one_elsewhere_with_the_cautions_of_looking(hatch):
    """The first rod far ahead for good: a right piston that leaks, of which the variants know nothing."""
    step = ask(hatch, [(n, 14.0) for n in (3, 4, 6)])
    assert step.advice == "look elsewhere" and "leaks" in step.text()
    assert all(c in step.text() for c in (cautions.JET, cautions.STORED, cautions.PARTING, cautions.LIMITS))


def test_benches_like_the_variants_are_not_sent_elsewhere_even_with_one_reading_gone_wrong(hatch):
    """Twelve of them, three readings each, once as they are and once with one off by 12 mm: two of 24 may be sent away."""
    away = 0
    for run in hatch[2]:
        readings = read(run, 1, 2, 4)
        wrong = [*readings[:2], readings[2]._replace(mismatch_mm=readings[2].mismatch_mm + 12)]
        away += sum(ask(hatch, r).advice == "look elsewhere" for r in (readings, wrong))
    assert away <= 2


def test_a_procedure_that_cannot_get_there_is_answered_with_a_change_that_was_run():
    run = done(PORT)
    i = run.inputs
    step = es.next_step(i.rig, i.contents, i.procedure, read(run, 2, 4), members=16, max_strokes=7, tolerance_mm=3)
    assert step.advice == "change" and step.probability > 0.5 and "rod down" in step.cures.best.what
    assert step.cures.text() in step.text() and not any(c.works for c in step.cures.tried if c.what == "as it is")


def test_where_no_variant_runs_through_that_is_the_answer():
    """A relief that opens at 1 bar under four tonnes: every variant stalls."""
    i = done({}).inputs
    rig = i.rig.replace(**{"valve_block.relief_pa_gauge": 1e5, "panel.mass_kg": 4000.0})
    procedure = es.Procedure(steps=[es.Step(bypass="open", rods="panel")], max_strokes=2)
    step = es.next_step(rig, es.Contents.after_exchange(rig, dry=["left.cylinder"]), procedure, [(1, 1.0)], members=2)
    assert step.advice == "not computed" and "stalled" in step.text() and step.effective == 0 and "unknown" in repr(step)


def test_the_order_in_which_readings_are_given_does_not_matter():
    run = done(PORT)
    i = run.inputs
    one, other = (
        es.next_step(i.rig, i.contents, i.procedure, order, members=4, max_strokes=7, tolerance_mm=3)
        for order in (read(run, 2, 4), read(run, 4, 2))
    )
    assert one.text() == other.text() and one.advice == "change"


def test_a_leak_read_at_the_bench_is_no_air():
    sound, leaks = done({}).inputs, done(LEAK)
    step = es.next_step(sound.rig, sound.contents, sound.procedure, read(leaks, 1, 2, 3), members=16, max_strokes=7)
    assert step.advice == "look elsewhere"


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
        ([(1, 300.0)], "mismatch_mm"),
        ([(1, 2.0, 0.0)], "resolution_mm"),
        ([(1, 2.0, np.inf)], "resolution_mm"),
        ([(1,)], "readings"),
        ([(1, 2.0, 0.5, 3)], "readings"),
        ([(21, 2.0)], "stroke"),
    ):
        with pytest.raises(es.InputError) as caught:
            es.next_step(rig, contents, procedure, readings, members=2)
        assert caught.value.field == field
    with pytest.raises(es.InputError, match="confidence"):
        es.next_step(rig, contents, procedure, [(1, 2.0)], members=2, confidence=1.0)
    with pytest.raises(TypeError, match="record"):
        es.next_step(rig, contents, procedure, [(1, 2.0)], members=2, record=True)
