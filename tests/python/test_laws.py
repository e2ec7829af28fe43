"""The laws as Python sees them: they broadcast, and agree with formulas and published numbers written down here."""

import numpy as np
import pytest

import evenstroke as es
from evenstroke import laws

ATMOSPHERE = 101325.0


def test_scalars_give_a_number_and_arrays_broadcast():
    one = laws.rod_area_m2(bore_m=0.020, rod_m=0.012)
    assert isinstance(one, float)
    table = laws.rod_area_m2(bore_m=np.array([[0.020], [0.025]]), rod_m=np.array([0.010, 0.012, 0.014]))
    assert table.shape == (2, 3) and table[0, 1] == one
    np.testing.assert_allclose(one, np.pi / 4 * (0.020**2 - 0.012**2), rtol=1e-14)


def test_bretherton_critical_bore():
    """Bond number 0.842 on the radius: Bretherton, J. Fluid Mech. 10 (1961) 166."""
    sigma, rho = 0.0728, 998.2
    radius = laws.critical_bore_m(sigma_n_per_m=sigma, rho_kg_per_m3=rho) / 2
    assert rho * 9.80665 * radius**2 / sigma == pytest.approx(0.842, rel=2e-3)


def test_hagen_poiseuille_and_its_inverse():
    law = dict(bore_m=0.004, length_m=2.0, minor_loss=0.0, rho_kg_per_m3=860.0, nu_m2_per_s=46e-6)
    flow = np.array([-2e-6, 1e-7, 5e-6])
    drop = laws.line_drop(flow_m3_per_s=flow, **law)
    np.testing.assert_allclose(drop, 128 * 46e-6 * 860 * 2.0 * flow / (np.pi * 0.004**4), rtol=1e-9)
    np.testing.assert_allclose(laws.line_flow(dp_pa_diff=drop, **law), flow, rtol=1e-9)


def test_smooth_pipe_friction_at_re_1e5():
    """Moody's chart, smooth line: f = 0.0180 at Re = 1e5 (Prandtl's law gives 0.01799)."""
    assert laws.friction_ratio(1e5) * 64 / 1e5 == pytest.approx(0.0180, rel=0.02)


def test_sharp_orifice_far_from_laminar():
    """q = Cd A sqrt(2 dp/rho)."""
    q = laws.orifice_flow(
        dp_pa_diff=1e7, area_m2=1e-6, cd=0.62, rho_kg_per_m3=860, nu_m2_per_s=20e-6, transition_re=1e-6
    )
    assert q == pytest.approx(0.62e-6 * np.sqrt(2e7 / 860), rel=1e-6)


def test_free_air_is_boyles_and_isothermal():
    volume, pressure = 1e-6, 29 * ATMOSPHERE
    mass = laws.free_air_kg(volume)
    assert laws.free_air_m3(mass) == pytest.approx(volume, rel=1e-15)
    assert laws.gas_volume_m3(mass, pressure, 293.15) == pytest.approx(volume / 29, rel=1e-12)
    assert mass == pytest.approx(1.2041e-6, rel=2e-4)  # dry air at 20 deg C: 1.2041 kg/m3 (ISA tables)


def test_closure_is_the_inverse_of_the_content():
    oil, gas = 60e-6, laws.gas_energy_j(laws.free_air_kg(2e-6), 293.15)
    pressure = np.array([1.2e5, 5e5, 28e5, 150e5])
    room = laws.content_volume(p_pa_abs=pressure, oil_m3=oil, gas_j=gas)
    again = laws.closure_pressure(available_m3=room, oil_m3=oil, gas_j=gas)
    np.testing.assert_allclose(again, pressure, rtol=1e-9)


