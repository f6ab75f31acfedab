# SPDX-License-Identifier: ISC
"""Generator K, kept apart: written before anything was measured on it, by somebody who tuned nothing; README.md says who may look. Parts are
written as players count ("2&" is the second eighth of beat two, "2e" and "2a" sixteenths, "2t" and "2l" triplets) over two bars; the band has
an arrangement (who plays in which chorus, fills, stops, how it begins and ends), hands that drift, a room, and a tape or a limiter. Every
sixth song lasts three minutes. The parts are common practice, no source; that hands drift as a sum of noises whose spectrum falls with
frequency is Hennig et al., "The Nature and Properties of Human Errors in Synchronization", 2011 (from memory)."""
import re
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from scipy.signal import butter, fftconvolve, lfilter, sosfilt

import sound
from song import PRESETS, Played, Song, form_read, plan, truth_write

COUNT = {"": 0.0, "e": 0.25, "&": 0.5, "a": 0.75, "t": 1 / 3, "l": 2 / 3}
CHARTS = {
    "k12": "key: A\nmeter: 4/4\n[A]\n| I7 | IV7 #IVdim7 | I7 | v7 I7 | IV7 | % | I7 | iii7 bIIIdim7 | ii7 | V7 | I7 VI7 | ii7 V7 |\n",
    "k8": "key: C\nmeter: 4/4\n[A]\n| I7 | V7 | IV7 | #IVdim7 | I7 | V7 | I7 IV7 | I7 V7 |\n",
    "k16": "key: F\nmeter: 4/4\n[A]\n| I7 | % | % | % | IV7 | % | I7 | % | V7 | IV7 | V7 | IV7 | V7 | IV7 | I7 | V7 |\n",
    "k24": "key: Bb\nmeter: 4/4\n[A]\n| I7 | % | % | % | I7 | % | % | % | IV7 | % | % | % | I7 | % | % | % | V7 | % | IV7 | % | I7 | % | V7 | % |\n",
    "kminor": "key: Gm\nmeter: 4/4\n[A]\n| i7 | iv7 | i7 | % | bVI7 | V7 | i7 | V7 | iv7 | % | bVI7 | V7 |\n",
    "ktune": "key: Eb\nmeter: 4/4\n[A]\n|: Imaj7 | VI7 | ii7 | V7 | iii7 | VI7 | ii7 | V7 :|\n[B]\n| v7 | I7 | IVmaj7 | % | vi7 | II7 | ii7 | V7 |\n",
    "k34": "key: C\nmeter: 3/4\n[A]\n| I7 | % | IV7 | I7 | IV7 | % | I7 | % | V7 | IV7 | I7 | V7 |\n",
    "k68": "key: E\nmeter: 6/8\n[A]\n| I | I7 | IV | iv | I | vi | ii7 | V7 | I | I7 | IV | #IVdim7 | I/V | VI7 | II7 V7 | I |\n",
    "k128": "key: G\nmeter: 12/8\n[A]\n| I7 | IV7 | I7 | I7 | IV7 | #IVdim7 | I7 | VI7 | ii7 | V7 | I7 IV7 | I7 V7 |\n",
}
BLUES = "k12 k8 k16 k24 twelve-bar twelve-bar-quick-change twelve-bar-turnaround eight-bar"


@dataclass
class Style:
    """Drums: GM key to counts. Bass: counts with r root, 5 fifth, 3 third, 6 sixth, 7 seventh, 8 octave, c a half step under what comes.
    Comping: counts with s short, h held; > means the chord that comes, ! loud. A style has several of each; one of each is drawn."""
    charts: str
    tempi: tuple
    swing: tuple
    drums: list
    basses: list
    comps: list
    programs: tuple
    beats: int = 4
    stops: bool = False


