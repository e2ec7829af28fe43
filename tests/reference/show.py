"""Numbers that others published, and ours beside them.

    python tests/reference/show.py [claims.csv]

`claims.csv` holds data only: per claim the value as printed, its source, how good the evidence is, the tolerance and
why. Ours comes from the public laws or is read from the arrays of a full run. Claims are counted; values of libraries
and closed forms stand in tables of their own. Ends with 1 if any number is outside its tolerance.

evidence  seen: read where the source says   abstract: read in the paper's abstract   memory: remembered
          common practice: a habit of the trade, no source
"""

import csv
import math
import sys
from functools import lru_cache
from pathlib import Path

import numpy as np

import evenstroke as es

INCH, PSI, GALLON, POUND_FORCE = 0.0254, 6894.757293168, 3.785411784e-3, 4.4482216152605   # exact, or to 14 digits
P0, G = 101325.0, 9.80665
LAWS = es.laws

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

PROCEDURE = """
format_version = 1
[[step]]
kind = "cycle"
rods = "{rods}"
dwell_s = 0
"""

# The worked examples know no friction, no leaks, no valve losses and no weight of oil; their viscosity does not depend
# on pressure; their gas is one pocket at one temperature, and stays out of solution.
IDEAL = {
    "oil.expansion_per_k": 1e-4, "oil.pressure_viscosity_per_pa": 0,
    "air.coarse_share": 0, "air.dispersed_share": 0, "air.diffusivity_m2_per_s": 0, "air.release_s": 1e12,
    "air.pocket_heat": 0,
    "pump.motor_constant_v_s": 10, "pump.armature_ohm": 1e-3, "pump.idle_torque_n_m": 0, "pump.slip": 0, "pump.drag": 0,
    "pump.dry_friction": 0,
    "valve_block.path_area_m2": 1e-3, "valve_block.lowering_area_m2": 1e-3, "valve_block.relief_pa_gauge": 4e7,
    "reservoir.oil_m3": 0.5, "reservoir.area_m2": 50, "reservoir.capacity_m3": 1,   # level 10 mm: 0.012 psi
    "reservoir.intake_m": 0, "reservoir.return_m": 0,
    "branch.breakaway_pa_diff": 0, "branch.viscous_n_s_per_m": 1, "branch.leak_m3_per_s_pa": 0,
    "branch.cap_line_minor_loss": 0, "branch.rod_line_minor_loss": 0,
}


def ideal_rig(pump_m3_per_s, changes, kind="tee", branches=("single",)):
    """A rig of nothing but the example's own numbers; the motor turns at 40 rad/s whatever the pressure."""
    names = "".join(f"[branch.{name}]\n" for name in branches)
    return es.parse_rig(BASE.format(kind=kind, names=names)).replace(
        **{**IDEAL, "pump.displacement_m3_per_rad": pump_m3_per_s / 40, **changes})


def oil(mu_pa_s, rho_kg_per_m3):
    """Oil of a viscosity and density at the 40 deg C of the rig."""
    nu = mu_pa_s / rho_kg_per_m3
    return {"oil.nu_40_m2_per_s": nu, "oil.nu_100_m2_per_s": min(nu / 5, 1e-4),
            "oil.density_15_kg_per_m3": rho_kg_per_m3 * (1 + 1e-4 * 25)}


def one_stroke(rig, rods="free", contents=None, **options):
    run = es.run(rig, contents or es.Contents.bled(rig), es.parse_procedure(PROCEDURE.format(rods=rods)), max_strokes=1,
                 checks=False, stop_at_verdict=False, max_samples=100_000, **options)
    run.raise_for_status()
    return run


def extending(run, channel):
    """Positions of the first rod on its way out, and a channel at the same times."""
    x = run[next(c for c in run.channels if c.endswith(".rod_position_m"))]
    top = int(np.argmax(x)) + 1
    return x[:top], run[channel][:top]


def half_way(run, channel):
    """A channel as the first rod passes the middle of its stroke, on its way out."""
    x, values = extending(run, channel)
    return float(np.interp(x[-1] / 2, x, values))