def test_the_effective_modulus_uses_the_void_fraction_at_pressure():
    """1/K = a(p)/p + (1 - a(p))/K_oil with a(p) from Boyle; the void at atmosphere would be far off."""
    void, p = 0.01, 100e5
    oil = laws.bulk_modulus(p_pa_abs=p)
    shrunk = laws.relative_volume(p_pa_abs=p)
    at_p = void * ATMOSPHERE / p / (void * ATMOSPHERE / p + (1 - void) * shrunk)
    assert laws.void_fraction(void_at_p0=void, p_pa_abs=p) == pytest.approx(at_p, rel=1e-12)
    modulus = laws.effective_modulus(void_at_p0=void, p_pa_abs=p)
    assert modulus == pytest.approx(1 / (at_p / p + (1 - at_p) / oil), rel=1e-12)
    assert modulus > 2 / (void / p + (1 - void) / oil)


def test_viscosity_index_of_the_standards_example():
    """ASTM D2270, worked example of procedure A: 73.30 and 8.86 mm2/s give 92 (from memory)."""
    assert laws.viscosity_index(nu_40_m2_per_s=73.30e-6, nu_100_m2_per_s=8.86e-6) == pytest.approx(92, abs=0.5)


def test_pump_of_a_rig(rig):
    dead = laws.pump_dead_head_pa_diff(rig)
    flow = laws.pump_flow(rig, np.array([0, 0.25 * dead, 0.5 * dead]))
    assert flow[0] > 0 and np.diff(flow).std() < 1e-6 * flow[0]  # a straight line
    assert laws.pump_flow(rig, 1.2 * dead) == 0
    current = laws.motor_current_a(rig, np.array([0, dead]))
    stalled = rig.get("pump.supply_v") / rig.get("pump.armature_ohm")
    assert 0 < current[0] < current[1] <= stalled * (1 + 1e-9)
    assert laws.pump_speed_rad_per_s(rig, 0.0) > laws.pump_speed_rad_per_s(rig, 0.5 * dead) > 0
    assert sum(laws.panel_load_n(rig, 0.0)) == pytest.approx(rig.get("panel.mass_kg") * 9.80665, rel=1e-12)


def test_outside_the_range_is_an_error():
    with pytest.raises(es.InputError):
        laws.kinematic_viscosity(nu_40_m2_per_s=46e-6, nu_100_m2_per_s=6.8e-6, temperature_k=600.0)
    with pytest.raises(es.InputError):
        laws.oil_by_grade(iso_vg=47)
    with pytest.raises(TypeError):
        laws.rod_area_m2(bore=0.02, rod=0.012)


def test_bubbles_shrink_by_boyle_and_rise_by_stokes():
    assert laws.bubble_diameter_m(d0_m=1e-3, p_pa_abs=8 * ATMOSPHERE) == pytest.approx(0.5e-3, rel=1e-12)
    d, mu, rho = np.array([1e-5, 2e-5, 5e-5]), 0.02, 860.0
    rise = laws.bubble_rise_m_per_s(d_m=d, mu_pa_s=mu, rho_kg_per_m3=rho)
    np.testing.assert_allclose(rise, rho * 9.80665 * d**2 / (18 * mu), rtol=2e-3)  # Re below 1e-3


def test_slugs_hold_in_narrow_lines_and_rise_in_wide_ones():
    oil = dict(mu_pa_s=0.02, rho_kg_per_m3=860.0, sigma_n_per_m=0.03)
    critical = laws.critical_bore_m(sigma_n_per_m=0.03, rho_kg_per_m3=860.0)
    bore = critical * np.array([0.9, 1.5, 2.0])
    rise = laws.slug_rise_m_per_s(bore_m=bore, **oil)
    assert rise[0] == 0 and 0 < rise[1] < rise[2]
    assert laws.slug_rise_inclined_m_per_s(bore_m=bore[2], sin_incline=-0.5, **oil) == pytest.approx(rise[2] / 2)
    assert laws.open_end_exchange_m_per_s(bore_m=bore[2], sin_down=1.0, **oil) == pytest.approx(rise[2])
    assert laws.open_end_exchange_m_per_s(bore_m=bore[2], sin_down=-0.1, **oil) == 0
    with pytest.raises(es.InputError, match="sin_down"):
        laws.open_end_exchange_m_per_s(bore_m=bore[2], sin_down=1.1, **oil)


