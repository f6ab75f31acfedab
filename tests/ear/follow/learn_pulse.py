#!/usr/bin/python3
# SPDX-License-Identifier: ISC
"""Learns core/ear/learned_pulse.c, a net that tells beats from what lies between: learn_pulse.py BUILD FOLDER [--steps=N] > core/ear/learned_pulse.c.
From the songs of generators A and G in FOLDER, but every fifteenth, which is held out. Twenty seconds at a time, slower and faster by up to 1.4,
their bands louder, tilted, moved and silenced by chance. Needs python3-torch. How it does is said on standard error."""
import json
import sys
from pathlib import Path

import numpy as np
import torch
from torch import nn
from torch.nn import functional

from learn_chords import observe

WIDTH, LAYERS, LENGTH, SONGS = 16, 8, 1000, 12  # channels, frames of a piece, pieces of a step
BANDS, RATE = 22, 50
LIKELIER = (3.0, 3.0, 6.0)  # a beat, a half and a bar line count so much, as they are rare; taken back in the table
HELD_OUT = 15
rng = np.random.default_rng(1)


class Net(nn.Module):
    def __init__(self):
        super().__init__()
        self.first = nn.Conv1d(2 * BANDS, WIDTH, 3, padding=1)
        self.spread = nn.ModuleList([nn.Conv1d(WIDTH, WIDTH, 5, padding=2 << n, dilation=1 << n) for n in range(LAYERS)])
        self.mix = nn.ModuleList([nn.Conv1d(WIDTH, WIDTH, 1) for _ in range(LAYERS)])
        self.last = nn.Conv1d(WIDTH, 3, 1)
        self.drop = nn.Dropout(0.1)

    def forward(self, x):
        way = functional.elu(self.first(x))
        for spread, mix in zip(self.spread, self.mix):
            way = way + mix(self.drop(functional.elu(spread(way))))
        return self.last(functional.elu(way))


def song(build: Path, path: Path):
    """Bands by hop, and the beats [second, chorus, bar, beat]."""
    return observe(build, path.with_suffix(".wav"))[:, 27:], np.array(json.loads(path.read_text())["beats"], float)


def disturbed(bands: np.ndarray) -> np.ndarray:
    out = bands * rng.uniform(0.6, 1.4)
    tilt = rng.uniform(-0.35, 0.35) * np.linspace(-1, 1, BANDS) + rng.normal(0, 0.12, BANDS)
    out *= np.clip(1 + tilt, 0.2, 2)
    if rng.random() < 0.4:
        out = np.roll(out, rng.integers(-2, 3), 1)
    if rng.random() < 0.3:
        low = rng.integers(0, BANDS)
        out[:, low:low + rng.integers(1, 8)] = 0
    if rng.random() < 0.3:
        out += np.abs(rng.normal(0, rng.uniform(0, 0.3), out.shape))
    return np.log1p(out * rng.uniform(0.5, 3)) if rng.random() < 0.2 else out


def inputs(frames: np.ndarray) -> np.ndarray:
    """As core/ear/pulse.c: half the bands, and by how much they rise."""
    return np.concatenate([frames[1:] * 0.5, np.maximum(frames[1:] - frames[:-1], 0)], 1).T


def piece(bands: np.ndarray, beats: np.ndarray):
    """Inputs, what is true of each frame, and which frames count."""
    speed = float(np.exp(rng.uniform(np.log(0.72), np.log(1.4))))
    frames = int(len(bands) / 2 / speed)
    begin = rng.integers(0, max(1, frames - LENGTH))
    at = np.arange(-1, min(LENGTH, frames - begin))
    hop = lambda more: bands[np.clip((at + begin) * 2 * speed + more, 0, len(bands) - 1).astype(int)]
    x = inputs(disturbed((hop(0) + hop(speed)) / 2))
    times = beats[:, 0] * RATE / speed - begin
    between = (times[1:] + times[:-1])[np.diff(times) < 1.6 * np.median(np.diff(times))] / 2
    y, counts = np.zeros((3, LENGTH)), np.zeros(LENGTH)
    counts[:x.shape[1]] = (np.arange(x.shape[1]) >= times[0] - 2) & (np.arange(x.shape[1]) <= times[-1] + 2)
    for word, where in enumerate((times, between, times[beats[:, 3] == 1])):
        for off, worth in ((0, 1), (-1, 0.5), (1, 0.5)):
            k = np.round(where).astype(int) + off
            k = k[(k >= 0) & (k < x.shape[1])]
            y[word, k] = np.maximum(y[word, k], worth)
    return np.pad(x, ((0, 0), (0, LENGTH - x.shape[1]))), y, counts


