"""Ours for the claims about what keeps rods in step: dividers, cylinders in series, checks that a pilot opens."""

import math

import numpy as np
from rigs import G, P0, PSI, STIFF, cylinder, first_rod, half_way, ideal_rig, one_stroke, run_steps

import evenstroke as es

BORE = 0.02
AREA = math.pi / 4 * BORE**2
WIDE = {f"branch.{side}_line_{key}": value for side in ("cap", "rod") for key, value in (("bore_m", 0.01), ("length_m", 0.3))}


def loaded(psi, more, kind, pump=1e-6):
    """Two rods or more whose loads ask for these pressures; two of them share a panel."""
    names = ("left", "right", "middle", "fourth")[:len(psi)]
    total = sum(psi)
    return ideal_rig(pump, {**WIDE, "branch.bore_m": BORE, "branch.viscous_n_s_per_m": 20, "panel.mass_kg": total * PSI * AREA / G,
                            "panel.centre_of_mass": psi[1] / total if total else 0.5, **more}, kind=kind, branches=names)


def geared(psi, **more):
    gears = {"synchroniser.section_m3_per_rad": 3.2e-8, "synchroniser.section_slip": 0, "synchroniser.shaft_torque_n_m": 1e-5,
             "synchroniser.shaft_drag_n_m_s": 1e-7}
    return loaded(psi, {**gears, **more}, "rotary_divider")


def divider_mean():
    return (half_way(one_stroke(geared((1500, 300)), rods="panel"), "valve_block.a_pressure_pa_abs") - P0) / PSI


def divider_blocked():
    """The left rod carries more than the pump can lift, the right one nothing."""
    rig = geared((5000, 0), **{"valve_block.relief_pa_gauge": 2000 * PSI, "valve_block.relief_gain_m3_per_s_pa": 1e-8})
    return (one_stroke(rig, rods="panel")["left.cap_chamber_pressure_pa_abs"].max() - P0) / PSI


def four_sections():
    """One rod of four has the shorter way and is home first; none carries anything."""
    rig = geared((0, 0, 0, 0), **{"branch.left.stroke_m": 0.05, "valve_block.relief_pa_gauge": 50e5,
                                  "valve_block.relief_gain_m3_per_s_pa": 1e-8})
    run = one_stroke(rig)
    left = run["left.cap_chamber_pressure_pa_abs"]
    top = int(np.argmax(left))
    return (left[top] - P0) / (run["valve_block.a_pressure_pa_abs"][top] - P0)


def series_rig():
    second = math.sqrt(0.05**2 - 0.02**2)
    return ideal_rig(1e-4, {**STIFF, **cylinder(0.05, 0.02, 0.2), "branch.right.bore_m": second, "branch.viscous_n_s_per_m": 20,
                            "branch.cap_line_bore_m": 0.02, "branch.rod_line_bore_m": 0.02, "branch.cap_line_length_m": 0.1,
                            "branch.rod_line_length_m": 0.1, "panel.mass_kg": 8000 / G}, kind="series_pair", branches=("left", "right"))


def series_pressure():
    return (half_way(one_stroke(series_rig(), rods="panel"), "left.cap_chamber_pressure_pa_abs") - P0) / 1e5


def series_bore():
    """The second bore with which both rods go equally far, found from runs."""
    def ratio(second):
        rig = series_rig().replace(**{"branch.right.bore_m": second, "panel.mass_kg": 0})
        run = one_stroke(rig)
        x, y = first_rod(run), run["right.rod_position_m"]
        k = int(np.argmax(x > 0.1))
        return y[k] / x[k]

    low, high = 0.044, 0.048
    for _ in range(30):
        middle = (low + high) / 2
        low, high = (middle, high) if ratio(middle) > 1 else (low, middle)
    return 1e3 * (low + high) / 2


def pilot_pressure():
    """A load of 3000 psi is held by a check of ratio 4; the pump presses on the rod side until the rod begins to come down."""
    rod = 0.9 * BORE
    share = 1 - (rod / BORE) ** 2   # what the pilot's own pressure adds to the load's
    rig = ideal_rig(2e-7, {**STIFF, **WIDE, **cylinder(BORE, rod, 0.05), "panel.mass_kg": (3000 - 750 * share) * PSI * AREA / G,
                           "valve_block.check_a_ratio": 4, "valve_block.check_spring_pa_diff": 0})
    run = run_steps(rig, [es.Step(rods="panel", dwell_s=2)])
    x = first_rod(run)
    top = int(np.argmax(x))
    moves = top + int(np.argmax(x[top:] < x[top] - 1e-5))
    return (run["valve_block.b_pressure_pa_abs"][moves] - P0) / PSI


def spool_error(flow_force):
    """Difference of the flows over their sum at 20 bar between the outlets and a quarter of the rated flow, where it is large."""
    psi = (20e5 / PSI, 40e5 / PSI)
    rig = loaded(psi, {**STIFF, "synchroniser.rated_flow_m3_per_s": 12e-6, "synchroniser.flow_force": flow_force,
                       "synchroniser.spring_n_per_m": 0, "synchroniser.spool_breakaway_n": 0}, "spool_divider", pump=3e-6)
    run = one_stroke(rig, rods="panel")
    x, y = first_rod(run), run["right.rod_position_m"]
    way = slice(int(np.argmax(x > 0.03)), int(np.argmax(x > 0.08)))
    dx, dy = np.ptp(x[way]), np.ptp(y[way])
    return (dx - dy) / (dx + dy)


def flow_force_halved():
    return 100 * (1 - spool_error(0.43 * (1 - 0.505)) / spool_error(0.43))


OURS = {
    "divider_mean": divider_mean, "divider_blocked": divider_blocked, "four_sections": four_sections,
    "series_pressure": series_pressure, "series_bore": series_bore, "pilot_pressure": pilot_pressure,
    "flow_force_halved": flow_force_halved,
}
