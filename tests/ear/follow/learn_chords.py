#!/usr/bin/python3
# SPDX-License-Identifier: ISC
"""Learns core/ear/learned_chords.c, which chord is heard, from generator G and the cases of generator A that are for learning (number // 16 even):
learn_chords.py BUILD FOLDER > learned_chords.c. A small net that is the same for all roots."""
import json
import subprocess
import sys
from pathlib import Path

import numpy as np

from song import form_read

HIDDEN, EPOCHS, SMOOTH = 24, 12, 0.12  # SMOOTH: a look, as core/ear/chords.c
LAG = 0.11  # seconds that chroma is behind: there the chord before and the chord now are heard alike


def observe(build: Path, wav: Path) -> np.ndarray:
    out = subprocess.run([build / "observe", wav], check=True, capture_output=True).stdout
    return np.frombuffer(out, np.float32).reshape(-1, 49)


def chord_type(tones: list) -> int:
    """As core/ear/score.c: dominant, major, minor, diminished."""
    t = {x % 12 for x in tones}
    if 3 in t and 4 not in t:
        return 3 if 6 in t and 7 not in t else 2
    return 0 if 10 in t else 1


def beat_places(case: dict, times: np.ndarray):
    """For each time the beat it is in (-1: none) and how far."""
    starts = np.array([b[0] for b in case["beats"]])
    index = np.searchsorted(starts, times, "right") - 1
    inside = (index >= 0) & (index < len(starts) - 1)
    index = np.where(inside, index, 0)
    return np.where(inside, index, -1), (times - starts[index]) / np.maximum(np.diff(starts)[np.minimum(index, len(starts) - 2)], 1e-3)


def load(build: Path, folder: Path, half: int = 0) -> list:
    out = []
    for path in sorted(folder.glob("g[0-9]*.json"))[:0 if half else None] + sorted(folder.glob("a*.json")):
        case = json.loads(path.read_text())
        if case["kind"] != "song" or case["name"][0] == "a" and int(case["name"][1:]) // 16 % 2 != half:
            continue
        heard = observe(build, path.with_suffix(".wav"))
        case["form"] = form_read(build, path.with_suffix(".chart").read_text(), case["key"])
        case["heard"] = heard
        out.append(case)
    return out


def chord_frames(cases: list):
    """Chroma and bass as heard, the same smoothed as core/ear/chords.c does it, and the chord that the chart has there."""
    features, answers = [], []
    for c in cases:
        heard = c["heard"][c["heard"][:, 2] > 0]
        index, phase = beat_places(c, (np.flatnonzero(c["heard"][:, 2] > 0) + 1) * 0.01 - LAG)
        slow = np.zeros(24)
        for t, row in enumerate(heard):
            slow = slow + SMOOTH * (row[3:] - slow)
            _, _, bar, beat = c["beats"][max(index[t], 0)]
            if bar < 1 or index[t] < 0 or not row[1]:
                continue
            written = c["form"]["bars"][bar - 1]
            each = written["beats"] / max(b[3] for b in c["beats"] if b[2] == bar)
            chord = [x for x in written["chords"] if x["beat"] <= (beat - 1) * each] or [{"tones": []}]
            if chord[-1]["tones"]:
                features.append(np.concatenate([row[3:], slow]))
                answers.append(chord_type(chord[-1]["tones"]) * 12 + chord[-1]["root"])
    return np.array(features, np.float32), np.array(answers)


def turned(x: np.ndarray) -> np.ndarray:
    """Every frame as each of the twelve roots sees it."""
    return np.stack([np.concatenate([np.roll(x[:, i:i + 12], -r, 1) for i in range(0, 48, 12)], 1) for r in range(12)], 1)


def net(w: list, x: np.ndarray):
    hidden = np.maximum(x @ w[0] + w[1], 0)
    return hidden, hidden @ w[2] + w[3]


def chords(x: np.ndarray, y: np.ndarray, rng) -> list:
    """A net of one hidden layer that every root shares, by Adam; frames of rare types count more."""
    share = np.bincount(y // 12, minlength=4) / len(y)
    weigh = (1 / (share + 0.1))[y // 12]
    weigh = (weigh / weigh.mean()).astype(np.float32)
    w = [rng.normal(0, 0.3, (48, HIDDEN)), np.zeros(HIDDEN), rng.normal(0, 0.3, (HIDDEN, 4)), np.zeros(4)]
    w = [a.astype(np.float32) for a in w]
    m, v, step, losses = [0 * a for a in w], [0 * a for a in w], 0, []
    for epoch in range(EPOCHS):
        order = rng.permutation(len(x))
        rate = 0.004 * 0.5 * (1 + np.cos(np.pi * epoch / EPOCHS)) + 1e-5
        for batch in np.array_split(order, len(x) // 256):
            seen = turned(x[batch] * rng.uniform(0.85, 1.15, (len(batch), 48)).astype(np.float32))
            hidden, z = net(w, seen)
            z = z.transpose(0, 2, 1).reshape(len(batch), 48)
            p = np.exp(z - z.max(1, keepdims=True))
            p /= p.sum(1, keepdims=True)
            losses.append(-(weigh[batch] * np.log(p[np.arange(len(batch)), y[batch]] + 1e-9)).mean())
            p[np.arange(len(batch)), y[batch]] -= 1
            back = (p * weigh[batch, None] / len(batch)).reshape(-1, 4, 12).transpose(0, 2, 1).reshape(-1, 4)
            flat, hid = seen.reshape(-1, 48), hidden.reshape(-1, HIDDEN)
            inner = (back @ w[2].T) * (hid > 0)
            grads = [flat.T @ inner, inner.sum(0), hid.T @ back, back.sum(0)]
            step += 1
            for i, g in enumerate(grads):
                g = g + 1e-4 * w[i]
                m[i], v[i] = 0.9 * m[i] + 0.1 * g, 0.999 * v[i] + 0.001 * g * g
                w[i] = w[i] - rate * (m[i] / (1 - 0.9 ** step)) / (np.sqrt(v[i] / (1 - 0.999 ** step)) + 1e-8)
    print(f"chords: loss {np.mean(losses[-200:]):.3f} on {len(y)}, {share.round(3)}", file=sys.stderr)
    return w


def right(w: list, x: np.ndarray, y: np.ndarray) -> float:
    z = net(w, turned(x))[1].transpose(0, 2, 1).reshape(len(x), 48)
    return float((z.argmax(1) == y).mean())


def main() -> None:
    build, folder = Path(sys.argv[1]), Path(sys.argv[2])
    cases = load(build, folder)
    x, y = chord_frames(cases)
    weights = chords(x, y, np.random.default_rng(1))
    if len(sys.argv) > 3:  # cases that were not learned from
        print(f"right {right(weights, x[::7], y[::7]):.3f}, unseen {right(weights, *(a[::7] for a in chord_frames(load(build, folder, 1)))):.3f}", file=sys.stderr)
    print("/* SPDX-License-Identifier: ISC */\n/* Made by tests/ear/follow/learn_chords.py. */\n#include \"core/ear/learned.h\"\n\n/* clang-format off */\n"
          "const RlLearnedChords rl_learned_chords = {")
    for name, a in zip(("inner", "inner_plus", "outer", "outer_plus"), (weights[0].T, weights[1], weights[2].T, weights[3])):
        rows = ["{" + ", ".join(f"{v:.3f}F" for v in row) + "}" for row in np.atleast_2d(a)]
        print(f"  .{name} = " + (rows[0] if a.ndim == 1 else "{\n    " + ",\n    ".join(rows) + "}") + ",")
    print("};")


if __name__ == "__main__":
    main()
