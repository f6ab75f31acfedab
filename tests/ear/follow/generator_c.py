# SPDX-License-Identifier: ISC
"""Generator C, looked at once: bars, sounds, timing, tempo and damage are its own. A style lists when each player plays, in
felt beats of two bars of four (or of three, two); `>` before a time: the chord that comes next is meant."""
from pathlib import Path

import numpy as np

import sound
from song import PRESETS, Played, Song, form_read, plan, truth_write

EMPIRE, MILLO2, MILLO1 = sound.KITS / "ElectricEmpireKit", sound.KITS / "Millo_MultiLayered2", sound.KITS / "Millo-Drums_v.1"
KITS = [{36: EMPIRE / "EE_Kick_Low_2.flac", 38: EMPIRE / "EE_Snare_3.flac", 42: EMPIRE / "EE_Hat_Low.flac", 46: EMPIRE / "EE_Hat_Op_Dirty.flac", 64: EMPIRE / "EE_Drum_2.flac"},
        {36: MILLO2 / "bd_05.flac", 38: MILLO2 / "rsnare_05.flac", 37: MILLO2 / "rim_04.flac", 42: MILLO2 / "hhclosed_05.flac", 51: MILLO2 / "ride_05.flac", 49: MILLO2 / "crash_05.flac"}]
