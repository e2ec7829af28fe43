"""Why the rods still disagree at the end of a run: from what is where, and from the rods without air."""

import math
from typing import NamedTuple

import numpy as np

from . import _core, cautions
from .errors import InputError
from .stories import LEAST_ML, LIFTING, air_ml

WORTH = 0.1       # of the tolerance; without air, of what costs most as well: what costs less is not told
STAYS = 0.9       # of a pocket, after one more stroke
BUBBLES = ("coarse", "fine")
STIFF_PA = 5e11    # the stiffest wall a rig can have
LOW_S = 0.5        # in one stroke below 0.7 bar abs


class Mechanism(NamedTuple):
    """One reason, with what it costs.

    Attributes
    ----------
    name : str
        ``"air above a port"``, ``"line too long for the stroke"``, ``"bypass shut"``, ``"reservoir too low"``,
        ``"bubbles go round"``, ``"panel outruns the pump"``, ``"leakage"``, ``"soft lines"``, ``"dividing error"``, ``"leaking bypass"``, ``"friction and load"``, ``"unequal cylinders"``.
    costs_mm : float, mm
        Of air: the travel that its volume at 1 atm takes at most, less that of the branch where it takes least: what all
        have alike sets no rods apart; but not less where air keeps the rods from being compared at all. Of a panel that
        outruns the pump: by how much as many strokes set rods apart that had no air before. Of the others: by how much
        the rods without air come closer when it is taken away.
    text : str
        The reason in a sentence.
    cautions : tuple of str
        That go with what would take it away.
    """

    name: str
    costs_mm: float
    text: str

    @property
    def cautions(self):
        """That go with what would take it away."""
        return cautions.OF_REASON.get(self.name, ())

    def __repr__(self):
        told = f", cautions={self.cautions!r}" if self.cautions else ""
        return f"Mechanism(name={self.name!r}, costs_mm={self.costs_mm:.4g}, text={self.text!r}{told})"


class _Branch:
    """What one branch holds on the lifting side at the end, in mL of free air."""

    def __init__(self, run, name):
        rig, places = run.inputs.rig, run.contents.places
        lifting = [name + kind for kind in LIFTING if name + kind in places]
        way = [place for place in lifting if not place.endswith(".metering_chamber")]   # what strokes fill anew
        line = [place for place in way if not place.endswith(".cap_chamber")]

        def ml(kinds, of):
            return air_ml(sum(places[place][f"{kind}_kg"] for place in of for kind in kinds))

        get = lambda key: rig.get(f"branch.{name}.{key}_m")  # noqa: E731
        self.name, self.area_m2 = name, math.pi / 4 * get("bore") ** 2
        self.stroke_ml = self.area_m2 * get("stroke") * 1e6
        passed = [rig.get("valve_block.passage_m3"), rig.get("synchroniser.outlet_m3") * (f"{name}.outlet" in places)]
        self.way_ml = (math.pi / 4 * get("cap_line_bore") ** 2 * get("cap_line_length") + sum(passed)) * 1e6
        longer = self.way_ml > self.stroke_ml
        slug_ml, self.bubbles_ml = ml(("pocket",), line), ml(BUBBLES, way)
        self.brought_ml = self.way_ml * _bubbles_share(run)
        self.line_ml = max(0.0, ml(BUBBLES, line) - self.brought_ml) + (slug_ml if longer else 0.0)
        table, above_ml = run.strokes[f"free_air_{name}.cap_chamber_ml"], ml(("pocket",), [f"{name}.cap_chamber"])
        stays = len(table) > 1 and table[-1] >= STAYS * table[-2]
        if rig.attitudes[name] == "rod_down":  # the cap end lies uppermost: only what is above the port is trapped
            stays &= above_ml <= 1.2 * self.area_m2 * get("cap_port") * 1e6
        self.above_ml = above_ml if stays else 0.0
        self.last_ml = slug_ml if stays and rig.attitudes[name] == "rod_up" and not longer else 0.0
        self.trapped_ml = self.above_ml + self.last_ml
        self.rest_ml = ml(("pocket", *BUBBLES), lifting) - self.trapped_ml

    def long_text(self):
        held = f"from the cylinder to the reservoir it is {self.way_ml:.0f} mL, and a stroke moves {self.stroke_ml:.0f} mL"
        if self.way_ml > self.stroke_ml:
            return held
        return f"{held} in the mean, but along the wall, where bubbles lie, a fraction of that"

    def mm(self, ml):
        return ml * 1e-6 / self.area_m2 * 1e3


def _bubbles_share(run):
    """Of the reservoir's oil, by volume."""
    holds_ml = run.inputs.rig.get("reservoir.area_m2") * run.strokes["level_mm"][-1] * 1e3
    return air_ml(sum(run.contents.reservoir[f"{kind}_kg"] for kind in BUBBLES)) / max(holds_ml, 1e-3)


