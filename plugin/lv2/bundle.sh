#!/bin/sh
# SPDX-License-Identifier: ISC
# Usage: bundle.sh FOLDER STAMP FILE...   Puts the files of the bundle together in FOLDER.
set -eu
folder=$1 stamp=$2
shift 2
mkdir -p "$folder"
for file; do
	cp "$file" "$folder/.new"
	mv "$folder/.new" "$folder/${file##*/}" # a host may hold the old one open
done
: >"$stamp"
