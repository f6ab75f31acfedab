#!/usr/bin/python3
# SPDX-License-Identifier: ISC
"""Notes that fall away at their end, which only these cases have, and how well they are told: falls.py BUILD FOLDER falls|fallskept
[FIRST [LAST]]. Of notes that were lifted rightly: of those marked, how many fell; of those that fell by WORTH, how many are marked."""
import sys
from pathlib import Path

CASES, KEPT = range(4000, 4060), range(4060, 4100)
WORTH = 150, 0.08  # cents, seconds
LONGEST = 18.5
FREE = 0.1         # seconds of rest behind a note that falls


def choose(rng, notes) -> None:
    """Of long notes with a rest behind them two in five fall, 100 to 500 cents within 80 to 220 ms, and grow softer."""
    for note, after in zip(notes, notes[1:] + [None]):
        free = after is None or after.on - note.off > FREE
        if note.off - note.on > 0.22 and free and rng.random() < 0.4:
            note.fall = float(rng.uniform(100, 500)), float(rng.uniform(0.08, min(0.22, 0.6 * (note.off - note.on))))


def main(build: Path, folder: Path, group: str, first: int = 0, last: int = 9999) -> None:
    from asking import lifts, match
    from generator import LEVELS
    from records import clips_of
    clips = [c for c in clips_of(folder, group) if first <= int(c.path.name[:4]) <= last and c.notes[-1][1] < LONGEST]
    print("        notes    fell  marked   right   found")
    for level in LEVELS:
        notes = fell = marked = right = 0
        for clip in (c for c in clips if c.groups["level"] == level):
            found = lifts(build, clip, 0.5).reshape(-1, 7)
            for i, j in match(clip.notes, found).items():
                below, seconds = clip.truth["falls"][i]
                worth = below >= WORTH[0] and seconds >= WORTH[1]
                notes += 1
                fell += worth
                marked += found[j, 6] > 0 and (worth or not below)
                right += found[j, 6] > 0 and worth
        print(f"{level:>6} {notes:6} {fell:7} {marked:7} {right / max(1, marked):7.3f} {right / max(1, fell):7.3f}", flush=True)


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]), sys.argv[3], *map(int, sys.argv[4:]))
