# SPDX-License-Identifier: ISC
"""Generator A's other half, for learning and tuning: no styles, but rhythms drawn by chance, so that what is learned does not
lean on the grooves of one book. Beats of a bar are likelier than what lies between; bass and comping may push, each by its own."""
from pathlib import Path

import numpy as np

import sound
from generator_a import CHARTS, MILLO, chart_text, lead, render, stops
from song import PRESETS, Played, Song, form_read, plan

GRIDS = {"eighths": (2, (58, 200)), "swung": (2, (66, 210)), "triplets": (3, (48, 200)), "sixteenths": (4, (56, 150)), "quarters": (2, (76, 220))}
EMPIRE, MILLO2 = sound.KITS / "ElectricEmpireKit", sound.KITS / "Millo_MultiLayered2"
KITS = [MILLO,
        {36: [EMPIRE / "EE_Kick_Old.flac"], 38: [EMPIRE / "EE_Snare_Low.flac"], 37: [EMPIRE / "EE_Click.flac"], 39: [EMPIRE / "EE_Clap.flac"],
         42: [EMPIRE / "EE_Hat_Cl_Bs.flac"], 46: [EMPIRE / "EE_Hat_Ring_2.flac"], 63: [EMPIRE / "EE_Conga_1.flac"], 64: [EMPIRE / "EE_Conga_2.flac"]},
        {36: [MILLO2 / f"bd_0{i}.flac" for i in (1, 2, 3)], 38: [MILLO2 / f"jsnare_0{i}.flac" for i in (1, 2, 3)], 37: [MILLO2 / "rim_01.flac"],
         42: [MILLO2 / f"hhclosed_0{i}.flac" for i in (2, 3, 4)], 46: [MILLO2 / "hhopen_02.flac"], 44: [MILLO2 / "hhpedal_02.flac"],
         51: [MILLO2 / f"ride_0{i}.flac" for i in (2, 3, 4)], 49: [MILLO2 / "crash_02.flac"]}]
COMPING = [0, 1, 2, 4, 5, 6, 7, 16, 17, 18, 21, 24, 25, 26, 27, 28, 29, 48, 61]
BASSES = [32, 33, 34, 35, 38, 39]


