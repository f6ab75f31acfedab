#!/bin/sh
# SPDX-License-Identifier: ISC
# The demo: installs what it needs (Debian 12), builds, and plays a band at a ferry landing through the
# plugin in an embedded host, draws 24 pictures of the window, and where there is a display opens it. No DAW, no
# JACK, no display, no sound card needed.
set -eu
top=$(cd "$(dirname "$0")/.." && pwd)
build=$top/build-demo
out=$build/demo

fail() {
	printf 'demo: %s\n' "$1" >&2
	exit 1
}

. "$top/plugin/install.sh"
packages_need 'for the demo' gcc libc6-dev meson ninja-build pkg-config lv2-dev liblo-dev liblilv-dev libsndfile1-dev libkissfft-dev \
	libpugl-dev libcairo2-dev libpango1.0-dev libx11-dev fonts-b612 fonts-dejavu-core

mkdir -p "$build"
{
	[ -f "$build/build.ninja" ] || meson setup "$build" "$top" -Ddemo=true
	meson compile -C "$build"
} >"$build/log" 2>&1 || fail "the build failed; its last words, from $build/log: $(tail -n 3 "$build/log" | tr '\n' ' ')"

mkdir -p "$out"
"$build/plugin/demo" "$build/lv2" "$top/presets/twelve-bar-slow-drag.chart" "$out" ||
	fail 'the demo did not play to its end'

cat <<END

The same lines:      $out/ferry-street.txt
The window:          $out/window-*.png (24 pictures)
A backing track:     $out/ferry-street.wav (bass, guitar and brushes, three choruses at 72)

To play along in a DAW: install the plugin for yourself with
    mkdir -p ~/.lv2 && cp -r $build/lv2/reedlamp.lv2 ~/.lv2/
then start the DAW (Ardour, for one), set its tempo to 72, put the backing track on an audio track at bar 1,
add the plugin "Reedlamp" to that track, load its preset "Ferry Street Slow Drag", and press play.
Keep headphones and monitors moderate; with an open microphone keep the speakers off, or it feeds back.
END
