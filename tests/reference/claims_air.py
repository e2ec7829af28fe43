"""Ours for the claims about air, and about what gives way with it: oil, walls, heat; from runs and from public laws."""

import math
from functools import lru_cache

import numpy as np
from rigs import (DEFAULTS, G, INCH, LAWS, P0, PSI, RIGID, STIFF, cap_line, cylinder, extending, first_rod, ideal_rig, oil,
                  one_stroke, run_steps)

import evenstroke as es

# --- gas


def squeezed(pocket_heat):
    """Logarithms of room and pressure of a dry rod chamber while the rod goes out; thick oil in half a millimetre of bore
    keeps the gas there."""
    bore, rod, stroke, clearance = 0.05, 0.02, 0.2, 1.5e-6
    rig = ideal_rig(5e-5, {**oil(0.9, 900), **cylinder(bore, rod, stroke), "branch.rod_clearance_m3": clearance,
                           "branch.rod_line_bore_m": 5e-4, "branch.rod_line_length_m": 50, "air.pocket_heat": pocket_heat})
    run = one_stroke(rig, contents=es.Contents.after_exchange(rig, dry=["single.cylinder"]), ln_pressure=0.01)
    x, p = extending(run, "single.rod_chamber_pressure_pa_abs")
    return np.log(clearance + math.pi / 4 * (bore**2 - rod**2) * (stroke - x)), np.log(p)


def gas_halved():
    ln_room, ln_p = squeezed(pocket_heat=0)
    at_start = np.interp(math.log(20 * PSI + P0), ln_p, ln_room)
    return (math.exp(np.interp(math.log(2) - at_start, -ln_room, ln_p)) - P0) / PSI


def gas_hot():
    """Temperature as p V of the same gas tells it, between 2 and 6 bar; degrees F as the source counts them."""
    ln_room, ln_p = squeezed(pocket_heat=1e9)
    low, high = (np.interp(math.log(p), ln_p, ln_room) for p in (2e5, 6e5))
    return (110 + 460) * 3 * math.exp(high - low) - 460


def gas_bottle():
    def room(psi_gauge):
        return LAWS.content_volume(p_pa_abs=(psi_gauge + 14.7) * PSI, oil_m3=0, gas_j=1000)

    return 5 * room(1500) / (room(2000) - room(3000))


# --- oil and walls that give way


def oil_hot():
    k0 = LAWS.secant_modulus_pa(modulus_40_pa=DEFAULTS.get("oil.modulus_40_pa"), temperature_k=373.15)
    return 100 * (1 - LAWS.relative_volume(p_pa_abs=P0 + 50e6, k0_pa=k0, slope=DEFAULTS.get("oil.modulus_slope")))


def oil_pressed():
    """What a cylinder, pressed at its upper stop with 160 bar, gives back when it is let go, for 0.25 m3 of such oil."""
    bore, stroke, area = 0.1, 0.3, 0.005
    rig = ideal_rig(1e-5, {**oil(0.01, 870), **STIFF, **RIGID, **cylinder(bore, 0.02, stroke), "reservoir.area_m2": area,
                           "reservoir.oil_m3": 0.005, "observer.level_mark_m": 1e-6, "valve_block.relief_pa_gauge": 160e5,
                           "valve_block.relief_gain_m3_per_s_pa": 1e-9})
    run = run_steps(rig, [es.Step(kind="compare", repeat=False, dwell_s=2), es.Step(dwell_s=0)])
    room = math.pi / 4 * (bore**2 * stroke + 0.025**2 * 0.5) + rig.get("branch.single.cap_clearance_m3")
    room += rig.get("valve_block.passage_m3")
    return run.steps["level_rise_mm"][0] * area / room * 0.25


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


def wave_m_per_s(k_pa, rho, bore, wall_m, e_pa):
    """What the inertance of a line and the compliance of its oil and walls make of a stop."""
    grows = LAWS.wall_compliance_per_pa(bore_m=bore, wall_m=wall_m, wall_modulus_pa=e_pa, wall_poisson=0.25)
    return (rho * (1 / LAWS.bulk_modulus(p_pa_abs=P0, k0_pa=k_pa, slope=0) + grows)) ** -0.5


def stiffer_share(psi):
    """With 2 % of air, over that of the same oil without."""
    at = dict(p_pa_abs=psi * PSI + P0, k0_pa=300e3 * PSI, slope=0)
    return LAWS.effective_modulus(void_at_p0=0.02, n=1, **at) / LAWS.bulk_modulus(**at)


