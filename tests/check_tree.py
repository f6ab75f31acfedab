#!/usr/bin/env python3
# SPDX-License-Identifier: ISC
"""Checks the walls of the house: which room may include which, what stands at the top, how long files and functions
are, and that no file knows the machine it was written on. Usage: check_tree.py TOP.
  --prove      first plants a breach of each kind in a scratch tree and demands that it is found
  --draw=FILE  writes the rooms and their arrows, as the includes have them, as a Graphviz file (- is standard output)"""
import re
import subprocess
import sys
import tempfile
from collections import Counter
from pathlib import Path

INCLUDE = re.compile(r'^\s*#\s*include\s*([<"])([^>"]+)[>"]', re.M)
CORE_MAY = {"stdint.h", "stdbool.h", "stddef.h", "string.h", "math.h", "limits.h", "assert.h"}
LINES_MAX = 500     # of a file
FUNCTION_MAX = 50   # lines of a function, its head and braces included

# Each room and the rooms it may include from, besides itself. A room stands below all that may include it: the order
# here is from the ground up, and no room may name one that comes after it, so there can be no circle.
ROOMS = {
    "core/text": "",
    "core/meter": "",
    "core/harmony": "core/text",
    "core/clock": "",
    "core/chart": "core/harmony core/meter core/text",
    "core/ear": "core/chart core/harmony core/meter core/text",
    "core/trainer": "core/harmony core/text",
    "core/phrase": "core/harmony core/meter core/text",
    "core/voice": "core/phrase",
    "core/abc": "core/phrase core/harmony core/meter core/text",
    "core/capture": "core/phrase core/chart core/harmony core/text",
    "core/arrange": "core/abc core/phrase core/chart core/harmony core/text",
    "core/practice": "core/arrange core/chart core/meter core/harmony core/text",
    "plugin/thread": "",
    "plugin/protocol": "core/arrange core/chart core/harmony core/text",
    "plugin/shared": "plugin/protocol core/clock core/ear core/arrange core/chart core/phrase core/harmony core/text",
    "plugin/rt": "plugin/shared plugin/protocol core/clock core/ear core/practice core/arrange core/chart core/phrase core/harmony core/text",
    "plugin/worker": "plugin/shared plugin/protocol core/practice core/arrange core/capture core/abc core/voice core/chart core/phrase "
                     "core/harmony core/text",
    "plugin/listen": "plugin/shared plugin/thread core/ear core/chart core/meter",
    "plugin/lift": "plugin/worker plugin/shared plugin/thread core/ear core/capture core/chart core/phrase core/harmony "
                   "core/meter core/text",
    "plugin/osc": "core/practice plugin/worker plugin/shared plugin/protocol plugin/thread core/harmony core/text",
    "plugin/lv2": "plugin/rt plugin/worker plugin/listen plugin/lift plugin/osc plugin/shared plugin/protocol plugin/thread",
    "plugin/host": "plugin/protocol",
    "ui/clip": "core/ear core/capture core/chart core/phrase core/harmony core/text",
    "ui/files": "ui/clip plugin/protocol plugin/thread core/trainer core/capture core/abc core/chart core/phrase core/harmony core/text",
    "ui/model": "core/practice ui/files plugin/protocol core/trainer core/arrange core/capture core/abc core/chart core/phrase core/harmony core/text",
    "ui/paint": "core/text",
    "ui/layout": "ui/model ui/paint core/harmony",
    "ui/draw": "core/practice ui/layout ui/model ui/files ui/paint core/trainer core/arrange core/harmony core/text",
    "ui/paper": "ui/files ui/layout ui/model ui/paint plugin/thread core/arrange core/chart core/phrase core/harmony core/text",
    "ui/listen": "ui/files ui/clip core/ear core/capture core/abc core/chart core/phrase core/harmony core/meter core/text",
    "ui/controller": "plugin/protocol ui/paper ui/draw ui/layout ui/model ui/files ui/paint core/trainer core/arrange core/abc core/chart "
                     "core/phrase core/harmony core/text",
    "ui/window": "ui/controller ui/paper ui/model ui/paint plugin/protocol core/text",
    "ui/page": "ui/paper ui/model core/practice core/arrange core/abc core/chart core/phrase core/harmony core/text",
    "plugin/demo": "plugin/host plugin/protocol ui/window ui/controller ui/layout core/practice core/chart core/harmony "
                   "core/text",
}
# Only the named files may include a header that begins so.
ONLY = {
    "ui/window/window.c": ("pugl/",),
    "ui/window/window.c ui/window/x_guard.h": ("GL/",),
    "ui/window/window.c ui/window/x_focus.c ui/window/x_focus.h ui/window/x_guard.c ui/window/x_guard.h "
    "ui/window/x_input.c ui/window/x_input.h": ("X11/",),
    "plugin/osc/post.h": ("lo/",),
    "ui/page/web.c ui/page/requests.c ui/page/requests.h ui/page/responses.c ui/page/responses.h": ("microhttpd",),
    "ui/page/qr.c": ("qrencode",),
    "core/ear/fft.c": ("kissfft/",),
    "plugin/worker/slower.c": ("SoundTouchDLL",),
    "ui/clip/sound.c ui/listen/sound.c plugin/demo/backing.c": ("sndfile",),
}
# What the audio thread's room and what it is handed must not know: nothing there locks, allocates or opens.
REAL_TIME = ("plugin/rt", "plugin/shared", "plugin/protocol")
NOT_REAL_TIME = ("pthread.h", "stdlib.h", "stdio.h", "unistd.h", "fcntl.h", "sys/", "netdb.h")
TOP_MAY = {"README.md", "DEVELOPERS.md", "NEWS", "LICENSE", "meson.build", "meson_options.txt",
           "plugin", "ui", "core", "tests", "presets"}
