# SPDX-License-Identifier: ISC
"""More voices, made in other ways than those of voices.py: some to learn from, some to be judged by alone (README.md says which)."""
import numpy as np
from scipy.signal import lfilter, sosfilt

from voices import ACCORDION, HARMONICA, RATE, REED_ORGAN, Coloured, Font, Reed, Timbre, Wilder, bell


def level(x: np.ndarray) -> np.ndarray:
    return (x / (np.sqrt(np.mean(x ** 2)) + 1e-9) * 0.1).astype(np.float32)


def hertz(midi: int, cents: np.ndarray) -> np.ndarray:
    return (440 * 2 ** ((midi - 69 + cents / 100) / 12)).astype(np.float32)


def turns(hz: np.ndarray) -> np.ndarray:
    return np.cumsum(hz, dtype=np.float64) / RATE


class Fm:
    """A sine that moves another's phase (Chowning, J. Audio Eng. Soc. 21, 1973, 526-534): partials that follow no slope; it brightens as it begins."""

    def __init__(self, rng):
        self.index, self.tilt = rng.uniform(0.5, 4.5), rng.uniform(0.6, 1.05)
        self.ratio, self.turn = int(rng.choice([1, 1, 1, 2, 3])), rng.uniform(0, 6.28)
        self.second, self.begins = rng.uniform(0, 0.6), rng.uniform(0.003, 0.06)

    def tone(self, midi: int, cents: np.ndarray, rng) -> np.ndarray:
        at = (turns(hertz(midi, cents)) % 1 * 2 * np.pi).astype(np.float32)
        bright = 1 - 0.7 * np.exp(-np.arange(len(at), dtype=np.float32) / (self.begins * RATE))
        index = self.index * self.tilt ** ((midi - 72) / 12) * rng.uniform(0.8, 1.2) * bright
        return level(np.sin(at + index * np.sin(self.ratio * at + self.turn)) + self.second * np.sin(2 * at + 0.5 * index * np.sin(at)))


class Throat:
    """Partials under three narrow resonances that move a little, as a mouth's do."""

    def __init__(self, rng):
        self.slope = rng.uniform(-10, -2)
        self.middle = np.array([rng.uniform(250, 900), rng.uniform(900, 2400), rng.uniform(2300, 4500)])
        self.wide, self.height = rng.uniform([60, 90, 150], [250, 350, 600]), rng.uniform(3, 24, 3)
        self.moves = rng.uniform(0, 0.25)

    def tone(self, midi: int, cents: np.ndarray, rng) -> np.ndarray:
        hz, n = hertz(midi, cents), len(cents)
        at, coarse = (turns(hz) % 1 * 2 * np.pi).astype(np.float32), np.arange(0, n + 480, 480)
        slow = np.cumsum(rng.normal(0, 0.3, len(coarse)))
        moved = self.middle * (1 + self.moves * np.sin(slow))[:, None]
        out = np.zeros(n, np.float32)
        for k in range(1, 31):
            if k * hz.max() > 11000:
                break
            near = k * hz[np.minimum(coarse, n - 1)]
            db = self.slope * np.log2(k) + (self.height / (1 + ((near[:, None] - moved) / self.wide) ** 2)).sum(axis=1)
            out += np.interp(np.arange(n), coarse, 10 ** (db / 20)).astype(np.float32) * np.sin(k * at + np.float32(rng.uniform(0, 6.28)))
        return level(out)


class Folded:
    """A sine bent by a curve, harder as it grows, and four resonances that stay in place."""

    def __init__(self, rng):
        self.drive, self.aside, self.begins = rng.uniform(0.6, 4), rng.uniform(-0.9, 0.9), rng.uniform(0.004, 0.05)
        self.fold = rng.uniform(0, 1.2)
        sections = np.array([bell(np.exp(rng.uniform(np.log(300), np.log(6000))), rng.uniform(1, 6), rng.uniform(-10, 14)) for _ in range(4)])
        self.sections = sections / sections[:, 3:4]

    def tone(self, midi: int, cents: np.ndarray, rng) -> np.ndarray:
        x = np.sin(turns(hertz(midi, cents)) % 1 * 2 * np.pi)
        grown = (1 - 0.6 * np.exp(-np.arange(len(x)) / (self.begins * RATE))) * self.drive * rng.uniform(0.85, 1.15)
        y = np.tanh(grown * (x + self.aside)) + self.fold * np.sin(grown * x)
        return level(sosfilt(self.sections, y - y.mean()))


