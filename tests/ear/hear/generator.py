# SPDX-License-Identifier: ISC
"""Makes a case: NAME.wav and NAME.json with the truth. The rule is in README.md."""
import json
from pathlib import Path

import numpy as np
from scipy.signal import fftconvolve

import playing
import scene
import scene_more
import voices
import voices_more
from sound import sound_write
from voices import RATE

CONDITIONS = ("clean", "clean", "noise", "amp", "room", "stage", "wah", "bleed20", "bleed12", "nobody")
MORE_ROOMS = ("clean", "room", "noise", "amp", "room", "stage", "wah", "bleed20", "bleed12", "nobody")
ANY_BAND = ("bleed", "room", "clean", "amp", "bleed", "stage", "wah", "noise", "room", "nobody")
HARD = ("amp", "stage", "bleed", "room", "nobody", "amp", "stage", "bleed", "wah", "clean")
HARDEST = ("amp", "nobody", "bleed", "room", "wah", "amp", "stage", "nobody", "room", "clean")
AGAIN, VARIED, WIDE, HARDER = 200, 1540, 2140, 3000  # from here on: judged again; more varied voices and more rooms; the most varied; what is hard
IN_TUNE = 3200  # from here on also harps whose octaves are in tune to a third of a cent, and more of the band alone
SECONDS, STEP = 20.0, 0.005  # a case lasts; between two lines of truth


def group_of(number: int) -> str:
    if AGAIN <= number < 1000:
        return "kept2" if number % 3 == 2 else "fresh"
    if number < WIDE:
        return "kept" if number < 1000 and number % 3 == 2 else "develop"
    return "hard" if number >= HARDER else "wide"


# What each group sounds like: rooms, amplifiers, hands; one of several by chance.
SCENES = {
    "develop": ((scene.room_tail,), (scene.amp_soft,), scene.wah),
    "wide": ((scene.room_tail, scene_more.room_wide), (scene.amp_soft, scene_more.amp_any), scene_more.wah_either),
    "hard": ((scene.room_tail, scene_more.room_wide), (scene_more.amp_any, scene_more.amp_in_row), scene_more.wah_either),
    "fresh": ((scene_more.room_sparse,), (scene_more.amp_hard,), scene_more.wah_resonant),
    "kept": ((scene.room_mirrors,), (scene.amp_two_stages,), scene.wah),
    "kept2": ((scene.room_mirrors, scene_more.room_network), (scene.amp_two_stages,), scene.wah),
}
MOST_VARIED = ("wide", "hard")
ARRANGED = {**dict.fromkeys(MOST_VARIED, ("fluid", scene_more.LEARNED, False)), "fresh": ("fluid", scene_more.OTHERS, True), "kept2": ("timgm", scene_more.OTHERS, True)}


def one_of(options, rng):
    return options[0] if len(options) == 1 else options[rng.integers(len(options))]


def band_behind(group: str, seconds: float, rng) -> np.ndarray:
    return scene_more.band_wide(seconds, rng, *ARRANGED[group]) if group in ARRANGED else scene.band(group, seconds, rng)


def below_of(condition: str, rng) -> float:
    """How far below the player the band is, dB."""
    return rng.uniform(8, 26) if condition == "bleed" else 12 if condition == "bleed12" else 20


# ---- truth ----

def accepted(hole: int, technique: int, midi: int, cents: float, harp: dict):
    """Notes of the hole that the pitch may be taken for: between two, both."""
    plain = technique if technique < 2 or technique >= 8 else (0 if technique < 5 else 1)
    steps = {0: technique}
    for depth in (1, 2, 3):
        bent = (1 if plain == 0 else 4) + depth
        if plain < 2 and (hole, bent) in harp:
            steps[-depth] = bent
    down = cents / 100
    near = min(steps, key=lambda s: abs(s - down))
    good = [s for s in steps if abs(s - down) < abs(near - down) + 0.3]
    return [[hole, steps[s], midi + s] for s in good], midi + cents / 100


# ---- sound ----

def pitch_of(note, rng) -> np.ndarray:
    t = np.arange(int((note.off - note.on + note.release) * RATE)) / RATE
    cents = np.interp(t, [p[0] for p in note.glide], [p[1] for p in note.glide]) if note.glide else np.zeros(len(t))
    hz, deep, _ = note.vibrato
    ramp = np.clip((t - 0.15) / 0.2, 0, 1)
    return cents + deep * ramp * np.sin(2 * np.pi * hz * t)


