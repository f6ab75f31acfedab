# SPDX-License-Identifier: ISC
# Sourced by the runners of hosts, window, byhand, page and pictures: what they count and how they end.
# A runner prints one line a test, which tests/steps.py reads:
#   ok - NAME              not ok - NAME: WHY
#   skipped - NAME: WHY    what cannot run here
#   again - NAME: WHY      a try that failed; the test is run once more
# and at last "N passed, N failed, N skipped".
passed=0
failed=0
skipped=0

ok() {
	passed=$((passed + 1))
	printf 'ok - %s\n' "$1"
}

no() {
	failed=$((failed + 1))
	printf 'not ok - %s\n' "$1"
}

skip() {
	skipped=$((skipped + 1))
	printf 'skipped - %s\n' "$1"
}

finish() {
	printf '%d passed, %d failed, %d skipped\n' "$passed" "$failed" "$skipped"
	[ "$failed" -eq 0 ]
	exit
}

# missing PACKAGES COMMAND...   Is a command missing? Says in $why which, and what to install.
missing() {
	packages=$1
	shift
	for command; do
		command -v "$command" >/dev/null && continue
		why="$command is not installed; apt-get install $packages"
		return 0
	done
	return 1
}

# without NAME PACKAGES COMMAND...   Adds a line "NAME: WHY" to $without if a command is missing.
without() {
	name=$1
	shift
	missing "$@" || return 0
	without="${without:+$without
}$name: $why"
}