def spring_hz():
    """4 in bore, 2.5 in rod, 12 in stroke, 1000 lb at mid-stroke."""
    areas = LAWS.cap_area_m2(4 * INCH), LAWS.rod_area_m2(4 * INCH, 2.5 * INCH)
    stiff = sum(LAWS.stiffness_n_per_m(area_m2=a, oil_m3=a * 6 * INCH, bulk_modulus_pa=180e3 * PSI, air_m3=0, p_pa_abs=P0)
                for a in areas)
    return LAWS.natural_frequency_hz(stiffness_n_per_m=stiff, mass_kg=453.59237)


# --- heat: a stand that ends at 40 deg C, where an oil has the modulus given for it


def warmed(parted=()):
    """A rod so thin that oil shut in on both sides has nowhere to go."""
    rig = ideal_rig(2e-5, {**oil(0.01, 870), **RIGID, **cylinder(0.05, 0.001), **cap_line(0.005, 0.5),
                           "branch.rod_line_bore_m": 0.005, "oil.expansion_per_k": 8.28e-4,
                           "oil.temperature_k": 313.15 - 50 / 1.8, "oil.modulus_40_pa": 300e3 * PSI, "oil.modulus_slope": 0})
    ends = dict(parted=parted, line_end="capped", port="container") if parted else {}
    heat = es.Step(kind="stand", stand_s=600, temperature_deg_c=40, repeat=False, **ends)
    return rig, run_steps(rig, [heat, es.Step(dwell_s=0)]).steps[0]


def heat_let_out():
    """Out of a cylinder alone, of 100 parts."""
    rig, seen = warmed(("single.cap_port", "single.rod_port"))
    branch = "branch.single."
    room = LAWS.rod_area_m2(0.05, 0.001) * 0.3 + rig.get(branch + "cap_clearance_m3") + rig.get(branch + "rod_clearance_m3")
    return seen["out_ml"] * 1e-6 / room * 100


# --- slugs


def bubble_stuck():
    sigma, rho = 0.0728, 998.0
    return rho * G * (LAWS.critical_bore_m(sigma_n_per_m=sigma, rho_kg_per_m3=rho) / 2) ** 2 / sigma


def bubble_lead():
    flow, mu, sigma = 1e-6, 0.03, 0.03
    ratio = LAWS.slug_speed_ratio(mean_speed_m_per_s=flow, mu_pa_s=mu, sigma_n_per_m=sigma)
    return (1 - 1 / ratio) / (3 * mu * ratio * flow / sigma) ** (2 / 3)


def film_thickness():
    ca = 1e-9
    return (1 - math.sqrt(1 - LAWS.slug_film_share(ca))) / ca ** (2 / 3)


def film_left():
    """Share of the bore that a slug leaves coated, from the oil it takes to bring its nose through the line. The pump is chosen
    for a capillary number of 2 where the share is as published; a hundredth more or less would move that number by 2 %."""
    bore, length, gas, sigma, mu = 0.01, 1.0, 2e-6, 0.009, 0.3
    speed = 2 * sigma / mu
    rig = ideal_rig(speed * (1 - 0.56) * math.pi / 4 * bore**2, {
        **oil(mu, 900), **cylinder(0.05, 0.005, 0.2), **cap_line(bore, length), "branch.cap_clearance_m3": 1e-8,
        "air.joint_m3": gas, "air.slug_slip": 1, "air.surface_tension_n_per_m": sigma})
    opened = es.Contents.after_exchange(rig, opened=["single.cap_line"], rods="out")
    run = one_stroke(rig, contents=opened, quantum_share=5e-4)
    x = first_rod(run)
    there = int(np.argmax(run["valve_block.a_free_air_m3"] > 1e-8))
    pushed = math.pi / 4 * 0.05**2 * (x[0] - x[there])
    return 1 - pushed / (math.pi / 4 * bore**2 * length - gas)


def slug_in_olive_oil():
    """Reynolds number of a slug that rises through a line of 3 m while the rig stands; Eotvos number 100, Morton 0.015."""
    sigma, rho = 0.03, 900.0
    bore, mu = math.sqrt(100 * sigma / (rho * G)), (0.015 * rho * sigma**3 / G) ** 0.25
    rig = ideal_rig(1e-7, {**oil(mu, rho), **STIFF, **cylinder(0.01, 0.005, 0.01), **cap_line(bore, 3), "branch.height_m": -3,
                           "air.slug_rise": 1, "air.surface_tension_n_per_m": sigma, "air.joint_m3": 1e-5})

    def after(stand_s):
        """Clock, and way from the valve block down to the slug, after a stand and the smallest stroke there is."""
        c = run_steps(rig, [es.Step(kind="stand", stand_s=stand_s, repeat=False), es.Step(dwell_s=0, travel=0.05)],
                      es.Contents.after_exchange(rig, opened=["single.cap_line"])).contents
        parcels = c.parcels("single.cap_line")
        above_kg = sum(p["oil_kg"] for p in parcels[:[p["slug"] for p in parcels].index(True)])
        return c.time_s, above_kg / rho / (math.pi / 4 * bore**2)
    (t1, z1), (t2, z2) = after(2), after(10)
    return rho * bore / mu * (z1 - z2) / (t2 - t1)


