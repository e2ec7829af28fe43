#!/usr/bin/env bash
# Times everything with the programs in a build folder and writes RESULTS.md. Started by `cmake --workflow --preset benchmark`.
set -eu -o pipefail
cd "$(dirname "$0")/../.."
. cmake/common.sh

python_packages benchmark
"$venv_python" tests/benchmark/measure.py "$1"
"$venv_python" tests/benchmark/report.py "$1"
echo "Results: tests/benchmark/RESULTS.md"
