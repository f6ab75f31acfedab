#!/usr/bin/env python3
# SPDX-License-Identifier: ISC
"""Cuts the few letters that the page needs out of a font, as WOFF2. Usage: font.py OUTPUT LETTERS FONT...
Takes the first of the fonts that is installed; writes an empty file if none is or fontTools with Brotli are missing:
the page then makes do with the phone's own letters."""
import sys
from pathlib import Path


def cut(font: Path, letters: str, output: str) -> None:
    from fontTools import subset
    options = subset.Options(flavor="woff2", layout_features=["kern"], hinting=False, desubroutinize=True,
                             name_IDs=[0, 1, 2, 13, 14], notdef_outline=True)
    loaded = subset.load_font(str(font), options)
    cutter = subset.Subsetter(options)
    cutter.populate(text=letters)
    cutter.subset(loaded)
    subset.save_font(loaded, output, options)


def main() -> None:
    output, letters, fonts = sys.argv[1], sys.argv[2], map(Path, sys.argv[3:])
    Path(output).write_bytes(b"")
    found = next((f for f in fonts if f.is_file()), None)
    if letters == "ascii":
        letters = "".join(map(chr, range(0x20, 0x7F))) + "½’"
    try:
        import brotli  # noqa: F401, what WOFF2 is packed with
        if found:
            cut(found, letters, output)
    except ImportError:
        pass
    if not Path(output).stat().st_size:
        print(f"{Path(output).name}: left out; it needs python3-fonttools, python3-brotli and its font", file=sys.stderr)


main()
