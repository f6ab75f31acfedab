# SPDX-License-Identifier: ISC
"""More rooms, amplifiers, hands and bands than scene.py has: which are learned from, tuned by or kept, README.md says."""
import numpy as np
from scipy.signal import butter, fftconvolve, sosfilt

from scene import active, amp_soft, band_pass, oversampled, room_mirrors, room_tail, wah
from sound import RATE, fluidsynth

# General MIDI programs from 0, by part: bass, chords, what is held, the lead. No reed instruments.
LEARNED = {"bass": (32, 33, 34, 35, 38, 43), "chords": (0, 1, 4, 24, 25, 26, 27, 28, 30), "held": (16, 17, 19, 48, 50, 52, 61), "lead": (27, 40, 56, 66, 73, 80, 11)}
OTHERS = {"bass": (36, 37, 39, 58), "chords": (2, 3, 5, 7, 29, 31, 12), "held": (18, 49, 51, 89, 62), "lead": (29, 41, 57, 65, 68, 71, 81)}
CHORDS = ((0, 4, 7, 10), (0, 4, 7), (0, 3, 7, 10), (0, 4, 9), (0, 4, 10, 14))
FORMS = ((0, 0, 5, 0, 7, 5, 0, 7), (0, 9, 2, 7), (0, 0, 0, 0), (0, 5, 0, 7), (0, 10, 5, 0), (0, 3, 5, 7))


# ---- rooms ----

def room_wide(rng) -> np.ndarray:
    """Two of room_tail(), one of them slower, and early reflections that grow fewer and fainter."""
    out, other = room_tail(rng), room_tail(rng) * 10 ** (-rng.uniform(3, 20) / 20)
    other[0] = 0
    out = np.pad(out, (0, max(0, len(other) - len(out))))
    out[:len(other)] += other
    for _ in range(rng.integers(0, 25)):
        late = rng.uniform(0, 1) ** 2 * 0.12
        out[int((0.001 + late) * RATE)] += rng.uniform(-0.4, 0.4) * np.exp(-late / 0.06)
    return out


def room_sparse(rng) -> np.ndarray:
    """Single echoes by chance, thicker and duller as time goes."""
    t60, out = rng.uniform(0.3, 1.4), np.zeros(int(1.4 * RATE), np.float32)
    times = np.cumsum(rng.exponential(1 / rng.uniform(700, 2500), 4000)) + rng.uniform(0.001, 0.015)
    times = times[times < t60]
    np.add.at(out, (times * RATE).astype(int), rng.choice([-1, 1], len(times)) * np.exp(-6.9 * times / t60))
    out = sosfilt(butter(1, rng.uniform(2500, 7000) / (RATE / 2), output="sos"), out)
    out *= 10 ** (-rng.uniform(2, 12) / 20) / np.sqrt(np.sum(out ** 2))
    out[0] = 1
    return out


def room_network(rng) -> np.ndarray:
    """Eight delays that feed each other (Jot, Chaigne, AES Convention 90, 1991)."""
    delays, n = rng.permutation(np.array([1123, 1361, 1571, 1811, 2053, 2311, 2579, 2843]))[:8], int(1.3 * RATE)
    keep = 10 ** (-3 * delays / RATE / rng.uniform(0.3, 1.3))
    mix = np.eye(8) - 0.25
    lines, out, step = [np.zeros(n + 3000) for _ in range(8)], np.zeros(n, np.float32), 1000
    for line in lines:
        line[0] = 1
    for at in range(0, n, step):  # shorter than the shortest delay
        heard = np.array([line[at:at + step] for line in lines])
        out[at:at + step] += heard.sum(axis=0)[:len(out) - at]
        for line, back, delay in zip(lines, mix @ (heard * keep[:, None]), delays):
            part = line[at + delay:at + delay + step]
            part += back[:len(part)]
    out[0] = 0
    out *= 10 ** (-rng.uniform(2, 12) / 20) / np.sqrt(np.sum(out ** 2))
    out[0] = 1
    return out


# ---- amplifiers, hands ----

def amp_any(x, rng):
    """A curve by chance between two filters by chance."""
    x = x / active(x)
    x = x + rng.uniform(0, 3) * band_pass(x, rng.uniform(600, 2000), rng.uniform(2500, 5000))
    drive, a, b = 10 ** (rng.uniform(-6, 20) / 20), rng.uniform(0, 0.6), rng.uniform(0.3, 3)
    y = oversampled(x * drive, lambda v: np.where(v + a > 0, np.tanh(v + a), np.tanh(b * (v + a)) / b) - np.tanh(a))
    return band_pass(y, rng.uniform(60, 200), rng.uniform(2500, 7000), 1)


def amp_in_row(x, rng):
    """Two of amp_any()."""
    return amp_any(amp_any(x, rng), rng)


def amp_hard(x, rng):
    """One stage that clips hard off its middle; a small speaker."""
    drive, aside = 10 ** (rng.uniform(0, 20) / 20), rng.uniform(0, 0.3)
    x = band_pass(x / active(x), 150, 6000, 1)
    y = oversampled(x * drive, lambda v: np.clip(v + aside, -0.9, 1.1))
    return band_pass(y, 130, rng.uniform(3000, 5000), 1) + rng.uniform(0, 1) * band_pass(y, 900, 1600)


