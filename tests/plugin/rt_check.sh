#!/bin/sh
# SPDX-License-Identifier: ISC
# Usage: rt_check.sh GUARD_SO RT_RUN BUNDLES   Nothing forbidden is called inside run(); and the guard does bark.
LD_PRELOAD=$1 "$2" "$3" || exit 1
said=$(LD_PRELOAD=$1 "$2" "$3" plant 2>&1)
status=$?
case $status:$said in
134:*'inside run(): malloc()'*) ;;
*)
	echo "the guard let a planted malloc pass (it ended with $status)" >&2
	exit 1
	;;
esac
if "$2" "$3" 2>/dev/null; then
	echo 'without its guard the test passes: it proves nothing' >&2
	exit 1
fi
echo 'run() calls nothing it must not'
