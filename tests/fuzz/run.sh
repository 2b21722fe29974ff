#!/bin/sh
# Builds the fuzzer and runs every target, one after the other on one core; what is found lies in
# build/fuzz/found/TARGET afterwards, beside the log.
#
#   sh tests/fuzz/run.sh                all, ten minutes each
#   sh tests/fuzz/run.sh 60 svg tiff    these two, a minute each
set -eu
cd "$(dirname "$0")/../.."

seconds=600
case ${1:-} in
  [0-9]*)
    seconds=$1
    shift
    ;;
esac

sh tests/install_packages.sh build fuzz
cmake --preset fuzz >build/fuzz.log
cmake --build build/fuzz --target underdraw_fuzz make_fuzz_seeds >>build/fuzz.log
programs=$PWD/build/fuzz/tests/fuzz
# Leaks of the libraries that write the seeds are not what is looked for.
ASAN_OPTIONS=detect_leaks=0 "$programs/make_fuzz_seeds" build/fuzz/seeds
[ $# -gt 0 ] || set -- $(ls build/fuzz/seeds)

found=0
for target in "$@"; do
  mkdir -p "build/fuzz/found/$target" "build/fuzz/corpus/$target"
  if nice -n 19 "$programs/underdraw_fuzz" --target="$target" \
    "build/fuzz/corpus/$target" "build/fuzz/seeds/$target" \
    -max_total_time="$seconds" -timeout=20 -rss_limit_mb=2500 -malloc_limit_mb=1500 \
    -print_final_stats=1 -artifact_prefix="build/fuzz/found/$target/" \
    2>"build/fuzz/found/$target/log"; then
    echo "$target: $(sed -n 's/^stat::number_of_executed_units: *//p' "build/fuzz/found/$target/log") inputs, nothing found"
  else
    echo "$target: $(grep -m 1 -E 'finding:|ERROR:|runtime error:' "build/fuzz/found/$target/log")"
    found=1
  fi
done
exit $found
