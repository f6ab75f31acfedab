#!/bin/sh
# Usage: seeds.sh atoms|state|chart|abc FOLDER   Fills FOLDER with a corpus for that fuzzer to begin with,
# made out of the charts of presets/ (and, for chart, of the broken ones of tests/charts/broken/); for abc,
# of the phrases of presets/ and of the tunes of tests/core/abc/.
set -eu
case ${1-} in
atoms | state | chart | abc) [ $# -eq 2 ] ;;
*) false ;;
esac || {
	echo "usage: seeds.sh atoms|state|chart|abc FOLDER" >&2
	exit 2
}
top=$(cd "$(dirname "$0")/../.." && pwd)
mkdir -p "$2"

bytes() { for b; do printf "\\$(printf %03o "$b")"; done; }

# A text with its length before it, low byte first, as both fuzzers read one.
text() {
	n=$(wc -c <"$1")
	bytes $((n % 256)) $((n / 256))
	cat "$1"
}

# fuzz_atoms: a chart is set, the worker works, the host reports and rolls, a foot switch, the harp changes,
# a short chart without its NUL and a report, each with a size that is a little off.
atoms() {
	bytes 0
	bytes 2 0 0 0 && text "$1"
	bytes 0 0 5 0 0 8
	bytes 1 0 $((0xEF)) 0 0 0 1 0 4 4 16
	bytes 0 26 3 0 1 4 3 7 0 2 5 0
	bytes 1 4 $((0x0C)) 0 1 2 0 25
	bytes 12 3 129 2 0 0 10 6 0 1 && printf '| I7 |'
	bytes 0 0 12 7 129 1 0 $((0x0C)) 0 0 1 0 0
}

# fuzz_state: a block, then bar one, a path, an address and the chart are restored, a block, the twin.
state() {
	bytes $((0x51)) $((0x18))
	bytes $((0x11)) 1 $((0x11))
	bytes $((0x41)) 3 0 && printf f/x
	bytes $((0x41)) 14 0 && printf 127.0.0.1:9911
	bytes $((0x41)) && text "$1"
}

# fuzz_chart takes a chart as it is.
chart() { cat "$1"; }

if [ "$1" = abc ]; then
	cp "$top"/presets/phrases/*.abc "$top"/tests/core/abc/*.abc "$2"
	exit
fi

for file in "$top"/presets/*.chart "$top"/tests/charts/broken/*.chart; do
	case $1:$file in
	chart:* | *presets/*) "$1" "$file" >"$2/$(basename "$file" .chart)" ;;
	esac
done
