"""Ideal rigs for the worked examples, and how their runs are read."""

import math
from pathlib import Path

import numpy as np

import evenstroke as es

INCH, PSI, GALLON, POUND_FORCE = 0.0254, 6894.757293168, 3.785411784e-3, 4.4482216152605   # exact, or to 14 digits
P0, G = 101325.0, 9.80665
LAWS = es.laws
HOME = Path(__file__).parent

BASE = """
format_version = 1
name = "reference"
[oil]
nu_40_cst = 20
nu_100_cst = 5
temperature_deg_c = 40
[pump]
displacement_cm3_per_rev = 1
supply_v = 400
[synchroniser]
kind = "{kind}"
{needs}
[panel]
mass_kg = 0
[branch]
bore_mm = 20
rod_mm = 10
stroke_mm = 100
attitude = "level"
cap_line_bore_mm = 25
cap_line_length_m = 0.5
{names}
"""
NEEDS = {"rotary_divider": "section_m3_per_rad = 1e-8", "spool_divider": "rated_flow_m3_per_s = 1e-5"}   # given anew below
DEFAULTS = es.parse_rig(BASE.format(kind="tee", needs="", names="[branch.left]"))

# The worked examples know no friction, no leaks, no valve losses and no weight of oil; their viscosity does not depend
# on pressure; their gas is one pocket at one temperature, and stays out of solution.
IDEAL = {
    "oil.expansion_per_k": 1e-4, "oil.pressure_viscosity_per_pa": 0,
    "air.coarse_share": 0, "air.dispersed_share": 0, "air.diffusivity_m2_per_s": 0, "air.release_s": 1e12,
    "air.pocket_heat": 0,
    "pump.armature_ohm": 1e-3, "pump.idle_torque_n_m": 0, "pump.slip": 0, "pump.drag": 0, "pump.dry_friction": 0,
    "pump.suction_area_m2": 1e-2,
    "valve_block.path_area_m2": 1e-3, "valve_block.lowering_area_m2": 1e-3, "valve_block.relief_pa_gauge": 4e7,
    "reservoir.oil_m3": 0.5, "reservoir.area_m2": 50, "reservoir.capacity_m3": 1,   # level 10 mm: 0.012 psi
    "reservoir.intake_m": 0, "reservoir.return_m": 0,
    "branch.breakaway_pa_diff": 0, "branch.viscous_n_s_per_m": 1, "branch.leak_m3_per_s_pa": 0,
    "branch.cap_line_minor_loss": 0, "branch.rod_line_minor_loss": 0,
}
STIFF = {"oil.modulus_40_pa": 5e9, "oil.modulus_slope": 0}   # where the example's oil does not give at all
RIGID = {f"branch.{line}_line_{key}": value for line in ("cap", "rod")
         for key, value in (("wall_m", 0.02), ("wall_modulus_pa", 500e9))}


def ideal_rig(pump_m3_per_s, changes, kind="tee", branches=("single",)):
    """A rig of nothing but the example's own numbers; the motor keeps its speed whatever the pressure."""
    names = "".join(f"[branch.{name}]\n" for name in branches)
    rad_per_s = 40 if pump_m3_per_s < 4e-4 else 160
    motor = {"pump.displacement_m3_per_rad": pump_m3_per_s / rad_per_s, "pump.motor_constant_v_s": 400 / rad_per_s}
    return es.parse_rig(BASE.format(kind=kind, needs=NEEDS.get(kind, ""), names=names)).replace(**{**IDEAL, **motor, **changes})


def oil(mu_pa_s, rho_kg_per_m3):
    """Oil of a viscosity and density at the 40 deg C of the rig."""
    nu = mu_pa_s / rho_kg_per_m3
    return {"oil.nu_40_m2_per_s": nu, "oil.nu_100_m2_per_s": min(nu / (5 if nu > 5e-6 else 1.8), 1e-4),
            "oil.density_15_kg_per_m3": rho_kg_per_m3 * (1 + 1e-4 * 25)}


def cylinder(bore_m, rod_m, stroke_m=0.3):
    return {"branch.bore_m": bore_m, "branch.rod_m": rod_m, "branch.stroke_m": stroke_m}


def cap_line(bore_m, length_m):
    return {"branch.cap_line_bore_m": bore_m, "branch.cap_line_length_m": length_m}


def across(area_m2):
    """Diameter of a circle of this area."""
    return math.sqrt(4 / math.pi * area_m2)


def run_steps(rig, steps, contents=None, **options):
    run = es.run(rig, contents or es.Contents.bled(rig), es.Procedure(steps=steps),
                 **{**dict(max_strokes=1, checks=False, stop_at_verdict=False, max_samples=100_000), **options})
    run.raise_for_status()
    return run


def one_stroke(rig, rods="free", contents=None, **options):
    return run_steps(rig, [es.Step(rods=rods, dwell_s=0)], contents, **options)


def first_rod(run):
    return run[next(c for c in run.channels if c.endswith(".rod_position_m"))]


def extending(run, channel):
    """Positions of the first rod on its way out, and a channel at the same times."""
    x = first_rod(run)
    top = int(np.argmax(x)) + 1
    return x[:top], run[channel][:top]


def half_way(run, channel):
    """A channel as the first rod passes the middle of its stroke, on its way out."""
    x, values = extending(run, channel)
    return float(np.interp(x[-1] / 2, x, values))


def gauge_psi(run, place):
    return (half_way(run, f"{place}_pressure_pa_abs") - P0) / PSI


def line_loss_pa(run):
    """Between valve block and cap chamber, on the way out."""
    return half_way(run, "valve_block.a_pressure_pa_abs") - half_way(run, "single.cap_chamber_pressure_pa_abs")


def speed_m_per_s(run, back=False):
    """Of the first rod between a fifth and four fifths of its stroke."""
    x, t = first_rod(run), run.time_s
    top = int(np.argmax(x))
    x, t = (-x[top:], t[top:]) if back else (x[:top + 1], t[:top + 1])
    span = abs(x).max()
    ends = (-0.8 * span, -0.2 * span) if back else (0.2 * span, 0.8 * span)
    return 0.6 * span / float(np.diff(np.interp(ends, x, t))[0])
