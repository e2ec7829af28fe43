"""What to do next, from what was read after some strokes."""

from typing import NamedTuple

import numpy as np

from . import _core, cautions
from .batches import run_batch
from .cures import checked, search
from .errors import all_of, number, one_of, refuse, whole
from .sampling import members_from_bands

OUTLIERS = 0.05      # share of readings that tell nothing
MODEL_SHARE = 0.04   # of a reading: what the steps in time move it by
UNLIKELY = 0.01      # a misfit that benches like the variants reach more seldom sends one elsewhere
BENCHES = 256        # variants that play the bench for that
ELSEWHERE = (cautions.JET, cautions.STORED, cautions.PROP, cautions.HANDS, cautions.PARTING)


class Reading(NamedTuple):
    """What a person read in a comparison of the rods.

    Attributes
    ----------
    stroke : int, >= 0
        After so many bleed strokes; 0: before the first.
    mismatch_mm : float, mm
        First rod less second (of more rods the largest less the smallest), the largest in size of those read at 25, 50 and
        75 % of the travel, not at the stops; under the panel if the rig has one.
    resolution_mm : float, mm, > 0
        Standard deviation of such a reading.
    """

    stroke: int
    mismatch_mm: float
    resolution_mm: float = 0.5


class NextStep:
    """What the readings say.

    Attributes
    ----------
    advice : str
        ``"enough"``: no further air found at this resolution. ``"go on"``. ``"change"``: do another step first, or
        nothing known here helps. ``"look elsewhere"``: variants of the stated inputs do not explain the readings.
        ``"not computed"``: every variant was stopped by a numerical outcome or a stall.
    probability : float, 0 to 1
        Weight of the variants behind it: in step by now; in step with this procedure; not in step with it. For the last:
        share of benches like the variants whose readings would be explained as badly.
    more, low, high : float
        Strokes still needed: weighted median and ends of the band; infinity: never, or not within the limit.
    weights : array of float, shape (variants,)
        Posterior weights, sum 1; of variants that a numerical outcome has stopped, 0.
    effective : float
        How many equally likely variants the weights are worth; fewer than 10: read the band with care.
    table : dict of str to array of float, shape (variants,), SI
        The variants' inputs.
    cures : Cures or None
        Changes that were run, from the variant that explains the readings best as it stands now, where the advice is
        ``"change"``.
    cautions : tuple of str
        That go with the advice.
    confidence : float
        Of the band.
    """

    def __init__(self, advice, probability, count, weights, table, told, confidence, stopped=""):
        self.advice, self.probability, (self.more, self.low, self.high, self._endless) = advice, probability, count
        self.weights, self.table, self.cautions, self.confidence = weights, table, told, confidence
        self.cures, self._stopped = None, stopped

    @property
    def effective(self):
        square = np.sum(self.weights**2)
        return float(1 / square) if square > 0 else 0.0

    def __repr__(self):
        told = f"; cautions: {' '.join(self.cautions)}" if self.cautions else ""
        return f"<NextStep: {self.advice}, probability {self.probability:.2g}; {self._count()} more{told}>"

    def _count(self):
        """Weighted median with its band, in words."""
        text = [f"{x:.0f}" if np.isfinite(x) else self._endless for x in (self.more, self.low, self.high)]
        return f"{text[0]} ({text[1]} to {text[2]})"

    def text(self):
        """What to do, with the probability behind it, and the cautions that go with it.

        Returns
        -------
        str
        """
        p = _percent(self.probability)
        told = [{
            "enough": f"No further air found at this resolution: the rods are in step by now in {p} of the weighted variants.",
            "go on": f"Go on: {self._count()} more strokes; {p} of the weighted variants get there with this procedure.",
            "change": f"This procedure does not get there in {p} of the weighted variants: never, or not within its limit.",
            "look elsewhere": (
                f"Look elsewhere: variants of the stated inputs do not explain these readings ({p} of benches like them would "
                "be explained as badly). Read once more; then look at leaks, a soft hose, unequal load, a joint that draws air."
            ),
            "not computed": f"No variant could be run through; the first: {self._stopped}.",
        }[self.advice]]  # fmt: skip
        if self.effective < 10 and self.advice not in ("look elsewhere", "not computed"):
            told.append(
                f"The readings leave the worth of {self.effective:.1f} variants: read the numbers with care, or ask for more "
                "members."
            )
        told += [f"- {c}" for c in self.cautions]
        told.append(self.cures.text() if self.cures is not None else f"{cautions.LOCAL}\n{cautions.LIMITS}")
        return "\n".join(told)