def shape_of(note, n: int) -> np.ndarray:
    t, length = np.arange(n) / RATE, note.off - note.on
    shape = np.clip(t / note.attack, 0, 1) ** 0.7 * np.clip((length + note.release - t) / note.release, 0, 1)
    hz, _, deep = note.vibrato
    return shape * 10 ** ((note.gain - deep * np.clip((t - 0.15) / 0.2, 0, 1) * (0.5 - 0.5 * np.cos(2 * np.pi * hz * t))) / 20)


def render(notes, voice, tuned: dict, cents: float, rng):
    """The dry sound and the truth by STEP: for each line what may be said of each note, and its pitch."""
    out = np.zeros(int((SECONDS + 1) * RATE), np.float32)
    truth = [[] for _ in range(int(SECONDS / STEP))]
    for note in notes:
        moving = pitch_of(note, rng)
        shape, at = shape_of(note, len(moving)), round(note.on * RATE)
        lines = range(int(note.on / STEP) + 1, min(len(truth), int((note.off + note.release * 0.5) / STEP)))
        for line in lines:
            truth[line] = []  # the note before is over
        blown = 0.1 * rng.uniform(0.01, 0.06) * scene.band_pass(rng.normal(0, 1, len(moving)), 800, 8000)
        for hole, technique, midi in note.holes:
            off = tuned[hole, technique if technique < 2 else (0 if technique < 5 or technique == 8 else 1)] + cents
            tone = voice.tone(midi, moving + off, rng) + blown
            part = (tone * shape * 10 ** (rng.normal(0, 1.5) / 20))[:max(0, len(out) - at)]
            out[at:at + len(part)] += part / np.sqrt(len(note.holes))
            for line in lines:
                now = moving[min(len(moving) - 1, int((line * STEP - note.on) * RATE))]
                truth[line].append([*accepted(hole, technique, midi, now, note.harp), off])
    return out, truth


def tuning_of(harp: dict, octaves_in_tune: bool, rng) -> dict:
    """Cents of each reed: each a little off; thirds lower on harps tuned for chords (common practice)."""
    just = rng.choice([0, 1]) * rng.uniform(5, 14)
    third = {(h, 0) for h in (2, 5, 8)} | {(h, 1) for h in (3, 7)}
    if octaves_in_tune and rng.random() < 0.5:
        of = {(c, t): rng.normal(0, 3) for c in range(12) for t in (0, 1)}
        return {k: of[midi % 12, k[1]] + rng.normal(0, 0.3) for k, midi in harp.items() if k[1] < 2}
    return {k: rng.normal(0, 3) - (just if k in third else 0) for k in harp if k[1] < 2}


# ---- all of it ----

def place(condition: str, dry, group: str, rng):
    """The sound as it comes in."""
    n, level = len(dry), scene.active(dry)
    rooms, amps, hands = SCENES[group]
    if condition in ("amp",):
        dry = one_of(amps, rng)(dry, rng)
        dry = dry / scene.active(dry) * level
    if condition == "wah":
        dry = hands(dry, rng.uniform(1, 5), rng, rng.uniform(0.6, 1))
    if condition in ("room", "stage"):
        dry = fftconvolve(dry, one_of(rooms, rng)(rng))[:n]
    if condition in ("stage", "bleed", "bleed20", "bleed12"):
        below = below_of(condition, rng)
        behind = band_behind(group, n / RATE, rng)
        dry = dry + behind / scene.active(behind) * level * 10 ** (-below / 20)
    if condition in ("noise", "stage"):
        dry = dry + rng.normal(0, 1, n) * level * 10 ** (-rng.uniform(22, 40) / 20)
    return dry + rng.normal(0, 1, n) * level * 1e-2