MACHINE = re.compile(r"(?<![\w.$}])/(?:home|root|work|Users)/\w")


def files(top: Path) -> list[Path]:
    listed = subprocess.run(["git", "-C", str(top), "ls-files", "-co", "--exclude-standard"],
                            capture_output=True, text=True, check=False)
    names = listed.stdout.splitlines() if listed.returncode == 0 else []
    found = [top / n for n in names] or [p for p in top.rglob("*") if p.is_file()]
    return [p for p in found if p.is_file()]


def room_of(name: str) -> str:
    """The room that a file of core/, plugin/ or ui/ stands in; empty if it stands in none."""
    parts = name.split("/")
    return "/".join(parts[:2]) if len(parts) > 2 and parts[0] in ("core", "plugin", "ui") else ""


def functions(text: str) -> list[tuple[str, int]]:
    """Name and lines of each function, by the house's format: the name begins a line, the body's braces too."""
    found, name, begin = [], "", 0
    for number, line in enumerate(text.split("\n")):
        head = re.match(r"(\w+)\(", line)
        if head:
            name, begin = head.group(1), number
        elif line == "}" and name:
            found.append((name, number - begin + 1))
            name = ""
    return found


def include_breaches(name: str, room: str, text: str) -> list[str]:
    said = []
    for kind, header in INCLUDE.findall(text):
        target = room_of(header) if kind == '"' else ""
        if kind == '"' and not target and name.split("/")[1:2] != ["page"]:
            said.append(f"{name}: includes \"{header}\"; write it from the top: \"room/file.h\"")
        if target and target != room and target not in ROOMS[room].split():
            said.append(f"{name}: includes {header}; {room} may include from {ROOMS[room] or 'no other room'} (see ROOMS)")
        if room.startswith("core/") and kind == "<" and header not in CORE_MAY and not header.startswith(ONLY.get(name, ("?",))):
            said.append(f"{name}: includes {header}; core/ knows only itself and {', '.join(sorted(CORE_MAY))}")
        if room in REAL_TIME and header.startswith(NOT_REAL_TIME) and name not in BUILD_PROGRAMS:
            said.append(f"{name}: includes {header}; the audio thread's rooms do without")
        for owner, prefixes in ONLY.items():
            if header.startswith(prefixes) and name not in owner.split():
                said.append(f"{name}: includes {header}; only {owner} may")
    return said


BUILD_PROGRAMS = {"plugin/protocol/ttl.c"}  # runs when the plugin is built, never in it


def breaches(top: Path) -> list[str]:
    said = []
    for path in files(top):
        name = path.relative_to(top).as_posix()
        first = name.split("/")[0]
        if first not in TOP_MAY and not first.startswith("."):
            said.append(f"{name}: {first} has no place at the top; see DEVELOPERS.md for the rooms")
        text = path.read_text(errors="replace")
        if MACHINE.search(text):
            said.append(f"{name}: names a folder of one machine; write it relative to the tree")
        if first not in ("core", "plugin", "ui") or not name.endswith((".c", ".h", ".js")):
            continue
        if text.count("\n") > LINES_MAX:
            said.append(f"{name}: over {LINES_MAX} lines; split it where an idea ends")
        said += [f"{name}: {what}() has {lines} lines, over {FUNCTION_MAX}; split it where an idea ends"
                 for what, lines in functions(text) if lines > FUNCTION_MAX and name.endswith(".c")]
        room = room_of(name)
        if name.endswith(".js"):
            continue
        if room not in ROOMS:
            said.append(f"{name}: stands in no room; see ROOMS in tests/check_tree.py")
        else:
            said += include_breaches(name, room, text)
    return said


