#!/usr/bin/python3
# SPDX-License-Identifier: ISC
"""Learns core/ear/learned_sure.c, how likely the place shown is right: learn_sure.py BUILD FOLDER [--jobs=N] > core/ear/learned_sure.c.
From the cases of generator A that learn_chords.py did not learn from (number // 16 odd), every eighth song of G, what is no song, and songs
under charts of others: the figures that `follow` prints. Ways to be wrong are told apart (core/ear/sure.h): each has a logistic
regression of its own, over figures cut into straight pieces that only ever add, and their probabilities are multiplied. What came out is
then tried on songs of E and B, which it was not learned from; that is said on standard error."""
import json
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
from scipy.optimize import minimize

from measure import LIKELY, follow, held, run, truth_at

FIGURES = ["MASS", "TRUST", "HELD", "BARS", "ANY", "ONSETS", "HALF", "BEAT", "TWO", "TWO_CHORDS"]
DOUBTS = {"SONG": ["BARS", "ANY", "ONSETS", "TWO", "BEAT"], "PLACE": ["MASS", "TRUST", "HELD"], "HALF": ["HALF"], "BEAT": ["BEAT"], "TWO": ["TWO_CHORDS", "TWO"]}
EACH = 15         # every so many reports
OFF = 0.3         # felt beats that a right place may be off: half a beat off, the bar shown is right nine times in ten
PIECES = 3        # of each figure, as many moments in each
SMOOTH, SMALL = 3e-3, 1e-4  # what keeps neighbouring pieces alike, and all small
WANTED = (0.0025, 0.005, 0.01, 0.02)  # shares of what is claimed that may be wrong


def off_beats(beats: np.ndarray, report: np.ndarray) -> np.ndarray:
    """By how many felt beats what is shown lies off within the bar."""
    last = np.clip(np.searchsorted(beats[:, 0], report[:, 0], "right") - 1, 0, len(beats) - 2)
    true = beats[last, 3] + (report[:, 0] - beats[last, 0]) / (beats[last + 1, 0] - beats[last, 0])
    felt = beats[beats[:, 2] > 0, 3].max()
    return np.abs((report[:, 3] - true + felt / 2) % felt - felt / 2)


class Look:
    """What was reported of a case: figures, whether the bar was right, and the place too, whether the form sounds, and which moments count."""

    def __init__(self, build: Path, path: Path, chart: Path | None = None):
        case = json.loads(path.read_text())
        self.name, self.kind = path.stem, "other" if chart else case["kind"]
        with tempfile.TemporaryDirectory() as folder:
            here = Path(folder) / path.stem
            here.with_suffix(".chart").write_text((chart or path.with_suffix(".chart")).read_text())
            here.with_suffix(".wav").symlink_to(path.with_suffix(".wav").resolve())
            report = follow(build, here, case["key"])[::EACH]
        self.figures, self.held = report[:, LIKELY + 1:], held(report)
        self.form = self.counts = np.ones(len(report), bool)
        self.right = self.placed = np.zeros(len(report), bool)
        if self.kind == "song":
            beats = np.array(case["beats"], float)
            bar, near = truth_at(beats, report[:, 0])
            self.form, self.right = bar > 0, ((report[:, 2] == bar) | near) & (bar > 0)
            self.placed = self.right & (off_beats(beats, report) < OFF)
            lead = json.loads(run([build / "form_dump", path.with_suffix(".chart")]))["lead"]
            self.counts = self.form | ((not lead) & (report[:, 0] < beats[-1, 0]))


