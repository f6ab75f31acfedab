#!/usr/bin/env python3
# SPDX-License-Identifier: ISC
"""What a sheet costs: how long the whole program takes for six songs with their plans, from its start to its end, and
how large the PDF is. Printed, never deciding. Usage: bench.py REEDLAMP-SHEET TOP"""
import resource
import statistics
import subprocess
import sys
import time
from pathlib import Path

SONGS = {
    "presets/plans/ferry-street-slow-drag.plan": "twelve-bar-slow-drag",
    "presets/plans/slack-tide-at-midnight.plan": "slow-twelve-eight",
    "tests/sheet/plans/choruses.plan": "twelve-bar",
    "tests/sheet/plans/waltz.plan": "waltz",
    "tests/sheet/plans/gospel.plan": "gospel",
    "tests/sheet/plans/crowded.plan": "twelve-bar-jazz",
}
ROUNDS = 15


def processor() -> float:
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def main(program: str, top: Path) -> None:
    for plan, chart in SONGS.items():
        call = [program, top / "presets" / f"{chart}.chart", f"--plan={top / plan}", "-o", "-"]
        took, used = [], []
        for _ in range(ROUNDS):
            before, cpu = time.perf_counter(), processor()
            pdf = subprocess.run(call, stdout=subprocess.PIPE, check=True).stdout
            took.append(1000 * (time.perf_counter() - before))
            used.append(1000 * (processor() - cpu))
        print(f"{Path(plan).stem}: {statistics.median(took):.0f} ms in the median, of the processor "
              f"{statistics.median(used):.0f} ms; "
              f"{len(pdf) / 1024:.0f} KiB, {pdf.count(b'/Type /Page ') + pdf.count(b'/Type /Page' + bytes([10]))} pages")


main(sys.argv[1], Path(sys.argv[2]))
