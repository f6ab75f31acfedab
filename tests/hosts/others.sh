#!/bin/sh
# SPDX-License-Identifier: ISC
# The plugin in hosts that are too large to be installed for every run of tests/run.sh: qtractor, MusE, Audacity and
# guitarix, on screens that nobody sees, without sound. What each of them does with it stands in plugin/HOSTS.md: a test
# here for each cell of its table. As root, since it takes a network of its own, so that OSC goes nowhere else.
#   sudo apt-get install qtractor muse audacity guitarix
# Usage: others.sh BUNDLES BUILD [WORD...]   as tests/window/run.sh; a host that is not installed is skipped.
set -u
here=$(cd "$(dirname "$0")" && pwd)
. "$here/../counting.sh"

[ $# -ge 2 ] || {
	no 'other hosts: usage: others.sh BUNDLES BUILD [WORD...]'
	finish
}
bundles=$(cd "$1" && pwd) build=$(cd "$2" && pwd)
shift 2
for file in "$bundles/reedlamp.lv2/reedlamp-ui.so" "$build/tests/window/peer"; do
	[ -f "$file" ] || {
		no "other hosts: no $file; build with -Dtests=true -Dwindow=enabled"
		finish
	}
done
missing 'python3 xvfb openbox xdotool x11-utils jackd2 iproute2 gcc' \
	python3 Xvfb openbox xdotool xprop jackd jack_lsp ip unshare cc && {
	skip "other hosts: $why"
	finish
}
without=
without jalv jalv jalv
without qtractor qtractor qtractor
without MusE muse muse
without Audacity audacity audacity
without guitarix guitarix guitarix

scratch=$(mktemp -d) || {
	no 'other hosts: no space for a scratch folder'
	finish
}
trap 'rm -rf "$scratch"' EXIT
trap 'exit 130' HUP INT TERM
cc -shared -fPIC -O1 -o "$scratch/sequencer.so" "$here/sequencer.c" || {
	no 'other hosts: sequencer.c does not compile'
	finish
}
PYTHONDONTWRITEBYTECODE=1 unshare --net sh -c 'ip link set lo up && exec "$@"' others \
	python3 "$here/others.py" "$bundles" "$build/tests/window" "$scratch" "$without" "$@"
