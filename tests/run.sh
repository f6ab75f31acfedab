#!/bin/sh
# SPDX-License-Identifier: ISC
# Every check there is. Installs what it needs on Debian 12 (root, or sudo), builds beside the sources, and ends
# with the plain line "N passed, N failed". Works from any folder, as often as you like.
set -u
top=$(cd "$(dirname "$0")/.." && pwd)
plain=$top/build-tests
fuzzed=$top/build-fuzz
watched=$top/build-sanitizers
raced=$top/build-threads
passed=0
failed=0

fail() {
	printf 'tests: %s\n' "$1" >&2
	exit 1
}

. "$top/plugin/install.sh"
packages_need 'for the tests' gcc libc6-dev meson ninja-build pkg-config python3 lv2-dev liblilv-dev libsndfile1-dev \
	libpugl-dev libcairo2-dev libpango1.0-dev libx11-dev fonts-b612 fonts-dejavu-core \
	liblo-dev liblo-tools iproute2 libcmocka-dev clang clang-format clang-tidy libclang-rt-14-dev valgrind sordi lv2-examples \
	abcmidi jalv jackd2 libjack-jackd2-dev ardour xvfb openbox xdotool imagemagick x11-utils \
	poppler-utils man-db lowdown appstream desktop-file-utils libmicrohttpd-dev libqrencode-dev lld wasi-libc libclang-rt-14-dev-wasm32 python3-fonttools python3-brotli chromium
command -v node >/dev/null && command -v npm >/dev/null || packages_need 'for the tests' nodejs npm

exec 3>&1 # past the logs
logs=$(mktemp -d) || fail 'no room for the logs'
trap 'rm -rf "$logs"' EXIT

# step NAME COMMAND...   One check; what it said is shown if it fails.
step() {
	name=$1
	shift
	if "$@" >"$logs/log" 2>&1; then
		passed=$((passed + 1))
		printf 'ok - %s\n' "$name"
	else
		failed=$((failed + 1))
		printf 'not ok - %s\n' "$name"
		tail -n 40 "$logs/log" | sed 's/^/    /'
	fi
}

