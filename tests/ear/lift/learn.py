#!/usr/bin/python3
# SPDX-License-Identifier: ISC
"""Learns the net of core/ear/phrase: learn.py FOLDER SESSIONS STEPS [TABLE.c] > core/ear/phrase/net_learned.c. FOLDER is what material.py
makes; it may still be at work: by each step only so many sessions count as that step's number says, and where they are not there yet they
are waited for. TABLE.c: begins from that table instead of from chance. Forward is net.c's own code, back is learn_net.c, built here with
cc; Adam (Kingma, Ba 2015), the rate rises and falls once (Smith, Topin 2018); two threads, fixed seeds. To standard error: how the loss
falls, and shares of frames right, of notes and of rests, for each level, of sessions whose number ends in 9, which are not learned."""
import ctypes
import random
import re
import shutil
import subprocess
import sys
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[3]
LOWEST, PITCHES, BINS = 44, 45, 277  # as in spectra.h
TOLD, MARGIN = 4, 24                 # as in learn_net.c
THREADS = 2
CROP, BATCH, SHIFT = 192, 12, 4      # frames that teach, crops, half steps up or down
FIRST, ALL_AT = 60, 0.4              # sessions at the first step; the share of the steps after which all count
LEVELS, BETWEEN = 4, 45              # of a session; cents: the ear may take what lies further off for the next half step
MOST = {"contrast": 4, "level": 6, "edge": 6, "band": 6, "slow": 4}
RATES, RISES = (6e-3, 1.5e-3), 0.12  # from chance, from a table; share of the steps
REST_WEIGHT, BEGIN_WEIGHT = 0.7, 1.5
SLOW = 0.999  # of the mean of the weights, which is what is kept

# The table as RlLiftNet has it: its shape, and how many inputs a unit has where chance begins.
IN, PITCH, EDGE, LAST = 51, 28, 12, 20
SEEN, BOTH = 14 * PITCH, PITCH + EDGE
TABLES = {"pitch": ((IN, PITCH), IN), "pitch_bias": ((PITCH,), IN), "around": ((9, PITCH, PITCH), SEEN), "apart": ((4, PITCH, PITCH), SEEN),
          "strongest": ((PITCH, PITCH), SEEN), "held_bias": ((PITCH,), SEEN), "edge": ((13, 2, EDGE), 26),
          "edge_bias": ((EDGE,), 26), "band": ((13, 4, EDGE), 52), "both": ((BOTH, LAST), BOTH), "both_bias": ((LAST,), BOTH),
          "out": ((LAST, 2), LAST), "out_bias": ((2,), LAST), "rest": ((BOTH, 8), BOTH), "rest_bias": ((8,), BOTH), "silent": ((8,), 8),
          "silent_bias": ((), 8)}
WEIGHTS = sum(int(np.prod(shape)) for shape, _ in TABLES.values())


# ---- what is right ----

def labels(notes: np.ndarray, frames: int):
    """What is held (PITCHES: nothing) and its weight; where a note begins and its weight."""
    held, weight = np.full(frames, PITCHES), np.ones(frames, np.float32)
    begins, heavy = np.zeros((frames, PITCHES), np.float32), np.full((frames, PITCHES), 0.02, np.float32)
    for k, (on, off, midi, _, scoop, fall, ghost) in enumerate(notes):
        first, z, p = round(on * 100), min(frames, round(off * 100)), int(midi) - LOWEST
        a, counts = max(0, first), 0.4 if ghost else 1.0
        after = round(notes[k + 1][0] * 100) if k + 1 < len(notes) else frames
        held[a:z], weight[a:z] = p, counts
        weight[z:min(after, z + 12)] = 0
        if scoop:
            weight[a:a + 5] *= 0.4
        if fall:
            weight[max(a, z - 11):z] *= 0.2
        heavy[a:z, p] = 1
        again = k and notes[k - 1][2] == midi and notes[k - 1][1] > on - 0.1
        for d, value in ((0, 1), (-1, 0.6), (1, 0.6)):
            if 0 <= first + d < frames:
                begins[first + d, p] = max(begins[first + d, p], value)
                heavy[first + d, p] = (6 if again else 2) * counts
        for d in (-2, 2):
            if 0 <= first + d < frames and begins[first + d, p] == 0:
                heavy[first + d, p] = 0.1
    return held, weight, begins, heavy


def moved(x: np.ndarray, by: int) -> np.ndarray:
    """Along its second axis; what comes in is 0."""
    out = np.zeros_like(x)
    if by > 0:
        out[:, by:] = x[:, :-by]
    elif by < 0:
        out[:, :by] = x[:, -by:]
    return out if by else x


