# SPDX-License-Identifier: ISC
"""Asks the programs for the notes of a clip, and finds which are right."""
import subprocess
from pathlib import Path

import numpy as np

from generator import FORMS
from records import Clip

NEAR = 0.05  # seconds that a beginning may be off
BLUES, MIXOLYDIAN = (0, 3, 5, 6, 7, 10), (0, 2, 4, 5, 7, 9, 10)


def rows_of(command) -> np.ndarray:
    said = subprocess.run(command, check=True, capture_output=True, text=True).stdout
    return np.array([list(map(float, row.split())) for row in said.splitlines()])


def listen(build: Path, clip: Clip, told: bool) -> np.ndarray:
    """On, off, MIDI number, how sure."""
    options = [f"--{k}={v}" for k, v in clip.known.items()] if told else []
    return rows_of([build / "ui" / "listen" / "reedlamp-listen", clip.path, "--as=notes", *options]).reshape(-1, 4)


def aubio(clip: Clip) -> np.ndarray:
    said = subprocess.run(["aubionotes", "-i", clip.path], capture_output=True, text=True).stdout
    rows = [row.split() for row in said.splitlines()]
    return np.array([[float(r[1]), float(r[2]), float(r[0]), 1] for r in rows if len(r) == 3]).reshape(-1, 4)


def scales(clip: Clip) -> list[str]:
    """Of each beat of the form, what reedlamp-listen would make of the chart."""
    key, out = clip.truth["key"], []
    for root in FORMS[clip.truth["chart"]]:
        classes = {(key + root + i) % 12 for i in MIXOLYDIAN} | {(key + i) % 12 for i in BLUES}
        out += [f"{sum(1 << c for c in classes):x}"] * 4
    return out


def lifts(build: Path, clip: Clip, least: float) -> np.ndarray:
    """On, off, MIDI number, how sure, twelfth, scooped, fell; where `least` is 0 as lifts.c says."""
    feel = {"straight": 1, "swung": 2}[clip.known["feel"]]
    return rows_of([build / "tests" / "ear" / "lifts", clip.path, str(least), str(60 / clip.known["tempo"]), str(clip.known["at"]), str(feel),
                    *scales(clip)])


def match(truth: list, found: np.ndarray) -> dict:
    """Index in `found` by index in `truth`: the most notes, each once (augmenting paths)."""
    owner: dict = {}
    near = [[j for j in range(len(found)) if abs(found[j, 0] - n[0]) <= NEAR and found[j, 2] == n[2]] for n in truth]

    def place(i: int, seen: set) -> bool:
        for j in near[i]:
            if j not in seen:
                seen.add(j)
                if j not in owner or place(owner[j], seen):
                    owner[j] = i
                    return True
        return False
    for i in range(len(truth)):
        place(i, set())
    return {i: j for j, i in owner.items()}
