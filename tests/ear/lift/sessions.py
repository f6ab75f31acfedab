# SPDX-License-Identifier: ISC
"""Sessions to learn from: a horn over a band, half a minute, stems apart. No line of it is shared with generator.py, which makes what is
judged; README.md says which sounds may be learned from."""
import sys
from pathlib import Path

import numpy as np
from scipy.signal import fftconvolve, lfilter, sosfilt

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE.parent / "hear"), str(HERE.parent / "follow")]
import horns  # noqa: E402
import scene  # noqa: E402
import sound  # noqa: E402
import voices  # noqa: E402
from sound import RATE  # noqa: E402

sound.FONTS["pearl"] = "/usr/share/sounds/sf2/Black_Pearl_4_LV2.sf2"
SECONDS, LOW, HIGH = 30.0, 44, 88
WIDER = 100  # from this session on: more kinds of horns, a band that comes nearer
# General MIDI programs from 0, all of fluid-soundfont-gm, how often, lowest and highest: trumpet, trombone, muted trumpet, horn, soprano,
# alto, tenor, baritone, clarinet, oboe, bassoon, harmonica, flute
HORNS = ((56, 4, 52, 86), (57, 3, 44, 76), (59, 2, 54, 86), (60, 1, 46, 74), (64, 4, 54, 88), (65, 4, 48, 80), (66, 5, 44, 78), (67, 3, 44, 72),
         (71, 6, 48, 88), (68, 1, 58, 88), (70, 1, 44, 70), (22, 1, 54, 88), (73, 1, 58, 88))
RHYTHMS = ((8, 4), (8, 4), (8, 4), (6, 6), (6, 6), (12,), (12,), (4, 4, 4), (24,), (36,), (18, 6), (-8, 4), (-6, 6), (-12,), (8, 16), (6, 18),
           (3, 3, 3, 3), (6, 3, 3), (3, 3, 6), (16, 8), (4, -4, 4), (3, 9), (2, 2, 2, 6))
STEPS = (1, 2, 3, 4, 5, 7, 9, 12)  # half steps from note to note
CHORDS = ((0, 4, 7, 10), (0, 4, 7), (0, 3, 7, 10), (0, 4, 7, 9), (0, 4, 10, 14), (0, 3, 6, 10), (0, 4, 7, 11))


def log_uniform(rng, low: float, high: float) -> float:
    return float(np.exp(rng.uniform(np.log(low), np.log(high))))


# ---- what is played ----

