#!/bin/sh
# SPDX-License-Identifier: ISC
# Usage: bundle.sh FOLDER STAMP FILE...   Puts the files of the bundle together in FOLDER, charts in FOLDER/charts.
set -eu
folder=$1 stamp=$2
shift 2
mkdir -p "$folder/charts"
for file; do
	case $file in
	*.chart) to=$folder/charts ;;
	*) to=$folder ;;
	esac
	cp "$file" "$folder/.new"
	mv "$folder/.new" "$to/${file##*/}" # a host may hold the old one open
done
: >"$stamp"
