#!/usr/bin/env python3
# SPDX-License-Identifier: ISC
"""Every string of the product that a person reads, in one list, so that all can be read in one go: strings.txt.

strings.py         says what the list lacks or has too much
strings.py --renew writes the list; read what is new in it aloud first
"""
import re
import sys
from pathlib import Path

TOP = Path(__file__).resolve().parent.parent
LIST = TOP / "tests/strings.txt"
HEAD = "SPDX-License-Identifier: ISC\nWhat a person reads, by file; written by tests/strings.py --renew.\n"
C_STRING = re.compile(r'"((?:\\.|[^"\\\n])*)"')
JS_STRING = re.compile(r"""'((?:\\.|[^'\\\n])*)'|"((?:\\.|[^"\\\n])*)"|`((?:\\.|[^`\\])*)`""")
# single words are labels in these places, and names of something elsewhere
LABELS = re.compile(r"ui/(draw|paper|model/fields)|plugin/protocol/(ports|properties)\.c|site/(words|settings)\.js|index\.html|^presets")
DATA = re.compile(r"core/ear/learned\.c|plugin/protocol/ttl\.c")


def of_c(text):
    text = re.sub(r'("(?:\\.|[^"\\\n])*"|\'(?:\\.|[^\'\\\n])+\')|//[^\n]*|/\*.*?\*/', 
                  lambda m: m[1] if m[1] and m[1][0] == '"' else "", text, flags=re.S)
    text = re.sub(r"^#include.*$|_?[Ss]tatic_assert\([^;]*;", "", text, flags=re.M)
    return C_STRING.findall(re.sub(r'(?<!\\)"\s+"', "", text))


def of_js(text):
    return ["".join(m) for m in JS_STRING.findall(re.sub(r"/\*.*?\*/|^//[^\n]*", "", text, flags=re.S | re.M))]


def of_preset(text):
    return re.findall(r"^(?:# |title: *|feel: *|T:|N:)(.*)$", text, flags=re.M)


READERS = {".c": of_c, ".js": of_js, ".html": lambda text: re.split(r"<[^>]*>|\n", text), ".chart": of_preset,
           ".abc": of_preset, ".plan": of_preset}


def is_read(path, string):
    """Words with a blank between them; single words where labels are."""
    if re.search(r"[;{]\\n|<svg|url\(|xmlns|px;|^default-src|%s/|://[^/]|lv2:|atom:|pg:|units:", string) and not string.startswith("usage:"):
        return False
    words = re.findall(r"[^\W\d_]{2,}", re.sub(r"\$\{[^}]*\}?|\\[nrtx]|%[-.*\d]*[a-z]", " ", string))
    return bool(words) and (" " in string.strip() and len(words) > 1 or bool(LABELS.search(path)) or
                            string.startswith(" "))


def found():
    lines = []
    for room in ("core", "plugin", "ui", "presets"):
        for file in sorted((TOP / room).rglob("*")):
            path = str(file.relative_to(TOP))
            if file.suffix in READERS and not DATA.search(path) and "node_modules" not in path:
                strings = [s for s in READERS[file.suffix](file.read_text()) if is_read(path, s)]
                if strings:
                    lines += ["", path] + [f"  {s.strip()}" for s in dict.fromkeys(strings)]
    return HEAD + "\n".join(lines) + "\n"


def main():
    new = found()
    if sys.argv[1:] == ["--renew"]:
        LIST.write_text(new)
        return 0
    old = LIST.read_text()
    changed = sorted(set(new.splitlines()) ^ set(old.splitlines()))
    for line in changed:
        print(("new: " if line in new.splitlines() else "gone: ") + line.strip())
    if new != old:
        print("tests/strings.txt is not what the sources say: read these, then run tests/strings.py --renew")
    return new != old


if __name__ == "__main__":
    sys.exit(main())
