#!/bin/sh
# Usage: rt_check.sh GUARD_SO RT_RUN BUNDLES   Nothing forbidden is called inside run(); and the guard does bark.
LD_PRELOAD=$1 "$2" "$3" || exit 1
if LD_PRELOAD=$1 "$2" "$3" plant 2>/dev/null; then
	echo 'the guard let a planted malloc pass' >&2
	exit 1
fi
echo 'run() calls nothing it must not'
