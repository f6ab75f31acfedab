# SPDX-License-Identifier: ISC
"""The second develop set's bands: other habits than generator.py's, each part in its own place, sounds of fluid-soundfont-gm; and what
its records go through. No pattern of kept.py's is in it."""
import numpy as np
from scipy.signal import fftconvolve

import scene
from sound import RATE, fluidsynth

CASES = range(3000, 3020)
ORGAN, SHUFFLE, STRINGS, ANSWERS, SLOW = range(5)
CONDITIONS = ("plain", "plain", "room", "plain", "mp3 64k", "tape", "ogg 64k")
TUNED = 8.0  # cents: with the tape it still lies nearest to its own half steps
BASS, CHORDS, LEAD, DRUMS = 0, 1, 2, 9
PLACES = {BASS: 0.5, CHORDS: (0.2, 0.45), LEAD: (0.55, 0.85), DRUMS: 0.5}  # of a quarter turn
LOUD = {BASS: 0.0, CHORDS: (-4, 1), LEAD: (-1, 4), DRUMS: (-9, -2)}         # dB
PROGRAMS = {ORGAN: {BASS: (38, 33), CHORDS: (16, 17, 18), LEAD: (26, 4)}, SHUFFLE: {BASS: (32, 33), CHORDS: (27, 26), LEAD: (0, 1)},
            STRINGS: {BASS: (32,), CHORDS: (48, 24), LEAD: (24, 25, 26)}, ANSWERS: {BASS: (32, 34), CHORDS: (16, 27), LEAD: (0, 1, 4)},
            SLOW: {BASS: (32, 35), CHORDS: (48, 50, 89), LEAD: (0, 4, 26)}}


def condition_of(number: int) -> str:
    return CONDITIONS[number % len(CONDITIONS)] if number in CASES else "plain"


def room(rng, mix: np.ndarray) -> np.ndarray:
    """All of it in one room."""
    tail = scene.room_tail(rng)[:, None]
    return mix + 10 ** (rng.uniform(-9, -4) / 20) * fftconvolve(mix, tail, axes=0)[:len(mix)]