# counted NAME COMMAND...   Many checks in one: its own last "N passed, N failed" counts.
counted() {
	name=$1
	shift
	"$@" >"$logs/log" 2>&1
	status=$?
	grep -E '^(ok|not ok) ' "$logs/log" | sed 's/^/    /'
	tally=$(sed -n 's/^\([0-9][0-9]*\) passed, \([0-9][0-9]*\) failed$/\1 \2/p' "$logs/log" | tail -n 1)
	if [ -n "$tally" ]; then
		passed=$((passed + ${tally% *}))
		failed=$((failed + ${tally#* }))
		printf '%s: %s passed, %s failed\n' "$name" "${tally% *}" "${tally#* }"
	else
		failed=$((failed + 1))
		printf 'not ok - %s ended with %s before it could count\n' "$name" "$status"
		tail -n 20 "$logs/log" | sed 's/^/    /'
	fi
}

build() {
	folder=$1
	shift
	[ -f "$folder/build.ninja" ] || meson setup "$folder" "$top" -Dwerror=true "$@" || return 1
	meson compile -C "$folder"
}

sources() {
	find "$top/core" "$top/plugin" "$top/ui" "$top/tests" -name '*.[ch]' -not -path '*/node_modules/*'
}

format_check() {
	sources | xargs clang-format --dry-run -Werror
}

tidy_check() {
	find "$top/core" "$top/plugin" "$top/ui" -name '*.c' | xargs -P 2 -n 4 clang-tidy --quiet -p "$plain"
}

fuzz_short() {
	corpus=$logs/corpus-$1
	mkdir -p "$corpus"
	sh "$top/tests/fuzz/seeds.sh" "$1" "$corpus" &&
		"$fuzzed/tests/fuzz/fuzz_$1" -max_total_time=20 -max_len=20000 -timeout=10 -print_final_stats=1 \
			-artifact_prefix="$logs/" "$corpus"
}

# A fuzzer that finds nothing proves little, unless it finds a bug planted for it.
fuzz_planted() {
	corpus=$logs/planted-$1
	mkdir -p "$corpus"
	sh "$top/tests/fuzz/seeds.sh" "$1" "$corpus" || return 1
	! "$fuzzed/tests/fuzz/fuzz_$1_planted" -max_total_time=90 -max_len=20000 -artifact_prefix="$logs/" "$corpus"
}

tonal_check() {
	(cd "$top/tests/core/tonal" && { [ -d node_modules ] || npm ci --no-audit --no-fund; }) &&
		node "$top/tests/core/harmony/tonal/check.mjs" "$plain/tests/core/chords_dump"
}

abc_check() {
	(cd "$top/tests/core/abc/outside" && { [ -d node_modules ] || npm ci --ignore-scripts --no-audit --no-fund; }) &&
		node "$top/tests/core/abc/outside/check.mjs" "$plain/tests/core/abc_dump" "$top"/tests/core/abc/outside/*.abc "$top"/presets/phrases/*.abc
}

smf_check() {
	(cd "$top/tests/core/smf" && { [ -d node_modules ] || npm ci --ignore-scripts --no-audit --no-fund; }) &&
		node "$top/tests/core/capture/smf/check.mjs" "$plain/tests/core/smf_dump"
}

osc_check() {
	(cd "$top/tests/osc/decode" && { [ -d node_modules ] || npm ci --ignore-scripts --omit=optional --no-audit --no-fund; }) &&
		node "$top/tests/osc/decode/check.mjs" "$plain/tests/osc/send" "$plain/lv2"
}

# Where network namespaces are not allowed it says so; that is no fault of the plugin's.
network_check() {
	python3 "$top/tests/osc/network.py" "$plain/tests/osc/send" "$plain/lv2"
	status=$?
	[ "$status" -ne 77 ] || echo '    (the cable was not pulled: network namespaces are not allowed here)' >&3
	[ "$status" -eq 0 ] || [ "$status" -eq 77 ]
}

# Two threads and a network, with every access to memory watched; the looking up of names too.
threads_check() {
	build "$raced" -Dtests=true -Dwindow=disabled -Dsheet=disabled -Dbuildtype=debugoptimized -Db_sanitize=thread -Db_lundef=false &&
		"$raced/tests/osc/test_handover" &&
		env RL_BUNDLES="$raced/lv2" TSAN_OPTIONS=halt_on_error=1 "$raced/tests/osc/test_osc" &&
		env RL_BUNDLES="$raced/lv2" REEDLAMP_FEW=1 TSAN_OPTIONS=halt_on_error=1 "$raced/tests/osc/test_receivers" &&
		env TSAN_OPTIONS=halt_on_error=1 "$raced/tests/osc/send" "$raced/lv2" '127.0.0.1:9911 localhost:9912' 12
}

memory_check() {
	for heard in osc receivers; do
		env RL_BUNDLES="$plain/lv2" REEDLAMP_FEW=1 valgrind -q --leak-check=full --errors-for-leak-kinds=definite \
			--error-exitcode=9 "$plain/tests/osc/test_$heard" || return 1
	done
}

step 'builds without a warning (gcc)' build "$plain" -Dtests=true -Ddemo=true
step 'the tree keeps its walls' python3 "$top/tests/check_tree.py" "$top"
step 'the code is formatted' format_check
step 'clang-tidy has nothing to say' tidy_check
counted 'core and plugin' env REEDLAMP_MAPS=100 python3 "$top/tests/meson_count.py" "$plain"
step 'builds with sanitizers' build "$watched" -Dtests=true -Dbuildtype=debugoptimized \
	-Db_sanitize=address,undefined -Db_lundef=false
counted 'core and plugin, addresses and undefined behaviour watched' env REEDLAMP_MAPS=6 REEDLAMP_FEW=1 UBSAN_OPTIONS=halt_on_error=1 \
	LSAN_OPTIONS="suppressions=$top/tests/ui/leaks.supp" \
	python3 "$top/tests/meson_count.py" "$watched"
step 'the bundle is valid' sh "$top/tests/check_bundle.sh" "$plain/lv2"
step 'chords agree with an outside dictionary' tonal_check
step 'ABC agrees with two outside readers' abc_check
step 'MIDI files agree with an outside reader' smf_check
step 'OSC packets agree with an outside decoder, and with oscdump' osc_check
step 'OSC: the cable is pulled' network_check
step 'OSC: no two threads are in each other'"'"'s way' threads_check
step 'OSC: valgrind has nothing to say' memory_check
step 'the fuzzers build' env CC=clang sh -c \
	'[ -f "$1/build.ninja" ] || meson setup "$1" "$2" -Dfuzzers=true -Dbuildtype=debugoptimized -Db_lundef=false && meson compile -C "$1"' \
	- "$fuzzed" "$top"
for what in chart abc plan smf take atoms state hear osc web; do
	step "fuzzing finds nothing: $what" fuzz_short "$what"
	step "fuzzing finds a planted bug: $what" fuzz_planted "$what"
done
counted 'real hosts' sh "$top/tests/hosts/run.sh" "$plain/lv2" "$plain/tests/hosts"
counted 'the window' sh "$top/tests/window/run.sh" "$plain/lv2" "$plain"
counted 'the sheet' python3 "$top/tests/sheet/run.py" "$plain" "$top"
counted 'the page' sh "$top/tests/page/run.sh" "$plain"
counted 'the window by hand' sh "$top/tests/byhand/run.sh" "$plain/lv2" "$plain"
step 'the demo plays' env -u DISPLAY sh "$top/plugin/demo.sh"
step 'the demo plays again' env -u DISPLAY sh "$top/plugin/demo.sh"
counted 'pictures' sh "$top/tests/pictures/run.sh" "$plain/tests/pictures/compare" "$top/build-demo/demo"

printf '%d passed, %d failed\n' "$passed" "$failed"
[ "$failed" -eq 0 ]
