#!/bin/sh
# One scanned page of six sketches to proved transfer sheets, and covered lines brought back from
# photos: installs what is missing, builds the program, runs it on samples/harbour-jar, then on the
# other samples. Read this first; the piece is described in samples/harbour-jar/piece.toml.
set -eu
cd "$(dirname "$0")/.."

sh tests/install_packages.sh build

echo "Building the program (a few minutes the first time)"
log=build/demo.log
mkdir -p build
if ! { cmake --preset release -B build/demo -DUNDERDRAW_TESTS=OFF &&
  cmake --build build/demo --target underdraw; } >"$log" 2>&1; then
  tail -n 40 "$log" >&2
  echo "$0: the program could not be built; the lines above are the end of $log" >&2
  exit 1
fi

for piece in harbour-jar tern-figure quay-tiles harbour-class; do
  echo
  echo "underdraw run samples/$piece"
  echo
  build/demo/cli/underdraw run "samples/$piece"
done

# The lines that were drawn on the jar, photographed before and after its coat.
jar=samples/harbour-jar
echo
echo "underdraw keep $jar PHOTOS... and underdraw recover $jar"
echo
build/demo/cli/underdraw keep "$jar" "$jar"/photos-drawn/*.jpg --stage drawn --face wall
build/demo/cli/underdraw keep "$jar" "$jar"/photos-covered/*.jpg --stage covered --face wall
echo
build/demo/cli/underdraw recover "$jar"

echo
echo "underdraw coats $jar --card"
echo
build/demo/cli/underdraw coats "$jar" --card

cat <<END

Look at them in $PWD/samples/harbour-jar/out
  index.html   all of a run on one page
  views.png    the jar from its four sides, drawing and all
  map.png      its wall unrolled, every copy numbered
  template.pdf the wall and the lid as flat paper at true size
  sheets.pdf   cover page and transfer sheets, to be printed at 100 %
  motifs/      the traced sketches, one SVG each; variants/ has the twelve variants
  proof.json   how true the sheets are, measured from the PDF
  bench.html   the covered lines brought back, number by number over the photos
  redraw.pdf   the same as sheets to draw them again from; overlays/ has them on each photo
  paint-map.pdf  areas, sizes and colours; coat-card.pdf has what to mix and boxes to tick
samples/tern-figure/out has the patches of a free-form body, samples/quay-tiles/out a run of tiles,
samples/harbour-class/out the tiles of a class: printer.pdf has everybody's sheets.
For example: xdg-open samples/harbour-jar/out/sheets.pdf
END