def _percent(p):
    if p > 0.99:
        return "more than 99 %"
    return f"{100 * p:.0f} %" if p >= 0.01 else "less than 1 %"


def weighted_quantile(values, weights, q):
    """The smallest value with at least the weight q at or below it; infinity is allowed."""
    order = np.argsort(values, kind="stable")
    reached = np.cumsum(weights[order])
    return float(values[order][min(np.searchsorted(reached, q * reached[-1] * (1 - 1e-12)), len(order) - 1)])


def _read(run, stroke):
    """The run's reading after a stroke; after its end, where it stands still or is in step, the last."""
    worst = run.strokes.worst_mm()
    return worst[min(stroke, len(worst) - 1)] if len(worst) else np.nan


def _count(run, last):
    verdict = run.parallel
    return float(max(verdict.stroke - last, 0)) if verdict.answered is _core.Answered.reached else np.inf


def _checked(readings, limit, travel_mm):
    made = []
    for given in all_of("readings", readings, tuple):
        if not 2 <= len(given) <= 3:
            refuse("readings", given, "each is a Reading, or (stroke, mismatch_mm) or (stroke, mismatch_mm, resolution_mm)")
        stroke, mm, sd = Reading(*given)
        made.append(Reading(whole("stroke", stroke, 0, limit), number("mismatch_mm", mm), number("resolution_mm", sd)))
        if not abs(made[-1].mismatch_mm) <= travel_mm:
            refuse("mismatch_mm", made[-1].mismatch_mm, f"must lie within the travel, {travel_mm:g} mm either way")
        if not 0 < made[-1].resolution_mm <= travel_mm:
            refuse("resolution_mm", made[-1].resolution_mm, f"must lie above 0 and up to the travel, {travel_mm:g} mm")
    if not made:
        refuse("readings", readings, "needs at least one")
    return sorted(made)


def next_step(rig, contents, procedure, readings, *, members=128, confidence=0.95, seed=1, threads=0, **options):
    """What to do next: go on, and how long; change the procedure; or look for another cause.

    The variants of the stated inputs are weighted by how well their runs explain the readings: normal errors of the
    stated resolution and 4 % of the reading, one reading in twenty telling nothing. Whether they explain them at all is
    judged against variants that play the bench, each explained by the others; of three readings or more the worst is left
    out there.

    Parameters
    ----------
    rig : Rig
    contents : Contents
        Before the first stroke.
    procedure : Procedure
        What is being done.
    readings : list of Reading or of tuple (stroke, mismatch_mm[, resolution_mm])
        At least one; strokes up to the limit, mismatch and resolution up to the travel.
    members : int, 2 to 65536, default 128
    confidence : float, 0.5 to 0.999
        Of the band; also the weight of variants in step that is called enough.
    seed : int, 0 to 2**64 - 1
    threads : int, 0 to 1024
    **options
        As for `cures`.

    Returns
    -------
    NextStep

    Raises
    ------
    InputError
        As `run_batch`; for no reading, or one that is no number or out of range.
    TypeError
        Another option.
    KeyboardInterrupt
        For a Ctrl-C; nothing is kept.
    """
    members, confidence = checked(members, confidence, options)
    travel_mm = 1e3 * min(rig.get(f"branch.{b}.stroke_m") for b in one_of("rig", rig, _core.Rig).branches)
    limit = options.get("max_strokes") or one_of("procedure", procedure, _core.Procedure).max_strokes
    readings = _checked(readings, limit, travel_mm)
    table = members_from_bands(rig, members=members, seed=seed)
    runs = run_batch(rig, contents, procedure, table, threads=threads, **options)
    if any(r.status.outcome is _core.Outcome.interrupted for r in runs):
        raise KeyboardInterrupt
    step = advise(runs, table, readings, confidence, limit, travel_mm)
    if step.advice == "change":
        likely = runs[int(np.argmax(step.weights))]
        now = likely.contents_at(min(readings[-1].stroke, len(likely.strokes) - 1))
        begun = readings[-1].stroke > 0                    # then what is done once has been done
        again = [s for s in procedure.steps if s.repeat or not begun]
        rest = _core.Procedure(steps=again, name=procedure.name, max_strokes=procedure.max_strokes)
        step.cures = search(likely.inputs.rig, now, rest, min(members, 32), confidence, seed, threads, options, as_it_is=False)
    return step


