#!/usr/bin/env python3
# SPDX-License-Identifier: ISC
"""Cuts the few letters that the page needs out of a font, as WOFF2. Usage: font.py OUTPUT LETTERS FONT
LETTERS are these letters, or `ascii` for printable ASCII with the half and the apostrophe."""
import sys

from fontTools import subset


def main(output: str, letters: str, font: str) -> None:
    if letters == "ascii":
        letters = "".join(map(chr, range(0x20, 0x7F))) + "½’±"
    options = subset.Options(flavor="woff2", layout_features=["kern"], hinting=False, desubroutinize=True,
                             name_IDs=[0, 1, 2, 13, 14], notdef_outline=True)
    loaded = subset.load_font(font, options)
    cutter = subset.Subsetter(options)
    cutter.populate(text=letters)
    cutter.subset(loaded)
    subset.save_font(loaded, output, options)


main(*sys.argv[1:])
