#!/usr/bin/python3
# SPDX-License-Identifier: ISC
"""Learns core/ear/learned_sure.c, how likely the bar shown is right: learn_sure.py BUILD FOLDER > core/ear/learned_sure.c. From the
cases of generator A that learn.py did not learn from (number // 16 odd), from what is no song there, and from songs of A under
charts of others: the figures that `follow` prints, each cut into straight pieces, and a logistic regression."""
import json
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np

from measure import COLUMNS, follow, run, truth_at

FIGURES = ["MASS", "TRUST", "HELD", "BARS", "ANY", "HALF", "WHOLE", "CHORDS", "ONSETS", "LEAN"]
PIECES = [(0, -2, 2), (0, 2, 5.2), (1, -3, 0), (1, 0, 3.5), (2, 1.4, 2.3), (2, 2.3, 4.1), (3, -20, 0), (3, 0, 12), (3, 12, 30), (4, -20, 0), (4, 0, 30),
          (4, 30, 60), (5, -5, 5), (5, 5, 20), (5, 20, 60), (6, -10, 0), (6, 0, 10), (6, 10, 30), (7, -10, 0), (7, 0, 8), (7, 8, 30), (8, -10, 20),
          (8, 20, 50), (8, 50, 90), (9, 0, 1)]
EACH, OTHERS, SMALL = 5, 60, 1e-3  # every fifth report; songs under foreign charts; what keeps the weights small


def pieces(figures: np.ndarray) -> np.ndarray:
    cut = [np.clip((figures[:, f] - low) / (high - low), 0, 1) for f, low, high in PIECES]
    return np.stack([np.ones(len(figures)), *cut], 1)


def logistic(x: np.ndarray, y: np.ndarray, weigh: np.ndarray) -> np.ndarray:
    """Newton's method; every case counts the same."""
    w = np.zeros(x.shape[1])
    weigh = weigh / weigh.mean()
    for _ in range(30):
        p = 1 / (1 + np.exp(-x @ w))
        hessian = (x * (weigh * p * (1 - p))[:, None]).T @ x + SMALL * len(y) * np.eye(len(w))
        w = w + np.linalg.solve(hessian, x.T @ (weigh * (y - p)) - SMALL * len(y) * w)
    return w


def look(build: Path, path: Path, chart: Path | None = None):
    """Figures of the reports that count, and whether the bar was right."""
    case = json.loads(path.read_text())
    song = case["kind"] == "song" and chart is None
    with tempfile.TemporaryDirectory() as folder:
        here = Path(folder) / path.stem
        here.with_suffix(".chart").write_text((chart or path.with_suffix(".chart")).read_text())
        here.with_suffix(".wav").symlink_to(path.with_suffix(".wav").resolve())
        report = follow(build, here, case["key"])[::EACH]
    if not song:
        return report[:, COLUMNS - len(FIGURES):], np.zeros(len(report))
    bar, near = truth_at(np.array(case["beats"], float), report[:, 0])
    lead = json.loads(run([build / "form_dump", path.with_suffix(".chart")]))["lead"]
    counts = (bar > 0) | (not lead)
    return report[counts, COLUMNS - len(FIGURES):], (((report[:, 2] == bar) | near) & (bar > 0))[counts]


def foreign(build: Path, songs: list) -> list:
    """(song, chart of another) of the same meter, in the same mode, of another length."""
    rng = np.random.default_rng(6)
    forms = {p: json.loads(run([build / "form_dump", p.with_suffix(".chart")])) for p in songs}
    shape = lambda f: (f["bars"][0]["beats"], f["bars"][0]["unit"], f["minor"])
    pairs = []
    for song in rng.permutation(songs)[:OTHERS]:
        fit = [p for p in songs if shape(forms[p]) == shape(forms[song]) and len(forms[p]["bars"]) != len(forms[song]["bars"])]
        pairs += [(song, fit[rng.integers(len(fit))].with_suffix(".chart"))] if fit else []
    return pairs


def main() -> None:
    build, folder = Path(sys.argv[1]), Path(sys.argv[2])
    cases = sorted(folder.glob("a*.json"))
    songs = [p for p in cases if p.stem[1:].isdigit() and int(p.stem[1:]) // 16 % 2]
    wanted = [(p, None) for p in songs] + [(p, None) for p in cases if not p.stem[1:].isdigit()] + foreign(build, songs)
    with ThreadPoolExecutor(2) as pool:
        looks = list(pool.map(lambda pair: look(build, *pair), wanted))
    x = pieces(np.concatenate([figures for figures, _ in looks]))
    y = np.concatenate([right for _, right in looks]).astype(float)
    w = logistic(x, y, np.concatenate([np.full(len(right), 1 / max(1, len(right))) for _, right in looks]))
    write(w)


def write(w: np.ndarray) -> None:
    print("/* SPDX-License-Identifier: ISC */\n/* Made by tests/ear/follow/learn_sure.py. */\n#include \"core/ear/sure.h\"\n\n/* clang-format off */\nstatic const RlSurePiece pieces[] = {")
    for (figure, low, high), weight in zip(PIECES, w[1:]):
        print(f"  {{RL_FIGURE_{FIGURES[figure]}, {low:.1f}F, {high:.1f}F, {weight:.3f}F}},")
    print("};\n\nconst RlSureLearned rl_learned_sure = {" + f"{w[0]:.3f}F, sizeof(pieces) / sizeof(*pieces), pieces}};")


if __name__ == "__main__":
    main()
