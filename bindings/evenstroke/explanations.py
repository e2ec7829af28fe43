"""A mismatch split into its causes: each is switched off in the model, and what that changes is shared fairly.

A mismatch is no sum of causes: without air soft lines do less, and without a load air does less. So every set of causes is
switched off in turn, and each cause gets the mean of what it adds, over all orders in which they could have come (its Shapley
value). That depends on no order, and adds up exactly.
"""

from typing import NamedTuple

import numpy as np

from . import _core, cautions
from .batches import run_batch
from .causes import air_groups, shapley, switches
from .errors import InputError, one_of, refuse, whole
from .runs import Run
from .stories import LEAST_MM
from .tables import STATIONS, Table, text_of

SHORT = 0.05   # of the travel: the stroke behind a reading, which nobody looks at


class Unread(NamedTuple):
    """A check stroke without a reading, for want of which a stroke is not split.

    Attributes
    ----------
    stroke : int
    without : tuple of str
        The causes that were switched off.
    check : str
        "not re-phased", "not reached" or "not done"; else what stopped it.
    """

    stroke: int
    without: tuple
    check: str


class ExplanationTable(Table):
    """A row per stroke and station, a column per cause."""

    def __repr__(self):
        def cells(values):
            return [f"{x:+.2f}" if isinstance(x, float) else str(x) for x in values.tolist()]

        return text_of({name.replace("_", " "): cells(self[name]) for name in self.columns})


