#pragma once
#include <algorithm>
#include <atomic>
#include <chrono>
#include <condition_variable>
#include <exception>
#include <mutex>
#include <thread>
#include <vector>

#include "bind.hpp"
#include "evenstroke/analysis/answer.hpp"

namespace evenstroke::binding {

/// What a job is given: the flag that stops it, and where it says how far it is.
struct JobLine {
  std::atomic<bool> stop{false};
  std::atomic<std::size_t> done{0}, of{0};
};

/// Whether a result itself says that it was cut short.
inline bool says_interrupted(const Run& r) { return r.status.outcome == Outcome::interrupted; }
inline bool says_interrupted(const std::vector<Run>& runs) {
  return std::any_of(runs.begin(), runs.end(), [](const Run& r) { return says_interrupted(r); });
}
inline bool says_interrupted(const Answer& a) { return !a.complete; }

/// Runs `job(line)` in a thread of its own with the GIL released. The calling thread looks every 50 ms whether Ctrl-C
/// was pressed; then it sets the stop flag and waits for the job, which ends within a transport quantum and keeps what
/// it has. KeyboardInterrupt is taken here only when the result says `interrupted`; where the job was over before it
/// could say so, KeyboardInterrupt is passed on, or a loop of short jobs could not be stopped. Whatever else a signal
/// handler or `progress` raises stops the job, too, and is passed on.
template <class Job>
auto interruptible(const py::object& progress, Job&& job) {
  using Result = decltype(job(std::declval<JobLine&>()));
  JobLine line;
  Result result;
  std::exception_ptr failure;
  std::mutex mutex;
  std::condition_variable changed;
  bool over = false, pressed = false;
  std::exception_ptr raised;
  std::size_t told = 0;
  const auto look = [&] {  // with the GIL; Ctrl-C may also come up inside the callback
    try {
      if (PyErr_CheckSignals() != 0) throw py::error_already_set();
      if (progress.is_none() || line.done == told || line.stop) return;
      told = line.done;
      progress(told, line.of.load());
    } catch (const py::error_already_set& e) {
      line.stop = true;
      if (!e.matches(PyExc_KeyboardInterrupt)) throw;
      pressed = true;
    }
  };
  {
    const py::gil_scoped_release release;
    std::jthread worker([&] {
      try {
        result = job(line);
      } catch (...) {
        failure = std::current_exception();
      }
      const std::lock_guard lock(mutex);
      over = true;
      changed.notify_one();
    });
    std::unique_lock lock(mutex);
    while (!changed.wait_for(lock, std::chrono::milliseconds(50), [&] { return over; })) {
      lock.unlock();
      if (!raised) {
        const py::gil_scoped_acquire acquire;
        try {
          look();
        } catch (...) {
          raised = std::current_exception();
          line.stop = true;
        }
      }
      lock.lock();
    }
  }
  if (raised) std::rethrow_exception(raised);
  look();
  if (pressed && (failure || !says_interrupted(result))) {
    PyErr_SetNone(PyExc_KeyboardInterrupt);
    throw py::error_already_set();
  }
  if (failure) std::rethrow_exception(failure);
  return result;
}

}  // namespace evenstroke::binding
