#!/bin/sh
# SPDX-License-Identifier: ISC
# validate.sh PROGRAM ARGUMENT...   Runs a validator; ends with 77, skipped, where it is not installed.
if ! command -v "$1" >/dev/null; then
	echo "$1 is not installed (Debian: appstream, desktop-file-utils)"
	exit 77
fi
exec "$@"