class Warped:
    """The phase of a sine runs fast, then slow (phase distortion), with a resonance that follows it."""

    def __init__(self, rng):
        self.knee, self.follows, self.share = rng.uniform(0.06, 0.45), rng.uniform(2, 7), rng.uniform(0, 0.6)
        self.dark = rng.uniform(0.2, 0.9)

    def tone(self, midi: int, cents: np.ndarray, rng) -> np.ndarray:
        at = turns(hertz(midi, cents)) % 1
        knee = self.knee * rng.uniform(0.85, 1.15)
        warped = np.where(at < knee, 0.5 * at / knee, 0.5 + 0.5 * (at - knee) / (1 - knee))
        y = np.cos(2 * np.pi * warped) + self.share * (1 - at) * np.sin(2 * np.pi * self.follows * at)
        y = lfilter([self.dark], [1, self.dark - 1], y - y.mean())
        return level(lfilter([1, -1], [1, -0.995], y))


class Breathy:
    """Another voice with breath: noise that swells with each period, and a puff where the note begins."""

    def __init__(self, voice, rng):
        self.voice, self.noise, self.puff = voice, 10 ** (rng.uniform(-42, -16) / 20), 10 ** (rng.uniform(-36, -6) / 20)
        self.low, self.lasts, self.deep = rng.uniform(0.3, 0.95), rng.uniform(0.008, 0.05), rng.uniform(0, 1)

    def tone(self, midi: int, cents: np.ndarray, rng) -> np.ndarray:
        wander = lfilter([0.002], [1, -0.998], rng.normal(0, 1, len(cents))) * 22 * rng.uniform(0, 2)
        tone = self.voice.tone(midi, cents + wander, rng)
        noise = lfilter([1, -1], [1, -self.low], rng.normal(0, 0.1, len(cents)))
        swell = 1 - self.deep * (0.5 + 0.5 * np.cos(2 * np.pi * turns(hertz(midi, cents))))
        puff = self.puff * np.exp(-np.arange(len(cents)) / (self.lasts * RATE))
        return level(tone + noise * (self.noise * swell + puff))


class EachItsOwn:
    """Another voice whose reeds differ: each has filters of its own."""

    def __init__(self, voice, rng):
        self.voice, self.seed, self.most = voice, int(rng.integers(1 << 30)), rng.uniform(2, 10)

    def tone(self, midi: int, cents: np.ndarray, rng) -> np.ndarray:
        own = np.random.default_rng(self.seed + midi)
        sections = np.array([bell(np.exp(own.uniform(np.log(300), np.log(5000))), own.uniform(0.7, 3), own.uniform(-self.most, self.most)) for _ in range(3)])
        return level(sosfilt(sections / sections[:, 3:4], self.voice.tone(midi, cents, rng)))


def learn_voice(rng):
    """The most varied of those to learn from."""
    plain = [lambda: Font("fluid", HARMONICA), lambda: Timbre(rng), lambda: Wilder(rng), lambda: Fm(rng), lambda: Throat(rng), lambda: Fm(rng),
             lambda: Throat(rng), lambda: Font("fluid", int(rng.choice([REED_ORGAN, ACCORDION]))), lambda: Font("fluid", HARMONICA), lambda: Wilder(rng)]
    voice = plain[rng.integers(len(plain))]()
    if rng.random() < 0.5:
        voice = EachItsOwn(voice, rng)
    if rng.random() < 0.4:
        voice = Coloured(voice, rng)
    return Breathy(voice, rng) if rng.random() < 0.4 else voice


def fresh_voice(rng):
    """To tune by, not to learn from."""
    return [lambda: Folded(rng), lambda: EachItsOwn(Folded(rng), rng), lambda: Breathy(Folded(rng), rng)][rng.integers(3)]()


def kept_again_voice(rng):
    """For the second kept set."""
    return [lambda: Font("timgm", HARMONICA), lambda: Reed(rng), lambda: Warped(rng), lambda: Breathy(Reed(rng), rng),
            lambda: EachItsOwn(Font("timgm", HARMONICA), rng), lambda: Font("timgm", REED_ORGAN)][rng.integers(6)]()
