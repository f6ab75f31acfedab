#!/usr/bin/env python3
# SPDX-License-Identifier: ISC
"""What clang-tidy must read of a build: many files are compiled for several programs, and it would check them as often.
Writes BUILD/once/compile_commands.json with every file once for each text that comes out of the preprocessor, so what
another definition makes of a file is checked too. Prints that folder. Usage: once.py BUILD"""
import json
import shlex
import subprocess
import sys
from pathlib import Path

LEFT_OUT = {"-o": 2, "-MF": 2, "-MQ": 2, "-MD": 1, "-c": 1}  # with what follows


def text_of(entry: dict) -> bytes:
    """What the compiler reads after the preprocessor."""
    words, at, kept = shlex.split(entry["command"]), 0, []
    while at < len(words):
        skipped = LEFT_OUT.get(words[at], 0)
        kept += [] if skipped else [words[at]]
        at += skipped or 1
    return subprocess.run([*kept, "-E", "-P"], cwd=entry["directory"], check=True, capture_output=True).stdout


def main(build: Path) -> None:
    entries = json.loads((build / "compile_commands.json").read_text())
    of_file = {}
    for entry in entries:
        of_file.setdefault((Path(entry["directory"]) / entry["file"]).resolve(), []).append(entry)
    once = []
    for found in of_file.values():
        once += found if len(found) == 1 else {text_of(entry): entry for entry in found}.values()
    folder = build / "once"
    folder.mkdir(exist_ok=True)
    (folder / "compile_commands.json").write_text(json.dumps(once))
    print(folder)


main(Path(sys.argv[1]))
