#!/bin/sh
# Makes the pictures of the README and of the guide anew, from what the program makes of the sample
# jar. They are what it prints, so look at them before you keep them.
#
#   sh docs/guide/make_pictures.sh [BUILD]     the build whose program is used, default build/demo
#
# Needs poppler-utils and chromium (sh tests/install_packages.sh tests).
set -eu
cd "$(dirname "$0")/../.."
underdraw="$PWD/${1:-build/demo}/cli/underdraw"
pictures="$PWD/docs/pictures"
place=$(mktemp -d)
trap 'rm -rf "$place"' EXIT

cp -R samples/harbour-jar "$place/jar"
rm -rf "$place/jar/out" "$place/jar/record.db" "$place/jar/photos"
jar="$place/jar"
"$underdraw" run "$jar" >"$place/log"
"$underdraw" keep "$jar" "$jar"/photos-drawn/*.jpg --stage drawn --face wall >>"$place/log"
"$underdraw" keep "$jar" "$jar"/photos-covered/*.jpg --stage covered --face wall >>"$place/log"
"$underdraw" recover "$jar" >>"$place/log" 2>&1
"$underdraw" coats "$jar" --card >>"$place/log"
"$underdraw" paper -o "$place/paper.pdf" --names thistle,kelp,scallop,sea-pink,feather,knot >>"$place/log"
"$underdraw" mat --foot 95 -o "$place/mat.pdf" >>"$place/log"

page() { # PDF PAGE DPI NAME
  pdftoppm -r "$3" -gray -f "$2" -singlefile -png "$1" "$pictures/$4"
}
page "$jar/out/sheets.pdf" 3 100 sheet
page "$jar/out/map.pdf" 1 100 map
page "$jar/out/map.pdf" 3 100 views
page "$jar/out/template.pdf" 1 60 template
page "$jar/out/paint-map.pdf" 1 70 areas
page "$jar/out/paint-map.pdf" 2 80 paint-map
page "$jar/out/coat-card.pdf" 1 70 coat-card
page "$place/paper.pdf" 1 60 paper
page "$place/mat.pdf" 1 60 mat

screen() { # PAGE SIZE NAME
  chromium --headless --no-sandbox --hide-scrollbars --window-size="$2" \
    --screenshot="$pictures/$3.png" "file://$1" 2>/dev/null
}
screen "$jar/out/bench.html" 1385,930 recovered
screen "$jar/out/index.html" 1100,820 overview
