#!/usr/bin/python3
# SPDX-License-Identifier: ISC
"""Learns core/ear/learned_onsets.c from the cases of generator G: learn_onsets.py BUILD FOLDER > core/ear/learned_onsets.c.
P(symbol | phase of the beat, kind of beat, feel) / P(symbol), the songs sorted into feels by themselves (hard EM from chance)."""
import json
import sys
from pathlib import Path

import numpy as np

from learn_chords import beat_places, observe

FEELS, KINDS, PHASES, SYMBOLS = 8, 3, 24, 64
SONG, DOUBT, LEAST, ROUNDS = 6000, 150, 500, 25  # what a song counts, whatever its length; what chance counts; hops a song must have
LETTERS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz"


def counts(build: Path, path: Path) -> np.ndarray:
    """How often each symbol comes, by kind of beat and phase."""
    beats, heard = json.loads(path.read_text())["beats"], observe(build, path.with_suffix(".wav"))
    index, phase = beat_places({"beats": beats}, (np.arange(len(heard)) + 1) * 0.01)
    within = (index + np.clip(phase, 0, 0.999)) % 1
    most = max(b[3] for b in beats)
    kind = np.array([0 if b[3] == 1 else 1 if b[3] == 3 and most == 4 else 2 for b in beats])
    good = (index >= 0) & (heard[:, 1] > 0)
    out = np.zeros((KINDS, PHASES, SYMBOLS))
    np.add.at(out, (kind[index[good]], (within[good] * PHASES).astype(int), heard[good, 0].astype(int)), 1)
    return out


def table(songs: list, everywhere: np.ndarray) -> np.ndarray:
    count = sum((c / c.sum() * SONG for c in songs), np.zeros((KINDS, PHASES, SYMBOLS)))
    near = count + 0.5 * (np.roll(count, 1, 1) + np.roll(count, -1, 1))
    return (near + DOUBT * everywhere) / (near.sum(2, keepdims=True) + DOUBT) / everywhere


def learn(songs: list, rng) -> np.ndarray:
    total = sum(songs).sum((0, 1)) + 1
    everywhere = total / total.sum()
    feel = rng.integers(0, FEELS, len(songs))
    for _ in range(ROUNDS):
        tables = np.array([table([c for c, g in zip(songs, feel) if g == f], everywhere) for f in range(FEELS)])
        chosen = np.array([[(c * logs).sum() for logs in np.log(tables)] for c in songs]).argmax(1)
        if (chosen == feel).all():
            break
        feel = chosen
    print(f"songs of each feel: {np.bincount(feel, minlength=FEELS)}", file=sys.stderr)
    return tables


def letter(ratio: float) -> str:
    return LETTERS[int(np.clip(round(np.log(ratio) * 10) + 36, 0, 61))]


def main() -> None:
    build, folder = Path(sys.argv[1]), Path(sys.argv[2])
    songs = [counts(build, p) for p in sorted(folder.glob("g[0-9]*.json"))]
    tables = learn([c for c in songs if c.sum() > LEAST], np.random.default_rng(1))
    print("/* SPDX-License-Identifier: ISC */\n/* Made by tests/ear/follow/learn_onsets.py. */\n#include \"core/ear/learned.h\"\n\n/* clang-format off */\n"
          "const char rl_learned_onsets[RL_EAR_FEELS][RL_BEAT_KINDS][RL_EAR_PHASES][RL_HEARING_SYMBOLS + 1] = {")
    for feel in tables:
        kinds = [",\n    ".join(map(", ".join, zip(*[iter('"' + "".join(map(letter, row)) + '"' for row in kind)] * 2))) for kind in feel]
        print("  {" + ",\n   ".join("{" + kind + "}" for kind in kinds) + "},")
    print("};")


if __name__ == "__main__":
    main()
