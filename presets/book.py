#!/usr/bin/env python3
# SPDX-License-Identifier: ISC
"""One tunebook of many tunes: book.py OUT TUNE... The tunes are numbered anew, with a blank line between them."""
import re
import sys

out, *tunes = sys.argv[1:]
texts = []
for number, path in enumerate(tunes, 1):
    with open(path, encoding="utf-8") as tune:
        lines = [line for line in tune.read().splitlines() if line.strip() and not line.startswith("%")]
    text, found = re.subn(r"^X: *[0-9]+", f"X:{number}", "\n".join(lines), flags=re.M)
    if found != 1:
        sys.exit(f"{path}: not one tune; a phrase begins with X: and a number, once")
    texts.append(text + "\n")
with open(out, "w", encoding="utf-8") as book:
    book.write("%abc-2.1\n\n" + "\n".join(texts))