def _air(run):
    """Reasons that lie in the air."""
    rig = run.inputs.rig
    branches = [_Branch(run, b) for b in rig.branches]
    compared = not np.isnan(run.strokes.worst_mm()[-1])

    def most(what):
        """The branch that its mL of `what` cost most, and by how much more than where they cost least [mm]."""
        costs = [b.mm(getattr(b, what)) for b in branches]
        return branches[int(np.argmax(costs))], float(max(costs) - (min(costs) if compared else 0.0))

    b, mm = most("trapped_ml")
    last = f"; {b.last_ml:.2f} mL more go into its line last and come back first" if b.last_ml >= LEAST_ML else ""
    yield Mechanism("air above a port", mm, (
        f"{b.above_ml:.2f} mL stay in the cap side of the {b.name} cylinder, out of its port's reach: oil passes below "
        f"them{last}. They leave only where the cylinder is held so that the port is the highest point of its chamber"
    ))  # fmt: skip
    if rig.synchroniser == "metering_pistons" and all(s.bypass == "closed" and s.cracked_deg is None for s in run.inputs.procedure.steps if s.kind == "cycle"):
        b, mm = most("rest_ml")
        yield Mechanism("bypass shut", mm, (
            f"{b.rest_ml:.2f} mL are shut in between the synchroniser and the {b.name} piston: with the bypass shut "
            "each side gets its own oil back, and its air with it"
        ))  # fmt: skip
        return
    lowest_mm, intake_mm = _lowest_mm(run), rig.get("reservoir.intake_m") * 1e3
    if lowest_mm <= intake_mm:
        b, mm = most("rest_ml")
        yield Mechanism("reservoir too low", mm, (
            f"{b.rest_ml:.2f} mL are on the {b.name} lifting side; with the rods out the level falls to {lowest_mm:.0f} mm, "
            f"the intake lies at {intake_mm:.0f} mm: the pump draws air"
        ))  # fmt: skip
        return
    b, mm = most("line_ml")
    yield Mechanism("line too long for the stroke", mm, (
        f"{b.line_ml:.2f} mL are in the {b.name} cap line: {b.long_text()}. They go to and fro and reach neither end"
    ))  # fmt: skip
    b, mm = most("brought_ml")
    yield Mechanism("bubbles go round", min(mm, most("bubbles_ml")[1]), (
        f"{b.bubbles_ml:.2f} mL are bubbles on the {b.name} lifting side: the reservoir's oil has not let them go before the "
        "pump draws it in again, and this side holds more of that oil"
    ))  # fmt: skip


def _outrun(run):
    """What strokes under a panel faster than its pump let into a rig that was full of oil."""
    i, rows = run.inputs, run.strokes
    on_panel = any(s.kind == "cycle" and s.rods == "panel" for s in i.procedure.steps)
    if not on_panel or len(rows) < 2 or not rows["low_pressure_s"][-1] >= LOW_S:
        return
    rig = _as_warm(run)
    full = _again(run, rig, _core.Contents.bled(rig), _strokes(i.procedure), max_strokes=len(rows) - 1, stop_at_verdict=False).strokes
    if len(full) < 2:
        return
    before, after = abs(full.worst_mm()[0]), abs(full.worst_mm()[-1])
    if math.isfinite(after - before):
        yield Mechanism("panel outruns the pump", float(after - before), (
            f"in a stroke some part is below 0.7 bar abs for {rows['low_pressure_s'][-1]:.1f} s, down to "
            f"{rows['lowest_bar_abs'][-1]:.2f} bar abs: air comes out of the oil and past the seals faster than strokes take it "
            f"away; rods full of oil are {before:.2f} mm apart, and {after:.2f} mm after as many such strokes. Stroke the rods "
            "off the panel, or hold it by a counterbalance valve or a restrictor in the path of the oil it drives out"
        ))  # fmt: skip


def _as_warm(run):
    """The rig at the temperature that its contents have at the end."""
    rig, by_k = run.inputs.rig, run.contents.warmed_k
    return rig.replace(**{"oil.temperature_k": rig.get("oil.temperature_k") + by_k}) if by_k else rig


def _strokes(procedure):
    """Those under power alone."""
    return _core.Procedure(steps=[s for s in procedure.steps if s.kind == "cycle"], max_strokes=procedure.max_strokes)


def _again(run, rig, contents, procedure, **options):
    """One more run, with the options of this one but for `options`."""
    from .runs import run as run_one   # not at the top: runs need this module

    given = {key: value for key, value in run.inputs.options.items() if value is not None}
    once = run_one(rig, contents, procedure, **{**given, "record": False, **options})
    if once.status.outcome is _core.Outcome.interrupted:
        raise KeyboardInterrupt
    return once


