"""Which change of a procedure cures what it leaves: every candidate is run before it is told."""

from typing import NamedTuple

import numpy as np

from . import _core, cautions
from .answers import strokes_to_parallel
from .errors import InputError, number, refuse, whole
from .geometry import line_m3
from .procedure_text import KEYS, procedure_text
from .runs import run as run_one

LONG_REST_S, SETTLES_S, PRESSES_S, TURNED_STROKES = 120.0, 1800.0, 30.0, 4
WARM_DEG_C, WARMS_S, LEAST_V = 40.0, 3600.0, 1.0
ROUNDS = 1.01   # of pressures that are the procedure's own in any case
OPTIONS = {"tolerance_mm", "max_strokes", "quantum_share", "rel_tol", "ln_pressure", "streamtubes", "parcels", "solver"}
AS_IT_IS = "as it is"
STRONG = "Only changes that make too much pressure would bring the rods in step; none of them is recommended."
NONE = "None of the changes tried brings the rods in step in half of the variants or more: look for another cause."


class Cure(NamedTuple):
    """A changed procedure, and what it does with the values as given.

    Attributes
    ----------
    what : str
        The change in words.
    procedure : Procedure
    parallel : Verdict
    works : bool
        The rods run parallel.
    minutes : float, min
        From the contents given until the stroke from which they do, all steps before it among them; else until the end.
    joints_parted : int
        In one pass of the list of steps.
    cylinders_turned : int
        Taken off their mounts for it.
    highest_bar_gauge : float, bar
        Anywhere, at any time.
    cautions : tuple of str
        That go with its steps.
    """

    what: str
    procedure: _core.Procedure
    parallel: _core.Verdict
    minutes: float
    joints_parted: int
    cylinders_turned: int
    highest_bar_gauge: float
    cautions: tuple

    @property
    def works(self):
        """The rods run parallel in the run with the values as given."""
        return self.parallel.answered is _core.Answered.reached

    def __repr__(self):
        found = f"parallel {self.parallel!r}" if self.works else "does not help"
        told = f"; cautions: {' '.join(self.cautions)}" if self.works else ""
        return f"<Cure {self.what!r}: {found}{told}>"

    def text(self):
        """TOML text of the changed procedure; `load_procedure` reads it."""
        return procedure_text(self.procedure)


class Cures:
    """Changes of a procedure that were run, the cheapest that works first.

    Attributes
    ----------
    tried : list of Cure
        Those that work first; of these, fewest joints parted and cylinders turned (one counts as two joints), then fewest
        minutes until the rods run parallel. The procedure as it is comes with them, as ``"as it is"``.
    refused : list of Cure
        They raise the pressure of some part above what the relief valve opens at and what the procedure as it is does
        to it: not recommended, whatever they do to the air.
    best : Cure or None
        The first that works with the values as given and gets the share `confidence` of the variants there; else, of those
        that get half of them there, the one that gets most.
    count : Count or None
        Bleed strokes with it, with the band.
    members : int
        Variants behind the band.
    confidence : float
    limit_bar_gauge : float, bar
        What `refused` exceed.
    """

    def __init__(self, tried, refused, best, count, members, confidence, limit_bar_gauge):
        self.tried, self.refused, self.best, self.count = tried, refused, best, count
        self.members, self.confidence, self.limit_bar_gauge = members, confidence, limit_bar_gauge

    def __repr__(self):
        found = f"{self.best.what}, {self.count.text} strokes" if self.best else "none works"
        told = f"; cautions: {' '.join(self.best.cautions)}" if self.best else ""
        return f"<Cures: {found}; {len(self.tried)} tried{told}>"

    def text(self):
        """What works and what it takes, with its cautions; else that nothing does.

        Returns
        -------
        str
        """
        strong = [c.what for c in self.refused if c.works]
        lines = [self._best()] if self.best else [STRONG if strong else NONE]
        others = [c for c in self.tried if c is not self.best]
        as_well = "Would do as well, with the values as given" if self.best else "Works with the values as given, and no wider"
        for works, head in ((True, as_well), (False, "Does not help")):
            named = [c.what + (f" (stroke {c.parallel.stroke})" if works else "") for c in others if c.works is works]
            lines += [f"{head}: {'; '.join(named)}."] if named else []
        if self.refused:
            named = "; ".join(f"{c.what} ({c.highest_bar_gauge:.0f} bar gauge)" for c in self.refused)
            lines.append(f"Not recommended, for the pressure it makes, more than {self.limit_bar_gauge:.0f} bar gauge: {named}.")
        named = {c for cure in self.tried if cure.works for c in cure.cautions}
        if named:
            lines += ["Before any of it is done:", *(f"- {c}" for c in cautions.CAUTIONS if c in named)]
        return "\n".join([*lines, cautions.LOCAL, cautions.LIMITS])

    def _best(self):
        b = self.best
        joints = f"{b.joints_parted} joints parted" if b.joints_parted else "no joint parted"
        joints += f", {b.cylinders_turned} cylinders turned" if b.cylinders_turned else ""
        late = 1 - there(self.count)
        left = f" {100 * late:.2g} % of the variants do not get there." if late > 0 else ""
        surely = there(self.count) >= self.confidence
        sure = "Cheapest change that works" if surely else "Best change found, not for all variants"
        head = "The procedure works as it is" if b.what == AS_IT_IS else f"{sure}: {b.what}"
        return (
            f"{head}. The rods are then parallel after {self.count.text} bleed strokes "
            f"({100 * self.confidence:g} % of {self.members} variants of the stated inputs), "
            f"{b.minutes:.0f} min with the values as given, {joints}.{left}"
        )


