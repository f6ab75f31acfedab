#!/bin/sh
# SPDX-License-Identifier: ISC
# The demo: installs what it needs (Debian 12), builds, and plays a band at a ferry landing through the
# plugin in an embedded host, draws pictures of the window, and where there is a display opens it. No DAW, no
# JACK, no display, no sound card needed.
# Usage: demo.sh [install]   With `install` the plugin goes into ~/.lv2 at the end, the programs into ~/.local/bin and their
# manual pages where `man` finds them, a session template where Ardour does: for you alone, without root. Again: the new ones take the place of the old.
set -eu
case ${1-} in
'' | install) ;;
*)
	printf 'usage: demo.sh [install]\n' >&2
	exit 2
	;;
esac
top=$(cd "$(dirname "$0")/.." && pwd)
build=$top/build-demo
out=$build/demo

fail() {
	printf 'demo: %s\n' "$1" >&2
	exit 1
}

. "$top/plugin/install.sh"
packages_need 'for the demo' gcc libc6-dev meson ninja-build pkg-config lv2-dev liblo-dev liblilv-dev libsndfile1-dev libkissfft-dev libsoundtouch-dev \
	libpugl-dev libcairo2-dev libpango1.0-dev libx11-dev fonts-b612 fonts-dejavu-core \
	libmicrohttpd-dev libqrencode-dev clang lld wasi-libc libclang-rt-14-dev-wasm32 python3-fonttools python3-brotli binaryen lowdown

mkdir -p "$build"
{
	[ -f "$build/build.ninja" ] || meson setup "$build" "$top" -Ddemo=true
	meson compile -C "$build"
} >"$build/log" 2>&1 || fail "the build failed; its last words, from $build/log: $(tail -n 3 "$build/log" | tr '\n' ' ')"

mkdir -p "$out"
"$build/plugin/demo" "$build/lv2" "$top/presets/twelve-bar-slow-drag.chart" "$out" ||
	fail 'the demo did not play to its end'

# install_all   The bundle, the programs and their pages, for whoever calls. A host may hold the old library open, so it is
# moved away rather than written over.
install_all() {
	mkdir -p "$HOME/.lv2" "$HOME/.local/bin" "$HOME/.local/share/man/man1"
	new=$HOME/.lv2/.reedlamp.new
	rm -rf "$new"
	cp -r "$build/lv2/reedlamp.lv2" "$new"
	rm -rf "$HOME/.lv2/reedlamp.lv2"
	mv "$new" "$HOME/.lv2/reedlamp.lv2"
	for program in $programs; do
		cp "$program" "$HOME/.local/bin/.new"
		mv "$HOME/.local/bin/.new" "$HOME/.local/bin/${program##*/}"
		[ ! -f "$program.1" ] || cp "$program.1" "$HOME/.local/share/man/man1/"
	done
	scripts=${XDG_CONFIG_HOME:-$HOME/.config}/ardour7/scripts
	mkdir -p "$scripts"
	cp "$top/plugin/lv2/reedlamp-session.lua" "$scripts/"
}

programs=
for program in ui/page/reedlamp-page ui/paper/reedlamp-sheet ui/listen/reedlamp-listen; do
	[ ! -x "$build/$program" ] || programs="$programs $build/$program"
done

cat <<END

The same lines:      $out/ferry-street.txt
The window:          $out/window-*.png
A backing track:     $out/ferry-street.wav (bass, guitar and brushes, three choruses at 72)

END
if [ "${1-}" = install ]; then
	install_all
	printf 'The plugin is in     %s\n' "$HOME/.lv2/reedlamp.lv2"
	printf 'For Ardour           %s (a template, under Session, New)\n' "$scripts/reedlamp-session.lua"
	for program in $programs; do
		printf 'The program          %s\n' "$HOME/.local/bin/${program##*/}"
	done
	case :$PATH: in
	*":$HOME/.local/bin:"*) ;;
	*) printf '(Log in anew, and the programs are found by their names; until then type the whole path.)\n' ;;
	esac
else
	printf 'The plugin           %s\n' "$build/lv2/reedlamp.lv2"
	for program in $programs; do
		printf 'The program          %s\n' "$program"
	done
	printf 'To install them for yourself: sh %s install\n' "$top/plugin/demo.sh"
fi
cat <<END

To play along in a DAW: start it (Ardour, for one), set its tempo to 72, put the backing track on an audio track at bar 1,
add the plugin "Reedlamp" to that track, load its preset "Ferry Street Slow Drag", and press play.
Keep headphones and monitors moderate; with an open microphone keep the speakers off, or it feeds back.
END