def _lowest_mm(run):
    """The reservoir's level with the rods out; in the table they are in."""
    get, levels = run.inputs.rig.get, run.strokes["level_mm"][1:]
    rods_m3 = sum(math.pi / 4 * get(f"branch.{b}.rod_m") ** 2 * get(f"branch.{b}.stroke_m") for b in run.inputs.rig.branches)
    return float(np.min(levels, initial=math.inf)) - rods_m3 / get("reservoir.area_m2") * 1e3


def series_fit(rig):
    """Bores of a series pair with which each cylinder takes what the one before gives, by field path."""
    fits, before = {}, None
    for b in rig.branches:
        if before is not None:
            fits[f"branch.{b}.bore_m"] = math.sqrt(bore_m**2 - rig.get(f"branch.{before}.rod_m") ** 2)
        bore_m, before = fits.get(f"branch.{b}.bore_m", rig.get(f"branch.{b}.bore_m")), b
    return fits


def _removals(rig):
    """What makes rods without air disagree, and the rig without it."""
    fields = [f.path for f in rig.fields()]
    named = lambda *ends: [p for p in fields if p.endswith(ends)]  # noqa: E731
    first = rig.branches[0]
    each = lambda *keys: [  # noqa: E731: (path, value of the first branch)
        (f"branch.{b}.{k}", rig.get(f"branch.{first}.{k}")) for b in rig.branches for k in keys
    ]
    yield "leakage", "leaking pistons", {p: 0.0 for p in named(".leak_m3_per_s_pa")}
    yield "soft lines", "lines that swell", {
        **{p: 0.0 for p in named("_expansion_per_pa")}, **{p: STIFF_PA for p in named("_wall_modulus_pa")}
    }  # fmt: skip
    yield "friction and load", "friction or load that is not the same on both", {
        "panel.centre_of_mass": 0.5, **dict(each("breakaway_pa_diff", "running_share", "viscous_n_s_per_m"))
    }  # fmt: skip
    ideal = {
        "synchroniser.spring_n_per_m": 0.0, "synchroniser.flow_force": 0.0, "synchroniser.spool_breakaway_n": 0.0,
        "synchroniser.section_slip": 0.0, "synchroniser.leak_m3_per_s_pa": 0.0,
    }  # fmt: skip
    if rig.has_bypass:
        yield "dividing error", "errors of what divides the flow", {**ideal, **{p: 0.0 for p in named(".dividing_error")}}
    if rig.get("synchroniser.bypass_leak_area_m2") > 0:
        yield "leaking bypass", "bypass valves that leak", {"synchroniser.bypass_leak_area_m2": 0.0}
    if rig.synchroniser != "series_pair":
        yield "unequal cylinders", "cylinders that are not equal", dict(each("bore_m", "rod_m", "stroke_m", "tube_m"))
        return
    yield "unequal cylinders", "cylinders whose bore and annulus do not fit each other", series_fit(rig)


def _without_air(run):
    """Reasons that no bleeding cures: what brings the rods without air closer when it is taken away."""
    i = run.inputs
    now = _apart_mm(run)
    if not now > run.tolerance_mm:
        return
    warm, strokes = _as_warm(run), _strokes(i.procedure)
    for name, what, change in _removals(warm):
        try:
            rig = warm.replace(**change)
            once = _again(run, rig, _core.Contents.bled(rig), strokes, max_strokes=1)
        except InputError:
            continue
        gain = now - _apart_mm(once)
        if not math.isfinite(gain):  # they do not get through
            continue
        yield Mechanism(name, gain, (
            f"without any air the rods are {now:.2f} mm apart, and {gain:.2f} mm less without {what}: no bleeding cures that"
        ))  # fmt: skip


def _apart_mm(run):
    return abs((run.twin.load if run.on_load else run.twin.free).worst_m) * 1e3


def mechanisms(run):
    """Reasons why the rods of a run are not in step at its end, those that cost most first."""
    if not run.status.ok or not len(run.strokes) or run.parallel.answered is _core.Answered.reached:
        return []
    if abs(run.strokes.worst_mm()[-1]) <= run.tolerance_mm:  # in step, only not confirmed yet
        return []
    dry = list(_without_air(run))
    least = WORTH * max((m.costs_mm for m in dry), default=0.0)
    found = [*(m for m in dry if m.costs_mm >= least), *_outrun(run), *_air(run)]
    return sorted((m for m in found if m.costs_mm >= WORTH * run.tolerance_mm), key=lambda m: -m.costs_mm)
