#pragma once

namespace evenstroke {

/// Bubbles leaving a vessel, and air getting into one.                       tests: tests/air/sedimentation_test.cpp
///   still         share left in oil of depth h after time t: a clear front rises with the bubbles, max(0, 1 - U t/h)
///   flow-through  share removed on the way through a vessel of surface A, whatever its depth: min(1, U A/Q)
///                 (Hazen 1904, from memory); 1 without flow
///   pull-through  height above a drain at which the surface is sucked in: c (Q^2/g)^(1/5), c up to 0.69 for a thin
///                 liquid and a drain in the floor (Lubin and Springer 1967, from memory); an upper bound in oil
///   plunging      air volume drawn under per volume of oil that falls in: C max(0, 1 - Ue/Uj), Uj the jet's speed
///                 where it meets the surface, Ue the onset, near 1 m/s (from memory); the shape is an estimate
double still_share(double rise_m_per_s, double depth_m, double time_s);
double flow_through_removal(double rise_m_per_s, double area_m2, double flow_m3_per_s);
double pull_through_m(double coefficient, double flow_m3_per_s);   ///< the flow's sign does not matter
double plunge_entrainment(double jet_m_per_s, double onset_m_per_s, double coefficient);

}  // namespace evenstroke
