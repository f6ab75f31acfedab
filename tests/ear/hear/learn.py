#!/usr/bin/python3
# SPDX-License-Identifier: ISC
"""Learns the nets of core/ear/player: learn.py BUILD FOLDER > core/ear/player/net_learned.c
FOLDER holds cases 1000 and up (make.py). It goes on from the nets of net_first.txt, also in what is heard, since that depends on what was
heard before; the nets that `hear` was built with do not count. Of each block the right answer is one candidate or "nothing"; the nets'
scores are one choice (softmax), weighed by how many blocks have such an answer. Adam (Kingma, Ba 2015), in NumPy; the seed is fixed.
Figures of the last look go to standard error."""
import json
import multiprocessing
import subprocess
import sys
import tempfile
from functools import partial
from pathlib import Path

import numpy as np

EVERY, EPOCHS, BATCH, CANDIDATES, RATE = 5, 8, 512, 16, 7e-4  # every fifth block is looked at
MOMENT = 30  # figures of the moment (figures.h)
NOBODY, PLAIN, HARD, WIDE_FROM, HARD_FROM = 0.5, 1.5, 0.7, 2140, 3000  # how much blocks of a case count: nobody plays; numbers below and from
OCTAVE = 0.6  # how much an octave counts: players play fewer of them than the cases have (own judgement)
BEGINS, ENDED, FLEETING = (2, 10), 6, 0.2  # lines of truth: where a note that begins counts more; where its end counts little
SOONER = 3  # how much more


def pitches_of(head: np.ndarray, many: int):
    return [tuple(sorted(int(m) for h, t, m in row.reshape(3, 3) if h)) for row in head[:9 * many].reshape(many, 9)]


def answer(line, pitches, shown) -> int:
    """Which of the shown states is right: its place; -1 for nothing; -2 if none of them is, or the truth is not clear."""
    if not line:
        return -1
    notes = sorted({note[0][0][2]: note for note in line}.values(), key=lambda t: t[1])  # holes of one pitch are one to the ear
    for place, state in enumerate(shown):
        if state >= 0 and len(pitches[state]) == len(notes):
            if all(any(m == good[2] for good in accepted[0]) for m, accepted in zip(pitches[state], notes)):
                return place
    return -2


def weight_of(truth, at: int) -> float:
    """How much a line of truth counts."""
    names = [n[0][0] for n in truth[at]]
    since = next((back for back in range(BEGINS[1]) if [n[0][0] for n in truth[at - back - 1]] != names), BEGINS[1])
    if not names:
        return FLEETING if since < ENDED else 1
    octave = len(names) == 2 and abs(names[0][2] - names[1][2]) == 12
    return (OCTAVE if octave else 1) * (SOONER if BEGINS[0] <= since < BEGINS[1] else 1)


def case_weight(name: str, condition: str) -> float:
    number = int(name)
    return (PLAIN if number < WIDE_FROM else HARD if number >= HARD_FROM else 1) * (NOBODY if condition == "nobody" else 1)


def case_read(build: Path, folder: Path, nets: Path, name: str):
    case = json.loads((folder / f"{name}.json").read_text())
    with tempfile.NamedTemporaryFile() as file:
        subprocess.run([build / "hear", folder / f"{name}.wav", *(str(int(case[k])) for k in ("key", "range", "tuning", "overblows")), file.name,
                        nets], check=True, capture_output=True)
        data = np.fromfile(file.name, np.float32)
    many, candidates, figures, moment = (int(v) for v in data[:4])
    pitches = pitches_of(data[4:], many)
    rows = data[4 + 9 * many:].reshape(-1, 2 + moment + candidates * (1 + figures))[::EVERY]
    truth, step = case["truth"], case["step"]
    keep, right, weight = [], [], []
    for row, (second, *_rest) in enumerate(rows[:, :1]):
        at = int((second - 0.004) / step)  # the window's end is now; its newest block is what counts
        if not BEGINS[1] < at < len(truth):
            continue
        shown = rows[row, 2 + moment:].reshape(candidates, 1 + figures)[:, 0].astype(int)
        got = answer(truth[at], pitches, shown)
        if got > -2:
            keep.append(row)
            right.append(got)
            weight.append(weight_of(truth, at))
    kept = rows[keep]
    x = kept[:, 2 + moment:].reshape(-1, candidates, 1 + figures)
    there = x[:, :, 0] >= 0
    return x[there][:, 1:].astype(np.float16), there.sum(axis=1), kept[:, 2:2 + moment].astype(np.float32), np.array(right, np.int64), \
        np.array(weight, np.float32) * np.float32(case_weight(name, case["condition"]))


