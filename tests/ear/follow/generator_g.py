# SPDX-License-Identifier: ISC
"""Generator G, for learning: every family of grooves (a file of any of mma's libraries) once or twice, half a minute each, under all
charts. Families that are drums only play with a bass and comping drawn by chance. A third of the families is kept apart, by a sum
over their name: `is_kept`; generator D plays them."""
import re
import zlib
from functools import cache
from pathlib import Path

import numpy as np

import generator_p
from generator_a import CHARTS, chart_text, lead, mma_notes, mma_text, render, revoice, squeeze
from song import PRESETS, Played, Song, form_read, plan

LIBRARY = Path("/usr/share/mma/lib")
DRUMS_ONLY = "zoom"
LEFT_OUT = {"none", "metronome", "metronome3", "metronome6", "metronome68", "count", "ending", "intro", "jazz-54", "afro-cuban", "68march", "blues34",
            "vienesewaltz", "jazz04", "ambient", "mide", "dnb", "ambient1", "ambient2", "ambient3"}  # no beat, or one of another length than the chart's
SPARE = re.compile(r"Intro|End|Fill|INTRO|F[AB]$|F[AB][AB]$")


@cache
def families() -> list[tuple[str, str, int, tuple]]:
    """(library, family, quarters in a bar, its grooves)."""
    out = []
    for path in sorted(LIBRARY.glob("*/*.mma")):
        text = path.read_text(errors="replace")
        names = tuple(n for n in re.findall(r"(?im)^\s*defgroove\s+(\S+)", text) if not SPARE.search(n))
        quarters = int((re.findall(r"(?im)^\s*time\s+(\d+)", text) or [4])[0])
        if names and path.stem not in LEFT_OUT and quarters in (3, 4, 6):
            out.append((path.parent.name, path.stem, quarters, names))
    return out


def is_kept(family: tuple) -> bool:
    return zlib.crc32(f"{family[0]}/{family[1]}".encode()) % 3 == 0


def fitting_chart(build: Path, quarters: int, rng) -> tuple[str, dict]:
    """A chart whose bars have as many felt beats; 12/8 is 4/4 to mma."""
    names = sorted(p.stem for p in PRESETS.glob("*.chart")) + sorted(CHARTS)
    for name in rng.permutation(names):
        chart = chart_text(build, str(name))
        form = form_read(build, chart, int(rng.integers(12)))
        bar = form["bars"][0]
        if {3: (3, 4), 4: (4, 4), 6: (6, 8)}[quarters] == (bar["beats"], bar["unit"]) or quarters == 4 and (bar["beats"], bar["unit"]) == (12, 8) and rng.random() < 0.3:
            return chart, form
    raise ValueError(f"no chart with {quarters} quarters")


def off_beats(notes) -> tuple[float, float]:
    """The shares of notes on odd sixteenths and on inner triplets."""
    within = np.array([n[0] % 1 for n in notes])
    near = lambda *at: np.mean([np.abs(within - a) < 0.04 for a in at], axis=1).sum()
    return near(0.25, 0.75), near(1 / 3, 2 / 3)


def tempi(notes) -> tuple[float, float]:
    sixteenths, triplets = off_beats(notes)
    return (62, 132) if sixteenths > 0.08 else (60, 190) if triplets > 0.05 else (76, 200)


def groove_notes(song: Song, family: tuple, seed: int, rng):
    library, stem, quarters, names = family
    each = 3 if quarters == 6 else 1
    text = mma_text(song, f"{library}/{stem}:{rng.choice(names)}", each, seed)
    notes, programs, controls = mma_notes(text)
    full = max(b.felt for b in song.bars)
    notes = squeeze([(a / each, b / each, c, k, v) for a, b, c, k, v in notes], song, full)
    return notes, programs, controls


def drums_only_notes(song: Song, notes, rng):
    """The groove's drums, with bass and comping drawn on a grid that fits them."""
    sixteenths, triplets = off_beats(notes or [(0,)])
    grid = "triplets" if triplets > 0.1 else "sixteenths" if sixteenths > 0.08 and rng.random() < 0.6 else "eighths"
    player = generator_p.Player(song, grid, rng)
    player.drum = {}
    player.perform()
    programs = dict(player.programs)
    programs[9] = int(rng.choice([0, 8, 16, 25, 40]))
    return [n for n in notes if n[2] == 9] + player.notes, programs


def case_of(name: str, family: tuple, length: float, seed: list, build: Path, folder: Path, kits=generator_p.KITS) -> None:
    rng = np.random.default_rng(seed)
    library, stem, quarters, _ = family
    chart, form = fitting_chart(build, quarters, rng)
    song = Song(name, f"{library} {stem}", chart, form["key"], 100.0, note=stem)
    start = int(rng.integers(len(form["bars"])))
    song.bars = plan(form, int(rng.choice([0, 0, 0, 1, 2])), start if rng.random() < 0.7 else 0, (length + 4) * 3.5)
    notes, programs, controls = groove_notes(song, family, seed[-1] + 1, rng)
    low, high = (48, 84) if form["bars"][0]["unit"] == 8 else tempi(notes)
    song.bpm = round(float(np.exp(rng.uniform(np.log(low), np.log(high)))), 2)
    beats = (length + 4) * song.bpm / 60
    song.bars = [b for b in song.bars if b.at < beats]
    if library == DRUMS_ONLY:
        notes, programs = drums_only_notes(song, notes, rng)
        controls = {}
    elif rng.random() < 0.5:
        notes = revoice(str(rng.choice(["", "", "", "organ trio", "guitar trio"])), notes, programs, rng)
    if rng.random() < 0.3:
        notes = notes + lead(song, rng, programs)
    notes = [n for n in notes if n[0] < beats]
    render(song, notes, programs, controls, beats, length, folder, rng, kits[int(rng.integers(len(kits)))])


def case(number: int, build: Path, folder: Path) -> None:
    learned = [f for f in families() if not is_kept(f)]
    turn, index = divmod(number, len(learned))
    case_of(f"g{number:03d}", learned[index * 37 % len(learned)], 30.0, [11, turn, number], build, folder)


def count() -> int:
    return 2 * sum(not is_kept(f) for f in families())
