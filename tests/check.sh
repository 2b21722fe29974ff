#!/bin/sh
# Everything that must hold before a change is kept: installs what is missing, checks the format, the
# direction of includes and the source, builds with warnings as errors, and runs all tests.
#
#   sh tests/check.sh               all of that, about 22 minutes on 2 cores the first time
#   sh tests/check.sh sanitizers    and the unit tests once more under the address and
#                                   undefined-behaviour sanitizers, about as long again
set -eu
cd "$(dirname "$0")/.."

case ${1:-} in
  "" | sanitizers) more=${1:-} ;;
  *)
    echo "$0: $1: no such part (expected sanitizers, or nothing)" >&2
    exit 2
    ;;
esac

start=$(date +%s)
step() {
  echo "== $* ($(($(date +%s) - start)) s)"
}

step "packages"
sh tests/install_packages.sh build tests

step "format"
find lib cli tests samples \( -name '*.h' -o -name '*.cpp' \) -exec clang-format-14 --dry-run -Werror {} +

step "includes"
sh tests/check_includes.sh
sh tests/check_source.sh

mkdir -p build
jobs=$(nproc)

build() { # PRESET TARGET
  preset=$1
  target=$2
  log=build/check-$preset.log
  if ! { cmake --preset "$preset" && cmake --build "build/$preset" -j "$jobs" --target "$target"; } >"$log" 2>&1; then
    grep -nE 'error|FAILED|Error' "$log" | head -n 20 >&2 || true
    tail -n 20 "$log" >&2
    echo "$0: the $preset build failed; all of it is in $log" >&2
    exit 1
  fi
}

run_tests() { # PRESET CTEST-OPTIONS…
  preset=$1
  shift
  log=build/check-$preset-tests.log
  if ! ctest --test-dir "build/$preset" -j "$jobs" --output-on-failure "$@" >"$log" 2>&1; then
    grep -vE '^ *[0-9]+/[0-9]+ Test .* Passed|^ *Start ' "$log" >&2
    echo "$0: tests failed in build/$preset; all of it is in $log" >&2
    exit 1
  fi
}

# The lines with which ctest ends: how many passed, what was skipped, how long it took.
summary() { # PRESET
  sed -n '/tests passed/,$p' "build/check-$1-tests.log" | grep -v '^$'
}

step "build with warnings as errors"
build developer all

step "all tests"
run_tests developer

if [ -z "$more" ]; then
  step "done"
  summary developer
  exit 0
fi

step "build with sanitizers"
build sanitize unit_tests

# Long searches, rendered sheets and hundreds of killed processes take minutes as they are, and many
# times that here.
long="PackStrip|PackOnSheets|LayOutSheets|CutBehind|Scatter|SpacingQuality|ProveParts|ProvePages"
long="$long|RecoverWithoutMat|PhotoStoreKill|CoatsLogKill"

step "unit tests under sanitizers"
run_tests sanitize -L unit -E "$long"

step "done"
echo "release:"
summary developer
echo "sanitizers:"
summary sanitize