def test_henrys_law_both_ways():
    """Half a millilitre of free air in 100 ml: dissolved where the oil can take all of it on top of its own."""
    bunsen, t, void = 0.09, 293.15, 0.005
    p = laws.henry_pressure_pa_abs(void_at_p0=void, bunsen=bunsen, temperature_k=t)
    room = laws.dissolved_at_kg_per_m3(bunsen=bunsen, p_pa_abs=p - ATMOSPHERE)
    assert room == pytest.approx(void / (1 - void) * ATMOSPHERE / (287.05 * t), rel=1e-3)
    low = 0.7 * ATMOSPHERE
    given_off = laws.release_at_equilibrium(bunsen=bunsen, temperature_k=t, p_pa_abs=low)
    assert given_off == pytest.approx(laws.ostwald(bunsen=bunsen, temperature_k=t) * 0.3 / 0.7, rel=1e-12)


def test_a_bubble_dies_in_the_time_its_rate_says():
    """d(R^2)/dt is constant: by trapezes over the radius, dt = dR/(rate R/3)."""
    d0, p, diffusivity, ostwald, f = 2e-4, 10 * ATMOSPHERE, 3e-10, 0.097, 0.2
    radius = laws.bubble_diameter_m(d0_m=d0, p_pa_abs=p) / 2 * np.linspace(1e-3, 1, 20001)
    rate = laws.solution_rate_per_s(d_m=2 * radius, diffusivity_m2_per_s=diffusivity, ostwald=ostwald, saturation=f)
    slope = 3 / (rate * radius)
    life = np.sum((slope[1:] + slope[:-1]) / 2 * np.diff(radius))
    told = laws.bubble_life_s(
        d0_m=d0, p_pa_abs=p, diffusivity_m2_per_s=diffusivity, ostwald=ostwald, saturation_pa_abs=f * p
    )
    assert told == pytest.approx(life, rel=1e-4)


def test_a_pocket_is_adiabatic_when_quick_and_isothermal_when_slow():
    change = dict(t_k=293.15, wall_k=293.15, p_from_pa_abs=1e5, p_to_pa_abs=10e5, thermal_time_s=1.0)
    hot = laws.pocket_temperature_k(duration_s=1e-9, **change)
    assert hot == pytest.approx(293.15 * 10 ** (0.4 / 1.4), rel=1e-6)
    assert laws.pocket_temperature_k(duration_s=1e5, **change) == pytest.approx(293.15, rel=1e-4)
    index = laws.apparent_index(p1_pa_abs=1e5, v1_m3=1e-6, p2_pa_abs=10e5, v2_m3=1e-7 * hot / 293.15)
    assert index == pytest.approx(1.4, rel=1e-5)
    assert laws.choke_ratio(1.0) == pytest.approx(np.exp(-0.5), rel=1e-9) and laws.choke_ratio(0.0) == 0


def test_streamtubes_add_up_to_the_laminar_line():
    """Levenspiel 1999: 1/(4 theta) of a laminar line's content is left after theta volumes; many tubes come near."""
    tubes = laws.streamtubes(200)
    edge, share = tubes["edge"], tubes["share"]
    assert share.sum() == pytest.approx(1, rel=1e-12) and len(edge) == 201 and (edge[0], edge[-1]) == (0, 1)
    speed = laws.tube_speed_ratio(w_low=edge[:-1], w_high=edge[1:], d_over_bore=0.0)
    assert np.sum(speed * share) == pytest.approx(1, rel=1e-12)
    theta = np.array([1.0, 5.0, 25.0])
    left = [np.sum(share * np.maximum(0, 1 - speed * t)) for t in theta]
    np.testing.assert_allclose(left, laws.laminar_inventory(theta), rtol=5e-3)
    np.testing.assert_allclose(laws.laminar_inventory(theta), 1 / (4 * theta), rtol=1e-12)
    steps = laws.laminar_inventory(theta - 1e-6) - laws.laminar_inventory(theta + 1e-6)
    np.testing.assert_allclose(steps / 2e-6, laws.laminar_outlet(theta), rtol=1e-6)
    assert laws.tanks_outlet(n=1, theta=2.0) == pytest.approx(np.exp(-2), rel=1e-12)
    assert laws.clear_volumes(1e-3) == pytest.approx(1 / laws.creamed_speed_ratio(d_m=1e-6, bore_m=1e-3), rel=1e-12)
    for bad in (2.5, 0, np.nan):
        with pytest.raises(es.InputError, match="n = "):
            laws.tanks_inventory(n=bad, theta=1.0)


