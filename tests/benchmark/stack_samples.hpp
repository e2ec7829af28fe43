#pragma once
#include <ostream>

namespace evenstroke::benchmark {

/// Looks at the call stack of this program's one thread every millisecond, by a signal: the library is run as it is, without
/// timers in it. (A timer of processor time would follow the kernel's ticks, four times as coarse.) Linux. One at a time.
class StackSamples {
 public:
  StackSamples();
  ~StackSamples();
  StackSamples(const StackSamples&) = delete;
  StackSamples& operator=(const StackSamples&) = delete;

  /// A line per sample, innermost first: addresses in this program's file as 0x..., or the name of a function elsewhere.
  static void write(std::ostream&);
};

}  // namespace evenstroke::benchmark
