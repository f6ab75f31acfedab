#!/usr/bin/python3
# SPDX-License-Identifier: ISC
"""Notes that fall away at their end, which only these cases have, and how well they are told: falls.py BUILD FOLDER falls|fallskept
[FIRST [LAST]]; marks.py says what its columns are."""
import sys

CASES, KEPT = range(4000, 4060), range(4060, 4100)
WORTH = 150, 0.08  # cents, seconds: a note that falls less counts neither way
FREE = 0.1         # seconds of rest behind a note that falls


def choose(rng, notes) -> None:
    """Of long notes with a rest behind them two in five fall, 100 to 500 cents within 80 to 220 ms, and grow softer."""
    for note, after in zip(notes, notes[1:] + [None]):
        free = after is None or after.on - note.off > FREE
        if note.off - note.on > 0.22 and free and rng.random() < 0.4:
            note.fall = float(rng.uniform(100, 500)), float(rng.uniform(0.08, min(0.22, 0.6 * (note.off - note.on))))


if __name__ == "__main__":
    from marks import asked  # it needs the generator, which needs this
    asked(sys.argv[1:], "falls", 6, WORTH)
