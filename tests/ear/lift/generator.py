# SPDX-License-Identifier: ISC
"""Makes a phrase on a record: generator.py FOLDER FIRST LAST writes NUMBER_LEVEL.wav and NUMBER.json with the truth. The rule is in
README.md."""
import json
import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from scipy.signal import fftconvolve

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE.parent / "hear"), str(HERE.parent / "follow")]
import falls  # noqa: E402
import kept  # noqa: E402
import scene  # noqa: E402
import second  # noqa: E402
import voices  # noqa: E402
from sound import RATE, fluidsynth  # noqa: E402

LEVELS = {"solo": None, "+6": 6.0, "+3": 3.0, "0": 0.0, "-6": -6.0}
PLACES = ("mono", "centre", "side")
HORNS = (56, 56, 65, 65, 66, 66, 64, 67, 57, 71, 59)  # General MIDI from 0: trumpet, saxophones, trombone, clarinet, muted trumpet
LOWEST = {56: 54, 59: 54, 57: 46, 64: 57, 65: 49, 66: 45, 67: 44, 71: 50}
BLUES, MIXOLYDIAN = (0, 3, 5, 6, 7, 10), (0, 2, 4, 5, 7, 9, 10)
FORMS = {"I7 | IV7 | I7 | I7 | IV7 | IV7 | I7 | I7 | V7 | IV7 | I7 | V7": (0, 5, 0, 0, 5, 5, 0, 0, 7, 5, 0, 7),
         "I7 | I7 | I7 | I7 | IV7 | IV7 | I7 | VI7 | II7 | V7 | I7 | V7": (0, 0, 0, 0, 5, 5, 0, 9, 2, 7, 0, 7),
         "I7 | V7 | IV7 | IV7 | I7 | V7 | I7 | V7": (0, 7, 5, 5, 0, 7, 0, 7)}


def group_of(number: int) -> str:
    if number in falls.CASES or number in falls.KEPT:
        return "fallskept" if number in falls.KEPT else "falls"
    return "kept" if number in kept.CASES else "second" if number in second.CASES else "seen" if number % 3 == 2 else "develop"


@dataclass
class Note:
    twelfth: int  # from bar 1 of the form
    length: int   # in twelfths
    midi: int
    on: float = 0.0
    off: float = 0.0
    slur: bool = False
    scoop: tuple[float, float] = (0.0, 0.0)  # cents that it begins below itself, seconds that it takes to rise
    fall: tuple[float, float] = (0.0, 0.0)   # cents that it ends below itself, seconds that it takes to fall


# ---- the line ----

def cells(rng, straight: bool, tempo: float):
    """Rhythms of a beat or two, in twelfths: minus is a rest."""
    half = (6, 6) if straight else (8, 4)
    some = [half, half, half, (12,), (-12,), (-half[0], half[1]), (4, 4, 4), (24,), (half[0], half[1] + 12)]
    if tempo < 130 and straight:
        some += [(3, 3, 3, 3), (6, 3, 3)]
    weight = rng.uniform(0.2, 2, len(some))
    return some, weight / weight.sum()


