#!/usr/bin/python3
# SPDX-License-Identifier: ISC
"""Measures the ear against the truth: measure.py BUILD FOLDER [--only=REGEX] [--key=given|heard] [--aubio] [--diagram=FILE.png].
FOLDER holds NAME.wav, NAME.chart, NAME.json as the generators write them; somebody's own recording with its labels may lie
there too. Prints a table by group; what each column means stands in README.md."""
import json
import re
import struct
import subprocess
import sys
import warnings
import zlib
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np

LIKELY = 12     # column of what `follow` prints; the figures it rests on come after it
BREAK = 0.07    # seconds that a beat may be off
SETTLED = 25.0  # seconds after which the bar must be right


def run(command: list) -> str:
    return subprocess.run([*map(str, command)], check=True, capture_output=True, text=True).stdout


def follow(build: Path, path: Path, key: int) -> np.ndarray:
    out = run([build / "follow", path.with_suffix(".chart"), path.with_suffix(".wav"), key])
    return np.array(out.split(), float).reshape(out.count("\n"), -1)


def held(report: np.ndarray) -> np.ndarray:
    """Where the ear would claim a bar if it were likely enough: as sure_now() in core/ear/ear.c, but for a song's end."""
    return (report[:, 6] > 0.5) & (report[:, 11] >= 4)


def beats_said(report: np.ndarray) -> np.ndarray:
    """The times at which the reported beat went over a whole number."""
    phase = report[:, 3] % 1
    new = np.flatnonzero((phase[1:] < phase[:-1] - 0.5))
    before, after = phase[new] - 1, phase[new + 1]
    t0, t1 = report[new, 0], report[new + 1, 0]
    return t0 + (t1 - t0) * (-before / (after - before))


def f_measure(said: np.ndarray, truth: np.ndarray) -> float:
    if not len(truth):
        return np.nan
    hits, used = 0, 0
    for t in truth:
        while used < len(said) and said[used] < t - BREAK:
            used += 1
        if used < len(said) and said[used] <= t + BREAK:
            hits, used = hits + 1, used + 1
    return 2 * hits / (len(said) + len(truth))


def truth_at(beats: np.ndarray, times: np.ndarray):
    """Bar in force at each time (0: none of the form), and whether a bar line is within 70 ms."""
    index = np.searchsorted(beats[:, 0], times, "right") - 1
    bar = np.where(index >= 0, beats[np.maximum(index, 0), 2], 0)
    step = np.median(np.diff(beats[:, 0]))
    bar = np.where(times > beats[-1, 0] + step, 0, bar)
    lines = beats[beats[:, 3] == 1, 0]
    near = np.abs(times[:, None] - lines[None]).min(1) < BREAK
    return bar, near


def song_measure(case: dict, report: np.ndarray) -> dict:
    beats = np.array(case["beats"], float)
    bar, near = truth_at(beats, report[:, 0])
    form = bar > 0
    right = (report[:, 2] == bar) | near
    said, sure = beats_said(report), report[:, 4] > 0
    start = beats[beats[:, 2] > 0][0, 0]
    wanted = beats[(beats[:, 0] > 5) & (beats[:, 2] > 0), 0]
    late = form & (report[:, 0] > SETTLED)
    wrong_at = np.flatnonzero(form & ~right)
    tail = report[form, 0][-1]
    lock = np.nan
    if len(wrong_at) == 0:
        lock = 0.0
    else:  # since when it was right for 8 s
        edges = np.concatenate([[start], report[wrong_at, 0], [tail]])
        gaps = np.flatnonzero(np.diff(edges) > 8)
        lock = edges[gaps[0]] - start if len(gaps) else np.nan
    out = {"F": f_measure(said[(said > 5) & (said > start - BREAK) & (said < beats[-1, 0] + BREAK)], wanted),
           "bar25": right[late].mean() if late.any() else np.nan, "lock": lock,
           "claim": sure[form].mean(), "claim25": sure[late].mean() if late.any() else np.nan, "claimed": int(sure.sum()), "wrong": int((sure & ~right & (form | (case["lead"] == 0))).sum())}
    after = report[:, 0] > 30
    out["key"] = (report[after, 8] == case["key"]).mean()
    out["cents"] = np.abs(report[after, 7] - case["cents"]).mean()
    out["pairs"] = np.stack([report[form, LIKELY], right[form]], 1)[::10]
    return out


def aubio(path: Path, case: dict) -> float:
    beats = np.array(case["beats"], float)
    start = beats[beats[:, 2] > 0][0, 0]
    said = np.array(run(["aubiotrack", "-i", path.with_suffix(".wav")]).split(), float)
    return f_measure(said[(said > 5) & (said > start - BREAK) & (said < beats[-1, 0] + BREAK)], beats[(beats[:, 0] > 5) & (beats[:, 2] > 0), 0])


