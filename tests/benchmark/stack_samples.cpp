#include "stack_samples.hpp"

#include <csignal>
#include <cstdint>
#include <dlfcn.h>
#include <execinfo.h>
#include <sys/time.h>

#include <array>
#include <vector>

namespace evenstroke::benchmark {
namespace {

constexpr int deepest = 48, most = 60'000;
struct Stack {
  int depth;
  std::array<void*, deepest> frame;
};
std::vector<Stack> stacks;                // made before the first signal: a handler must not allocate
volatile std::sig_atomic_t count = 0;

void look(int) {
  if (count >= most) return;
  Stack& s = stacks[static_cast<std::size_t>(count)];
  s.depth = backtrace(s.frame.data(), deepest);
  count = count + 1;
}

void every_ms(int milliseconds) {
  const itimerval timer{{0, milliseconds * 1000}, {0, milliseconds * 1000}};
  setitimer(ITIMER_REAL, &timer, nullptr);
}

}  // namespace

StackSamples::StackSamples() {
  stacks.resize(most);
  count = 0;
  backtrace(stacks[0].frame.data(), deepest);   // the first call loads what it needs
  struct sigaction action = {};
  action.sa_handler = look;
  action.sa_flags = SA_RESTART;
  sigaction(SIGALRM, &action, nullptr);
  every_ms(1);
}

StackSamples::~StackSamples() { every_ms(0); }

void StackSamples::write(std::ostream& out) {
  Dl_info here{};
  dladdr(reinterpret_cast<void*>(&look), &here);
  const auto base = reinterpret_cast<std::uintptr_t>(here.dli_fbase);
  constexpr int handler = 2;              // `look` and the signal's own frame
  for (int i = 0; i < count; ++i) {
    const Stack& s = stacks[static_cast<std::size_t>(i)];
    for (int f = handler; f < s.depth; ++f) {
      const auto address = reinterpret_cast<std::uintptr_t>(s.frame[static_cast<std::size_t>(f)]);
      Dl_info info{};
      const bool known = dladdr(s.frame[static_cast<std::size_t>(f)], &info) != 0;
      const char* gap = f == handler ? "" : " ";
      if (known && info.dli_fbase == here.dli_fbase)   // a caller's address is the one after its call
        out << gap << "0x" << std::hex << address - base - (f > handler ? 1 : 0) << std::dec;
      else
        out << gap << (known && info.dli_sname ? info.dli_sname : "?");
    }
    out << "\n";
  }
}

}  // namespace evenstroke::benchmark
