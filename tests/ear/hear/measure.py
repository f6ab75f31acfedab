#!/usr/bin/python3
# SPDX-License-Identifier: ISC
"""Measures: measure.py BUILD FOLDER GROUP [--aubio[=METHOD]] [--case=NAME] [--each]   GROUP: develop, fresh, kept, kept2, own. The columns are described in README.md."""
import subprocess
import sys
from collections import defaultdict
from functools import partial
from pathlib import Path

import numpy as np

import labels
from make import reeds

BLOCK = 128 / 24000
BLOW = (0, 2, 3, 4, 8)  # techniques
BEST_OF_AUBIO = "mcomb"  # on the develop cases, of yin, yinfft, yinfast, mcomb, fcomb, schmitt, specacf
SETTLED, GONE = 0.05, 0.06  # seconds after a note begins, after one ends, that are left out of what is judged
HELD = 10, 0.1  # cents that the pitch of one hole moves at most, within seconds to both sides


class Truth:
    def __init__(self, case: dict):
        self.lines, self.step = case["truth"], case["step"]
        key = [None if not line else tuple(sorted(n[0][0][0] * 16 + (0 if n[0][0][1] in BLOW else 1) for n in line))
               for line in self.lines]
        self.begins = [i for i in range(1, len(key)) if key[i] != key[i - 1]]
        self.since = np.zeros(len(key))
        last = -99
        for i in range(len(key)):
            if i and key[i] != key[i - 1]:
                last = i
            self.since[i] = (i - last) * self.step

    def held(self, i: int) -> bool:
        """Whether the pitch stands still there: one hole alone."""
        reach = int(HELD[1] / self.step)
        around = self.lines[max(0, i - reach):i + reach]
        return all(len(line) == 1 and abs(line[0][1] - self.lines[i][0][1]) * 100 < HELD[0] for line in around)

    def at(self, second: float):
        i = int(second / self.step)
        return (self.lines[i], self.since[i], i) if 0 <= i < len(self.lines) else (None, 0, 0)



def heard(build: Path, file: Path, case: dict):
    run = subprocess.run([build / "hear", file, *(str(int(case[k])) for k in ("key", "range", "tuning", "overblows"))],
                         check=True, capture_output=True, text=True)
    rows = []
    for line in run.stdout.splitlines():
        f = line.split()
        rows.append((float(f[0]), [(int(f[i]), int(f[i + 1]), float(f[i + 2])) for i in range(3, len(f), 3)]))
    return rows, float(run.stderr)




def with_twins(case: dict, harp: dict):
    """Each note accepted, and the notes of equal pitch: 2 draw and 3 blow cannot be told apart by ear; the column `twin` counts them.
    In chords those of the same breath: the other notes tell which breath it was."""
    twins = defaultdict(list)
    for name, midi in harp.items():
        twins[midi].append(name)
    for line in case["truth"]:
        for note in line:
            note[0] += [[*name, a[2]] for a in list(note[0]) for name in twins[a[2]]
                        if name != (a[0], a[1]) and (len(line) == 1 or (name[1], a[1]) in ((0, 0), (1, 1)))]
    return case


def judge(case: dict, rows, tally):
    """Adds up: frames right, wrong, missed, false; chords' holes; cents; how soon a note is known."""
    truth = Truth(case)
    right_at = {}
    for second, notes in rows:
        line, since, i = truth.at(second)
        if line is None:
            continue
        names = [(h, t) for h, t, _ in notes]
        if not line:
            if since > GONE or case["condition"] == "nobody":
                tally["silent"] += 1
                tally["false"] += bool(names)
            continue
        wanted = [{(a[0], a[1]) for a in n[0]} for n in line]
        for before in truth.lines[max(0, i - 10):i]:  # a glide may be followed 50 ms late
            if len(before) == len(line):
                for these, n in zip(wanted, before):
                    these |= {(a[0], a[1]) for a in n[0]}
        hits = [any(name in w for name in names) for w in wanted]
        strangers = [n for n in names if not any(n in w for w in wanted)]
        right = not strangers and any(hits)
        if right and i not in right_at:
            right_at[i] = second
        if since <= SETTLED:
            continue
        tally["frames"] += 1
        tally["right"] += right
        tally["wrong"] += bool(strangers)
        tally["missed"] += not names
        if right and len(line) == 1 and len({a[2] for a in line[0][0]}) < len(line[0][0]) and len(names) == 1:
            tally["twins"] += 1
            tally["twins right"] += names[0] == tuple(line[0][0][0][:2])
        if len(line) > 1:
            tally["chord holes"] += len(line)
            tally["named"] += sum(hits)
            tally["whole"] += all(hits) and not strangers
            tally["chords"] += 1
        elif right and line[0][2] is not None and len(names) == 1 and names[0] in {(a[0], a[1]) for a in line[0][0]}:
            midi = next(a[2] for a in line[0][0] if (a[0], a[1]) == names[0])
            off = abs((midi + notes[0][2] / 100 - line[0][1]) * 100 - line[0][2])
            tally.setdefault("cents", []).append(off)
            if case["content"] == "bends" and truth.held(i):
                tally.setdefault("held", []).append(off)
    latencies(truth, rows, tally)


