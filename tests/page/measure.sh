#!/bin/sh
# SPDX-License-Identifier: ISC
# The page's times, measured strictly: every figure of run.sh must keep its aim, and thirty clients stay for ten minutes.
# For a machine that does nothing else meanwhile. Usage: measure.sh BUILD [WORD...]   as run.sh.
exec env REEDLAMP_STRICT=1 sh "$(dirname "$0")/run.sh" "$@"
