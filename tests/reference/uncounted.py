"""Ours for what is not counted: values of libraries, closed forms, published numbers not reached, rules of practice."""

import numpy as np
from claims_air import stiffer_share
from claims_flow import by_law, rod_speed
from rigs import LAWS, P0, PSI, ideal_rig, run_steps

import evenstroke as es

LOSSLESS = ideal_rig(1e-6, {"pump.displacement_m3_per_rad": 0.24e-6 / (2 * np.pi), "pump.supply_v": 12,
                            "pump.motor_constant_v_s": 0.032, "pump.armature_ohm": 0.12})
SHOP = """
format_version = 1
name = "one cylinder, everything else by default"
oil.grade = "ISO VG 32"
oil.temperature_deg_c = 40
pump.displacement_cm3_per_rev = 0.24
pump.supply_v = 12
synchroniser.kind = "tee"
panel.mass_kg = 0
[branch]
bore_mm = 25
rod_mm = 14
stroke_mm = 150
cap_line_bore_mm = {bore_mm}
cap_line_length_m = {length_m}
[branch.lift]
"""


def loss_per_metre(flow_l_per_min, bore_m, nu_cst):
    return by_law(flow_l_per_min / 6e4, bore_m, 1, 870, 870 * nu_cst * 1e-6)


def friction_factor(re):
    return LAWS.friction_ratio(re) * 64 / re


def rise_m_per_s(d_m):
    return LAWS.bubble_rise_m_per_s(d_m=d_m, mu_pa_s=0.02752, rho_kg_per_m3=860)


def lag():
    at_rest, loaded = (LAWS.content_volume(p_pa_abs=p, oil_m3=0, gas_j=P0 * 1e-6) for p in (P0, P0 + 28e5))
    return 1e3 * (at_rest - loaded) / LAWS.cap_area_m2(0.02)


def henry_bends():
    low, high = (LAWS.dissolved_at_kg_per_m3(bunsen=0.02, p_pa_abs=bar * 1e5) for bar in (1, 100))
    return high / low / 100


def cycles_to_a_hundredth():
    """Slow strokes until a hundredth is left of what the dry cap line held."""
    rig = es.parse_rig(SHOP.format(bore_mm=4, length_m=2))
    strokes = run_steps(rig, [es.Step(dwell_s=10, extend_v=6, retract_v=6)],
                        es.Contents.after_exchange(rig, dry=["lift.cap_line"]), max_strokes=12, record=False).strokes
    left = sum(strokes[f"{form}_ml"] for form in ("pocket", "coarse", "fine"))
    return int(np.argmax(left < 0.01 * left[0]))


def hoses_joined_s():
    """Seconds of flushing until a hundredth is left of what two dry lines of 3 m held."""
    rig = es.parse_rig(SHOP.format(bore_mm=6, length_m=3)).replace(**{
        "reservoir.oil_m3": 5e-3, "reservoir.capacity_m3": 1e-2, "reservoir.area_m2": 0.05})
    dry = es.Contents.after_exchange(rig, dry=["lift.cap_line", "lift.rod_line"])

    def left(seconds):
        flush = es.Step(kind="flush", parted=["lift.cap_port", "lift.rod_port"], line_end="joined", motor_s=seconds,
                        dwell_s=0, bursts=1, repeat=False)
        return run_steps(rig, [flush, es.Step(dwell_s=0, travel=0.05)], dry, record=False).steps["free_air_ml"][0]
    return next((s for s in range(1, 600) if left(s) < 0.01 * dry.free_air_m3 * 1e6), 600)


OURS = {
    "lib_laminar": lambda: loss_per_metre(1, 0.004, 22), "lib_turbulent": lambda: loss_per_metre(5, 0.003, 10),
    "lib_re_113": lambda: friction_factor(113.3), "lib_re_403": lambda: friction_factor(402.9),
    "lib_air_50_bar": lambda: LAWS.gas_density(50e5, 293.15),
    "lib_air_120_bar": lambda: LAWS.gas_density(120e5, 293.15),
    "lib_index": lambda: LAWS.viscosity_index(nu_40_m2_per_s=73.3e-6, nu_100_m2_per_s=8.86e-6),
    "lib_rise_1_mm": lambda: 1e3 * rise_m_per_s(1e-3), "lib_rise_2_mm": lambda: 1e3 * rise_m_per_s(2e-3),
    "law_rod_speed": rod_speed, "law_lag": lag,
    "law_wood": lambda: LAWS.wood_speed(void_fraction=0.5, gas_kg_per_m3=LAWS.gas_density(P0, 293.15),
                                        gas_modulus_pa=P0, liquid_kg_per_m3=860, liquid_modulus_pa=1.6e9),
    "law_thin_wall": lambda: 1e9 * LAWS.wall_compliance_per_pa(bore_m=0.02, wall_m=2e-6, wall_modulus_pa=206e9,
                                                               wall_poisson=0.3),
    "law_orifice": lambda: 6e4 * LAWS.orifice_flow(dp_pa_diff=100e5, area_m2=7e-6, cd=0.62, rho_kg_per_m3=870,
                                                   nu_m2_per_s=22e-6, transition_re=9.3),
    "law_no_load": lambda: LAWS.pump_speed_rad_per_s(LOSSLESS, 0.0),
    "law_stall": lambda: LAWS.pump_dead_head_pa_diff(LOSSLESS) / 1e5,
    "not_stiff_500_psi": lambda: stiffer_share(500), "not_henry_100_bar": henry_bends,
    "practice_cycles": cycles_to_a_hundredth, "practice_hoses": hoses_joined_s,
    "practice_wait": lambda: 0.025 / rise_m_per_s(1e-3), "practice_dwell": lambda: 0.1 / rise_m_per_s(0.12e-3),
    "practice_squeeze": lambda: 100 * (1 - LAWS.relative_volume(p_pa_abs=P0 + 1000 * PSI)),
}