def advise(runs, table, readings, confidence, limit, travel_mm):
    """What readings, in order, say of variants that have been run; `table` holds their inputs."""
    last = readings[-1].stroke
    done = np.array([r.status.ok for r in runs])
    count = np.array([_count(r, last) for r in runs])
    never = np.array([r.parallel.answered is _core.Answered.never for r in runs])
    said = np.array([[_read(run, r.stroke) for r in readings] for run in runs])
    read, sd = (np.array([getattr(r, key) for r in readings]) for key in ("mismatch_mm", "resolution_mm"))
    told = ~np.isnan(said[done]).all(axis=0)   # a comparison that no variant can make tells nothing
    said, read, sd = said[:, told], read[told], sd[told]
    spread = np.hypot(sd, MODEL_SHARE * np.nan_to_num(said))
    miss = np.where(np.isnan(said), np.inf, (said - read) / spread)
    fits = np.exp(-0.5 * miss**2) / (np.sqrt(2 * np.pi) * spread)
    likely = np.log((1 - OUTLIERS) * fits + OUTLIERS / (2 * travel_mm)).sum(axis=1)
    if not done.any():
        count_of_none = (np.inf, np.inf, np.inf, "unknown")
        return NextStep("not computed", 0.0, count_of_none, np.zeros(len(runs)), table, (), confidence, repr(runs[0].status))
    weights = np.where(done, np.exp(likely - likely[done].max()), 0.0)
    weights /= weights.sum()
    band = [weighted_quantile(count, weights, q) for q in (0.5, (1 - confidence) / 2, (1 + confidence) / 2)]
    there, now = float(weights[np.isfinite(count)].sum()), float(weights[count == 0].sum())
    endless = "never" if weights[never].sum() >= 1 - there - weights[never].sum() else f"> {limit - last}"
    procedure = runs[0].inputs.procedure
    chance, lost = _chance(said[done], read, sd) if len(read) else (1.0, False)

    def say(advice, probability, asked):
        return NextStep(advice, probability, (*band, endless), weights, table, asked, confidence)

    if lost:
        return say("look elsewhere", chance, ELSEWHERE)
    inside = abs(readings[-1].mismatch_mm) + readings[-1].resolution_mm <= runs[0].tolerance_mm
    if now >= confidence and inside:
        return say("enough", now, ())
    if there >= 0.5:
        return say("go on", there, cautions.of_steps(procedure.steps))
    return say("change", 1 - there, ())


def _chance(said, read, sd):
    """Share of benches like the variants that the others explain as badly as all explain the readings; and whether that is
    too seldom to believe in."""
    random = np.random.default_rng(0)
    said = said[~np.isnan(said).any(axis=1)]
    if len(said) < 2:
        return 1.0, False
    spread = np.hypot(sd, MODEL_SHARE * said)
    found = _misfit((said - read) / spread).min()
    worse, benches = 0, range(len(said))[:BENCHES]
    for i in benches:
        bench = said[i] + spread[i] * random.standard_normal(len(sd))
        square = _misfit((said - bench) / spread)
        square[i] = np.inf
        worse += square.min() >= found
    chance = (worse + 1) / (len(benches) + 1)
    return chance, chance <= UNLIKELY or worse == 0


def _misfit(miss):
    """Sum of squares, of three readings or more without the worst."""
    square = miss**2
    return square.sum(axis=1) - (square.max(axis=1) if square.shape[1] >= 3 else 0)
