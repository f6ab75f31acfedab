#!/bin/sh
# SPDX-License-Identifier: ISC
# Usage: seeds.sh atoms|state|chart|abc|plan|smf|take|ear|hear|hear_player|hear_take|lift|osc|web FOLDER   Fills FOLDER with a corpus for that fuzzer to begin with,
# made out of the charts of presets/ (and, for chart, of the broken ones of tests/charts/broken/); for abc,
# of the phrases of presets/ and of the tunes of tests/core/abc/outside/.
set -eu
case ${1-} in
atoms | state | chart | abc | plan | smf | take | ear | hear | hear_player | hear_take | lift | osc | web) [ $# -eq 2 ] ;;
*) false ;;
esac || {
	echo "usage: seeds.sh atoms|state|chart|abc|plan|smf|take|ear|hear|hear_player|hear_take|lift|osc|web FOLDER" >&2
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

# A plan with a phrase, for both.
plan=$(mktemp)
trap 'rm -f "$plan"' EXIT
{
	printf 'bar 1: Tide Bell\nbar 2: Tide Bell, with the key, chorus 1\nanswer: 3\n\n'
	printf 'X:1\nT:Tide Bell\nM:4/4\nL:1/8\nK:G\nGA|"G7"B2 (3dcB [Bd]4|\n'
} >"$plan"

# fuzz_atoms: a chart and a plan are set, the worker works, the host reports and rolls, a foot switch, the harp changes,
# a short chart without its NUL and a report, each with a size that is a little off.
atoms() {
	bytes 0
	bytes 2 0 0 0 && text "$1"
	bytes 2 0 4 0 && text "$plan"
	bytes 0 0 5 0 0 8
	bytes 1 0 $((0xEF)) 0 0 0 1 0 4 4 16
	bytes 0 26 3 0 1 4 3 7 0 2 5 0
	bytes 1 4 $((0x0C)) 0 1 2 0 25
	bytes 12 3 129 2 0 0 10 6 0 1 && printf '| I7 |'
	bytes 0 0 12 7 129 1 0 $((0x0C)) 0 0 1 0 0
}

# fuzz_state: a block, then takes, a plan, bar one, a path, an address and the chart are restored, a block, the twin.
state() {
	bytes $((0x51)) $((0x18))
	bytes $((0x41)) && text "$plan"
	bytes $((0x41)) && text "$plan"
	bytes $((0x11)) 1 $((0x11))
	bytes $((0x41)) 3 0 && printf f/x
	bytes $((0x41)) 14 0 && printf 127.0.0.1:9911
	bytes $((0x41)) && text "$1"
}

# fuzz_chart takes a chart as it is.
chart() { cat "$1"; }

# fuzz_osc: packets of one message, each after its length, and bundles, one of them in another.
osc() {
	printf '\0\064/reedlamp/transport\0,iffi\0\0\0\0\0\0\1\102\360\0\0\100\200\0\0\0\0\0\4'
	printf '\0\054/reedlamp/place\0,iiiff\0\0\0\0\0\2\0\0\0\10\0\0\0\14\100\0\0\0\77\200\0\0'
	printf '\0\070/reedlamp/chord\0,ssssf\0\0E7\0\0Am7\0VI7\0ii7\0\100\0\0\0\0\0\0\0'
	printf '\0\070#bundle\0\351\0\0\0\0\0\0\0\0\0\0\044/reedlamp/harp\0\0,ssis\0\0\0C\0\0\0solo\0\0\0\0\0\0\0\2G\0\0\0'
	printf '\0\100#bundle\0\351\0\0\0\0\0\0\0\0\0\0\054#bundle\0\351\0\0\0\0\0\0\0\0\0\0\030/reedlamp/chart\0,iis\0\0\0\0\0\0\0\1\0\0\0\1|I7|\0\0\0\0'
	printf '\0\110#bundle\0\351\0\0\0\0\0\0\0\0\0\0\064/reedlamp/plan\0\0,iis\0\0\0\0\0\0\0\2\0\0\0\2\n\nX:1\nT:a\nK:C\nC|\n\0\0\0'
	printf '\0\100#bundle\0\351\0\0\0\0\0\0\0\0\0\0\054/reedlamp/plan\0\0,iis\0\0\0\0\0\0\0\1\0\0\0\2bar 1: a\0\0\0\0'
	printf '\0\350/reedlamp/practice\0\0,iis\0\0\0\0\0\0\0\1\0\0\0\0012026-11-30T14:05:12Z chorus=1 bars=12 tempo=72 key=7 harp=0 show=4 notes=9 targets=1/9 strong=2/3 planned=0/0 bends=1 cents=-9 spread=0 timed=1 behind_ms=0 behind_beats=0 roles=third:9 song=a\n\0\0\0\0'
	printf '\0\114/reedlamp/phrase\0\0\0\0,iffissis\0\0\0\0\0\0\1\77\200\0\0\77\0\0\0\0\0\0\3draw1\0\0\0b3\0\0\0\0\0\106Tide Bell\0\0\0'
	printf '\0\064/reedlamp/heard\0,isifff\0\0\0\0\4draw1\0\0\0\0\0\0\111\101\240\0\0\301\240\0\0\77\200\0\0'
	printf '\0\100/reedlamp/hit\0\0\0,siifisi\0\0\0\0planned\0\0\0\0\1\0\0\0\1\100\0\0\0\0\0\0\4draw\0\0\0\0\0\0\0\112'
	printf '\0\064/reedlamp/lamp/10/draw2\0,fssii\0\0\77\0\0\0safe\0\0\0\0R\0\0\0\0\0\0\74\0\0\0\1'
}

# fuzz_smf: a key, then a file of type 1, one of type 0 with running status, one that counts frames.
smf() {
	mkdir -p "$1"
	printf '\0MThd\0\0\0\6\0\1\0\2\0\140MTrk\0\0\0\31\0\377\130\4\3\2\30\10\0\377\131\2\375\0\0\377\121\3\6\32\200\0\377\57\0' >"$1/two"
	printf 'MTrk\0\0\0\43\0\377\3\4Harp\0\221\103\120\140\103\0\0\341\0\40\0\221\101\120\201\100\101\0\0\260\7\100\0\377\57\0' >>"$1/two"
	printf '\7MThd\0\0\0\6\0\0\0\1\0\4MTrk\0\0\0\31\0\220\103\120\4\103\0\0\107\120\4\107\0\0\360\2\1\367\0\300\5\0\377\57\0' >"$1/one"
	printf '\7MThd\0\0\0\6\0\0\0\1\347\50MTrk\0\0\0\15\0\220\103\120\207\150\200\103\0\0\377\57\0' >"$1/frames"
}

# fuzz_take: chart, tempo, then messages: a scale, notes at once, a scoop, one struck twice, all notes off.
take() {
	bytes "$1" 60
	for key in 60 62 64 65 67; do bytes 0 144 "$key" 80 45 128 "$key" 0; done
	bytes 0 144 60 80 0 144 64 80 0 144 67 80 64 128 60 0 0 128 64 0 0 128 67 0
	bytes 0 224 0 40 0 144 70 80 20 224 0 64 60 128 70 0
	bytes 0 144 71 80 40 144 71 80 3 128 71 0 50 176 123 0 0 176 101 0 0 176 100 0 0 176 6 12
}

# Where a URI stands among those the plugin maps.
key() {
	sed -n 's/^  X(\([a-zA-Z_]*\),.*/\1/p; s/^  RL_OWN(X, \([a-zA-Z_]*\)).*/rl_\1/p' "$top/plugin/protocol/uris.h" |
		awk -v wanted="$1" '$0 == wanted { print NR - 1; found = 1 } END { exit !found }'
}

# fuzz_hear: a chart that is set; a place, a chord and its tempo said once more, a degree that is none.
hear() {
	mkdir -p "$1"
	{ bytes 3 0 0 && printf 'G7 | C7 | D7' && bytes 0; } >"$1/set"
	{
		bytes 33 0 0 240 66 0 0 128 63 0 0 128 63 0 0 0 64 2 1 3 12 4 4 0 2 60
		bytes 2 "$(key rl_now_degree)" 3 && printf 'VI7'
		bytes 2 "$(key rl_target_degree)" 2 && printf no
		bytes 1 "$(key rl_tempo)" 0 0 240 66
	} >"$1/place"
	bytes 40 16 0 0 0 "$(($(key atom_Object) + 1))" 0 0 0 0 0 0 0 "$(($(key patch_Set) + 1))" 0 0 0 >"$1/raw"
}

# fuzz_ear: chart, rate and block; clicks, tones, noise, silence, a tap, what is no number.
ear() { bytes "$1" "$2" 2 6 6 20 24 27 20 24 27 1 0 253 6 20 2 4 254 5; }

# fuzz_hear_player: harp, player, rate and block; a reed, two of them, another harp, noise, what is no number, silence.
hear_player() { bytes "$1" 248 "$2" 0 0 0 0 10 10 10 10 130 130 130 130 255 7 3 241 242 243 12 12 12 240 244 245 246 247; }

# fuzz_lift: rate, sides, grid, its origin; tones with rests, noise, what is no number.
lift() { bytes "$1" "$1" $(($1 * 3)) 128 36 36 0 39 41 0 43 43 1 36 2 48 5 36 3 36; }

# fuzz_web: requests; <K>, <H> and <W> stand for the key, the host and the words.
web() {
	mkdir -p "$1"
	for path in '' news chart plan time code page.js pupil.wasm nothing 'sheet.pdf?harp=7&register=-1&bends=1&blow_bends=0&overblows=1&paper=a4'; do
		printf 'GET /<K>/%s HTTP/1.1\r\nHost: <H>\r\n\r\n' "$path" >"$1/get-$(printf %s "${path:-page}" | tr '?&=' '---')"
		printf 'HEAD /%s HTTP/1.1\r\nHost: <H>\r\nIf-None-Match: "x"\r\n\r\n' "$path" >"$1/head-$(printf %s "${path:-page}" | tr "?&=" "---")"
	done
	printf 'GET /?words=Barn+lamp%%20Reed,tulip HTTP/1.1\r\nHost: <H>\r\nX-Forwarded-For: 1.2.3.4, 192.0.2.7\r\n\r\n' >"$1/door"
	printf 'GET /<W> HTTP/1.1\r\nHost: <H>\r\n\r\n' >"$1/words"
	printf 'GET /<K>/code HTTP/1.1\r\nHost: <H>\r\nX-Forwarded-Proto: https\r\n\r\n' >"$1/code"
	printf 'POST /<K>/news HTTP/1.1\r\nHost: <H>\r\nTransfer-Encoding: chunked\r\n\r\n5\r\nhello\r\n0\r\n\r\n' >"$1/post"
	printf 'GET /<K> HTTP/1.1\r\nHost: <H>\r\nHost: <H>\r\nConnection: keep-alive\r\n\r\nGET /<K>/../ HTTP/1.0\r\n\r\n' >"$1/two"
}

case $1 in
abc) cp "$top"/presets/phrases/*.abc "$top"/tests/core/abc/outside/*.abc "$2" && exit ;;
plan)
	bytes 1 0 >"$2/plan" && cat "$plan" >>"$2/plan"
	bytes 1 200 >"$2/ending" && sed 's/^bar 2:/bar 5:/' "$plan" >>"$2/ending"
	bytes 1 200 >"$2/near" && sed '/^bar 1:/d; s/^bar 2:/bar 3:/; s/, with the key.*//' "$plan" >>"$2/near" # a bar before the ending
	for file in "$top"/presets/phrases/*.abc; do
		title=$(sed -n 's/^T: *//p' "$file")
		{ bytes 0 0 && printf 'bar 2: %s, as it is\n\n' "$title" && sed '/^%/d' "$file"; } >"$2/$(basename "$file" .abc)"
	done
	exit
	;;
