"""Ours for the claims about cylinders, lines, valves, pump and divider; nearly all read from the arrays of a run."""

import math
from functools import lru_cache

from rigs import (DEFAULTS, G, GALLON, INCH, LAWS, P0, POUND_FORCE, PSI, STIFF, across, cap_line, cylinder, gauge_psi,
                  ideal_rig, line_loss_pa, oil, one_stroke, run_steps, speed_m_per_s)

import evenstroke as es

WIDE = cylinder(0.05, 0.02)   # moves slowly


# --- cylinders


def load_pressure():
    rig = ideal_rig(2e-4, {**oil(0.01, 870), **cylinder(2 * INCH, INCH), "panel.mass_kg": 1000 * POUND_FORCE / G})
    return gauge_psi(one_stroke(rig, rods="panel"), "single.cap_chamber")


@lru_cache(None)
def full_cycle():
    bore, rod = (across(area * INCH**2) for area in (12.56, 3.14))
    rig = ideal_rig(2e-4, {**oil(0.01, 870), **cylinder(bore, rod, 24 * INCH)})
    return rig, one_stroke(rig)


def oil_per_cycle():
    """What the pump gave until both stops were reached."""
    rig, run = full_cycle()
    return run.contents.motor_on_s * LAWS.pump_flow(rig, 0.0) / INCH**3


def rod_speed():
    return 1e3 * speed_m_per_s(full_cycle()[1])


def thin_rod(back):
    rig = ideal_rig(2e-4, {**oil(0.01, 870), **cylinder(0.075, 0.014)})
    return 1e3 * speed_m_per_s(one_stroke(rig), back)


def rod_port_shut():
    """All but shut: what a hole of 0.1 mm lets by."""
    rig = ideal_rig(1e-5, {**oil(0.01, 870), **cylinder(0.05, 0.05 / math.sqrt(2), 0.1), "branch.rod_line_bore_m": 0.006,
                           "valve_block.lifting_area_m2": 1e-8, "valve_block.relief_pa_gauge": 3000 * PSI,
                           "valve_block.relief_gain_m3_per_s_pa": 1e-8})
    return (one_stroke(rig)["single.rod_chamber_pressure_pa_abs"].max() - P0) / PSI


def caps_joined():
    load = 500 * POUND_FORCE
    rig = ideal_rig(1e-4, {**oil(0.01, 870), "branch.small.bore_m": 2 * INCH, "branch.large.bore_m": 4 * INCH,
                           "branch.rod_m": INCH, "branch.stroke_m": 0.3, "panel.mass_kg": 5 * load / G,
                           "panel.centre_of_mass": 0.8}, branches=("small", "large"))
    run = one_stroke(rig, rods="panel")
    assert min(run[f"{name}.rod_position_m"].max() for name in ("small", "large")) > 0.299   # both were lifted
    return gauge_psi(run, "valve_block.a")


# --- lines


def loss(pump_m3_per_s, liquid, line, **more):
    return line_loss_pa(one_stroke(ideal_rig(pump_m3_per_s, {**liquid, **WIDE, **line, **more})))


def line_thick_oil():
    return loss(3e-5, oil(0.9, 900), cap_line(0.01, 6.5), **{"branch.stroke_m": 0.1}) / 1e3


def line_narrow():
    return loss(0.9 * math.pi / 4 * 0.003**2, oil(1.519e-3, 1000), cap_line(0.003, 9), **STIFF) / 1e3


def line_wide(height_m=0.0):
    return loss(2e-5, oil(0.4, 900), cap_line(0.02, 10), **{"branch.height_m": height_m}) / 1e3


def line_downhill():
    """The fall of 10 m of line at which the pump has nothing to add, halved in on."""
    low, high = -3.0, -2.0
    for _ in range(20):
        height = (low + high) / 2
        low, high = (low, height) if line_wide(height) > 0 else (height, high)
    return math.degrees(math.asin(-low / 10))


def line_gradient():
    return loss(2.3 * math.pi / 4 * 0.012**2, oil(0.08, 870), cap_line(0.012, 10), **STIFF) / 10


def line_turbulent():
    """Friction factor at Re 4835, from the loss of 20 m."""
    d, nu, rho, length = 0.012, 2e-6, 870, 20
    v = 4835.0 * nu / d
    lost = loss(v * math.pi / 4 * d**2, oil(nu * rho, rho), cap_line(d, length), **STIFF)
    return lost * d / length / (rho / 2 * v**2)


