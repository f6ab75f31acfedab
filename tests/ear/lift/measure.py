# SPDX-License-Identifier: ISC
"""How well reedlamp-listen lifts: measure.py BUILD FOLDER develop|second|seen|kept|own [--alone] [--peers] [--diagram=FILE.png]. README.md says
what the columns are."""
import argparse
import sys
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import numpy as np

import pyin
from asking import NEAR, aubio, lifts, listen, match
from generator import LEVELS
from records import Clip, LabelError, clips_of

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "follow"))
from measure import diagram  # noqa: E402

SURE, LONGEST = 0.9, 20.0  # of a note; seconds that the ear hears at once
SHIFTS = np.arange(-0.1, 0.11, 0.01)  # seconds: a peer gets the one that suits it best


# ---- how right it is ----

@dataclass
class Row:
    clip: Clip
    hit: int
    ends: int
    truth: int
    found: int
    sure: list            # (how sure, right) of each note found
    grid: tuple = (0, 0)  # right pitch on the right twelfth, twice; notes in truth and found

    @property
    def edits(self) -> int:
        missing, many = self.truth - self.hit, self.found - self.hit
        return missing + many - min(missing, many)


def judge(clip: Clip, found: np.ndarray) -> Row:
    pairs = match(clip.notes, found)
    ends = sum(abs(found[j, 1] - clip.notes[i][1]) <= max(NEAR, 0.2 * (clip.notes[i][1] - clip.notes[i][0])) for i, j in pairs.items())
    right = set(pairs.values())
    return Row(clip, len(pairs), ends, len(clip.notes), len(found), [(found[j, 3], j in right) for j in range(len(found))])


def on_grid(build: Path, clip: Clip) -> tuple:
    """How many are right in pitch and twelfth, and of how many; clips too long to be heard at once are left out."""
    if not clip.truth or clip.notes[-1][1] + 1.5 > LONGEST:
        return 0, 0
    found = lifts(build, clip, 0.5).reshape(-1, 7)
    theirs, ours = {(n[3], n[2]) for n in clip.notes}, {(int(f[4]), int(f[2])) for f in found}
    return 2 * len(theirs & ours), len(clip.notes) + len(found)


# ---- what is printed ----

def f1(rows, what="hit") -> float:
    return 2 * sum(getattr(r, what) for r in rows) / max(1, sum(r.truth + r.found for r in rows))


def line(title: str, rows) -> None:
    sure = [s for r in rows for s in r.sure]
    high = [ok for s, ok in sure if s > SURE]
    right, of = (sum(r.grid[k] for r in rows) for k in (0, 1))
    print(f"{title:24s}{len(rows):5d}{f1(rows):7.3f}{f1(rows, 'ends'):7.3f}{right / of if of else 0:7.3f}"
          f"{np.mean([r.edits == 0 for r in rows]):7.2f}{np.mean([r.edits <= 3 for r in rows]):6.2f}"
          f"{len(high) / max(1, len(sure)):6.2f}{np.mean(high) if high else 0:7.3f}", flush=True)


def table(name: str, rows) -> None:
    """Each level; each group at each level, and each alone."""
    print(f"{name:24s}clips    F1   ends   grid  as is   <=3   >.9  right")
    levels = [v for v in (*LEVELS, "own") if any(r.clip.groups["level"] == v for r in rows)]
    for level in levels:
        line(str(level), [r for r in rows if r.clip.groups["level"] == level])
    for group in sorted({g for r in rows for g in r.clip.groups} - {"level"}):
        for value in sorted({r.clip.groups[group] for r in rows}):
            some = [r for r in rows if r.clip.groups[group] == value]
            line(f"{group} {value}", some)
            for level in levels if group in ("place", "condition") else ():
                line(f"    {level}", [r for r in some if r.clip.groups["level"] == level])
    for r in sorted(rows, key=lambda r: f1([r]))[:8]:
        line(f"  {r.clip.path.name}", [r])


def shifted(found: np.ndarray, by: float) -> np.ndarray:
    return found + np.array([by, by, 0, 0]) if len(found) else found


def peer(name: str, clips, found) -> None:
    """With the one shift in time that suits it best."""
    score = [f1([judge(c, shifted(f, by)) for c, f in zip(clips, found)]) for by in SHIFTS]
    table(name, [judge(c, shifted(f, SHIFTS[int(np.argmax(score))])) for c, f in zip(clips, found)])


def main() -> None:
    ask = argparse.ArgumentParser()
    ask.add_argument("build", type=Path)
    ask.add_argument("folder", type=Path)
    ask.add_argument("group", choices=("develop", "second", "seen", "kept", "own"))
    ask.add_argument("--alone", action="store_true", help="nothing is said of grid, key and chords")
    ask.add_argument("--peers", action="store_true", help="aubionotes and pYIN as well")
    ask.add_argument("--diagram", metavar="FILE.png", help="how sure against how often right")
    wish = ask.parse_args()
    try:
        clips = clips_of(wish.folder, wish.group)
    except LabelError as wrong:
        sys.exit(str(wrong))
    with ThreadPoolExecutor(2) as pool:
        rows = list(pool.map(lambda c: judge(c, listen(wish.build, c, not wish.alone)), clips))
        if not wish.alone:
            for row, grid in zip(rows, pool.map(lambda c: on_grid(wish.build, c), clips)):
                row.grid = grid
    table("reedlamp-listen", rows)
    if wish.diagram:
        diagram(np.array([s for r in rows for s in r.sure], float), wish.diagram)
    if wish.peers:
        peer("aubionotes", clips, [aubio(c) for c in clips])
        peer("pYIN", clips, [pyin.notes_of(c.path) for c in clips])


if __name__ == "__main__":
    main()
