#!/bin/sh
# Installs the Debian packages that are missing, and does nothing when all are there.
#
#   sh tests/install_packages.sh build          what building and running needs
#   sh tests/install_packages.sh build tests    and what the tests need
#   sh tests/install_packages.sh fuzz           clang with its fuzzer, for the preset of that name
#   sh tests/install_packages.sh pictures       published photos (270 MB) that some tests use if there
set -eu

build="
  cmake g++ ninja-build pkg-config
  fontconfig fonts-open-sans
  libcairo2-dev libceres-dev libcli11-dev libeigen3-dev libexif-dev libfmt-dev libheif-dev libjpeg-dev
  libopencv-calib3d-dev libopencv-contrib-dev libopencv-core-dev libopencv-features2d-dev libopencv-imgproc-dev
  libpng-dev libpolyclipping-dev libpoppler-cpp-dev libpugixml-dev libqpdf-dev libsqlite3-dev
  libssl-dev libtiff-dev libtomlplusplus-dev nlohmann-json3-dev zlib1g-dev
"
tests="
  chromium chromium-driver clang-format-14 hershey-fonts-data libbenchmark-dev libgeos-dev
  libgtest-dev librsvg2-bin poppler-utils python3 qpdf
"
fuzz="clang-16 libclang-rt-16-dev"
pictures="opencv-doc"

wanted=""
for list in "$@"; do
  case $list in
    build) wanted="$wanted $build" ;;
    tests) wanted="$wanted $tests" ;;
    fuzz) wanted="$wanted $fuzz" ;;
    pictures) wanted="$wanted $pictures" ;;
    *)
      echo "$0: $list: no such list (expected build, tests, fuzz, pictures)" >&2
      exit 2
      ;;
  esac
done

if ! command -v dpkg-query >/dev/null; then
  echo "$0: this machine has no dpkg; install by hand what these Debian 12 packages hold:" >&2
  echo $wanted >&2
  exit 1
fi

missing=""
for package in $wanted; do
  case $(dpkg-query -W -f '${db:Status-Abbrev}' "$package" 2>/dev/null || true) in
    ?i*) ;;
    *) missing="$missing $package" ;;
  esac
done
[ -n "$missing" ] || exit 0

if [ "$(id -u)" -eq 0 ]; then
  as_root=""
elif command -v sudo >/dev/null; then
  as_root="sudo"
else
  echo "$0: packages are missing, and this is neither root nor is there sudo; as root, run:" >&2
  echo "apt-get install --no-install-recommends$missing" >&2
  exit 1
fi

echo "Installing:$missing"
$as_root apt-get update -qq
$as_root env DEBIAN_FRONTEND=noninteractive \
  apt-get install -y -qq --no-install-recommends $missing >/dev/null
