#include "evenstroke/components/orifice.hpp"
#include "evenstroke/fluid/viscosity_index.hpp"
#include "law.hpp"

// Scalars in, scalar out, broadcast over arrays. Each stands for the C++ law of the same name; nothing is computed
// here.
namespace evenstroke::binding {
namespace {

using py::arg;
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
  law(m, "kinematic_viscosity", py::vectorize(&pick_kinematic),
      {"Kinematic viscosity on the Walther line through two points.", "m2/s",
       "ASTM D341. 233.15 K to 423.15 K; outside: InputError."},
      py::kw_only(), arg("nu_40_m2_per_s"), arg("nu_100_m2_per_s"), arg("temperature_k"));
  law(m, "viscosity_index", py::vectorize([](double a, double b) { return viscosity_index(a, b); }),
      {"Viscosity index.", "", "ASTM D2270; viscosity at 100 deg C from 2 mm2/s."}, py::kw_only(),
      arg("nu_40_m2_per_s"), arg("nu_100_m2_per_s"));
  law(m, "nu_100_of_index", py::vectorize([](double a, double b) { return nu_100_of_index(a, b); }),
      {"Viscosity at 100 deg C that gives an oil of known viscosity at 40 deg C its index.", "m2/s",
       "Inverse of `viscosity_index`."},
      py::kw_only(), arg("nu_40_m2_per_s"), arg("viscosity_index"));
  m.def(
      "oil_by_grade",
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
      R"doc(Properties of an oil of an ISO 3448 grade.

Parameters
----------
iso_vg : int, 2 to 150
viscosity_index : float, 90 to 350, default 100

Returns
-------
dict of str to float, SI
    ``nu_40_m2_per_s``, ``nu_100_m2_per_s``, ``density_15_kg_per_m3``, ``expansion_per_k``, ``modulus_40_pa``,
    ``modulus_slope``; and ``name``.

Raises
------
InputError
    A grade or an index outside its range.)doc");
  law(m, "oil_density", py::vectorize([](double rho_15, double expansion, double t) {
        Oil o;
        o.density_15_kg_per_m3 = rho_15;
        o.expansion_per_k = expansion;
        return density(o, t);
      }),
      {"Density at 101325 Pa; the volume grows linearly with temperature.", "kg/m3",
       "233.15 K to 423.15 K; outside: InputError."},
      py::kw_only(), arg("density_15_kg_per_m3"), arg("expansion_per_k"), arg("temperature_k"));
  law(m, "secant_modulus_pa",
      py::vectorize([](double k, double t) { return liquid_at(k, usual_liquid.slope, t).k0_pa; }),
      {"Secant modulus at 101325 Pa and a temperature.", "Pa", "233.15 K to 423.15 K; outside: InputError."},
      py::kw_only(), arg("modulus_40_pa"), arg("temperature_k"));
  law(m, "relative_volume", py::vectorize([](double p, double k, double a) {
        return relative_volume(LiquidLaw<double>{k, a}, p);
      }),
      {"Volume of air-free oil over its volume at 101325 Pa.", "",
       "1 - pg/(k0 + slope pg), pg the gauge pressure; up to 1250 bar (Klaus and O'Brien)."},
      py::kw_only(), arg("p_pa_abs"), k0(), slope());
  law(m, "bulk_modulus", py::vectorize([](double p, double k, double a) {
        return bulk_modulus(LiquidLaw<double>{k, a}, p);
      }),
      {"Isothermal tangent bulk modulus of air-free oil.", "Pa", "Follows from `relative_volume`; up to 1250 bar."},
      py::kw_only(), arg("p_pa_abs"), k0(), slope());
}

void bind_components(py::module_& m) {
  law(m, "wall_compliance_per_pa", py::vectorize([](double bore, double wall, double e, double nu) {
        Line l = line(bore, 1, 0);
        l.wall_m = wall;
        l.wall_modulus_pa = e;
        l.wall_poisson = nu;
        return wall_compliance_per_pa(l);
      }),
      {"Growth of a line's volume per volume and pressure.", "1/Pa", "Thick wall (Lame), closed free ends."},
      py::kw_only(), arg("bore_m"), arg("wall_m"), arg("wall_modulus_pa"), arg("wall_poisson"));
  law(m, "friction_ratio", py::vectorize([](double re) { return churchill(re, 0.0).phi; }),
      {"Friction over the laminar law, f/(64/Re), in a smooth bore.", "",
       "Churchill 1977, all regimes; re is the Reynolds number, above 0."},
      arg("re"));
  law(m, "line_drop", py::vectorize([](double q, double bore, double length, double minor, double rho, double nu) {
        const auto law = line_law(line(bore, length, minor), 1, rho, nu);
        return q < 0 ? -drop(law, -q).dp : drop(law, q).dp;
      }),
      {"Pressure drop along a line.", "Pa",
       "Re below 1e6, no inertance; minor_loss: sum of the loss coefficients of ends and bends."},
      py::kw_only(), arg("flow_m3_per_s"), arg("bore_m"), arg("length_m"), arg("minor_loss"), arg("rho_kg_per_m3"),
      arg("nu_m2_per_s"));
  law(m, "line_flow", py::vectorize([](double dp, double bore, double length, double minor, double rho, double nu) {
        return flow(line_law(line(bore, length, minor), 1, rho, nu), dp, 0.0).q;
      }),
      {"Flow through a line; inverse of `line_drop`.", "m3/s", "Re below 1e6, no inertance."}, py::kw_only(),
      arg("dp_pa_diff"), arg("bore_m"), arg("length_m"), arg("minor_loss"), arg("rho_kg_per_m3"), arg("nu_m2_per_s"));
  law(m, "orifice_flow", py::vectorize([](double dp, double area, double cd, double rho, double nu, double re) {
        return flow(orifice_law(area, cd, rho, nu, re), dp, 0.0).q;
      }),
      {"Flow through a short restriction.", "m3/s",
       "Laminar far below transition_re, square root far above; no choking."},
      py::kw_only(), arg("dp_pa_diff"), arg("area_m2"), arg("cd"), arg("rho_kg_per_m3"), arg("nu_m2_per_s"),
      arg("transition_re"));
  law(m, "cap_area_m2", py::vectorize([](double bore) { return cap_area_m2(cylinder(bore, 0)); }),
      {"Piston area on the cap side.", "m2"}, arg("bore_m"));
  law(m, "rod_area_m2", py::vectorize([](double bore, double rod) { return rod_area_m2(cylinder(bore, rod)); }),
      {"Annular area on the rod side.", "m2"}, arg("bore_m"), arg("rod_m"));
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
  law(m, "pump_flow", over_pressures([](const Rig& rig, double dp) {
        return flow(pump_law(rig.pump, viscosity_pa_s(rig)), 0.0, dp).q;
      }),
      {"What the rig's pump delivers against a pressure, in the rig's oil.", "m3/s",
       "From 0 to the dead-head pressure."},
      arg("rig"), arg("dp_pa_diff"));
  law(m, "motor_current_a", over_pressures([](const Rig& rig, double dp) {
        return current_a(pump_law(rig.pump, viscosity_pa_s(rig)), 0.0, dp);
      }),
      {"Current of the rig's motor at a pressure raised.", "A", "From 0 to the dead-head pressure."}, arg("rig"),
      arg("dp_pa_diff"));
  law(m, "pump_speed_rad_per_s",
      over_pressures([](const Rig& rig, double dp) { return speed_rad_per_s(rig.pump, viscosity_pa_s(rig), dp); }),
      {"Speed of the rig's motor at a pressure raised.", "rad/s", "From 0 to the dead-head pressure."}, arg("rig"),
      arg("dp_pa_diff"));
  law(
      m, "pump_dead_head_pa_diff", [](const Rig& rig) { return dead_head_pa_diff(rig.pump, viscosity_pa_s(rig)); },
      {"Pressure at which the rig's pump delivers nothing.", "Pa"}, arg("rig"));
  law(
      m, "panel_load_n",
      [](const Rig& rig, double extension_m) {
        std::vector<double> load = static_load_n(rig.panel, static_cast<int>(rig.branches.size()));
        for (double& n : load) n = panel_law(rig.panel, n).force(extension_m).n;
        return load;
      },
      {"Load of the panel on each rod, in the order of the branches; against extension.", "N",
       "Rods out by 0 to the stroke, all alike. A hinged panel that has passed over its hinge pulls: negative."},
      arg("rig"), arg("extension_m"));
}

}  // namespace

void bind_laws(py::module_& m) {
  bind_fluid(m);
  bind_air_laws(m);
  bind_components(m);
  bind_rig_laws(m);
}

}  // namespace evenstroke::binding