class Band:
    def __init__(self, rng, roots, key: int, beat: float, swing: float, bars: int, notes):
        self.rng, self.roots, self.key, self.beat, self.swing, self.bars, self.notes = rng, roots, key, beat, swing, bars, notes
        self.events = {c: [] for c in LOUD}

    def add(self, channel: int, beats: float, midi: int, length: float, velocity: int) -> None:
        on = max(0.01, beats * self.beat + self.rng.normal(0, 0.006))
        loud = int(np.clip(velocity + self.rng.normal(0, 7), 25, 125))
        self.events[channel] += [(on, bytes([0x90 | channel, int(midi), loud])),
                                 (on + max(0.06, length * self.beat), bytes([0x80 | channel, int(midi), 0]))]

    def root(self, bar: int, lowest: int) -> int:
        return lowest + (self.key + self.roots[bar % len(self.roots)] - lowest) % 12

    def tones(self, bar: int, lowest: int) -> list[int]:
        """A seventh chord, closed, from `lowest` up."""
        return sorted(lowest + (self.root(bar, 36) + i - lowest) % 12 for i in (0, 4, 7, 10))

    def rests(self, beat: int) -> bool:
        return not any(n.on < (beat + 1) * self.beat and n.off > beat * self.beat for n in self.notes)

    def organ(self) -> None:
        """Feet in halves, two fingers held and one that walks, a guitar on two and four."""
        for bar in range(self.bars):
            low, chord = self.root(bar, 31), self.tones(bar, 55)
            for half in (0, 2):
                self.add(BASS, 4 * bar + half, low + 7 * (half == 2), 1.9, 92)
            for midi in chord[:2]:
                self.add(CHORDS, 4 * bar, midi, 3.9, 70)
            for b, step in enumerate((0, 2, 4, 2)):
                self.add(CHORDS, 4 * bar + b, chord[2] + step, 0.9, 74)
            for b in (1, 3):
                for midi in self.tones(bar, 60)[1:]:
                    self.add(LEAD, 4 * bar + b, midi, 0.4, 80)

    def shuffle(self) -> None:
        """Two notes that rock on the guitar, a piano in triplets above."""
        for bar in range(self.bars):
            low = self.root(bar, 40)
            for b in range(4):
                self.add(BASS, 4 * bar + b, self.root(bar, 30) + (0, 4, 7, 9)[b], 0.9, 90)
                for late, length in ((0, 0.5), (self.swing, 0.3)):
                    for midi in (low, low + (7, 9, 10, 9)[b]):
                        self.add(CHORDS, 4 * bar + b + late, midi, length, 76)
                if self.rng.random() < 0.55:
                    for k in range(3):
                        for midi in self.tones(bar, 64)[k % 2::2]:
                            self.add(LEAD, 4 * bar + b + k / 3, midi, 0.3, 72)

    def strings(self) -> None:
        """A guitar alone: thumb on the beats, fingers between, a line on top that comes back."""
        top = self.rng.choice([-1, 0, 1, 2], 8)
        for bar in range(self.bars):
            chord = self.tones(bar, 57)
            for b in range(4):
                self.add(BASS, 4 * bar + b, self.root(bar, 33), 0.8, 70)
                self.add(LEAD, 4 * bar + b, self.root(bar, 43) + 7 * (b % 2), 1.2, 86)
                for k, late in enumerate((0, self.swing)):
                    i = int(top[(2 * b + k) % 8])
                    if i >= 0:
                        self.add(LEAD, 4 * bar + b + late, chord[i + 1] + 12 * (bar % 4 == 3), 1.0, 84)
            for midi in chord[:3] if bar % 2 else ():
                self.add(CHORDS, 4 * bar, midi, 3.5, 55)

    def answers(self) -> None:
        """A piano that speaks up when the horn is silent."""
        scale, place = (0, 3, 5, 6, 7, 10, 12, 15), 3
        for bar in range(self.bars):
            for b in range(4):
                self.add(BASS, 4 * bar + b, self.root(bar, 31) + (0, 7, 9, 10)[b], 0.85, 90)
                if b in (0, 2) and self.rng.random() < 0.6:
                    for midi in self.tones(bar, 52)[:3]:
                        self.add(CHORDS, 4 * bar + b + self.swing, midi, 0.5, 70)
                if self.rests(4 * bar + b) and self.rng.random() < 0.75:
                    for late in ((0, self.swing), (0, 1 / 3, 2 / 3), (self.swing,))[self.rng.integers(3)]:
                        place = int(np.clip(place + self.rng.choice([-2, -1, 1, 2]), 0, 7))
                        self.add(LEAD, 4 * bar + b + late, 60 + self.key % 12 + scale[place], 0.4, 96)
                elif self.rng.random() < 0.2:
                    for midi in self.tones(bar, 60)[1:]:
                        self.add(LEAD, 4 * bar + b, midi, 0.6, 70)

    def slow(self) -> None:
        """Held chords, broken ones over them, the bass on one and three."""
        for bar in range(self.bars):
            for midi in self.tones(bar, 53):
                self.add(CHORDS, 4 * bar, midi, 3.95, 66)
            broken = self.tones(bar, 58) + [m + 12 for m in self.tones(bar, 58)[:2]]
            for k in range(8):
                self.add(LEAD, 4 * bar + k // 2 + self.swing * (k % 2), broken[(0, 2, 4, 1, 3, 5, 4, 2)[k]], 1.2, 68)
            for b in (0, 2):
                self.add(BASS, 4 * bar + b, self.root(bar, 31), 1.6, 88)

    def drums(self, brushes: bool) -> None:
        for n in range(4 * self.bars):
            for late, velocity in ((0, 78), (self.swing, 52)):
                self.add(DRUMS, n + late, 44 if brushes else 51, 0.1, velocity - 15 * brushes)
            self.add(DRUMS, n, (36, 40)[n % 2], 0.1, 60 if brushes else 92)


def between(rng, low_high) -> float:
    return float(rng.uniform(*low_high)) if isinstance(low_high, tuple) else low_high


def band(rng, roots, key: int, beat: float, swing: float, bars: int, cents: float, style: int, notes, pan) -> np.ndarray:
    made, out = Band(rng, roots, key, beat, swing, bars, notes), np.zeros((int((4 * bars + 4) * beat * RATE), 2))
    (made.organ, made.shuffle, made.strings, made.answers, made.slow)[style]()
    if style != STRINGS:
        made.drums(style == SLOW)
    bend = round(8192 + cents / 200 * 8192)
    for c, events in made.events.items():
        if events:
            first = [] if c == DRUMS else [(0.0, bytes([0xC0 | c, int(rng.choice(PROGRAMS[style][c]))])),
                                           (0.002, bytes([0xE0 | c, bend & 127, bend >> 7]))]
            x = np.resize(np.pad(fluidsynth(first + events, "fluid", reverb=False), (0, len(out))), len(out))
            out += pan(x / scene.rms(x) * 10 ** (between(rng, LOUD[c]) / 20), between(rng, PLACES[c]) * np.pi / 2)
    return out
