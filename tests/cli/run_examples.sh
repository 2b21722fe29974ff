#!/bin/sh
# Runs the example of `underdraw COMMAND --help` and the one in docs/commands/COMMAND.md, each in a
# fresh folder with a copy of samples/ as in the checkout.
#
#   sh tests/cli/run_examples.sh PROGRAM COMMAND SCRATCH
set -eu
program=$1
command=$2
scratch=$3
root=$(cd "$(dirname "$0")/../.." && pwd)

from_help=$("$program" "$command" --help | sed -n '/^Example:/,$ s/^  //p')
from_page=$(sed -n '/^## Example/,$ p' "$root/docs/commands/$command.md" |
  sed -n '/^```sh/,/^```/ p' | grep -v '^```')
case $from_help in "underdraw $command "*) ;; *)
  echo "underdraw $command --help has no example" >&2
  exit 1
  ;;
esac
case $from_page in *"underdraw $command "*) ;; *)
  echo "docs/commands/$command.md has no example" >&2
  exit 1
  ;;
esac

mkdir -p "$scratch"
ln -sf "$program" "$scratch/underdraw"
PATH=$(cd "$scratch" && pwd):$PATH
XDG_CONFIG_HOME=$(cd "$scratch" && pwd)/settings
export XDG_CONFIG_HOME
for example in "$from_help" "$from_page"; do
  rm -rf "$scratch/checkout"
  mkdir -p "$scratch/checkout/samples"
  cp -R "$root/samples/harbour-jar" "$scratch/checkout/samples/"
  rm -rf "$scratch"/checkout/samples/harbour-jar/photos "$scratch"/checkout/samples/harbour-jar/record.db*
  case $example in *harbour-jar/out/*)
    # As after the demo, which made it.
    (cd "$scratch/checkout" && underdraw run samples/harbour-jar >/dev/null)
    ;;
  esac
  case $example in "underdraw recover "*)
    (cd "$scratch/checkout/samples/harbour-jar" &&
      underdraw keep . photos-drawn/*.jpg --stage drawn --face wall >/dev/null)
    ;;
  esac
  echo "$example"
  (cd "$scratch/checkout" && sh -eu -c "$example")
done
rm -rf "$scratch"
