# SPDX-License-Identifier: ISC
"""How well scoops and falls are told (scoops.py, falls.py): a table by level. Of notes that were lifted rightly: of those marked, how many
had it; of those that had it by `worth` (cents, seconds), how many are marked. What is less counts neither way."""
from pathlib import Path

from asking import lifts, match
from generator import LEVELS
from records import clips_of

LONGEST = 18.5  # seconds of a clip


def table(build: Path, folder: Path, group: str, first: int, last: int, name: str, column: int, worth: tuple) -> None:
    """`name`: in the truth, of each note (cents, seconds); `column`: of what `lifts` says."""
    clips = [c for c in clips_of(folder, group) if first <= int(c.path.name[:4]) <= last and c.notes[-1][1] < LONGEST]
    print(f"        notes {name:>7}  marked   right   found")
    for level in LEVELS:
        notes = had = marked = right = 0
        for clip in (c for c in clips if c.groups["level"] == level):
            found = lifts(build, clip, 0.5).reshape(-1, 7)
            for i, j in match(clip.notes, found).items():
                cents, seconds = clip.truth[name][i]
                much = cents >= worth[0] and seconds >= worth[1]
                notes += 1
                had += much
                marked += found[j, column] > 0 and (much or not cents)
                right += found[j, column] > 0 and much
        print(f"{level:>6} {notes:6} {had:7} {marked:7} {right / max(1, marked):7.3f} {right / max(1, had):7.3f}", flush=True)


def asked(words: list, name: str, column: int, worth: tuple) -> None:
    """BUILD FOLDER GROUP [FIRST [LAST]]."""
    numbers = [int(w) for w in words[3:]]
    first, last = (numbers + [0, 9999][len(numbers):])[:2]
    table(Path(words[0]), Path(words[1]), words[2], first, last, name, column, worth)
