"""Rig and procedure of the second model: reads the same TOML as the library; defaults as the library's field table
gives them (`rig.fields()`), written down here so that the second model runs without the library."""

import math
import tomllib

T0_K = 273.15
DEFAULTS = {
    "oil": dict(density_15_kg_per_m3=870.0, expansion_per_k=7e-4, modulus_40_pa=1.687e9, modulus_slope=5.3,
                temperature_k=293.15),
    "pump": dict(motor_constant_v_s=0.032, armature_ohm=0.12, idle_torque_n_m=0.03, slip=1e-7, drag=1e5,
                 dry_friction=0.05, supply_v=12.0),
    "valve_block": dict(path_area_m2=7e-6, lowering_area_m2=7e-6, transition_re=1000.0, relief_pa_gauge=90e5,
                        relief_gain_m3_per_s_pa=2e-11, passage_m3=2e-6),
    "reservoir": dict(oil_m3=6e-4, area_m2=8e-3, intake_m=0.02, capacity_m3=1e-3),
    "synchroniser": dict(over_travel=0.02, clearance_m3=2e-6, outlet_m3=1e-6, breakaway_pa_diff=1.5e5,
                         running_share=0.65, viscous_n_s_per_m=800.0, leak_m3_per_s_pa=1e-16, bypass_area_m2=5e-6,
                         section_slip=1e-7, shaft_torque_n_m=0.02, shaft_breakaway=1.3, shaft_drag_n_m_s=2e-5,
                         outlet_relief_pa_gauge=0.0),
    "panel": dict(mass_kg=0.0, centre_of_mass=0.5, spacing_m=1.0, torsion_n_m_per_rad=0.0),
    "air": dict(joint_m3=5e-7, dispersed_share=0.1, coarse_share=0.2, coarse_m=1e-3, fine_m=0.12e-3, shredding=1.0,
                slug_slip=0.7, slug_ratio=0.0, surface_tension_n_per_m=0.03),
    "branch": dict(cap_clearance_m3=1.5e-6, rod_clearance_m3=1.5e-6, cap_port_m=0.0, rod_port_m=0.0,
                   breakaway_pa_diff=2e5, running_share=0.65, viscous_n_s_per_m=400.0, leak_m3_per_s_pa=1e-16,
                   cap_line_wall_m=1e-3, cap_line_wall_modulus_pa=2.06e11, cap_line_wall_poisson=0.3,
                   cap_line_minor_loss=2.0, attitude="rod_down", dividing_error=0.0),
}
UNITS = {"_mm": ("_m", 1e-3), "_ml": ("_m3", 1e-6), "_l": ("_m3", 1e-3), "_mm2": ("_m2", 1e-6),
         "_cst": ("_m2_per_s", 1e-6), "_bar_gauge": ("_pa_gauge", 1e5), "_bar_diff": ("_pa_diff", 1e5),
         "_gpa": ("_pa", 1e9), "_cm3_per_rev": ("_m3_per_rad", 1e-6 / (2.0 * math.pi))}
# nu at 100 deg C of oils with viscosity index 100, from ASTM D2270 [mm2/s]
VG = {10: 2.659, 15: 3.410, 22: 4.2936515, 32: 5.362, 46: 6.760}


def to_si(table):
    out = {}
    for key, value in table.items():
        if isinstance(value, (int, float)) and not isinstance(value, bool):
            if key.endswith("_deg_c"):
                key, value = key[: -len("_deg_c")] + "_k", value + T0_K
            else:
                for unit in sorted(UNITS, key=len, reverse=True):
                    if key.endswith(unit):
                        key, value = key[: -len(unit)] + UNITS[unit][0], value * UNITS[unit][1]
                        break
        out[key] = value
    return out


def walther_nu(nu_40, nu_100, temperature_k):
    """ASTM D341 with Z = nu + 0.7 [m2/s in and out]."""
    def w(nu):
        return math.log10(math.log10(nu * 1e6 + 0.7))
    x40, x100, x = (math.log10(t) for t in (T0_K + 40.0, T0_K + 100.0, temperature_k))
    b = (w(nu_40) - w(nu_100)) / (x100 - x40)
    return (10.0 ** 10.0 ** (w(nu_40) - b * (x - x40)) - 0.7) * 1e-6