def line(rng, key: int, roots, straight: bool, tempo: float, lowest: int):
    some, weight = cells(rng, straight, tempo)
    bar = int(rng.integers(len(roots)))
    at = 48 * bar + 12 * int(rng.integers(4))
    midi, up, count = lowest + int(rng.integers(8, 20)), bool(rng.random() < 0.5), int(rng.integers(8, 21))
    notes = []
    while len(notes) < count and at < 48 * bar + 48 * 6:
        for step in some[rng.choice(len(some), p=weight)]:
            if step > 0:
                root = key + roots[at // 48 % len(roots)]
                pool = {(root + i) % 12 for i in MIXOLYDIAN} | {(key + i) % 12 for i in BLUES}
                if rng.random() < 0.85 or not notes:
                    up = up if rng.random() < 0.7 else not up
                    up = True if midi < lowest + 4 else False if midi > lowest + 26 else up
                    away = int(rng.choice([1, 2, 3, 4, 5, 7], p=[0.2, 0.32, 0.22, 0.12, 0.09, 0.05]))
                    midi += away if up else -away
                    while midi % 12 not in pool and rng.random() < 0.95:
                        midi += 1 if up else -1
                notes.append(Note(at, step, midi))
            at += abs(step)
    return notes[:count]


def perform(rng, notes, beat: float, swing: float, straight: bool):
    """When each note sounds: behind the beat, human, slurred or apart."""
    behind, stray, joined = rng.uniform(-0.008, 0.03), rng.uniform(0.003, 0.014), rng.uniform(0, 0.8)
    thirds = {n.twelfth // 12 for n in notes if n.twelfth % 12 == 4}
    last = -1.0
    for n in notes:
        part = n.twelfth % 12 / 12
        if n.twelfth % 12 == 8 and not straight and n.twelfth // 12 not in thirds:
            part = swing
        n.on = max(last + 0.05, (n.twelfth // 12 + part) * beat + behind + rng.normal(0, stray))
        last = n.on
    for a, b in zip(notes, notes[1:] + [None]):
        wanted = a.length / 12 * beat * rng.uniform(0.45, 1.0)
        a.off = a.on + max(0.06, wanted)
        if b and b.twelfth == a.twelfth + a.length and b.midi != a.midi and rng.random() < joined:
            a.off, b.slur = b.on, True
        elif b:
            a.off = min(a.off, b.on - 0.008)


# ---- the horn ----

def curve(rng, note: Note, before, n: int) -> np.ndarray:
    t = np.arange(n) / RATE
    cents = np.full(n, rng.normal(0, 6)) + np.interp(t, np.linspace(0, note.off - note.on + 0.01, 4), rng.normal(0, 4, 4))
    if note.slur and before is not None:
        cents += 100 * (before.midi - note.midi) * np.clip(1 - t / rng.uniform(0.01, 0.03), 0, 1)
    elif rng.random() < 0.15:
        note.scoop = rng.uniform(40, 220), rng.uniform(0.04, 0.12)
        cents -= note.scoop[0] * np.clip(1 - t / note.scoop[1], 0, 1)
    if note.fall[0]:
        cents -= note.fall[0] * np.clip((t - (note.off - note.on - note.fall[1])) / note.fall[1], 0, 1.2) ** 1.3
    if note.off - note.on > 0.3:
        cents += rng.choice([0, 0, 15, 35]) * np.sin(2 * np.pi * rng.uniform(4.5, 6.5) * t) * np.clip((t - 0.15) / 0.2, 0, 1)
    return cents


def horn(rng, notes, voice, cents: float, seconds: float) -> np.ndarray:
    out, before = np.zeros(int(seconds * RATE), np.float32), None
    loud = 0.0
    for note in notes:
        n = int((note.off - note.on + 0.03) * RATE)
        tone = voice.tone(note.midi, curve(rng, note, before, n) + cents, rng)
        t, length = np.arange(len(tone)) / RATE, note.off - note.on
        attack = 0.012 if note.slur else rng.uniform(0.005, 0.03)
        loud = 0.6 * loud + rng.normal(0, 1.5)
        shape = np.clip(t / attack, 0, 1) * np.clip((length + 0.03 - t) / 0.03, 0, 1) * 10 ** (loud / 20)
        if note.fall[0]:
            shape *= 1 - 0.7 * np.clip((t - (length - note.fall[1])) / note.fall[1], 0, 1)
        at = int(note.on * RATE)
        early = max(0, -at)  # a player may begin before the clip does
        out[at + early:at + n] += (tone * shape)[early:max(0, len(out) - at)]
        before = note
    return out


# ---- the band ----

def band(rng, roots, key: int, beat: float, swing: float, bars: int, font: str, cents: float, style: int):
    """Bass, chords and drums over the form, as events for FluidSynth."""
    bend = round(8192 + cents / 200 * 8192)
    programs = {0: int(rng.choice([32, 33, 34])), 1: int(rng.choice([0, 4, 16, 17, 25, 26, 27]))}
    events = [(0.0, bytes([0xC0 | c, p])) for c, p in programs.items()]
    events += [(0.002, bytes([0xE0 | c, bend & 127, bend >> 7])) for c in programs]
    def add(at, channel, midi, length, velocity):
        at = max(0.004, at + rng.normal(0, 0.006))
        events.append((at, bytes([0x90 | channel, midi, int(np.clip(velocity + rng.normal(0, 8), 20, 125))])))
        events.append((at + max(0.05, length), bytes([0x80 | channel, midi, 0])))
    for bar in range(bars):
        root = 33 + (key + roots[bar % len(roots)] - 9) % 12
        for b in range(4):
            at = (4 * bar + b) * beat
            walk = root + [0, 4, 7, 9][b] if style == 0 else root + [0, 0, 7, 10][b]
            add(at, 0, walk, beat * 0.9, 88)
            if style == 1:
                add(at + swing * beat, 0, root, beat * 0.3, 75)
            if (rng.random() < 0.5) if style != 2 else b in (1, 3):
                late = swing * beat if rng.random() < 0.4 else 0
                for i in (4, 10, 14):
                    add(at + late, 1, root + 12 + i, beat * rng.uniform(0.2, 1.5), 66)
            add(at, 9, 51 if style == 0 else 42, 0.1, 80)
            add(at + swing * beat, 9, 51 if style == 0 else 42, 0.1, 55)
            add(at, 9, 38 if b % 2 else 36, 0.1, 95)
    return fluidsynth(events, font, reverb=False)


# ---- the record ----

def pan(x, angle: float):
    return np.stack([x * np.cos(angle), x * np.sin(angle)], 1) * np.sqrt(2)


def stereo_write(path: Path, sound: np.ndarray, rate: int) -> None:
    import wave
    with wave.open(str(path), "wb") as file:
        file.setparams((sound.shape[1], 2, rate, 0, "NONE", ""))
        file.writeframes((np.clip(sound, -1, 1) * 32767).astype("<i2").tobytes())


def harmed(rng, mix: np.ndarray, condition: str, cents: float, room) -> np.ndarray:
    if condition == "tape":
        return kept.tape(mix, cents)
    if condition == "room":
        return room(rng, mix)
    return mix if condition == "plain" else kept.loss(mix, stereo_write, condition)


def case(number: int, folder: Path) -> None:
    """All levels of one phrase in one place of the stereo picture."""
    rng, group = np.random.default_rng(70000 + number), group_of(number)
    font, room = ("timgm", scene.room_mirrors) if group in ("seen", "kept", "fallskept") else ("fluid", scene.room_tail)
    own = second if group == "second" else kept  # the bands and conditions of those that have their own
    condition = own.condition_of(number)
    tempo, straight = float(rng.uniform(66, 200)), bool(rng.random() < 0.35)
    swing, key, program = 0.5 if straight else float(rng.uniform(0.55, 0.7)), int(rng.integers(12)), int(rng.choice(HORNS))
    words = list(FORMS)[rng.integers(len(FORMS))]
    tuned = second.TUNED if group == "second" else 40.0
    roots, beat, cents = FORMS[words], 60 / tempo, float(rng.uniform(-tuned, tuned))
    notes = line(rng, key, roots, straight, tempo, LOWEST[program] + 2)
    perform(rng, notes, beat, swing, straight)
    if group in ("falls", "fallskept"):
        falls.choose(np.random.default_rng(number), notes)
    bars = notes[-1].twelfth // 48 + 2
    if group in ("kept", "second"):
        behind = own.band(rng, roots, key, beat, swing, bars, cents + rng.normal(0, 3), number % 5, notes, pan)
    else:
        behind = band(rng, roots, key, beat, swing, bars, font, cents + rng.normal(0, 3), int(rng.integers(3)))
    first = max(0.0, notes[0].on - rng.uniform(0.3, 1.5))
    past = notes[-1].off + rng.uniform(0.4, 1.2)
    voice = voices.Font(font, program)
    blown = horn(rng, notes, voices.Coloured(voice, rng) if group == "second" else voice, cents, past + 1)
    if rng.random() < 0.7:
        wet = 10 ** (rng.uniform(-18, -8) / 20)
        blown = blown + wet * fftconvolve(blown, room(rng))[:len(blown)]
    cut = slice(int(first * RATE), int(past * RATE))
    behind = np.pad(behind, [(0, max(0, cut.stop - len(behind)))] + [(0, 0)] * (behind.ndim - 1))[cut]
    blown = blown[cut]
    sounds = np.zeros(len(blown), bool)
    for n in notes:
        sounds[int((n.on - first) * RATE):int((n.off - first) * RATE)] = True
    level = lambda x: np.sqrt(np.mean(x[sounds].astype(float) ** 2)) + 1e-6  # noqa: E731
    place = PLACES[number // 3 % len(PLACES)]
    angle = np.pi / 4 if place != "side" else float(rng.uniform(0.2, 0.55) * np.pi / 2 if rng.random() < 0.5 else rng.uniform(0.7, 0.9) * np.pi / 2)
    lean = float(rng.uniform(0.25, 0.75) * np.pi / 2)
    faster = 2 ** (float(rng.choice([-40, 40])) / 1200) if condition == "tape" else 1.0
    truth = {"group": group, "place": place, "condition": condition, "program": program, "style": number % 5 if group in ("kept", "second") else -1,
             "tempo": tempo * faster, "at": -first / faster, "straight": straight, "swing": swing, "key": key, "chart": words, "cents": cents,
             "notes": [[(n.on - first) / faster, (n.off - first) / faster, n.midi, n.twelfth] for n in notes],
             "scoops": [n.scoop for n in notes], "falls": [n.fall for n in notes]}
    (folder / f"{number:04d}.json").write_text(json.dumps(truth))
    wide = behind if behind.ndim == 2 else pan(behind, lean)
    for name, above in LEVELS.items():
        mix = pan(blown / level(blown), angle)
        if above is not None:
            mix += wide / level(behind) * 10 ** (-above / 20)
        mix += rng.normal(0, 1, mix.shape) * 10 ** (rng.uniform(-65, -40) / 20)
        mix = harmed(rng, mix / np.abs(mix).max() * 0.7, condition, 1200 * np.log2(faster), own.room)
        mix = mix / np.abs(mix).max() * 0.7
        stereo_write(folder / f"{number:04d}_{name}.wav", mix if place != "mono" else mix.mean(axis=1, keepdims=True), RATE)


if __name__ == "__main__":
    out = Path(sys.argv[1])
    out.mkdir(parents=True, exist_ok=True)
    for number in range(int(sys.argv[2]), int(sys.argv[3]) + 1):
        if not (out / f"{number:04d}_-6.wav").exists():
            case(number, out)
