#!/bin/sh
# SPDX-License-Identifier: ISC
# Usage: check_bundle.sh BUNDLES   Is the Turtle of BUNDLES/reedlamp.lv2 valid against the installed LV2
# specifications, and does every name in it exist? One line for each fault.
set -u
bundle=$1/reedlamp.lv2
faults=0

fault() {
	printf '%s\n' "$1"
	faults=$((faults + 1))
}

[ -f "$bundle/manifest.ttl" ] || { printf 'no manifest.ttl in %s; build the bundle first\n' "$bundle"; exit 1; }

# Every file the manifest names is there.
for name in $(grep -oE '<[A-Za-z0-9_.-]+\.(so|ttl)>' "$bundle/manifest.ttl" | tr -d '<>' | sort -u); do
	[ -f "$bundle/$name" ] || fault "manifest.ttl names $name, which is not there"
done

specifications=$(for spec in atom buf-size core event midi options parameters patch port-groups port-props presets \
	resize-port schemas state time ui units urid worker; do
	find "/usr/lib/lv2/$spec.lv2" -name '*.ttl' ! -name manifest.ttl 2>/dev/null
done)
# shellcheck disable=SC2086
said=$(sord_validate $specifications "$bundle"/*.ttl 2>&1)
case $said in
*'Found 0 errors'*) ;;
*) fault "sord_validate: $(printf '%s' "$said" | grep -vE '^ ' | head -n 3 | tr '\n' ' ')" ;;
esac

# Indices run from 0 without a gap and no symbol stands twice, in each description.
for file in "$bundle"/*.ttl; do
	grep -q 'lv2:index' "$file" || continue
	indices=$(grep -oE 'lv2:index [0-9]+' "$file" | awk '{print $2}' | sort -n)
	count=$(printf '%s\n' "$indices" | wc -l)
	[ "$indices" = "$(seq 0 $((count - 1)))" ] || fault "${file##*/}: the port indices do not run from 0 to $((count - 1))"
	twice=$(awk '/lv2:port \[/ {port = 1} port && /lv2:symbol/ {print $2; port = 0}' "$file" | sort | uniq -d | head -n 1)
	[ -z "$twice" ] || fault "${file##*/}: two ports are called $twice"
done

# Ranges and defaults are numbers.
for file in "$bundle"/*.ttl; do
	word=$(grep -oE 'lv2:(default|minimum|maximum) "[^"]*"' "$file" | head -n 1)
	[ -z "$word" ] || fault "${file##*/}: $word is no number"
done

# Presets set only ports that are there.
for symbol in $(grep -A3 'lv2:port' "$bundle/presets.ttl" 2>/dev/null | grep -oE 'lv2:symbol "[^"]+"' | awk -F'"' '{print $2}' | sort -u); do
	grep -q "lv2:symbol \"$symbol\"" "$bundle/reedlamp.ttl" || fault "presets.ttl sets a port \"$symbol\", which the plugin has not"
done
[ -f "$bundle/presets.ttl" ] && {
	ports=$(grep -cE 'pset:value' "$bundle/presets.ttl")
	named=$(grep -cE 'lv2:symbol' "$bundle/presets.ttl")
	[ "$ports" = "$named" ] || fault "presets.ttl: $ports port values for $named symbols"
}

[ "$faults" -eq 0 ] && echo 'the bundle is valid'
[ "$faults" -eq 0 ]
