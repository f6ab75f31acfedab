# SPDX-License-Identifier: ISC
"""Generator B, kept out of all learning and tuning: patterns, voicings, humanising, mixing and damage of its own. A style is a
line of a table; drums and comping are strings of steps over one bar, `x` a hit, `o` a soft one."""
from pathlib import Path

import numpy as np

import sound
from song import PRESETS, Played, Song, form_read, plan, truth_write

EMPIRE, MILLO2 = sound.KITS / "ElectricEmpireKit", sound.KITS / "Millo_MultiLayered2"
KITS = [
    {36: [EMPIRE / "EE_Kick_Lite_1.flac"], 38: [EMPIRE / "EE_Snare_1.flac", EMPIRE / "EE_Snare_2.flac"], 37: [EMPIRE / "EE_Click.flac"],
     42: [EMPIRE / "EE_Hat_Cl_Bs.flac"], 46: [EMPIRE / "EE_Hat_Ring_1.flac"]},
    {36: [MILLO2 / f"bd_0{i}.flac" for i in (2, 3, 4)], 38: [MILLO2 / f"rsnare_0{i}.flac" for i in (2, 3, 4)], 37: [MILLO2 / "rim_02.flac"],
     42: [MILLO2 / f"hhclosed_0{i}.flac" for i in (1, 2, 3)], 46: [MILLO2 / "hhopen_01.flac"], 44: [MILLO2 / "hhpedal_01.flac"],
     51: [MILLO2 / f"ride_0{i}.flac" for i in (1, 2, 3)], 49: [MILLO2 / "crash_01.flac"]},
]
CHARTS = {
    "b12": "key: C\nmeter: 4/4\n[A]\n| I7 | IV7 | I7 | % | IV7 | IVm7 | I7 | VI7 | ii7 | V7 | iii7 bIIIm7 | ii7 V7 |\n",
    "b16": "key: A\nmeter: 4/4\n[A]\n| I7 | % | % | % | I7 | % | IV7 | % | IV7 | % | I7 | VI7 | II7 | V7 | I7 | V7 |\n",
    "b24": "key: F\nmeter: 4/4\n[A]\n|: I7 | % | IV7 | IV7 | I7 | % | V7 | % :|\n[B]\n| IV7 | % | I7 | % | II7 | % | V7 | % |\n",
    "bminor": "key: Em\nmeter: 4/4\n[A]\n| i7 | bVI7 | i7 | % | iv7 | bVII7 | i7 | % | bVI7 | V7 | i7 | V7 |\n",
    "bpop": "key: D\nmeter: 4/4\n[A]\n|: I | V/VII | vi7 | IVmaj7 | I/V | ii7 | IV/V | V :|\n[B]\n| IV | iv6 | I | vi7 | II9 | % | V7sus4 | V7 |\n",
    "b34": "key: D\nmeter: 3/4\n[A]\n| I | I7 | IV | iv | I | VI7 | ii7 | V7 | iii7 | vi7 | ii7 | V7 | I | IV | I | V7 |\n",
    "b68": "key: G\nmeter: 6/8\n[A]\n| I | III7 | vi | I7 | IV | iv | I VI7 | ii V7 | I | III7 | vi | I7 | IV V7 | I IV | I | V7 |\n",
    "b128": "key: A\nmeter: 12/8\n[A]\n| I7 | IV7 | I7 | % | IV7 | #IVdim7 | I7 | VI7 | ii7 | V7 | I7 IV7 | I7 V7 |\n",
    "bfunk": "key: A\nmeter: 4/4\n[A]\n| im7 | % | % | % | iv7 | % | im7 | % | bVI7 | V7#9 | im7 | % |\n",
}
# what a style is: charts, tempi, steps a beat, swung, drums, bass, comping (a mode each), instruments for comping
STYLES = {
    "shuffle": ("twelve-bar b12 twelve-bar-quick-change twelve-bar-turnaround b16", (84, 140), 3, {36: "x.....x..o..", 38: "...x.....x..", 42: "x.xx.xx.xx.x"}, "boogie", "chug", (26, 27, 1)),
    "straight": ("sixteen-bar b16 bminor b24 twelve-bar-minor", (84, 165), 2, {36: "x..ox...", 38: "..x...x.", 42: "xxxxxxxx"}, "roots", "chug", (29, 27, 25)),
    "slow 12/8": ("slow-twelve-eight b128 twelve-bar", (50, 72), 3, {36: "x.....x....o", 38: "...x.....x..", 42: "xxxxxxxxxxxx"}, "pickup", "triplets", (0, 16, 4)),
    "walking bass": ("twelve-bar-jazz b12 aaba b24", (165, 218), 3, {51: "x..x.xx..x.x", 44: "...x.....x..", 36: "o..........."}, "walk", "stabs", (0, 26, 11)),
    "swing": ("twelve-bar-jazz aaba b12 twelve-bar-slow-drag", (96, 160), 3, {51: "x..x.xx..x.x", 44: "...x.....x..", 38: "........o..o"}, "walk", "stabs", (26, 0, 16)),
    "waltz": ("waltz b34", (88, 170), 3, {36: "x........", 42: "...x..x..", 51: "x..x.xx.."}, "two", "after", (0, 21, 24)),
    "six-eight": ("six-eight b68", (46, 74), 3, {36: "x....o", 38: "...x..", 42: "xxxxxx"}, "pickup", "arpeggio", (27, 4, 0)),
    "bossa": ("minor-modal bminor aaba b12", (104, 160), 4, {36: "x..xx..xx..xx..x", 37: "x..x..x...x..x..", 42: "xoxoxoxoxoxoxoxo"}, "tumbao", "pushed", (24, 4, 0)),
    "rhumba": ("twelve-bar-minor bminor b16 twelve-bar", (96, 140), 4, {36: "x.....x.x.....x.", 37: "x..x..x...x.x...", 42: "x.o.x.o.x.o.x.o."}, "tumbao", "pushed", (0, 27, 17)),
    "funk after a vamp": ("bfunk sixteen-bar b16", (84, 116), 4, {36: "x..x......x..x..", 38: "....x..o.o..x...", 42: "xxxxxxxxxxxxxxxx"}, "sixteenths", "scratch", (27, 7, 16)),
    "stop-time": ("twelve-bar b12 b16 eight-bar", (88, 150), 3, {36: "x.....x.....", 38: "...x.....x..", 51: "x..x.xx..x.x"}, "walk", "stabs", (0, 26, 27)),
    "no drums": ("twelve-bar-slow-drag b12 gospel bpop aaba", (72, 140), 2, {}, "walk", "stabs", (24, 0, 26)),
    "organ trio": ("twelve-bar-jazz b12 b24 bminor", (90, 180), 3, {51: "x..x.xx..x.x", 44: "...x.....x..", 36: "x..x..x..x.."}, "walk", "pads", (16, 17, 18)),
    "guitar trio": ("twelve-bar eight-bar b16 twelve-bar-turnaround", (84, 150), 3, {36: "x.....x.....", 38: "...x.....x..", 42: "x..x..x..x.."}, "boogie", "chug", (27, 29, 25)),
    "thumbed guitar": ("twelve-bar-slow-drag eight-bar b16 crooked-blues", (78, 132), 2, {}, "none", "thumbed", (25, 24)),
    "ballad": ("ballad gospel bpop", (54, 80), 2, {36: "x...o...", 37: "..x...x.", 42: "xxxxxxxx"}, "long", "arpeggio", (0, 4, 24)),
    "second line": ("b24 sixteen-bar twelve-bar-quick-change crooked-blues", (88, 126), 4, {36: "x..x..x...x.....", 38: "o.oo.xx.x.xox.o.", 56: "....x.......x..."}, "tumbao", "pushed", (0, 16)),
}


