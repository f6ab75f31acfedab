#!/bin/sh
# SPDX-License-Identifier: ISC
# Usage: broken.sh RUN BUNDLES CHECK   Breaks a copy of the bundle in every way a bundle breaks; each must be refused
# in words, by the check of the bundle or by the host, and nothing may crash.
set -u
run=$1 bundles=$2 check=$3
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
wrong=0

# broken NAME EDIT   EDIT is run in a fresh copy of the bundle's folder.
broken() {
	rm -rf "$scratch/b"
	mkdir "$scratch/b"
	cp -r "$bundles/reedlamp.lv2" "$scratch/b/"
	(cd "$scratch/b/reedlamp.lv2" && sh -c "$2")
	said=$(sh "$check" "$scratch/b" 2>&1)
	refused=$?
	"$run" "$scratch/b" 1 >"$scratch/host" 2>&1
	started=$?
	if [ "$started" -gt 127 ]; then
		printf '%s: the host crashed (%s)\n' "$1" "$started"
		wrong=1
	elif [ "$refused" -eq 0 ] && [ "$started" -eq 0 ]; then
		printf '%s: nobody minded\n' "$1"
		wrong=1
	elif [ "$refused" -ne 0 ] && [ -z "$said" ]; then
		printf '%s: refused without a word\n' "$1"
		wrong=1
	fi
}

"$run" "$bundles" 1 || { echo 'the whole bundle does not start'; exit 1; }
broken 'no binary' 'rm reedlamp.so'
broken 'a binary that is none' 'echo text >reedlamp.so'
broken 'no manifest' 'rm manifest.ttl'
broken 'a manifest cut short' 'head -c 90 manifest.ttl >m && mv m manifest.ttl'
broken 'no description' 'rm reedlamp.ttl'
broken 'a description that is no Turtle' 'echo "<urn:reedlamp:plugin> a" >reedlamp.ttl'
broken 'no presets' 'rm presets.ttl'
broken 'a gap in the indices' 'sed -i "s/lv2:index 12 /lv2:index 99 /" reedlamp.ttl'
broken 'one symbol twice' 'sed -i "s/lv2:symbol \"tuning\"/lv2:symbol \"tap\"/" reedlamp.ttl'
broken 'a symbol that cannot be' 'sed -i "s/lv2:symbol \"tuning\"/lv2:symbol \"2 ning\"/" reedlamp.ttl'
broken 'a port without a type' 'sed -i "0,/a lv2:InputPort , lv2:ControlPort/s///" reedlamp.ttl'
broken 'a default that is a word' 'sed -i "0,/lv2:default 1/s//lv2:default \"one\"/" reedlamp.ttl'
broken 'a preset for a port that is not there' 'sed -i "0,/lv2:symbol \"song_key\"/s//lv2:symbol \"song_kee\"/" presets.ttl'
broken 'a feature nobody has' 'sed -i "s|lv2:requiredFeature urid:map|lv2:requiredFeature <urn:nobody:has>, urid:map|" reedlamp.ttl'
[ "$wrong" -eq 0 ] && echo 'every broken bundle was refused'
exit "$wrong"
