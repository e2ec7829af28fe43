#pragma once
#include <cstddef>
#include <optional>
#include <vector>

#include "evenstroke/network/contents.hpp"

namespace evenstroke {

/// Polytropic index that pockets show in a stroke, each in its widest squeeze, a low pressure to the highest after it:
///   n = ln(p2/p1)/[ln(p2/p1) - ln(T2/T1)]     from p V = m R T, without knowing m
/// as long as mass and heat are the pocket's own. So a squeeze begins at the wall's temperature, within 0.03 %, and is
/// left out when the mass has changed by more than 5 % up to its peak, is less than 1e-9 kg (a microlitre), or when it
/// raises the pressure by less than a third.
/// valid: 0.999 (follows the wall) to 1.4 (keeps its heat).   tests: tests/procedure/index_watch_test.cpp
class IndexWatch {
 public:
  IndexWatch(const Contents&, double wall_k);
  void look(const Contents&);        ///< after each quantum
  std::optional<double> index() const;   ///< mean by mass; empty where no pocket has told anything

 private:
  struct Squeeze {
    double p1_pa_abs = 1, t1_k = 1, p2_pa_abs = 1, t2_k = 1, kg = 0;
    bool mixed = false;              // another mass at the peak
    double ln_pressure() const;
    bool tells() const;
  };
  static Squeeze start(const Contents&, std::size_t place);

  double wall_k_;
  std::vector<Squeeze> now_, widest_;   // per place
};

}  // namespace evenstroke
