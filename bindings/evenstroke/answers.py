"""The main question: how many bleed strokes, with a band."""

from typing import NamedTuple

import numpy as np

from . import _core, cautions
from .errors import number, whole
from .progress import reporter
from .runs import Inputs, Run, check_kinds, options_of
from .stories import LEAST_ML, books, notes, place_text, reasons


SURE_MEMBERS = 128  # tell both ends of a band of 95 %


class AnswerInputs(NamedTuple):
    """What an answer was made from."""

    rig: _core.Rig
    contents: _core.Contents
    procedure: _core.Procedure
    confidence: float
    members: int
    seed: int
    threads: int
    options: dict


class Answer:
    """How many bleed strokes until the rods keep step, over all members of the stated inputs.

    Attributes
    ----------
    bled, parallel : Count
        Strokes until the air's part of the mismatch, and until the whole mismatch, stays inside the tolerance.
    limiting : list of Leftover
        Where free air is left at the end of the run with the values as given; what matters stands first.
    reason : str
        Why it is never, from that run; empty when it is not.
    nominal : Run
        The run with the values as given.
    widened_by : list of Widener
        Up to two unknowns that widen the band most, and how a person can measure them; only what chance does not explain
        (95 %), from 32 members on.
    members, done, failed : int
        Asked for; computed; of these, stopped by a numerical outcome and left out of the counts.
    complete : bool
        False after Ctrl-C: the counts stand for the members done.
    confidence : float
        Share of the members inside the band.
    tolerance_mm : float, mm
    tolerance_assumed : bool
        No tolerance was given.
    table : dict of str to array of float, shape (members,), SI
        The members' inputs.
    max_strokes : int
    inputs : AnswerInputs
    version : str
    """

    def __init__(self, core, inputs):
        self._core, self._inputs = core, inputs
        self._version = _core.__version__
        self._widened_by = None

    @property
    def bled(self):
        return self._core.bled

    @property
    def parallel(self):
        return self._core.parallel

    @property
    def limiting(self):
        return self._core.limiting

    @property
    def reason(self):
        return self._core.reason

    @property
    def widened_by(self):
        if self._widened_by is None:
            from .widening import widened_by

            self._widened_by = widened_by(self)
        return self._widened_by

    @property
    def nominal(self):
        i = self._inputs
        return Run(self._core.nominal, Inputs(i.rig, i.contents, i.procedure, i.options))

    @property
    def members(self):
        return self._core.members

    @property
    def failed(self):
        return self._core.failed

    @property
    def done(self):
        return int(np.isfinite(self.parallel.member).sum() + np.isinf(self.parallel.member).sum()) + self.failed

    @property
    def complete(self):
        return self._core.complete

    @property
    def confidence(self):
        return self._core.confidence

    @property
    def tolerance_mm(self):
        return self._core.tolerance_m * 1e3

    @property
    def tolerance_assumed(self):
        return self._inputs.options["tolerance_mm"] is None

    @property
    def table(self):
        return self._core.table

    @property
    def max_strokes(self):
        return self._core.max_strokes

    @property
    def inputs(self):
        return self._inputs

    @property
    def version(self):
        return self._version

    def __eq__(self, other):
        return self._core == other._core if isinstance(other, Answer) else NotImplemented

    def __hash__(self):
        return hash(self._core)

    def __repr__(self):
        state = "" if self.complete else f"interrupted after {self.done} of {self.members} members; "
        return f"<Answer: {state}bled {self.bled.text}; parallel {self.parallel.text}>"

    def text(self):
        """The answer in full: counts, what the band means, assumptions, what is left where, books, cautions.

        Returns
        -------
        str
        """
        tolerance = f"{self.tolerance_mm:g} mm"
        lines = []
        for count, what in (
            (self.bled, "The air's part of the mismatch"),
            (self.parallel, "The whole mismatch of the rods"),
        ):
            unit = " bleed strokes" if np.isfinite(count.low) and np.isfinite(count.member).any() else ""
            lines.append(f"{what} within {tolerance}: {count.text}{unit}.{self._shares(count)}")
        lines += self._as_given()
        if self.reason:
            lines.append(f"Why never, with the values as given: {self.reason}.")
        lines += reasons(self.nominal)
        first = "The first number is the median. " if any("(" in c.text for c in (self.bled, self.parallel)) else ""
        lines.append(
            f"{first}The band holds {100 * self.confidence:g} % of {self.members} variants of the stated inputs; how well these "
            "describe your rig is not part of it."
        )
        if self.complete and self.failed < self.members:
            lines.append(self._own_error())
        if not self.complete:
            lines.append(
                f"Interrupted: only {self.done} of the {self.members} variants were computed, and the counts stand "
                "for these."
            )
        if self.widened_by:
            named = [f"{w.path}, {100 * w.share:.0f} % of the spread (to measure: {w.measure})" for w in self.widened_by]
            lines.append(f"What widens the band most: {'; then '.join(named)}.")
        if self.failed:
            lines.append(f"{self.failed} of them could not be computed and are left out.")
        if self.tolerance_assumed:
            lines.append(
                f"No tolerance was given: {tolerance} is an assumption, the larger of 1 mm and 1 % of the stroke."
            )
        lines += notes(self.nominal)
        lines += self._pressure()
        lines.append(self._left())
        told = books(self.nominal)
        lines.append(f"{told[0].upper()}{told[1:]}.")
        return "\n".join(lines) + "\n\n" + cautions.text(self.inputs.procedure.steps, self.inputs.rig)

    def _as_given(self):
        """The one run whose story is told, where it says something else than the band's middle."""
        run, count = self.nominal, self.parallel
        full = self.inputs.contents.nothing_opened
        lines = ["Nothing was said to be dry or opened: the circuit was taken as full of oil."] if full else []
        if not count.defined and run.parallel.reason:
            lines.append(f"Why not defined: {run.parallel.reason}.")
        if not count.defined or not run.status.ok:
            return lines
        reached = run.parallel.answered is _core.Answered.reached
        what = f"stroke {run.parallel.stroke}" if reached else f"not reached ({run.parallel.reason})"
        beside = reached and count.possible and not count.low <= run.parallel.stroke <= count.high
        alike = reached and count.possible and run.parallel.stroke == count.strokes
        if not alike and (reached or count.possible):
            lines.append(f"With the values as given, the whole mismatch: {what}.{' That lies outside the band.' if beside else ''}")
        worst = run.strokes.worst_mm()
        if reached and len(worst) and abs(worst[0]) <= run.tolerance_mm and run.strokes["pocket_ml"][0] >= LEAST_ML:
            lines.append(
                "The rods were inside the tolerance before the first stroke already: this comparison does not show the air there is."
            )
        if reached and count.p_never > 0.5:
            not_air = self.bled.defined and self.bled.p_never < 0.5
            why = ": not for their air, whose part comes inside the tolerance" if not_air else ""
            lines.append(f"Most variants never get there although the values as given do{why}; the one run does not speak for them.")
        return lines

    def _own_error(self):
        """How well so many variants know the numbers."""
        error = max(c.own_error for c in (self.bled, self.parallel))
        if np.isinf(error) and self.members < SURE_MEMBERS:
            return "With so few variants an end of the band could as well lie further out; more would tell."
        if np.isinf(error):
            return "So many variants hardly get there that the far end of the band could as well be never."
        more = "" if error <= 0.5 else "; more variants would tell them better"
        return f"The numbers of both bands are known to {error:g} stroke{'s' if error > 1 else ''}{more}."

    def _shares(self, count):
        parts = []
        if 0 < count.p_never < 1:
            parts.append(f"{100 * count.p_never:.3g} % of the variants never get there with this procedure")
        if 0 < count.p_not_within < 1:
            parts.append(f"{100 * count.p_not_within:.3g} % were not there after {self.max_strokes} strokes")
        return " " + "; ".join(parts) + "." if parts else ""

    def _pressure(self):
        told = [t["highest_bar_gauge"] for t in (self.nominal.strokes, self.nominal.steps) if len(t)]
        highest = max((float(np.nanmax(t)) for t in told if np.isfinite(t).any()), default=0.0)
        relief = self.inputs.rig.get("valve_block.relief_pa_gauge") / 1e5
        if highest <= relief:
            return []
        return [f"Highest pressure anywhere with the values as given: {highest:.0f} bar gauge; the relief valve opens at {relief:.0f}."]

    def _left(self):
        lines = []
        for matters, where in (
            (True, "between pump and rods on the lifting side"),
            (False, "elsewhere, where it does not set the rods apart"),
        ):
            places = [x for x in self.limiting if x.matters == matters and x.free_air_m3 * 1e6 >= LEAST_ML]
            named = ", ".join(f"{x.free_air_m3 * 1e6:.2f} mL in the {place_text(x.place)}" for x in places[:4])
            more = f", and less in {len(places) - 4} more" if len(places) > 4 else ""
            yields = " Under a load that pulls, a rod side gives way by its air." if not matters and _on_rod_side(places) else ""
            lines.append(f"Free air left {where}: {named or 'none'}{more}.{yields}")
        return "At the end of the run with the values as given:\n" + "\n".join(lines)

    def cures(self, **options):
        """Runs changes of the procedure; `evenstroke.cures` on what this answer was made from. A procedure that does not
        get there by this answer is not found to do after all.

        Parameters
        ----------
        **options
            Of `evenstroke.cures`, in place of this answer's own.

        Returns
        -------
        Cures
        """
        from .cures import search

        i = self.inputs
        given = {key: value for key, value in i.options.items() if value is not None}
        asked = {**dict(members=32, confidence=i.confidence, seed=i.seed, threads=i.threads), **given, **options}
        named = [asked.pop(key) for key in ("members", "confidence", "seed", "threads")]
        return search(i.rig, i.contents, i.procedure, *named, asked, as_it_is=self.parallel.possible)

    def plot(self, ax=None):
        """Draws the share of members that are finished, over strokes.

        Parameters
        ----------
        ax : matplotlib axes, optional
            Drawn into; a new figure when left out. Nothing is shown or saved.

        Returns
        -------
        matplotlib.axes.Axes
            ``ax.figure.alt_text`` holds the point of the picture in words.
        """
        from .pictures import plot_answer

        return plot_answer(self, ax)


