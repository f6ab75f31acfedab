#!/bin/sh
# SPDX-License-Identifier: ISC
# The demo's pictures against those kept here: run.sh COMPARE FOLDER, where COMPARE is the program built from
# compare.c and FOLDER holds window-*.png. A picture that differs is named.
# run.sh COMPARE FOLDER --renew   keeps the new ones. Look at each of them first.
set -u
here=$(cd "$(dirname "$0")" && pwd)
compare=$1
folder=$2
. "$here/../counting.sh"

factor() {
	case $1 in
	window-large.png) echo 3 ;;
	window-stage.png) echo 2 ;;
	*) echo 1 ;;
	esac
}

for new in "$folder"/window-*.png; do
	name=$(basename "$new")
	if [ "${3-}" = --renew ]; then
		"$compare" --renew "$new" "$here/$name" "$(factor "$name")" || exit 1
	elif said=$("$compare" "$here/$name" "$new" 2>&1); then
		ok "$name looks as it did"
	else
		no "$name does not look as it did: $said"
	fi
done
for golden in "$here"/window-*.png; do
	if [ ! -e "$folder/$(basename "$golden")" ]; then
		no "$(basename "$golden") was not drawn"
	fi
done
finish
