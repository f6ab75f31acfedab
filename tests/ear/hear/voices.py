# SPDX-License-Identifier: ISC
"""What sounds like a harmonica: notes of soundfonts, and synthetic reeds made up anew for each case. A voice gives a tone with a pitch
that may move: tone(midi, cents, rng), `cents` one value for each sample of RATE, against `midi`."""
import functools
import os
import sys
import tempfile
from pathlib import Path

import numpy as np
from scipy.signal import lfilter, sosfilt, butter

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "follow"))
from sound import RATE, fluidsynth  # noqa: E402

LONGEST = 4.0  # seconds of a note of a soundfont

# General MIDI programs, from 0: what is rendered with them. The harmonica itself, and reeds that are nearly one.
HARMONICA, REED_ORGAN, ACCORDION, BANDONEON = 22, 20, 21, 23

# Cents that samples lie beside the notes they are played for, where it is more than 11: read off the spectrum of each note, as the
# place where its first five partials stand out most.
OUT_OF_TUNE = {("timgm", HARMONICA): {**dict.fromkeys(range(65, 71), -29), **dict.fromkeys(range(71, 74), -36)}}

LOWEST, HIGHEST, APART = 36, 116, 5.0  # notes rendered; seconds from one to the next


@functools.cache
def font_notes(font: str, program: int, velocity: int) -> np.ndarray:
    """All notes of a program one after the other, rendered once and kept in the folder of temporary files."""
    file = Path(tempfile.gettempdir()) / f"reedlamp-notes-{font}-{program}-{velocity}.npy"
    if not file.exists():
        events = [(0.0, bytes([0xC0, program]))]
        for i, midi in enumerate(range(LOWEST, HIGHEST + 1)):
            events += [(i * APART + 0.01, bytes([0x90, midi, velocity])), (i * APART + LONGEST, bytes([0x80, midi, 0]))]
        part = file.with_suffix(f".{os.getpid()}.npy")
        np.save(part, np.pad(fluidsynth(events, font, reverb=False), (0, RATE)).astype(np.float16))
        part.rename(file)
    return np.load(file, mmap_mode="r")


def font_note(font: str, program: int, midi: int, velocity: int) -> np.ndarray:
    at = int((midi - LOWEST) * APART * RATE)
    sound = np.array(font_notes(font, program, velocity)[at:at + int(LONGEST * RATE)], np.float32) if midi >= LOWEST else np.zeros(0)
    loud = np.flatnonzero(np.abs(sound) > max(1e-4, 0.02 * np.abs(sound).max(initial=0)))
    return sound[max(0, loud[0] - 48):] if len(loud) else sound[:0]


def nearest_note(font: str, program: int, midi: int, velocity: int):
    """The nearest note that the font sounds at all, and how far it is in semitones: some end at the top, some are out of tune."""
    for away in (0, -2, 2, -5, 5, -9, 9, -14, 14, -20):
        sound = font_note(font, program, midi + away, velocity)
        if len(sound) > RATE:
            return sound, -away - OUT_OF_TUNE.get((font, program), {}).get(midi + away, 0) / 100
    raise ValueError(f"{font}: no note near {midi}")


def at_positions(sound: np.ndarray, where: np.ndarray) -> np.ndarray:
    """Between the samples, cubic through four."""
    where = np.clip(where, 1, len(sound) - 3)
    i = where.astype(np.int64)
    d = (where - i).astype(np.float32)
    a, b, c, e = sound[i - 1], sound[i], sound[i + 1], sound[i + 2]
    return b + 0.5 * d * (c - a + d * (2 * a - 5 * b + 4 * c - e + d * (3 * (b - c) + e - a)))


