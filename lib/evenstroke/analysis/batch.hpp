#pragma once
#include <functional>
#include <string>
#include <vector>

#include "evenstroke/procedure/run.hpp"

namespace evenstroke {

/// One run per row; columns are field paths of the rig ("air.slug_slip"), values in SI, row-major.
struct Table {
  std::vector<std::string> column;
  std::vector<double> value;
  std::size_t rows = 1;          ///< used when there is no column
  std::size_t row_count() const { return column.empty() ? rows : value.size() / column.size(); }
};

/// Told now and then how many of the rows are done; returns false to stop. Called from one thread only.
using Progress = std::function<bool(std::size_t done, std::size_t of)>;

struct BatchOptions {
  RunOptions run;
  int threads = 0;               ///< 0: one per processor
  Progress progress;             ///< may be empty
};

/// `rigs`, `contents`, `procedures` have length 1 or the number of rows. Results stand in row order and do not depend on
/// the number of threads. A row that cannot be run throws InputError before anything runs; a row that nature stops has its
/// status. Stopped from outside, the rows not reached have the status `interrupted`.
/// `contents` that have not run yet are made afresh from each row's rig; others keep their pressures.
std::vector<Run> run_batch(const std::vector<Rig>& rigs, const std::vector<Contents>& contents,
                           const std::vector<Procedure>& procedures, const Table& rows, const BatchOptions& = {});

}  // namespace evenstroke