def viana(eotvos, inverse_viscosity):
    """Speed of the law and sqrt(g D) of a line with these numbers."""
    sigma, rho = 0.03, 860.0
    bore = math.sqrt(eotvos * sigma / (rho * G))
    mu = rho * math.sqrt(G * bore**3) / inverse_viscosity
    return LAWS.slug_rise_viana(bore_m=bore, mu_pa_s=mu, rho_kg_per_m3=rho, sigma_n_per_m=sigma) / math.sqrt(G * bore)


# --- purge and solution


@lru_cache(None)
def washed():
    """Bubbles of no size, laid at the inlet over the whole section: share left after so many line volumes of one return."""
    volumes, length, bore = 30, 2.0, 0.004
    rig = ideal_rig(5e-6, {**oil(0.03, 870), **cylinder(0.05, 0.02, volumes * length * bore**2 / 0.05**2),
                           **cap_line(bore, length), "branch.cap_clearance_m3": 1e-8, "air.dispersed_share": 1,
                           "air.fine_m": 1e-7, "air.joint_m3": 1e-8})
    opened = es.Contents.after_exchange(rig, opened=["single.cap_line"], rods="out")
    run = one_stroke(rig, contents=opened, streamtubes=512)
    x, left = first_rod(run), run["single.cap_line_free_air_m3"]
    return volumes * (1 - x / x[0]), left / left[0]


def purge_98():
    """Of the example's pipe: volume at which 2 % of what stood at the inlet is still on its way."""
    volumes, left = washed()
    first = int(np.argmax(left < 0.02))
    return np.interp(-0.02, -left[first - 1:first + 1], volumes[first - 1:first + 1]) * math.pi / 4 * 0.05**2 * 12


def purge_one():
    """Share of the new in the outflow after one line volume: what comes through later than that flows by as much
    slower. What is left after 30 volumes is left out, 3e-4 of the flow."""
    theta = np.linspace(1, 30, 600)
    left = np.interp(theta, *washed())
    return 1 - float(np.sum(-np.diff(left) * 2 / (theta[1:] + theta[:-1])))


def dissolved_under_pressure():
    at = [LAWS.dissolved_at_kg_per_m3(bunsen=0.02, p_pa_abs=P0 + psi * PSI) for psi in (0, 60)]
    return 0.0177 * at[1] / at[0]


OURS = {
    "gas_halved": gas_halved, "gas_hot": gas_hot, "gas_bottle": gas_bottle,
    "gas_stiffness": lambda: LAWS.effective_modulus(void_at_p0=1 - 1e-9, p_pa_abs=80e3, n=1.4) / 1e3,
    "oil_hot": oil_hot, "oil_pressed": oil_pressed, "wall_and_oil": wall_and_oil, "wall_growth": wall_growth,
    "wave_in_steel": lambda: wave_m_per_s(2.06e9, 1000, 0.6, 0.018, 200e9),
    "wave_in_oil": lambda: wave_m_per_s(1.43e9, 798.4, 2.5, 0.02, 207e9),
    "stiff_2000_psi": lambda: stiffer_share(2000), "spring_hz": spring_hz,
    "heat_shut_in": lambda: warmed()[1]["highest_bar_gauge"] * 1e5 / PSI, "heat_let_out": heat_let_out,
    "bubble_stuck": bubble_stuck,
    "stuck_in_water": lambda: 1e3 * LAWS.critical_bore_m(sigma_n_per_m=0.0728, rho_kg_per_m3=998),
    "bubble_lead": bubble_lead, "film_thickness": film_thickness, "film_left": film_left,
    "slug_in_olive_oil": slug_in_olive_oil, "slug_viscous": lambda: viana(40, 5),
    "slug_very_viscous": lambda: viana(1e4, 1),
    "held_by_surface": lambda: 100 * LAWS.capillary_pa_diff(bore_m=6e-4, sigma_n_per_m=0.073) / (1000 * G),
    "purge_98": purge_98, "purge_one": purge_one,
    "dissolved_at_60_psi": dissolved_under_pressure,
}