class Font:
    def __init__(self, font: str, program: int):
        self.font, self.program = font, program

    def tone(self, midi: int, cents: np.ndarray, rng) -> np.ndarray:
        # a bend is the same reed pulled down: the sample of the unbent note, played slower, up to a whole tone
        sound, away = nearest_note(self.font, self.program, midi, int(rng.choice([70, 100, 120])))
        where = np.cumsum(2.0 ** (cents / 1200 + away / 12)) + 1
        if where[-1] > len(sound) - 4:  # back to an earlier place, one that looks alike
            where = np.minimum(where, len(sound) - 4)
        tone = at_positions(sound, where)
        return (tone / (np.sqrt(np.mean(tone ** 2)) + 1e-9) * 0.1).astype(np.float32)


def partials_sum(hz: np.ndarray, levels: np.ndarray, rng) -> np.ndarray:
    """A sum of partials; those above 11 kHz are left out."""
    phase = np.cumsum(hz) * (2 * np.pi / RATE)
    out = np.zeros(len(hz), np.float32)
    for n, level in enumerate(levels, 1):
        if n * hz.max() < 11000 and level > 1e-4:
            out += (level * np.sin(n * phase + rng.uniform(0, 6.28))).astype(np.float32)
    return out


class Timbre:
    """Partials by chance: a slope, an own level for each, even ones above or below the odd ones, two resonances that stay in place."""

    def __init__(self, rng):
        self.slope, self.even = rng.uniform(-9, -1), rng.normal(0, 3)
        self.own = rng.normal(0, 3, 40)
        self.peaks = [(rng.uniform(500, 5000), rng.uniform(200, 1500), rng.uniform(-6, 14)) for _ in range(2)]
        self.flutter, self.first = rng.uniform(0, 1.5), rng.normal(0, 4)

    def tone(self, midi: int, cents: np.ndarray, rng) -> np.ndarray:
        hz = 440 * 2 ** ((midi - 69 + cents / 100) / 12)
        n = np.arange(1, 41)
        db = self.slope * np.log2(n) + self.own + np.where(n % 2 == 0, self.even, 0) + rng.normal(0, 1, 40)
        db[0] += self.first
        for middle, wide, height in self.peaks:
            db += height / (1 + ((n * hz.mean() - middle) / wide) ** 2)
        tone = partials_sum(hz, 10 ** (db / 20), rng)
        wobble = lfilter([0.0005], [1, -0.9995], rng.normal(0, 1, len(hz))) * 40
        tone *= 10 ** (np.clip(wobble * self.flutter, -3, 3) / 20)
        return (tone / (np.sqrt(np.mean(tone ** 2)) + 1e-9) * 0.1).astype(np.float32)


class Reed:
    """Another way: puffs of air. The gap opens for a part of each period; the part grows with the pressure; the channel and the hands
    are resonators."""

    def __init__(self, rng):
        self.open, self.power = rng.uniform(0.15, 0.75), rng.uniform(1, 3)
        self.back = rng.uniform(0, 0.5)
        self.filters = [(rng.uniform(400, 6000), rng.uniform(1, 6), rng.uniform(-0.5, 2.5)) for _ in range(3)]
        self.dark = rng.uniform(2500, 9000)

    def tone(self, midi: int, cents: np.ndarray, rng) -> np.ndarray:
        hz = 440 * 2 ** ((midi - 69 + cents / 100) / 12)
        part = np.clip(self.open * (1 + rng.normal(0, 0.1)), 0.1, 0.9)
        x = self._puffs(np.repeat(hz, 2) / (2 * RATE), part)
        x = sosfilt(butter(6, 0.45, output="sos"), x)[::2]
        out = x.copy()
        for middle, q, height in self.filters:
            w = middle / RATE * 2 * np.pi
            r = np.exp(-w / (2 * q))
            out += height * lfilter([1 - r, 0, r - 1], [1, -2 * r * np.cos(w), r * r], x)
        out = sosfilt(butter(1, self.dark / (RATE / 2), output="sos"), out)
        out = sosfilt(butter(1, 60 / (RATE / 2), "high", output="sos"), out)
        return (out / (np.sqrt(np.mean(out ** 2)) + 1e-9) * 0.1).astype(np.float32)

    def _puffs(self, step: np.ndarray, part: float) -> np.ndarray:
        phase = np.cumsum(step) % 1
        forth = np.where(phase < part, np.sin(np.pi * phase / part), 0) ** self.power
        back = np.where(phase >= part, np.sin(np.pi * (phase - part) / (1 - part)), 0)
        return forth - self.back * back


