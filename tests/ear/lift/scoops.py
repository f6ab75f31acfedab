#!/usr/bin/python3
# SPDX-License-Identifier: ISC
"""How well scoops are told: scoops.py BUILD FOLDER develop|seen|kept [FIRST [LAST]]. Of notes that were lifted rightly: of those marked, how
many were scooped (a note that rises less than WORTH counts neither way); of those scooped by WORTH, how many are marked."""
import sys
from pathlib import Path

from asking import lifts, match
from generator import LEVELS
from records import clips_of

WORTH = 80, 0.06  # cents, seconds
LONGEST = 18.5


def main(build: Path, folder: Path, group: str, first: int = 0, last: int = 9999) -> None:
    clips = [c for c in clips_of(folder, group) if first <= int(c.path.name[:4]) <= last and c.notes[-1][1] < LONGEST]
    print("        notes scooped  marked   right   found")
    for level in LEVELS:
        notes = scooped = marked = right = 0
        for clip in (c for c in clips if c.groups["level"] == level):
            found = lifts(build, clip, 0.5).reshape(-1, 7)
            for i, j in match(clip.notes, found).items():
                below, seconds = clip.truth["scoops"][i]
                worth = below >= WORTH[0] and seconds >= WORTH[1]
                notes += 1
                scooped += worth
                marked += found[j, 5] > 0 and (worth or not below)
                right += found[j, 5] > 0 and worth
        print(f"{level:>6} {notes:6} {scooped:7} {marked:7} {right / max(1, marked):7.3f} {right / max(1, scooped):7.3f}", flush=True)


main(Path(sys.argv[1]), Path(sys.argv[2]), sys.argv[3], *map(int, sys.argv[4:]))
