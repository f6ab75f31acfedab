# SPDX-License-Identifier: ISC
"""Horns to learn from that no font has: made up as a bore and a bell might be, two sounding as one, and any other reshaped."""
import numpy as np
from scipy.signal import butter, lfilter, sosfilt

import voices
from sound import RATE

PARTIALS = 40


def even_out(tone: np.ndarray) -> np.ndarray:
    return (tone / (np.sqrt(np.mean(tone ** 2)) + 1e-9) * 0.1).astype(np.float32)


def log_uniform(rng, low: float, high: float) -> float:
    return float(np.exp(rng.uniform(np.log(low), np.log(high))))


class Bore:
    """Partials that fall off beyond a bell's limit, with formants that stay in place; brighter when blown harder, and while a note opens;
    even ones weak low down, as in a stopped pipe, or not; breath that comes in puffs, a chiff, a reed that clips."""

    def __init__(self, rng):
        self.slope, self.brighter, self.opens = rng.uniform(-8, 1), rng.uniform(0, 4), rng.uniform(0, 7)
        self.limit, self.steep = log_uniform(rng, 500, 4000), rng.uniform(0, 14)
        self.even, self.own = rng.choice([0, rng.uniform(-24, 4)]), rng.normal(0, rng.uniform(0.5, 4), PARTIALS)
        self.formants = [(log_uniform(rng, 350, 5000), log_uniform(rng, 60, 900), rng.uniform(-12, 18)) for _ in range(rng.integers(1, 5))]
        self.slow, self.swell, self.first = log_uniform(rng, 0.008, 0.12), rng.uniform(-3, 3), rng.normal(0, 4)
        self.chiff, self.breath, self.puffed = rng.uniform(-45, -8), rng.uniform(-55, -16), rng.uniform(0, 4)
        self.drive = rng.choice([0, 0, rng.uniform(0.5, 3)])
        self.noise = np.sort([log_uniform(rng, 300, 3000), log_uniform(rng, 3000, 9000)]) / (RATE / 2)

    def levels(self, hz: float, loud: float) -> np.ndarray:
        n = np.arange(1, PARTIALS + 1)
        db = (self.slope + self.brighter * loud) * np.log2(n) + self.own
        db += np.where(n % 2 == 0, self.even * np.exp(-n / 6), 0) - self.steep * np.maximum(0, np.log2(n * hz / self.limit))
        db[0] += self.first
        for middle, wide, height in self.formants:
            db += height / (1 + ((n * hz - middle) / wide) ** 2)
        return 10 ** (db / 20)

    def tone(self, midi: int, cents: np.ndarray, rng) -> np.ndarray:
        hz, t = 440 * 2 ** ((midi - 69 + cents / 100) / 12), np.arange(len(cents)) / RATE
        phase, out = np.cumsum(hz) * (2 * np.pi / RATE), np.zeros(len(cents), np.float32)
        tilt = (self.swell * np.clip(t, 0, 1) - self.opens * np.exp(-t / self.slow)) / 20 * np.log(10)  # of each octave
        for n, level in enumerate(self.levels(hz.mean(), np.clip(rng.normal(0, 0.7), -1.5, 1.5)), 1):
            if n * hz.max() < 11000:
                out += (level * np.exp(np.log2(n) * tilt) * np.sin(n * phase + rng.uniform(0, 6.28))).astype(np.float32)
        out = even_out(out)
        if self.drive:
            out = even_out(np.tanh(10 * self.drive * out + 0.3) - np.tanh(0.3))
        noise = even_out(sosfilt(butter(1, self.noise, "band", output="sos"), rng.normal(0, 1, len(t))))
        puffs = (0.5 + 0.5 * np.cos(phase)) ** self.puffed
        loud = 10 ** (self.breath / 20) * puffs + 10 ** (self.chiff / 20) * np.exp(-t / 0.025)
        return even_out(out + noise * loud)


class Both:
    """Two as one, a little apart in pitch."""

    def __init__(self, one, other, rng):
        self.one, self.other, self.level, self.apart = one, other, 10 ** (rng.uniform(-15, -1) / 20), rng.normal(0, 3)

    def tone(self, midi: int, cents: np.ndarray, rng) -> np.ndarray:
        return even_out(self.one.tone(midi, cents, rng) + self.level * self.other.tone(midi, cents + self.apart, rng))


class Reshaped:
    """Another from up to nine half steps away, so that its formants move; dull or thin, with peaks as narrow as a mute's, a wall near
    the microphone, driven."""

    def __init__(self, voice, rng):
        self.voice, self.moved = voice, int(rng.integers(-9, 10))
        bells = [voices.bell(log_uniform(rng, 350, 5000), rng.uniform(2, 12), rng.uniform(-10, 18)) for _ in range(rng.integers(1, 4))]
        bells += [voices.bell(log_uniform(rng, 200, 8000), rng.uniform(0.4, 1.5), rng.uniform(-14, 14))]
        if rng.random() < 0.4:
            bells.append(butter(1, log_uniform(rng, 500, 5000) / (RATE / 2), output="sos")[0])
        if rng.random() < 0.25:
            bells.append(butter(1, log_uniform(rng, 200, 900) / (RATE / 2), "high", output="sos")[0])
        self.sections = np.array([b / b[3] for b in map(np.asarray, bells)])
        self.late, self.wall = int(log_uniform(rng, 0.0003, 0.003) * RATE), rng.choice([0, 0, rng.uniform(-0.8, 0.8)])
        self.drive = rng.choice([0, 0, 0, rng.uniform(0.5, 4)])

    def tone(self, midi: int, cents: np.ndarray, rng) -> np.ndarray:
        tone = sosfilt(self.sections, self.voice.tone(midi + self.moved, cents - 100 * self.moved, rng))
        tone = lfilter(np.r_[1, np.zeros(self.late - 1), self.wall], [1], tone)
        return even_out(np.tanh(10 * self.drive * even_out(tone)) if self.drive else tone)


def made_up(rng):
    kind = rng.integers(5)
    return Bore(rng) if kind < 3 else (voices.Wilder, voices.Reed)[kind - 3](rng)


def reshaped(rng, voice):
    """Most of them."""
    chance = rng.random()
    return Reshaped(voice, rng) if chance < 0.6 else voices.Coloured(voice, rng) if chance < 0.85 else voice


def horn_of(rng, font):
    """One of the font's, one that there is not, or two as one; `font(rng)` gives one of the font's with its lowest and highest note."""
    plain, low, high = font(rng)
    chance = rng.random()
    if chance < 0.4:
        voice = plain
    elif chance < 0.55:
        voice = Both(plain, made_up(rng) if rng.random() < 0.5 else Reshaped(font(rng)[0], rng), rng)
    else:
        voice, low = made_up(rng), int(rng.integers(44, 58))
        high = min(88, low + int(rng.integers(20, 34)))
    return reshaped(rng, voice), low, high