def develop_voice(number: int, rng):
    """One to learn from and to tune on."""
    return [lambda: Font("fluid", HARMONICA), lambda: Timbre(rng), lambda: Font("fluid", HARMONICA), lambda: Timbre(rng),
            lambda: Font("fluid", REED_ORGAN), lambda: Timbre(rng), lambda: Font("fluid", ACCORDION)][number % 7]()


def bell(middle: float, q: float, decibels: float):
    """A peaking filter (R. Bristow-Johnson, Audio EQ Cookbook), as a section."""
    w, a = 2 * np.pi * middle / RATE, 10 ** (decibels / 40)
    alpha = np.sin(w) / (2 * q)
    return [1 + alpha * a, -2 * np.cos(w), 1 - alpha * a, 1 + alpha / a, -2 * np.cos(w), 1 - alpha / a]


class Coloured:
    """Another voice through filters by chance, its notes taken from some way up or down, so that its resonances move."""

    def __init__(self, voice, rng):
        self.voice, self.moved = voice, int(rng.integers(-5, 6))
        sections = np.array([bell(np.exp(rng.uniform(np.log(250), np.log(7000))), rng.uniform(0.7, 4), rng.uniform(-12, 10)) for _ in range(4)])
        self.sections = sections / sections[:, 3:4]

    def tone(self, midi: int, cents: np.ndarray, rng) -> np.ndarray:
        tone = sosfilt(self.sections, self.voice.tone(midi + self.moved, cents - 100 * self.moved, rng))
        return (tone / (np.sqrt(np.mean(tone ** 2)) + 1e-9) * 0.1).astype(np.float32)


class Wilder(Timbre):
    """As Timbre, with more chance in it: each partial further off, two ways of the sound that cancel each other here and there, a pitch
    that is not quite steady."""

    def __init__(self, rng):
        super().__init__(rng)
        self.slope, self.even, self.own = rng.uniform(-12, -1), rng.normal(0, 5), rng.normal(0, rng.uniform(2, 6), 40)
        self.late, self.second, self.unsteady = rng.uniform(1e-4, 1e-3), rng.uniform(0, 0.9), rng.uniform(0, 3)

    def tone(self, midi: int, cents: np.ndarray, rng) -> np.ndarray:
        wander = lfilter([0.002], [1, -0.998], rng.normal(0, 1, len(cents))) * 22 * self.unsteady
        tone = super().tone(midi, cents + wander, rng)
        late = round(self.late * RATE)
        tone[late:] += self.second * tone[:-late].copy()
        return (tone / (np.sqrt(np.mean(tone ** 2)) + 1e-9) * 0.1).astype(np.float32)


def varied_voice(number: int, rng):
    """More variety to learn from."""
    return [lambda: Coloured(Font("fluid", HARMONICA), rng), lambda: Wilder(rng), lambda: Timbre(rng), lambda: Wilder(rng),
            lambda: Coloured(Font("fluid", HARMONICA), rng), lambda: Coloured(Font("fluid", REED_ORGAN), rng), lambda: Wilder(rng),
            lambda: Font("fluid", HARMONICA)][number % 8]()


def kept_voice(number: int, rng):
    """One that nothing is chosen by."""
    return [lambda: Font("timgm", HARMONICA), lambda: Reed(rng), lambda: Font("timgm", HARMONICA), lambda: Reed(rng),
            lambda: Font("timgm", REED_ORGAN)][number % 5]()