def latencies(truth: Truth, rows, tally):
    """Seconds from a note's beginning until its hole and direction are told."""
    times = np.array([r[0] for r in rows])
    for begin, end in zip(truth.begins, truth.begins[1:] + [len(truth.lines)]):
        line = truth.lines[begin]
        if not line or (end - begin) * truth.step < 0.06:
            continue
        on = (begin - 1) * truth.step
        wanted = {(a[0], a[1]) for n in line for a in n[0]}
        holes = {(a[0], a[1] in BLOW) for n in line for a in n[0]}
        tally["notes"] += 1
        first = None
        for k in range(np.searchsorted(times, on), np.searchsorted(times, end * truth.step)):
            names = rows[k][1]
            if names and all((h, t in BLOW) in holes for h, t, _ in names):
                first = times[k] - on
                break
        tally.setdefault("latency", []).append(first if first is not None else 9)
        middle = on + (end - begin) * truth.step * 0.5
        k = min(len(rows) - 1, np.searchsorted(times, middle))
        tally["notes right"] += bool(rows[k][1]) and all((h, t in BLOW) in holes for h, t, _ in rows[k][1])


def share(tally, a: str, b: str) -> str:
    return f"{tally[a] / tally[b]:7.4f}" if tally[b] else "      -"


def percentile(tally, name: str, p: float, scale: float = 1) -> str:
    return f"{np.percentile(tally[name], p) * scale:6.1f}" if tally.get(name) else "     -"


HEAD = f"{'':22} {'cases':>5} {'right':>7} {'wrong':>7} {'missed':>7} {'false':>7} {'notes':>7} {'named':>7} {'whole':>7} {'twin':>7}  lat50  lat95  cts50  cts95"


def line_print(name: str, tally) -> None:
    print(f"{name:22} {tally['cases']:5d} {share(tally, 'right', 'frames')} {share(tally, 'wrong', 'frames')} {share(tally, 'missed', 'frames')} "
          f"{share(tally, 'false', 'silent')} {share(tally, 'notes right', 'notes')} {share(tally, 'named', 'chord holes')} "
          f"{share(tally, 'whole', 'chords')} {share(tally, 'twins right', 'twins')} {percentile(tally, 'latency', 50, 1000)} {percentile(tally, 'latency', 95, 1000)} "
          f"{percentile(tally, 'cents', 50)} {percentile(tally, 'cents', 95)}")


def merge(into, tally) -> None:
    for key, value in tally.items():
        if isinstance(value, list):
            into.setdefault(key, []).extend(value)
        else:
            into[key] += value


def aubio_rows(file: Path, reeds: dict, method: str):
    """aubiopitch; the nearest note of this harp within a quarter tone; the gate is its own."""
    said = subprocess.run(["aubiopitch", "-i", file, "-p", method, "-u", "hertz", "-B", "1024", "-H", "256", "-s", "-50"],
                          check=True, capture_output=True, text=True).stdout
    pitches = {midi: name for name, midi in sorted(reeds.items(), reverse=True)}
    rows = []
    for line in said.splitlines():
        second, hz = (float(v) for v in line.split())
        notes = []
        if hz > 0:
            midi = 69 + 12 * np.log2(hz / 440)
            near = min(pitches, key=lambda m: abs(m - midi))
            if abs(near - midi) < 0.5:
                notes = [(*pitches[near], (midi - near) * 100)]
        rows.append((second, notes))
    return rows


def main() -> None:
    build, folder, group = Path(sys.argv[1]).resolve(), Path(sys.argv[2]), sys.argv[3]
    only = [a[7:] for a in sys.argv if a.startswith("--case=")]
    method = next((a[8:] or BEST_OF_AUBIO for a in sys.argv if a.startswith("--aubio")), None)
    tallies, peers, costs = defaultdict(lambda: defaultdict(int)), defaultdict(lambda: defaultdict(int)), []
    for file, case in labels.cases(folder, group, partial(reeds, build)):
        if only and file.stem not in only:
            continue
        harp = reeds(build, case["key"], case["range"], case["tuning"])
        case = with_twins(case, {k: v for k, v in harp.items() if k[1] < 8 or case["overblows"]})
        tally = defaultdict(int, cases=1)
        rows, cost = heard(build, file, case)
        costs.append(cost)
        judge(case, rows, tally)
        if only or "--each" in sys.argv:
            line_print(f"{file.stem} {case['condition']} {case['content']}", tally)
        names = ["all", "by place: " + case["condition"]] + ([] if case["condition"] == "nobody" else ["played: " + case["content"]])
        names += ["nobody: " + case["content"]] if case["condition"] == "nobody" else []
        names += ["clean: " + case["content"]] if case["condition"] == "clean" else []
        for name in names:
            merge(tallies[name], tally)
        if method:
            peer = defaultdict(int, cases=1)
            judge(case, aubio_rows(file, harp, method), peer)
            for name in names:
                merge(peers[name], peer)
    print(HEAD)
    for name in sorted(tallies):
        line_print(name, tallies[name])
        if name in peers:
            line_print(f"  aubio {method}", peers[name])
    for name, tally in (("held bends", tallies["all"]), (f"  aubio {method}", peers["all"])):
        if "held" in tally:
            print(f"{name:22} cents {percentile(tally, 'held', 50).strip()} {percentile(tally, 'held', 95).strip()}")
    if not costs:
        raise SystemExit(f"{folder}: no case of group {group}")
    print(f"of a core: mean {100 * np.mean(costs):.3f} %, worst {100 * np.max(costs):.3f} %")


main()
