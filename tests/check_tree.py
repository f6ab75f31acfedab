#!/usr/bin/env python3
"""Checks the walls of the house: who may include what, what stands at the top, how long files of ui/ are, and that
no file knows the machine it was written on. Usage: check_tree.py TOP. With --prove it first plants a breach of each
kind in a scratch tree and demands that it is found."""
import re
import subprocess
import sys
import tempfile
from pathlib import Path

INCLUDE = re.compile(r'^\s*#\s*include\s*([<"])([^>"]+)[>"]', re.M)
CORE_MAY = {"stdint.h", "stdbool.h", "stddef.h", "string.h", "math.h", "limits.h"}
# Only the named file may include a header that begins so.
ONLY = {
    "ui/window.c": ("pugl/", "GL/", "X11/"),
    "plugin/osc.c": ("lo/",),
    "ui/page/web.c": ("microhttpd",),
    "ui/page/qr.c": ("qrencode",),
}
TOP_MAY = {"README.md", "DEVELOPERS.md", "LICENSE", "meson.build", "meson_options.txt",
           "plugin", "ui", "core", "tests", "presets"}
MACHINE = re.compile(r"(?<![\w.$}])/(?:home|root|work|Users)/\w")


def files(top: Path) -> list[Path]:
    listed = subprocess.run(["git", "-C", str(top), "ls-files", "-co", "--exclude-standard"],
                            capture_output=True, text=True, check=False)
    names = listed.stdout.splitlines() if listed.returncode == 0 else []
    found = [top / n for n in names] or [p for p in top.rglob("*") if p.is_file()]
    return [p for p in found if p.is_file()]


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
        if name.startswith("ui/") and name.endswith((".c", ".h")) and text.count("\n") > 500:
            said.append(f"{name}: over 500 lines; split it where an idea ends")
        if not name.endswith((".c", ".h")):
            continue
        for kind, header in INCLUDE.findall(text):
            own = kind == '"' and (top / "core" / header).is_file()
            if first == "core" and not own and not (kind == "<" and header in CORE_MAY):
                said.append(f"{name}: includes {header}; core/ knows only itself and {', '.join(sorted(CORE_MAY))}")
            for owner, prefixes in ONLY.items():
                if header.startswith(prefixes) and name != owner and first in ("core", "plugin", "ui"):
                    said.append(f"{name}: includes {header}; only {owner} may")
    return said


PLANTS = {
    "core/clock.c": "#include <stdio.h>\n",
    "core/form.c": '#include "../plugin/desk.h"\n',
    "plugin/desk.c": "#include <lo/lo.h>\n",
    "ui/scene.c": "#include <pugl/pugl.h>\n",
    "ui/page/main.c": "#include <microhttpd.h>\n",
    "ui/long.c": "\n" * 501,
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
            if not breaches(Path(scratch)):
                missed.append(f"the breach planted in {name} was not found")
    return missed


def main() -> int:
    said = (prove() if "--prove" in sys.argv else []) + breaches(Path(sys.argv[1]).resolve())
    print("\n".join(said) or "all walls stand")
    return 1 if said else 0


sys.exit(main())
