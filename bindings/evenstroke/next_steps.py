"""What to do next, from what was read after some strokes."""

import math
from typing import NamedTuple

import numpy as np

from . import _core, cautions
from .batches import run_batch
from .cures import cures
from .errors import all_of, number, refuse, whole
from .sampling import members_from_bands

OUTLIERS = 0.05      # share of readings that tell nothing
MODEL_SHARE = 0.04   # of a reading: what the steps in time move it by
UNLIKELY = 0.01      # a misfit that good variants reach more seldom sends one elsewhere


class Reading(NamedTuple):
    """What a person read in a comparison of the rods.

    Attributes
    ----------
    stroke : int, >= 0
        After so many bleed strokes; 0: before the first.
    mismatch_mm : float, mm
        First rod less second, the largest in size of those read at 25, 50 and 75 % of the travel, not at the stops; under
        the panel if the rig has one.
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
        nothing known here helps. ``"look elsewhere"``: no variant of the stated inputs explains the readings.
    probability : float, 0 to 1
        Weight of the variants behind it: in step by now; in step with this procedure; not in step with it. For the last:
        chance of a misfit as large as the best variant's, by the chi-squared law.
    more, low, high : float
        Strokes still needed: weighted median and ends of the band; infinity: never, or not within the limit.
    weights : array of float, shape (members,)
        Posterior weights of the variants, sum 1.
    effective : float
        How many equally likely variants the weights are worth; fewer than 10: read the band with care.
    table : dict of str to array of float, shape (members,), SI
        The variants' inputs.
    cures : Cures or None
        Changes that were run, where the advice is ``"change"``.
    """

    def __init__(self, advice, probability, more, low, high, weights, table, found, confidence):
        self.advice, self.probability, self.more, self.low, self.high = advice, probability, more, low, high
        self.weights, self.table, self.cures, self.confidence = weights, table, found, confidence

    @property
    def effective(self):
        return float(1 / np.sum(self.weights**2))

    def __repr__(self):
        return f"<NextStep: {self.advice}, probability {self.probability:.2g}; {self._count()} more>"

    def _count(self):
        """Weighted median with its band, in words."""
        text = [f"{x:.0f}" if np.isfinite(x) else "never" for x in (self.more, self.low, self.high)]
        return f"{text[0]} ({text[1]} to {text[2]})"

    def text(self):
        """What to do, with the probability behind it, and the cautions that go with it.

        Returns
        -------
        str
        """
        p = _percent(self.probability)
        lines = {
            "enough": f"No further air found at this resolution: the rods are in step by now in {p} of the weighted variants.",
            "go on": f"Go on: {self._count()} more strokes; {p} of the weighted variants get there with this procedure.",
            "change": f"This procedure does not get there in {p} of the weighted variants.",
            "look elsewhere": (
                f"Look elsewhere: no variant of the stated inputs explains these readings (chance {p}). Read once more; "
                "then look at leaks, a soft hose, unequal load, a joint that draws air."
            ),
        }[self.advice]
        told = [lines]
        if self.effective < 10 and self.advice != "look elsewhere":
            told.append(f"Only about {self.effective:.0f} variants fit: read the numbers with care, or ask for more members.")
        if self.cures is not None:
            told.append(self.cures.text())
        elif self.advice == "go on":
            told += [f"- {c}" for c in cautions.OF_KIND["cycle"]]
        return "\n".join([*told, *(() if self.cures and self.cures.best else (cautions.LOCAL, cautions.LIMITS))])


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


def _checked(readings):
    readings = [Reading(*r) for r in all_of("readings", readings, tuple)]
    if not readings:
        refuse("readings", readings, "needs at least one")
    made = []
    for stroke, mm, resolution in readings:
        made.append(Reading(whole("stroke", stroke, 0, 1000), number("mismatch_mm", mm), number("resolution_mm", resolution)))
        for name, value, rule in (("mismatch_mm", made[-1].mismatch_mm, "must be finite"),
                                  ("resolution_mm", made[-1].resolution_mm, "must be finite and above 0")):  # fmt: skip
            if not np.isfinite(value) or (name == "resolution_mm" and value <= 0):
                refuse(name, value, rule)
    return made


