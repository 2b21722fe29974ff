#!/bin/sh
# Installs a build into an empty folder, has another project find it there, and looks whether the
# manual and the completion came along.
#
#   install_test.sh SOURCE BUILD
set -eu
source=$1
build=$2
place=$(mktemp -d)
trap 'rm -rf "$place"' EXIT

cmake --install "$build" --prefix "$place/usr" >"$place/log"
cmake -S "$source/samples/api" -B "$place/build" -G Ninja \
  -DCMAKE_PREFIX_PATH="$place/usr" -DCMAKE_CXX_FLAGS=-O0 >>"$place/log"
cmake --build "$place/build" --target coats_for_a_jar >>"$place/log" || {
  tail -n 20 "$place/log" >&2
  exit 1
}
"$place/build/coats_for_a_jar" "$source/samples/quay-tiles/waves.svg" | grep -q 'slip white: '

"$place/usr/bin/underdraw" --version | grep -q '^underdraw [0-9]'
for page in underdraw underdraw-run underdraw-keep underdraw-recover; do
  grep -q '^\.SH NAME' "$place/usr/share/man/man1/$page.1"
done

# Completion, asked the way bash asks.
completed=$(bash -c '
  . "$1"
  COMP_WORDS=(underdraw rec) COMP_CWORD=1
  _underdraw
  echo "${COMPREPLY[@]}"
  COMP_WORDS=(underdraw recover my-jar --bef) COMP_CWORD=3
  _underdraw
  echo "${COMPREPLY[@]}"' - "$place/usr/share/bash-completion/completions/underdraw")
[ "$completed" = "recover
--before" ] || {
  echo "completion says: $completed" >&2
  exit 1
}
