# SPDX-License-Identifier: ISC
"""Generators E (development) and D (kept apart), one book of patterns for both: a style has several of each part, those of even number
belong to E, those of odd number to D. Rules of their own for voicing, ghost notes, fills, time feel and mixing. A pattern is a string
of steps, a bar of four felt beats or as long as the style says: X loud, x plain, g ghost; in basses r root, f fifth, t third, o octave,
a root of the coming chord, n a note that leads there; in comping x short, h held, p short and with the coming chord, 0-9 single tones.
Every third case of D plays instead a family of mma's grooves that generator G leaves out."""
from pathlib import Path

import numpy as np
from scipy.fft import irfft, next_fast_len, rfft

import generator_g
import sound
from generator_p import MILLO2, EMPIRE
from song import PRESETS, Played, Song, form_read, plan, truth_write

NEW = {
    "e12": "key: F\nmeter: 4/4\n[A]\n| I7 | % | I7 | % | IV7 | % | I7 | VI7 | II7 | V7 | I7 VI7 | II7 V7 |\n",
    "e16": "key: G\nmeter: 4/4\n[A]\n| I | III7 | vi | I7 | IV | iv | I | VI7 | II7 | % | V7 | % | I | IV | I | V7 |\n",
    "e18": "key: Bb\nmeter: 4/4\n[A]\n|: I7 | % | IV7 | % | I7 | V7 | I7 | % :| IV7 | V7 |\n",
    "eminor": "key: Dm\nmeter: 4/4\n[A]\n| i7 | % | bVI7 | V7 | i7 | iv7 | V7 | i7 | iv7 | bVII7 | bIIImaj7 | bVImaj7 | iim7b5 | V7 | i7 | V7 |\n",
    "e68": "key: A\nmeter: 6/8\n[A]\n| I | ii7 | V7 | I | vi | ii7 | V7 | I7 | IV | #IVdim7 | I | VI7 | II7 | V7 | I | V7 |\n",
    "e34": "key: Eb\nmeter: 3/4\n[A]\n| I | vi7 | ii7 | V7 | I7 | IV | iv | I | III7 | vi | II7 | V7 |\n",
    "e128": "key: D\nmeter: 12/8\n[A]\n| I | I7 | IV | iv | I | VI7 | ii7 | V7 |\n",
}
BLUES = "e12 e18 twelve-bar twelve-bar-quick-change eight-bar twelve-bar-turnaround"
# style: charts, felt tempi, steps a beat, beats of a pattern, swing (least, most), [drum sets], [basses], [comping], programs
BOOK = {
    "second line": (BLUES + " sixteen-bar", (88, 122), 4, 4, (.5, .56), [
        {36: "X..x..X.....X...", 38: "g.gxg.xgg.xgx.xg"}, {36: "X..X..x...X..x..", 38: "x.xg.xg.x.xgg.X."},
        {36: "X.....X...X.....", 38: "g.xgg.xgX.xg.xg.", 42: "x.x.x.x.x.x.x.x."}, {36: "X..x....X..x..x.", 38: "..xg.gx.g.x..gX.", 44: "....x.......x..."}],
        ["r..r..f.r...o.f.", "r.....r...f.r...", "r...f..r..r.t...", "r..r..r...r.f..."],
        ["..x...x...x..x..", "x.....x.....x...", "x..x..x...x.x...", "....x..x....x..x"], (0, 2, 16, 17)),
    "rhumba": (BLUES + " eminor twelve-bar-minor", (92, 140), 2, 4, (.5, .5), [
        {36: "X..x..x.", 37: "x..x..x.", 42: "xxxxxxxx"}, {36: "X...x..x", 37: "..x.x..x", 70: "xgxgxgxg"},
        {36: "X..X..x.", 38: "...x..x.", 64: "..xx..xx"}, {36: "x.x.x.x.", 56: "x.x.x.x.", 64: "..x...xx"}],
        ["r..t..f.", "r..r..f.", "r..f..o.", "r...t.f."], ["x.x..xx.", ".xx.x.x.", "x..x..x.", "..xx..xx"], (0, 2, 26, 27)),
    "bossa": ("eminor e16 minor-modal aaba twelve-bar-minor", (104, 156), 2, 8, (.5, .5), [
        {36: "X..xX..xX..xX..x", 37: "x..x..x...x.x...", 42: "xxxxxxxxxxxxxxxx"}, {36: "X...X..xX...X..x", 37: "..x..x..x..x..x.", 70: "xgxgxgxgxgxgxgxg"}],
        ["r..fr..fr..fr..a", "r..rf..ar..rf..a"], ["x..x.x..x..x..p.", ".x.x..x.x..x..p.", "x.x..x.p..x.x..p"], (24, 25, 0, 4)),
    "funk": ("e12 e18 sixteen-bar twelve-bar-minor eminor", (82, 118), 4, 4, (.5, .58), [
        {36: "X..x..x...x.....", 38: "....X..g.g..X..g", 42: "x.x.x.x.x.x.x.x."}, {36: "X.X....x..X..x..", 38: "g...X.g..g.gX...", 42: "xgxxxgxxxgxxxgxx"},
        {36: "X.......x.x..x..", 38: "....X..x....X...", 42: "xxxxxxxxxxxxxxxx"}, {36: "X..x....X.x...x.", 38: "....X....g..X.g.", 46: "..x...x...x...x."}],
        ["r..r..o...r.t.f.", "r.r....r..fo....", "r.....r.r.o..r.n", "r..o..r...f.r..."],
        ["..x.g.x...x.g.x.", "....x..x....x..x", "xgx.g.xgxgx.g.xg", "h......x.x......"], (7, 27, 28, 16)),
    "six-eight": ("e68 six-eight", (48, 78), 3, 2, (.5, .5), [
        {36: "X..g..", 38: "...X..", 42: "xxxxxx"}, {36: "X..x.x", 37: "...x..", 51: "xgxxgx"}, {}, {36: "X....x", 38: "...X.g", 42: "x.xx.x"}],
        ["r..f..", "r....f", "r.fo.f", "r..r.n"], ["012345", "h..h..", "021021", "x.xx.x"], (24, 27, 0, 46)),
    "double": ("e16 e12 sixteen-bar gospel", (60, 92), 4, 4, (.5, .5), [
        {36: "X.......x.......", 38: "....X.......X...", 42: "x.x.x.x.x.x.x.x."}, {36: "X.....x.X.......", 37: "....X.......X...", 42: "xxxxxxxxxxxxxxxx"},
        {36: "X...x...X...x...", 38: "..x...x...x...x.", 42: "xxxxxxxxxxxxxxxx"}, {36: "X.x...x.X.x.....", 38: "....X.......X..g", 51: "x.x.x.x.x.x.x.x."}],
        ["r...r...r...f...", "r.r.r.r.f.f.f.f.", "r.....f.r.....f.", "r.......f......."],
        ["x.x.x.x.x.x.x.x.", "0.1.2.1.3.1.2.1.", "h.......h.......", "..x...x...x...x."], (0, 4, 25, 29)),
    "shuffle": (BLUES + " e16", (84, 150), 3, 4, (.5, .5), [
        {36: "X..x..X..x..", 38: "...X.....X..", 42: "x.xx.xx.xx.x"}, {36: "X..X..X..X..", 38: "..gX.g..gX.g", 51: "x.xx.xx.xx.x"},
        {36: "X.....X..x.x", 38: "...X.g...X..", 46: "x..x..x..x.."}, {36: "x..x..x..x..", 37: "...x.....x.x", 44: "...x.....x.."}],
        ["r.rt.tf.ft.t", "r..t..f..t..", "r..r.rf..f.n", "r..f..o..f.n"], ["x.xx.xx.xx.x", "..x..x..x..x", "...x.....x.p", "x.....x....p"], (0, 16, 26, 27)),
    "straight": (BLUES + " sixteen-bar e16", (96, 168), 2, 4, (.5, .5), [
        {36: "X...X...", 38: "..X...X.", 42: "xxxxxxxx"}, {36: "X..xX...", 38: "..X...X.", 46: "x.x.x.x."}, {36: "X.xx..x.", 38: "..X...X.", 42: "xgxgxgxg"},
        {36: "X...x..x", 38: "..X...Xg", 51: "x.x.x.x."}], ["rrrrrrrr", "r.t.f.t.", "r..rf.n.", "r.ror.ro"], ["xxxxxxxx", "..x...x.", "x..x..x.", ".x.x.x.x"], (29, 27, 0, 30)),
    "slow 12/8": ("e128 slow-twelve-eight e12", (50, 74), 3, 4, (.5, .5), [
        {36: "X.....X.....", 38: "...X.....X..", 42: "xxxxxxxxxxxx"}, {36: "X....xX....x", 37: "...X.....X..", 51: "x.xx.xx.xx.x"}],
        ["r..r..f..f..", "r.....r....n", "r..t..f..n.."], ["xxxxxxxxxxxx", "h.....h.....", "012012012012"], (0, 16, 26, 1)),
    "swing": ("twelve-bar-jazz aaba e12 e16", (100, 210), 3, 4, (.5, .5), [
        {51: "x..x.xx..x.x", 44: "...x.....x.."}, {51: "x..x.xx..x.x", 44: "...x.....x..", 36: "g..g..g..g..", 38: "........g..g"}, {42: "x..x.xx..x.x", 36: "x.....x....."},
        {51: "x..x..x..x.x", 44: "...x.....x..", 37: ".........x.."}], ["r..t..f..n..", "r..f..t..n..", "r..t.ff..n.n", "r..o..f..n.."],
        ["x....p......", "..x......p..", "h..........p", ".....x.....p"], (0, 26, 16, 11)),
    "waltz": ("waltz e34", (86, 170), 2, 3, (.5, .62), [
        {36: "X.....", 42: "..x.x."}, {36: "X.....", 51: "x.x.xx", 44: "..x.x."}, {}, {36: "X....g", 37: "..x.x.", 42: "xxxxxx"}],
        ["r.....", "r.t.f.", "r...f.", "r....n"], ["..x.x.", "h.....", "x..x..", "012345"], (0, 24, 21, 25)),
    "no drums": (BLUES + " gospel ballad e16", (70, 140), 2, 4, (.5, .66), [{}, {}],
                 ["r...f...", "r.t.f.n.", "r..ar.f.", "r.f.r.f."], ["..x...x.", "x.x.x.x.", "01230123", ".x.x.x.x"], (24, 0, 25, 26)),
}
STRENGTH = {"X": 112, "x": 88, "g": 46}
KITS = {"e": {36: EMPIRE / "EE_Kick_Lite_1.flac", 38: MILLO2 / "jsnare_02.flac", 42: MILLO2 / "hhclosed_03.flac", 37: EMPIRE / "EE_Click.flac"},
        "d": {36: MILLO2 / "bd_03.flac", 38: EMPIRE / "EE_Snare_2.flac", 42: EMPIRE / "EE_Hat_Cl_Bs.flac", 51: MILLO2 / "ride_03.flac"}}


