#include "bind.hpp"
#include "evenstroke/air/closure.hpp"
#include "evenstroke/air/modulus.hpp"
#include "evenstroke/air/slug.hpp"
#include "evenstroke/components/orifice.hpp"
#include "evenstroke/fluid/viscosity_index.hpp"

// Scalars in, scalar out, broadcast over arrays. Each stands for the C++ law of the same name; nothing is computed here.
namespace evenstroke::binding {
namespace {

using py::arg;
constexpr LiquidLaw<double> usual_liquid;
/// Made anew for each use: a Python object must not outlive the interpreter in a static.
py::arg_v k0() { return arg("k0_pa") = usual_liquid.k0_pa; }
py::arg_v slope() { return arg("slope") = usual_liquid.slope; }

double pick_kinematic(double nu_40, double nu_100, double t_k) {
  Oil o;
  o.nu_40_m2_per_s = nu_40;
  o.nu_100_m2_per_s = nu_100;
  return kinematic_viscosity(o, t_k);
}

LiquidLaw<double> liquid_at(double modulus_40, double modulus_slope, double t_k) {
  Oil o;
  o.modulus_40_pa = modulus_40;
  o.modulus_slope = modulus_slope;
  return liquid_law(o, t_k);
}

Closure<double> closure(double oil_m3, double gas_j, double wall, double k0_pa, double a) {
  return {.oil_m3 = oil_m3, .gas_j = gas_j, .wall_m3_per_pa = wall, .liquid = {k0_pa, a}};
}

Line line(double bore, double length, double minor) {
  Line l;
  l.bore_m = bore;
  l.length_m = length;
  l.minor_loss = minor;
  return l;
}

Cylinder cylinder(double bore, double rod) {
  Cylinder c;
  c.bore_m = bore;
  c.rod_m = rod;
  return c;
}

void bind_fluid(py::module_& m) {
  m.def("kinematic_viscosity", py::vectorize(&pick_kinematic), py::kw_only(), arg("nu_40_m2_per_s"), arg("nu_100_m2_per_s"),
        arg("temperature_k"), "Kinematic viscosity [m2/s] by the Walther line (ASTM D341); 233.15 K to 423.15 K.");
  m.def("viscosity_index",
        py::vectorize([](double a, double b) { return viscosity_index(a, b); }), py::kw_only(), arg("nu_40_m2_per_s"),
        arg("nu_100_m2_per_s"), "Viscosity index [-] (ASTM D2270).");
  m.def("nu_100_of_index", py::vectorize([](double a, double b) { return nu_100_of_index(a, b); }), py::kw_only(),
        arg("nu_40_m2_per_s"), arg("viscosity_index"), "Viscosity at 100 deg C [m2/s] that gives an oil its index.");
  m.def("oil_by_grade",
        [](int vg, double index) {
          const Oil o = oil_by_grade(vg, index);
          py::dict d;
          d["name"] = o.name;
          d["nu_40_m2_per_s"] = o.nu_40_m2_per_s;
          d["nu_100_m2_per_s"] = o.nu_100_m2_per_s;
          d["density_15_kg_per_m3"] = o.density_15_kg_per_m3;
          d["expansion_per_k"] = o.expansion_per_k;
          d["modulus_40_pa"] = o.modulus_40_pa;
          d["modulus_slope"] = o.modulus_slope;
          return d;
        },
        py::kw_only(), arg("iso_vg"), arg("viscosity_index") = 100.0,
        "Properties of an oil of an ISO 3448 grade (2 to 150), as a dict in SI.");
  m.def("oil_density",
        py::vectorize([](double rho_15, double expansion, double t) {
          Oil o;
          o.density_15_kg_per_m3 = rho_15;
          o.expansion_per_k = expansion;
          return density(o, t);
        }),
        py::kw_only(), arg("density_15_kg_per_m3"), arg("expansion_per_k"), arg("temperature_k"),
        "Density at 101325 Pa [kg/m3]; volume grows linearly with temperature.");
  m.def("secant_modulus_pa",
        py::vectorize([](double k, double t) { return liquid_at(k, usual_liquid.slope, t).k0_pa; }), py::kw_only(),
        arg("modulus_40_pa"), arg("temperature_k"), "Secant modulus at 101325 Pa and a temperature [Pa].");
  m.def("relative_volume", py::vectorize([](double p, double k, double a) {
          return relative_volume(LiquidLaw<double>{k, a}, p);
        }),
        py::kw_only(), arg("p_pa_abs"), k0(), slope(), "Volume of air-free oil over its volume at 101325 Pa; up to 1250 bar.");
  m.def("bulk_modulus", py::vectorize([](double p, double k, double a) { return bulk_modulus(LiquidLaw<double>{k, a}, p); }),
        py::kw_only(), arg("p_pa_abs"), k0(), slope(), "Tangent bulk modulus of air-free oil, isothermal [Pa].");
}

void bind_air(py::module_& m) {
  m.def("closure_pressure",
        py::vectorize([](double available, double oil, double gas, double wall, double k, double a) {
          return pressure(closure(oil, gas, wall, k, a), available).p;
        }),
        py::kw_only(), arg("available_m3"), arg("oil_m3"), arg("gas_j"), arg("wall_m3_per_pa") = 0.0, k0(), slope(),
        "Pressure [Pa abs] at which oil, gas (G = m R T) and wall fill the volume; never below 1000 Pa.");
  m.def("content_volume",
        py::vectorize([](double p, double oil, double gas, double k, double a) {
          return content_volume(closure(oil, gas, 0, k, a), p);
        }),
        py::kw_only(), arg("p_pa_abs"), arg("oil_m3"), arg("gas_j"), k0(), slope(), "Volume of oil and gas at a pressure [m3].");
  m.def("relative_content",
        py::vectorize([](double x, double p, double n, double k, double a) {
          return relative_content(x, p, n, LiquidLaw<double>{k, a});
        }),
        py::kw_only(), arg("void_at_p0"), arg("p_pa_abs"), arg("n") = 1.0, k0(), slope(),
        "Volume of oil with free air over its volume at 101325 Pa; n is the polytropic index.");
  m.def("void_fraction",
        py::vectorize([](double x, double p, double n, double k, double a) {
          return void_fraction(x, p, n, LiquidLaw<double>{k, a});
        }),
        py::kw_only(), arg("void_at_p0"), arg("p_pa_abs"), arg("n") = 1.0, k0(), slope(), "Void fraction at pressure [-].");
  m.def("effective_modulus",
        py::vectorize([](double x, double p, double n, double k, double a) {
          return effective_modulus(x, p, n, LiquidLaw<double>{k, a});
        }),
        py::kw_only(), arg("void_at_p0"), arg("p_pa_abs"), arg("n") = 1.0, k0(), slope(),
        "Tangent modulus of oil with free air [Pa], by the void fraction at pressure; void_at_p0 from 0 to below 1.");
  m.def("wood_speed",
        py::vectorize([](double x, double rg, double kg, double rl, double kl) { return wood_speed(x, rg, kg, rl, kl); }),
        py::kw_only(), arg("void_fraction"), arg("gas_kg_per_m3"), arg("gas_modulus_pa"), arg("liquid_kg_per_m3"),
        arg("liquid_modulus_pa"), "Speed of sound in a bubbly liquid [m/s] (Wood 1930), far below resonance.");
  m.def("gas_density", py::vectorize(&gas_density), arg("p_pa_abs"), arg("temperature_k"), "Density of dry air [kg/m3].");
  m.def("free_air_kg", py::vectorize(&free_air_kg), arg("free_air_m3"), "Mass of a volume at 101325 Pa and 20 deg C [kg].");
  m.def("free_air_m3", py::vectorize(&free_air_m3), arg("mass_kg"), "Volume at 101325 Pa and 20 deg C [m3].");
  m.def("gas_energy_j", py::vectorize(&gas_energy_j), arg("mass_kg"), arg("temperature_k"), "G = m R T of air [J].");
  m.def("gas_volume_m3", py::vectorize(&gas_volume_m3), arg("mass_kg"), arg("p_pa_abs"), arg("temperature_k"),
        "Volume of air at a pressure [m3].");
  m.def("slug_film_share", py::vectorize(&slug_film_share), arg("ca"),
        "Part of the bore that a long bubble leaves coated; capillary number on its speed, up to 2.");
  m.def("slug_speed_ratio", py::vectorize(&slug_speed_ratio), py::kw_only(), arg("mean_speed_m_per_s"), arg("mu_pa_s"),
        arg("sigma_n_per_m"), "Speed of a long bubble over the mean speed of the flow, at most 2.5; laminar.");
  m.def("critical_bore_m", py::vectorize(&critical_bore_m), py::kw_only(), arg("sigma_n_per_m"), arg("rho_kg_per_m3"),
        "Bore below which a long bubble does not rise in a closed vertical line [m] (Bretherton 1961).");
  m.def("is_slug", py::vectorize(&is_slug), py::kw_only(), arg("gas_m3"), arg("bore_m"),
        "Larger than the sphere that fills the bore?");
}

void bind_components(py::module_& m) {
  m.def("wall_compliance_per_pa",
        py::vectorize([](double bore, double wall, double e, double nu) {
          Line l = line(bore, 1, 0);
          l.wall_m = wall;
          l.wall_modulus_pa = e;
          l.wall_poisson = nu;
          return wall_compliance_per_pa(l);
        }),
        py::kw_only(), arg("bore_m"), arg("wall_m"), arg("wall_modulus_pa"), arg("wall_poisson"),
        "Growth of a line's volume per volume and pressure [1/Pa]; thick wall (Lame), closed free ends.");
  m.def("friction_ratio", py::vectorize([](double re) { return churchill(re, 0.0).phi; }), arg("re"),
        "Friction over the laminar law, f/(64/Re), smooth bore (Churchill 1977, all regimes).");
  m.def("line_drop",
        py::vectorize([](double q, double bore, double length, double minor, double rho, double nu) {
          const auto law = line_law(line(bore, length, minor), 1, rho, nu);
          return q < 0 ? -drop(law, -q).dp : drop(law, q).dp;
        }),
        py::kw_only(), arg("flow_m3_per_s"), arg("bore_m"), arg("length_m"), arg("minor_loss"), arg("rho_kg_per_m3"),
        arg("nu_m2_per_s"), "Pressure drop along a line [Pa]; Re below 1e6, no inertance.");
  m.def("line_flow",
        py::vectorize([](double dp, double bore, double length, double minor, double rho, double nu) {
          return flow(line_law(line(bore, length, minor), 1, rho, nu), dp, 0.0).q;
        }),
        py::kw_only(), arg("dp_pa_diff"), arg("bore_m"), arg("length_m"), arg("minor_loss"), arg("rho_kg_per_m3"),
        arg("nu_m2_per_s"), "Flow through a line [m3/s], inverse of `line_drop`.");
  m.def("orifice_flow",
        py::vectorize([](double dp, double area, double cd, double rho, double nu, double re) {
          return flow(orifice_law(area, cd, rho, nu, re), dp, 0.0).q;
        }),
        py::kw_only(), arg("dp_pa_diff"), arg("area_m2"), arg("cd"), arg("rho_kg_per_m3"), arg("nu_m2_per_s"),
        arg("transition_re"), "Flow through a short restriction [m3/s], laminar far below transition_re.");
  m.def("cap_area_m2", py::vectorize([](double bore) { return cap_area_m2(cylinder(bore, 0)); }), arg("bore_m"),
        "Piston area on the cap side [m2].");
  m.def("rod_area_m2", py::vectorize([](double bore, double rod) { return rod_area_m2(cylinder(bore, rod)); }),
        arg("bore_m"), arg("rod_m"), "Annular area on the rod side [m2].");
}

double viscosity_pa_s(const Rig& rig) {
  const double t = rig.oil.temperature_k;
  return kinematic_viscosity(rig.oil, t) * density(rig.oil, t);
}

/// A law of a rig and a pressure, broadcast over pressures.
template <class Law>
auto over_pressures(Law law) {
  return [law](const Rig& rig, const py::array_t<double, py::array::forcecast>& dp) -> py::object {
    return py::vectorize([&](double x) { return law(rig, x); })(dp);
  };
}

void bind_rig_laws(py::module_& m) {
  m.def("pump_flow", over_pressures([](const Rig& rig, double dp) {
          return flow(pump_law(rig.pump, viscosity_pa_s(rig)), 0.0, dp).q;
        }),
        arg("rig"), arg("dp_pa_diff"), "What the rig's pump delivers against a pressure [m3/s], in the rig's oil.");
  m.def("motor_current_a", over_pressures([](const Rig& rig, double dp) {
          return current_a(pump_law(rig.pump, viscosity_pa_s(rig)), 0.0, dp);
        }),
        arg("rig"), arg("dp_pa_diff"), "Current of the rig's motor at a pressure raised [A].");
  m.def("pump_speed_rad_per_s",
        over_pressures([](const Rig& rig, double dp) { return speed_rad_per_s(rig.pump, viscosity_pa_s(rig), dp); }),
        arg("rig"), arg("dp_pa_diff"), "Speed of the rig's motor at a pressure raised [rad/s].");
  m.def("pump_dead_head_pa_diff", [](const Rig& rig) { return dead_head_pa_diff(rig.pump, viscosity_pa_s(rig)); },
        arg("rig"), "Pressure at which the rig's pump delivers nothing [Pa].");
  m.def("panel_load_n", [](const Rig& rig) { return static_load_n(rig.panel, static_cast<int>(rig.branches.size())); },
        arg("rig"), "Weight of the panel on each rod [N].");
}

}  // namespace

void bind_laws(py::module_& m) {
  bind_fluid(m);
  bind_air(m);
  bind_components(m);
  bind_rig_laws(m);
}

}  // namespace evenstroke::binding
