"""Volumes of a rig's places, by its fields; tests hold them against the oil that the simulator fills in."""

import math

from . import _core, laws


def areas_m2(rig, branch):
    """Cap side and rod side of the piston."""
    bore, rod = (rig.get(f"branch.{branch}.{key}_m") for key in ("bore", "rod"))
    return laws.cap_area_m2(bore_m=bore), laws.rod_area_m2(bore_m=bore, rod_m=rod)


def line_m3(rig, branch, which):
    """Of the ``cap_line`` or the ``rod_line``."""
    bore, length = (rig.get(f"branch.{branch}.{which}_{key}_m") for key in ("bore", "length"))
    return math.pi / 4 * bore**2 * length


def circuit_m3(rig, out):
    """Volume between pump and rods with all rods in (`out` 0) or out (1); what drives a synchroniser changes none of it."""
    total = 0.0
    for place in _core.Contents.bled(rig).places:
        base, per_m, axis = volume_law(rig, place)
        stroke = rig.get(f"branch.{axis.removesuffix('.rod')}.stroke_m") if axis.endswith(".rod") else 0.0
        total += base + per_m * out * stroke
    return total


def volume_law(rig, place):
    """Volume of a place at p0: at position zero [m3], per position [m2], and the name of what moves it ("" for nothing)."""
    branch, _, kind = place.partition(".")
    if branch == "synchroniser":
        return rig.get("synchroniser.clearance_m3"), sum(_metering(rig, b)[0] for b in rig.branches), "synchroniser.carriage"
    if branch == "valve_block":
        return rig.get("valve_block.passage_m3"), 0.0, ""
    own = f"branch.{branch}."
    if kind.endswith("_line"):
        return line_m3(rig, branch, kind), 0.0, ""
    cap, ring = areas_m2(rig, branch)
    if kind == "cap_chamber":
        return rig.get(own + "cap_clearance_m3"), cap, f"{branch}.rod"
    if kind == "rod_chamber":
        return rig.get(own + "rod_clearance_m3") + ring * rig.get(own + "stroke_m"), -ring, f"{branch}.rod"
    if kind == "metering_chamber":
        area, travel = _metering(rig, branch)
        return rig.get("synchroniser.clearance_m3") + area * travel, -area, "synchroniser.carriage"
    if kind == "divider":
        way = 1 if branch == rig.branches[0] else -1
        return rig.get("synchroniser.outlet_m3"), way * rig.get("synchroniser.spool_area_m2"), "synchroniser.spool"
    return rig.get("synchroniser.outlet_m3"), 0.0, ""


def _metering(rig, branch):
    """Area of a metering piston [m2] and its travel [m]: all travel alike, each for its own cylinder's stroke."""
    over = 1 + rig.get("synchroniser.over_travel")
    stroke = rig.get(f"branch.{branch}.stroke_m")
    travel = over * max(rig.get(f"branch.{b}.stroke_m") for b in rig.branches)
    nominal = areas_m2(rig, branch)[0] * stroke * over / travel
    return nominal * (1 + rig.get(f"branch.{branch}.dividing_error")), travel
