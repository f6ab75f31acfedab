#!/usr/bin/python3
# SPDX-License-Identifier: ISC
"""Renders the cases: make.py BUILD FOLDER a|b|c|d|e|g|k [FIRST [LAST]]. Songs FIRST to LAST (all), then what is
no song. BUILD holds form_dump. What is there already stays."""
import sys
from pathlib import Path

import generator_a
import generator_b
import generator_c
import generator_d
import generator_e
import generator_g
import generator_k
import generator_p
import negatives

SONGS = {"a": 288, "b": 68, "c": 68, "d": 60, "e": 65, "g": generator_g.count(), "k": 64}
GROOVES = 128  # of a; the others are drawn


def main() -> None:
    build, folder, letter = Path(sys.argv[1]).resolve(), Path(sys.argv[2]), sys.argv[3]
    numbers = [int(a) for a in sys.argv[4:]] or [0]
    folder.mkdir(parents=True, exist_ok=True)
    generators = {"a": [generator_a, generator_p], "b": [generator_b] * 2, "c": [generator_c] * 2, "d": [generator_d] * 2,
                  "e": [generator_e] * 2, "g": [generator_g] * 2, "k": [generator_k] * 2}[letter]
    for number in range(numbers[0], (numbers[1:] or [SONGS[letter] - 1])[0] + 1):
        if not (folder / f"{letter}{number:03d}.json").exists():
            generators[number >= GROOVES].case(number, build, folder)
            print(f"{letter}{number:03d}", flush=True)
    if letter != "g":
        negatives.nothings(letter, build, folder)
        negatives.others(letter, build, folder, 24)


main()