CHARTS = {
    "c12": "key: E\nmeter: 4/4\n[A]\n| I7 | % | % | I7 V7/IV | IV7 | % | I7 | % | V7 | IV7 | I7 IV7 | I7 V7 |\n",
    "c16": "key: G\nmeter: 4/4\n[A]\n| I | I/III | IV | V | I | vi | ii7 | V7 | IV | V | iii7 | vi | ii7 | V7 | I IV | I V7 |\n",
    "c20": "key: Bb\nmeter: 4/4\n[A]\n|: I7 | IV7 | I7 | % :|\n[B]\n| IV7 | % | #IVdim7 | % | I7 | VI7 | II7 | V7 | I7 | V7 | I7 | % |\n",
    "cminor": "key: Dm\nmeter: 4/4\n[A]\n| i7 | % | bVII7 | % | bVImaj7 | % | V7 | % | i7 | iv7 | bVII7 | bIIImaj7 | iim7b5 | V7 | i7 | V7 |\n",
    "c34": "key: F\nmeter: 3/4\n[A]\n| I | vi7 | ii7 | V7 | I | I7 | IV | #IVdim7 | I | VI7 | ii7 | V7 |\n",
    "c128": "key: B\nmeter: 12/8\n[A]\n| I7 | % | I7 | I7 | IV7 | iv7 | I7 | VI7 | II7 | V7 | I7 VI7 | ii7 V7 |\n",
    "c68": "key: D\nmeter: 6/8\n[A]\n| I | V/VII | vi | vi | IV | I/III | ii7 | V7 | I | I7 | IV | iv | I | V7 | I | V7 |\n",
}
SWING, STRAIGHT = "swing", "straight"
# charts; felt tempi; beats of the pattern; swung; {drum: times}; bass; comping; programs of comping
STYLES = {
    "shuffle": ("c12 c20 twelve-bar twelve-bar-turnaround eight-bar", (86, 150), 4, SWING,
                {36: "0 2 3.5", 38: "1 3", 42: "0 .5 1 1.5 2 2.5 3 3.5"}, "0 .5 1 1.5 2 2.5 3 3.5", "0 .5 2 2.5", (2, 28, 3)),
    "straight": ("c16 c20 sixteen-bar twelve-bar-quick-change", (84, 168), 8, STRAIGHT,
                 {36: "0 2 2.5 4 5.5 6", 38: "1 3 5 7", 46: "0 1 2 3 4 5 6 7"}, "0 1.5 2 3 4 5.5 6 7", "0 .5 1 1.5 2 2.5 3 3.5 4 4.5 5 5.5 6 6.5 7 7.5", (30, 2, 28)),
    "train beat": ("c16 sixteen-bar twelve-bar c12", (88, 128), 4, STRAIGHT,
                   {36: "0 1 2 3", 38: "0 .25 .5 .75 1 1.25 1.5 1.75 2 2.25 2.5 2.75 3 3.25 3.5 3.75"}, "0 2", ".5 1.5 2.5 3.5", (24, 28)),
    "slow 12/8": ("c128 slow-twelve-eight", (50, 76), 4, "thirds",
                  {36: "0 1.667 2", 38: "1 3", 51: "0 .333 .667 1 1.333 1.667 2 2.333 2.667 3 3.333 3.667"}, "0 1 1.667 2 3 3.667", "0 .333 .667 1 1.333 1.667 2 2.333 2.667 3 3.333 3.667", (2, 19, 3)),
    "walking bass": ("twelve-bar-jazz aaba c12 c20", (150, 215), 8, SWING,
                     {51: "0 1 1.5 2 3 3.5 4 5 5.5 6 7 7.5", 44: "1 3 5 7"}, "walk", "1.5 >3.5 5 6.5", (2, 28, 12)),
    "swing": ("twelve-bar-jazz aaba c20 twelve-bar-slow-drag", (92, 150), 8, SWING,
              {51: "0 1 1.5 2 3 3.5 4 5 5.5 6 7 7.5", 44: "1 3 5 7", 36: "0 2 4 6"}, "walk", "0 1.5 4.5 >7.5", (28, 2, 19)),
    "waltz": ("waltz c34", (84, 172), 6, SWING, {36: "0 3", 51: "0 1 2 3 4 5", 44: "1 2 4 5"}, "0 3", "1 2 4 5", (2, 23, 46)),
    "six-eight": ("six-eight c68", (48, 78), 2, "thirds", {36: "0", 38: "1", 42: "0 .333 .667 1 1.333 1.667"}, "0 .667 1", "0 .333 .667 1 1.333 1.667", (2, 24, 46)),
    "bossa": ("minor-modal cminor c16", (108, 164), 8, STRAIGHT,
              {36: "0 1.5 2 3.5 4 5.5 6 7.5", 37: "0 1.5 3 5 6.5", 42: "0 .5 1 1.5 2 2.5 3 3.5 4 4.5 5 5.5 6 6.5 7 7.5"}, "0 1.5 2 >3.5 4 5.5 6 >7.5", "0 1 2.5 >3.5 5 6 >7.5", (24, 2, 11)),
    "rhumba": ("twelve-bar-minor cminor c12", (92, 148), 4, STRAIGHT,
               {36: "0 1.5 3", 64: ".5 1 2.5 3.5", 42: "0 1 2 3"}, "0 1.5 3", "0 .5 1.5 2 2.5 >3.5", (2, 28, 19)),
    "funk after a vamp": ("c12 sixteen-bar c20", (86, 118), 4, STRAIGHT,
                          {36: "0 .75 2.5", 38: "1 3 3.75", 42: "0 .25 .5 .75 1 1.25 1.5 1.75 2 2.25 2.5 2.75 3 3.25 3.5 3.75"}, "0 .75 1.5 2.5 2.75 3.5", ".5 .75 1.75 2.5 3.25", (28, 7, 18)),
    "stop-time": ("c12 twelve-bar eight-bar", (90, 144), 4, SWING, {36: "0 2", 38: "1 3", 51: "0 1 1.5 2 3 3.5"}, "walk", "1 3", (2, 28, 3)),
    "no drums": ("c16 twelve-bar-slow-drag gospel aaba", (68, 136), 4, STRAIGHT, {}, "0 1.5 2 3", "0 1 2 3", (24, 2, 0)),
    "organ trio": ("twelve-bar-jazz c20 cminor", (92, 184), 8, SWING, {51: "0 1 1.5 2 3 3.5 4 5 5.5 6 7 7.5", 38: "1 3 5 7"}, "walk", "0 >3.5 >7.5", (19, 18)),
    "guitar trio": ("c12 twelve-bar eight-bar twelve-bar-turnaround", (82, 146), 4, SWING, {36: "0 2", 38: "1 3", 46: "0 1 2 3"}, "0 1 2 3", ".5 1.5 2.5 3.5", (28, 30)),
    "ballad": ("ballad gospel c16", (56, 84), 4, STRAIGHT, {36: "0 1.5 2", 37: "1 3", 51: "0 .5 1 1.5 2 2.5 3 3.5"}, "0 1.5 2", "0 .5 1 1.5 2 2.5 3 3.5", (2, 46, 5)),
    "second line": ("c20 sixteen-bar twelve-bar-quick-change", (90, 124), 4, STRAIGHT,
                    {36: "0 1.5 3", 38: ".5 1 1.75 2.5 3 3.5 3.75", 64: "1 3"}, "0 1.5 2.5 >3.5", ".5 1.5 2.5 >3.5", (2, 3)),
}


def times(text: str) -> list:
    """(beat, whether the next chord is meant)."""
    return [(float(word.lstrip(">")), word[0] == ">") for word in text.split()]


