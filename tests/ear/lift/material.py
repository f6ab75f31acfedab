# SPDX-License-Identifier: ISC
"""What the net of core/ear/phrase is learned from: material.py BUILD FOLDER FIRST LAST. Sessions (sessions.py) mixed at four levels,
seen through the phrase's own ear (look.c): FOLDER/NUMBER_LEVEL.npz."""
import subprocess
import sys
import tempfile
import wave
from pathlib import Path

import numpy as np
from scipy.signal import butter, fftconvolve, sosfilt

import sessions
from sessions import RATE, scene

LEVELS = ((12, 40), (3, 9), (-2, 3), (-8, -2))  # dB of the horn over the band
NEARER = ((8, 36), (1, 7), (-4, 2), (-9, -3))   # from sessions.WIDER on
PITCHES, BINS, BANDS, SLOW = 45, 277, 4, 2  # as in core/ear/phrase/spectra.h


def wav_write(path: Path, sound: np.ndarray) -> None:
    with wave.open(str(path), "wb") as file:
        file.setparams((sound.shape[1], 2, RATE, 0, "NONE", ""))
        file.writeframes((np.clip(sound, -1, 1) * 32767).astype("<i2").tobytes())


def through_loss(path: Path, rng) -> Path:
    """The same, once through a codec that loses."""
    kind, rate = [("mp3", "64k"), ("mp3", "128k"), ("ogg", "64k"), ("ogg", "112k")][rng.integers(4)]
    lossy, back = path.with_suffix(f".{kind}"), path.with_name("back.wav")
    for command in (["-i", path, "-b:a", rate, lossy], ["-i", lossy, back]):
        subprocess.run(["ffmpeg", "-y", "-v", "error", *command], check=True)
    return back


def look(build: Path, path: Path, view) -> dict:
    said = subprocess.run([build / "tests" / "ear" / "look", path, *(f"{v:.5f}" for v in view)], check=True, capture_output=True).stdout
    frames, at, out = int(np.frombuffer(said[:4], np.int32)[0]), 4, {}
    for name, shape in (("contrast", (BINS,)), ("level", (BINS,)), ("edge", (PITCHES, 2)), ("band", (BANDS,)), ("slow", (PITCHES, SLOW))):
        size = frames * int(np.prod(shape))
        out[name] = np.frombuffer(said, np.uint8, size, at).reshape(frames, *shape)
        at += size
    return out


def mix(rng, horn, band, above: float):
    """A record, and the view that hears the horn best: most in one channel, else stereo with the horn and each stem of the band somewhere."""
    gain = 10 ** (above / 20)
    if rng.random() < 0.7:
        out, view = (horn * gain + band.sum(0))[:, None], (0.5, 0.5, 0, -10)
    else:
        angle, wide = rng.uniform(0.1, 0.9) * np.pi / 2, int(rng.uniform(0, 0.004) * RATE) + 1
        out = gain * np.outer(horn, [np.cos(angle), np.sin(angle)])
        for lean, stem in zip(rng.uniform(0.15, 0.85, 3) * np.pi / 2, band):
            out += np.sqrt(2) * np.stack([stem * np.cos(lean), (np.roll(stem, wide) if rng.random() < 0.3 else stem) * np.sin(lean)], 1)
        angle += rng.normal(0, 0.03)
        view = (np.cos(angle), np.sin(angle), 1, -10)
    out = recorded(rng, out + rng.normal(0, 1, out.shape) * 0.08 * 10 ** (rng.uniform(-70, -38) / 20))
    return out / np.abs(out).max() * 0.7, view


def recorded(rng, out):
    """A room around all of it, a hot or a dull machine."""
    if rng.random() < 0.2:
        room = scene.room_tail(rng)[:, None]
        out = out + 10 ** (rng.uniform(-14, -4) / 20) * fftconvolve(out, room, axes=0)[:len(out)]
    if rng.random() < 0.2:
        out = np.tanh(out / np.abs(out).max() * rng.uniform(0.7, 2))
    if rng.random() < 0.2:
        out = sosfilt(butter(int(rng.integers(1, 5)), sessions.log_uniform(rng, 2500, 9000) / (RATE / 2), output="sos"), out, axis=0)
    return out


def main() -> None:
    build, folder = Path(sys.argv[1]), Path(sys.argv[2])
    folder.mkdir(parents=True, exist_ok=True)
    for number in range(int(sys.argv[3]), int(sys.argv[4]) + 1):
        if (folder / f"{number:04d}_{len(LEVELS) - 1}.npz").exists():
            continue
        horn, band, notes, cents = sessions.session(number)
        said = np.array([[n["on"], n["off"], n["midi"], n["slur"], n["scoop"], n["fall"], n["ghost"]] for n in notes], np.float32)
        for k, (low, high) in enumerate(NEARER if number >= sessions.WIDER else LEVELS):
            rng = np.random.default_rng([number, k])
            out, view = mix(rng, horn, band, rng.uniform(low, high))
            with tempfile.TemporaryDirectory() as scratch:
                path = Path(scratch, "a.wav")
                wav_write(path, out)
                seen = look(build, through_loss(path, rng) if rng.random() < 0.12 else path, view)
            np.savez(folder / "part", notes=said, cents=cents, **seen)
            (folder / "part.npz").rename(folder / f"{number:04d}_{k}.npz")


if __name__ == "__main__":
    main()