def loss_of(net: Net, songs: list, count: int):
    x, y, counts = (torch.from_numpy(np.stack(part).astype(np.float32)) for part in zip(*(piece(*songs[i]) for i in rng.choice(len(songs), count))))
    each = functional.binary_cross_entropy_with_logits(net(x), y, reduction="none", pos_weight=torch.tensor(LIKELIER)[None, :, None])
    return (each * counts[:, None]).sum() / counts.sum()


def floats(values) -> str:
    return "{" + ", ".join(f"{float(v):.6g}" + ("" if any(c in f"{float(v):.6g}" for c in ".e") else ".0") + "F" for v in values) + "}"


def layer(conv: nn.Conv1d) -> str:
    """Whole numbers and what they are to be taken times."""
    rows = conv.weight.detach().numpy().transpose(2, 1, 0).reshape(-1, WIDTH)
    scale = np.abs(rows).max(0) / 127
    words = ["{" + ", ".join(map(str, row)) + "}" for row in np.round(rows / scale).astype(int)]
    body = ",\n    ".join(", ".join(words[i:i + 4]) for i in range(0, len(words), 4))
    return "{" + floats(scale) + ",\n   " + floats(conv.bias) + ",\n   {" + body + "}}"


def write(net: Net) -> None:
    print('/* SPDX-License-Identifier: ISC */\n/* Made by tests/ear/follow/learn_pulse.py. */\n#include "core/ear/learned_pulse.h"\n\n/* clang-format off */\nconst RlPulseNet rl_learned_pulse = {')
    print("  .first = " + layer(net.first) + ",")
    for name, layers in (("spread", net.spread), ("mix", net.mix)):
        print(f"  .{name} = {{\n  " + ",\n  ".join(map(layer, layers)) + "},")
    print("  .last = {" + ",\n    ".join(floats(row) for row in net.last.weight[:, :, 0]) + "},")
    print("  .last_plus = " + floats(net.last.bias.detach() - torch.log(torch.tensor(LIKELIER))) + ",\n};")


def main() -> None:
    torch.manual_seed(1)
    torch.set_num_threads(1)
    build, steps = Path(sys.argv[1]), int(dict(a.lstrip("-").partition("=")[::2] for a in sys.argv[3:]).get("steps", 3000))
    paths = [p for p in sorted(Path(sys.argv[2]).glob("[ag]*.json")) if p.stem[1:].isdigit()]
    songs = [s for s in (song(build, p) for p in paths) if len(s[1]) >= 16]
    held, songs = songs[HELD_OUT // 2::HELD_OUT], [s for i, s in enumerate(songs) if i % HELD_OUT != HELD_OUT // 2]
    net = Net()
    learner = torch.optim.Adam(net.parameters(), 2e-3)
    pace = torch.optim.lr_scheduler.OneCycleLR(learner, 3e-3, total_steps=steps)
    for step in range(steps):
        net.train()
        learner.zero_grad()
        loss = loss_of(net, songs, SONGS)
        loss.backward()
        nn.utils.clip_grad_norm_(net.parameters(), 1.0)
        learner.step()
        pace.step()
        if step % 500 == 499:
            net.eval()
            with torch.no_grad():
                print(f"{step + 1}: {float(loss):.3f}, held out {float(loss_of(net, held, 4 * SONGS)):.3f}", file=sys.stderr, flush=True)
    net.eval()
    with torch.no_grad():
        write(net)


if __name__ == "__main__":
    main()