def _on_rod_side(places):
    """As much that a person would feel it."""
    return sum(x.free_air_m3 for x in places if x.place.endswith((".rod_chamber", ".rod_line"))) >= 1e-6


def strokes_to_parallel(
    rig,
    contents,
    procedure,
    *,
    tolerance_mm=None,
    confidence=0.95,
    members=None,
    seed=1,
    threads=0,
    progress=None,
    max_strokes=None,
    quantum_share=None,
    rel_tol=None,
    ln_pressure=None,
    streamtubes=None,
    parcels=None,
    solver=None,
):
    """How many bleed strokes until the rods keep step, with a band over the uncertain inputs.

    Every field of the rig with a band is drawn uniformly from it (shifted Sobol' points); one run per member.

    Parameters
    ----------
    rig : Rig
    contents : Contents
    procedure : Procedure
    tolerance_mm : float, mm, 0.001 to 1000, optional
        Left out: the larger of 1 mm and 1 % of the shortest stroke, an assumption.
    confidence : float, 0.5 to 0.999
        Share of the members inside the band; no statement about the world.
    members : int, 2 to 65536, optional
        Left out: 64, then twice as many until the median and the ends of both bands are known to half a stroke (each with
        95 % a side), at most 256.
    seed : int, 0 to 2**64 - 1
    threads : int, 0 to 1024
        0: one per processor. The answer does not depend on it.
    progress : True or callable, optional
        Called with the number of members done and of all, at most every 50 ms.
    max_strokes, quantum_share, rel_tol, ln_pressure, streamtubes, parcels, solver : optional
        As for `run`.

    Returns
    -------
    Answer
        After Ctrl-C within half a second, with what is there and ``complete`` False.

    Raises
    ------
    InputError
        For what cannot be run, or an argument of the wrong kind or out of range.
    KeyboardInterrupt
        For a Ctrl-C that comes when all members are done; the answer is lost.
    """
    options = dict(
        tolerance_mm=tolerance_mm,
        max_strokes=max_strokes,
        quantum_share=quantum_share,
        rel_tol=rel_tol,
        ln_pressure=ln_pressure,
        streamtubes=streamtubes,
        parcels=parcels,
        solver=solver,
    )
    check_kinds(rig, contents, procedure)
    confidence = number("confidence", confidence)
    members = 0 if members is None else whole("members", members, 2, 65536)
    seed = whole("seed", seed, 0, 2**64 - 1)
    threads = whole("threads", threads, 0, 1024)
    core = _core.strokes_to_parallel(
        rig, contents, procedure, confidence, members, seed, options_of(**options), threads, reporter(progress)
    )
    return Answer(core, AnswerInputs(rig, contents, procedure, confidence, members, seed, threads, options))
