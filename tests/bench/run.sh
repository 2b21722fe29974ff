#!/bin/sh
# Builds the benchmarks as users build the program, and runs them:
#
#   sh tests/bench/run.sh                               all; two to five minutes after the build
#   sh tests/bench/run.sh --benchmark_filter=trace      those of that name
set -eu
cd "$(dirname "$0")/../.."

sh tests/install_packages.sh build tests

echo "Building the benchmarks"
mkdir -p build
log=build/bench.log
if ! { cmake --preset release -B build/bench -DUNDERDRAW_BENCH=ON &&
  cmake --build build/bench --target underdraw_bench; } >"$log" 2>&1; then
  tail -n 40 "$log" >&2
  echo "$0: they could not be built; all of it is in $log" >&2
  exit 1
fi

build/bench/tests/bench/underdraw_bench "$@"
