#!/bin/sh
# SPDX-License-Identifier: ISC
# The window by mouse and keyboard (xdotool) on a virtual screen: run.sh BUNDLES BUILD, where BUNDLES holds
# reedlamp.lv2 and BUILD is the build folder with tests/byhand and tests/window.
set -u
here=$(cd "$(dirname "$0")" && pwd)
. "$here/../counting.sh"
missing 'python3 xvfb xdotool x11-utils' python3 Xvfb xdotool xprop && {
	skip "by hand: $why"
	finish
}
scratch=$(mktemp -d) || exit 1
trap 'rm -rf "$scratch"' EXIT
trap 'exit 130' HUP INT TERM
PYTHONDONTWRITEBYTECODE=1 python3 "$here/run.py" "$1" "$2/tests/byhand" "$2/tests/window" "$scratch"
