# SPDX-License-Identifier: ISC
# Sourced by the runners of hosts, window and page: what they count and how they end.
passed=0
failed=0

no() {
	failed=$((failed + 1))
	printf 'not ok - %s\n' "$1"
}

finish() {
	printf '%d passed, %d failed\n' "$passed" "$failed"
	[ "$failed" -eq 0 ]
	exit
}

# missing WHAT PACKAGE COMMAND...   Is a command missing? Says so in one line.
missing() {
	what=$1 package=$2
	shift 2
	for command; do
		command -v "$command" >/dev/null && continue
		no "$what: $command is not installed; apt-get install $package"
		return 0
	done
	return 1
}

# add_up WHAT FILE   Adds what a program has counted, `PASSED FAILED`; without that it broke off.
add_up() {
	if [ -f "$2" ]; then
		read -r good bad <"$2"
		passed=$((passed + good))
		failed=$((failed + bad))
	else
		no "$1: the tests broke off"
	fi
}