class Player:
    """Draws a band's habits once, then plays bar after bar."""

    def __init__(self, song: Song, grid: str, rng):
        self.song, self.rng, self.notes = song, rng, []
        self.steps = GRIDS[grid][0]
        self.off = float(rng.uniform(0.58, 0.7)) if grid == "swung" else 0.5
        self.felt = max(b.felt for b in song.bars)
        self.bars = int(rng.choice([1, 1, 2]))  # that a pattern is long
        self.quarters = grid == "quarters"
        self.push = {c: self.push_draw() for c in ("bass", "comp")}
        if rng.random() < 0.6:
            self.push["bass"] = self.push["comp"]
        self.walks = rng.random() < (0.35 if grid in ("swung", "triplets", "quarters") else 0.1)
        self.comp_mode = str(rng.choice(["hits", "hits", "hits", "held", "arpeggio", "beats", "offbeats"]))
        self.programs = {0: int(rng.choice(BASSES)), 1: int(rng.choice(COMPING)), 9: int(rng.choice([0, 0, 8, 16, 25, 40]))}
        self.has_bass, self.has_comp = rng.random() < 0.93, rng.random() < 0.95
        self.shape = rng.integers(0, 12)
        self.drum = self.drums_draw() if rng.random() < 0.85 else {}
        self.bass, self.comp = self.bass_draw(), self.hits_draw(float(rng.uniform(0.15, 0.6)), float(rng.uniform(0.1, 0.6)))

    def push_draw(self) -> float:
        """Beats ahead of a change at which its chord comes."""
        if self.rng.random() < 0.62:
            return 0.0
        return float(self.rng.choice([1 - self.off if self.steps == 2 else 1 / self.steps, 0.5 if self.steps != 3 else 1 / 3]))

    def every(self):
        return [(b, s) for b in range(self.felt * self.bars) for s in range(self.steps)]

    def hits_draw(self, on: float, between: float) -> set:
        """Steps at which something sounds; the beat is likelier than the half, and that than the rest."""
        half = self.steps // 2 if self.steps != 3 else 2
        chance = lambda s: on if s == 0 else between if s == half else between * 0.5
        return {(b, s) for b, s in self.every() if self.rng.random() < chance(s)}

    def kick_draw(self) -> set:
        kind = self.rng.choice(["one", "one and three", "every beat", "free", "free", "three and a bit"])
        mid = self.felt // 2 if self.felt == 4 else 0
        hits = {(b, 0) for b in range(self.felt * self.bars) if b % self.felt == 0 or kind == "every beat" or kind == "one and three" and b % self.felt == mid}
        if kind == "free":
            hits |= self.hits_draw(float(self.rng.uniform(0, 0.4)), float(self.rng.uniform(0.1, 0.45)))
        elif kind == "three and a bit":  # three against the bar: 3 + 3 + 2 of its eighth or sixteenth steps
            unit = 2 if self.steps == 4 and self.rng.random() < 0.5 else 1
            for start in range(0, self.felt * self.bars * self.steps, 8 * unit):
                hits |= {divmod(start + n * unit, self.steps) for n in (0, 3, 6)}
        elif self.rng.random() < 0.5:
            hits |= self.hits_draw(0.05, float(self.rng.uniform(0.05, 0.3)))
        return {h for h in hits if h[0] < self.felt * self.bars}

    def snare_draw(self) -> dict:
        kind = self.rng.choice(["back beat", "back beat", "back beat", "half", "rim", "roll", "none"])
        span = self.felt * self.bars
        if kind in ("back beat", "roll"):
            hits = {(b, 0): 100 for b in range(span) if (b % self.felt) % 2 == 1 or self.felt == 3 and b % 3 == 2}
        elif kind == "half":
            hits = {(b, 0): 100 for b in range(span) if b % self.felt == self.felt // 2}
        elif kind == "rim":
            return {h: 90 for h in self.hits_draw(0.35, 0.45)}
        else:
            hits = {}
        if kind == "roll" or self.rng.random() < 0.3:
            hits |= {h: int(self.rng.integers(35, 80)) for h in self.hits_draw(0.2, float(self.rng.uniform(0.2, 0.7))) if h not in hits}
        return hits

    def time_draw(self) -> dict:
        """What keeps the time: hats, ride or shaker."""
        kind = self.rng.choice(["all", "all", "beats", "off", "swing", "sparse"])
        hits = {}
        for b, s in self.every():
            half = s == (self.steps // 2 if self.steps != 3 else 2)
            if kind == "all" or kind == "beats" and s == 0 or kind == "off" and half or kind == "swing" and (s == 0 or half and b % 2 == 1):
                hits[b, s] = 100 if s == 0 else 85 if half else 60
            elif kind == "sparse" and self.rng.random() < 0.4:
                hits[b, s] = 80
        accent = self.rng.choice(["on", "off", "even"])
        return {h: v if accent == "on" else 80 if accent == "even" else 185 - v for h, v in hits.items()}

    def drums_draw(self) -> dict:
        out = {(36, "kick"): {h: 100 for h in self.kick_draw()}, (int(self.rng.choice([38, 38, 40, 37, 39])), "snare"): self.snare_draw(),
               (int(self.rng.choice([42, 42, 51, 46, 70, 54, 82])), "time"): self.time_draw()}
        if self.rng.random() < 0.35:
            key = int(self.rng.choice([44, 56, 63, 64, 62, 75, 54]))
            out[key, "more"] = {h: 75 for h in self.hits_draw(float(self.rng.uniform(0, 0.5)), float(self.rng.uniform(0, 0.5)))}
        if self.rng.random() < 0.12:
            del out[36, "kick"]
        return out

    def bass_draw(self) -> set:
        kind = self.rng.choice(["beats", "two", "free", "free", "eighths", "as kick"])
        span = self.felt * self.bars
        if kind == "beats" or self.walks:
            return {(b, 0) for b in range(span)}
        if kind == "two":
            return {(b, 0) for b in range(span) if b % self.felt in (0, self.felt // 2 if self.felt == 4 else 0)}
        if kind == "eighths":
            return {(b, s) for b, s in self.every() if s == 0 or s == (self.steps // 2 if self.steps != 3 else 2)}
        if kind == "as kick" and (36, "kick") in self.drum:
            return set(self.drum[36, "kick"]) | {(0, 0)}
        hits = self.hits_draw(float(self.rng.uniform(0.2, 0.7)), float(self.rng.uniform(0.15, 0.6)))
        return hits | {(b, 0) for b in range(0, span, self.felt) if self.rng.random() < 0.75}

    # ---- playing ----

    def step_at(self, beat: int, step: int) -> float:
        return beat + (self.off if self.steps == 2 and step else step / self.steps)

    def chord(self, bar, ahead, at: float, push: float):
        """Root, bass, tones of what sounds at a beat of the bar, a change taken `push` earlier."""
        seen = at + push + 1e-6
        if seen >= bar.felt and ahead is not None and ahead.chords and push > 0:
            return ahead.chords[0][1:] if ahead.chords[0][0] == 0 else None
        found = [c for c in bar.chords if c[0] <= seen]
        return found[-1][1:] if found else None

    def part(self, index: int) -> int:
        return index % self.bars * self.felt

    def drum_bar(self, bar, index):
        shift = self.part(index)
        for (key, _), hits in self.drum.items():
            for (b, s), velocity in hits.items():
                if shift <= b < shift + bar.felt and self.rng.random() < 0.98:
                    self.notes.append((bar.at + self.step_at(b - shift, s), 0.2, 9, key, velocity * self.rng.uniform(0.85, 1.1)))
        if self.drum and self.rng.random() < 0.1:  # a fill
            for s in range(self.steps * min(2, bar.felt)):
                b, q = divmod(s, self.steps)
                if self.rng.random() < 0.7:
                    self.notes.append((bar.at + bar.felt - min(2, bar.felt) + self.step_at(b, q), 0.2, 9, int(self.rng.choice([38, 41, 45, 47, 50])), 95))
        if self.drum and self.rng.random() < (0.6 if bar.bar == 0 else 0.06):
            self.notes.append((bar.at, 1, 9, 49, 100))

    def bass_bar(self, bar, ahead, index):
        low = lambda c: 28 + (int(c) - 28) % 12
        shift = self.part(index)
        hits = sorted(h for h in self.bass if shift <= h[0] < shift + bar.felt)
        for n, (b, s) in enumerate(hits):
            at = self.step_at(b - shift, s)
            found = self.chord(bar, ahead, at, self.push["bass"])
            if not found or not found[2]:
                continue
            root, foot, tones = found
            inside = [t % 12 for t in tones if t % 12] or [7]
            fresh = n == 0 or any(abs(c[0] - at - self.push["bass"]) < 1e-3 for c in bar.chords) or at + self.push["bass"] >= bar.felt
            key = low(foot) if fresh or self.rng.random() < 0.45 else low(root + int(self.rng.choice(inside + [7, 9 if 4 in inside else 10])))
            if self.walks and n == len(hits) - 1 and ahead is not None and ahead.chords and self.rng.random() < 0.5:
                key = low(ahead.chords[0][2]) + int(self.rng.choice([-2, -1, 1, 2]))
            length = (self.step_at(*hits[n + 1]) - shift if n + 1 < len(hits) else bar.felt) - at
            self.notes.append((bar.at + at, max(0.15, length * 0.9), 0, key, 96 if s == 0 else 86))

    def voicing(self, root, tones):
        classes = sorted({(root + t) % 12 for t in tones})
        if len(classes) > 3 and self.shape % 3 == 0:
            classes.remove(root % 12)
        base = 50 + int(self.shape)
        return sorted(base + (c - base) % 12 for c in classes)

    def comp_steps(self, bar, index):
        half = self.steps // 2 if self.steps != 3 else 2
        shift = self.part(index)
        if self.comp_mode == "hits":
            return sorted((b - shift, s) for b, s in self.comp if shift <= b < shift + bar.felt)
        if self.comp_mode == "beats":
            return [(b, 0) for b in range(bar.felt)]
        if self.comp_mode == "offbeats":
            return [(b, half) for b in range(bar.felt)]
        if self.comp_mode == "held":
            return sorted({(int(c[0]), 0) for c in bar.chords} | {(0, 0)})
        return [(b, s) for b in range(bar.felt) for s in range(self.steps) if self.steps < 4 or s % 2 == 0]

    def comp_bar(self, bar, ahead, index):
        held = self.comp_mode == "held" or self.rng.random() < 0.1
        for n, (b, s) in enumerate(self.comp_steps(bar, index)):
            at = self.step_at(b, s)
            push = self.push["comp"]
            if self.comp_mode == "held" and push and bar.at + at >= push:
                at -= push  # the whole chord comes early
            found = self.chord(bar, ahead, at, push)
            if not found or not found[2]:
                continue
            keys = self.voicing(found[0], found[2])
            if self.comp_mode == "arpeggio":
                keys = [keys[n % len(keys)]]
            for key in keys:
                self.notes.append((bar.at + at, 1.8 if held else float(self.rng.choice([0.2, 0.4, 0.8])), 1, key, 84 * self.rng.uniform(0.85, 1.1)))

    def perform(self):
        for index, (bar, ahead) in enumerate(zip(self.song.bars, self.song.bars[1:] + [None])):
            self.drum_bar(bar, index)
            if self.has_bass:
                self.bass_bar(bar, ahead, index)
            if self.has_comp:
                self.comp_bar(bar, ahead, index)


def case(number: int, build: Path, folder: Path) -> None:
    rng = np.random.default_rng([5, number])
    names = sorted(p.stem for p in PRESETS.glob("*.chart")) + sorted(CHARTS)
    chart = chart_text(build, str(rng.choice(names)))
    form = form_read(build, chart, int(rng.integers(12)))
    compound = form["bars"][0]["unit"] == 8
    grid = "triplets" if compound else str(rng.choice(list(GRIDS)))
    low, high = (46, 84) if compound else GRIDS[grid][1]
    song = Song(f"a{number:03d}", f"drawn {grid}", chart, form["key"], round(float(np.exp(rng.uniform(np.log(low), np.log(high)))), 2))
    length = float(rng.uniform(45, 70))
    start = int(rng.integers(1, len(form["bars"]))) if rng.random() < 0.25 else 0
    beats = (length + 4) * song.bpm / 60
    song.bars = plan(form, int(rng.choice([0, 0, 1, 2, 4])), start, beats)
    player = Player(song, grid, rng)
    player.perform()
    notes = player.notes
    if rng.random() < 0.35:
        notes = notes + lead(song, rng, player.programs)
    if rng.random() < 0.12:
        notes = stops(song, notes, rng)
    song.note = f"push {player.push['bass']:.2f} {player.push['comp']:.2f}"
    count_in = player.felt if rng.random() < 0.2 else 0
    notes = [(a + count_in, *n) for a, *n in notes] + [(float(b), 0.2, 9, 37, 100) for b in range(count_in)]
    for b in song.bars:
        b.at += count_in
    song.bars = [Played(-1, 0, 0.0, count_in, [])] * bool(count_in) + song.bars
    kit = KITS[number % len(KITS)]
    gain = {c: rng.uniform(0.6, 1.15) for c in range(16)}
    notes = [(a, b, c, k, v * gain[c]) for a, b, c, k, v in notes if a >= 0]
    render(song, notes, player.programs, {}, beats + count_in, length, folder, rng, kit)