def measure(build: Path, path: Path, heard: bool, peer: bool) -> dict:
    case = json.loads(path.read_text())
    form = json.loads(run([build / "form_dump", path.with_suffix(".chart")]))
    case["lead"] = len(form["lead"])
    report = follow(build, path, -1 if heard else case["key"])
    if case["kind"] != "song":
        return {"name": case["name"], "group": case["group"], "kind": case["kind"], "claim": (report[:, 4] > 0).mean(),
                "pairs": np.stack([report[:, LIKELY], np.zeros(len(report))], 1)[::10]}
    out = {"name": case["name"], "group": case["group"], "kind": "song", "note": f"{case['note']} {case['bpm']}"} | song_measure(case, report)
    if peer:
        out["aubio"] = aubio(path, case)
    return out


def line(name: str, cases: list) -> str:
    mean = lambda key: np.nanmean([c.get(key, np.nan) for c in cases])
    locks = [c["lock"] if c["lock"] == c["lock"] else 99.0 for c in cases]
    wrong = sum(c["wrong"] for c in cases) / max(1, sum(c["claimed"] for c in cases))
    return (f"{name:20s} {len(cases):3d}  {mean('F'):.3f} {mean('aubio'):.3f}  {mean('bar25'):.3f} {min(c['bar25'] for c in cases):.2f}"
            f"  {np.median(locks):5.1f} {np.quantile(locks, 0.9):5.1f}  {mean('claim'):.3f} {mean('claim25'):.3f} {wrong:.4f}"
            f"  {np.mean([c['key'] > 0.95 for c in cases]):.2f} {np.mean([c['cents'] < 5 for c in cases]):.2f}")


def table(results: list) -> None:
    songs = [r for r in results if r["kind"] == "song"]
    print("group                  n      F aubio  bar25 worst  lock   p90  claim  cl25  wrong    key tuned")
    for group in sorted({r["group"] for r in songs}):
        print(line(group, [r for r in songs if r["group"] == group]))
    print(line("all songs", songs)) if songs else None
    for kind in ("other", "nothing"):
        these = [r for r in results if r["kind"] == kind]
        if these:
            print(f"{kind:20s} {len(these):3d}  claimed {np.mean([r['claim'] for r in these]):.4f}, at most {max(r['claim'] for r in these):.3f}"
                  f" ({max(these, key=lambda r: r['claim'])['name']})")


def png_write(path: str, grey: np.ndarray) -> None:
    """Portable Network Graphics (ISO/IEC 15948), eight bits of grey."""
    chunk = lambda kind, data: struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
    rows = b"".join(b"\x00" + row.tobytes() for row in grey.astype(np.uint8))
    head = struct.pack(">IIBBBBB", grey.shape[1], grey.shape[0], 8, 0, 0, 0, 0)
    Path(path).write_bytes(b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(rows)) + chunk(b"IEND", b""))


def diagram(pairs: np.ndarray, path: str) -> None:
    """From left to right how likely the bar was said to be right, in ten bins; upwards, grey, the share that was right, and black how much
    of the time it was said; a line where both agree."""
    size, bin_size = 400, 40
    grey = np.full((size, size), 255)
    for i in range(10):
        here = pairs[(pairs[:, 0] >= i / 10) & ((pairs[:, 0] < (i + 1) / 10) | (i == 9))]
        if len(here):
            print(f"likely {i / 10:.1f} to {(i + 1) / 10:.1f}: right {here[:, 1].mean():.4f} of {len(here)}")
            grey[size - round(size * here[:, 1].mean()):, i * bin_size + 3:(i + 1) * bin_size - 3] = 180
            grey[size - round(size * len(here) / len(pairs)):, i * bin_size + 14:(i + 1) * bin_size - 14] = 40
    along = np.arange(size)
    grey[size - 1 - along, along] = 0
    grey[[0, -1], :] = grey[:, 0] = grey[:, -1] = 0
    png_write(path, grey)


def main() -> None:
    warnings.simplefilter("ignore", RuntimeWarning)  # means of nothing
    build, folder = Path(sys.argv[1]), Path(sys.argv[2])
    options = dict(a.lstrip("-").partition("=")[::2] for a in sys.argv[3:])
    only = re.compile(options.get("only", ""))
    paths = [p for p in sorted(folder.glob("*.json")) if only.search(p.stem)]
    with ThreadPoolExecutor(int(options.get("jobs", 2))) as pool:
        results = list(pool.map(lambda p: measure(build, p, options.get("key") == "heard", "aubio" in options), paths))
    if "cases" in options:
        for r in results:
            print(r["name"], r["group"], r.get("note", ""), {k: round(float(v), 3) for k, v in r.items() if isinstance(v, (float, np.floating))}, r.get("wrong", ""))
    table(results)
    if "diagram" in options:
        diagram(np.concatenate([r["pairs"] for r in results if r["kind"] == "song"]), options["diagram"])


if __name__ == "__main__":
    main()