def there(count):
    """Share of the variants that get there."""
    return 1 - count.p_never - count.p_not_within


def _changed(step, **new):
    """The step with other values."""
    usual = _core.Step()
    given = {key: getattr(step, key) for key in KEYS if getattr(step, key) != getattr(usual, key)}
    return _core.Step(**{"kind": step.kind, **given, **new})


def _cycles(steps, new):
    """The steps with other values for those under power; `new(step)` gives them."""
    return [_changed(s, **new(s)) if s.kind == "cycle" else s for s in steps]


def _in_block(steps, step):
    """The step done at the start of each pass of the repeated block."""
    first = next(i for i, s in enumerate(steps) if s.repeat)
    return [*steps[:first], step, *steps[first:]]


def _ports(branches):
    return [f"{b}.{port}" for b in branches for port in ("cap_port", "rod_port")]


def _flushes(rig, branches):
    """Lines of one branch after the other, ends joined, until as much as they hold came without a bubble."""
    return [
        _core.Step(
            kind="flush", parted=_ports([b]), line_end="joined", bypass="open" if rig.has_bypass else "closed",
            valve="retract", bursts=10, motor_s=30.0, dwell_s=20.0, refill=True, clear_m3=line_m3(rig, b, "cap_line") + line_m3(rig, b, "rod_line"), repeat=False,
        )
        for b in branches
    ]  # fmt: skip


def _by_hand(branches, **turned):
    """Cylinders stroked by hand with their lines capped and their ports under oil."""
    return [
        _core.Step(
            kind="hand", by_hand=branches, parted=_ports(branches), line_end="capped", port="container", strokes=3,
            dwell_s=20.0, repeat=False, **turned,
        )
    ]  # fmt: skip


