#!/usr/bin/python3
# SPDX-License-Identifier: ISC
"""Learns ui/listen/trust_learned.c, how far reedlamp-listen trusts what it found, from the cases of generators A and G: learn_trust.py BUILD FOLDER_A FOLDER_G
> ui/listen/trust_learned.c. Every other case of A, every fourth of G; whole, 15 s from its middle (for the place, which is hardly ever wrong in a whole one), and
also under the chart of the case five on. A chart under which half of the bars are right all the same is no other song."""
import json
import subprocess
import sys
import tempfile
import wave
from pathlib import Path

import numpy as np
from scipy.optimize import minimize

NEAR, CUT, ON, AHEAD_MOST, DOUBT = 0.05, 15, 5, 60, 0.01


def looked(build: Path, chart: Path, sound: Path) -> tuple[np.ndarray, np.ndarray]:
    """The signs and by how much the place is ahead; (second, bar) of each line."""
    done = subprocess.run([build / "ways", chart, sound], capture_output=True, text=True, check=True)
    rows = done.stdout.splitlines()
    return np.array(rows[0].split(), float), np.array([r.split() for r in rows[1:]], float).reshape(-1, 2)


def share_right(lines: np.ndarray, beats: np.ndarray) -> float:
    """Of the lines, how many bars of that number begin there; 0 if there are none."""
    bars = beats[(beats[:, 3] == 1) & (beats[:, 2] > 0)]
    return float(np.mean([np.any((np.abs(bars[:, 0] - t) < NEAR) & (bars[:, 2] == bar)) for t, bar in lines])) if len(lines) else 0.0


def tempo_right(lines: np.ndarray, beats: np.ndarray) -> bool:
    bars = beats[beats[:, 3] == 1, 0]
    return len(lines) > 2 and abs(np.log(np.median(np.diff(lines[:, 0])) / np.median(np.diff(bars)))) < 0.05


def part_write(sound: Path, part: Path) -> float:
    """Writes the seconds from the middle; returns where they begin."""
    with wave.open(str(sound)) as file, wave.open(str(part), "wb") as out:
        frames = min(CUT * file.getframerate(), file.getnframes())
        first = (file.getnframes() - frames) // 2
        file.setpos(first)
        out.setparams(file.getparams())
        out.writeframes(file.readframes(frames))
        return first / file.getframerate()


def curve(signs: np.ndarray, right: np.ndarray) -> np.ndarray:
    """Weights of a logistic curve, the last one alone."""
    x, y = np.column_stack([signs, np.ones(len(signs))]), np.where(right, 1, -1)
    loss = lambda w: np.mean(np.logaddexp(0, -y * (x @ w))) + DOUBT * np.sum(w[:-1] ** 2) / len(w)
    return minimize(loss, np.zeros(x.shape[1])).x


def main() -> None:
    build = Path(sys.argv[1])
    cases = [p for folder, step in ((sys.argv[2], 2), (sys.argv[3], 4)) for p in sorted(Path(folder).glob("[ag][0-9]*.json"))[::step]]
    songs, places = [], []  # (signs, right)
    with tempfile.TemporaryDirectory() as folder:
        for i, path in enumerate(cases):
            sound, chart, beats = path.with_suffix(".wav"), path.with_suffix(".chart"), np.array(json.loads(path.read_text())["beats"], float)
            signs, lines = looked(build, chart, sound)
            right = share_right(lines, beats)
            if tempo_right(lines, beats):
                songs.append((signs[:-1], True))
                places.append((signs[-1:], right > 0.5))
            part = Path(folder) / "part.wav"
            begin = part_write(sound, part)
            signs, lines = looked(build, chart, part)
            if tempo_right(lines, beats):
                places.append((signs[-1:], share_right(lines + [begin, 0], beats) > 0.5))
            other = cases[(i + ON) % len(cases)].with_suffix(".chart")
            if other.read_text() != chart.read_text():
                signs, lines = looked(build, other, sound)
                if share_right(lines, beats) < 0.5:
                    songs.append((signs[:-1], False))
            print(path.stem, *np.round(songs[-1][0], 2), songs[-1][1], places[-1] if places else "", file=sys.stderr, flush=True)
    form = curve(*(np.array(part) for part in zip(*songs)))
    place = curve(*(np.minimum(np.array(part, float), AHEAD_MOST) if k == 0 else np.array(part) for k, part in enumerate(zip(*places))))
    row = lambda w: "{" + ", ".join(f"{x:.4f}" for x in w) + "}"
    print("/* SPDX-License-Identifier: ISC */\n/* Made by tests/ear/follow/learn_trust.py. */\n#include \"ui/listen/trust.h\"\n\n/* clang-format off */\n"
          f"const double rl_trust_form[RL_TRUST_SIGNS + 1] = {row(form)};\nconst double rl_trust_place[2] = {row(place)};")
    wrong = sum(not r for _, r in places)
    print(f"{sum(r for _, r in songs)} songs, {sum(not r for _, r in songs)} under other charts; {len(places)} places, {wrong} wrong", file=sys.stderr)


if __name__ == "__main__":
    main()