def test_vessels_by_their_formulas():
    """Hazen: what rises through the whole area in the time the flow takes is removed."""
    flow = np.array([0.5e-6, 1e-6, 4e-6])
    np.testing.assert_allclose(
        laws.flow_through_removal(rise_m_per_s=1e-4, area_m2=0.01, flow_m3_per_s=flow), [1, 1, 0.25]
    )
    assert laws.still_share(rise_m_per_s=1e-3, depth_m=0.1, time_s=25.0) == pytest.approx(0.75)
    pulled = laws.pull_through_m(coefficient=0.69, flow_m3_per_s=3e-5)
    assert pulled**5 == pytest.approx(0.69**5 * 9e-10 / 9.80665, rel=1e-9)
    drawn = laws.plunge_entrainment(jet_m_per_s=np.array([0.5, 2.0]), onset_m_per_s=1.0, coefficient=0.1)
    np.testing.assert_allclose(drawn, [0, 0.05])


def test_closed_forms_by_hand():
    """Boyle: a millilitre of air at ten atmospheres gives 0.9 ml way; on 3 cm2 that is 3 mm."""
    p = 10 * ATMOSPHERE
    assert laws.air_offset_m(air_m3=1e-6, area_m2=3e-4, p_pa_abs=p) == pytest.approx(0.003, rel=1e-12)
    slow = laws.pressurise_time_s(
        air_m3=1e-6, oil_m3=100e-6, bulk_modulus_pa=1.5e9, p_pa_abs=p, flow_m3_per_s=1e-6
    )
    assert slow == pytest.approx(0.9 + 100 * 9 * ATMOSPHERE / 1.5e9, rel=1e-12)
    stiff = laws.stiffness_n_per_m(area_m2=3e-4, oil_m3=100e-6, bulk_modulus_pa=1.5e9, air_m3=0.0, p_pa_abs=p)
    assert stiff == pytest.approx(9e-8 * 1.5e9 / 100e-6, rel=1e-12)
    assert laws.natural_frequency_hz(stiffness_n_per_m=stiff, mass_kg=40.0) == pytest.approx(
        np.sqrt(stiff / 40) / (2 * np.pi), rel=1e-12
    )
    assert laws.locked_pressure_pa_gauge(load_n=1000.0, rod_area_m2=1e-4) == pytest.approx(1e7)
    assert laws.closed_circuit_survival(1.5) == pytest.approx(1 / 1.5)
    mixed = laws.closed_circuit_survival_mixed(area_ratio=1.5, cap_share=np.array([1.0, 0.5]), rod_share=1.0)
    assert mixed[0] == pytest.approx(1 / 1.5) and mixed[0] < mixed[1] < 1
    breaks = laws.breakup_diameter_m(shear_per_s=np.array([1e4, 2e4]), mu_pa_s=0.02, sigma_n_per_m=0.03)
    assert breaks[0] == pytest.approx(2 * breaks[1], rel=1e-12)
    assert laws.draining_bore_m(sigma_n_per_m=0.03, rho_kg_per_m3=860.0) == pytest.approx(
        2 * 1.841 * np.sqrt(0.03 / (860 * 9.80665)), rel=1e-12
    )
    assert laws.thermal_time_s(radius_m=2e-3, p_pa_abs=ATMOSPHERE) == pytest.approx(4e-6 / (5.8 * 2.1e-5), rel=1e-9)