class Players:
    def __init__(self, song: Song, style, rng):
        _, _, self.span, self.how, drums, bass, self.comp, programs = style
        self.song, self.rng, self.notes = song, rng, []
        self.drums = {k: times(t) for k, t in drums.items()}
        self.walks, self.bass = bass == "walk", times("0 1 2 3" if bass == "walk" else bass)
        self.comp = times(self.comp)
        self.off = float(rng.uniform(0.6, 0.68)) if self.how == SWING else 0.5
        self.programs = {0: int(rng.choice([32, 33, 36, 37])), 1: int(rng.choice(programs)), 9: int(rng.choice([1, 24, 32, 0]))}
        self.high, self.line = int(rng.integers(3)), 0

    def bent(self, at: float) -> float:
        """Eighths as the band swings them."""
        beat, within = divmod(at, 1)
        return beat + self.off if abs(within - 0.5) < 1e-6 else at

    def here(self, wanted, index, felt):
        """Those of a pattern's times that fall into this bar; a pattern longer or shorter than the bar is cut or told again."""
        start = index * felt % self.span if self.span >= felt else 0
        for at, ahead in wanted:
            for turn in range(2):
                if 0 <= at + turn * self.span - start < felt:
                    yield at + turn * self.span - start, ahead

    def chord(self, bar, after, at, ahead):
        if ahead and at + 0.5 >= bar.felt:
            return after.chords[0][1:] if after is not None and after.chords and after.chords[0][0] == 0 else None
        found = [c for c in bar.chords if c[0] <= at + (0.5 if ahead else 0) + 1e-6]
        return found[-1][1:] if found else None

    def bass_key(self, found, fresh, beat):
        root, foot, tones = found
        if not self.walks:
            return 30 + (foot - 30) % 12 if fresh or self.rng.random() < 0.6 else 30 + (root + 7 - 30) % 12
        scale = sorted({t % 12 for t in tones} | {2, 9})
        self.line = (self.line + int(self.rng.choice([1, 1, 2, -1]))) % len(scale)
        return 30 + (foot - 30) % 12 if fresh else 30 + (root + scale[self.line] - 30) % 12

    def bar_play(self, bar, after, index):
        for key, wanted in self.drums.items():
            for at, _ in self.here(wanted, index, bar.felt):
                self.notes.append((bar.at + self.bent(at), 0.2, 9, key, 104 if at % 1 == 0 else 82))
        for at, ahead in self.here(self.bass, index, bar.felt):
            found = self.chord(bar, after, at, ahead)
            if found and found[2]:
                fresh = ahead or any(abs(c[0] - at) < 0.3 for c in bar.chords) or at == 0
                self.notes.append((bar.at + self.bent(at), 0.7, 0, self.bass_key(found, fresh, at), 100))
        for at, ahead in self.here(self.comp, index, bar.felt):
            found = self.chord(bar, after, at, ahead)
            if found and found[2]:
                self.comp_play(bar.at + self.bent(at), found)

    def comp_play(self, at, found):
        root, _, tones = found
        wide = [55 + self.high * 4 + (root + t - 55 - self.high * 4) % 12 for t in tones[-3:] if t or len(tones) < 4]
        long = len(self.comp) < self.span / 2
        for n, key in enumerate(wide):  # a strum
            self.notes.append((at + 0.012 * n, 1.4 if long else 0.35, 1, key, 86))

    def solo(self):
        self.programs[2] = int(self.rng.choice([64, 71, 68, 59]))
        steps, degree = [0, 3, 5, 7, 10, 12, 15], 3
        for bar in self.song.bars:
            for at in np.arange(0, bar.felt, 0.5):
                if bar.bar >= 0 and self.rng.random() < 0.45:
                    degree = int(np.clip(degree + self.rng.integers(-2, 3), 0, 6))
                    self.notes.append((bar.at + self.bent(float(at)), 0.45, 2, 62 + self.song.key % 12 + steps[degree], 108))