def nobody(group: str, kind: int, rng):
    n = int((SECONDS + 1) * RATE)
    hiss = rng.normal(0, 1, n)
    if kind == 0:
        return hiss * 10 ** (rng.uniform(-90, -50) / 20), "silence"
    if kind == 1:
        return scene.breath(SECONDS + 1, rng) * 0.02, "breath"
    if kind == 2:
        sound = band_behind(group, SECONDS + 1, rng)
        return sound / scene.active(sound) * (10 ** (-rng.uniform(32, 50) / 20) if group in MOST_VARIED else 0.01), "bleed"
    if kind == 4:
        return scene_more.knocks(SECONDS + 1, rng), "knocks"
    sound = scene.speech(group, SECONDS + 1, rng)
    return sound / scene.active(sound) * rng.uniform(0.02, 0.1) + hiss * 1e-4, "speech"


def harp_choice(rng):
    return int(rng.integers(12)), int(rng.choice([0, 0, 0, 0, 0, 0, -1, 1])), int(rng.choice([0, 0, 0, 0, 0, 1, 2, 3, 4, 5]))


def rests(notes, rng):
    """Leaves a player's long rests: the band goes on alone."""
    if rng.random() < 0.4:
        begins = rng.uniform(1, SECONDS - 6, 2)
        ends = begins + rng.uniform(1.5, 5, 2)
        notes = [n for n in notes if all(n.off < a or n.on > b for a, b in zip(begins, ends))] or notes
    return notes


def kind_of(number: int):
    """Condition, content, and what is heard where nobody plays."""
    if number >= IN_TUNE:
        contents = ("octaves", "chords", "mixed", "octaves", "runs", "chords", "octaves", "singles", "bends")
        return HARDEST[number % 10], contents[number // 10 % 9], (2, 2, 3, 2, 2, 2, 4, 2, 2, 1)[(number // 10 * 2 + number % 10) % 10]
    if number >= HARDER:
        contents = (*playing.CONTENTS, "octaves", "bends", "octaves")
        return HARD[number % 10], contents[number // 10 % 9], (2, 2, 3, 2, 2, 4, 2, 1)[number // 10 % 8]
    if number >= WIDE:
        contents = (*playing.CONTENTS, "octaves")
        return ANY_BAND[number % 10], contents[number // 10 % 7], (2, 3, 2, 1, 2, 4, 2, 0)[number // 10 % 8]
    conditions = MORE_ROOMS if number >= VARIED else CONDITIONS
    return conditions[number % 10], playing.CONTENTS[(number // 10 + number // 60) % 6], number // 10 % 4


def voice_of(number: int, group: str, rng):
    if group in MOST_VARIED:
        return voices_more.learn_voice(rng)
    if number >= AGAIN and number < 1000:
        return (voices_more.kept_again_voice if group == "kept2" else voices_more.fresh_voice)(rng)
    choose = voices.varied_voice if number >= VARIED else voices.develop_voice if group == "develop" else voices.kept_voice
    return choose(int(rng.integers(1000)), rng)


def case(number: int, reeds, folder: Path) -> None:
    """`reeds(key, range, tuning)`: the harp as {(hole, technique): midi}."""
    rng, group = np.random.default_rng(50000 + number), group_of(number)
    condition, content, kind = kind_of(number)
    key, register, tuning = harp_choice(rng)
    harp = reeds(key, register, tuning)
    overblows = bool(rng.random() < 0.25)
    harp = {k: v for k, v in harp.items() if overblows or k[1] < 8}
    name, truth, cents = f"{number:04d}", [[] for _ in range(int(SECONDS / STEP))], 0.0
    if condition == "nobody":
        sound, content = nobody(group, kind, rng)
    else:
        voice = voice_of(number, group, rng)
        cents = rng.uniform(-15, 15)
        notes = playing.played(content, harp, rng, SECONDS - 1)
        notes = rests(notes, rng) if group in MOST_VARIED else notes
        for note in notes:
            note.harp = harp
        dry, truth = render(notes, voice, tuning_of(harp, number >= IN_TUNE, rng), cents, rng)
        sound = place(condition, dry, group, rng)
        sound = sound / np.abs(sound).max() * 10 ** (rng.uniform(-24, -2) / 20)
    sound_write(folder / f"{name}.wav", sound, RATE)
    (folder / f"{name}.json").write_text(json.dumps({
        "condition": condition, "content": content, "group": group, "key": key, "range": register, "tuning": tuning,
        "overblows": overblows, "cents": round(cents, 2), "step": STEP, "truth": truth}))