RIDE = "1 2 2& 3 4 4& 5 6 6& 7 8 8&"
EIGHTHS = " ".join(f"{n} {n}&" for n in range(1, 9))
SIXTEENTHS = " ".join(f"{n} {n}e {n}& {n}a" for n in range(1, 9))
TRIPLETS = " ".join(f"{n} {n}t {n}l" for n in range(1, 9))
WALKS = ["1r 2:3 3:5 4c 5r 6:5 7:3 8c", "1r 2:8 3:7 4:5 5r 6:3 7:5 8c", "1r 2:5 2&:5 3:6 4c 5r 6:6 7:5 8c"]
BOOGIE = ["1r 1&r 2:3 2&:3 3:5 3&:5 4:6 4&:5 5r 5&r 6:3 6&:3 7:5 7&:5 8:6 8&:5", "1r 2:3 3:5 4:6 5:7 6:6 7:5 8:3"]
BOOK = {
    "shuffle": Style(BLUES + " crooked-blues", (78, 152), (.62, .7), [
        {36: "1 3 5 7", 38: "2! 4! 6! 8!", 42: EIGHTHS}, {36: "1 2 3 4 5 6 7 8", 38: "1& 2! 2& 3& 4! 4& 5& 6! 6& 7& 8! 8&", 51: "1 2 3 4 5 6 7 8"},
        {36: "1 2& 3 5 6& 7", 38: "2! 4! 6! 8! 8&", 51: RIDE, 44: "2 4 6 8"}],
        BOOGIE + ["1r 1&r 2r 2&r 3:5 3&:5 4:5 4&:5", "1r 3:5 4&r 5r 7:5 8c"],
        ["1s 1&s 2s 2&s 3s 3&s 4s 4&s", "1&s 2&s 3&s 4&s", "2h 4s 6h 8s 8&s>"], (1, 16, 26, 28)),
    "jump": Style(BLUES + " ktune", (140, 205), (.6, .66), [
        {36: "1 3 5 7", 38: "2! 4! 6! 8!", 51: RIDE}, {36: "1 2 3 4 5 6 7 8", 44: "2 4 6 8", 42: RIDE, 38: "2 4! 6 8! 8&"}],
        WALKS + BOOGIE[1:], ["1h 2&s! 5h 6&s!", "2&s 4s 6&s 8&s>", "1s 2s 3s 4s", "1&s! 4&s! 5&s"], (61, 0, 26, 16)),
    "swing": Style("twelve-bar-jazz aaba ktune k12 twelve-bar-slow-drag", (96, 170), (.6, .67), [
        {51: RIDE, 44: "2 4 6 8"}, {51: RIDE, 44: "2 4 6 8", 36: "1 3 4& 5 7", 38: "2& 6& 8&"}, {42: "1 2 3 4 5 6 7 8", 38: "1 2! 2& 3 4! 4&"}],
        WALKS, ["1s 2&s 6&s", "2s 4&s> 6s 8&s>", "1s 2s 3s 4s", "2&h 8&h>"], (0, 26, 4, 11)),
    "walking bass": Style("twelve-bar-jazz ktune aaba k12", (170, 220), (.56, .64), [
        {51: RIDE, 44: "2 4 6 8"}, {51: RIDE, 44: "2 4 6 8", 36: "4& 6&", 38: "2& 7&"}], WALKS, ["2&s 5s", "1s 4&s>", "4&h> 8&h>", "1&h 6s 8&s>"], (0, 26, 4)),
    "straight": Style(BLUES + " sixteen-bar", (92, 172), (.5, .5), [
        {36: "1 3 3& 5 7 7&", 38: "2! 4! 6! 8!", 42: EIGHTHS}, {36: "1 2& 3& 5 6& 7", 38: "2! 4! 6! 8!", 46: "1 2 3 4 5 6 7 8"},
        {36: "1 3 5 7", 38: "2! 2& 4! 6! 6& 8!", 51: EIGHTHS}], ["1r 1&r 2r 2&r 3r 3&r 4r 4&r", "1r 2&r 3:5 4:6 5r 6&r 7:5 8c", BOOGIE[0]],
        ["1s 1&s 2s 2&s 3s 3&s 4s 4&s", "2s! 4s! 6s! 8s!", "1h 2&s 3&s 5h 6&s 7&s"], (29, 27, 0, 30)),
    "funk after a vamp": Style("k12 k24 kminor twelve-bar-minor sixteen-bar", (84, 116), (.5, .54), [
        {36: "1! 2& 3e 5! 6a 7&", 38: "2! 3a 4! 6! 8! 8a", 42: SIXTEENTHS}, {36: "1! 1a 3& 5! 5& 7a", 38: "2! 4! 4e 6! 7e 8!", 46: "1& 2& 3& 4& 5& 6& 7& 8&"}],
        ["1r 1ar 2&:8 3e:7 4:5 5r 6ar 7&:5 8&c", "1r 2e:8 2&r 3ar 5r 5&:7 7a:5 8c"],
        ["1es 2as 3es 4&s 5es 6as 7es 8&s", "2s! 2as 4s! 6s! 6as 8s!", "1&h 5&h"], (28, 7, 16)),
    "second line": Style(BLUES + " sixteen-bar", (90, 126), (.52, .6), [
        {36: "1! 2& 4 5! 6& 8", 38: "1& 2! 2a 3& 4! 4& 5& 6! 7 7& 8! 8a"}, {36: "1 2& 4& 5 6& 8&", 38: "1 1a 2& 3 3a 4! 5 5a 6& 7 7& 8!", 46: "2 4 6 8"}],
        ["1r 2&:5 4:8 5r 6&:3 8:5", "1r 2&r 4&:5 5r 7:5 8c"], ["1s 2&s 4s 5s 6&s 8s", "1&s 2&s 3&s 4&s", "2h 4&s> 6h"], (0, 1, 16)),
    "rhumba": Style("twelve-bar-minor kminor k12 twelve-bar k8", (94, 146), (.5, .5), [
        {36: "1 2& 4 5 6& 8", 37: "1 2& 4 6 7", 42: EIGHTHS}, {36: "1 4 5 8", 37: "2 3 5 6& 8", 64: "2& 4 4& 6& 8 8&"}],
        ["1r 2&:5 4:8 5r 6&:5 8:8", "1r 2&:3 4:5 5r 6&:3 8:5"], ["1s 2s 2&s 3&s 4&s", "1&s 2s 3&s 4s 4&s>", "1h 2&h 4s"], (0, 27, 24)),
    "bossa": Style("minor-modal ktune kminor aaba", (106, 160), (.5, .5), [
        {36: "1 2& 3 4& 5 6& 7 8&", 37: "1 2& 4 6 7&", 42: EIGHTHS}, {36: "1 2& 3 4& 5 6& 7 8&", 37: "2 3& 5 6& 8", 51: EIGHTHS}],
        ["1r 2&:5 3:5 4&r> 5r 6&:5 7:5 8&r>", "1r 2&r 3:5 5r 6&r 7:5"], ["1s 2s 3&s 5s 6&s 8s", "1s 2&s 4s 4&s> 6s 7&s 8&s>", "1h 2&h 4&h> 6&h"], (24, 0, 4)),
    "slow 12/8": Style("k128 slow-twelve-eight k12", (48, 74), (.667, .667), [
        {36: "1 2l 3 5 6l 7", 38: "2! 4! 6! 8!", 42: TRIPLETS}, {36: "1 3 5 7 7l", 37: "2 4 6 8", 51: TRIPLETS}, {36: "1 3 4l 5 7", 38: "2! 4! 6! 8! 8t 8l", 46: "1 1l 2 2l 3 3l 4 4l"}],
        ["1r 2l:3 3:5 4l:6 5r 6l:3 7:5 8c", "1r 1lr 2:3 3:5 3l:5 4c", "1r 3:5 5r 7:5 8lc"], [TRIPLETS.replace(" ", "s ") + "s", "1h 3h 5h 7h", "2s 2ls 4s 6s 6ls 8s"], (0, 16, 26)),
    "six-eight": Style("k68 six-eight", (46, 76), (.5, .5), [
        {36: "1 3", 38: "2! 4!", 42: "1 1t 1l 2 2t 2l 3 3t 3l 4 4t 4l"}, {36: "1 2l 3", 37: "2 4", 51: "1 1l 2 2l 3 3l 4 4l"}, {}],
        ["1r 2:5 3r 4:5", "1r 1l:3 2:5 3r 4:5 4lc"], ["1s 1ts 1ls 2s 2ts 2ls 3s 3ts 3ls 4s 4ts 4ls", "1h 3h", "1ts 1ls 2ts 2ls 3ts 3ls 4ts 4ls"], (0, 25, 16), beats=2),
    "waltz": Style("waltz k34", (88, 168), (.5, .66), [
        {36: "1 4", 42: "2 3 5 6", 44: "2 3 5 6"}, {36: "1 4", 38: "3! 6!", 51: "1 2 2& 3 4 5 5& 6"}, {36: "1 2& 4", 37: "3 6", 42: "1 2 3 4 5 6"}],
        ["1r 4:5", "1r 2:3 3:5 4r 5:5 6c", "1r 3:5 4r 6c"], ["2s 3s 5s 6s", "1h 4h", "1s 2&s 4s 5&s"], (0, 24, 21), beats=3),
    "stop-time": Style("k12 k8 twelve-bar eight-bar k16", (88, 150), (.6, .68), [{36: "1 3 5 7", 38: "2! 4! 6! 8!", 42: RIDE}, {36: "1 3 5 7", 38: "2! 4! 6! 8!", 51: RIDE}],
                       WALKS + BOOGIE, ["1s 2&s 5s 6&s", "2s 4s 6s 8s", "1&s 2&s 3&s 4&s"], (0, 26, 61), stops=True),
    "no drums": Style(BLUES + " sixteen-bar ktune", (66, 140), (.5, .68), [{}], ["1r 2:5 3r 4:5", "1r 3:5 5r 7:5 8c"] + WALKS[:1],
                      ["1s 1&s 2s 2&s 3s 3&s 4s 4&s", "2s 4s 6s 8s", "1h 2&s 4s", "1s 2s 2&s 3s 4s 4&s"], (25, 24, 0)),
    "organ trio": Style("twelve-bar-jazz k12 ktune kminor twelve-bar", (90, 180), (.58, .67), [{51: RIDE, 44: "2 4 6 8"}, {36: "1 3 5 7", 38: "2! 4! 6! 8!", 51: RIDE}],
                        WALKS, ["1h 5h", "2&s 4s 6&s 8&s>", "1&h 4&h>"], (16, 17)),
    "ballad": Style("ballad gospel ktune", (54, 84), (.5, .6), [{36: "1 2& 3 5 7", 37: "2 4 6 8", 42: EIGHTHS}, {36: "1 5", 38: "3! 7!", 51: EIGHTHS}],
                    ["1r 2&:5 3:5 5r 7:5 8c", "1r 3:5 5r 7:3"], ["1h 5h", "1s 1&s 2s 2&s 3s 3&s 4s 4&s", "1h 3h 5h 7h"], (0, 4, 24)),
}
KIT = {36: ["Millo_MultiLayered2/bd_0[124]", "ElectricEmpireKit/EE_Kick_Old", "ElectricEmpireKit/EE_Kick_Ring"],
       38: ["Millo_MultiLayered2/jsnare_0[345]", "Millo_MultiLayered2/rsnare_0[124]", "ElectricEmpireKit/EE_Snare_Low"],
       42: ["Millo_MultiLayered2/hhclosed_0[124]", "Millo-Drums_v.1/closehihat3"], 51: ["Millo_MultiLayered2/ride_0[124]", "Millo-Drums_v.1/ride1"],
       37: ["Millo_MultiLayered2/rim_0[123]"], 44: ["Millo_MultiLayered2/hhpedal_0[12]"], 46: ["Millo_MultiLayered2/hhopen_0[123]"]}
