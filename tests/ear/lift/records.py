# SPDX-License-Identifier: ISC
"""Clips and what is true of them: those of generator.py, and anybody's own: NAME.wav (or flac, ogg) and NAME.txt, a label track as
Audacity exports it, a line for each note: second it begins, second it ends, its name (Bb4, F#5; C4 is MIDI 60) or MIDI number; and lines
that say what is known, as far as it is: # tempo 116.3, # at 0.42, # feel swung, # key Bb, # chart ferry.chart, # horn tenor."""
import json
import re
from dataclasses import dataclass, field
from pathlib import Path

from generator import LEVELS, group_of

KEYS = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
CLASSES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
KNOWN = {"tempo": float, "at": float, "feel": str, "key": str, "chart": str, "horn": str}
NAME = re.compile(r"([A-Ga-g])([b#]?)(-?\d)")


class LabelError(ValueError):
    pass


@dataclass
class Clip:
    path: Path
    notes: list                # [on, off, MIDI number, twelfth or None]
    known: dict                # what reedlamp-listen may be told
    groups: dict = field(default_factory=dict)  # name of a group: what of it this clip is
    truth: dict = field(default_factory=dict)   # the generator's own


def midi_of(word: str) -> int:
    if word.isdigit() and int(word) < 128:
        return int(word)
    said = NAME.fullmatch(word)
    if not said:
        raise LabelError(f"{word!r} is neither a note (Bb4) nor a MIDI number")
    return CLASSES[said[1].upper()] + {"b": -1, "": 0, "#": 1}[said[2]] + 12 * (int(said[3]) + 1)


def labels_read(path: Path):
    """Notes in order of time, and what is known."""
    notes, known = [], {}
    for number, row in enumerate(path.read_text().splitlines(), 1):
        words = row.split()
        try:
            if words[:1] == ["#"]:
                known[words[1]] = KNOWN[words[1]](" ".join(words[2:]))
            elif words:
                on, off = float(words[0]), float(words[1])
                if not 0 <= on < off:
                    raise LabelError("it ends before it begins")
                notes.append([on, off, midi_of(words[2]), None])
        except (IndexError, KeyError, ValueError) as wrong:
            raise LabelError(f"{path}, line {number}: {wrong}; write START END NOTE, or # tempo 116 (of {', '.join(KNOWN)})") from wrong
    if not notes:
        raise LabelError(f"{path}: no note in it")
    return sorted(notes), known


def own(folder: Path) -> list[Clip]:
    clips = []
    for labels in sorted(folder.glob("*.txt")):
        sound = next((p for end in (".wav", ".flac", ".ogg") if (p := labels.with_suffix(end)).exists()), None)
        if not sound:
            raise LabelError(f"{labels}: no {labels.stem}.wav, .flac or .ogg beside it")
        notes, known = labels_read(labels)
        if "chart" in known:
            known["chart"] = str(folder / known["chart"])
        clips.append(Clip(sound, notes, known, {"level": "own", "horn": known.pop("horn", "?"), "clip": labels.stem}))
    return clips


def rendered(folder: Path, group: str) -> list[Clip]:
    clips = []
    for file in sorted(folder.glob("[0-9]*.json")):
        if group_of(int(file.stem)) != group:
            continue
        truth = json.loads(file.read_text())
        chart = file.with_suffix(".chart")
        key = KEYS[truth["key"]]
        chart.write_text(f"key: {key}\n\n{truth['chart']}\n")
        known = {"chart": str(chart), "key": key, "tempo": truth["tempo"], "at": truth["at"], "feel": "straight" if truth["straight"] else "swung"}
        for level in LEVELS:
            groups = {"level": level, "place": truth["place"], "condition": truth.get("condition", "plain"), "band": truth.get("style", -1),
                      "horn": truth["program"]}
            clips.append(Clip(folder / f"{file.stem}_{level}.wav", truth["notes"], known, groups, truth))
    return clips


def clips_of(folder: Path, group: str) -> list[Clip]:
    return own(folder) if group == "own" else rendered(folder, group)
