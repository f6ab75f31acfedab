#!/usr/bin/python3
# SPDX-License-Identifier: ISC
"""Fits how likely a lifted note is right: learn_trust.py BUILD FOLDER > core/ear/phrase/trust_learned.c. From the develop cases of
generator.py in FOLDER, both sets: what trust.c asks of every note, and whether it was right. Three small nets of one hidden layer and a straight way
past it, whose answers' mean counts (odds are added), every level weighing the same; Adam (Kingma, Ba 2015), in PyTorch, seeds fixed. Then
the odds of what is likely right are drawn towards even, by as much as it takes that of the notes surer than .9 at least .99 are right at
every level, each phrase judged by what the others taught: how sure it says it is understates on purpose."""
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import torch

from asking import lifts, match
from generator import LEVELS
from records import clips_of

GROUPS = ("develop", "second")
ASKED, UNITS, NETS, STEPS, FOLDS = 22, 10, 3, 300, 5
SMALL, WANTED, SURE, LONGEST, LATE = 3e-3, 0.99, 0.9, 18.5, 0.003


def fit(x: np.ndarray, y: np.ndarray, weigh: np.ndarray) -> dict:
    """Tables on what is asked as it comes; the first of it is 1, and takes the biases."""
    middle, size = x.mean(0), x.std(0) + 1e-3
    inputs, wanted, heavy = (torch.tensor(v, dtype=torch.float32) for v in ((x - middle) / size, y, weigh / weigh.mean()))
    out = {"unit": np.zeros((ASKED, 0)), "out": np.zeros(0), "plain": np.zeros(ASKED)}
    for seed in range(NETS):
        torch.manual_seed(seed)
        units, past, last = torch.nn.Linear(ASKED, UNITS), torch.nn.Linear(ASKED, 1), torch.nn.Linear(UNITS, 1, bias=False)
        mind = torch.optim.Adam([p for layer in (units, past, last) for p in layer.parameters()], 1e-2, weight_decay=SMALL)
        for _ in range(STEPS):
            odds = (last(torch.tanh(units(inputs))) + past(inputs))[:, 0]
            wrong = (torch.nn.functional.binary_cross_entropy_with_logits(odds, wanted, reduction="none") * heavy).mean()
            mind.zero_grad()
            wrong.backward()
            mind.step()
        def raw(layer):  # noqa: E301
            w = layer.weight.detach().numpy().T.astype(float) / size[:, None]
            w[0] = layer.bias.detach().numpy() - (middle[1:, None] * w[1:]).sum(0)
            return w
        out["unit"] = np.hstack([out["unit"], raw(units)])
        out["out"] = np.hstack([out["out"], last.weight.detach().numpy()[0] / NETS])
        out["plain"] += raw(past)[:, 0] / NETS
    return out


def odds_of(table: dict, x: np.ndarray) -> np.ndarray:
    return x @ table["plain"] + np.tanh(x @ table["unit"]) @ table["out"]


def read(build: Path, folder: Path):
    """Level, what is asked, whether right, the phrase; of every note found."""
    clips = [c for group in GROUPS for c in clips_of(folder, group) if c.notes[-1][1] < LONGEST]
    levels, asked, right, phrase = [], [], [], []
    with ThreadPoolExecutor(2) as pool:
        for clip, found in zip(clips, pool.map(lambda c: lifts(build, c, 0.0), clips)):
            hits = set(match(clip.notes, found[:, :3] + [LATE, 0, 0]).values())
            for j, row in enumerate(found):
                levels.append(list(LEVELS).index(clip.groups["level"]))
                asked.append(row[4:])
                right.append(j in hits)
                phrase.append(int(clip.path.name.split("_")[0]))
    return np.array(levels), np.array(asked), np.array(right, float), np.array(phrase)


def drawn(odds: np.ndarray, by: float) -> np.ndarray:
    return np.where(odds > 0, odds * by, odds)


def say(title: str, odds, right, levels) -> None:
    high = odds > np.log(SURE / (1 - SURE))
    print(title, " ".join(f"{n} {right[high & (levels == k)].mean():.4f} of {(high & (levels == k)).sum() / max(1, (levels == k).sum()):.2f}"
                          for k, n in enumerate(LEVELS)), file=sys.stderr)


def words(v) -> str:
    if np.ndim(v):
        return "{" + ", ".join(words(x) for x in v) + "}"
    return f"{v:.4g}F" if any(c in f"{v:.4g}" for c in ".e") else f"{v:.4g}.0F"


def main() -> None:
    torch.set_num_threads(1)
    levels, asked, right, phrase = read(Path(sys.argv[1]), Path(sys.argv[2]))
    weigh = 1 / np.bincount(levels)[levels]
    crossed = np.zeros(len(right))  # each phrase by what the others teach
    for fold in range(FOLDS):
        out = phrase % FOLDS == fold
        crossed[out] = odds_of(fit(asked[~out], right[~out], weigh[~out]), asked[out])
    say("crossed", crossed, right, levels)
    limit = np.log(SURE / (1 - SURE))
    ways = [by for by in np.arange(1, 0.3, -0.01)
            if all(right[(drawn(crossed, by) > limit) & (levels == k)].mean() >= WANTED for k in range(len(LEVELS)))]
    by = ways[0] if ways else 0.4
    say(f"drawn by {by:.2f}", drawn(crossed, by), right, levels)
    table = fit(asked, right, weigh)
    print("/* SPDX-License-Identifier: ISC */\n/* Made by tests/ear/lift/learn_trust.py. */\n#include \"core/ear/phrase/trust.h\"\n")
    print("/* clang-format off */\nconst RlLiftTrust rl_lift_trust_learned = {")
    print("  .unit = {\n" + ",\n".join("    " + words(row) for row in table["unit"]) + "},")
    print(f"  .out = {words(table['out'])},\n  .plain = {words(table['plain'])},\n  .drawn = {words(by)},\n}};\n/* clang-format on */")


if __name__ == "__main__":
    main()
