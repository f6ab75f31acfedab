#!/usr/bin/python3
# SPDX-License-Identifier: ISC
"""Learns core/ear/learned_bass.c, what a bass plays on a beat of a chord, from generator G and from the drawn half of generator A
(number // 16 even): learn_bass.py BUILD FOLDER > core/ear/learned_bass.c. Not how likely a bass is, but what tells the right place
from those it is taken for: logistic regression of the place against the same one some beats away, over windows of 12 s."""
import json
import sys
from pathlib import Path

import numpy as np

from learn_chords import beat_places, chord_type, observe
from song import felt_of, form_read

AWAY = (0, -2, -1, -0.5, 0.5, 1, 2, 1.5, -1.5, 3, -3)  # beats; the first is the place itself
WINDOW, LEAST, STEPS_A_LOOK = 12.0, 100, 2  # seconds; looks that a window must have; as core/ear/hearing.c and lattice.c
STANDS, ROUNDS, RATE, DRAWN_TO_NOTHING = 4, 400, 0.01, 0.05


def beats_of(form: dict) -> tuple[np.ndarray, np.ndarray]:
    """Of every felt beat: what the bass stands on (-1: nothing), and how the chord stands there, as core/ear/score.c."""
    foot, chords, firsts, now = [], [], [], None
    for bar in form["bars"]:
        each = bar["beats"] / felt_of(bar)
        for b in range(felt_of(bar)):
            now = ([c for c in bar["chords"] if c["beat"] <= b * each + 1e-6] or [now])[-1]
            sounds = now is not None and bool(now["tones"])
            foot.append(now["bass"] if sounds else -1)
            chords.append((now["root"], now["bass"], chord_type(now["tones"])) if sounds else None)
            firsts.append(b == 0)
    new = [c != before for c, before in zip(chords, chords[-1:] + chords[:-1])]
    return np.array(foot), np.array([(0 if n else 2) + (0 if f else 1) for n, f in zip(new, firsts)])


def windows(build: Path, path: Path) -> np.ndarray:
    """[window][away][stand][tone above the bass note]: how much of it was heard, in steps."""
    case, heard = json.loads(path.read_text()), observe(build, path.with_suffix(".wav"))
    form = form_read(build, path.with_suffix(".chart").read_text(), case["key"])
    foot, stand = beats_of(form)
    first = np.cumsum([0] + [felt_of(bar) for bar in form["bars"]])
    beats = np.array([[first[b[2] - 1] + b[3] - 1 if b[2] > 0 else -1] for b in case["beats"]])[:, 0]
    times = (np.arange(len(heard)) + 1) * 0.01
    index, phase = beat_places(case, times)
    good = (index >= 0) & (heard[:, 1] > 0) & (heard[:, 2] > 0) & (beats[index] >= 0)
    place = beats[index] + np.clip(phase, 0, 0.999)
    out = []
    for start in np.arange(case["beats"][0][0], case["beats"][-1][0] - WINDOW / 2, WINDOW):
        here = good & (times >= start) & (times < start + WINDOW)
        if here.sum() < LEAST:
            continue
        sums = np.zeros((len(AWAY), STANDS, 12))
        for k, away in enumerate(AWAY):
            beat = np.floor(place[here] + away).astype(int) % len(foot)
            sounds = foot[beat] >= 0
            turned = np.take_along_axis(heard[here, 15:27], (np.arange(12) + foot[beat][:, None]) % 12, 1)
            np.add.at(sums[k], stand[beat][sounds], STEPS_A_LOOK * turned[sounds])
        out.append(sums)
    return np.array(out).reshape(-1, len(AWAY), STANDS * 12)


def learn(songs: list) -> np.ndarray:
    """By Adam; every song counts the same."""
    x = np.concatenate(songs)
    weigh = np.concatenate([np.full(len(s), 1 / len(s)) for s in songs]) / len(songs)
    w, m, v = (np.zeros(STANDS * 12) for _ in range(3))
    for step in range(1, ROUNDS + 1):
        z = x @ w
        p = np.exp(z - z.max(1, keepdims=True))
        p /= p.sum(1, keepdims=True)
        loss = -(weigh * np.log(p[:, 0] + 1e-12)).sum()
        p[:, 0] -= 1
        g = np.einsum("n,na,nai->i", weigh, p, x, optimize=True) + 2 * DRAWN_TO_NOTHING * w
        m, v = 0.9 * m + 0.1 * g, 0.999 * v + 0.001 * g * g
        w = w - RATE * (m / (1 - 0.9 ** step)) / (np.sqrt(v / (1 - 0.999 ** step)) + 1e-8)
    print(f"bass: {len(songs)} songs, {len(x)} windows, loss {loss:.3f} (by chance {np.log(len(AWAY)):.3f})", file=sys.stderr)
    return w.reshape(STANDS, 12)


def is_learned_from(path: Path) -> bool:
    return path.stem[0] == "g" or int(path.stem[1:]) >= 128 and int(path.stem[1:]) // 16 % 2 == 0


def main() -> None:
    build, folder = Path(sys.argv[1]), Path(sys.argv[2])
    paths = [p for p in sorted(folder.glob("[ag][0-9]*.json")) if is_learned_from(p)]
    weights = learn([s for s in (windows(build, p) for p in paths) if len(s)])
    print("/* SPDX-License-Identifier: ISC */\n/* Made by tests/ear/follow/learn_bass.py. */\n#include \"core/ear/learned.h\"\n\n/* clang-format off */\n"
          "const float rl_learned_bass[RL_STANDS][12] = {")
    for row in weights:
        print("  {" + ", ".join(f"{v:.3f}F" for v in row) + "},")
    print("};")


if __name__ == "__main__":
    main()