web) web "$2" && exit ;;
smf) smf "$2" && exit ;;
hear) hear "$2" && exit ;;
hear_take)
	for speed in 1 3/4 1/2; do
		for file in "$top"/presets/phrases/*.abc; do
			{ printf 'play: Tide Bell\nspeed: %s\ntempo: 132\n\n' "$speed" && sed '/^%/d' "$file"; } >"$2/$(basename "$file" .abc)-${speed#*/}"
		done
	done
	printf 'stop:' >"$2/stop"
	printf 'bars: 3-6' >"$2/bars"
	printf 'picture: Take 2' >"$2/picture"
	printf 'play: Lick\n\nX:1\nT:Lick\nN:sure .98 .05 1\nM:4/4\nL:1/8\nK:G\nG2 B2 d2|\n' >"$2/sure"
	exit
	;;
hear_player) for harp in 0 14 29 17; do hear_player "$harp" $((harp % 8)) >"$2/harp-$harp"; done && exit ;;
lift) for rate in 0 5 10; do lift "$rate" >"$2/rate-$rate"; done && exit ;;
ear) for chart in 0 1 2; do ear "$chart" $((chart + 1)) >"$2/chart-$chart"; done && exit ;;
take) for chart in 0 1 2 50; do take "$chart" >"$2/chart-$chart"; done && exit ;;
osc) osc >"$2/all" && exit ;;
esac

for file in "$top"/presets/*.chart "$top"/tests/charts/broken/*.chart; do
	case $1:$file in
	chart:* | *presets/*) "$1" "$file" >"$2/$(basename "$file" .chart)" ;;
	esac
done
