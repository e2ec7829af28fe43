#include "evenstroke/air/sedimentation.hpp"

#include <cmath>

#include "evenstroke/base/argument.hpp"
#include "evenstroke/base/constants.hpp"

namespace evenstroke {

double still_share(double rise_m_per_s, double depth_m, double time_s) {
  not_negative("rise_m_per_s", rise_m_per_s, "m/s");
  not_negative("depth_m", depth_m, "m");
  not_negative("time_s", time_s, "s");
  const double risen = rise_m_per_s * time_s;
  return risen == 0 ? 1 : std::fmax(0.0, 1 - risen / depth_m);
}

double flow_through_removal(double rise_m_per_s, double area_m2, double flow_m3_per_s) {
  not_negative("rise_m_per_s", rise_m_per_s, "m/s");
  not_negative("area_m2", area_m2, "m2");
  not_negative("flow_m3_per_s", flow_m3_per_s, "m3/s");
  const double carried = rise_m_per_s * area_m2;
  return carried >= flow_m3_per_s ? 1 : carried / flow_m3_per_s;
}

double pull_through_m(double coefficient, double flow_m3_per_s) {
  not_negative("coefficient", coefficient, "");
  const double flow = std::abs(flow_m3_per_s);
  not_negative("flow_m3_per_s", flow, "m3/s");
  return coefficient * std::pow(flow * flow / gravity_m_per_s2, 0.2);
}

double plunge_entrainment(double jet_m_per_s, double onset_m_per_s, double coefficient) {
  not_negative("jet_m_per_s", jet_m_per_s, "m/s");
  not_negative("onset_m_per_s", onset_m_per_s, "m/s");
  not_negative("coefficient", coefficient, "");
  return jet_m_per_s > onset_m_per_s ? coefficient * (1 - onset_m_per_s / jet_m_per_s) : 0;
}

}  // namespace evenstroke
