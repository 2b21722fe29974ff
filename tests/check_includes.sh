#!/bin/sh
# The folders of lib/ follow the data: a stage includes core, geometry and earlier stages, io may
# include any of them, and nothing in lib/ includes cli/. Prints each line that breaks this.
set -eu
cd "$(dirname "$0")/.."

order="core geometry scan trace motif piece repeat sheet photo recover coats io"
pure_headers="geometry motif piece repeat"
bad=0

later=" $order cli "
for stage in $order; do
  later=${later#* "$stage"}
  [ -d "lib/$stage" ] || continue
  for folder in $later; do
    if grep -snE "^#include \"(\.\./)*$folder/" /dev/null lib/"$stage"/*.h lib/"$stage"/*.cpp; then
      echo "  $stage comes before $folder and may not include it" >&2
      bad=1
    fi
  done
done

for stage in $pure_headers; do
  [ -d "lib/$stage" ] || continue
  if grep -snE '^#include [<"](opencv2|cairo|poppler|scan/page)' /dev/null lib/"$stage"/*.h; then
    echo "  headers of $stage are free of OpenCV, Cairo and poppler" >&2
    bad=1
  fi
done

for folder in lib/*/; do
  folder=$(basename "$folder")
  case " $order " in
    *" $folder "*) ;;
    *)
      echo "lib/$folder has no place in the order of $0" >&2
      bad=1
      ;;
  esac
done
exit $bad
