#include <cmath>

#include "evenstroke/air/bubble.hpp"
#include "evenstroke/air/choking.hpp"
#include "evenstroke/air/closed_forms.hpp"
#include "evenstroke/air/closure.hpp"
#include "evenstroke/air/modulus.hpp"
#include "evenstroke/air/pocket_heat.hpp"
#include "evenstroke/air/sedimentation.hpp"
#include "evenstroke/air/slug.hpp"
#include "evenstroke/air/solution.hpp"
#include "evenstroke/air/streamtubes.hpp"
#include "evenstroke/base/quantity.hpp"
#include "law.hpp"

// What air does. Each stands for the C++ law of the same name; nothing is computed here.
namespace evenstroke::binding {
namespace {

using py::arg;

Closure<double> closure(double oil_m3, double gas_j, double wall, double k0_pa, double a) {
  return {.oil_m3 = oil_m3, .gas_j = gas_j, .wall_m3_per_pa = wall, .liquid = {k0_pa, a}};
}

void bind_gas(py::module_& m) {
  law(m, "closure_pressure",
      py::vectorize([](double available, double oil, double gas, double wall, double k, double a) {
        return pressure(closure(oil, gas, wall, k, a), available).p;
      }),
      {"Absolute pressure at which oil, gas and wall fill the volume available.", "Pa",
       "gas_j = m R T. Never below 1000 Pa, where a cavity opens; isothermal."},
      py::kw_only(), arg("available_m3"), arg("oil_m3"), arg("gas_j"), arg("wall_m3_per_pa") = 0.0, k0(), slope());
  law(m, "content_volume", py::vectorize([](double p, double oil, double gas, double k, double a) {
        return content_volume(closure(oil, gas, 0, k, a), p);
      }),
      {"Volume of oil and gas at a pressure.", "m3", "gas_j = m R T."}, py::kw_only(), arg("p_pa_abs"), arg("oil_m3"),
      arg("gas_j"), k0(), slope());
  law(m, "relative_content", py::vectorize([](double x, double p, double n, double k, double a) {
        return relative_content(x, p, n, LiquidLaw<double>{k, a});
      }),
      {"Volume of oil with free air over its volume at 101325 Pa.", "",
       "void_at_p0 from 0 to below 1; n is the polytropic index, 1 isothermal, 1.4 adiabatic."},
      py::kw_only(), arg("void_at_p0"), arg("p_pa_abs"), arg("n") = 1.0, k0(), slope());
  law(m, "void_fraction", py::vectorize([](double x, double p, double n, double k, double a) {
        return void_fraction(x, p, n, LiquidLaw<double>{k, a});
      }),
      {"Void fraction at pressure.", "", "void_at_p0 from 0 to below 1; n is the polytropic index."}, py::kw_only(),
      arg("void_at_p0"), arg("p_pa_abs"), arg("n") = 1.0, k0(), slope());
  law(m, "effective_modulus", py::vectorize([](double x, double p, double n, double k, double a) {
        return effective_modulus(x, p, n, LiquidLaw<double>{k, a});
      }),
      {"Tangent modulus of oil with free air, by the void fraction at pressure.", "Pa",
       "1/K = alpha/(n p) + (1 - alpha)/K_oil; void_at_p0 from 0 to below 1, no transfer between the phases."},
      py::kw_only(), arg("void_at_p0"), arg("p_pa_abs"), arg("n") = 1.0, k0(), slope());
  law(m, "wood_speed",
      py::vectorize([](double x, double rg, double kg, double rl, double kl) { return wood_speed(x, rg, kg, rl, kl); }),
      {"Speed of sound in a bubbly liquid.", "m/s", "Wood 1930; far below the resonance of the bubbles."},
      py::kw_only(), arg("void_fraction"), arg("gas_kg_per_m3"), arg("gas_modulus_pa"), arg("liquid_kg_per_m3"),
      arg("liquid_modulus_pa"));
  law(m, "gas_density", py::vectorize(&gas_density), {"Density of dry air.", "kg/m3", "Ideal gas."}, arg("p_pa_abs"),
      arg("temperature_k"));
  law(m, "free_air_kg", py::vectorize(&free_air_kg), {"Mass of air given as volume at 101325 Pa and 20 deg C.", "kg"},
      arg("free_air_m3"));
  law(m, "free_air_m3", py::vectorize(&free_air_m3), {"Volume of air at 101325 Pa and 20 deg C.", "m3"},
      arg("mass_kg"));
  law(m, "gas_energy_j", py::vectorize(&gas_energy_j), {"G = m R T of air, what the closure takes.", "J"},
      arg("mass_kg"), arg("temperature_k"));
  law(m, "gas_volume_m3", py::vectorize(&gas_volume_m3), {"Volume of air at a pressure.", "m3", "Ideal gas."},
      arg("mass_kg"), arg("p_pa_abs"), arg("temperature_k"));
}

py::arg_v gas_density_0() { return arg("rho_gas_kg_per_m3") = 0.0; }   // light gas: buoyancy of the oil alone

void bind_slugs(py::module_& m) {
  law(m, "slug_film_share", py::vectorize(&slug_film_share),
      {"Part of the bore that a long bubble leaves coated with oil.", "",
       "ca: capillary number mu U/sigma on the speed of the bubble, up to 2."},
      arg("ca"));
  law(m, "slug_speed_ratio", py::vectorize(&slug_speed_ratio),
      {"Speed of a long bubble over the mean speed of the flow.", "", "At most 2.5; laminar, round line."},
      py::kw_only(), arg("mean_speed_m_per_s"), arg("mu_pa_s"), arg("sigma_n_per_m"));
  law(m, "critical_bore_m", py::vectorize(&critical_bore_m),
      {"Bore below which a long bubble does not rise in a closed vertical line.", "m",
       "Bretherton 1961. Gas under pressure is buoyed less: 2 % more at 28 bar. Gas as dense as the oil: InputError."},
      py::kw_only(), arg("sigma_n_per_m"), arg("rho_kg_per_m3"), gas_density_0());
  law(m, "is_slug", py::vectorize(&is_slug),
      {"Whether a gas parcel is larger than the sphere that fills the bore.", "bool"}, py::kw_only(), arg("gas_m3"),
      arg("bore_m"));
  const auto rise = [&](const char* name, double (*f)(double, double, double, double, double), const char* what,
                        const char* notes) {
    law(m, name, py::vectorize(f), {what, "m/s", notes}, py::kw_only(), arg("bore_m"), arg("mu_pa_s"),
        arg("rho_kg_per_m3"), arg("sigma_n_per_m"), gas_density_0());
  };
  rise("slug_rise_m_per_s", &slug_rise_m_per_s, "Rise of a long bubble in a closed vertical line, oil at rest.",
       "0 up to an Eotvos number of 3.37, then the lesser of `slug_rise_bretherton` and `slug_rise_viana`. Near 4 "
       "mm the laws differ tenfold: the rise is an unknown of the rig (``air.slug_rise``).");
  rise("slug_rise_bretherton", &slug_rise_bretherton, "The same by Bretherton's law for narrow lines.",
       "Bretherton 1961 (published): Eo/4 - 0.842 = 1.25 Ca^(2/9) + 2.24 Ca^(1/3); data up to Eo 4.2, 0 below "
       "3.368.");
  rise("slug_rise_viana", &slug_rise_viana, "The same by a fit over many pipes.",
       "Viana et al. 2003 (published): viscosities 1 mPa s to 4 Pa s; does not know that narrow lines hold a "
       "bubble.");
  rise("slug_rise_wallis", &slug_rise_wallis, "The same by the general correlation of Wallis.",
       "Wallis 1969 (published); 0 below an Eotvos number of 3.37.");
  law(m, "slug_rise_inclined_m_per_s", py::vectorize(&slug_rise_inclined_m_per_s),
      {"Rise of a long bubble along a closed line at an angle.", "m/s",
       "`slug_rise_m_per_s` times the size of the sine of the angle to the horizontal: a lower bound (a tilt first "
       "speeds it up, Zukoski 1966). sin_incline from -1 to 1; outside: InputError."},
      py::kw_only(), arg("bore_m"), arg("mu_pa_s"), arg("rho_kg_per_m3"), arg("sigma_n_per_m"), arg("sin_incline"),
      gas_density_0());
  law(m, "open_end_exchange_m_per_s", py::vectorize(&open_end_exchange_m_per_s),
      {"Speed of the air that creeps into an open end while the other end is shut.", "m/s",
       "sin_down: 1 the mouth looks down, 0 level, below 0 it looks up and the oil stays; -1 to 1, outside: "
       "InputError. Weber 1981, Jeyachandra et al. 2012, Bendiksen 1984 (all from memory); 0 below the critical "
       "bore."},
      py::kw_only(), arg("bore_m"), arg("mu_pa_s"), arg("rho_kg_per_m3"), arg("sigma_n_per_m"), arg("sin_down"),
      gas_density_0());
  law(m, "draining_bore_m", py::vectorize(&draining_bore_m),
      {"Bore above which oil at an open mouth that looks down cannot hang.", "m",
       "2 x 1.841 capillary lengths: static limit, from memory. Between this and `critical_bore_m` what holds depends "
       "on how the mouth was parted: the simulation takes the exchange times the unknown ``air.slug_rise``."},
      py::kw_only(), arg("sigma_n_per_m"), arg("rho_kg_per_m3"));
  law(m, "capillary_pa_diff", py::vectorize(&capillary_pa_diff),
      {"Pressure across the surface of oil in an open line end: what holds a column, or draws it up.", "Pa",
       "4 sigma/bore (Laplace), wetted wall. Too much by 5 % in 2 mm, by a fifth in 4 mm."},
      py::kw_only(), arg("bore_m"), arg("sigma_n_per_m"));
}

void bind_bubbles(py::module_& m) {
  law(m, "bubble_diameter_m", py::vectorize(&bubble_diameter_m),
      {"Diameter of a bubble at a pressure.", "m",
       "d0 at 101325 Pa; isothermal; surface tension left out, above 0.02 mm."},
      py::kw_only(), arg("d0_m"), arg("p_pa_abs"));
  law(m, "bubble_rise_m_per_s", py::vectorize(&bubble_rise_m_per_s),
      {"Terminal speed of one bubble in still oil.", "m/s",
       "Stokes with the drag factor of Schiller and Naumann (1933, from memory), Re below 800; drag coefficient at "
       "least 0.44 beyond. Rigid surface; the air's own weight and the walls are left out."},
      py::kw_only(), arg("d_m"), arg("mu_pa_s"), arg("rho_kg_per_m3"));
  law(m, "breakup_diameter_m", py::vectorize(&breakup_diameter_m),
      {"Largest bubble that survives a stretching flow.", "m",
       "Acrivos and Lo 1978 (from memory): 2 Ca_c sigma/(mu G), Ca_c = 0.148 (mu_air/mu)^(-1/6). Infinite in oil "
       "at rest."},
      py::kw_only(), arg("shear_per_s"), arg("mu_pa_s"), arg("sigma_n_per_m"));
  law(m, "creamed_speed_ratio", py::vectorize(&creamed_speed_ratio),
      {"Speed of a bubble that touches the wall of a line, over the mean speed of the flow.", "",
       "2 [1 - (1 - d/D)^2], laminar; 2 once it fills the bore."},
      py::kw_only(), arg("d_m"), arg("bore_m"));
  law(m, "suspended_share", py::vectorize(&suspended_share),
      {"Share of the bubbles of a level line that are still off its upper wall.", "",
       "2/pi (acos T - T sqrt(1 - T^2)) after T = U t/(D - d), evenly spread at first; 0 from T = 1 on."},
      arg("risen"));
}

void bind_solution(py::module_& m) {
  law(m, "dissolved_at_kg_per_m3", py::vectorize(&dissolved_at_kg_per_m3),
      {"Air dissolved in oil at equilibrium, per volume of oil.", "kg/m3",
       "Henry's law; bunsen: gas volume at 273.15 K and 101325 Pa per oil volume. Mineral oil 0.08 to 0.10 (Backe "
       "1974, published table)."},
      py::kw_only(), arg("bunsen"), arg("p_pa_abs"));
  law(m, "ostwald", py::vectorize(&ostwald),
      {"Gas volume dissolved per oil volume, at the oil's own temperature and the gas's own pressure.", "",
       "Bunsen coefficient times T/273.15 K."},
      py::kw_only(), arg("bunsen"), arg("temperature_k"));
  law(m, "solution_rate_per_s", py::vectorize(&solution_rate_per_s),
      {"Share of a bubble's mass that dissolves per second.", "1/s",
       "3 D L (1 - f)/R^2, quasi-steady diffusion around a resting sphere (Epstein and Plesset 1950 without the "
       "start-up term); d_m at the oil's pressure; saturation f: dissolved over equilibrium, from 0; 0 for f of 1 "
       "and above."},
      py::kw_only(), arg("d_m"), arg("diffusivity_m2_per_s"), arg("ostwald"), arg("saturation"));
  law(m, "bubble_life_s", py::vectorize(&bubble_life_s),
      {"Time in which one bubble dissolves.", "s",
       "R^2/(2 D L (1 - f)), R at the pressure, f = saturation_pa_abs/p_pa_abs; d0_m at 101325 Pa. Quasi-steady: "
       "the start-up term of Epstein and Plesset, left out, shortens it by some 30 % at L = 0.1. Infinite in "
       "saturated oil."},
      py::kw_only(), arg("d0_m"), arg("p_pa_abs"), arg("diffusivity_m2_per_s"), arg("ostwald"),
      arg("saturation_pa_abs"));
  law(m, "henry_pressure_pa_abs", py::vectorize(&henry_pressure_pa_abs),
      {"Pressure at which all free air is dissolved, after any time, in oil saturated at 101325 Pa.", "Pa",
       "Henry's law; void_at_p0 from 0 to below 1; outside: InputError."},
      py::kw_only(), arg("void_at_p0"), arg("bunsen"), arg("temperature_k"));
  law(m, "release_at_equilibrium", py::vectorize(&release_at_equilibrium),
      {"Free gas per oil volume, after any time, that oil saturated at 101325 Pa gives off.", "",
       "Henry's law, the gas at the pressure itself; 0 above 101325 Pa."},
      py::kw_only(), arg("bunsen"), arg("temperature_k"), arg("p_pa_abs"));
}

void bind_pockets(py::module_& m) {
  law(m, "thermal_time_s", py::vectorize(&thermal_time_s),
      {"Time in which a gas pocket takes on the temperature of its wall.", "s",
       "R^2/(5.8 D), the slowest mode of conduction in a round bore; D = 2.1e-5 m2/s (101325 Pa)/p (from memory), "
       "still air near 20 deg C."},
      py::kw_only(), arg("radius_m"), arg("p_pa_abs"));
  law(m, "pocket_temperature_k", py::vectorize(&pocket_temperature_k),
      {"Temperature of a gas pocket after its pressure has changed.", "K",
       "dT/dt = (1 - 1/1.4) T d(ln p)/dt - (T - wall)/thermal_time_s, solved exactly for a pressure that grows by "
       "equal factors in equal times. Thermal time 0: the wall's; infinite: adiabatic."},
      py::kw_only(), arg("t_k"), arg("wall_k"), arg("p_from_pa_abs"), arg("p_to_pa_abs"), arg("duration_s"),
      arg("thermal_time_s"));
  law(m, "apparent_index", py::vectorize(&apparent_index),
      {"Polytropic index n of p V^n between two states of the same gas.", "",
       "1 isothermal, 1.4 adiabatic; 1 when nothing changed, infinite when only the pressure did."},
      py::kw_only(), arg("p1_pa_abs"), arg("v1_m3"), arg("p2_pa_abs"), arg("v2_m3"));
  law(m, "choke_ratio", py::vectorize(&choke_ratio),
      {"Pressure ratio, throat over upstream, at which a mixture of oil and air chokes.", "",
       "Homogeneous, no change of phase, isothermal gas (Leung 1986, from memory, derived again); void_share: of "
       "gas in the volume upstream, 0 to 1; outside: InputError. 0: never chokes; 1: exp(-1/2)."},
      arg("void_share"));
}

/// A count that came as a number, perhaps in an array.
int whole(const char* name, double value) {
  if (value == std::floor(value) && std::abs(value) < 1e9) return static_cast<int>(value);
  throw InputError(name, number_text(value), "", "must be a whole number");
}

void bind_lines(py::module_& m) {
  m.def(
      "streamtubes",
      [](int tubes) {
        const Streamtubes t = make_streamtubes(tubes);
        py::dict d;
        d["edge"] = py::array_t<double>(static_cast<py::ssize_t>(t.edge.size()), t.edge.data());
        d["share"] = py::array_t<double>(static_cast<py::ssize_t>(t.share.size()), t.share.data());
        return d;
      },
      arg("tubes"),
      R"doc(Tubes of one speed each into which the laminar flow of a line is cut.

Parameters
----------
tubes : int, 1 to 512

Returns
-------
dict of str to array
    ``edge``, shape (tubes + 1,), from 0 at the wall to 1 on the axis, equal steps being equal areas; ``share``, shape
    (tubes,), of the section open to the bubble. Tubes at the wall are the narrowest: they decide what stays.

Raises
------
InputError
    A number out of range.)doc");
  law(m, "tube_speed_ratio", py::vectorize(&tube_speed_ratio),
      {"Mean speed of bubbles between two edges of `streamtubes`, over the mean speed of the flow.", "",
       "w_low and w_high from 0 to 1, w_low the smaller; outside: InputError. 1 once the bubble fills the bore."},
      py::kw_only(), arg("w_low"), arg("w_high"), arg("d_over_bore"));
  law(m, "laminar_outlet", py::vectorize(&laminar_outlet),
      {"Share of the old in what leaves a line after theta line volumes of the new.", "",
       "Laminar, no mixing: 1/(4 theta^2) from theta = 1/2 on (Levenspiel 1999)."},
      arg("theta"));
  law(m, "laminar_inventory", py::vectorize(&laminar_inventory),
      {"Share of a line's first content that is still inside after theta line volumes.", "",
       "Laminar, no mixing: 1/(4 theta) from theta = 1/2 on."},
      arg("theta"));
  law(m, "tanks_outlet", py::vectorize([](double n, double theta) { return tanks_outlet(whole("n", n), theta); }),
      {"The same as `laminar_outlet` for n equal stirred tanks in series.", "", "n: whole number, 1 to 100000."},
      py::kw_only(), arg("n"), arg("theta"));
  law(m, "tanks_inventory", py::vectorize([](double n, double theta) { return tanks_inventory(whole("n", n), theta); }),
      {"The same as `laminar_inventory` for n equal stirred tanks in series.", "", "n: whole number, 1 to 100000."},
      py::kw_only(), arg("n"), arg("theta"));
  law(m, "clear_volumes", py::vectorize(&clear_volumes),
      {"Line volumes until bubbles along the wall are out.", "", "1/`creamed_speed_ratio`; d_over_bore above 0."},
      arg("d_over_bore"));
}

void bind_vessels(py::module_& m) {
  law(m, "still_share", py::vectorize(&still_share),
      {"Share of the bubbles still in oil that stands.", "",
       "max(0, 1 - U t/h): a clear front rises with the bubbles."},
      py::kw_only(), arg("rise_m_per_s"), arg("depth_m"), arg("time_s"));
  law(m, "flow_through_removal", py::vectorize(&flow_through_removal),
      {"Share of the bubbles that leave oil on its way through a vessel.", "",
       "min(1, U A/Q), whatever the depth (Hazen 1904, from memory); 1 without flow."},
      py::kw_only(), arg("rise_m_per_s"), arg("area_m2"), arg("flow_m3_per_s"));
  law(m, "pull_through_m", py::vectorize(&pull_through_m),
      {"Height above a drain at which the surface is sucked in.", "m",
       "c (Q^2/g)^(1/5); coefficient c up to 0.69 (Lubin and Springer 1967, from memory), an upper bound in oil."},
      py::kw_only(), arg("coefficient"), arg("flow_m3_per_s"));
  law(m, "plunge_entrainment", py::vectorize(&plunge_entrainment),
      {"Air volume drawn under per volume of oil that falls in.", "",
       "C max(0, 1 - onset/jet); onset near 1 m/s (from memory), the shape an estimate."},
      py::kw_only(), arg("jet_m_per_s"), arg("onset_m_per_s"), arg("coefficient"));
}

void bind_closed_forms(py::module_& m) {
  law(m, "air_offset_m", py::vectorize(&air_offset_m),
      {"Travel a rod loses to free air between 101325 Pa and a pressure.", "m",
       "V0 [1 - (p0/p)^(1/n)]/A; index: polytropic, above 0."},
      py::kw_only(), arg("air_m3"), arg("area_m2"), arg("p_pa_abs"), arg("index") = 1.0);
  law(m, "locked_pressure_pa_gauge", py::vectorize(&locked_pressure_pa_gauge),
      {"Pressure of both chambers of a locked cylinder whose piston leaks.", "Pa, gauge", "Load over the rod's area."},
      py::kw_only(), arg("load_n"), arg("rod_area_m2"));
  law(m, "pressurise_time_s", py::vectorize(&pressurise_time_s),
      {"Time in which a flow brings oil with free air from 101325 Pa to a pressure.", "s",
       "{V0 [1 - (p0/p)^(1/n)] + V (p - p0)/K}/Q; index: polytropic, above 0."},
      py::kw_only(), arg("air_m3"), arg("oil_m3"), arg("bulk_modulus_pa"), arg("p_pa_abs"), arg("index") = 1.0,
      arg("flow_m3_per_s"));
  law(m, "stiffness_n_per_m", py::vectorize(&stiffness_n_per_m),
      {"Stiffness of one side of a cylinder for quick, small motions.", "N/m",
       "A^2/[V/K + (V0 p0/p)/(n p)]: free air V0 at 101325 Pa, brought slowly to p; index: polytropic, 1.4 where "
       "quick."},
      py::kw_only(), arg("area_m2"), arg("oil_m3"), arg("bulk_modulus_pa"), arg("air_m3"), arg("p_pa_abs"),
      arg("index") = 1.4);
  law(m, "natural_frequency_hz", py::vectorize(&natural_frequency_hz),
      {"Natural frequency of a mass on a spring.", "Hz"}, py::kw_only(), arg("stiffness_n_per_m"), arg("mass_kg"));
  law(m, "closed_circuit_survival", py::vectorize(&closed_circuit_survival),
      {"Share of bubbles left after a cycle of a circuit whose one side's return feeds the other.", "",
       "1/area_ratio, chambers swept wholly; area_ratio: cap side over rod side, above 1; outside: InputError."},
      arg("area_ratio"));
  law(m, "closed_circuit_survival_mixed", py::vectorize(&closed_circuit_survival_mixed),
      {"The same where each stroke changes only a share of a side, its line being stirred.", "",
       "Greatest eigenvalue of the cycle (own derivation); cap_share, rod_share: stroke volume over stroke and "
       "line volume, 0 to 1; outside: InputError."},
      py::kw_only(), arg("area_ratio"), arg("cap_share"), arg("rod_share"));
}

}  // namespace

void bind_air_laws(py::module_& m) {
  bind_gas(m);
  bind_slugs(m);
  bind_bubbles(m);
  bind_solution(m);
  bind_pockets(m);
  bind_lines(m);
  bind_vessels(m);
  bind_closed_forms(m);
}

}  // namespace evenstroke::binding