def crop(clip, at: int, by: int, chance):
    """A piece of a clip, half steps up or down, a little louder or softer."""
    seen, (held, weight, begins, heavy) = clip
    frames = len(held)
    i = np.clip(np.arange(at - MARGIN, at + CROP + MARGIN), 0, frames - 1)
    v = np.arange(at, at + CROP, TOLD)
    there = v < frames
    v = np.minimum(v, frames - 1)
    x = {k: seen[k][i].astype(np.float32) * np.float32(MOST[k] / 255) for k in MOST}
    for name, each in (("contrast", 3), ("level", 3), ("edge", 1), ("slow", 1)):
        x[name] = moved(x[name], each * by)
    h, w = held[v].copy(), weight[v] * there
    sounds = h < PITCHES
    h[sounds] += by
    w = w * ~((h < 0) | sounds & (h >= PITCHES)) * np.where(sounds, 1, REST_WEIGHT)
    if chance:
        for names, far in ((("contrast", "slow"), 0.15), (("level",), 0.27)):
            loud = np.float32(chance.uniform(1 - far, 1 + far))
            for name in names:
                x[name] *= loud
        short = np.float32(chance.uniform(0.8, 1.25))
        x["edge"], x["band"] = x["edge"] * short, x["band"] * short
    return x, np.clip(h, 0, PITCHES).astype(np.int32), w.astype(np.float32), moved(begins[v], by), moved(heavy[v], by) * there[:, None]


# ---- the net ----

class Crop(ctypes.Structure):
    _fields_ = [("frames", ctypes.c_int32)] + [(n, ctypes.c_void_p) for n in (*MOST, "held", "weight", "begins", "heavy")]


class Net:
    """Weights in the order of RlLiftNet; forward and back."""

    def __init__(self):
        with tempfile.TemporaryDirectory() as folder:
            built = [Path(folder, f"learn_net{i}.so") for i in range(THREADS)]
            subprocess.run(["cc", "-std=c11", "-O3", "-march=native", "-ffast-math", "-shared", "-fPIC", f"-I{ROOT}", "-o", built[0],
                            ROOT / "tests/ear/lift/learn_net.c", "-lm"], check=True)
            for path in built[1:]:  # it works in memory of its own
                shutil.copy(built[0], path)
            self.crops = [ctypes.CDLL(str(path)).rl_learn_crop for path in built]
        for crop in self.crops:
            crop.restype, crop.argtypes = ctypes.c_float, [ctypes.c_void_p] * 4
        self.threads = ThreadPoolExecutor(THREADS)
        chance = np.random.default_rng(1)
        self.weights = np.concatenate([chance.uniform(-1, 1, int(np.prod(shape))) / np.sqrt(inputs)
                                       for shape, inputs in TABLES.values()]).astype(np.float32)

    def tables(self):
        """Each as a view."""
        at = 0
        for name, (shape, _) in TABLES.items():
            size = int(np.prod(shape))
            yield name, self.weights[at:at + size].reshape(shape)
            at += size

    def read(self, file: Path) -> None:
        said = dict(re.findall(r"\.(\w+) = (.*?),?(?=\n  \.|\n};)", file.read_text(), re.S))
        for name, view in self.tables():
            view[...] = np.array([float(v) for v in re.findall(r"(-?\d[\d.e+-]*)F", said[name])]).reshape(view.shape)

    def run(self, piece, slope=None, thread: int = 0):
        """The loss, and the likeliest state of each frame that teaches."""
        x, *right = piece
        arrays = [np.ascontiguousarray(v) for v in (*x.values(), *right)]
        said = np.zeros(len(right[0]), np.int32)
        c = Crop(CROP + 2 * MARGIN, *(a.ctypes.data for a in arrays))
        loss = self.crops[thread](self.weights.ctypes.data, ctypes.addressof(c), slope.ctypes.data if slope is not None else None, said.ctypes.data)
        return loss, said


def batch_slope(net: Net, crops):
    """Crops that weigh what they have to tell: the loss of all and its slopes."""
    held, begin = (sum(float(c[k].sum()) for c in crops) + 1e-6 for k in (2, 4))
    slopes = np.zeros((THREADS, WEIGHTS), np.float32)

    def some(thread: int) -> float:
        return sum(net.run((x, h, w / np.float32(held), begins, heavy * np.float32(BEGIN_WEIGHT / begin)), slopes[thread], thread)[0]
                   for x, h, w, begins, heavy in crops[thread::THREADS])
    return sum(net.threads.map(some, range(THREADS))), slopes.sum(0)


