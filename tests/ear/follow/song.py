# SPDX-License-Identifier: ISC
"""A song as both generators plan it: which bars of the form sound, when, and the truth about it."""
import json
import subprocess
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

import sound

PRESETS = Path(__file__).resolve().parents[3] / "presets"


@dataclass
class Played:
    """A bar that sounds: of the form (from 0), or -1 before the form begins."""
    bar: int
    chorus: int
    at: float      # felt beats from the beginning
    felt: int      # its felt beats
    chords: list   # (felt beat, root, bass, tones)


@dataclass
class Song:
    name: str
    group: str
    chart: str          # text
    key: int            # pitch class of the tonic it is played in
    bpm: float          # felt
    kind: str = "song"  # other: a song of another form than the chart; nothing: no song
    cents: float = 0.0
    cut: float = 0.0    # seconds left out at the beginning
    note: str = ""
    bars: list = field(default_factory=list)


def felt_of(bar: dict) -> int:
    return bar["beats"] // 3 if bar["unit"] == 8 and bar["beats"] in (6, 9, 12) else bar["beats"]


def form_read(build: Path, chart: str, key: int | None = None) -> dict:
    path = Path("/tmp") / f"form-{abs(hash((chart, key)))}.chart"
    path.write_text(chart)
    command = [str(build / "form_dump"), str(path)] + ([str(key)] if key is not None else [])
    out = subprocess.run(command, check=True, capture_output=True, text=True).stdout
    path.unlink()
    return json.loads(out)


def chords_of(bar: dict) -> list:
    each = bar["beats"] / felt_of(bar)
    return [(c["beat"] / each, c["root"], c["bass"], c["tones"]) for c in bar["chords"]]


def plan(form: dict, intro: int, start: int, beats: float, intro_chords=None) -> list[Played]:
    """`intro` bars on the first chord (or the chart's lead-in bars), then the form from bar `start` on."""
    out, at, bars = [], 0.0, form["bars"]
    lead = form["lead"] if intro_chords == "lead" else [1] * intro
    for number in lead:
        bar = bars[(number or 1) - 1]
        out.append(Played(number - 1 if intro_chords == "lead" else -1, 0, at, felt_of(bar), chords_of(bar) if number else []))
        at += felt_of(bar)
    index, chorus = start, 1
    while at < beats:
        bar = bars[index]
        out.append(Played(index, chorus, at, felt_of(bar), chords_of(bar)))
        at += felt_of(bar)
        index += 1
        if index == len(bars):
            index, chorus = 0, chorus + 1
    return out


def truth_write(song: Song, folder: Path, seconds, wav: np.ndarray, rate: int, stretch: float = 1.0) -> None:
    """`stretch`: how much longer the sound became after `seconds` was right (tape speed)."""
    beats = []
    for bar in song.bars:
        for b in range(bar.felt):
            t = seconds(bar.at + b) * stretch - song.cut
            if 0 <= t < len(wav) / rate:
                beats.append([round(t, 4), bar.chorus, bar.bar + 1, b + 1])
    sound.sound_write(folder / f"{song.name}.wav", wav, rate)
    (folder / f"{song.name}.chart").write_text(song.chart)
    (folder / f"{song.name}.json").write_text(json.dumps(
        {"name": song.name, "group": song.group, "kind": song.kind, "key": song.key, "bpm": song.bpm, "cents": round(song.cents, 2),
         "rate": rate, "seconds": round(len(wav) / rate, 3), "note": song.note, "beats": beats}))
