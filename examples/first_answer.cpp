// How many bleed strokes until the rods of the roof hatch run parallel? Run from the checkout's root.
#include <cstdio>

#include "evenstroke/analysis/answer.hpp"
#include "evenstroke/io/files.hpp"

int main() {
  const auto rig = evenstroke::load_rig("examples/rigs/roof_hatch.toml");
  const auto procedure = evenstroke::load_procedure("examples/procedures/shop_bleed.toml");
  const auto contents = evenstroke::after_exchange(rig, {"left.cylinder"}, {"left.cap_line"}, true);

  evenstroke::AnswerOptions options;
  options.members = 32;
  options.seed = 1;
  const evenstroke::Answer answer = strokes_to_parallel(rig, contents, procedure, options);
  for (const evenstroke::StrokeRow& row : answer.nominal.strokes)
    std::printf("stroke %d: %.2f mL vented, rods %.2f mm apart under the panel\n", row.stroke, row.vented_m3 * 1e6,
                row.load.worst_m() * 1e3);
  std::printf("parallel: %s\n", answer.parallel.text.c_str());
  return answer.failed == 0 ? 0 : 1;
}
