#!/bin/sh
# SPDX-License-Identifier: ISC
# Every check there is. Installs what it needs on Debian 12 (root, or sudo), builds beside the sources, and ends with the
# plain line "N passed, N failed, N skipped". Works from any folder, as often as you like. tests/steps.py lists the steps.
# (nginx, where it is installed for the first time, is started by Debian at port 80; the tests start their own.)
# Usage: run.sh [WORD...]   with WORDs only the steps with one in their name, and those they need.
set -u
top=$(cd "$(dirname "$0")/.." && pwd)

fail() {
	printf 'tests: %s\n' "$1" >&2
	exit 1
}

. "$top/plugin/install.sh"
packages_need 'for the tests' gcc libc6-dev meson ninja-build pkg-config python3 lv2-dev liblilv-dev libsndfile1-dev \
	libpugl-dev libcairo2-dev libpango1.0-dev libx11-dev fonts-b612 fonts-dejavu-core \
	liblo-dev liblo-tools iproute2 libcmocka-dev clang clang-format clang-tidy libclang-rt-14-dev llvm valgrind sordi lv2-examples \
	abcmidi jalv lv2file lv2proc lilv-utils ffmpeg jackd2 libjack-jackd2-dev ardour xvfb openbox xdotool imagemagick x11-utils \
	poppler-utils man-db lowdown appstream desktop-file-utils nginx libmicrohttpd-dev libqrencode-dev libkissfft-dev libsoundtouch-dev lld wasi-libc libclang-rt-14-dev-wasm32 python3-fonttools python3-brotli binaryen fontconfig chromium
command -v node >/dev/null && command -v npm >/dev/null || packages_need 'for the tests' nodejs npm
exec python3 "$top/tests/steps.py" "$@"