def master(wav, rng) -> np.ndarray:
    spectrum, f = np.fft.rfft(wav), np.fft.rfftfreq(len(wav), 1 / sound.RATE)
    tilt = rng.uniform(-3, 3)  # dB an octave about 1 kHz
    wav = np.fft.irfft(spectrum * 10 ** (tilt * np.log2(np.maximum(f, 40) / 1000) / 20), len(wav))
    if rng.random() < 0.5:  # three walls
        for delay, gain in zip(rng.uniform(0.011, 0.09, 3), rng.uniform(0.1, 0.4, 3)):
            n = int(delay * sound.RATE)
            wav[n:] += gain * wav[:-n]
    wav = wav / (np.abs(wav).max() + 1e-9)
    kind = rng.choice(["clean", "clean", "bits", "gaps", "rumble", "saturated", "faint"])
    if kind == "bits":
        wav = np.round(wav * 60) / 60
    elif kind == "gaps":
        for start in rng.integers(0, len(wav) - 3000, len(wav) // sound.RATE):
            wav[start:start + 1400] = 0
    elif kind == "rumble":
        wav = wav + 0.05 * np.convolve(rng.normal(0, 1, len(wav)), np.ones(800) / 28, "same") / 28
    elif kind == "saturated":
        wav = np.arctan(wav * 5) / 1.5
    elif kind == "faint":
        wav = wav * 0.01
    return (0.85 * wav / max(1.0, np.abs(wav).max())).astype(np.float32)


def case(number: int, build: Path, folder: Path) -> None:
    rng = np.random.default_rng([7, number])
    group = list(STYLES)[number % len(STYLES)]
    style = STYLES[group]
    name = str(rng.choice(style[0].split()))
    form = form_read(build, chart := CHARTS.get(name) or (PRESETS / f"{name}.chart").read_text(), int(rng.integers(12)))
    song = Song(f"c{number:03d}", group, chart, form["key"], round(float(rng.triangular(*np.quantile(style[1], [0, .5, 1]))), 2), note=name)
    length = float(rng.uniform(70, 100))
    intro = int(rng.choice([1, 2, 4])) if "vamp" in group or rng.random() < 0.3 else 0
    start = int(rng.integers(1, len(form["bars"]))) if rng.random() < 0.2 else 0
    song.bars = plan(form, intro, start, (length + 3) * song.bpm / 60)
    players = Players(song, style, rng)
    stops = set(range(0, 4)) if group == "stop-time" else set()
    for index, (bar, after) in enumerate(zip(song.bars, song.bars[1:] + [None])):
        before = len(players.notes)
        players.bar_play(bar, after, index)
        if bar.bar in stops and bar.chorus > 1:
            players.notes[before:] = [n for n in players.notes[before:] if n[0] < bar.at + 0.1]
    if rng.random() < 0.35:
        players.solo()
    if rng.random() < 0.2:
        full = song.bars[0].felt
        players.notes = [(a + full, *r) for a, *r in players.notes] + [(float(i), .1, 9, 37, 110) for i in range(full)]
        for b in song.bars:
            b.at += full
        song.bars.insert(0, Played(-1, 0, 0.0, full, []))
    render(song, players, length, folder, rng)


def render(song, players, length, folder, rng) -> None:
    rush, bend = float(rng.choice([0, 0.01, 0.04])), float(rng.uniform(0.2, 1))
    inner = sound.tempo_map(song.bpm, song.bars[-1].at + 8, lambda t: 1 + rush * np.tanh((t / length - bend) * 4) / 2)
    begin = float(rng.uniform(0.1, 2))
    seconds = lambda beat: inner(beat) + begin
    loose = float(rng.choice([0.003, 0.008, 0.012]))
    sits = {0: rng.uniform(-0.008, 0.012), 1: rng.uniform(-0.01, 0.015), 2: rng.uniform(0, 0.03), 9: rng.uniform(-0.004, 0.006)}
    jitter = lambda channel: sits[channel] + float(np.clip(rng.laplace(0, loose * 0.6), -0.03, 0.03))
    notes = [(a, l, c, k, v * rng.uniform(0.75, 1.1)) for a, l, c, k, v in players.notes]
    kit = KITS[rng.integers(2)] if rng.random() < 0.6 else {}
    pitched = [n for n in notes if not (n[2] == 9 and n[3] in kit)]
    mixer = {(c, 7): int(rng.integers(64, 120)) for c in (0, 1, 2, 9)}
    cents = float(rng.uniform(-45, 45)) if rng.random() < 0.6 else 0.0
    wav = sound.band(pitched, players.programs, mixer, seconds, "fluid" if rng.random() < 0.5 else "timgm", cents, bool(rng.random() < 0.5), jitter)
    if kit:
        hits = sound.drums(notes, {k: [v] for k, v in kit.items()}, seconds, jitter, rng, length)[:len(wav)]
        wav[:len(hits)] += hits * (np.abs(wav).max() / (np.abs(hits).max() + 1e-9)) * rng.uniform(0.35, 0.9)
    song.cents, song.cut = cents, float(rng.uniform(2, 8)) if rng.random() < 0.15 else 0.0
    wav = np.pad(wav, (0, max(0, int((song.cut + length) * sound.RATE) - len(wav))))
    wav = master(wav[int(song.cut * sound.RATE):int((song.cut + length) * sound.RATE)], rng)
    rate = int(rng.choice([48000, 44100, 44100, 32000]))
    wav = sound.resample(wav, rate / sound.RATE) if rate != sound.RATE else wav
    truth_write(song, folder, seconds, wav, rate)
