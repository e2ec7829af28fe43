#pragma once

namespace evenstroke {

/// Flow through an element between two pressures and its slopes; positive from -> to.
template <class T>
struct ThroughFlow {
  T q;         ///< [m3/s], volume that leaves upstream
  T dq_dfrom;  ///< dq/dp_from [m3/(s Pa)]
  T dq_dto;    ///< dq/dp_to   [m3/(s Pa)]
};

}  // namespace evenstroke
