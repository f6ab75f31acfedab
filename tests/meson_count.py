#!/usr/bin/env python3
# SPDX-License-Identifier: ISC
"""Runs `meson test` in a build folder and counts: a line a test, then what failing ones said, and at last the
count (see counting.sh). A test that times out counts as failed. Usage: meson_count.py BUILD [AT_ONCE]"""
import json
import subprocess
import sys
from pathlib import Path

sys.dont_write_bytecode = True
import tally  # noqa: E402

PATIENCE = "4"  # times a test's own limit: with sanitizers, on a busy machine, one that takes seconds takes half a minute


def words(result: dict) -> list[str]:
    return (result.get("stdout", "") + result.get("stderr", "")).splitlines()


def main(folder: str, at_once: str = "2") -> int:
    log = Path(folder) / "meson-logs" / "testlog.json"
    log.unlink(missing_ok=True)
    run = subprocess.run(["meson", "test", "-C", folder, "--no-rebuild", "--num-processes", at_once, "--timeout-multiplier", PATIENCE],
                         stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, check=False)
    results = [json.loads(line) for line in log.read_text().splitlines()] if log.exists() else []
    count = tally.Tally()
    for r in results:
        if r["result"] == "OK":
            count.ok(r["name"], f"{r['duration']:.1f} s")
        elif r["result"] == "SKIP":
            count.skip(r["name"], (words(r) or ["it does not say why"])[-1])
        else:
            count.no(r["name"], f"{r['result']} ({r['duration']:.1f} s)")
            print("\n".join(words(r)[-40:]))
    if not results or (run.returncode and not count.failed):
        count.no("meson test", f"ended with {run.returncode}")
        print(run.stdout[-2000:])
    return count.end()


sys.exit(main(*sys.argv[1:]))