def gas_halved():
    """The gas stands in a dry rod chamber; half a millimetre of bore and 50 m of thick oil keep it there."""
    bore, rod, stroke, clearance = 0.05, 0.02, 0.2, 1.5e-6
    rig = ideal_rig(5e-5, {**oil(0.9, 900), "branch.bore_m": bore, "branch.rod_m": rod, "branch.stroke_m": stroke,
                           "branch.rod_clearance_m3": clearance, "branch.rod_line_bore_m": 5e-4,
                           "branch.rod_line_length_m": 50})
    run = one_stroke(rig, contents=es.Contents.after_exchange(rig, dry=["single.cylinder"]), ln_pressure=0.01)
    x, p = extending(run, "single.rod_chamber_pressure_pa_abs")
    ln_room, ln_p = np.log(clearance + math.pi / 4 * (bore**2 - rod**2) * (stroke - x)), np.log(p)
    at_start = np.interp(math.log(20 * PSI + P0), ln_p, ln_room)
    return (math.exp(np.interp(-(at_start - math.log(2)), -ln_room, ln_p)) - P0) / PSI


def gas_bottle():
    def room(psi_gauge):
        return LAWS.content_volume(p_pa_abs=(psi_gauge + 14.7) * PSI, oil_m3=0, gas_j=1000)

    return 5 * room(1500) / (room(2000) - room(3000))


def oil_hot():
    k0 = LAWS.secant_modulus_pa(modulus_40_pa=DEFAULTS.get("oil.modulus_40_pa"), temperature_k=373.15)
    v = LAWS.relative_volume(p_pa_abs=P0 + 50e6, k0_pa=k0, slope=DEFAULTS.get("oil.modulus_slope"))
    return 100 * (1 - v)


def gas_stiffness():
    return LAWS.effective_modulus(void_at_p0=1 - 1e-9, p_pa_abs=80e3, n=1.4) / 1e3


def wall_and_oil():
    """Oil is added until the closure says 50 bar."""
    bore, length = 0.388, 0.9
    tube = math.pi / 4 * bore**2 * length
    wall = tube * LAWS.wall_compliance_per_pa(bore_m=bore, wall_m=0.006, wall_modulus_pa=100e9, wall_poisson=1 / 3)
    low, high = 0.0, 0.01 * tube
    for _ in range(60):
        added = (low + high) / 2
        p = LAWS.closure_pressure(available_m3=tube, oil_m3=tube + added, gas_j=0, wall_m3_per_pa=wall, k0_pa=2.6e9,
                                  slope=0)
        low, high = (added, high) if p < P0 + 50e5 else (low, added)
    return low * 1e6


def wall_growth():
    strain = 25e5 * LAWS.wall_compliance_per_pa(bore_m=0.8, wall_m=0.01, wall_modulus_pa=200e9, wall_poisson=0.25)
    return strain * math.pi / 4 * 0.8**2 * 3 * 1e6


def bubble_stuck():
    sigma, rho = 0.0728, 998.0
    return rho * G * (LAWS.critical_bore_m(sigma_n_per_m=sigma, rho_kg_per_m3=rho) / 2) ** 2 / sigma


def bubble_lead():
    flow, mu, sigma = 1e-6, 0.03, 0.03
    ratio = LAWS.slug_speed_ratio(mean_speed_m_per_s=flow, mu_pa_s=mu, sigma_n_per_m=sigma)
    return (1 - 1 / ratio) / (3 * mu * ratio * flow / sigma) ** (2 / 3)


def coupled_rig(psi_left, psi_right, **more):
    """Metering pistons, two unevenly loaded rods; 100 Pa of friction lets a rod without load come to rest."""
    bore = 0.02
    load_n = (psi_left + psi_right) * PSI * math.pi / 4 * bore**2
    return ideal_rig(1e-6, {
        "branch.bore_m": bore, "branch.breakaway_pa_diff": 100, "branch.running_share": 1,
        "branch.viscous_n_s_per_m": 100, "synchroniser.breakaway_pa_diff": 100, "synchroniser.running_share": 1,
        "synchroniser.viscous_n_s_per_m": 100, "synchroniser.leak_m3_per_s_pa": 0, "valve_block.path_area_m2": 2e-5,
        "branch.cap_line_bore_m": 0.006, "branch.cap_line_length_m": 1, "branch.rod_line_bore_m": 0.006,
        "branch.rod_line_length_m": 1,
        "panel.mass_kg": load_n / G, "panel.centre_of_mass": psi_right / (psi_left + psi_right), **more},
        kind="metering_pistons", branches=("left", "right"))


