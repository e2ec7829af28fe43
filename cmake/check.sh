#!/usr/bin/env bash
# Builds everything, runs every test and prints the minutes of each stage; ends with 0 only if no stage failed.
# --all adds the second compiler, clang-tidy and 2000 random rigs. The full output of a stage is in build/logs.
set -u -o pipefail
cd "$(dirname "$0")/.."
. cmake/common.sh

purpose=check
case "${1:-}" in
  "") ;;
  --all) purpose=all ;;
  *) echo "usage: bash cmake/check.sh [--all]"; exit 2 ;;
esac
jobs=$(nproc)
mkdir -p build/logs
passed=0 failed=0 table="" good=" "

# stage NAME NEEDS COMMAND...: NEEDS are names of earlier stages ("-" for none). A stage that cannot start has failed.
# Exit code 77 means "there is nothing of this kind", which is neither passed nor failed, and said so.
stage() {
  local name=$1 needs=$2 log=build/logs/$1.log start=$EPOCHREALTIME rc=0 need minutes word
  shift 2
  for need in ${needs#-}; do
    case "$good" in *" $need "*) ;; *) rc=1; echo "not run: it needs '$need'" >"$log" ;; esac
  done
  if [ $rc -eq 0 ]; then
    (set -e; "$@") >"$log" 2>&1 </dev/null
    rc=$?
  fi
  minutes=$(awk -v a="$start" -v b="$EPOCHREALTIME" 'BEGIN { printf "%.2f", (b - a) / 60 }')
  case $rc in
    0) word=passed; passed=$((passed + 1)); good+="$name " ;;
    77) word=empty ;;
    *) word=FAILED; failed=$((failed + 1)) ;;
  esac
  printf '%-14s %-7s %6s min  %s\n' "$name" "$word" "$minutes" "$(summary "$log")"
  if [ "$word" = FAILED ]; then
    echo "----- end of $log"
    tail -n 60 "$log"
    echo "-----"
  fi
  table+=$(printf '%-14s %-7s %6s' "$name" "$word" "$minutes")$'\n'
}

# the one line of a log that tells most
summary() {
  grep -hE '^[0-9]+% tests passed|^[0-9]+ (passed|failed).* in |^(examples|consumer|tidy|random): ' "$1" | tail -n 1 || true
}

packages() {
  debian_packages "$purpose"
  python_packages "$purpose"
}

compile() {   # PRESET
  cmake --preset "$1" --log-level=WARNING
  cmake --build --preset "$1" -- --quiet
}

run_tests() {   # PRESET
  ctest --preset "$1" -j "$jobs" -LE example
}

layers() {
  "$venv_python" -m pytest -q --noconftest tests/python/test_layers.py
}

python_tests() {
  # file by file on all cores; what times an answer to Ctrl-C needs them to itself
  "$venv_python" -m pytest -q -n "$jobs" --dist loadfile --ignore tests/python/test_interrupt.py tests/python tests/reference
  "$venv_python" -m pytest -q tests/python/test_interrupt.py
}

# Somebody else's project: once with the installed library, which must need none of our own build's libraries, and once
# with the sources as a subfolder. Before that every header is compiled alone.
consumer() {
  local way root=build/consumer
  cmake --build --preset release --target all_verify_interface_header_sets -- --quiet
  rm -rf "$root"
  cmake --install build/release --prefix "$root/prefix" >/dev/null
  cmake -S tests/consumer -B "$root/installed" -G Ninja --log-level=WARNING -DCMAKE_PREFIX_PATH="$PWD/$root/prefix" \
    -DCMAKE_DISABLE_FIND_PACKAGE_Boost=ON -DCMAKE_DISABLE_FIND_PACKAGE_fmt=ON -DCMAKE_DISABLE_FIND_PACKAGE_Eigen3=ON
  cmake -S tests/consumer -B "$root/subfolder" -G Ninja --log-level=WARNING -DEVENSTROKE_SOURCE="$PWD"
  for way in installed subfolder; do
    cmake --build "$root/$way" -- --quiet
    "$root/$way/consumer" examples/rigs/roof_hatch.toml
  done
  echo "consumer: installed and subfolder both build and run"
}

examples() {
  local file count=0
  for file in examples/*.cpp; do
    [ -e "$file" ] && count=$((count + 1))
  done
  [ $count -eq 0 ] || ctest --preset release -L example
  for file in examples/*.py; do
    [ -e "$file" ] || continue
    echo "== $file"
    MPLBACKEND=Agg "$venv_python" "$file"
    count=$((count + 1))
  done
  echo "examples: $count run"
  [ $count -gt 0 ] || return 77
}

# The random cases of the tests again, many more of them; too long for a time limit of ctest.
random_rigs() {
  EVENSTROKE_RANDOM_RIGS=2000 build/release/tests/evenstroke_tests --no-intro "--source-file=*/tests/limits/random_*"
}

tidy() {
  find lib/evenstroke -name '*.cpp' -print0 | xargs -0 -n 1 -P "$jobs" clang-tidy -p build/clang --quiet
  echo "tidy: no findings"
}

begin=$EPOCHREALTIME
stage packages      -                     packages
stage layers        packages              layers
stage build-release packages              compile release
stage tests-release build-release         run_tests release
stage build-asan    packages              compile asan
stage tests-asan    build-asan            run_tests asan
stage build-python  packages              python_build
stage tests-python  build-python          python_tests
stage consumer      build-release         consumer
stage examples      "build-release build-python"  examples
if [ $purpose = all ]; then
  stage random      build-release         random_rigs
  grep -h '^random |' build/logs/random.log || true   # what stopped short, cause by cause
  stage build-clang packages              compile clang
  stage tests-clang build-clang           run_tests clang
  stage tidy        build-clang           tidy
fi

printf '\n%-14s %-7s %6s\n%s' stage result min "$table"
awk -v a="$begin" -v b="$EPOCHREALTIME" 'BEGIN { printf "%-22s %6.2f\n\n", "total", (b - a) / 60 }'
echo "$passed passed, $failed failed"
[ $failed -eq 0 ]
