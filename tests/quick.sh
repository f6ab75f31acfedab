#!/bin/sh
# SPDX-License-Identifier: ISC
# The quick check, while you work: builds, runs the tests of core, plugin and drawing on a few tempo maps, looks at walls
# and format. Needs no root, no Ardour, no browser; installs nothing. Ends with the plain line "N passed, N failed, N
# skipped". Needs gcc, meson, ninja, pkg-config, python3, and the libraries named in plugin/demo.sh with cmocka.
exec python3 "$(dirname "$0")/steps.py" --quick "$@"