def divider_mean():
    run = one_stroke(coupled_rig(1500, 300), rods="panel")
    return (half_way(run, "synchroniser.drive_pressure_pa_abs") - P0) / PSI


def divider_blocked():
    """The left rod carries more than the pump can lift, the right one nothing."""
    rig = coupled_rig(5000, 0, **{"valve_block.relief_pa_gauge": 2000 * PSI,
                                  "valve_block.relief_gain_m3_per_s_pa": 1e-8})
    return (one_stroke(rig, rods="panel")["left.cap_chamber_pressure_pa_abs"].max() - P0) / PSI


def load_pressure():
    rig = ideal_rig(2e-4, {**oil(0.01, 870), "branch.bore_m": 2 * INCH, "branch.rod_m": INCH, "branch.stroke_m": 0.3,
                           "panel.mass_kg": 1000 * POUND_FORCE / G})
    return (half_way(one_stroke(rig, rods="panel"), "single.cap_chamber_pressure_pa_abs") - P0) / PSI


@lru_cache(None)
def full_cycle():
    bore, rod = (math.sqrt(4 / math.pi * area) * INCH for area in (12.56, 3.14))
    rig = ideal_rig(2e-4, {**oil(0.01, 870), "branch.bore_m": bore, "branch.rod_m": rod, "branch.stroke_m": 24 * INCH})
    return rig, one_stroke(rig)


def oil_per_cycle():
    """What the pump gave until both stops were reached."""
    rig, run = full_cycle()
    return run.contents.motor_on_s * LAWS.pump_flow(rig, 0.0) / INCH**3


def rod_speed():
    x, t = extending(full_cycle()[1], "single.rod_position_m")[0], full_cycle()[1].time_s
    inside = np.flatnonzero((x > 0.2 * x[-1]) & (x < 0.8 * x[-1]))
    return 1e3 * (x[inside[-1]] - x[inside[0]]) / (t[inside[-1]] - t[inside[0]])


def line_thick_oil():
    rig = ideal_rig(3e-5, {**oil(0.9, 900), "branch.bore_m": 0.05, "branch.rod_m": 0.02,
                           "branch.cap_line_bore_m": 0.01, "branch.cap_line_length_m": 6.5})
    run = one_stroke(rig)
    return (half_way(run, "valve_block.a_pressure_pa_abs") - half_way(run, "single.cap_chamber_pressure_pa_abs")) / 1e3


def line_narrow():
    return LAWS.line_drop(flow_m3_per_s=0.9 * math.pi / 4 * 0.003**2, bore_m=0.003, length_m=9, minor_loss=0,
                          rho_kg_per_m3=1000, nu_m2_per_s=1.519e-6) / 1e3


def oil_at_80():
    return 1e6 * LAWS.kinematic_viscosity(nu_40_m2_per_s=32e-6, nu_100_m2_per_s=5.4e-6, temperature_k=353.15)


def loss_per_metre(flow_l_per_min, bore_m, nu_cst):
    return LAWS.line_drop(flow_m3_per_s=flow_l_per_min / 6e4, bore_m=bore_m, length_m=1, minor_loss=0,
                          rho_kg_per_m3=870, nu_m2_per_s=nu_cst * 1e-6)


def friction_factor(re):
    return LAWS.friction_ratio(re) * 64 / re


def lag():
    def room(p):
        return LAWS.content_volume(p_pa_abs=p, oil_m3=0, gas_j=P0 * 1e-6)

    return 1e3 * (room(P0) - room(P0 + 28e5)) / LAWS.cap_area_m2(0.02)


DEFAULTS = es.parse_rig(BASE.format(kind="tee", names="[branch.left]"))
LOSSLESS = DEFAULTS.replace(**{"pump.displacement_m3_per_rad": 0.24e-6 / (2 * math.pi), "pump.supply_v": 12,
                               "pump.motor_constant_v_s": 0.032, "pump.armature_ohm": 0.12, "pump.idle_torque_n_m": 0,
                               "pump.slip": 0, "pump.drag": 0, "pump.dry_friction": 0})

