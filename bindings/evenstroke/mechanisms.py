"""Why the rods still disagree at the end of a run: from what is where, and from the rods without air."""

import math
from typing import NamedTuple

import numpy as np

from . import _core
from .errors import InputError
from .stories import LIFTING

WORTH = 0.1       # of the tolerance; without air, of what costs most as well: what costs less is not told
STAYS = 0.9       # of a pocket, after one more stroke
SWARM_ML_L = 0.2  # bubbles in a litre of the reservoir's oil
STIFF_PA = 5e11    # the stiffest wall a rig can have


class Mechanism(NamedTuple):
    """One reason, with what it costs.

    Attributes
    ----------
    name : str
        ``"air above a port"``, ``"line longer than the stroke"``, ``"slug goes to and fro"``, ``"bypass shut"``,
        ``"reservoir too low"``, ``"bubbles go round"``, ``"bubbles too fine to settle"``, ``"leakage"``,
        ``"soft lines"``, ``"friction and load"``, ``"unequal cylinders"``.
    costs_mm : float, mm
        Of air: the travel that its volume at 1 atm takes at most, of the branch that has most. Of the others: by how much
        the rods without air come closer when it is taken away.
    text : str
        The reason in a sentence.
    """

    name: str
    costs_mm: float
    text: str


class _Branch:
    """What one branch holds on the lifting side at the end, in mL of free air."""

    def __init__(self, run, name):
        rig, places = run.inputs.rig, run.contents.places

        def ml(place, *kinds):
            return _core.laws.free_air_m3(sum(places[f"{name}.{place}"][f"{k}_kg"] for k in kinds)) * 1e6

        get = lambda key: rig.get(f"branch.{name}.{key}_m")  # noqa: E731
        self.name, self.area_m2 = name, math.pi / 4 * get("bore") ** 2
        self.stroke_ml = self.area_m2 * get("stroke") * 1e6
        self.line_ml = math.pi / 4 * get("cap_line_bore") ** 2 * get("cap_line_length") * 1e6
        self.above_ml, self.slug_ml = ml("cap_chamber", "pocket"), ml("cap_line", "pocket")
        lifting = [p[1:] for p in LIFTING if name + p in places]
        self.all_ml = sum(ml(p, "pocket", "coarse", "fine") for p in lifting)
        self.bubbles_ml = sum(ml(p, "coarse", "fine") for p in lifting)
        table = run.strokes[f"free_air_{name}.cap_chamber_ml"]
        self.stays = len(table) > 1 and table[-1] >= STAYS * table[-2]
        if rig.attitudes[name] == "rod_down":  # the cap end lies uppermost: only what is above the port is trapped
            self.stays &= self.above_ml <= 1.2 * self.area_m2 * get("cap_port") * 1e6

    def mm(self, ml):
        return ml * 1e-6 / self.area_m2 * 1e3


def _air(run):
    """Reasons that lie in the air."""
    rig, table = run.inputs.rig, run.strokes
    branches = [_Branch(run, b) for b in rig.branches]
    for b in branches:
        if b.stays:
            yield Mechanism("air above a port", b.mm(b.above_ml), (
                f"{b.above_ml:.2f} mL stay in the cap side of the {b.name} cylinder, out of its port's reach: oil passes "
                "below them. They leave only where the cylinder is held so that the port is the highest point of its chamber"
            ))  # fmt: skip
    shut = rig.synchroniser != "tee" and all(s.bypass == "closed" for s in run.inputs.procedure.steps if s.kind == "cycle")
    if shut:
        worst = max(branches, key=lambda b: b.mm(b.all_ml - b.above_ml))
        ml = worst.all_ml - worst.above_ml
        yield Mechanism("bypass shut", worst.mm(ml), (
            f"{ml:.2f} mL are shut in between the synchroniser and the {worst.name} piston: with the bypass shut "
            "each side gets its own oil back, and its air with it"
        ))  # fmt: skip
        return
    for b in branches:
        if b.line_ml > b.stroke_ml:
            yield Mechanism("line longer than the stroke", b.mm(b.slug_ml), (
                f"{b.slug_ml:.2f} mL stand in the {b.name} cap line, which holds {b.line_ml:.0f} mL while a stroke moves "
                f"{b.stroke_ml:.0f} mL: they go to and fro and reach neither end"
            ))  # fmt: skip
        else:
            yield Mechanism("slug goes to and fro", b.mm(b.slug_ml), (
                f"{b.slug_ml:.2f} mL stand in the {b.name} cap line at the end of a stroke: what the retraction drives out of "
                "the cylinder last, the next extension drives in first"
            ))  # fmt: skip
    yield from _bubbles(run, max(branches, key=lambda b: b.mm(b.bubbles_ml)), float(np.nanmin(table["level_mm"])))


def _bubbles(run, worst, lowest_mm):
    rig, tank = run.inputs.rig, run.contents.reservoir
    intake_mm = rig.get("reservoir.intake_m") * 1e3
    if lowest_mm <= 1.5 * intake_mm:
        yield Mechanism("reservoir too low", worst.mm(worst.all_ml), (
            f"{worst.all_ml:.2f} mL are on the {worst.name} lifting side; after a stroke the level was down to "
            f"{lowest_mm:.0f} mm, the intake lies at {intake_mm:.0f} mm: the pump draws air, or oil that had no time to rest"
        ))  # fmt: skip
        return
    coarse, fine = (_core.laws.free_air_m3(tank[f"{k}_kg"]) * 1e6 for k in ("coarse", "fine"))
    litres = rig.get("reservoir.area_m2") * run.strokes["level_mm"][-1]   # m2 mm
    if litres > 0 and (coarse + fine) / litres >= SWARM_ML_L:
        name = "bubbles too fine to settle" if fine > coarse else "bubbles go round"
        yield Mechanism(name, worst.mm(worst.bubbles_ml), (
            f"{worst.bubbles_ml:.2f} mL are bubbles on the {worst.name} lifting side; "
            f"{(coarse + fine) / litres:.2f} mL to the litre are in the reservoir's oil, "
            f"{fine / (coarse + fine):.0%} of it fine, and come back with it"
        ))  # fmt: skip


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
    yield "unequal cylinders", "cylinders that are not equal", dict(each("bore_m", "rod_m", "stroke_m", "tube_m"))


def _without_air(run):
    """Reasons that no bleeding cures: what brings the rods without air closer when it is taken away."""
    i = run.inputs
    now = _apart_mm(run)
    if not now > run.tolerance_mm:
        return
    from .runs import run as run_one   # not at the top: runs need this module

    given = {key: value for key, value in i.options.items() if value is not None}
    for name, what, change in _removals(i.rig):
        try:
            rig = i.rig.replace(**change)
            once = run_one(rig, _core.Contents.bled(rig), i.procedure, **{**given, "max_strokes": 1, "record": False})
        except InputError:
            continue
        if once.status.outcome is _core.Outcome.interrupted:
            raise KeyboardInterrupt
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
    found = [*(m for m in dry if m.costs_mm >= least), *_air(run)]
    return sorted((m for m in found if m.costs_mm >= WORTH * run.tolerance_mm), key=lambda m: -m.costs_mm)
