"""Causes of a mismatch that can be switched off in the model, and their fair shares."""

import math

import numpy as np

from .mechanisms import STIFF_PA, series_fit
from .stories import LEAST_ML, LIFTING
from .tables import branch_of

MOST, LEAST = 6, 3   # causes, so 64 check strokes for each stroke: beyond, air groups are put together, but three stay
SPOOL = ("synchroniser.spring_n_per_m", "synchroniser.flow_force", "synchroniser.spool_breakaway_n")
DIVIDES_BADLY = {  # what errs besides `dividing_error`
    "metering_pistons": (), "spool_divider": SPOOL, "divider_combiner": SPOOL, "rotary_divider": ("synchroniser.section_slip",),
}  # fmt: skip
ELSEWHERE = "air elsewhere"


def shapley(value):
    """Fair shares of what a set of causes adds.

    Parameters
    ----------
    value : array of float, shape (2**causes, ...)
        Of each set; bit i of the index says that cause i is in it.

    Returns
    -------
    array of float, shape (causes, ...)
        Their sum is ``value[-1] - value[0]``.
    """
    sets, causes = np.arange(len(value)), len(value).bit_length() - 1
    size = np.array([bin(s).count("1") for s in sets])
    shares = np.zeros((causes, *np.shape(value)[1:]))
    for i in range(causes):
        before = sets[sets >> i & 1 == 0]
        weight = np.array([1 / (causes * math.comb(causes - 1, n)) for n in size[before]])
        shares[i] = np.tensordot(weight, value[before | 1 << i] - value[before], axes=1)
    return shares


def switches(rig, warmed_k):
    """Each cause that lies in the rig, with the fields and values that switch it off."""
    fields = [f.path for f in rig.fields()]
    named = lambda *ends: [p for p in fields if p.endswith(ends)]  # noqa: E731
    alike = lambda keys, mean=np.mean: {  # noqa: E731: the mean, so that no side is taken; where all are alike they stay
        f"branch.{b}.{key}": mean(values) for key in keys
        if len(set(values := [rig.get(f"branch.{b}.{key}") for b in rig.branches])) > 1 for b in rig.branches
    }  # fmt: skip
    yield "walls", {**{p: STIFF_PA for p in named("_wall_modulus_pa")}, **{p: 0.0 for p in named("_expansion_per_pa")}}
    errs = DIVIDES_BADLY.get(rig.synchroniser)
    divider = {} if errs is None else {p: 0.0 for p in (*errs, *named(".dividing_error"))}
    if rig.synchroniser == "series_pair":
        cylinders = series_fit(rig)
    else:
        cylinders = alike(("bore_m",), lambda x: math.sqrt(np.mean(np.square(x)))) | alike(("rod_m", "stroke_m"))
    yield "divider and bores", {**divider, **cylinders}
    yield "leakage", {p: 0.0 for p in named(".leak_m3_per_s_pa", ".bypass_leak_area_m2")}
    yield "friction", alike(("breakaway_pa_diff", "running_share", "viscous_n_s_per_m", "dwell_growth"))
    two = len(rig.branches) == 2 and rig.get("panel.mass_kg") > 0   # more rods share the load evenly
    yield "load", {"panel.centre_of_mass": 0.5} if two else {}
    yield "temperature", {"oil.temperature_k": rig.get("oil.temperature_k") - warmed_k} if warmed_k else {}


def air_groups(starts, branches, others):
    """Places of each group of air that holds any, by name, and the groups that hold none."""
    groups = {f"air, {b} {side} side": [] for b in branches for side in ("lifting", "rod")} | {"air, shared places": []}
    for place in starts[0].places:
        branch = branch_of(place, branches)
        side = "lifting" if place.endswith(LIFTING) else "rod"
        groups["air, shared places" if branch == "shared" else f"air, {branch} {side} side"].append(place)
    held_ml = {
        name: max(1e6 * sum(places[p]["free_air_m3"] for p in group) for places in [s.places for s in starts])
        for name, group in groups.items()
    }
    own = sorted((name for name in groups if held_ml[name] > 0), key=lambda name: ("lifting" not in name, -held_ml[name]))
    small = [name for name in own if held_ml[name] < LEAST_ML]
    own = [name for name in own if name not in small]
    while len(own) + bool(small) > max(MOST - others, LEAST):   # air on lifting sides sets rods apart: the last to be put together
        small.append(own.pop())
    told = {name: groups[name] for name in groups if name in own or small == [name]}
    if len(small) > 1:
        told[ELSEWHERE] = [place for name in small for place in groups[name]]
    return told, [name for name in groups if not held_ml[name] > 0]
