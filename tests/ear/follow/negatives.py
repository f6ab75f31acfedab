# SPDX-License-Identifier: ISC
"""What is no song of the chart's form: speech, noise, silence, tones, music of Debian's games, and songs under another song's
chart. Each generator has its own: other voices, other noises, other pieces."""
import json
import subprocess
from pathlib import Path

import numpy as np

import sound
from song import PRESETS, Song, form_read, truth_write

TEXT = ("The ferry leaves the quay at ten past nine and calls at every landing. Mind the step, hold the rail, and keep the lamp lit. "
        "A reed is a thin strip of brass; it answers to breath, not to force. When the wind turns north the third bell rings twice. ")
VOICES = {"a": ["en-us", "de", "fr", "pt"], "b": ["en-gb-scotland", "es", "nl", "it"], "c": ["en-gb", "sv", "pl", "fi"],
          "d": ["en-029", "cs", "el", "tr"], "e": ["ro", "hu", "da", "ca"],
          "k": ["en-gb-x-rp", "nb", "sk", "lt"]}
COLOURS = {"a": (0.5, 0.9), "b": (0.0, 1.0), "c": (0.2, 0.7), "d": (0.35, 0.8), "e": (0.1, 0.6), "k": (0.15, 0.95)}
MIDI_MUSIC = Path("/usr/share/games/openttd/baseset/openmsx")
GAME_MUSIC = Path("/usr/share/games/neverball/bgm")


def speech(voice: str, speed: int, seconds: float) -> np.ndarray:
    path = Path("/tmp") / f"speech-{voice}-{speed}.wav"
    subprocess.run(["espeak-ng", "-v", voice, "-s", str(speed), "-w", str(path), TEXT * 6], check=True)
    wav, rate = sound.sound_read(path)
    path.unlink()
    return sound.resample(wav, sound.RATE / rate)[:int(seconds * sound.RATE)]


def noise(colour: float, rng, n: int) -> np.ndarray:
    """Spectrum falls by `colour` times 6 dB an octave."""
    spectrum = np.fft.rfft(rng.normal(0, 1, n))
    wav = np.fft.irfft(spectrum / np.maximum(np.arange(len(spectrum)), 1.0) ** colour, n)
    return wav / np.abs(wav).max() * 0.5


def tones(rng, n: int) -> np.ndarray:
    t = np.arange(n) / sound.RATE
    return sum(0.2 * np.sin(2 * np.pi * f * t) for f in rng.uniform(80, 900, 3))


def midi_music(path: Path) -> np.ndarray:
    out = Path("/tmp") / f"{path.stem}.wav"
    subprocess.run(["fluidsynth", "-ni", "-q", "-r", str(sound.RATE), "-T", "wav", "-F", str(out), sound.FONTS["timgm"], str(path)],
                   check=True, capture_output=True)
    wav = sound.sound_read(out)[0]
    out.unlink()
    return wav


def pieces(letter: str, rng):
    """(name, sound) of everything that is no song."""
    n, turn = int(75 * sound.RATE), "abcdek".index(letter)
    for i, voice in enumerate(VOICES[letter]):
        yield f"speech {voice}", speech(voice, [130, 175, 210, 160][i] + 7 * turn, 75)
    for colour in COLOURS[letter]:
        yield f"noise {colour}", noise(colour, rng, n)
    yield "silence", np.zeros(n)
    yield "tones", tones(rng, n)
    for path in sorted(MIDI_MUSIC.glob("*.mid"))[turn::6]:
        yield f"game {path.stem}", midi_music(path)
    for path in sorted(GAME_MUSIC.glob("*.ogg"))[turn if turn < 3 else 99::2][:4]:
        wav, rate = sound.sound_read(path)
        yield f"game {path.stem}", sound.resample(wav[:75 * rate], sound.RATE / rate)


def nothings(letter: str, build: Path, folder: Path) -> None:
    rng = np.random.default_rng([3, ord(letter)])
    charts = sorted(PRESETS.glob("*.chart"))
    for i, (name, wav) in enumerate(pieces(letter, rng)):
        song = Song(f"{letter}n{i:02d}", name.split()[0], charts[(i * 5 + 2) % len(charts)].read_text(), 0, 0, "nothing", note=name)
        peak = np.abs(wav).max() + 1e-9
        truth_write(song, folder, None, wav[:75 * sound.RATE] / peak * min(peak, 0.8), sound.RATE)


def others(letter: str, build: Path, folder: Path, count: int) -> None:
    """Songs of the folder under the chart of another one, of another length but the same beats in a bar, in the same key."""
    songs = [json.loads(p.read_text()) for p in sorted(folder.glob(f"{letter}[0-9]*.json"))]
    texts = {s["name"]: (folder / f"{s['name']}.chart").read_text() for s in songs}
    forms = {n: form_read(build, t) for n, t in texts.items()}
    rng = np.random.default_rng([4, ord(letter)])
    shape = lambda n: (forms[n]["bars"][0]["beats"], forms[n]["bars"][0]["unit"], forms[n]["minor"])
    made = 0
    for song in songs[:: max(1, len(songs) // count)]:
        fit = [s["name"] for s in songs if shape(s["name"]) == shape(song["name"]) and
               len(forms[s["name"]]["bars"]) != len(forms[song["name"]]["bars"])]
        if fit and made < count:
            name = f"{letter}o{made:02d}"
            (folder / f"{name}.wav").unlink(missing_ok=True)
            (folder / f"{name}.wav").symlink_to((folder / f"{song['name']}.wav").resolve())
            (folder / f"{name}.chart").write_text(texts[str(rng.choice(fit))])
            (folder / f"{name}.json").write_text(json.dumps(song | {"name": name, "kind": "other", "beats": []}))
            made += 1