BASS, COMP, LEAD, DRUMS = 0, 1, 2, 9


def counted(text: str) -> list:
    """(beat from 0, what is played, whether the coming chord is meant, whether it is loud)."""
    out = []
    for word in text.split():
        number, part, _, what, marks = re.fullmatch(r"(\d)([e&atl]?)(:?)(\w?)([>!]*)", word).groups()
        out.append((int(number) - 1 + COUNT[part], what, ">" in marks, "!" in marks))
    return out


def two_bars(text: str, beats: int) -> list:
    """A pattern of one bar is played twice."""
    said = counted(text)
    return said if any(beat >= beats for beat, *_ in said) else said + [(beat + beats, *rest) for beat, *rest in said]


def hands(rng, count: int) -> np.ndarray:
    """Drift of one player, a value a beat, of unit deviation: noise whose spectrum falls with frequency."""
    spectrum = np.fft.rfft(rng.normal(0, 1, count)) / np.sqrt(np.maximum(np.arange(count // 2 + 1), 1))
    drift = np.fft.irfft(spectrum, count)
    return drift / (drift.std() + 1e-9)


class Ensemble:
    def __init__(self, song: Song, style: Style, rng):
        pick = lambda options: options[int(rng.integers(len(options)))]
        self.song, self.style, self.rng, self.notes = song, style, rng, []
        self.drums = {key: two_bars(text, style.beats) for key, text in pick(style.drums).items()}
        self.bass, self.comp = two_bars(pick(style.basses), style.beats), [two_bars(pick(style.comps), style.beats) for _ in range(2)]
        self.swing = float(rng.uniform(*style.swing))
        self.programs = {BASS: int(rng.choice([32, 33, 34, 35])), COMP: int(rng.choice(style.programs)), LEAD: int(rng.choice([22, 66, 65, 56, 27, 57])), DRUMS: 0}
        self.voicing, self.middle = int(rng.integers(3)), int(rng.integers(50, 62))
        self.changes_comp = rng.random() < 0.4  # another pattern from the second chorus on
        self.sparse = rng.random() < 0.25       # a first chorus without the comping
        self.without_bass = rng.random() < 0.1
        self.pushes = rng.random() < 0.15       # all of the band comes an eighth early on some bar lines

    def at(self, beat: float) -> float:
        whole, part = divmod(beat, 1)
        return whole + (self.swing if abs(part - 0.5) < 1e-6 else part)

    def here(self, pattern, index: int, felt: int):
        """What of two bars of the pattern belongs into bar `index`."""
        span = 2 * self.style.beats
        first = index % 2 * self.style.beats
        for beat, *rest in pattern:
            for turn in (0, span):
                if 0 <= beat + turn - first < felt and (felt > self.style.beats or turn == 0):
                    yield beat + turn - first, *rest

    def sounding(self, bar, after, beat, ahead):
        if ahead and after is not None and after.chords and not any(c[0] > beat for c in bar.chords):
            return after.chords[0]
        later = [c for c in bar.chords if c[0] > beat + 1e-6]
        if ahead and later:
            return later[0]
        found = [c for c in bar.chords if c[0] <= beat + 1e-6]
        return found[-1] if found else None

    def bass_play(self, bar, after, index):
        for beat, what, ahead, _ in self.here(self.bass, index, bar.felt):
            chord = self.sounding(bar, after, beat, ahead)
            coming = self.sounding(bar, after, beat, True)
            if not chord or not chord[3]:
                continue
            _, root, foot, tones = chord
            has = lambda some, default: next((t for t in tones if t % 12 in some), default)
            low = 28 + (foot - 28) % 12
            above = {"r": 0, "8": 12, "3": has((3, 4), 5), "5": has((6, 7, 8), 7), "6": 9, "7": has((10, 11), 10)}.get(what)
            if what == "c":
                key = 28 + (coming[2] - 28) % 12 - 1 if coming and coming[3] else low
            elif above == 0:
                key = low
            else:
                key = low + (root - foot + above) % 12 + (12 if what == "8" and root == foot else 0)
            self.notes.append((bar.at + self.at(beat), float(self.rng.uniform(0.4, 0.95)), BASS, key, 100 if beat == 0 else 88))

    def voiced(self, root, tones):
        """Three kinds: what tells the chord apart, all of it close together, root and fifth with what is above."""
        tones = list(tones)
        some = [[t for t in tones if t % 12 != 0 and t % 12 != 7] or tones, tones[:4], [0] + [t for t in tones if t][:2]][self.voicing]
        return sorted(self.middle + (root + t - self.middle) % 12 for t in some)

    def comp_play(self, bar, after, index):
        pattern = self.comp[1 if self.changes_comp and bar.chorus > 1 else 0]
        for beat, what, ahead, loud in self.here(pattern, index, bar.felt):
            chord = self.sounding(bar, after, beat, ahead)
            if chord and chord[3] and self.rng.random() > 0.04:
                late = float(self.rng.uniform(0, 0.012)) if self.programs[COMP] in (24, 25, 26, 27, 28) else 0.0
                for i, key in enumerate(self.voiced(chord[1], chord[3])):
                    self.notes.append((bar.at + self.at(beat) + i * late, 1.6 if what == "h" else 0.32, COMP, key, 100 if loud else int(self.rng.integers(66, 86))))

    def drums_play(self, bar, index):
        fill = self.drums and (bar.bar + 1) % 4 == 0 and self.rng.random() < (0.7 if (bar.bar + 1) % 12 == 0 else 0.25)
        until = bar.felt - (self.rng.choice([1, 2]) if fill and bar.felt > 2 else 0)
        for key, pattern in self.drums.items():
            for beat, _, _, loud in self.here(pattern, index, bar.felt):
                if beat < until or key == 36:
                    self.notes.append((bar.at + self.at(beat), 0.2, DRUMS, key, 116 if loud else int(self.rng.integers(72, 100))))
        if until < bar.felt:
            each = 3 if self.swing > 0.57 else 4
            for i in range(int((bar.felt - until) * each)):
                if self.rng.random() < 0.75:
                    self.notes.append((bar.at + until + i / each, 0.2, DRUMS, int(self.rng.choice([38, 38, 45, 48, 41])), int(self.rng.integers(70, 118))))
        if self.drums and bar.bar == 0 and bar.chorus > 1 and self.rng.random() < 0.6:
            self.notes.append((bar.at, 1, DRUMS, 49, 96))

    def sings(self):
        """A line on top that calls for two bars and rests for two, over the blues scale of the song's key."""
        scale, at = [0, 3, 5, 6, 7, 10], 8
        for index, bar in enumerate(self.song.bars):
            if bar.bar < 0 or index % 4 > 1:
                continue
            for beat in np.arange(0, bar.felt, 0.5):
                if self.rng.random() < 0.55:
                    at = int(np.clip(at + self.rng.choice([-2, -1, -1, 0, 1, 1, 2]), 0, 13))
                    key = 58 + (self.song.key - 58) % 12 + 12 * (at // 6) + scale[at % 6]
                    self.notes.append((bar.at + self.at(float(beat)) + 0.03, float(self.rng.choice([0.4, 0.45, 0.9])), LEAD, min(key, 92), int(self.rng.integers(84, 116))))

    def pushed(self):
        """All that stands on some first beats comes an eighth before."""
        lines = {bar.at for bar in self.song.bars[1:] if self.rng.random() < 0.4}
        by = 1 - self.at(0.5)
        self.notes = [(a - by, *rest) if a in lines and rest[1] != LEAD else (a, *rest) for a, *rest in self.notes]

    def stopped(self, bar, notes):
        return [n for n in notes if n[0] < bar.at + 0.05 or n[2] == LEAD]

    def perform(self):
        for index, (bar, after) in enumerate(zip(self.song.bars, self.song.bars[1:] + [None])):
            before, index = len(self.notes), bar.bar if bar.bar >= 0 else index
            self.drums_play(bar, index)
            if not self.without_bass:
                self.bass_play(bar, after, index)
            if not (self.sparse and bar.chorus == 1 and self.song.bars[-1].chorus > 1 and self.drums):
                self.comp_play(bar, after, index)
            if self.style.stops and bar.chorus % 2 == 0 and bar.bar in range(4):
                self.notes[before:] = self.stopped(bar, self.notes[before:])
        if self.pushes:
            self.pushed()
        if self.rng.random() < 0.4:
            self.sings()


# ---- how a song begins and ends ----

def begun(song: Song, ensemble: Ensemble, rng) -> None:
    """Some are counted in with sticks (the second of two bars in twice as many), or a drum leads in from beat three."""
    how = rng.choice(["plain", "plain", "plain", "sticks", "drum"])
    felt = song.bars[0].felt
    if how == "plain":
        return
    if how == "sticks":
        bars, hits = 2, [(b, 37, 104) for b in ([0, felt / 2] if felt % 2 == 0 else [0]) + [felt + i for i in range(felt)]]
    else:
        bars, hits = 1, [(felt - 1 + x, 38, 96) for x in (0, 0.5, 0.75)]
    moved = bars * felt
    ensemble.notes = [(a + moved, *r) for a, *r in ensemble.notes] + [(float(a), 0.1, DRUMS, key, v) for a, key, v in hits]
    for bar in song.bars:
        bar.at += moved
    song.bars[:0] = [Played(-1, 0, float(b * felt), felt, []) for b in range(bars)]


def ended(song: Song, ensemble: Ensemble, rng) -> bool:
    """Ends with a chord after the last whole chorus, if there is one; or it fades (true)."""
    starts = [i for i, bar in enumerate(song.bars) if bar.bar == 0 and i > 0]
    if not starts or rng.random() < 0.5 or song.bars[starts[-1]].at < 0.6 * song.bars[-1].at:
        return True
    end = song.bars[starts[-1]]
    ensemble.notes = [n for n in ensemble.notes if n[0] < end.at - 0.01]
    chord = end.chords[0] if end.chords else None
    if chord and chord[3]:
        ensemble.notes += [(end.at, 4.0, COMP, key, 96) for key in ensemble.voiced(chord[1], chord[3])]
        ensemble.notes += [(end.at, 4.0, BASS, 28 + (chord[2] - 28) % 12, 100)]
    ensemble.notes += [(end.at, 1.0, DRUMS, 49, 110), (end.at, 0.3, DRUMS, 36, 110)] if ensemble.drums else []
    del song.bars[starts[-1]:]
    return False


# ---- sound ----

def samples(rng) -> dict:
    """For each key one set of layers, drawn; no file of it is another generator's alone."""
    chosen = {}
    for key, options in KIT.items():
        folder, pattern = options[int(rng.integers(len(options)))].split("/")
        chosen[key] = sorted((sound.KITS / folder).glob(pattern + ".flac"))
    return chosen


def roomed(wav, rng):
    """A tail of noise that dies in .2 to .9 s, darker as it goes."""
    t = np.arange(int(rng.uniform(0.2, 0.9) * sound.RATE)) / sound.RATE
    tail = rng.normal(0, 1, len(t)) * np.exp(-6.9 * t / t[-1])
    tail = lfilter([0.35], [1, -0.65], tail)
    wet = fftconvolve(wav, tail / np.sqrt((tail ** 2).sum()))[:len(wav)]
    return wav + 10 ** (rng.uniform(-18, -7) / 20) * wet * (wav.std() / (wet.std() + 1e-9))


def limited(wav, rng):
    """Turned down where it is loud, over 5 to 80 ms."""
    level = np.sqrt(np.maximum(lfilter([1 - (pole := np.exp(-1 / (rng.uniform(0.005, 0.08) * sound.RATE)))], [1, -pole], wav ** 2), 1e-9))
    return wav / np.maximum(level, 0.3 * level.max() * rng.uniform(0.3, 1))


def damaged(wav, rng):
    kind = rng.choice(["clean", "clean", "limited", "room", "tape", "hum", "narrow", "codec"])
    if kind in ("room", "tape"):
        wav = roomed(wav, rng)
    if kind in ("limited", "tape"):
        wav = limited(wav, rng)
    if kind == "tape":
        wav = wav + rng.normal(0, wav.std() * 0.02, len(wav))
    if kind == "hum":
        t = np.arange(len(wav)) / sound.RATE
        wav = wav + wav.std() * 0.15 * sum(np.sin(2 * np.pi * 50 * n * t) / n for n in (1, 2, 3, 5))
    if kind == "narrow":
        wav = sosfilt(butter(2, [rng.uniform(90, 200), rng.uniform(3500, 7000)], "bandpass", fs=sound.RATE, output="sos"), wav)
    if kind == "codec":
        wav = sound.resample(np.round(sound.resample(wav / np.abs(wav).max(), 0.5) * 200) / 200, 2.0)
    return wav


def render(song, ensemble, length, fades, folder, rng) -> None:
    last = song.bars[-1].at + song.bars[-1].felt
    wander = hands(rng, int(last) + 60) * float(rng.choice([0.002, 0.006, 0.012])) + float(rng.choice([0, 0, 0.02, 0.04])) * (np.arange(int(last) + 60) / last - 0.5)
    inner = sound.tempo_map(song.bpm, last + 8, lambda t: 1 + float(np.interp(t * song.bpm / 60, np.arange(len(wander)), wander)))
    begin = float(rng.uniform(0.05, 1.5))
    seconds = lambda beat: inner(beat) + begin
    loose = float(rng.choice([0.003, 0.006, 0.01]))
    drift = {c: hands(rng, int(last) + 60) * loose for c in (BASS, COMP, LEAD, DRUMS)}
    sits = {BASS: rng.uniform(-0.008, 0.008), COMP: rng.uniform(-0.006, 0.014), LEAD: rng.uniform(0, 0.025), DRUMS: 0.0}
    notes = []
    for beat, long, channel, key, velocity in ensemble.notes:
        late = sits[channel] + drift[channel][max(0, int(beat))] + rng.normal(0, loose / 2)
        late += 0.008 if channel == DRUMS and key == 38 else 0
        notes.append((beat + late * song.bpm / 60, long, channel, key, velocity * rng.uniform(0.85, 1.08)))
    kit = samples(rng) if rng.random() < 0.55 else {}
    pitched = [n for n in notes if not (n[2] == DRUMS and n[3] in kit)]
    song.cents = float(rng.uniform(-45, 45)) if rng.random() < 0.6 else 0.0
    mixer = {(c, 7): int(rng.integers(60, 118)) for c in (BASS, COMP, LEAD, DRUMS)}
    wav = sound.band(pitched, ensemble.programs, mixer, seconds, "fluid" if rng.random() < 0.5 else "timgm", song.cents, bool(rng.random() < 0.5))
    if kit:
        hits = sound.drums(notes, kit, seconds, lambda _: 0.0, rng, length)[:len(wav)]
        wav[:len(hits)] += hits * (wav.std() / (hits.std() + 1e-9)) * 10 ** (rng.uniform(-9, 3) / 20)
    if not fades:
        length = seconds(last) + 3
    wav = np.pad(wav, (0, max(0, int(length * sound.RATE) - len(wav))))[:int(length * sound.RATE)]
    wav = damaged(wav, rng)
    if fades and rng.random() < 0.6:
        wav[-8 * sound.RATE:] *= np.linspace(1, 0, 8 * sound.RATE) ** 1.5
    wav = (wav / np.abs(wav).max() * rng.choice([0.9, 0.9, 0.5, 0.05])).astype(np.float32)
    rate = int(rng.choice([44100, 48000]))
    wav = sound.resample(wav, rate / sound.RATE) if rate != sound.RATE else wav
    truth_write(song, folder, seconds, wav, rate)


def case(number: int, build: Path, folder: Path) -> None:
    rng = np.random.default_rng([29, number])
    group = list(BOOK)[number % len(BOOK)]
    style = BOOK[group]
    name = str(rng.choice([c for c in style.charts.split() if c]))
    form = form_read(build, chart := CHARTS.get(name) or (PRESETS / f"{name}.chart").read_text(), int(rng.integers(12)))
    song = Song(f"k{number:03d}", group, chart, form["key"], round(float(rng.uniform(*style.tempi)), 2), note=name)
    length = 180.0 if number % 6 == 5 else float(rng.uniform(70, 90))
    beginning = rng.choice(["top", "top", "top", "vamp", "turnaround", "middle"])
    start = {"turnaround": max(0, len(form["bars"]) - 4), "middle": int(rng.integers(len(form["bars"])))}.get(beginning, 0)
    vamp = int(rng.choice([2, 4])) if beginning == "vamp" or "vamp" in group else 0
    song.bars = plan(form, vamp, start, (length + 3) * song.bpm / 60)
    ensemble = Ensemble(song, style, rng)
    ensemble.perform()
    begun(song, ensemble, rng)
    fades = ended(song, ensemble, rng)
    render(song, ensemble, length, fades, folder, rng)
