#!/usr/bin/python3
# SPDX-License-Identifier: ISC
"""Makes cases: make.py BUILD FOLDER FIRST LAST [PROCESSES]. BUILD holds reeds_dump. What is there already stays."""
import multiprocessing
import subprocess
import sys
from functools import partial
from pathlib import Path

import generator


def reeds(build: Path, key: int, register: int, tuning: int) -> dict:
    said = subprocess.run([build / "reeds_dump", str(key), str(register), str(tuning)], check=True, capture_output=True, text=True).stdout
    return {(int(h), int(t)): int(m) for h, t, m in (line.split() for line in said.splitlines())}


def make(build: Path, folder: Path, number: int) -> None:
    if not (folder / f"{number:04d}.json").exists():
        generator.case(number, partial(reeds, build), folder)


def main() -> None:
    build, folder, first, last = Path(sys.argv[1]).resolve(), Path(sys.argv[2]), int(sys.argv[3]), int(sys.argv[4])
    folder.mkdir(parents=True, exist_ok=True)
    with multiprocessing.Pool(int(sys.argv[5]) if len(sys.argv) > 5 else 2) as pool:
        pool.map(partial(make, build, folder), range(first, last + 1), chunksize=1)


if __name__ == "__main__":
    main()