class Explanation:
    """What each cause adds to the mismatch.

    ``mm.sum(axis=2) + rest_mm`` is `total_mm` to rounding. Signs are those of the mismatch: first rod less second; of more
    rods largest less smallest, so there + is what drives them apart.

    Attributes
    ----------
    names : tuple of str
        The causes.
    strokes : array of int, shape (strokes,)
    mm : array of float, mm, shape (strokes, 3, causes)
        At 25, 50 and 75 % of the travel. NaN for a stroke where some check stroke gave no reading.
    rest_mm : array of float, mm, shape (strokes, 3)
        With every cause switched off: what lines, heights and friction of unlike sides leave.
    total_mm : array of float, mm, shape (strokes, 3)
        With none switched off: the run's own reading, read again.
    deciding : {"load", "free"}
        Read under the panel, or with free rods.
    absent : dict of str to str
        Causes that add exactly 0, and why: this rig or these contents have nothing of it; or that are not told apart,
        because the rig without them is refused.
    unread : list of Unread
        Check strokes without a reading.
    table : ExplanationTable
        A row per stroke and station: ``stroke``, ``travel_percent``, ``mismatch_mm``, one column per cause and ``rest_mm``,
        and ``check``: "ok", or "no reading" for what is not split.
    """

    def __init__(self, names, strokes, mm, rest_mm, total_mm, deciding, branches, absent, unread):
        self.names, self.strokes, self.deciding, self.absent, self.unread = tuple(names), strokes, deciding, absent, unread
        self.mm, self.rest_mm, self.total_mm, self._branches = mm, rest_mm, total_mm, branches
        stations = np.tile([int(s) for s in STATIONS], len(strokes))
        column = {"stroke": np.repeat(strokes, len(STATIONS)), "travel_percent": stations, "mismatch_mm": total_mm.ravel()}
        for i, name in enumerate(self.names):
            column[f"{name.replace(',', '').replace(' ', '_')}_mm"] = mm[:, :, i].ravel()
        column["rest_mm"] = rest_mm.ravel()
        column["check"] = np.where(self._split().ravel(), "ok", "no reading")
        self.table = ExplanationTable(column)

    def _split(self):
        """Which strokes and stations are split."""
        return ~np.isnan(self.mm.sum(axis=2) + self.rest_mm + self.total_mm)

    def worst(self, i):
        """Station, as an index, where the i-th stroke of `strokes` reads most; the last where it reads nothing."""
        size = np.abs(self.total_mm[i])
        return len(STATIONS) - 1 if np.isnan(size).all() else int(np.nanargmax(size))

    def __repr__(self):
        told = []
        for i, n in enumerate(self.strokes):
            at = self.worst(i)
            of = f"stroke {n}: {self.total_mm[i, at]:+.2f} mm"
            if not self._split()[i, at]:
                told.append(f"stroke {n}: not split")
            elif len(self.names):
                most = int(np.argmax(np.abs(self.mm[i, at])))
                told.append(f"{of}, {self.mm[i, at, most]:+.2f} from {self.names[most]}")
            else:
                told.append(f"{of}, no cause")
        return f"<Explanation: {'; '.join(told)}>"

    def text(self):
        """What makes most of the mismatch, a sentence for each stroke, where it is largest along the travel.

        Returns
        -------
        str
        """
        rods = f"{self._branches[0]} less {self._branches[1]}" if len(self._branches) == 2 else "largest less smallest"
        where = "under the panel" if self.deciding == "load" else "with free rods"
        lines = [f"Rods {where}, {rods}. What each cause adds in the model, mean over all orders of switching causes off:"]
        lines += [self._sentence(i) for i in range(len(self.strokes))]
        lines += [f"Not told apart: {name}: {why}." for name, why in self.absent.items() if not why.startswith("0: ")]
        nothing = [name for name, why in self.absent.items() if why.startswith("0: ")]
        lines += [f"Nothing here, so exactly 0: {'; '.join(nothing)}."] if nothing else []
        return "\n".join([*lines, cautions.LIMITS])

    def _sentence(self, i):
        at, n = self.worst(i), self.strokes[i]
        when = f"After stroke {n}" if n else "Before the first stroke"
        if not self._split()[i, at]:
            lost = [u for u in self.unread if u.stroke == n]
            without = f"without {' and '.join(lost[0].without)}" if lost[0].without else "as it is"
            others = f", nor have {len(lost) - 1} more" if len(lost) > 1 else ""
            return f"{when}: not split, because {without} the check stroke has no reading ({lost[0].check}){others}."
        parts = [(name, mm) for name, mm in zip(self.names, self.mm[i, at]) if abs(mm) >= LEAST_MM]
        parts.sort(key=lambda part: -abs(part[1]))
        told = [f"{mm:+.2f} mm {name}" for name, mm in parts] or ["no cause adds anything"]
        return (
            f"{when}, at {STATIONS[at]} % of the travel, {self.total_mm[i, at]:+.2f} mm: {'; '.join(told)}; "
            f"{self.rest_mm[i, at]:+.2f} mm are left with all causes switched off."
        )

    def plot(self, ax=None):
        """Draws stacked bars over the strokes, where each reads most along the travel: in mm, and below in shares.

        Parameters
        ----------
        ax : sequence of two matplotlib axes, optional
            Drawn into; a new figure when left out. Nothing is shown or saved.

        Returns
        -------
        tuple of two matplotlib.axes.Axes
            ``axes[0].figure.alt_text`` holds the point of the picture in words.
        """
        from .explanation_pictures import plot_explanation

        return plot_explanation(self, ax)


def _read(run, contents, stroke, step, air, switched, threads):
    """Readings with each set of these causes, mm, shape (2**causes, 3), and those that are missing."""
    rig, names = run.inputs.rig, [*air, *switched]
    rigs, starts, freed = [], [], {}
    sets = [[name for i, name in enumerate(names) if not one >> i & 1] for one in range(2 ** len(names))]
    for off in sets:
        places = tuple(place for name in off if name in air for place in air[name])
        if places not in freed:   # with no place: the same air, held fast also where nothing has run yet
            freed[places] = contents.without_air(rig, list(places))
        starts.append(freed[places])
        rigs.append(rig.replace(**{path: value for name in off if name in switched for path, value in switched[name].items()}))
    check = _core.Procedure(steps=[_core.Step(dwell_s=step.dwell_s, travel=SHORT)])   # its row 0 is the check of what is given
    options = {**run.inputs.options, "max_strokes": 1, "stop_at_verdict": False, "checks": True, "record": False}
    runs = run_batch(rigs, starts, check, threads=threads, **options)
    if any(r.status.outcome is _core.Outcome.interrupted for r in runs):
        raise KeyboardInterrupt
    mm = np.array([r.strokes.mismatch_mm()[0] if len(r.strokes) else [np.nan] * len(STATIONS) for r in runs])
    word = [r.strokes["check"][0] if len(r.strokes) else r.status.message for r in runs]
    return mm, [Unread(stroke, tuple(off), str(w)) for off, w, row in zip(sets, word, mm) if np.isnan(row).any()]


