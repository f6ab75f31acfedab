#!/bin/sh
# SPDX-License-Identifier: ISC
# Usage: check_headers.sh TOP COMPILER...   Each header of core/, plugin/ and ui/ compiles alone, and twice in a row: it
# includes what it needs and has a guard. A line for each that does not.
set -u
top=$1
shift
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
flags=
for package in lv2 liblo lilv-0 sndfile cairo pangocairo pugl-0 libmicrohttpd libqrencode; do
	flags="$flags $(pkg-config --cflags "$package" 2>/dev/null)"
done

count=0
for header in $(cd "$top" && find core plugin ui -name '*.h' | sort); do
	count=$((count + 1))
	printf '#include "%s"\n#include "%s"\n' "$header" "$header" >"$scratch/alone.c"
	# shellcheck disable=SC2086
	"$@" -std=c11 -Wall -Wextra -Werror -D_POSIX_C_SOURCE=200809L -I"$top" $flags -fsyntax-only "$scratch/alone.c" 2>"$scratch/said" && continue
	echo "$header does not compile alone: $(grep -m 1 error "$scratch/said")"
	touch "$scratch/failed"
done
echo "$count headers"
[ "$count" -gt 0 ] && [ ! -e "$scratch/failed" ]
