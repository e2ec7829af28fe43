#include "evenstroke/analysis/batch.hpp"

#include <atomic>
#include <chrono>
#include <condition_variable>
#include <exception>
#include <mutex>
#include <thread>

#include "evenstroke/base/error.hpp"

namespace evenstroke {
namespace {

template <class X>
const X& nth(const std::vector<X>& list, std::size_t row) {
  return list.size() == 1 ? list.front() : list[row];
}

void check_length(const char* field, std::size_t length, std::size_t rows) {
  if (length != 1 && length != rows)
    throw InputError(field, std::to_string(length), "", "length must be 1 or the number of rows, " + std::to_string(rows));
}

Rig row_rig(const Rig& rig, const Table& t, std::size_t row) {
  Rig r = rig;
  for (std::size_t c = 0; c < t.column.size(); ++c) set_field(r, t.column[c], t.value[row * t.column.size() + c]);
  check(r);
  return r;
}

Run not_reached() {
  Run r;
  r.status = {Outcome::interrupted, 0, "", 0, "stopped from outside before this row began"};
  return r;
}

}  // namespace

std::vector<Run> run_batch(const std::vector<Rig>& rigs, const std::vector<Contents>& contents,
                           const std::vector<Procedure>& procedures, const Table& rows, const BatchOptions& options) {
  const std::size_t n = rows.row_count();
  check_length("rigs", rigs.size(), n);
  check_length("contents", contents.size(), n);
  check_length("procedures", procedures.size(), n);
  if (!rows.column.empty() && rows.value.size() % rows.column.size() != 0)
    throw InputError("rows", std::to_string(rows.value.size()), "", "needs a value for every column of every row");
  for (std::size_t i = 0; i < n; ++i) {
    const Rig rig = row_rig(nth(rigs, i), rows, i);
    check(nth(procedures, i), rig);
    if (i == 0 || rigs.size() > 1 || contents.size() > 1) check(nth(contents, i), rig);
  }

  std::vector<Run> result(n);
  std::atomic<std::size_t> next{0};
  std::atomic<bool> stop{false};
  std::mutex mutex;
  std::condition_variable changed;
  std::size_t done = 0, running = 0;
  std::exception_ptr first;

  const auto work = [&] {
    for (std::size_t i; (i = next.fetch_add(1)) < n;) {
      try {
        RunOptions o = options.run;
        o.stop = &stop;
        result[i] = stop ? not_reached() : run(row_rig(nth(rigs, i), rows, i), nth(contents, i), nth(procedures, i), o);
      } catch (...) {
        const std::lock_guard lock(mutex);
        if (!first) first = std::current_exception();
        stop = true;
      }
      const std::lock_guard lock(mutex);
      ++done;
      changed.notify_one();
    }
    const std::lock_guard lock(mutex);
    --running;
    changed.notify_one();
  };
  std::size_t threads = options.threads > 0 ? static_cast<std::size_t>(options.threads)
                                            : std::max<std::size_t>(1, std::thread::hardware_concurrency());
  threads = std::min(threads, n);
  std::vector<std::jthread> pool;
  {
    std::unique_lock lock(mutex);
    running = threads;
    for (std::size_t t = 0; t < threads; ++t) pool.emplace_back(work);
    while (running > 0) {   // the caller's thread only watches, so that it can be interrupted
      changed.wait_for(lock, std::chrono::milliseconds(50));
      const std::size_t now = done;
      lock.unlock();
      if (options.progress && !stop && !options.progress(now, n)) stop = true;
      if (options.run.stop && options.run.stop->load()) stop = true;
      lock.lock();
    }
  }
  pool.clear();
  if (first) std::rethrow_exception(first);
  return result;
}

}  // namespace evenstroke