def order_breaches() -> list[str]:
    """The table itself: a room may name only rooms before it."""
    said, before = [], []
    for room, may in ROOMS.items():
        said += [f"ROOMS: {room} names {other}, which does not stand below it" for other in may.split()
                 if other not in before]
        before.append(room)
    return said


PLANTS = {
    "core/clock/clock.c": "#include <stdio.h>\n",
    "core/chart/form.c": '#include "plugin/worker/document.h"\n',
    "core/harmony/chord.c": '#include "core/chart/form.h"\n',
    "core/chart/bars.c": '#include "form.h"\n',
    "plugin/worker/document.c": "#include <lo/lo.h>\n",
    "plugin/rt/follower.c": '#include "plugin/worker/document.h"\n',
    "plugin/shared/ring.c": "#include <pthread.h>\n",
    "ui/draw/comb.c": '#include "ui/controller/controller.h"\n',
    "ui/draw/scene.c": "#include <pugl/pugl.h>\n",
    "ui/stray.c": "int stray;\n",
    "ui/page/main.c": "#include <microhttpd.h>\n",
    "core/text/long.c": "\n" * (LINES_MAX + 1),
    "ui/draw/tall.c": "static void\ntall(void)\n{\n" + "  ;\n" * FUNCTION_MAX + "}\n",
    "notes.txt": "stray\n",
    "presets/a.chart": "# from /" + "home/someone/charts\n",
}


def prove() -> list[str]:
    missed = []
    for name, text in PLANTS.items():
        with tempfile.TemporaryDirectory() as scratch:
            path = Path(scratch) / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text)
            if len(breaches(Path(scratch))) != 1:
                missed.append(f"the breach planted in {name} was not found, or not it alone")
    return missed


def arrows(top: Path) -> Counter:
    """How many includes lead from one room to another."""
    found = Counter()
    for path in files(top):
        name = path.relative_to(top).as_posix()
        room = room_of(name)
        if room and name.endswith((".c", ".h")):
            for kind, header in INCLUDE.findall(path.read_text(errors="replace")):
                target = room_of(header)
                if kind == '"' and target and target != room:
                    found[room, target] += 1
    return found


def implied(found: Counter) -> set[tuple[str, str]]:
    """The arrows that lead where a way over other arrows leads too: without them the same rooms are reached."""
    reached = {}
    for room in ROOMS:  # from the ground up, so that what a room leads to is known before it
        direct = {b for a, b in found if a == room}
        reached[room] = direct.union(*(reached[b] for b in direct)) if direct else set()
    return {(a, b) for a, b in found if any(b in reached[c] for d, c in found if d == a)}


def room_box(room: str, light: set[tuple[str, str]]) -> str:
    """A room, and below its name the rooms that it also includes from directly, by words in place of arrows."""
    own = room.split("/")[0]
    also = [b.split("/")[1] if b.startswith(own + "/") else b for a, b in sorted(light) if a == room]
    rows = ["  ".join(also[i:i + 3]) for i in range(0, len(also), 3)]
    small = "".join(f'<br/><font point-size="8" color="#55626e">{row}</font>' for row in rows)
    return f'    "{room}" [label=<{room.split("/")[1]}{small}>];'


def drawing(top: Path) -> str:
    """Arrows are drawn where nothing else leads there; the others are written into their room."""
    found = arrows(top)
    light = implied(found)
    lines = ["digraph rooms {", "  rankdir=TB; newrank=true; ranksep=0.35; nodesep=0.3; bgcolor=white;",
             '  node [shape=box, fontname="DejaVu Sans", fontsize=13, style=filled, fillcolor="#f4ecdf"];',
             '  edge [color="#26323d", arrowsize=0.7, penwidth=1.3];']
    for part in ("ui", "plugin", "core"):
        lines.append(f'  subgraph cluster_{part} {{ label="{part}/"; labeljust=l; fontname="DejaVu Sans"; color="#a9b4bf";')
        lines += [room_box(room, light) for room in ROOMS if room.startswith(part + "/")]
        lines.append("  }")
    lines += [f'  "{a}" -> "{b}";' for a, b in sorted(set(found) - light)]
    return "\n".join(lines + ["}", ""])


def main() -> int:
    top = Path(next(a for a in sys.argv[1:] if not a.startswith("--"))).resolve()
    for argument in sys.argv[1:]:
        if argument.startswith("--draw"):
            text = drawing(top)
            target = argument.partition("=")[2]
            sys.stdout.write(text) if target in ("", "-") else Path(target).write_text(text)
            return 0
    said = (prove() if "--prove" in sys.argv else []) + order_breaches() + breaches(top)
    print("\n".join(said) or "all walls stand")
    return 1 if said else 0


sys.exit(main())