class Combo:
    def __init__(self, song: Song, style, half: int, rng):
        _, _, self.steps, self.span, swing, drums, basses, comps, programs = style
        mine = lambda book: book[half::2] or book
        self.song, self.rng, self.notes = song, rng, []
        self.drums = mine(drums)[int(rng.integers(len(mine(drums))))]
        self.bass = str(rng.choice(mine(basses)))
        self.comp = str(rng.choice(mine(comps)))
        self.swing = float(rng.uniform(*swing))
        self.programs = {1: int(rng.choice([32, 33, 34, 35, 36])), 2: int(rng.choice(mine(programs))), 9: int(rng.choice([0, 8, 16, 24, 32]))}
        self.thin = float(rng.choice([0, 0, 0.08]))  # of the steps that somebody leaves out
        self.spread = int(rng.integers(46, 60))

    def when(self, step: int) -> float:
        beat, within = divmod(step, self.steps)
        if self.steps == 4:  # sixteenths lean
            return beat + within // 2 * 0.5 + (self.swing * 0.5 if within % 2 else 0)
        return beat + (self.swing if self.steps == 2 and within else within / self.steps)

    def told(self, pattern: str, bar: Played, index: int):
        """(time in the bar, letter) of what the pattern has in it."""
        size = bar.felt * self.steps
        start = index * size % len(pattern) if len(pattern) > size else 0
        for i in range(size):
            letter = pattern[(start + i) % len(pattern)]
            if letter != "." and self.rng.random() >= self.thin:
                yield self.when(i), letter

    def chord(self, bar, after, at, coming=False):
        later = [c for c in bar.chords if c[0] > at + 0.01]
        if coming:
            return later[0][1:] if later else after.chords[0][1:] if after is not None and after.chords else None
        found = [c for c in bar.chords if c[0] <= at + 0.01]
        return found[-1][1:] if found else None

    def bass_play(self, bar, after, index):
        for at, letter in self.told(self.bass, bar, index):
            found = self.chord(bar, after, at, letter in "an")
            if not found or not found[2]:
                continue
            root, foot, tones = found
            third, fifth = next((t for t in tones if t in (3, 4)), 5), next((t for t in tones if t in (6, 7, 8)), 7)
            low = 31 + (foot - 31) % 12
            key = {"r": low, "a": low, "o": low + 12, "f": low + (root - foot + fifth) % 12, "t": low + (root - foot + third) % 12,
                   "n": low + int(self.rng.choice([-1, 1, 2, -2]))}[letter]
            self.notes.append((bar.at + at, float(self.rng.uniform(0.3, 0.9)), 1, key, 96 if letter == "r" else 84))

    def comp_play(self, bar, after, index):
        for at, letter in self.told(self.comp, bar, index):
            found = self.chord(bar, after, at, letter == "p") or self.chord(bar, after, at)
            if not found or not found[2]:
                continue
            keys = sorted(self.spread + (found[0] + t - self.spread) % 12 for t in found[2][:4])
            keys = [keys[int(letter) % len(keys)] + 12 * (int(letter) // len(keys))] if letter.isdigit() else keys
            for key in keys:
                self.notes.append((bar.at + at, 1.9 if letter == "h" else 0.9 if letter.isdigit() else 0.3, 2, key, 60 if letter == "g" else 84))

    def drums_play(self, bar, index):
        for key, pattern in self.drums.items():
            for at, letter in self.told(pattern, bar, index):
                self.notes.append((bar.at + at, 0.2, 9, key, STRENGTH[letter]))
        if self.drums and bar.bar % 8 == 7 and self.rng.random() < 0.5:
            for i in range(self.steps * 2):
                if self.rng.random() < 0.6:
                    self.notes.append((bar.at + bar.felt - 2 + self.when(i), 0.2, 9, int(self.rng.choice([38, 41, 43, 47])), int(self.rng.integers(60, 115))))
        if self.drums and bar.bar == 0:
            self.notes.append((bar.at, 1, 9, 49, 90))

    def top(self):
        """A line above: chord tones in runs of eighths, a bar of rest in three."""
        self.programs[3] = int(self.rng.choice([22, 57, 60, 65, 67, 75]))
        key = 70
        for i, bar in enumerate(self.song.bars):
            if i % 3 == 2 or not bar.chords:
                continue
            for half in range(2 * bar.felt):
                found = self.chord(bar, None, half / 2)
                if found and found[2] and self.rng.random() < 0.5:
                    classes = {(found[0] + t) % 12 for t in found[2]} | {(found[0] + 2) % 12, (found[0] + 9) % 12}
                    key = int(self.rng.choice([k for k in range(key - 4, key + 5) if k % 12 in classes and 62 < k < 86] or [72]))
                    at = half // 2 + (0 if half % 2 == 0 else 2 / 3 if self.steps == 3 else self.swing if self.steps == 2 else 0.5)
                    self.notes.append((bar.at + at, 0.42, 3, key, 104))

    def perform(self):
        for index, (bar, after) in enumerate(zip(self.song.bars, self.song.bars[1:] + [None])):
            self.drums_play(bar, index)
            self.bass_play(bar, after, index)
            self.comp_play(bar, after, index)
        if self.rng.random() < 0.35:
            self.top()


def mixed(wav, rng) -> np.ndarray:
    wav = wav / (np.abs(wav).max() + 1e-9)
    size = next_fast_len(len(wav))
    spectrum, f = rfft(wav.astype(np.float32), size), np.fft.rfftfreq(size, 1 / sound.RATE)
    shelf = 10 ** (rng.uniform(-8, 8) / 20 / (1 + (np.maximum(f, 1) / 250) ** 2) + rng.uniform(-8, 8) / 20 * (1 - 1 / (1 + (np.maximum(f, 1) / 3000) ** 2)))
    wav = irfft(spectrum * shelf, size)[:len(wav)]
    kind = rng.choice(["clean", "clean", "pressed", "vinyl", "radio", "soft"])
    if kind == "pressed":
        wav = np.sign(wav) * np.abs(wav) ** 0.6
    elif kind == "vinyl":
        wav = wav + rng.normal(0, 0.003, len(wav))
        wav[rng.integers(0, len(wav), len(wav) // 8000)] += rng.normal(0, 0.3)
    elif kind == "radio":
        wav = irfft(rfft(wav, size) * (f > 120) * (f < 5500), size)[:len(wav)]
    elif kind == "soft":
        wav = wav * 0.03
    return (0.9 * wav / max(1.0, np.abs(wav).max())).astype(np.float32)


def turn(letter: str, number: int) -> int:
    """Whose turn it is among the styles. The first fourteen cases of D passed over every other one."""
    return number if letter == "e" else (2 * number + (number >= 14)) // 3


def lettered(letter: str, number: int, build: Path, folder: Path) -> None:
    half = "ed".index(letter)
    rng = np.random.default_rng([13 + half, number])
    if letter == "d" and number % 3 == 2:
        kept = [f for f in generator_g.families() if generator_g.is_kept(f)]
        generator_g.case_of(f"d{number:03d}", kept[number * 29 % len(kept)], 75.0, [17, number], build, folder)
        return
    group = list(BOOK)[turn(letter, number) % len(BOOK)]
    style = BOOK[group]
    name = str(rng.choice(style[0].split()))
    chart = NEW.get(name) or (PRESETS / f"{name}.chart").read_text()
    form = form_read(build, chart, int(rng.integers(12)))
    song = Song(f"{letter}{number:03d}", group, chart, form["key"], round(float(rng.uniform(*style[1])), 2), note=name)
    length = float(rng.uniform(65, 85))
    start = int(rng.integers(1, len(form["bars"]))) if rng.random() < 0.2 else 0
    song.bars = plan(form, int(rng.choice([0, 0, 0, 1, 2, 4])), start, (length + 3) * song.bpm / 60)
    combo = Combo(song, style, half, rng)
    combo.perform()
    if rng.random() < 0.2:
        full = song.bars[0].felt
        combo.notes = [(a + full, *n) for a, *n in combo.notes] + [(float(i), 0.1, 9, 37, 108) for i in range(full)]
        for b in song.bars:
            b.at += full
        song.bars.insert(0, Played(-1, 0, 0.0, full, []))
    render(song, combo, length, folder, rng, KITS[letter])


def render(song, combo, length, folder, rng, kit) -> None:
    slope, sway = float(rng.choice([0, 0, 0.01, 0.03])), float(rng.uniform(8, 25))
    inner = sound.tempo_map(song.bpm, song.bars[-1].at + 8, lambda t: 1 + slope * (t / length - 0.5) + slope / 2 * np.sin(t * 6.28 / sway))
    begin = float(rng.uniform(0.1, 1.2))
    seconds = lambda beat: inner(beat) + begin
    loose = float(rng.choice([0.002, 0.007, 0.011]))
    behind = {c: float(rng.normal(0, loose)) for c in (1, 2, 3, 9)}
    jitter = lambda channel: behind[channel] + float(rng.normal(0, loose))
    notes = [(a, l, c, k, v * rng.uniform(0.8, 1.12)) for a, l, c, k, v in combo.notes]
    sampled = kit if rng.random() < 0.5 else {}
    pitched = [n for n in notes if not (n[2] == 9 and n[3] in sampled)]
    mixer = {(c, 7): int(rng.integers(68, 118)) for c in (1, 2, 3, 9)}
    cents = float(rng.uniform(-45, 45)) if rng.random() < 0.6 else 0.0
    wav = sound.band(pitched, combo.programs, mixer, seconds, "fluid" if rng.random() < 0.5 else "timgm", cents, bool(rng.random() < 0.5), jitter)
    if sampled:
        hits = sound.drums(notes, {k: [v] for k, v in sampled.items()}, seconds, jitter, rng, length)[:len(wav)]
        wav[:len(hits)] += hits * (np.abs(wav).max() / (np.abs(hits).max() + 1e-9)) * rng.uniform(0.3, 0.9)
    song.cents = cents
    wav = np.pad(wav, (0, max(0, int(length * sound.RATE) - len(wav))))
    wav = mixed(wav[:int(length * sound.RATE)], rng)
    rate = int(rng.choice([48000, 44100]))
    wav = sound.resample(wav, rate / sound.RATE) if rate != sound.RATE else wav
    truth_write(song, folder, seconds, wav, rate)


def case(number: int, build: Path, folder: Path) -> None:
    lettered("e", number, build, folder)
