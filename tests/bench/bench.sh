#!/bin/sh
# SPDX-License-Identifier: ISC
# Usage: bench.sh COST BUNDLES HEAR_COST [LIFT_COST]   Prints what things cost: instructions counted by callgrind inside run(), the rest by
# the clock. Numbers to read, never a verdict.
set -u
cost=$1 bundles=$2 hear=$3 lift=${4:-}
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT

counted() {
	valgrind --tool=callgrind --callgrind-out-file="$scratch/out" --toggle-collect=run \
		"$cost" "$bundles" "$1" "$2" 2>&1 | sed -n 's/.*Collected : \([0-9]*\).*/\1/p'
}

# The player's ear, a second of sound at 48 kHz: four seconds less one, by three.
heard() {
	for seconds in 1 4; do
		valgrind --tool=callgrind --callgrind-out-file="$scratch/out" --toggle-collect=rl_reed_ear_hear \
			"$hear" "$1" "$seconds" 2>&1 | sed -n 's/.*Collected : \([0-9]*\).*/\1/p'
	done | { read -r one && read -r four && echo $(((four - one) / 3)); }
}

# A phrase of ten seconds, lifted: of one channel, of two.
lifted() {
	valgrind --tool=callgrind --callgrind-out-file="$scratch/out" --toggle-collect=rl_lift \
		"$lift" "$1" 2>&1 | sed -n 's/.*Collected : \([0-9]*\).*/\1/p'
}

# Beats fall 365 blocks apart at 123.4: between block 400 and 700 there is none.
between() {
	echo $((($(counted "$1" 700) - $(counted "$1" 400)) / 300))
}

line() {
	printf '%-58s %10d instructions%s\n' "$1" "$2" "$3"
}

quiet=$(between quiet)
line 'run(), rolling, 64 frames, nothing to tell' "$quiet" ' (aim: at most 600)'
line 'run(), a full report in every block' "$(between reports)" ' (aim: at most 2500)'
line 'run(), the same from a host that counts ticks' "$(between ticks)" ' (aim: at most 2500)'
line 'run(), the player heard, 64 frames on average' "$(between hears)" ''
line 'run(), a song followed by ear, the audio thread' "$(between listens)" ''
line 'run(), nothing to tell, OSC on' "$(between air)" ''
changes=$(($(counted changes 36900) - $(counted changes 400) - 36500 * quiet))
line 'a beat that brings another chord' "$((changes / 100 + quiet))" ' (aim: at most 8000; 100 beats)'
line 'the player heard: a second of sound, silence' "$(heard silence)" ''
line 'the player heard: a second of sound, playing' "$(heard playing)" ''
if [ -n "$lift" ]; then
	for channels in 1 2; do
		line "a phrase lifted: ten seconds, $channels channel(s)" "$(lifted $channels)" ''
		"$lift" $channels
	done
fi
"$cost" "$bundles" time