def line(rng, beat: float, low: int, high: int, roots):
    """A walk with phrases and rests: [on, length, midi], in seconds, before anybody plays it."""
    some = [r for r in RHYTHMS if min(abs(v) for v in r) / 12 * beat > 0.065]
    weight = rng.uniform(0.05, 2, len(some)) ** 2
    weight /= weight.sum()
    again, wide, inside = rng.uniform(0, 0.3), rng.uniform(0.5, 2.5), rng.uniform(0.5, 1)
    leaps = np.array([6, 8, 4, 2 * wide, 2 * wide, wide, 0.4, 0.5 * wide])
    leaps /= leaps.sum()
    swing = rng.uniform(0.5, 0.72)
    at, midi, up, notes, left = int(rng.integers(0, 24)), int(rng.integers(low + 4, high - 3)), 1, [], int(rng.integers(4, 18))
    def second(k):
        part = swing if k % 12 == 8 else swing if k % 12 == 6 and swing < 0.6 else k % 12 / 12
        return (k // 12 + part) * beat
    while second(at) < SECONDS - 2:
        if left <= 0:
            at += int(rng.choice([12, 24, 36, 48, 72]))
            left = int(rng.integers(4, 18))
        for step in some[rng.choice(len(some), p=weight)]:
            if step > 0:
                left -= 1
                if rng.random() >= again:
                    up = -up if rng.random() < 0.3 else up
                    up = 1 if midi < low + 3 else -1 if midi > high - 3 else up
                    midi += up * int(rng.choice(STEPS, p=leaps))
                    root = roots[at // 48 % len(roots)]
                    if (midi - root) % 12 not in (0, 2, 3, 4, 5, 7, 9, 10) and rng.random() < inside:
                        midi += up
                    midi = int(np.clip(midi, low, high))
                notes.append([second(at), second(at + step) - second(at), midi])
            at += abs(step)
    return notes


def graces(rng, notes, often: float):
    """Before some notes, one or two short ones from nearby."""
    out = []
    for n in notes:
        if n["off"] - n["on"] > 0.22 and rng.random() < often:
            each = rng.uniform(0.05, 0.09)
            for away in ([-1], [-2], [1], [2], [-2, -1], [0, 2], [0, -1])[rng.integers(7)]:
                out.append(dict(n, midi=n["midi"] + away, off=n["on"] + each, fall=0))
                n = dict(n, on=n["on"] + each, slur=True, scoop=0)
            if out[-1]["midi"] == n["midi"]:
                out[-1]["off"] -= 0.012
        out.append(n)
    return out


def perform(rng, plain):
    """When each note sounds and how: human, slurred, short, ghosted, scooped, falling off."""
    behind, stray = rng.uniform(-0.02, 0.04), rng.uniform(0.003, 0.02)
    joined, short = rng.choice([0, 0.3, 0.6, 0.9]), rng.uniform(0.3, 0.9)
    scoops, falls, ghosts = rng.choice([0, 0.12, 0.35]), rng.choice([0, 0.1, 0.25]), rng.choice([0, 0, 0.12])
    notes, last = [], -1.0
    for on, length, midi in plain:
        on = max(last + 0.055, on + behind + rng.normal(0, stray), 0.02)
        notes.append({"on": on, "off": on + max(0.06, length * rng.uniform(short, 1.0)), "midi": midi, "slur": False, "scoop": 0.0,
                      "fall": 0.0, "ghost": False, "length": length})
        last = on
    for a, b in zip(notes, notes[1:]):
        if a["off"] > b["on"] - 0.03 or b["on"] - a["on"] < a["length"] * 1.2:
            if b["midi"] != a["midi"] and rng.random() < joined:
                a["off"], b["slur"] = b["on"], True
            else:
                a["off"] = min(a["off"], b["on"] - rng.uniform(0.006, 0.05) * min(1, (b["on"] - a["on"]) * 6))
    for a, b in zip(notes, notes[1:] + [None]):
        long = a["off"] - a["on"]
        if not a["slur"] and long > 0.14 and rng.random() < scoops:
            a["scoop"] = rng.uniform(0.3, 2.5)
        if long > 0.3 and not (b and b["slur"]) and rng.random() < falls:
            a["fall"] = rng.uniform(1, 5)
        a["ghost"] = bool(long < 0.22 and not a["slur"] and not (b and b["slur"]) and rng.random() < ghosts)
    return graces(rng, notes, rng.choice([0, 0, 0.2]))


# ---- the horn ----

def horn_of_font(rng):
    odds = np.array([h[1] for h in HORNS], float)
    program, _, low, high = HORNS[rng.choice(len(HORNS), p=odds / odds.sum())]
    return voices.Font("fluid", program), low, high


def voice_of(rng):
    """A horn of the font, moved and coloured, or one that there is not; and its range."""
    if rng.random() < 0.67:
        plain, low, high = horn_of_font(rng)
        return (voices.Coloured(plain, rng) if rng.random() < 0.7 else plain), low, high
    low = int(rng.integers(LOW, 58))
    made = (voices.Timbre, voices.Wilder, voices.Reed)[rng.integers(3)](rng)
    return (voices.Coloured(made, rng) if rng.random() < 0.4 else made), low, min(HIGH, low + int(rng.integers(20, 32)))


def bend(rng, note, before, after, count: int, vibrato: float):
    t, length = np.arange(count) / RATE, note["off"] - note["on"]
    cents = rng.normal(0, 7) + np.interp(t, np.linspace(0, length + 0.01, 5), rng.normal(0, 5, 5))
    if note["slur"] and before:
        cents = cents + 100 * (before["midi"] - note["midi"]) * np.clip(1 - t / rng.uniform(0.008, 0.04), 0, 1)
    if note["scoop"]:
        cents = cents - 100 * note["scoop"] * np.clip(1 - t / rng.uniform(0.04, 0.15), 0, 1)
    if note["fall"]:
        cents = cents - 100 * note["fall"] * np.clip((t - length + 0.13) / 0.13, 0, 1)
    if length > 0.28 and vibrato:
        deep = rng.uniform(0.2, 1) * vibrato * np.clip((t - rng.uniform(0.05, 0.3)) / 0.2, 0, 1)
        cents = cents + deep * np.sin(2 * np.pi * rng.uniform(4, 6.8) * t)
    return cents


def blow(rng, notes, voice, cents: float) -> np.ndarray:
    out, level, before = np.zeros(int(SECONDS * RATE), np.float32), 0.0, None
    dynamic, vibrato = rng.uniform(0.5, 3), rng.choice([0, 15, 40])
    for note, after in zip(notes, notes[1:] + [None]):
        fade = rng.uniform(0.01, 0.06)
        count = int((note["off"] - note["on"] + fade) * RATE)
        lead = int(rng.uniform(0.08, 0.3) * RATE) if note["slur"] else 0
        curve = bend(rng, note, before, after, count, vibrato) + cents
        tone = voice.tone(note["midi"], np.concatenate([np.full(lead, curve[0]), curve]), rng)[lead:]
        t = np.arange(len(tone)) / RATE
        rise = rng.uniform(0.008, 0.04) if note["slur"] else rng.uniform(0.003, 0.03)
        level = 0.6 * level + rng.normal(0, dynamic)
        gain = 10 ** ((level - (rng.uniform(6, 13) if note["ghost"] else 0)) / 20)
        shape = np.sin(np.clip(t / rise, 0, 1) * np.pi / 2) * np.clip((len(tone) / RATE - t) / fade, 0, 1) * gain
        if note["slur"] and rng.random() < 0.6:
            shape = shape * (1 - rng.uniform(0, 0.6) * np.exp(-t / 0.015))
        at = int(note["on"] * RATE)
        part = (tone * shape)[:len(out) - at]
        out[at:at + len(part)] += part
        before = note
    return breathe(rng, out)


def coloured(rng, x):
    sections = np.array([voices.bell(log_uniform(rng, 200, 8000), rng.uniform(0.4, 3), rng.uniform(-9, 9)) for _ in range(3)])
    return sosfilt(sections / sections[:, 3:4], x)


def breathe(rng, x):
    """Colour, growl, breath, a hot microphone."""
    x = coloured(rng, x) if rng.random() < 0.8 else x
    peak = np.abs(x).max() + 1e-9
    if rng.random() < 0.15:
        x = x * (1 + rng.uniform(0.1, 0.6) * np.sin(2 * np.pi * rng.uniform(25, 90) * np.arange(len(x)) / RATE))
    if rng.random() < 0.3:
        x = np.tanh(x / peak * rng.uniform(0.5, 3)) * peak
    if rng.random() < 0.4:
        x = x + np.diff(rng.normal(0, 1, len(x) + 1)) * lfilter([0.002], [1, -0.998], np.abs(x)) * rng.uniform(0.02, 0.15)
    return x.astype(np.float32)


# ---- the band ----

KEYS, ORGANS, GUITARS, HELD = (0, 1, 2, 4, 5), (16, 17, 18, 19), (24, 25, 26, 27, 28), (20, 48, 49, 50, 52, 61, 89)
BEND = bytes([0xB0, 101, 0]), bytes([0xB0, 100, 0]), bytes([0xB0, 6, 12])  # a bend's range: an octave


def put(status: int, channel: int, *data: int) -> bytes:
    return bytes([status | channel, *data])


def stem_of(channel: int) -> int:
    return 2 if channel == 9 else 0 if channel == 1 else 1


class Band:
    """Parts by chance, as events for FluidSynth. The first part behind the bass stands out: alone, or among others."""

    def __init__(self, rng, beat: float, roots, notes, cents: float, near: bool):
        self.rng, self.near, self.beat, self.roots, self.notes, self.cents = rng, near, beat, roots, notes, cents
        self.swing = float(rng.choice([0.5, 0.6, 0.667]))
        self.events, self.moved, self.channel = [], {}, 0
        parts = [(self.comping, 6), (self.pad, 3), (self.picked, 6), (self.fills, 4), (self.riff, 2), (self.echo, 2)]
        if near:
            parts = [(self.comping, 4), (self.pad, 2), (self.picked, 7), (self.fills, 7), (self.riff, 2), (self.echo, 2), (self.beside, 5),
                     (self.walking, 4)]
        odds = np.array([o for _, o in parts], float)
        chosen = rng.choice(len(parts), int(rng.choice([1, 2, 2, 3])), replace=False, p=odds / odds.sum())
        for part in [self.bass] + [parts[i][0] for i in chosen]:
            part()
        if rng.random() < 0.8:
            self.beaten()

    def begin(self, *programs) -> int:
        """A part, its samples from some way up or down so that no instrument always sounds the same."""
        c, self.channel = self.channel, self.channel + 1
        self.moved[c] = int(self.rng.integers(-4, 5)) if self.rng.random() < 0.7 else 0
        bend = round(8192 + (self.cents / 100 - self.moved[c]) / 12 * 8192)
        said = [put(0xC0, c, int(self.rng.choice(np.concatenate(programs)))), put(0xB0, c, 7, int(self.rng.integers(70, 127)))]
        said += [put(b[0], c, *b[1:]) for b in BEND] + [put(0xE0, c, bend & 127, bend >> 7)]
        self.events += [(0.0005 * i, message) for i, message in enumerate(said)]
        return c

    def add(self, c: int, beats: float, midi: int, length: float, velocity: int):
        on = max(0.004, beats * self.beat + self.rng.normal(0, 0.007))
        if on < SECONDS:
            loud, key = int(np.clip(velocity + self.rng.normal(0, 9), 20, 126)), int(midi) + self.moved.get(c, 0)
            self.events += [(on, put(0x90, c, key, loud)), (on + max(0.05, length * self.beat), put(0x80, c, key, 0))]

    def beats(self):
        return range(int(SECONDS / self.beat))

    def root(self, n: int) -> int:
        return self.roots[n // 4 % len(self.roots)]

    def bass(self):
        c, walks = self.begin(range(32, 39)), self.rng.integers(4)
        for n in self.beats():
            tone = [(0, 4, 7, 9)[n % 4], (0, 0, 7, 10)[n % 4], int(self.rng.choice([0, 4, 5, 7, 10, 12])), 0][walks]
            self.add(c, n, 28 + (self.root(n) + 8) % 12 + tone, self.rng.uniform(0.4, 1), 90)
            if walks == 3 and self.rng.random() < 0.5:
                self.add(c, n + self.swing, 28 + (self.root(n) + 8) % 12 + 7, 0.3, 80)

    def voicing(self, n: int, low: int):
        chord = CHORDS[hash((self.root(n), self.channel)) % len(CHORDS)]
        return [low + (self.root(n) + i - low) % 12 + (12 if i > 9 else 0) for i in chord]

    def comping(self):
        c, often, low = self.begin(KEYS, ORGANS, GUITARS), self.rng.uniform(0.2, 0.9), int(self.rng.integers(46, 62))
        late = self.rng.random()
        for n in self.beats():
            if self.rng.random() < often:
                at = n + (self.swing if self.rng.random() < late * 0.6 else 0)
                length = self.rng.uniform(0.15, 1.8)
                for midi in self.voicing(n, low):
                    self.add(c, at, midi, length, 72)

    def pad(self):
        """Chords held for a bar or half of one; now and then one voice of them moves."""
        c, low, each = self.begin(ORGANS, ORGANS, HELD), int(self.rng.integers(48, 64)), int(self.rng.choice([2, 4, 4]))
        for n in self.beats():
            if n % each == 0:
                chord = self.voicing(n, low)[:int(self.rng.integers(2, 5))]
                moves = each == 4 and self.rng.random() < 0.3
                for midi in chord[:len(chord) - moves]:
                    self.add(c, n, midi, each - 0.1, 66)
                for k in range(4 if moves else 0):
                    self.add(c, n + k, chord[-1] + (0, 2, 3, 2)[k], 0.95, 72)

    def picked(self):
        """Strings one after the other; in half of them a thumb below."""
        c, low = self.begin(GUITARS, GUITARS, KEYS, (11, 46)), int(self.rng.integers(44, 64))
        each, order, thumb = int(self.rng.choice([2, 2, 3, 4])), self.rng.permutation(8), self.rng.random() < 0.5
        for n in self.beats():
            tones = sorted(self.voicing(n, low) + self.voicing(n, low + 12))
            for k in range(each):
                if self.rng.random() < 0.85:
                    self.add(c, n + (self.swing if each == 2 and k else k / each), tones[order[(n * each + k) % 8] % len(tones)],
                             self.rng.uniform(0.3, 1.5), 78)
            if thumb:
                self.add(c, n, 40 + (self.root(n) + 8 + 7 * (n % 2)) % 12, 0.9, 82)

    def fills(self):
        """A line of its own, in the horn's register, here and there where the horn rests."""
        c, over, often = self.begin(KEYS, KEYS, GUITARS, ORGANS, (11,)), self.rng.choice([0.02, 0.2]), self.rng.uniform(0.25, 0.7)
        midi = int(self.rng.integers(58, 76))
        for n in self.beats():
            rests = not any(q["on"] < (n + 1) * self.beat and q["off"] > n * self.beat for q in self.notes)
            if self.rng.random() < (often if rests else over):
                for at in [(0, self.swing), (0, 1 / 3, 2 / 3), (0,), (0, 0.25, 0.5, 0.75)][self.rng.integers(4 if self.beat > 0.4 else 3)]:
                    midi = int(np.clip(midi + self.rng.choice([-4, -3, -2, -1, 1, 2, 3, 4]), 52, HIGH))
                    self.add(c, n + at, midi, self.rng.uniform(0.2, 0.8), 88)
                    if self.rng.random() < 0.15:
                        self.add(c, n + at, midi + int(self.rng.choice([3, 4, 5, 7, 12])), 0.5, 84)

    def beside(self):
        """A line of its own in the horn's register all the time, plucked or struck; now and then two notes."""
        c, each = self.begin(KEYS, GUITARS, GUITARS, (11,)), int(self.rng.choice([1, 2, 2, 3, 4] if self.beat > 0.4 else [1, 2, 2, 3]))
        often, ring, midi = self.rng.uniform(0.4, 0.95), log_uniform(self.rng, 0.3, 3), int(self.rng.integers(52, 76))
        for n in self.beats():
            for k in range(each):
                if self.rng.random() < often:
                    midi = int(np.clip(midi + self.rng.choice([-5, -4, -3, -2, -1, 0, 1, 2, 3, 4, 5]), 48, HIGH))
                    at = n + (self.swing if each == 2 and k else k / each)
                    self.add(c, at, midi, ring / each, 88)
                    if self.rng.random() < 0.2:
                        self.add(c, at, midi - int(self.rng.choice([3, 4, 5, 7, 8, 9, 12])), ring / each, 80)

    def walking(self):
        """An organ or strings: a chord whose highest voice moves on the beats."""
        c, low, moves = self.begin(ORGANS, ORGANS, HELD), int(self.rng.integers(50, 66)), self.rng.uniform(0.3, 0.9)
        top = low + 12
        for n in self.beats():
            if n % 2 == 0:
                for midi in self.voicing(n, low)[:int(self.rng.integers(1, 4))]:
                    self.add(c, n, midi, 1.95, 70)
            if self.rng.random() < moves:
                top = int(np.clip(top + self.rng.choice([-4, -3, -2, -1, 1, 2, 3, 4]), low + 8, low + 22))
                self.add(c, n, top, self.rng.uniform(0.5, 1.2), 84)

    def riff(self):
        """Two beats, over and over."""
        c, low = self.begin(KEYS, ORGANS, GUITARS, (29, 61, 62)), int(self.rng.integers(50, 66))
        places = np.flatnonzero(self.rng.random(8) < 0.45)
        tones = self.rng.choice([0, 3, 4, 7, 9, 10, 12], len(places))
        for n in self.beats():
            for at, tone in zip(places, tones):
                if n % 2 == 0:
                    self.add(c, n + at / 4, low + (self.root(n) - low) % 12 + tone, 0.4, 80)

    def echo(self):
        """The horn's own notes an octave off, together with it or some beats later."""
        c, by, often = self.begin(KEYS, GUITARS, ORGANS, (61,)), int(self.rng.choice([-12, -12, 12])), self.rng.uniform(0.2, 0.6)
        late, on = int(self.rng.choice([0, 2, 4])), True
        for i, note in enumerate(self.notes):
            on = self.rng.random() < often if i % 6 == 0 else on
            if on and 40 <= note["midi"] + by <= 92:
                self.add(c, note["on"] / self.beat + late, note["midi"] + by, (note["off"] - note["on"]) / self.beat, 78)

    def beaten(self):
        style, ride = self.rng.integers(4), int(self.rng.choice([42, 51, 51, 44]))
        for n in self.beats():
            hits = [(0, ride, 82), (self.swing, ride, 60)] if style < 3 else [(0, ride, 82), (1 / 3, ride, 50), (2 / 3, ride, 64)]
            hits += [(0, (36, 38)[n % 2], 98)] if style != 2 else [(0, 36, 60)] + [(0, 38, 110)] * (n % 4 == 2)
            if self.rng.random() < 0.12:
                hits += [(k / 4, int(self.rng.choice([38, 45, 47, 50])), 80) for k in range(4)]
            if n % 16 == 0 and self.rng.random() < 0.5:
                hits += [(0, 49, 100)]
            for at, key, velocity in hits:
                self.add(9, n + at, key, 0.2, velocity)

    def sound(self):
        """What stands out, the others, drums: each as a stem of its own colour, levels against each other by chance."""
        kit = "pearl" if self.rng.random() < 0.5 else "fluid"
        out = np.zeros((3, int(SECONDS * RATE)), np.float32)
        for stem, font, low, high in ((0, "fluid", *((0, 10) if self.near else (-4, 8))), (1, "fluid", 0, 1), (2, kit, -16, 2)):
            events = [e for e in self.events if stem_of(e[1][0] & 15) == stem]
            if events:
                x = np.resize(np.pad(sound.fluidsynth(events, font, reverb=False), (0, out.shape[1])), out.shape[1])
                x = coloured(self.rng, x) if stem < 2 and self.rng.random() < 0.7 else x
                out[stem] = x / scene.rms(x) * 10 ** (self.rng.uniform(low, high) / 20) * 0.1
        return out


# ---- a session ----

def session(number: int):
    """Horn, the band's three stems, notes, cents from A = 440 Hz."""
    rng = np.random.default_rng(120000 + number)
    voice, low, high = horns.horn_of(rng, horn_of_font) if number >= WIDER else voice_of(rng)
    beat, cents, key = 60 / rng.uniform(62, 215), float(rng.uniform(-40, 40)), int(rng.integers(12))
    roots = [(key + int(r)) % 12 for r in rng.choice([0, 0, 0, 5, 5, 7, 2, 9, 3, 8], 8)]
    notes = perform(rng, line(rng, beat, max(LOW, low), min(HIGH, high), roots))
    notes = [n for n in notes if LOW <= n["midi"] <= HIGH and n["off"] < SECONDS - 0.1]
    blown = blow(rng, notes, voice, cents)
    band = Band(rng, beat, roots, notes, cents + rng.normal(0, 4), number >= WIDER).sound()
    if rng.random() < 0.7:
        room = scene.room_tail(rng)
        blown = blown + 10 ** (rng.uniform(-20, -6) / 20) * fftconvolve(blown, room)[:len(blown)]
        if rng.random() < 0.5:
            band += 10 ** (rng.uniform(-22, -10) / 20) * fftconvolve(band, room[None], axes=1)[:, :band.shape[1]].astype(np.float32)
    sounds = np.zeros(len(blown), bool)
    for n in notes:
        sounds[int(n["on"] * RATE):int(n["off"] * RATE)] = True
    level = lambda x: np.sqrt(np.mean(x[sounds].astype(float) ** 2)) + 1e-6  # noqa: E731
    return blown / level(blown) * 0.08, band / level(band.sum(0)) * 0.08, notes, cents