OURS = {
    "gas_halved": gas_halved, "gas_bottle": gas_bottle, "oil_hot": oil_hot, "gas_stiffness": gas_stiffness,
    "wall_and_oil": wall_and_oil, "wall_growth": wall_growth, "bubble_stuck": bubble_stuck, "bubble_lead": bubble_lead,
    "divider_mean": divider_mean, "divider_blocked": divider_blocked, "load_pressure": load_pressure,
    "oil_per_cycle": oil_per_cycle, "line_thick_oil": line_thick_oil, "line_narrow": line_narrow,
    "oil_at_80": oil_at_80,
    "lib_laminar": lambda: loss_per_metre(1, 0.004, 22), "lib_turbulent": lambda: loss_per_metre(5, 0.003, 10),
    "lib_re_113": lambda: friction_factor(113.3), "lib_re_403": lambda: friction_factor(402.9),
    "lib_re_4835": lambda: friction_factor(4835.0),
    "lib_air_50_bar": lambda: LAWS.gas_density(50e5, 293.15),
    "lib_air_120_bar": lambda: LAWS.gas_density(120e5, 293.15),
    "lib_index": lambda: LAWS.viscosity_index(nu_40_m2_per_s=73.3e-6, nu_100_m2_per_s=8.86e-6),
    "law_rod_speed": rod_speed, "law_lag": lag,
    "law_wood": lambda: LAWS.wood_speed(void_fraction=0.5, gas_kg_per_m3=LAWS.gas_density(P0, 293.15),
                                        gas_modulus_pa=P0, liquid_kg_per_m3=860, liquid_modulus_pa=1.6e9),
    "law_thin_wall": lambda: 1e9 * LAWS.wall_compliance_per_pa(bore_m=0.02, wall_m=2e-6, wall_modulus_pa=206e9,
                                                               wall_poisson=0.3),
    "law_orifice": lambda: 6e4 * LAWS.orifice_flow(dp_pa_diff=100e5, area_m2=7e-6, cd=0.62, rho_kg_per_m3=870,
                                                   nu_m2_per_s=22e-6, transition_re=9.3),
    "law_no_load": lambda: LAWS.pump_speed_rad_per_s(LOSSLESS, 0.0),
    "law_stall": lambda: LAWS.pump_dead_head_pa_diff(LOSSLESS) / 1e5,
}

HEADINGS = {"claim": "Published claims (counted)", "library": "Values of general-purpose libraries (not counted)",
            "closed form": "Closed forms (not counted)"}


def records(path=None):
    """Rows of the data file as dicts; value and tolerance as numbers."""
    with open(path or Path(__file__).with_name("claims.csv"), newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    return [{**row, "value": float(row["value"]), "tolerance": float(row["tolerance"])} for row in rows]


def allowed(record):
    """Tolerance in the unit of the value."""
    return record["tolerance"] * (abs(record["value"]) if record["kind"] == "rel" else 1.0)


def agrees(record, ours):
    return abs(ours - record["value"]) <= allowed(record)   # NaN does not


def table(rows):
    """Aligned lines: a head, then one per row of texts; numbers to the right."""
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    right = {2, 4, 5, 6}
    return ["  ".join(t.rjust(w) if i in right else t.ljust(w) for i, (t, w) in enumerate(zip(row, widths))).rstrip()
            for row in rows]


def main(path=None):
    failed, found = 0, records(path)
    for name, heading in HEADINGS.items():
        rows = [("id", "what", "value", "unit", "ours", "off by", "allowed", "", "by", "evidence", "source")]
        for r in (r for r in found if r["table"] == name):
            ours = float(OURS[r["id"]]())
            good = agrees(r, ours)
            failed += not good
            rows.append((r["id"], r["what"], f"{r['value']:.10g}", r["unit"], f"{ours:.8g}",
                         f"{ours - r['value']:+.2g}", f"{allowed(r):.2g}", "ok" if good else "FAILED",
                         r["computed_by"], r["evidence"], r["source"]))
        print(f"{heading}: {len(rows) - 1}", *table(rows), "", sep="\n")
    print(f"{failed} outside the tolerance" if failed else "all inside their tolerances")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:2]))
