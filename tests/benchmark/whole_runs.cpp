// Whole runs of the roof hatch, dry on the left; a line of JSON on the standard output.
//   whole_runs EXAMPLES run STROKES CHECKS(0|1) BRANCHES QUANTUM   one run, its seconds and its peak of memory; QUANTUM: the
//                                                          default one times this
//   whole_runs EXAMPLES members MEMBERS THREADS            that many rigs out of their bands, one stroke each, no checks
//   whole_runs EXAMPLES profile SECONDS FILE               runs as users have them, call stacks into a file
#include <chrono>
#include <cstdio>
#include <fstream>
#include <stdexcept>
#include <string>

#include "evenstroke/analysis/sample.hpp"
#include "evenstroke/io/files.hpp"
#include "stack_samples.hpp"

using namespace evenstroke;

namespace {

struct Case {
  Rig rig;
  Procedure procedure;
  Contents contents;
};

/// The hatch's two branches again and again; pump and panel grow with their number, so that a stroke takes as long.
Case hatch(const std::string& examples, int branches) {
  Case c{load_rig(examples + "/rigs/roof_hatch.toml"), load_procedure(examples + "/procedures/shop_bleed.toml"), {}};
  const std::vector<Branch> two = c.rig.branches;
  for (int i = 2; i < branches; ++i) {
    c.rig.branches.push_back(two[static_cast<std::size_t>(i % 2)]);
    c.rig.branches.back().name += std::to_string(i);
  }
  c.rig.pump.displacement_m3_per_rad *= branches / 2.0;
  c.rig.pump.armature_ohm /= branches / 2.0;              // a motor so much stronger, too
  c.rig.pump.idle_torque_n_m *= branches / 2.0;
  c.rig.panel.mass_kg *= branches / 2.0;
  c.contents = after_exchange(c.rig, {"left.cylinder"}, {"left.cap_line"}, true);
  return c;
}

double now_s() { return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count(); }

/// Of this program alone: what getrusage tells may be the peak of who started it.
double peak_mb() {
  std::ifstream status("/proc/self/status");
  for (std::string line; std::getline(status, line);)
    if (line.starts_with("VmHWM:")) return std::stod(line.substr(6)) / 1024;
  return 0;
}

void require(const Run& r) {
  if (!r.status.ok()) throw std::runtime_error("a run stopped: " + r.status.message);
}

void one(const Case& c, int strokes, bool checks, double quantum) {
  RunOptions o;
  o.max_strokes = strokes;
  o.stop_at_verdict = false;
  o.checks = checks;
  o.resolution.quantum_share *= quantum;
  const double start = now_s();
  const Run r = run(c.rig, c.contents, c.procedure, o);
  const double seconds = now_s() - start;
  require(r);
  const Counts& n = r.counts;
  std::printf("{\"seconds\": %.6g, \"strokes\": %zu, \"states\": %zu, \"quanta\": %ld, \"steps\": %ld, \"rejected\": %ld, "
              "\"rhs\": %ld, \"jacobians\": %ld, \"factorisations\": %ld, \"peak_mb\": %.4g}\n",
              seconds, r.strokes.size() - 1, static_cast<std::size_t>(make_network(c.rig).pattern.n), r.quanta, n.steps,
              n.rejected, n.rhs, n.jacobians, n.factorisations, peak_mb());
}

void members(const Case& c, std::size_t count, int threads) {
  BatchOptions o;
  o.threads = threads;
  o.run.max_strokes = 1;
  o.run.checks = o.run.record = false;
  const Table table = members_from_bands(c.rig, count, 1);
  const double start = now_s();
  const std::vector<Run> runs = run_batch({c.rig}, {c.contents}, {c.procedure}, table, o);
  const double seconds = now_s() - start;
  std::size_t failed = 0;
  for (const Run& r : runs) failed += r.status.ok() ? 0 : 1;
  std::printf("{\"seconds\": %.6g, \"members\": %zu, \"threads\": %d, \"failed\": %zu, \"peak_mb\": %.4g}\n",
              seconds, count, threads, failed, peak_mb());
}

void profile(const Case& c, double seconds, const char* file) {
  RunOptions o;
  o.max_strokes = 12;
  o.stop_at_verdict = false;
  {
    const benchmark::StackSamples samples;
    for (const double start = now_s(); now_s() - start < seconds;) require(run(c.rig, c.contents, c.procedure, o));
  }
  std::ofstream out(file);
  benchmark::StackSamples::write(out);
}

}  // namespace

int main(int argc, char** argv) {
  if (argc < 5) return 2;
  const std::string what = argv[2];
  const Case c = hatch(argv[1], argc > 5 ? std::stoi(argv[5]) : 2);
  if (what == "run") one(c, std::stoi(argv[3]), argv[4][0] == '1', argc > 6 ? std::stod(argv[6]) : 1);
  else if (what == "members") members(c, std::stoul(argv[3]), std::stoi(argv[4]));
  else if (what == "profile") profile(c, std::stod(argv[3]), argv[4]);
  else return 2;
}
