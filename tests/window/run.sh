#!/bin/sh
# SPDX-License-Identifier: ISC
# The window: in a bare host, in jalv and in Ardour, on screens that nobody sees. Without sound, without hardware.
# Usage: run.sh BUNDLES BUILD [WORD...]   BUNDLES holds reedlamp.lv2; BUILD is the build folder with tests/window/drive
# and tests/hosts/timebase. With WORDs only the tests that have one in their name. REEDLAMP_WITHOUT=Ardour skips the
# tests of its window.
set -u
here=$(cd "$(dirname "$0")" && pwd)
. "$here/../counting.sh"

[ $# -ge 2 ] || {
	no 'the window: usage: run.sh BUNDLES BUILD [WORD...]'
	finish
}
[ -d "$1" ] && [ -d "$2" ] || {
	no "the window: no folder $1 or $2"
	finish
}
bundles=$(cd "$1" && pwd) build=$(cd "$2" && pwd)
shift 2
for file in "$bundles/reedlamp.lv2/reedlamp-ui.so" "$build/tests/window/drive" "$build/tests/hosts/timebase"; do
	[ -f "$file" ] || {
		no "the window: no $file; build with -Dtests=true -Dwindow=enabled"
		finish
	}
done
missing 'python3 xvfb openbox xdotool imagemagick x11-utils jackd2' \
	python3 Xvfb openbox xdotool import xprop jackd jack_lsp && {
	skip "the window: $why"
	finish
}
without=
[ "${REEDLAMP_WITHOUT-}" != Ardour ] || without='Ardour: REEDLAMP_WITHOUT=Ardour'
without Ardour ardour ardour ardour7-lua
without jalv jalv jalv.gtk3
without valgrind valgrind valgrind

scratch=$(mktemp -d) || {
	no 'the window: no space for a scratch folder'
	finish
}
trap 'rm -rf "$scratch"' EXIT
trap 'exit 130' HUP INT TERM

PYTHONDONTWRITEBYTECODE=1 python3 "$here/run.py" "$bundles" "$build/tests/window" "$build/tests/hosts/timebase" \
	"$here/../hosts/ardour.lua" "$scratch" "$without" "$@"