def voicing(root: int, tones: list, rng_shape: int) -> list:
    """Close position over G3, another inversion for each shape; the root left out of four tones."""
    classes = sorted({(root + t) % 12 for t in tones})
    if len(classes) > 3 and rng_shape % 2:
        classes.remove(root % 12)
    base = 52 + 3 * (rng_shape % 4)
    return [base + (c - base) % 12 for c in classes]


class Band:
    def __init__(self, song, style, rng):
        _, _, self.steps, self.drums, self.bass, self.comp, programs = style
        self.song, self.rng, self.notes = song, rng, []
        self.shape, self.swing = int(rng.integers(8)), float(0.5 if self.steps != 2 else rng.choice([0.5, 0.5, 0.62]))
        self.push = float(rng.choice([0.0, 0.5])) if self.comp in ("pushed", "scratch") else 0.0
        self.funk = "x" + "".join(rng.choice(list("x..o"), 15))
        self.scratch = "".join(rng.choice(list("x...x."), 16))
        self.programs = {0: int(rng.choice([32, 33, 34, 35, 38])), 1: int(rng.choice(programs)), 9: int(rng.choice([0, 0, 8, 16, 40]))}

    def play(self, at, length, channel, key, velocity):
        self.notes.append((at, length, channel, key, velocity))

    def step_at(self, step: int) -> float:
        beat, within = divmod(step, self.steps)
        return beat + (self.swing if self.steps == 2 and within else within / self.steps)

    def drum_bar(self, bar):
        fill = self.rng.random() < 0.08
        for key, steps in self.drums.items():
            for i, hit in enumerate(steps[:bar.felt * self.steps] if len(steps) >= bar.felt * self.steps else steps * bar.felt):
                if hit != "." and i < bar.felt * self.steps:
                    self.play(bar.at + self.step_at(i), 0.2, 9, key, (100 if hit == "x" else 55) * (1.1 if i == 0 else 1))
        if fill:
            for i in range(max(0, (bar.felt - 1) * self.steps), bar.felt * self.steps):
                self.play(bar.at + self.step_at(i), 0.2, 9, int(self.rng.choice([38, 45, 47, 50])), 90)
        if self.drums and bar.bar == 0 and self.rng.random() < 0.7:
            self.play(bar.at, 1, 9, 49, 95)

    def chord_at(self, bar, beat, ahead=None):
        """The chord that sounds at a beat of the bar, or in the next bar behind its end."""
        if beat >= bar.felt and ahead and ahead.chords:
            return ahead.chords[0][1:]
        found = [c for c in bar.chords if c[0] <= beat + 1e-6]
        return found[-1][1:] if found else (0, 0, [])

    def bass_bar(self, bar, ahead):
        low = lambda c: 28 + (c - 28) % 12
        for beat in range(bar.felt):
            root, foot, tones = self.chord_at(bar, beat)
            if not tones:
                continue
            third, fifth = next((t for t in tones if t in (3, 4, 2, 5)), 4), next((t for t in tones if t in (6, 7, 8)), 7)
            new = any(c[0] == beat for c in bar.chords) or beat == 0
            at, r = bar.at + beat, low(foot)
            mode = self.bass
            if mode == "walk":
                step = [0, third, fifth, 9 if third == 4 else 10][beat % 4]
                key = r if new else low(root) + step
                if beat == bar.felt - 1 and ahead and ahead.chords and self.rng.random() < 0.6:
                    key = low(ahead.chords[0][2]) + int(self.rng.choice([-1, 1, 2]))
                self.play(at, 0.9, 0, key, 95)
            elif mode == "boogie":
                for half in range(2):
                    step = [0, 0, third, third, fifth, fifth, 9, fifth][(beat * 2 + half) % 8]
                    if half == 0 or self.shape % 2:
                        self.play(at + (2 / 3 if half else 0), 0.35, 0, r + step if not new or half else r, 100 - 15 * half)
            elif mode == "roots":
                for half in range(2):
                    self.play(at + self.step_at(half), 0.45, 0, r, 98 - 12 * half)
            elif mode == "two" and (beat == 0 or (bar.felt == 4 and beat == 2) or new):
                self.play(at, 1.6, 0, r if new else low(root) + fifth, 98)
            elif mode == "long" and new:
                self.play(at, min(bar.felt - beat, 2) * 0.95, 0, r, 92)
            elif mode == "pickup":
                self.play(at, 0.8, 0, r if new or beat % 2 == 0 else low(root) + fifth, 98)
                if self.rng.random() < 0.35:
                    self.play(at + 2 / 3, 0.3, 0, low(root) + fifth, 80)
            elif mode == "tumbao":
                self.play(at + (0.5 if beat % 2 else 0.0), 0.8, 0, r if beat % 2 == 0 else low(self.chord_at(bar, beat + 1, ahead)[1] if self.push else root) + (0 if self.push else fifth), 98)
            elif mode == "sixteenths":
                for i in range(4):
                    hit = self.funk[(beat * 4 + i) % 16]
                    if hit != "." or (new and i == 0):
                        self.play(at + i / 4, 0.22, 0, r + (12 if hit == "o" else 0), 100)

    def comp_bar(self, bar, ahead):
        for beat in range(bar.felt):
            root, foot, tones = self.chord_at(bar, beat)
            late = self.chord_at(bar, beat + 1, ahead)
            if not tones:
                continue
            chord, at, mode = voicing(root, tones, self.shape), bar.at + beat, self.comp
            new = any(c[0] == beat for c in bar.chords) or beat == 0
            hits = []
            if mode == "chug":
                grid = [(0, .4), (2 / 3, .25)] if self.steps == 3 else [(0, .4), (self.swing, .4)]
                for n, (t, l) in enumerate(grid):
                    pair = [40 + (root - 40) % 12]
                    pair.append(pair[0] + (7 if (beat + n) % 4 < 2 else 9))
                    hits += [(t, l, k) for k in (pair if self.shape < 5 else chord)]
            elif mode == "triplets":
                hits = [(i / 3, .28, k) for i in range(3) for k in chord]
            elif mode == "stabs":
                kind = (self.shape + beat) % 4
                t = [(0,), (2 / 3,), (), (0.0, 2 / 3)][kind] if self.steps == 3 else [(0,), (0.5,), (0,), ()][kind]
                hits = [(x, .35, k) for x in t for k in (voicing(late[0], late[2], self.shape) if x and late[2] else chord)]
            elif mode == "after" and beat:
                hits = [(0, .7, k) for k in chord]
            elif mode == "pads" and new:
                hits = [(0, (bar.felt - beat) * 0.97, k) for k in chord]
            elif mode == "arpeggio":
                count = 3 if self.steps == 3 else 2
                hits = [(i / count, 1.2, chord[(beat * count + i) % len(chord)] + 12 * (i == 1)) for i in range(count)]
            elif mode == "pushed":
                pushed = late if self.push and late[2] else (root, foot, tones)
                hits = [(0.5, .45, k) for k in voicing(pushed[0], pushed[2], self.shape)] if beat % 2 else [(0.75 if self.shape % 2 else 0, .3, k) for k in chord]
            elif mode == "scratch":
                hits = [(i / 4, .12, k + 12) for i in range(4) if self.scratch[(beat * 4 + i) % 16] == "x" for k in chord[-3:]]
            elif mode == "thumbed":
                thumb = 40 + ((foot if beat % 2 == 0 else root + 7) - 40) % 12
                hits = [(0, .8, thumb)] + [(self.swing if self.rng.random() < .7 else 0, .6, int(self.rng.choice(chord)) + 12)]
                hits += [(0, .5, chord[-1] + 12)] * (self.rng.random() < .3)
            for t, length, key in hits:
                self.play(at + t, length, 1, key, 82 if mode != "thumbed" or key > 52 else 100)

    def riff(self):
        """A horn's or harp's lead: a motif of two bars, said again, then answered."""
        self.programs[2] = int(self.rng.choice([22, 66, 56, 61, 27, 75, 52]))
        motif = [(float(x), float(l), int(d)) for x, l, d in zip(np.sort(self.rng.choice(np.arange(0, 7, 0.5), 5, replace=False)),
                                                                    self.rng.uniform(0.3, 1.2, 5), self.rng.integers(0, 6, 5))]
        scale = [0, 3, 5, 6, 7, 10, 12]
        for i, bar in enumerate(self.song.bars):
            if bar.bar < 0 or i % 4 > 2 or self.rng.random() < 0.2:
                continue
            for x, length, degree in motif:
                if i % 2 == int(x >= 4) and x % 4 < bar.felt:
                    at = x % 4
                    at = int(at) + (2 / 3 if at % 1 and self.steps == 3 else at % 1)
                    self.play(bar.at + at, length, 2, 65 + (self.song.key + 7) % 12 + scale[degree], 105)

    def perform(self, stop_bars=()):
        for bar, ahead in zip(self.song.bars, self.song.bars[1:] + [None]):
            before = len(self.notes)
            self.drum_bar(bar)
            if self.bass != "none":
                self.bass_bar(bar, ahead)
            self.comp_bar(bar, ahead)
            if bar.bar in stop_bars and bar.chorus > 0:
                self.notes[before:] = [(a, min(l, .4), *r) for a, l, *r in self.notes[before:] if a < bar.at + 0.1]