def oil_thicker():
    """Loss of a line under a load of 200 bar over that under none, with the oil's own default."""
    barus = {"oil.pressure_viscosity_per_pa": DEFAULTS.get("oil.pressure_viscosity_per_pa"), **STIFF}

    def under(bar):
        rig = ideal_rig(1e-5, {**oil(0.03, 870), **WIDE, **cap_line(0.004, 2), **barus,
                               "panel.mass_kg": max(bar * 1e5 * math.pi / 4 * 0.05**2 / G, 1e-3)})
        return line_loss_pa(one_stroke(rig, rods="panel"))
    return under(200) / under(0)


def by_law(flow_m3_per_s, bore_m, length_m, rho, mu):
    return LAWS.line_drop(flow_m3_per_s=flow_m3_per_s, bore_m=bore_m, length_m=length_m, minor_loss=0, rho_kg_per_m3=rho,
                          nu_m2_per_s=mu / rho)


# --- openings: a valve's Cv [m3/s at 1 Pa, water] is an area times the discharge coefficient


def metered(cv_gpm, speed_in_per_s, load_lbf, side):
    """Pump pressure of a loaded cylinder of 3.14 in2 whose oil passes a valve on its way in, or out."""
    area, discharge = 3.14 * INCH**2, 0.62
    opening = cv_gpm * GALLON / 60 / math.sqrt(PSI) / math.sqrt(2 / 1000) / discharge
    valve = {"in": {"valve_block.path_area_m2": opening, "valve_block.lifting_area_m2": 1e-3},
             "out": {"valve_block.lifting_area_m2": opening}}[side]
    rig = ideal_rig(speed_in_per_s * INCH * area, {
        **oil(0.01, 900), **STIFF, **cylinder(across(area), across(0.79 * INCH**2)), **valve,
        "valve_block.discharge": discharge, "valve_block.transition_re": 10, "panel.mass_kg": load_lbf * POUND_FORCE / G})
    return gauge_psi(one_stroke(rig, rods="panel"), "valve_block.p")


def small_hole():
    """Bar at which 2 mm let 30 L/min by: the law, solved by halving."""
    low, high = 0.0, 1000e5
    for _ in range(50):
        dp = (low + high) / 2
        q = LAWS.orifice_flow(dp_pa_diff=dp, area_m2=math.pi * 1e-6, cd=0.62, rho_kg_per_m3=870, nu_m2_per_s=22e-6,
                              transition_re=9.3)
        low, high = (dp, high) if q < 30 / 6e4 else (low, dp)
    return low / 1e5


# --- pump and motor


def motor_rig(volts):
    return ideal_rig(4e-5, {**oil(0.01, 870), **WIDE, **STIFF, "pump.displacement_m3_per_rad": 1e-6, "pump.supply_v": volts,
                            "pump.motor_constant_v_s": 0.12, "pump.armature_ohm": 0.3})


def motor_idle():
    """Turns a minute, from the speed of the rod."""
    return speed_m_per_s(one_stroke(motor_rig(48))) * math.pi / 4 * 0.05**2 / 1e-6 * 60 / (2 * math.pi)


def motor_stalled():
    """Torque, from the pressure at the stop; the 2 V that the example loses in its brushes are left out of the supply."""
    run = run_steps(motor_rig(46), [es.Step(press_s=20, dwell_s=0)])
    return (run["single.cap_chamber_pressure_pa_abs"].max() - P0) * 1e-6


# --- oil


def oil_at(nu_40_cst, nu_100_cst, deg_c):
    return 1e6 * LAWS.kinematic_viscosity(nu_40_m2_per_s=nu_40_cst * 1e-6, nu_100_m2_per_s=nu_100_cst * 1e-6,
                                          temperature_k=deg_c + 273.15)


OURS = {
    "load_pressure": load_pressure, "oil_per_cycle": oil_per_cycle, "thin_rod_out": lambda: thin_rod(False),
    "thin_rod_back": lambda: thin_rod(True), "rod_port_shut": rod_port_shut, "caps_joined": caps_joined,
    "line_thick_oil": line_thick_oil, "line_narrow": line_narrow, "line_wide": line_wide, "line_downhill": line_downhill,
    "line_gradient": line_gradient, "line_turbulent": line_turbulent, "oil_thicker": oil_thicker,
    "line_water": lambda: by_law(0.006, 0.05, 60, 999, 1.138e-3) / 1e3,
    "line_long": lambda: by_law(0.0035, 0.05, 300, 900, 0.1) / 1e3,
    "meter_in": lambda: metered(1.0, 14.5, 4000, "in"),
    "meter_out": lambda: metered(0.37, 10, 1000, "out"), "small_hole": small_hole,
    "motor_idle": motor_idle, "motor_stalled": motor_stalled,
    "oil_at_80": lambda: oil_at(32, 5.4, 80), "oil_at_60": lambda: oil_at(30, 5.23, 60),
}
