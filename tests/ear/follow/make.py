#!/usr/bin/python3
# SPDX-License-Identifier: ISC
"""Renders the cases: make.py BUILD FOLDER a|b [FIRST [LAST]]. Songs FIRST to LAST (0 to 127, or 0 to 67 of b), then what is no
song. BUILD holds form_dump. What is there already stays."""
import sys
from pathlib import Path

import generator_a
import generator_b
import negatives

SONGS = {"a": 128, "b": 68}


def main() -> None:
    build, folder, letter = Path(sys.argv[1]).resolve(), Path(sys.argv[2]), sys.argv[3]
    numbers = [int(a) for a in sys.argv[4:]] or [0]
    folder.mkdir(parents=True, exist_ok=True)
    generator = {"a": generator_a, "b": generator_b}[letter]
    for number in range(numbers[0], (numbers[1:] or [SONGS[letter] - 1])[0] + 1):
        if not (folder / f"{letter}{number:03d}.json").exists():
            generator.case(number, build, folder)
            print(f"{letter}{number:03d}", flush=True)
    negatives.nothings(letter, build, folder)
    negatives.others(letter, build, folder, 24)


main()
