#!/bin/sh
# SPDX-License-Identifier: ISC
# The page: its server against browsers, networks and hostile clients, and the page itself in Chromium. Only this machine's own
# addresses are used.
# Usage: run.sh BUILD [WORD...]   BUILD is the build folder with ui/page/reedlamp-page and tests/page/live_plugin. With WORDs only the
# tests that have one in their name. With PICTURES=FOLDER the screenshots are kept there.
set -u
here=$(cd "$(dirname "$0")" && pwd)
. "$here/../counting.sh"

[ $# -ge 1 ] && [ -d "$1" ] || {
	no 'the page: usage: run.sh BUILD [WORD...]'
	finish
}
build=$(cd "$1" && pwd)
shift
for file in ui/page/reedlamp-page ui/page/pupil.wasm tests/page/live_plugin tests/page/pupil_dump tests/page/lane_dump; do
	[ -f "$build/$file" ] || {
		no "the page: no $build/$file; build with -Dtests=true -Dpage=enabled"
		finish
	}
done
missing 'chromium nodejs npm poppler-utils' chromium node npm pdftotext && {
	skip "the page: $why"
	finish
}
[ -d "$here/node_modules/jsqr" ] || (cd "$here" && npm ci --no-audit --no-fund >/dev/null 2>&1) || {
	no 'the page: playwright-core and jsqr could not be installed with npm ci'
	finish
}

scratch=$(mktemp -d) || {
	no 'the page: no space for a scratch folder'
	finish
}
trap 'rm -rf "$scratch"' EXIT
trap 'exit 130' HUP INT TERM

node "$here/run.mjs" "$build" "$(command -v chromium)" "$scratch" "$@"
status=$?
[ -n "${PICTURES:-}" ] && mkdir -p "$PICTURES" && cp "$scratch"/*.png "$PICTURES/" 2>/dev/null
exit "$status"