def next_step(rig, contents, procedure, readings, *, members=128, confidence=0.95, seed=1, threads=0, **options):
    """What to do next: go on, and how long; change the procedure; or look for another cause.

    The variants of the stated inputs are weighted by how well their runs explain the readings: normal errors of the
    stated resolution and 4 % of the reading, one reading in twenty telling nothing.

    Parameters
    ----------
    rig : Rig
    contents : Contents
        Before the first stroke.
    procedure : Procedure
        What is being done.
    readings : list of Reading or of tuple (stroke, mismatch_mm[, resolution_mm])
        At least one.
    members : int, 2 to 65536, default 128
    confidence : float, 0.5 to 0.999
        Of the band; also the weight of variants in step that is called enough.
    seed : int, 0 to 2**64 - 1
    threads : int, 0 to 1024
    **options
        Of `run`: tolerance_mm, max_strokes, ...

    Returns
    -------
    NextStep

    Raises
    ------
    InputError
        As `run_batch`; for no reading, or one that is no number or out of range.
    KeyboardInterrupt
        For a Ctrl-C; nothing is kept.
    """
    readings, confidence = _checked(readings), number("confidence", confidence)
    if not 0.5 <= confidence <= 0.999:
        refuse("confidence", confidence, "must lie between 0.5 and 0.999")
    table = members_from_bands(rig, members=whole("members", members, 2, 65536), seed=seed)
    runs = run_batch(rig, contents, procedure, table, threads=threads, **options)
    if any(r.status.outcome is _core.Outcome.interrupted for r in runs):
        raise KeyboardInterrupt
    step = advise(rig, runs, table, readings, confidence)
    if step.advice == "change":
        step.cures = cures(rig, contents, procedure, confidence=confidence, seed=seed, threads=threads, **options)
    return step


def advise(rig, runs, table, readings, confidence):
    """What readings say of variants that have been run; `table` holds their inputs."""
    last = max(r.stroke for r in readings)
    count = np.array([_count(r, last) for r in runs])
    said = np.array([[_read(run, r.stroke) for r in readings] for run in runs])
    read, sd = (np.array([getattr(r, key) for r in readings]) for key in ("mismatch_mm", "resolution_mm"))
    spread = np.hypot(sd, MODEL_SHARE * said)
    miss = np.where(np.isnan(said), np.inf, (said - read) / spread)
    travel_mm = 1e3 * min(rig.get(f"branch.{b}.stroke_m") for b in rig.branches)
    with np.errstate(invalid="ignore"):
        fits = np.exp(-0.5 * miss**2) / (np.sqrt(2 * np.pi) * np.where(np.isnan(spread), 1.0, spread))
    likely = np.log((1 - OUTLIERS) * fits + OUTLIERS / (2 * travel_mm)).sum(axis=1)
    weights = np.exp(likely - likely.max())
    weights /= weights.sum()
    more, low, high = (weighted_quantile(count, weights, q) for q in (0.5, (1 - confidence) / 2, (1 + confidence) / 2))
    there, now = float(weights[np.isfinite(count)].sum()), float(weights[count == 0].sum())
    chance = chi_squared_tail(float((miss**2).sum(axis=1).min()), len(readings))

    def told(advice, probability):
        return NextStep(advice, probability, more, low, high, weights, table, None, confidence)

    if chance < UNLIKELY:
        return told("look elsewhere", chance)
    if now >= confidence:
        return told("enough", now)
    if there >= 0.5:
        return told("go on", there)
    return told("change", 1 - there)


def chi_squared_tail(square, degrees):
    """Share of the chi-squared law beyond `square`: the finite sums for even and for odd degrees of freedom."""
    half, odd = square / 2, degrees % 2
    if not math.isfinite(half):
        return 0.0
    term = 2 * math.sqrt(half / math.pi) if odd else 1.0
    total = 0.0
    for k in range(degrees // 2):
        total += term
        term *= half / (k + 1 + odd / 2)
    return (math.erfc(math.sqrt(half)) if odd else 0.0) + math.exp(-half) * total
