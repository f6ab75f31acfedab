# SPDX-License-Identifier: ISC
"""Where it is played: rooms, amplifiers, hands, breath, other sound that comes along. Two of each: those to learn from, those kept."""
import subprocess
import tempfile
from pathlib import Path

import numpy as np
from scipy.signal import butter, fftconvolve, lfilter, sosfilt

from voices import RATE, fluidsynth
from sound import resample, sound_read


def rms(x: np.ndarray) -> float:
    return float(np.sqrt(np.mean(x.astype(np.float64) ** 2)) + 1e-12)


def active(x: np.ndarray) -> float:
    """RMS of what is not silence: of the blocks above a tenth of the loudest."""
    blocks = x[:len(x) // 1024 * 1024].reshape(-1, 1024)
    level = np.sqrt(np.mean(blocks.astype(np.float64) ** 2, axis=1))
    return float(np.sqrt(np.mean(level[level > 0.1 * level.max()] ** 2)) + 1e-12)


def band_pass(x, low: float, high: float, order: int = 2):
    return sosfilt(butter(order, [low / (RATE / 2), min(0.98, high / (RATE / 2))], "band", output="sos"), x)


# ---- rooms ----

def room_tail(rng) -> np.ndarray:
    """Noise that dies away, highs first; the direct sound stands before it."""
    t60, direct = rng.uniform(0.25, 1.3), 10 ** (rng.uniform(2, 12) / 20)
    t = np.arange(int(t60 * RATE)) / RATE
    noise = rng.normal(0, 1, len(t)) * np.exp(-6.9 * t / t60)
    high = noise - lfilter([0.15], [1, -0.85], noise)
    tail = noise - high * (1 - np.exp(-t / (0.3 * t60)))
    out = np.zeros(len(t) + int(rng.uniform(0.002, 0.02) * RATE), np.float32)
    out[-len(t):] = tail / np.sqrt(np.sum(tail ** 2))
    out[0] += direct
    return out / direct


def room_mirrors(rng) -> np.ndarray:
    """A box with mirrors (image sources: Allen, Berkley, J. Acoust. Soc. Am. 65, 1979, 943-950)."""
    size, keep = rng.uniform([3, 3, 2.4], [14, 10, 5]), rng.uniform(0.55, 0.88)
    source, ear = rng.uniform(0.2, 0.8, 3) * size, rng.uniform(0.2, 0.8, 3) * size
    ear = source + (ear - source) * rng.uniform(0.1, 1)
    out, many = np.zeros(int(1.2 * RATE), np.float32), range(-9, 10)
    for x in many:
        for y in many:
            for z in range(-6, 7):
                n = np.array([x, y, z])
                image = n * size + np.where(n % 2 == 0, source, size - source)
                far = np.linalg.norm(image - ear)
                at = far / 343 * RATE
                if at < len(out) - 1:
                    out[int(at)] += keep ** np.abs(n).sum() / far
    first = np.flatnonzero(out)[0]
    return out[first:] / np.abs(out).max()


# ---- amplifiers ----

def oversampled(x, shape):
    wide = resample(x.astype(np.float32), 2.0)
    return resample(shape(wide).astype(np.float32), 0.5)[:len(x)]


def amp_soft(x, rng):
    """A microphone with a hump, a tanh off its middle, a speaker."""
    drive, bias = 10 ** (rng.uniform(4, 28) / 20) / (10 * active(x)), rng.uniform(0, 0.4)
    x = x + rng.uniform(0, 2) * band_pass(x, 1500, 3500)
    y = oversampled(x * drive * 3, lambda v: np.tanh(v + bias) - np.tanh(bias))
    return band_pass(y, rng.uniform(70, 140), rng.uniform(3500, 6000))


def amp_two_stages(x, rng):
    """Two stages that clip harder, each with a coupling that takes lows out, and a sagging supply; a speaker with a resonance."""
    drive = 10 ** (rng.uniform(4, 26) / 20) / active(x) * 0.25
    envelope = lfilter([0.0005], [1, -0.9995], np.abs(x)) / active(x)
    x = x * drive / (1 + 0.2 * envelope)
    one = lambda v: np.where(v > 0, v / (1 + np.abs(v)), v / np.sqrt(1 + 2 * v * v))  # noqa: E731
    y = sosfilt(butter(1, 120 / (RATE / 2), "high", output="sos"), oversampled(x, one))
    y = oversampled(y * rng.uniform(1, 5), lambda v: np.clip(v, -0.7, 0.8))
    return band_pass(y, 90, rng.uniform(3000, 5500), 1) + 0.5 * band_pass(y, 1800, 3000)


# ---- hands, breath, speech, band ----

def wah(x, hz: float, rng, depth: float = 1.0):
    """Hands that open and close: between a dark and an open sound, five steps."""
    cuts = np.geomspace(rng.uniform(350, 700), 8000, 5)
    layers = [sosfilt(butter(2, c / (RATE / 2), output="sos"), x) * g for c, g in zip(cuts, np.linspace(0.5, 1, 5))]
    t = np.arange(len(x)) / RATE
    open_ = 4 * (1 - depth * (0.5 - 0.5 * np.cos(2 * np.pi * hz * t + rng.uniform(0, 6.28))) ** 0.7)
    return sum(layer * np.clip(1 - np.abs(open_ - i), 0, 1) for i, layer in enumerate(layers))


def breath(seconds: float, rng) -> np.ndarray:
    """Breath without a note: noise that swells."""
    n = int(seconds * RATE)
    slow = np.interp(np.arange(n), np.arange(0, n + RATE, RATE // 4), np.clip(rng.normal(0.3, 0.5, n // (RATE // 4) + 6), 0, 1)[:len(np.arange(0, n + RATE, RATE // 4))])
    return band_pass(rng.normal(0, 1, n), rng.uniform(150, 500), rng.uniform(2500, 7000)) * slow


TEXT = {"develop": "The ferry leaves at nine. Bring two harps and a warm coat. We begin with the slow one, and nobody counts it in. "
                   "Mind the step, the plank is wet. On the third chorus leave room for the bell, it answers by itself.",
        "kept": "Ropes are coiled by the crane at noon. Somebody has left a lamp burning in the shed, go and see to it. "
                "High water is at seven, the band sits aft. No, play it once more, from the bar where the tide turns, and softer."}


def speech(group: str, seconds: float, rng) -> np.ndarray:
    voices = ["en", "en-us", "de", "en+f2", "fr"] if not group.startswith("kept") else ["en-gb-x-rp", "en+m3", "es", "en+f4", "it"]
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder, "a.wav")
        subprocess.run(["espeak-ng", "-v", voices[rng.integers(len(voices))], "-p", str(rng.integers(20, 80)), "-s", str(rng.integers(120, 190)),
                        "-w", file, TEXT["kept" if group.startswith("kept") else "develop"]], check=True, capture_output=True)
        sound, rate = sound_read(file)
    sound = resample(sound, RATE / rate)
    return np.resize(sound, int(seconds * RATE)).astype(np.float32)


def band(group: str, seconds: float, rng) -> np.ndarray:
    """Bass, chords, drums, and now and then an organ; patterns by chance."""
    font, beat = ("fluid" if group == "develop" else "timgm"), 60 / rng.uniform(70, 160)
    key, programs = int(rng.integers(12)), {0: int(rng.choice([32, 33, 34])), 1: int(rng.choice([24, 25, 26, 27, 0])), 2: int(rng.choice([16, 17, 4]))}
    events = [(0.0, bytes([0xC0 | c, p])) for c, p in programs.items()]
    t, n = 0.02, 0
    swing = 0.5 if group == "kept" and rng.random() < 0.5 else 2 / 3
    while t < seconds:
        root = 36 + (key + [0, 0, 5, 0, 7, 5, 0, 7][n // 4 % 8]) % 12
        notes = [(0, 0, root + [0, 4, 7, 9, 10][rng.integers(5)] * (n % 4 > 0), 0.9, 90)]
        if rng.random() < 0.7:
            at, tones = (swing if rng.random() < 0.5 else 0), [root + 12 + i for i in (0, 4, 7, 10)]
            notes += [(1, at, k + 12, 0.4, int(rng.integers(50, 90))) for k in tones]
        if rng.random() < 0.3:
            notes += [(2, 0, root + 24 + i, 0.9, 60) for i in (4, 10, 12)]
        notes += [(9, 0, 42, 0.1, 70)] + ([(9, 0, 38, 0.1, 100)] if n % 2 else [(9, 0, 36, 0.1, 100)])
        for channel, at, note, length, velocity in notes:
            events.append((t + at * beat, bytes([0x90 | channel, note, velocity])))
            events.append((t + (at + length) * beat, bytes([0x80 | channel, note, 0])))
        t, n = t + beat, n + 1
    sound = fluidsynth(events, font, reverb=group == "kept")
    return np.resize(sound, int(seconds * RATE)).astype(np.float32)
