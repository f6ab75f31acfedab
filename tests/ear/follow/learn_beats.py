#!/usr/bin/python3
# SPDX-License-Identifier: ISC
"""Learns core/ear/learned_beats.c, what is heard about a beat, from the cases of generator G: learn_beats.py BUILD FOLDER > core/ear/learned_beats.c.
P(symbol | hops from a beat) / P(symbol), whatever the tempo; each song counts the same."""
import json
import sys
from pathlib import Path

import numpy as np

from learn_chords import observe
from learn_onsets import letter

REACH, SYMBOLS, DOUBT, LEAST = 14, 64, 0.02, 8  # hops on each side; what chance counts; beats a song must have


def counts(build: Path, path: Path) -> tuple[np.ndarray, np.ndarray] | None:
    """How often each symbol comes at each distance from a beat, and anywhere."""
    heard = observe(build, path.with_suffix(".wav"))[:, 0].astype(int)
    times = np.array([b[0] for b in json.loads(path.read_text())["beats"] if b[2] > 0])
    hop = np.round(times * 100).astype(int) - 1
    hop = hop[(hop > REACH) & (hop < len(heard) - REACH)]
    if len(hop) < LEAST:
        return None
    about = [np.bincount(heard[hop + k], minlength=SYMBOLS) / len(hop) for k in range(-REACH, REACH + 1)]
    return np.array(about), np.bincount(heard[hop[0]:hop[-1]], minlength=SYMBOLS) / (hop[-1] - hop[0])


def main() -> None:
    build, folder = Path(sys.argv[1]), Path(sys.argv[2])
    songs = [c for c in (counts(build, p) for p in sorted(folder.glob("g[0-9]*.json"))) if c]
    about, anywhere = (sum(part) / len(songs) for part in zip(*songs))
    ratio = (about + DOUBT * anywhere) / ((1 + DOUBT) * anywhere + 1e-12)
    rows = ['  "' + "".join(letter(r) for r in row) + '",' for row in np.maximum(ratio, 1e-6)]
    print("/* SPDX-License-Identifier: ISC */\n/* Made by tests/ear/follow/learn_beats.py. */\n#include \"core/ear/learned.h\"\n\n/* clang-format off */\n"
          "const char rl_learned_beats[RL_BEAT_HOPS][RL_HEARING_SYMBOLS + 1] = {\n" + "\n".join(rows) + "\n};")
    print(f"{len(songs)} songs", file=sys.stderr)


if __name__ == "__main__":
    main()
