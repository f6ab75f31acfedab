# SPDX-License-Identifier: ISC
"""What only the kept cases have: a band of other habits, each part in its own place, and what a record goes through."""
import subprocess
import tempfile
from pathlib import Path

import numpy as np
from scipy.signal import fftconvolve

import scene
import sound
from sound import RATE, fluidsynth, resample

sound.FONTS["zeppelin"] = "/usr/share/sounds/sf2/Red_Zeppelin_4_LV2.sf2"
CASES = range(2000, 2200)
TRIO, BOOGIE, PICKED, FILLED, BALLAD = range(5)
CONDITIONS = ("plain", "plain", "plain", "plain", "mp3 64k", "ogg 64k", "tape", "tape", "room", "room")


def condition_of(number: int) -> str:
    return CONDITIONS[number // 3 % len(CONDITIONS)] if number in CASES else "plain"


class Band:
    def __init__(self, rng, roots, key: int, beat: float, swing: float, bars: int, cents: float):
        self.rng, self.roots, self.key, self.beat, self.swing, self.bars = rng, roots, key, beat, swing, bars
        self.bend, self.parts = round(8192 + cents / 200 * 8192), {}

    def part(self, program: int) -> list:
        """Events of one more part."""
        events = [(0.0, bytes([0xC0, program])), (0.002, bytes([0xE0, self.bend & 127, self.bend >> 7]))] if program >= 0 else []
        self.parts[len(self.parts), program] = events
        return events

    def add(self, events, beats: float, midi: int, length: float, velocity: float, channel: int = 0) -> None:
        at = max(0.004, beats * self.beat + self.rng.normal(0, 0.008))
        events += [(at, bytes([0x90 | channel, midi, int(np.clip(velocity + self.rng.normal(0, 6), 20, 125))])),
                   (at + max(0.05, length * self.beat), bytes([0x80 | channel, midi, 0]))]

    def chord(self, bar: int, low: int):
        root = self.key + self.roots[bar % len(self.roots)]
        return [low + (root + i - low) % 12 for i in (4, 7, 10, 14)]

    def bass(self, boogie: bool) -> None:
        events, steps = self.part(int(self.rng.choice([32, 33, 35]))), (0, 4, 7, 9, 10, 9, 7, 4)
        for bar in range(self.bars):
            root = 28 + (self.key + self.roots[bar % len(self.roots)] + 8) % 12
            for k in range(8 if boogie else 4):
                at = 4 * bar + (k // 2 + (self.swing if k % 2 else 0) if boogie else k)
                self.add(events, at, root + (steps[k] if boogie else (0, 7, 12, 10, 4)[int(self.rng.integers(5))] if k else 0), 0.45 if boogie else 0.95, 92)

    def organ(self) -> None:
        events, low = self.part(int(self.rng.choice([16, 17, 18]))), int(self.rng.integers(50, 58))
        for bar in range(self.bars):
            for midi in self.chord(bar, low)[:3]:
                self.add(events, 4 * bar + float(self.rng.choice([0, self.swing])), midi, 3.2, 68)
            if self.rng.random() < 0.5:
                for k in (1, 2 + self.swing):
                    for midi in self.chord(bar, low + 12)[:3]:
                        self.add(events, 4 * bar + k, midi, 0.2, 84)

    def picked(self) -> None:
        """A thumb on the beats, fingers between them."""
        events, low = self.part(int(self.rng.choice([24, 25, 26]))), int(self.rng.integers(52, 60))
        for bar in range(self.bars):
            tones, root = self.chord(bar, low), 40 + (self.key + self.roots[bar % len(self.roots)] + 8) % 12
            for k in range(4):
                self.add(events, 4 * bar + k, root + (7 if k % 2 else 0), 0.8, 80)
                if self.rng.random() < 0.85:
                    self.add(events, 4 * bar + k + self.swing, tones[int(self.rng.integers(4))] + 12 * int(self.rng.integers(2)), 0.7, 84)

    def piano(self, notes, fills: bool) -> None:
        """Chords now and then; a run where the horn rests."""
        events, low = self.part(int(self.rng.choice([0, 1, 3, 4]))), int(self.rng.integers(52, 60))
        for n in range(4 * self.bars):
            rests = not any(q.on < (n + 1.2) * self.beat and q.off > (n - 0.2) * self.beat for q in notes)
            if fills and rests and self.rng.random() < 0.8:
                tones = self.chord(n // 4, low + 12)
                for k in range(3):
                    self.add(events, n + k / 3, tones[(n + k) % 4], 0.4, 90)
            elif self.rng.random() < 0.35:
                for midi in self.chord(n // 4, low):
                    self.add(events, n + self.swing * int(self.rng.integers(2)), midi, self.rng.uniform(0.2, 1), 74)

    def strings(self) -> None:
        events, low = self.part(int(self.rng.choice([48, 49, 89]))), int(self.rng.integers(55, 64))
        for bar in range(self.bars):
            for midi in self.chord(bar, low):
                self.add(events, 4 * bar, midi, 3.9, 70)

    def drums(self) -> None:
        events, ride = self.part(-1), int(self.rng.choice([42, 51]))
        for n in range(4 * self.bars):
            hits = [(0, ride, 84), (self.swing, ride, 58), (0, 36 if n % 2 == 0 else 38, 96)]
            hits += [(self.swing, 38, 50)] * (self.rng.random() < 0.2) + [(0, 49, 90)] * (n % 32 == 0)
            for at, key, velocity in hits:
                self.add(events, n + at, key, 0.2, velocity, 9)

    def play(self, style: int, notes) -> None:
        self.bass(style == BOOGIE)
        if style in (TRIO, BALLAD):
            self.organ()
        if style == PICKED:
            self.picked()
        if style in (BOOGIE, FILLED):
            self.piano(notes, style == FILLED)
        if style == BALLAD:
            self.strings()
        if style != PICKED or self.rng.random() < 0.5:
            self.drums()

    def sound(self, pan) -> np.ndarray:
        """All parts, each in its place: two channels."""
        rendered = []
        for (k, program), events in self.parts.items():
            font = "timgm" if program >= 0 or self.rng.random() < 0.5 else "zeppelin"
            x = fluidsynth(events, font, reverb=False)
            place = np.pi / 4 if k == 0 or program < 0 else self.rng.uniform(0.15, 0.85) * np.pi / 2
            rendered.append(pan(x / scene.rms(x) * 0.1 * 10 ** (self.rng.uniform(-6, 1) / 20), place))
        out = np.zeros((max(len(x) for x in rendered), 2))
        for x in rendered:
            out[:len(x)] += x
        return out


def band(rng, roots, key, beat, swing, bars, cents, style, notes, pan) -> np.ndarray:
    made = Band(rng, roots, key, beat, swing, bars, cents)
    made.play(style, notes)
    return made.sound(pan)


# ---- what a record goes through ----

def loss(mix: np.ndarray, write, codec: str) -> np.ndarray:
    kind, rate = codec.split()
    with tempfile.TemporaryDirectory() as scratch:
        whole, lossy, back = Path(scratch, "a.wav"), Path(scratch, f"a.{kind}"), Path(scratch, "b.wav")
        write(whole, mix, RATE)
        for command in (["-i", whole, "-b:a", rate, lossy], ["-i", lossy, "-ar", str(RATE), back]):
            subprocess.run(["ffmpeg", "-y", "-v", "error", *command], check=True)
        data = back.read_bytes()
        sounds = np.frombuffer(data[data.index(b"data") + 8:], "<i2").astype(float).reshape(-1, mix.shape[1]) / 32768
    return sounds


def tape(mix: np.ndarray, cents: float) -> np.ndarray:
    """Played too fast or too slow."""
    return np.stack([resample(np.ascontiguousarray(c, np.float32), 2 ** (-cents / 1200)) for c in mix.T], 1)


def room(rng, mix: np.ndarray) -> np.ndarray:
    """Horn and band in one larger room, a microphone far away."""
    tail = scene.room_mirrors(rng)
    wet = np.stack([fftconvolve(c, tail)[:len(c)] for c in mix.T], 1)
    return mix / scene.rms(mix) + wet / scene.rms(wet) * 10 ** (rng.uniform(-9, -3) / 20)