def _candidates(rig, contents, steps, branches):
    """What is changed, and the steps then."""
    cycles = [s for s in steps if s.kind == "cycle"]
    sides = f"{' and '.join(branches)} cylinder{'s' if len(branches) > 1 else ''}"
    refill, stand = _core.Step(kind="refill"), _core.Step(kind="stand", stand_s=SETTLES_S)
    flushes = _flushes(rig, branches)
    if rig.has_bypass and any(s.bypass == "closed" for s in cycles):
        off = any(s.rods == "panel" for s in cycles)   # nothing keeps rods in step then
        text = "the bypass valves open for all strokes" + (", the rods off the panel" if off else "")
        yield text, _cycles(steps, lambda s: dict(bypass="open", cracked_deg=None, **(dict(rods="free") if s.rods == "panel" else {})))
    if any(s.rods == "panel" for s in cycles):
        yield "the strokes with the rods off the panel", _cycles(steps, lambda s: dict(rods="free"))
    if any(s.travel < 1 for s in cycles):
        yield "whole strokes, from stop to stop", _cycles(steps, lambda s: dict(travel=1.0))
    half_v = rig.get("pump.supply_v") / 2
    for way, volts in {"out and back": ("extend_v", "retract_v"), "out": ("extend_v",), "back": ("retract_v",)}.items():
        slower = {key: half_v for key in volts}
        if half_v >= LEAST_V and any(getattr(s, key) != half_v for s in cycles for key in volts):
            yield f"the motor at {half_v:g} V on the way {way}", _cycles(steps, lambda s, slower=slower: slower)
    if rig.get("oil.temperature_k") + contents.warmed_k < 273.15 + WARM_DEG_C and all(s.temperature_deg_c is None for s in steps):
        warm = _core.Step(kind="stand", stand_s=WARMS_S, let_go=True, temperature_deg_c=WARM_DEG_C, repeat=False)
        yield f"first warming oil and parts to {WARM_DEG_C:.0f} °C, and comparing the rods warm", [warm, *steps]
    if any(s.dwell_s < LONG_REST_S for s in cycles):
        yield f"rests of {LONG_REST_S:.0f} s at the stops", _cycles(steps, lambda s: dict(dwell_s=max(s.dwell_s, LONG_REST_S)))
    pressing = f"pressing at the stops for {PRESSES_S:.0f} s"
    yield pressing, _cycles(steps, lambda s: dict(press_s=max(s.press_s, PRESSES_S)))
    yield "filling up before each pass", _in_block(steps, refill)
    yield f"{SETTLES_S / 60:.0f} min of standing before each pass", _in_block(steps, stand)
    flush = f"flushing the lines of the {sides} with their ends joined"
    yield f"first {flush}", [*flushes, *steps]
    yield f"first stroking the {sides} by hand as mounted, ports open under oil", [*_by_hand(branches), *steps]
    for way in ("rod_down", "rod_up"):
        by_hand = _by_hand(branches, attitude=way)
        bypass = "open" if rig.has_bypass else "closed"
        turned = _core.Step(bypass=bypass, strokes=TURNED_STROKES, dwell_s=LONG_REST_S, attitude=way, repeat=False)
        if any(now != way for now in rig.attitudes.values()):
            text = f"first {TURNED_STROKES} powered strokes with all cylinders off their mounts, {way.replace('_', ' ')}, lines on"
            yield text, [turned, *steps]
        text = f"first stroking the {sides} by hand, all cylinders turned {way.replace('_', ' ')}, ports open under oil"
        yield text, [*by_hand, *steps]
        yield f"{text}, then {flush}", [*by_hand, *flushes, *steps]


def _needy(run):
    """Branches with a tenth or more of the free air that was in the fullest, at the start."""
    air = {b: run.strokes[f"free_air_{b}_ml"][0] if len(run.strokes) else 0.0 for b in run.inputs.rig.branches}
    return [b for b, ml in air.items() if ml >= 0.1 * max(air.values())]


def _highest(run):
    told = np.concatenate([t["highest_bar_gauge"] for t in (run.strokes, run.steps) if len(t)] or [[0.0]])
    return float(np.max(told, initial=0.0, where=np.isfinite(told)))


def _tried(what, run, procedure, change):
    """The cure of a run; minutes until the stroke from which the rods stay parallel, else until the end."""
    rows, verdict = run.strokes, run.parallel
    last = verdict.stroke if verdict.answered is _core.Answered.reached else len(rows) - 1
    before = [()] + [s.parted for s in procedure.steps]   # what stays apart from step to step is parted once
    parted = sum(len(set(s.parted) - set(b)) for s, b in zip(procedure.steps, before))
    off_mounts = len(run.inputs.rig.branches) if any(s.attitude for s in procedure.steps) else 0
    minutes = float(rows["minutes"][last]) - run.inputs.contents.time_s / 60 if len(rows) else 0.0
    return Cure(what, procedure, verdict, minutes, parted, off_mounts, _highest(run), cautions.of_steps(change))


