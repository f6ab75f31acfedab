#!/bin/sh
# SPDX-License-Identifier: ISC
# The plugin in real hosts: Ardour without a window, jalv under a JACK server of its own, both without
# sound; programs that read a sound file and write one. probe.c writes down what the host reports and what the plugin answers; both are compared with
# the host's own tempo map.
# Usage: run.sh BUNDLES PROBE [WORD...]   BUNDLES holds reedlamp.lv2; PROBE is the build folder with
# probe.so and timebase (or probe.so there). With WORDs only the tests that have one in their name.
set -u
here=$(cd "$(dirname "$0")" && pwd)
. "$here/../counting.sh"

[ $# -ge 2 ] || {
	no 'real hosts: usage: run.sh BUNDLES PROBE [WORD...]'
	finish
}
[ ! -d "$1" ] || bundles=$(cd "$1" && pwd) # the hosts run in folders of their own
bundle=${bundles-$1}/reedlamp.lv2 probe=$2
shift 2
[ -d "$probe" ] || probe=$(dirname "$probe")
[ ! -d "$probe" ] || probe=$(cd "$probe" && pwd)
for file in "$bundle/reedlamp.so" "$bundle/manifest.ttl" "$probe/probe.so" "$probe/timebase"; do
	[ -f "$file" ] || {
		no "real hosts: no $file; build with -Dtests=true"
		finish
	}
done
missing python3 python3 && {
	skip "real hosts: $why"
	finish
}
without=
without Ardour ardour ardour7-lua ardour7-export
without jalv 'jalv jackd2' jalv jackd
without lv2file lv2file lv2file
without lv2proc lv2proc lv2proc
without lv2apply lilv-utils lv2apply
without lv2bench lilv-utils lv2bench
without ffmpeg ffmpeg ffmpeg

scratch=$(mktemp -d) || {
	no 'real hosts: no space for a scratch folder'
	finish
}
trap 'rm -rf "$scratch"' EXIT
trap 'exit 130' HUP INT TERM

# The hosts see our own description of the ports and, behind it, the probe.
mkdir -p "$scratch/lv2/reedlamp.lv2"
cp "$bundle"/*.ttl "$scratch/lv2/reedlamp.lv2/"
cp "$probe/probe.so" "$scratch/lv2/reedlamp.lv2/reedlamp.so"
band=$probe/../listen/band_write
if [ -x "$band" ]; then band=$(cd "$(dirname "$band")" && pwd)/band_write; else band=; fi
real=$(cd "$bundle" && pwd)/reedlamp.so
timebase=$(cd "$probe" && pwd)/timebase

PYTHONDONTWRITEBYTECODE=1 python3 "$here/run.py" "$(dirname "$bundle")" "$scratch/lv2" "$real" "$timebase" "$scratch" "$without" "$band" "$@"