def _asked(run, strokes):
    """Rows to explain."""
    last = len(run.strokes) - 1
    if last < 0:
        refuse("run", run.status.message, "must have at least the row before its first stroke")
    first = int(run.inputs.procedure.steps[0].kind != "cycle")   # what is where after such a step is not kept
    if strokes is None:
        reached = [run.parallel.stroke] if run.parallel.answered is _core.Answered.reached else []
        strokes = [n for n in (0, 1, *reached, last) if first <= n <= last]
    elif isinstance(strokes, (int, np.integer)):
        strokes = [strokes]
    try:
        asked = sorted({whole("strokes", n, 0, last) for n in strokes})
    except TypeError:
        refuse("strokes", strokes, "must be a list of whole numbers")
    if not asked or asked[0] < first:
        refuse("strokes", strokes, f"needs at least one, from {first} on" + first * ": other steps come before the first reading")
    return asked


def explain(run, strokes=None, *, threads=0):
    """Splits the mismatch of a run into causes.

    Causes are free air on the lifting side and on the rod side of each branch and in shared places, walls of lines that give,
    divider and bores that err or differ, leakage, friction that differs, a load that is not shared evenly, and the
    temperature that a step has brought. Each is switched off in the model (air: oil in its place; walls: as stiff as a rig can
    have them; bores, rods, strokes and friction: their mean; load: centre of mass in the middle), and every set of them is
    checked once for each stroke: 2 to the power
    of causes short runs, a tenth or two of a second each. A cause that a rig
    or its contents cannot have is left out, which changes no other: it would add 0 to every set. Air groups below 0.005 mL,
    and those off the lifting sides, then the smallest, where there would be more than six causes, are one cause, "air
    elsewhere"; at least two groups stay besides.

    Parameters
    ----------
    run : Run
    strokes : int or list of int, 0 to the last of the run, optional
        After which strokes; not 0 where the procedure begins with a step other than a stroke. Left out: 0, 1, that of the
        verdict, and the last.
    threads : int, 0 to 1024
        0: one per processor.

    Returns
    -------
    Explanation

    Raises
    ------
    InputError
        No run, a stroke that it does not have, a run without any row.
    KeyboardInterrupt
        For a Ctrl-C; nothing is kept.
    """
    asked = _asked(one_of("run", run, Run), strokes)
    rig, deciding = run.inputs.rig, run.strokes.deciding
    starts = [run.contents_at(n) for n in asked]
    steps = [run.inputs.procedure.steps[int(i)] for i in run._core.rows()["step"][asked]]
    absent, switched = {}, []
    for start in starts:
        found = {}
        for name, wanted in switches(rig, start.warmed_k):
            change = {path: value for path, value in wanted.items() if rig.get(path) != value}
            try:
                rig.replace(**change)
            except InputError as error:
                absent[name] = f"without it the rig is refused ({error})"
                continue
            if change:
                found[name] = change
        switched.append(found)
    order = [name for name, _ in switches(rig, 0.0)]
    in_rig = [name for name in order if any(name in found for found in switched)]
    air, without = air_groups(starts, rig.branches, len(in_rig))
    absent.update({name: "0: no free air" for name in without})
    absent.update({name: "0: nothing to switch off" for name in order if name not in in_rig and name not in absent})
    names = [*air, *in_rig]
    mm = np.zeros((len(asked), len(STATIONS), len(names)))
    total, rest, unread = np.zeros(mm.shape[:2]), np.zeros(mm.shape[:2]), []
    for i, (n, start, step) in enumerate(zip(asked, starts, steps)):
        here = {name: group for name, group in air.items() if any(start.places[p]["free_air_m3"] > 0 for p in group)}
        value, lost = _read(run, start, n, step, here, switched[i], threads)
        mm[i][:, [names.index(name) for name in (*here, *switched[i])]] = shapley(value).T
        rest[i], total[i] = value[0], value[-1]
        unread += lost
    return Explanation(names, np.array(asked), mm, rest, total, deciding, rig.branches, absent, unread)
