# SPDX-License-Identifier: ISC
"""How well reedlamp-listen lifts: measure.py BUILD FOLDER develop|kept [--alone] [--aubio]. README.md says what the columns are."""
import argparse
import json
import subprocess
import tempfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np

from generator import LEVELS, group_of

KEYS = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
NEAR = 0.05  # seconds


def told(truth: dict, chart: Path) -> list[str]:
    key = KEYS[truth["key"]]
    chart.write_text(f"key: {key}\n\n{truth['chart']}\n")
    return [f"--chart={chart}", f"--key={key}", f"--tempo={truth['tempo']:.4f}", f"--at={truth['at']:.4f}",
            f"--feel={'straight' if truth['straight'] else 'swung'}"]


def lifted(listen: Path, wav: Path, more: list[str]) -> np.ndarray:
    said = subprocess.run([listen, wav, "--as=notes", *more], check=True, capture_output=True, text=True).stdout
    return np.array([list(map(float, row.split())) for row in said.splitlines()]).reshape(-1, 4)


def aubio(wav: Path) -> np.ndarray:
    said = subprocess.run(["aubionotes", "-i", wav], capture_output=True, text=True).stdout
    rows = [row.split() for row in said.splitlines()]
    return np.array([[float(r[1]), float(r[2]), float(r[0]), 1] for r in rows if len(r) == 3]).reshape(-1, 4)


def shifted(found: np.ndarray, by: float) -> np.ndarray:
    return found + np.array([by, by, 0, 0]) if len(found) else found


def match(truth: list, found: np.ndarray) -> dict:
    """Index in `found` by index in `truth`: the most notes, each once (augmenting paths)."""
    owner: dict = {}
    near = [[j for j in range(len(found)) if abs(found[j, 0] - on) <= NEAR and found[j, 2] == midi] for on, _, midi, _ in truth]

    def place(i: int, seen: set) -> bool:
        for j in near[i]:
            if j not in seen:
                seen.add(j)
                if j not in owner or place(owner[j], seen):
                    owner[j] = i
                    return True
        return False
    for i in range(len(truth)):
        place(i, set())
    return {i: j for j, i in owner.items()}


def twelfth_of(on: float, truth: dict) -> int:
    """The nearest twelfth, off-beats where this player has them."""
    beat = (on - truth["at"]) * truth["tempo"] / 60
    places = [k / 12 for k in range(13)]
    if not truth["straight"]:
        places[8] = truth["swing"]
    whole = int(np.floor(beat))
    return whole * 12 + int(np.argmin([abs(beat - whole - p) for p in places]))


def judge(name: str, wav: Path, truth: dict, found: np.ndarray) -> dict:
    notes, pairs = truth["notes"], None
    pairs = match(notes, found)
    ends = sum(abs(found[j, 1] - notes[i][1]) <= max(NEAR, 0.2 * (notes[i][1] - notes[i][0])) for i, j in pairs.items())
    right = set(pairs.values())
    sure = [(found[j, 3], j in right) for j in range(len(found))]
    return {"level": name, "place": truth["place"], "program": truth["program"], "hit": len(pairs), "ends": ends, "truth": len(notes),
            "found": len(found), "edits": len(notes) + len(found) - 2 * len(pairs) - min(len(notes) - len(pairs), len(found) - len(pairs)),
            "sure": sure, "wav": wav.name}


def f1(rows, what="hit") -> float:
    return 2 * sum(r[what] for r in rows) / max(1, sum(r["truth"] + r["found"] for r in rows))


def line(title: str, rows) -> None:
    sure = [s for r in rows for s in r["sure"]]
    high = [ok for s, ok in sure if s > 0.9]
    print(f"{title:22s}{len(rows):6d}{f1(rows):8.3f}{f1(rows, 'ends'):8.3f}"
          f"{np.mean([r['edits'] == 0 for r in rows]):8.2f}{np.mean([r['edits'] <= 3 for r in rows]):8.2f}"
          f"{len(high) / max(1, len(sure)):8.2f}{np.mean(high) if high else 0:8.3f}", flush=True)


def main() -> None:
    ask = argparse.ArgumentParser()
    ask.add_argument("build", type=Path)
    ask.add_argument("folder", type=Path)
    ask.add_argument("group", choices=("develop", "kept"))
    ask.add_argument("--alone", action="store_true", help="nothing is said of grid, key and chords")
    ask.add_argument("--aubio", action="store_true", help="aubionotes instead, with the one shift in time that suits it best")
    wish = ask.parse_args()
    listen, cases = wish.build / "ui" / "listen" / "reedlamp-listen", []
    for file in sorted(wish.folder.glob("*.json")):
        if group_of(int(file.stem)) == wish.group:
            cases += [(level, wish.folder / f"{file.stem}_{level}.wav", json.loads(file.read_text())) for level in LEVELS]

    def one(case):
        level, wav, truth = case
        if wish.aubio:
            return aubio(wav)
        with tempfile.TemporaryDirectory() as scratch:
            return lifted(listen, wav, [] if wish.alone else told(truth, Path(scratch, "a.chart")))
    with ThreadPoolExecutor(2) as pool:
        found = list(pool.map(one, cases))
    if wish.aubio:
        shifts = np.arange(-0.1, 0.11, 0.01)
        score = [f1([judge(n, w, t, shifted(f, by)) for (n, w, t), f in zip(cases, found)]) for by in shifts]
        found = [shifted(f, shifts[int(np.argmax(score))]) for f in found]
    rows = [judge(n, w, t, f) for (n, w, t), f in zip(cases, found)]
    print(f"{'':22s}{'clips':>6s}{'F1':>8s}{'ends':>8s}{'as is':>8s}{'<=3':>8s}{'> .9':>8s}{'right':>8s}")
    for level in LEVELS:
        line(level, [r for r in rows if r["level"] == level])
        for place in ("mono", "centre", "side"):
            line(f"  {place}", [r for r in rows if r["level"] == level and r["place"] == place])
    for program in sorted({r["program"] for r in rows}):
        line(f"horn {program}", [r for r in rows if r["program"] == program])
    for r in sorted(rows, key=lambda r: f1([r]))[:8]:
        line(f"  {r['wav']}", [r])


if __name__ == "__main__":
    main()
