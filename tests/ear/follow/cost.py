#!/usr/bin/python3
# SPDX-License-Identifier: ISC
"""What following costs: cost.py BUILD FOLDER. From a folder that measure.py reads: songs of 48 and of 128 felt beats while the place is searched for and
while it is held, and the dearest of what is no song under the same charts. Instructions for a second of sound, counted by cachegrind (what a
sound takes less what its beginning takes); the share of a processor from the processor time of the same runs, the least of five."""
import json
import re
import resource
import subprocess
import sys
import tempfile
import wave
from pathlib import Path

import numpy as np

from measure import follow, run, truth_at

SEARCHED, HELD, OTHER = (1, 5), (30, 40), (10, 20)  # seconds


def felt_beats(build: Path, chart: Path) -> int:
    bars = json.loads(run([build / "form_dump", chart]))["bars"]
    return sum(b["beats"] // 3 if b["unit"] == 8 and b["beats"] in (6, 9, 12) else b["beats"] for b in bars)


def cut(source: Path, seconds: float, to: Path) -> Path:
    with wave.open(str(source)) as file, wave.open(str(to), "wb") as out:
        out.setparams(file.getparams())
        out.writeframes(file.readframes(int(seconds * file.getframerate())))
    return to


def counted(command: list) -> int:
    said = subprocess.run(["valgrind", "--tool=cachegrind", "--cache-sim=no", "--cachegrind-out-file=/dev/null", *map(str, command)],
                          check=True, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True).stderr
    return int(re.search(r"I\s+refs:\s+([\d,]+)", said)[1].replace(",", ""))


def timed(command: list) -> float:
    used = lambda: (lambda r: r.ru_utime + r.ru_stime)(resource.getrusage(resource.RUSAGE_CHILDREN))
    times = []
    for _ in range(5):
        before = used()
        subprocess.run([*map(str, command)], check=True, stdout=subprocess.DEVNULL)
        times.append(used() - before)
    return min(times)


def between(of, build: Path, sound: Path, chart: Path, key: int, span: tuple) -> float:
    """What `of` says of a command, for a second of sound of `span`."""
    with tempfile.TemporaryDirectory() as folder:
        first, last = (of([build / "follow", chart, cut(sound, s, Path(folder) / f"{s}.wav"), key]) for s in span)
    return (last - first) / (span[1] - span[0])


def is_held(build: Path, path: Path, case: dict) -> bool:
    """Right from 30 s on, and it lasts long enough."""
    report = follow(build, path, case["key"])
    bar, near = truth_at(np.array(case["beats"], float), report[:, 0])
    late = (report[:, 0] > 30) & (bar > 0)
    return report[-1, 0] > HELD[1] and late.any() and ((report[:, 2] == bar) | near)[late].mean() > 0.99


def main() -> None:
    build, folder = Path(sys.argv[1]), Path(sys.argv[2])
    cases = {p: json.loads(p.read_text()) for p in sorted(folder.glob("*.json"))}
    nothing = [p for p, c in cases.items() if c["kind"] == "nothing"]
    for beats in (48, 128):
        songs = [p for p, c in cases.items() if c["kind"] == "song" and felt_beats(build, p.with_suffix(".chart")) == beats]
        song = next(p for p in songs if is_held(build, p, cases[p]))
        key, chart = cases[song]["key"], song.with_suffix(".chart")
        dearest = max(nothing, key=lambda p: between(timed, build, p.with_suffix(".wav"), chart, key, OTHER))
        for what, path, span in [("searched for", song, SEARCHED), ("held", song, HELD), ("no song", dearest, OTHER)]:
            here = build, path.with_suffix(".wav"), chart, key, span
            print(f"{beats:3d} felt beats, {what:12s} {path.stem} {cases[path]['group']:12s} {between(counted, *here) / 1e6:6.1f} million, "
                  f"{100 * between(timed, *here):5.2f} % of a processor", flush=True)


if __name__ == "__main__":
    main()