class Model:
    def __init__(self, figures: np.ndarray):
        self.knots = {k: np.unique(np.round(np.quantile(figures[:, FIGURES.index(k)], np.linspace(0.03, 0.97, PIECES + 1)), 2))
                      for names in DOUBTS.values() for k in names}
        self.sizes = [1 + sum(len(self.knots[k]) - 1 for k in names) for names in DOUBTS.values()]
        self.cuts = np.cumsum([0] + self.sizes)
        self.weights = np.concatenate([np.r_[1.0, np.full(s - 1, 0.5)] for s in self.sizes])

    def pieces(self):
        """(doubt, figure, from, to, index of its weight)."""
        for doubt, cut in zip(DOUBTS, self.cuts):
            for k in DOUBTS[doubt]:
                for low, high in zip(self.knots[k], self.knots[k][1:]):
                    cut += 1
                    yield doubt, k, low, high, cut

    def inputs(self, figures: np.ndarray) -> list:
        """Of each doubt: one, and its pieces."""
        out = [[np.ones(len(figures))] for _ in DOUBTS]
        for doubt, k, low, high, _ in self.pieces():
            out[list(DOUBTS).index(doubt)].append(np.clip((figures[:, FIGURES.index(k)] - low) / (high - low), 0, 1))
        return [np.stack(x, 1) for x in out]

    def bends(self) -> np.ndarray:
        """How much steeper each piece is than its neighbour."""
        rows, all_pieces = [], list(self.pieces())
        for (_, k, low, high, i), (_, other, _, end, j) in zip(all_pieces, all_pieces[1:]):
            if k == other:
                rows.append(np.zeros(self.cuts[-1]))
                rows[-1][[i, j]] = (end - low) / 2 / (high - low), -(end - low) / 2 / (end - high)
        return np.array(rows)

    def odds(self, inputs: list, weights: np.ndarray) -> list:
        return [x @ weights[a:b] for x, a, b in zip(inputs, self.cuts, self.cuts[1:])]

    def learn(self, figures: np.ndarray, right: np.ndarray, weigh: np.ndarray) -> None:
        inputs, bends, weigh = self.inputs(figures), self.bends(), weigh / weigh.sum()

        def loss(w):
            odds = self.odds(inputs, w)
            log_p = -sum(np.logaddexp(0, -z) for z in odds)
            p = np.exp(log_p)
            q = np.maximum(1 - p, 1e-9)
            pull = weigh * (right - (1 - right) * p / q)
            slope = np.concatenate([-(x.T @ (pull / (1 + np.exp(z)))) for x, z in zip(inputs, odds)])
            bent = bends @ w
            return (-(weigh * (right * log_p + (1 - right) * np.log(q))).sum() + SMOOTH * bent @ bent / 2 + SMALL * w @ w / 2,
                    slope + SMOOTH * bends.T @ bent + SMALL * w)

        bounds = [b for size in self.sizes for b in [(None, None)] + [(0, None)] * (size - 1)]
        self.weights = minimize(loss, self.weights, jac=True, method="L-BFGS-B", bounds=bounds, options={"maxiter": 500}).x

    def likely(self, figures: np.ndarray) -> np.ndarray:
        return np.exp(-sum(np.logaddexp(0, -z) for z in self.odds(self.inputs(figures), self.weights)))

    def write(self) -> None:
        print("/* SPDX-License-Identifier: ISC */\n/* Made by tests/ear/follow/learn_sure.py. */\n#include \"core/ear/sure.h\"\n\n/* clang-format off */\nstatic const RlSurePiece pieces[] = {")
        for doubt, k, low, high, i in self.pieces():
            print(f"  {{RL_DOUBT_{doubt}, RL_FIGURE_{k}, {low:.2f}F, {high:.2f}F, {self.weights[i]:.3f}F}},")
        plus = ", ".join(f"{self.weights[i]:.3f}F" for i in self.cuts[:-1])
        print(f"}};\n\nconst RlSureLearned rl_learned_sure = {{{{{plus}}}, sizeof(pieces) / sizeof(*pieces), pieces}};")