def wah_resonant(x, hz: float, rng, depth: float = 1.0):
    """Hands as a resonance that moves: five places, one faded into the next."""
    places = np.geomspace(rng.uniform(400, 800), rng.uniform(2000, 4500), 5)
    layers = [sosfilt(butter(2, min(0.9, p * 1.4 / (RATE / 2)), output="sos"), x) + band_pass(x, p / 1.2, p * 1.2, 1) for p in places]
    t = np.arange(len(x)) / RATE
    open_ = 4 * (1 - depth * (0.5 - 0.5 * np.cos(2 * np.pi * hz * t + rng.uniform(0, 6.28))))
    return sum(layer * np.clip(1 - np.abs(open_ - i), 0, 1) for i, layer in enumerate(layers))


def wah_either(x, hz: float, rng, depth: float = 1.0):
    return (wah if rng.random() < 0.5 else wah_resonant)(x, hz, rng, depth)


# ---- bands ----

def bar_of(parts: dict, chord, root: int, rng):
    """One bar's notes: (beat, part, key, length, velocity)."""
    out = []
    if parts["bass"]:
        out += [(b, "bass", 28 + (root + (0 if b == 0 else int(rng.choice([0, 4, 7, 9, 10, 12])))) % 24, 0.9, 95) for b in np.arange(0, 4, parts["bass"])]
    if parts["chords"]:
        for at in parts["chords"]:
            out += [(at, "chords", 48 + root + k, parts["short"], int(rng.integers(50, 95))) for k in chord]
    if parts["held"]:
        out += [(0, "held", 60 + (root + k) % 24, 3.9, 70) for k in chord]
    if parts["lead"]:
        at = rng.uniform(0, 1)
        while at < 4 and rng.random() < 0.85:
            length = float(rng.choice([0.33, 0.5, 1, 2]))
            out.append((at, "lead", 60 + (root + int(rng.choice([0, 2, 3, 4, 5, 7, 9, 10]))) % 12 + 12 * int(rng.integers(2)), length * 0.9, int(rng.integers(60, 110))))
            at += length
    if parts["drums"]:
        out += [(b, "drums", int(k), 0.1, int(rng.integers(50, 110))) for b, k in parts["drums"]]
    return out


def parts_of(rng) -> dict:
    """Who plays, and where in the bar."""
    grid = rng.choice([0.5, 1 / 3, 0.25])
    return {"bass": float(rng.choice([0, 0.5, 1, 1, 2])), "short": float(rng.uniform(0.15, 1.5)), "held": rng.random() < 0.4, "lead": rng.random() < 0.4,
            "chords": sorted(rng.choice(np.arange(0, 4, grid), int(rng.integers(1, 7)), replace=False)) if rng.random() < 0.8 else (),
            "drums": [(b, k) for b in np.arange(0, 4, grid) for k in (35, 38, 42, 51, 56, 69, 39) if rng.random() < (0.6 if k in (42, 51) else 0.2)]
            if rng.random() < 0.75 else ()}


def band_wide(seconds: float, rng, font: str, programs: dict, reverb: bool) -> np.ndarray:
    """Any arrangement: bass, chords, pads, a lead, drums, each there or not."""
    channel = {"bass": 0, "chords": 1, "held": 2, "lead": 3, "drums": 9}
    events = [(0.0, bytes([0xC0 | channel[p], int(rng.choice(programs[p]))])) for p in programs]
    beat, key, form, chord = 60 / rng.uniform(60, 190), int(rng.integers(12)), FORMS[rng.integers(len(FORMS))], CHORDS[rng.integers(len(CHORDS))]
    parts, bar = parts_of(rng), 0
    while not (parts["bass"] or parts["chords"] or parts["held"] or parts["lead"]):
        parts = parts_of(rng)
    while bar * 4 * beat < seconds:
        if bar % 8 == 7:
            parts["lead"] = rng.random() < 0.4
        for at, part, note, length, velocity in bar_of(parts, chord, (key + form[bar % len(form)]) % 12, rng):
            second = 0.02 + (bar * 4 + at) * beat
            events += [(second, bytes([0x90 | channel[part], note, velocity])), (second + length * beat, bytes([0x80 | channel[part], note, 0]))]
        bar += 1
    return np.resize(fluidsynth(events, font, reverb=reverb), int(seconds * RATE)).astype(np.float32)


def knocks(seconds: float, rng) -> np.ndarray:
    """A microphone that is handled: thuds and clicks, each with a short resonance."""
    out = rng.normal(0, 1e-4, int(seconds * RATE))
    for at in np.cumsum(rng.exponential(0.5, 60)):
        n = int(rng.uniform(0.01, 0.3) * RATE)
        if at * RATE + n >= len(out):
            break
        t, hz = np.arange(n) / RATE, rng.uniform(60, 900)
        hit = np.exp(-t / rng.uniform(0.003, 0.05)) * (np.sin(2 * np.pi * hz * t) + rng.normal(0, rng.uniform(0.1, 1), n))
        out[int(at * RATE):int(at * RATE) + n] += hit * 10 ** (rng.uniform(-50, -15) / 20)
    return out


def in_room(sound, room):
    return fftconvolve(sound, room)[:len(sound)]