# ---- learning ----

class Material:
    """Clips of sessions, read when they are first wanted."""

    def __init__(self, folder: Path, sessions: int):
        self.folder, self.sessions, self.learned, self.back, self.read = folder, sessions, [], [], 0

    def until(self, sessions: float) -> None:
        while self.read < min(sessions, self.sessions):
            names = [self.folder / f"{self.read:04d}_{k}.npz" for k in range(LEVELS)]
            while not names[-1].exists():
                time.sleep(2)
            for name in names:
                z = np.load(name)
                if abs(z["cents"]) > BETWEEN:
                    break
                clip = {k: z[k] for k in MOST}, labels(z["notes"], len(z["band"]))
                (self.back if self.read % 10 == 9 else self.learned).append(clip)
            self.read += 1


def look(net: Net, back) -> str:
    """Shares of frames right, by level: notes/rests."""
    tally = np.zeros((LEVELS, 2, 2))
    for k, clip in enumerate(back):
        for at in range(0, len(clip[1][0]), CROP):
            piece = crop(clip, at, 0, None)
            right, counts, rests = net.run(piece)[1] == piece[1], piece[2] > 0.5, piece[1] == PITCHES
            for kind, where in enumerate((counts & ~rests, counts & rests)):
                tally[k % LEVELS, kind] += (right & where).sum(), where.sum()
    return " ".join("/".join(f"{a / max(1, n):.3f}" for a, n in row) for row in tally)


def rate_at(step: int, steps: int, top: float) -> float:
    at = step / steps
    fall = lambda u: 0.5 * (1 + np.cos(np.pi * u))  # noqa: E731
    return top * (1 - 0.96 * fall(at / RISES) if at < RISES else fall((at - RISES) / (1 - RISES)))


def train(material: Material, steps: int, net: Net, rate: float) -> None:
    chance, sums = random.Random(1), 0.0
    mean, square = np.zeros(WEIGHTS, np.float32), np.zeros(WEIGHTS, np.float32)
    now = net.weights.copy()
    for step in range(1, steps + 1):
        material.until(FIRST + (material.sessions - FIRST) * step / (ALL_AT * steps))
        some = []
        for _ in range(BATCH):
            clip = material.learned[chance.randrange(len(material.learned))]
            some.append(crop(clip, chance.randrange(max(1, len(clip[1][0]) - CROP // 2)), chance.randint(-SHIFT, SHIFT), chance))
        kept, net.weights = net.weights, now
        loss, slope = batch_slope(net, some)
        slope *= min(1.0, 1.0 / (np.sqrt((slope.astype(float) ** 2).sum()) + 1e-9))
        mean += 0.1 * (slope - mean)
        square += 0.001 * (slope ** 2 - square)
        now -= rate_at(step, steps, rate) * (mean / (1 - 0.9 ** step)) / (np.sqrt(square / (1 - 0.999 ** step)) + 1e-8)
        net.weights = kept + np.float32(1 - min(SLOW, step / (step + 10))) * (now - kept)
        sums += loss
        if step % 100 == 0:
            print(step, material.read, f"{sums / 100:.4f}", look(net, material.back[-16:]) if step % 1000 == 0 else "", file=sys.stderr, flush=True)
            sums = 0.0
    print("not learned:", look(net, material.back), file=sys.stderr, flush=True)


# ---- the table ----

def words(v, deep: int = 2) -> str:
    if np.ndim(v) == 0:
        said = f"{v:.4g}"
        return said + ("F" if any(c in said for c in ".e") else ".0F")
    if np.ndim(v) == 1:
        return "{" + ", ".join(words(x) for x in v) + "}"
    each = 2 if deep > 2 else 1  # rows to a line
    rows = [", ".join(words(x, deep + 1) for x in v[i:i + each]) for i in range(0, len(v), each)]
    return "{\n" + ",\n".join(" " * 2 * deep + row for row in rows) + "}"


def main() -> None:
    net, material = Net(), Material(Path(sys.argv[1]), int(sys.argv[2]))
    if len(sys.argv) > 4:
        net.read(Path(sys.argv[4]))
    train(material, int(sys.argv[3]), net, RATES[len(sys.argv) > 4])
    print("/* SPDX-License-Identifier: ISC */\n/* Made by tests/ear/lift/learn.py. */\n#include \"core/ear/phrase/net.h\"\n")
    print("/* clang-format off */\nconst RlLiftNet rl_lift_net_learned = {")
    for name, table in net.tables():
        print(f"  .{name} = {words(table)},")
    print("};\n/* clang-format on */")


if __name__ == "__main__":
    main()