def foreign(build: Path, songs: list) -> list:
    """(song, chart of another) of the same meter, in the same mode, of another length; every other song."""
    rng = np.random.default_rng(6)
    forms = {p: json.loads(run([build / "form_dump", p.with_suffix(".chart")])) for p in songs}
    shape = lambda f: (f["bars"][0]["beats"], f["bars"][0]["unit"], f["minor"])
    pairs = []
    for song in songs[::2]:
        fit = [p for p in songs if shape(forms[p]) == shape(forms[song]) and len(forms[p]["bars"]) != len(forms[song]["bars"])]
        pairs += [(song, fit[rng.integers(len(fit))].with_suffix(".chart"))] if fit else []
    return pairs


def numbered(folder: Path, letter: str) -> list:
    return [p for p in sorted(folder.glob(f"{letter}*.json")) if p.stem[1:].isdigit()]


def nothings(folder: Path, letter: str) -> list:
    return [(p, None) for p in sorted(folder.glob(f"{letter}n*.json"))]


def wanted(build: Path, folder: Path) -> tuple[list, list]:
    """(case, chart of another or None) to learn from, and to try it on."""
    songs = [p for p in numbered(folder, "a") if int(p.stem[1:]) // 16 % 2]
    grooves = [p for p in numbered(folder, "g") if int(p.stem[1:]) % 8 == 0]
    others = [p for letter in "eb" for p in numbered(folder, letter)]
    return ([(p, None) for p in songs + grooves] + nothings(folder, "a") + foreign(build, songs),
            [(p, None) for p in others] + nothings(folder, "e") + nothings(folder, "b") + foreign(build, others))


def tell(model: Model, looks: list) -> None:
    """How often it is right in ten bins, and what may be claimed if so much of it may be wrong."""
    likely = {look: model.likely(look.figures) for look in looks}
    songs = [look for look in looks if look.kind == "song"]
    p, y = np.concatenate([likely[s][s.form] for s in songs]), np.concatenate([s.right[s.form] for s in songs])
    for low in np.arange(10) / 10:
        here = (p >= low) & (p < low + 0.1)
        print(f"likely {low:.1f} to {low + 0.1:.1f}: right {y[here].mean():.3f} of {here.sum()}", file=sys.stderr)
    for limit in WANTED:
        best = (0, 1.0, 0)
        for least in np.arange(0.5, 1, 0.002):
            claims = [(likely[s] >= least) & s.held for s in songs]
            wrong = sum((c & s.counts & ~s.right).sum() for c, s in zip(claims, songs)) / max(1, sum((c & s.counts).sum() for c, s in zip(claims, songs)))
            claimed = np.mean([c[s.form].mean() for c, s in zip(claims, songs)])
            best = max(best, (claimed, least, wrong)) if wrong <= limit else best
        rest = {kind: np.mean([((likely[o] >= best[1]) & o.held).mean() for o in looks if o.kind == kind] or [0]) for kind in ("other", "nothing")}
        print(f"from {best[1]:.3f} on: claimed {best[0]:.3f}, wrong {best[2]:.4f}; foreign charts {rest['other']:.4f}, no song {rest['nothing']:.4f}", file=sys.stderr)


def main() -> None:
    build, folder = Path(sys.argv[1]), Path(sys.argv[2])
    jobs = int(dict(a.lstrip("-").partition("=")[::2] for a in sys.argv[3:]).get("jobs", 2))
    learned, tried = wanted(build, folder)
    with ThreadPoolExecutor(jobs) as pool:
        mine = list(pool.map(lambda pair: Look(build, *pair), learned))
        gather = lambda what: np.concatenate([what(look)[look.counts] for look in mine])
        model = Model(gather(lambda look: look.figures))
        model.learn(gather(lambda look: look.figures), gather(lambda look: look.placed).astype(float),
                    gather(lambda look: np.full(len(look.counts), 1 / max(1, look.counts.sum()))))
        model.write()
        sys.stdout.flush()
        tell(model, list(pool.map(lambda pair: Look(build, *pair), tried)))


if __name__ == "__main__":
    main()
