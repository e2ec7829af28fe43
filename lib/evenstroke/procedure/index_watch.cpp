#include "evenstroke/procedure/index_watch.hpp"

#include <cmath>

namespace evenstroke {

IndexWatch::Squeeze IndexWatch::start(const Contents& c, std::size_t p) {
  const double pressure = c.pressure_pa_abs[p], k = c.pocket_k[p];
  return {pressure, k, pressure, k, held(c, static_cast<int>(p)).pocket_kg};
}

double IndexWatch::Squeeze::ln_pressure() const { return std::log(p2_pa_abs / p1_pa_abs); }

bool IndexWatch::Squeeze::tells() const {
  constexpr double least_ln = 0.3, least_kg = 1e-9;
  return !mixed && kg >= least_kg && ln_pressure() >= least_ln;
}

IndexWatch::IndexWatch(const Contents& c, double wall_k) : wall_k_(wall_k), widest_(c.place.size()) {
  for (std::size_t p = 0; p < c.place.size(); ++p) now_.push_back(start(c, p));
}

void IndexWatch::look(const Contents& c) {
  constexpr double at_rest = 3e-4, same = 0.05;
  for (std::size_t p = 0; p < now_.size(); ++p) {
    Squeeze& s = now_[p];
    const double pressure = c.pressure_pa_abs[p], kg = held(c, static_cast<int>(p)).pocket_kg;
    const bool warm = std::abs(s.t1_k - wall_k_) > at_rest * wall_k_, other = std::abs(kg - s.kg) > same * s.kg;
    if (pressure < s.p1_pa_abs || warm || (other && s.p2_pa_abs == s.p1_pa_abs)) {
      if (s.tells() && s.ln_pressure() > widest_[p].ln_pressure()) widest_[p] = s;
      s = start(c, p);
      continue;
    }
    if (pressure <= s.p2_pa_abs) continue;
    s.mixed = s.mixed || other;
    s.p2_pa_abs = pressure;
    s.t2_k = c.pocket_k[p];
  }
}

std::optional<double> IndexWatch::index() const {
  double sum = 0, mass = 0;
  for (std::size_t p = 0; p < now_.size(); ++p) {
    const Squeeze& s = now_[p].tells() && now_[p].ln_pressure() > widest_[p].ln_pressure() ? now_[p] : widest_[p];
    const double squeeze = s.ln_pressure(), warm = std::log(s.t2_k / s.t1_k);
    if (s.kg <= 0 || warm >= squeeze) continue;
    sum += s.kg * squeeze / (squeeze - warm);
    mass += s.kg;
  }
  return mass > 0 ? std::optional(sum / mass) : std::nullopt;
}

}  // namespace evenstroke
