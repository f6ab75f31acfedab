#!/bin/sh
# SPDX-License-Identifier: ISC
# The checks of tests/steps.py that take more than one command. Usage: checks.sh NAME [ARGUMENT...]
# One that cannot run here ends with 77, its last line says why.
set -u
top=$(cd "$(dirname "$0")/.." && pwd)
plain=$top/build-tests
fuzzed=$top/build-fuzz
raced=$top/build-threads

# build FOLDER TARGETS OPTION...   TARGETS in one word; empty: everything.
build() {
	folder=$1 targets=$2
	shift 2
	[ -f "$folder/build.ninja" ] || meson setup "$folder" "$top" -Dwerror=true "$@" || return 1
	# shellcheck disable=SC2086
	meson compile -C "$folder" $targets
}

# install_own   What README's first command leaves behind: a bundle that a host lists, programs that run, their pages.
install_own() {
	home=$(mktemp -d) || return 1
	trap 'rm -rf "$home"' EXIT
	HOME=$home XDG_CONFIG_HOME=$home/.config sh "$top/plugin/demo.sh" install || return 1
	HOME=$home LV2_PATH=$home/.lv2:/usr/lib/lv2 lv2ls | grep -q '^urn:reedlamp:plugin$' || { echo 'no host would list it'; return 1; }
	for program in reedlamp-page reedlamp-sheet reedlamp-listen; do
		"$home/.local/bin/$program" --help >/dev/null || { echo "$program does not run"; return 1; }
	done
	[ -f "$home/.config/ardour7/scripts/reedlamp-session.lua" ] || return 1
	for program in page sheet listen; do
		[ -f "$home/.local/share/man/man1/reedlamp-$program.1" ] || { echo "no manual page of reedlamp-$program"; return 1; }
	done
}

needs() {
	command -v "$1" >/dev/null && return
	echo "$1 is not installed"
	exit 77
}

sources() {
	find "$top/core" "$top/plugin" "$top/ui" "$top/tests" -name "$1" -not -path '*/node_modules/*'
}

format() {
	needs clang-format
	sources '*.[ch]' | xargs clang-format --dry-run -Werror
}

# tidy JOBS   Every source file once, and every header through who includes it; the fuzzers are in a build of their own.
tidy() {
	product=$(python3 "$top/tests/once.py" "$plain") && fuzzers=$(python3 "$top/tests/once.py" "$fuzzed") || return 1
	sources '*.c' | grep -v "^$top/tests/fuzz/" | sort | xargs -P "$1" -n 4 sh "$0" tidy_some "$product"
	rest=$?
	sources '*.c' | grep "^$top/tests/fuzz/" | xargs -P "$1" -n 2 sh "$0" tidy_some "$fuzzers" && [ "$rest" -eq 0 ]
}

# tidy_some BUILD FILE...   Without its count of warnings that are switched off. What it says of several files counts if it says
# so of one alone: clang-tidy 14 takes names from file to file, and at times a call for one of va_copy().
tidy_some() {
	build=$1
	shift
	found=$(clang-tidy --quiet -p "$build" "$@" 2>&1) && return 0
	if [ $# -gt 1 ]; then
		bad=0
		for file; do
			sh "$0" tidy_some "$build" "$file" || bad=1
		done
		return "$bad"
	fi
	printf '%s\n' "$found" | grep -vE '^([0-9]+ warnings? generated\.)?$'
	return 1
}

# node_modules FOLDER OPTION...   Goes there, and installs its outside programs unless they are.
node_modules() {
	cd "$1" || return 1
	shift
	[ -d node_modules ] || npm ci --no-audit --no-fund "$@"
}

tonal() {
	node_modules "$top/tests/core/harmony/tonal" && node check.mjs "$plain/tests/core/chords_dump"
}

abc() {
	node_modules "$top/tests/core/abc/outside" --ignore-scripts &&
		node check.mjs "$plain/tests/core/abc_dump" "$PWD"/*.abc "$top"/presets/phrases/*.abc --book="$PWD/../tunebook.txt"
}

smf() {
	node_modules "$top/tests/core/capture/smf" --ignore-scripts && node check.mjs "$plain/tests/core/smf_dump"
}

osc() {
	node_modules "$top/tests/osc/decode" --ignore-scripts --omit=optional && node check.mjs "$plain/tests/osc/send" "$plain/lv2"
}

# Two threads and a network, with every access to memory watched; the looking up of names too.
threads() {
	export RL_BUNDLES="$raced/lv2" TSAN_OPTIONS=halt_on_error=1
	"$raced/tests/osc/test_handover" &&
		"$raced/tests/osc/test_osc" &&
		REEDLAMP_FEW=1 "$raced/tests/osc/test_receivers" &&
		"$raced/tests/osc/send" "$raced/lv2" '127.0.0.1:9911 localhost:9912' 12
}

# The listener's thread beside the audio thread's and the worker's; what the worker lends to be listened to.
listen_threads() {
	export RL_BUNDLES="$raced/lv2" TSAN_OPTIONS=halt_on_error=1 REEDLAMP_FEW=1
	"$raced/tests/plugin/test_listen" && "$raced/tests/plugin/test_listen_transport" && "$raced/tests/plugin/test_audition" &&
		"$raced/tests/plugin/test_lent"
}

# The window's lesson sheets: their thread beside the window's. The libraries below are not built to be watched.
sheet_threads() {
	TSAN_OPTIONS='halt_on_error=1 ignore_noninstrumented_modules=1' "$raced/tests/sheet/test_sheet_thread"
}

memory() {
	needs valgrind
	for heard in osc receivers; do
		env RL_BUNDLES="$plain/lv2" REEDLAMP_FEW=1 valgrind -q --leak-check=full --errors-for-leak-kinds=definite \
			--error-exitcode=9 "$plain/tests/osc/test_$heard" || return 1
	done
}

"$@"
