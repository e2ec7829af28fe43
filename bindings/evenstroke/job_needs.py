"""What a job sheet computes before anything is run: volumes of oil, currents of the motor, pressures; closed forms only."""

from typing import NamedTuple

from . import laws
from .geometry import areas_m2, circuit_m3

LOOKS = 41   # along the travel, where the panel's load is looked at


class Oil(NamedTuple):
    """Volumes [L], by geometry; None: not asked."""

    rods_in: float      # what the circuit holds with all rods in, and out
    rods_out: float
    reservoir: float    # at the start
    container: float    # what an open end is held into, if a step needs it
    flushed: float      # most that flushing sends out through open ends: free delivery, all bursts
    missing: float      # room of the air at the start, from the contents
    level_mm: float     # by how much the reservoir's level falls while the rods go out


class Drive(NamedTuple):
    """Currents [A] and pressures [bar, differences to the reservoir]."""

    idle_a: float       # turning against nothing
    lifting_a: float    # against lifting_bar
    pressing_a: float   # against pressing_bar
    stalled_a: float    # shaft held
    lifting_bar: float  # the panel on its heaviest loaded rod, and friction of its cylinder
    pressing_bar: float # all the pump delivers goes over the relief valve; or the motor stops before
    dead_head: bool     # the pump delivers nothing before the relief valve opens


def _get(rig, branch, *keys):
    return [rig.get(f"branch.{branch}.{key}") for key in keys]


def oil(rig, steps, contents=None):
    """What the circuit and filling up take."""
    into = any("container" in (s.line_end, s.port) or s.bleed for s in steps)
    open_ends = [s for s in steps if s.kind == "flush" and {"container", "air"} & {s.line_end, s.port}]
    flushed = laws.pump_flow(rig, 0.0) * sum(s.bursts * s.motor_s for s in open_ends)
    pushed = sum(rig.get(f"branch.{b}.stroke_m") * (a - r) for b in rig.branches for a, r in [areas_m2(rig, b)])
    missing = None
    if contents is not None:
        missing = 1e3 * contents.free_air_m3 * rig.get("oil.temperature_k") / 293.15   # free air is counted at 20 deg C
    return Oil(
        1e3 * circuit_m3(rig, 0), 1e3 * circuit_m3(rig, 1), 1e3 * rig.get("reservoir.oil_m3"),
        1e3 * rig.get("reservoir.container_m3") if into else 0.0, 1e3 * flushed, missing,
        1e3 * pushed / rig.get("reservoir.area_m2"),
    )  # fmt: skip


def lifting_pa(rig):
    """Highest pressure on the lifting side while the rods move out under the panel, friction of cylinders in."""
    stroke = min(rig.get(f"branch.{b}.stroke_m") for b in rig.branches)
    return max(_lifting_pa(rig, stroke * i / (LOOKS - 1)) for i in range(LOOKS))


def _lifting_pa(rig, out_m):
    each, behind = [], 0.0
    loads = laws.panel_load_n(rig, out_m) if rig.get("panel.mass_kg") > 0 else [0.0] * len(rig.branches)
    for b, load in reversed(list(zip(rig.branches, loads))):
        cap, ring = areas_m2(rig, b)
        rubs, share = _get(rig, b, "breakaway_pa_diff", "running_share")
        back = behind * ring / cap if rig.synchroniser == "series_pair" else 0.0   # the next one's load on its rod side
        behind = max(0.0, load / cap) + rubs * share + back
        each.append(behind)
    return max(each)


def pressing_pa(rig):
    """Pump pressure at the stops, and whether the pump's delivery ends before the relief valve opens.

    The pump's line q0 - s p meets that of the relief valve, G (p - crack).
    """
    crack, gain = rig.get("valve_block.relief_pa_gauge"), rig.get("valve_block.relief_gain_m3_per_s_pa")
    most = laws.pump_dead_head_pa_diff(rig)
    if most <= crack:
        return most, True
    q0 = laws.pump_flow(rig, 0.0)
    return (q0 + gain * crack) / (q0 / most + gain), False


def drive(rig):
    """Currents of the motor at the rig's supply, and the pressures behind them."""
    lifting, (pressing, dead) = lifting_pa(rig), pressing_pa(rig)
    most = laws.pump_dead_head_pa_diff(rig)
    idle, lifts, presses = (laws.motor_current_a(rig, min(p, most)) for p in (0.0, lifting, pressing))
    stalled = rig.get("pump.supply_v") / rig.get("pump.armature_ohm")
    return Drive(idle, lifts, presses, stalled, lifting / 1e5, pressing / 1e5, dead)


def pressures(rig):
    """Highest pressures at standstill: where, bar gauge, and the ratings stated there [bar gauge].

    A carriage or a shaft shares what it is driven with: p_i A_i = p sum(A), if the others yield.
    """
    top = pressing_pa(rig)[0]
    found = [("pump, valve block and cap sides, pressing at the stops", top, _ratings(rig, ["valve_block"]))]
    driven = top
    kind, n = rig.synchroniser, len(rig.branches)
    if kind in ("rotary_divider", "metering_pistons") and n > 1:   # all drive the one whose rod finds no way
        shares = []
        for b in rig.branches:
            stroke, error = _get(rig, b, "stroke_m", "dividing_error")
            shares.append((areas_m2(rig, b)[0] * stroke if kind == "metering_pistons" else 1.0) * (1 + error))
        driven = sum(shares) / min(shares) * top
        relief = rig.get("synchroniser.outlet_relief_pa_gauge") if kind == "rotary_divider" else 0.0
        if relief > 0:   # which takes what its section gives, at most the pump's free delivery
            over = laws.pump_flow(rig, 0.0) / rig.get("valve_block.relief_gain_m3_per_s_pa")
            driven = max(top, min(driven, relief + over))
        what = "one outlet of the rotary divider" if kind == "rotary_divider" else "one metering chamber"
        found.append((f"{what}, its rod without a way, the others without load", driven, _ratings(rig, ["synchroniser"])))
    steps = [(cap / ring, b) for b in rig.branches for cap, ring in [areas_m2(rig, b)]]
    if rig.synchroniser == "series_pair":
        ratio, b = steps[0]
        for more, b in steps[1:]:
            ratio *= more
    else:
        ratio, b = max(steps)
    where = f"rod side of the {b} cylinder, if its way out is shut (areas {ratio:.2f} to 1)"
    found.append((where, ratio * driven, _ratings(rig, [f"branch.{b}"])))
    return [(name, p / 1e5, rated) for name, p, rated in found]


def _ratings(rig, parts):
    return [r / 1e5 for part in parts for r in [rig.get(f"{part}.rating_pa_gauge")] if r > 0]


def joints(steps):
    """Tags of all joints that are parted, in the order in which they are."""
    named = dict.fromkeys(name for s in steps for name in s.parted)
    return {name: f"J{i + 1}" for i, name in enumerate(named)}


def pieces(steps):
    """Most joints apart at one time, most pairs of line ends joined at one time."""
    apart = max((len(s.parted) for s in steps), default=0)
    pairs = [{name.split(".")[0] for name in s.parted} for s in steps if s.line_end == "joined"]
    return apart, max(map(len, pairs), default=0)


def tolerance_mm(rig, answer):
    """Of the answer; else the larger of 1 mm and 1 % of the shortest stroke, as everywhere."""
    if answer is not None:
        return answer.tolerance_mm
    return max(1.0, 10 * min(rig.get(f"branch.{b}.stroke_m") for b in rig.branches))