def _run(rig, contents, procedure, **options):
    run = run_one(rig, contents, procedure, record=False, **options)
    if run.status.outcome is _core.Outcome.interrupted:
        raise KeyboardInterrupt
    return run


def checked(members, confidence, options):
    """The first two; InputError out of range, TypeError for an option that is none."""
    for name in options:
        if name not in OPTIONS:
            raise TypeError(f"unexpected option {name!r}; options are: {', '.join(sorted(OPTIONS))}")
    confidence = number("confidence", confidence)
    if not 0.5 <= confidence <= 0.999:
        refuse("confidence", confidence, "must lie between 0.5 and 0.999")
    return whole("members", members, 2, 65536), confidence


def cures(rig, contents, procedure, *, members=32, confidence=0.95, seed=1, threads=0, **options):
    """Runs changes of a procedure and finds the cheapest that brings the rods in step.

    Each candidate is one run with the values as given. Those that work are run again over variants of the uncertain
    inputs, cheapest first, until one gets the share `confidence` of them there. Tried are: bypass valves open, rods off
    the panel, whole strokes for short ones, half the voltage at the motor (both ways, out, back), oil and parts warmed
    first, longer rests, pressing at the stops, filling up, standing, flushing lines with their ends joined, powered strokes
    with the cylinders turned, stroking an open cylinder by hand as it stands and turned, and turning with flushing.

    Parameters
    ----------
    rig : Rig
    contents : Contents
        As they are now.
    procedure : Procedure
    members : int, 2 to 65536, default 32
        Variants behind the band.
    confidence : float, 0.5 to 0.999
    seed : int, 0 to 2**64 - 1
    threads : int, 0 to 1024
    **options
        Of `run`: tolerance_mm, max_strokes, quantum_share, rel_tol, ln_pressure, streamtubes, parcels, solver.

    Returns
    -------
    Cures
        A candidate that cannot be run on this rig (a flush without a way for its oil) is left out; one that nature or
        the solver stops does not work.

    Raises
    ------
    InputError
        As `run` and `strokes_to_parallel`.
    TypeError
        Another option.
    KeyboardInterrupt
        For a Ctrl-C; what was tried is lost.
    """
    return search(rig, contents, procedure, members, confidence, seed, threads, options)


def search(rig, contents, procedure, members, confidence, seed, threads, options, as_it_is=True):
    """As `cures`; without `as_it_is` the procedure as it is cannot be the best, because it is known not to do."""
    members, confidence = checked(members, confidence, options)
    base = _run(rig, contents, procedure, **options)
    found, runs = [_tried(AS_IT_IS, base, procedure, procedure.steps)], [base]
    for what, steps in _candidates(rig, contents, list(procedure.steps), _needy(base)):
        name = ", ".join(filter(None, (procedure.name, what)))
        try:
            change = _core.Procedure(steps=steps, name=name, max_strokes=procedure.max_strokes)
            run = _run(rig, contents, change, **options)
        except InputError:
            continue
        if run not in runs:  # a cylinder that stands that way already is told once
            found.append(_tried(what, run, change, steps))
            runs.append(run)
    limit = max(rig.get("valve_block.relief_pa_gauge") / 1e5, ROUNDS * found[0].highest_bar_gauge)
    tried = sorted(
        (c for c in found if c.highest_bar_gauge <= limit),
        key=lambda c: (not c.works, c.joints_parted + 2 * c.cylinders_turned, c.what != AS_IT_IS, c.minutes),
    )
    refused = [c for c in found if c.highest_bar_gauge > limit]
    best, count = None, None
    for cure in (c for c in tried if c.works and (as_it_is or c.what != AS_IT_IS)):
        answer = strokes_to_parallel(
            rig, contents, cure.procedure, members=members, confidence=confidence, seed=seed, threads=threads, **options
        )
        if not answer.complete:
            raise KeyboardInterrupt
        now = answer.parallel
        if now.possible and (count is None or there(now) > there(count)):
            best, count = cure, now
            if there(now) >= confidence:
                break
    return Cures(tried, refused, best, count, members, confidence, limit)
