#!/usr/bin/python3
# SPDX-License-Identifier: ISC
"""Bar lines that reedlamp-listen finds, against the truth: bars.py PROGRAM FOLDER [--only=REGEX]. A bar of the form counts as found if the line said for it
lies within 35 ms of its own; songs that are refused have none. Then the time that four minutes of music take. The key is found."""
import json
import re
import resource
import subprocess
import sys
import tempfile
import wave
from pathlib import Path

import numpy as np

NEAR = 0.035
MINUTES = 4


def said(program: Path, sound: Path, chart: Path) -> np.ndarray:
    """(second, bar) of each line; none if it is refused."""
    done = subprocess.run([program, sound, f"--chart={chart}", "--as=bars"], capture_output=True, text=True)
    rows = [l.split() for l in done.stdout.splitlines()] if done.returncode == 0 else []
    return np.array([[r[0], r[2]] for r in rows], float).reshape(-1, 2)


def share_found(lines: np.ndarray, beats: np.ndarray) -> float:
    wanted = beats[(beats[:, 3] == 1) & (beats[:, 2] > 0)]
    return float(np.mean([np.any((np.abs(lines[:, 0] - t) < NEAR) & (lines[:, 1] == bar)) for t, _, bar, _ in wanted]))


def time_taken(program: Path, path: Path) -> tuple[float, float]:
    """Processor seconds for a song that goes round until four minutes are full, and how long that is."""
    with tempfile.TemporaryDirectory() as folder:
        long = Path(folder) / "long.wav"
        with wave.open(str(path.with_suffix(".wav"))) as file, wave.open(str(long), "wb") as out:
            out.setparams(file.getparams())
            frames = file.readframes(file.getnframes())
            size = int(MINUTES * 60 * file.getframerate()) * file.getsampwidth() * file.getnchannels()
            out.writeframes((frames * (size // len(frames) + 1))[:size])
        before = resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime
        subprocess.run([program, long, f"--chart={path.with_suffix('.chart')}", "--as=bars"], capture_output=True)
    return resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime - before, MINUTES * 60


def main() -> None:
    program, folder = Path(sys.argv[1]), Path(sys.argv[2])
    options = dict(a.lstrip("-").partition("=")[::2] for a in sys.argv[3:])
    only = re.compile(options.get("only", ""))
    songs = [(p, json.loads(p.read_text())) for p in sorted(folder.glob("*.json")) if only.search(p.stem)]
    songs = [(p, c) for p, c in songs if c["kind"] == "song"]
    found = {}
    for path, case in songs:
        lines = said(program, path.with_suffix(".wav"), path.with_suffix(".chart"))
        found[path.stem] = share_found(lines, np.array(case["beats"], float))
        print(f"{path.stem} {case['group']:24s} {found[path.stem]:.3f}{'' if len(lines) else ' refused'}", flush=True)
    shares = np.array(list(found.values()))
    print(f"{len(shares)} songs: {shares.mean():.3f} of the bar lines within 35 ms; all but every 20th in {np.mean(shares > 0.95):.2f} of the songs; worst {min(found, key=found.get)}")
    seconds, length = time_taken(program, songs[0][0])
    print(f"{length} s of music take {seconds:.1f} s of a processor")


if __name__ == "__main__":
    main()
