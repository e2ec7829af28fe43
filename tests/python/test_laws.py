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
    assert sum(laws.panel_load_n(rig)) == pytest.approx(rig.get("panel.mass_kg") * 9.80665, rel=1e-12)


def test_outside_the_range_is_an_error():
    with pytest.raises(es.InputError):
        laws.kinematic_viscosity(nu_40_m2_per_s=46e-6, nu_100_m2_per_s=6.8e-6, temperature_k=600.0)
    with pytest.raises(es.InputError):
        laws.oil_by_grade(iso_vg=47)
    with pytest.raises(TypeError):
        laws.rod_area_m2(bore=0.02, rod=0.012)