def walk_tempo(bpm, beats, most, rng):
    """A random walk in straight pieces, within `most`."""
    knots = np.clip(np.cumsum(rng.normal(0, most / 2, 40)), -most, most) if most else np.zeros(40)
    return sound.tempo_map(bpm, beats, lambda t: 1 + float(np.interp(t, np.arange(40) * 8.0, knots)))


def master(wav, rng) -> np.ndarray:
    wav = wav / (np.abs(wav).max() + 1e-9)
    if rng.random() < 0.4:  # a room
        n = int(sound.RATE * rng.uniform(0.2, 0.8))
        tail = rng.normal(0, 1, n) * np.exp(-np.arange(n) / n * 6)
        size = 1 << (len(wav) + n).bit_length()
        wet = np.fft.irfft(np.fft.rfft(wav, size) * np.fft.rfft(tail, size))[:len(wav)]
        wav = wav + wet / (np.abs(wet).max() + 1e-9) * rng.uniform(0.1, 0.5)
    if rng.random() < 0.4:  # a compressor
        level = np.sqrt(np.convolve(wav ** 2, np.ones(2400) / 2400, "same") + 1e-6)
        wav = wav / level ** rng.uniform(0.3, 0.7)
    wav = wav / (np.abs(wav).max() + 1e-9) * 0.9
    kind = rng.choice(["clean", "clean", "crackle", "hum", "thin", "loss", "clip"])
    if kind == "crackle":
        at = rng.integers(0, len(wav), len(wav) // sound.RATE * 12)
        wav[at] += rng.normal(0, 0.3, len(at))
    elif kind == "hum":
        wav = wav + 0.02 * np.sign(np.sin(np.arange(len(wav)) * 2 * np.pi * 50 / sound.RATE))
    elif kind == "thin":
        spectrum, f = np.fft.rfft(wav), np.fft.rfftfreq(len(wav), 1 / sound.RATE)
        wav = np.fft.irfft(spectrum * (f > 180) * (f < 4200), len(wav))
    elif kind == "loss":
        for start in rng.integers(0, len(wav) - 2000, len(wav) // sound.RATE // 2):
            wav[start:start + 960] = 0
    elif kind == "clip":
        wav = np.clip(wav * 3, -0.8, 0.8)
    return wav.astype(np.float32)


def case(number: int, build: Path, folder: Path) -> None:
    rng = np.random.default_rng([2, number])
    group = list(STYLES)[number % len(STYLES)]
    style = STYLES[group]
    name = str(rng.choice(style[0].split()))
    chart = CHARTS.get(name) or (PRESETS / f"{name}.chart").read_text()
    form = form_read(build, chart, int(rng.integers(12)))
    song = Song(f"b{number:03d}", group, chart, form["key"], round(float(rng.uniform(*style[1])), 2), note=name)
    length = float(rng.uniform(65, 95))
    intro = int(rng.choice([2, 4, 8])) if "vamp" in group else int(rng.choice([0, 0, 0, 1, 2, 4]))
    start = int(rng.integers(1, len(form["bars"]))) if rng.random() < 0.2 else 0
    song.bars = plan(form, intro, start, (length + 3) * song.bpm / 60, "lead" if form["lead"] and rng.random() < 0.3 else None)
    ends = rng.random() < 0.15  # the last chorus stops
    if ends:
        song.bars = [b for b in song.bars if b.at < (length - 6) * song.bpm / 60]
    heard = Band(song, style, rng)
    if rng.random() < 0.25:  # the band plays some bars otherwise than the chart
        for b in song.bars:
            if b.bar > 0 and len(b.chords) == 1 and rng.random() < 0.1 and b.chords[0][3][:4] == [0, 4, 7, 10]:
                b.chords = [(0, (b.chords[0][1] + 6) % 12, (b.chords[0][2] + 6) % 12, [0, 4, 7, 10])]
    size = int(rng.choice([2, 4]))
    first = int(rng.integers(0, len(form["bars"]) - 4))
    heard.perform(range(first, first + size) if group == "stop-time" else ())
    if rng.random() < 0.35:
        heard.riff()
    if rng.random() < 0.2:  # sticks count in
        full = song.bars[0].felt
        heard.notes = [(a + full, *r) for a, *r in heard.notes] + [(float(i), .1, 9, 37, 110) for i in range(full)]
        for b in song.bars:
            b.at += full
        song.bars.insert(0, Played(-1, 0, 0.0, full, []))
    render(song, heard, length, folder, rng, ends)


def render(song, heard, length, folder, rng, ends) -> None:
    lead_in = float(rng.uniform(0.05, 1.5))
    inner = walk_tempo(song.bpm, song.bars[-1].at + 8, float(rng.choice([0, 0.01, 0.02, 0.04])), rng)
    seconds = lambda beat: inner(beat) + lead_in
    loose, wobble = float(rng.choice([0.002, 0.006, 0.012])), [0.0]

    def jitter(channel):
        wobble[0] = 0.9 * wobble[0] + rng.normal(0, loose * 0.4)
        return wobble[0] + rng.uniform(-loose, loose) + (0.006 if channel == 0 else 0.0)

    notes = [(a, l, c, k, v * rng.lognormal(0, 0.12)) for a, l, c, k, v in heard.notes]
    kit = KITS[rng.integers(2)] if rng.random() < 0.5 else {}
    pitched = [n for n in notes if not (n[2] == 9 and n[3] in kit)]
    mixer = {(c, 7): int(rng.integers(70, 118)) for c in (0, 1, 2, 9)}
    cents = float(rng.choice([-1, 1]) * rng.uniform(10, 45)) if rng.random() < 0.6 else 0.0
    tape = rng.random() < 0.5
    wav = sound.band(pitched, heard.programs, mixer, seconds, "timgm" if rng.random() < 0.6 else "fluid", 0 if tape else cents, False, jitter)
    if kit:
        hits = sound.drums(notes, kit, seconds, jitter, rng, length)[:len(wav)]
        wav[:len(hits)] += hits * (np.abs(wav).max() / (np.abs(hits).max() + 1e-9)) * rng.uniform(0.3, 1.0)
    stretch = 2 ** (-cents / 1200) if tape and cents else 1.0
    wav = sound.resample(wav, stretch) if stretch != 1 else wav
    song.cents, song.cut = cents, float(rng.uniform(2, 9)) if rng.random() < 0.2 else 0.0
    wav = np.pad(wav, (0, max(0, int((song.cut + length) * sound.RATE) - len(wav))))
    wav = master(wav[int(song.cut * sound.RATE):int((song.cut + length) * sound.RATE)], rng)
    if not ends and rng.random() < 0.15:
        n = int(8 * sound.RATE)
        wav[-n:] *= np.linspace(1, 0, n, dtype=np.float32)
    rate = int(rng.choice([48000, 44100, 32000, 22050, 96000]))
    wav = sound.resample(wav, rate / sound.RATE) if rate != sound.RATE else wav
    truth_write(song, folder, seconds, wav, rate, stretch)