def wall_compliance(bore, wall, modulus, poisson):
    """Growth of volume per volume and pressure: thick wall, closed free ends (Lame)."""
    ri, ro = 0.5 * bore, 0.5 * bore + wall
    return (2.0 * (1.0 + poisson) * ro**2 + 3.0 * (1.0 - 2.0 * poisson) * ri**2) / (modulus * (ro**2 - ri**2))


class Rig:
    def __init__(self, text):
        raw = tomllib.loads(text)
        for name in ("oil", "pump", "valve_block", "reservoir", "synchroniser", "panel", "air"):
            table = dict(DEFAULTS[name])
            table.update(to_si(raw.get(name, {})))
            setattr(self, name, table)
        common = {k: v for k, v in raw["branch"].items() if not isinstance(v, dict)}
        own = {k: v for k, v in raw["branch"].items() if isinstance(v, dict)}
        if not set(own) - {"left", "right"}:
            own = {"left": own.get("left", {}), "right": own.get("right", {})}
        self.names, self.branches = list(own), []
        for name in own:
            b = dict(DEFAULTS["branch"])
            b.update(to_si({**common, **own[name]}))
            for key in ("bore_m", "length_m", "wall_m", "wall_modulus_pa", "wall_poisson", "minor_loss"):
                b.setdefault("rod_line_" + key, b["cap_line_" + key])
            b["cap_m2"] = 0.25 * math.pi * b["bore_m"] ** 2
            b["ring_m2"] = b["cap_m2"] - 0.25 * math.pi * b["rod_m"] ** 2
            self.branches.append(b)
        o = self.oil
        if "grade" in o:
            vg = int(o["grade"].split()[-1])
            o["nu_40_m2_per_s"], o["nu_100_m2_per_s"] = vg * 1e-6, VG[vg] * 1e-6
        t = o["temperature_k"]
        o["nu"] = walther_nu(o["nu_40_m2_per_s"], o["nu_100_m2_per_s"], t)
        o["rho"] = o["density_15_kg_per_m3"] / (1.0 + o["expansion_per_k"] * (t - T0_K - 15.0))
        o["k0"] = o["modulus_40_pa"] * 10.0 ** (-0.0024 * (t - T0_K - 40.0))
        o["mu"] = o["nu"] * o["rho"]
        kind = self.synchroniser["kind"]
        if kind not in ("tee", "metering_pistons", "rotary_divider"):
            raise ValueError(f"the second model knows no {kind}")
        self.metering, self.rotary = kind == "metering_pistons", kind == "rotary_divider"
        self.divided = self.metering or self.rotary    # has an outlet passage per branch, with a bypass valve

    def panel_loads(self):
        """Statically determinate for two rods; more: not covered."""
        m, c = self.panel["mass_kg"] * 9.80665, self.panel["centre_of_mass"]
        return [m * (1.0 - c), m * c] if len(self.branches) == 2 else [m / len(self.branches)] * len(self.branches)

    def pump_line(self):
        """Delivery a - b dp of gear pump and permanent-magnet motor, dp >= 0 [m3/s, m3/(s Pa)].

        U = R I + k w, k I - T0 = D dp (1 + Cf) + Cv D mu w, Q = D w - Cs D dp / mu (Wilson).
        """
        p = self.pump
        k, r, d, mu = p["motor_constant_v_s"], p["armature_ohm"], p["displacement_m3_per_rad"], self.oil["mu"]
        den = k + r * p["drag"] * d * mu / k
        w0 = (p["supply_v"] - r / k * p["idle_torque_n_m"]) / den
        dw = r / k * d * (1.0 + p["dry_friction"]) / den
        return d * w0, d * dw + p["slip"] * d / mu


def procedure(text):
    raw = tomllib.loads(text)
    steps = [dict(dict(bypass="closed", dwell_s=10.0, rods="free", repeat=False), **s) for s in raw["step"]]
    return raw.get("max_strokes", 60), steps