class Net:
    def __init__(self, rows: np.ndarray):
        self.w = [rows[:-1].copy(), rows[-1].copy()]

    def run(self, x):
        self.x, self.h = x, np.maximum(x @ self.w[0], 0)
        return self.h @ self.w[1]

    def back(self, d):
        out = self.h.T @ d
        hidden = np.outer(d, self.w[1]) * (self.h > 0)
        return [self.x.T @ hidden, out]


class Blocks:
    """Of each block the candidates that there are, one row each, the rows of all blocks in one piece."""

    def __init__(self, rows, count, moment, right, weight):
        self.rows, self.count, self.moment, self.right, self.weight = rows, count, moment, right, weight
        self.first = np.concatenate([[0], np.cumsum(self.count)[:-1]])

    def some(self, of: np.ndarray):
        """Rows, the block and the place of each row, the moments, the right answers and the weights."""
        count = self.count[of]
        block = np.repeat(np.arange(len(of)), count)
        place = np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count)
        return self.rows[np.repeat(self.first[of], count) + place].astype(np.float32), block, place, self.moment[of], self.right[of], self.weight[of]


def choice(candidate: Net, moment: Net, rows, block, place, m, right, weight):
    """Mean loss, gradients, and how many are right."""
    n = len(m)
    scores = np.full((n, CANDIDATES + 1), -1e9, np.float32)
    scores[block, place] = candidate.run(rows)
    scores[:, CANDIDATES] = moment.run(m)
    scores -= scores.max(axis=1, keepdims=True)
    p = np.exp(scores)
    p /= p.sum(axis=1, keepdims=True)
    want = np.where(right < 0, CANDIDATES, right)
    hit = (p.argmax(axis=1) == want).mean()
    loss = -np.log(p[np.arange(n), want] + 1e-9).mean()
    p[np.arange(n), want] -= 1
    p *= (weight / n)[:, None]
    return loss, candidate.back(p[block, place]) + moment.back(p[:, CANDIDATES]), hit


def train(nets, blocks: Blocks, rng) -> None:
    weights = nets[0].w + nets[1].w
    first, second, step = [0 * w for w in weights], [0 * w for w in weights], 0
    steps = EPOCHS * (len(blocks.count) // BATCH)
    for epoch in range(EPOCHS):
        order, losses = rng.permutation(len(blocks.count)), []
        for at in range(0, len(order) - BATCH + 1, BATCH):
            rate, step = RATE * 0.5 * (1 + np.cos(np.pi * step / steps)), step + 1
            loss, slopes, hit = choice(*nets, *blocks.some(np.sort(order[at:at + BATCH])))
            losses.append((loss, hit))
            for i, slope in enumerate(slopes):
                first[i] = 0.9 * first[i] + 0.1 * slope
                second[i] = 0.999 * second[i] + 0.001 * slope * slope
                weights[i] -= (rate * (first[i] / (1 - 0.9 ** step)) / (np.sqrt(second[i] / (1 - 0.999 ** step)) + 1e-8)).astype(np.float32)
        print(f"{epoch} loss {np.mean([v[0] for v in losses]):.4f} right {np.mean([v[1] for v in losses]):.4f}", file=sys.stderr, flush=True)


def row_text(row) -> str:
    return "{" + ", ".join(f"{v:.4g}F" if any(c in f"{v:.4g}" for c in ".e") else f"{v:.4g}.0F" for v in row) + "}"


def net_print(candidate: Net, moment: Net) -> None:
    print("/* SPDX-License-Identifier: ISC */\n/* Made by tests/ear/hear/learn.py. */\n#include \"core/ear/player/net.h\"\n")
    print("/* clang-format off */\nconst RlNet rl_net = {")
    for net in (candidate, moment):
        print("  {\n" + ",\n".join("    " + row_text(row) for row in net.w[0]) + "},\n  " + row_text(net.w[1]) + ",")
    print("};\n/* clang-format on */")


def main() -> None:
    build, folder = Path(sys.argv[1]).resolve(), Path(sys.argv[2])
    names = [p.stem for p in sorted(folder.glob("????.json")) if int(p.stem) >= 1000]
    first = np.loadtxt(Path(__file__).with_name("net_first.txt"), np.float32)
    nets = Net(first[:-MOMENT - 1]), Net(first[-MOMENT - 1:])
    with tempfile.NamedTemporaryFile() as file, multiprocessing.Pool(2) as pool:
        file.write(first.tobytes())
        file.flush()
        parts = pool.map(partial(case_read, build, folder, file.name), names, chunksize=4)
    blocks = Blocks(*(np.concatenate([p[i] for p in parts]) for i in range(5)))
    print(f"{len(names)} cases, {len(blocks.count)} blocks, nothing {np.mean(blocks.right < 0):.3f}", file=sys.stderr, flush=True)
    train(nets, blocks, np.random.default_rng(17))
    net_print(*nets)


if __name__ == "__main__":
    main()
