#!/usr/bin/env python3
# SPDX-License-Identifier: ISC
"""Runs `meson test` in a build folder and counts: a line a test, what failing ones said, and at last
"N passed, N failed". A test that is skipped or times out counts as failed."""
import json
import subprocess
import sys
from pathlib import Path


def main(folder: str) -> int:
    log = Path(folder) / "meson-logs" / "testlog.json"
    log.unlink(missing_ok=True)
    run = subprocess.run(["meson", "test", "-C", folder, "--no-rebuild"], stdout=subprocess.PIPE,
                         stderr=subprocess.STDOUT, text=True, check=False)
    results = [json.loads(line) for line in log.read_text().splitlines()] if log.exists() else []
    good = [r for r in results if r["result"] == "OK"]
    for r in results:
        print("ok" if r["result"] == "OK" else "not ok", "-", r["name"], f"({r['duration']:.1f} s)")
    for r in results:
        if r["result"] != "OK":
            print(r["name"], r["result"])
            print("\n".join((r.get("stdout", "") + r.get("stderr", "")).splitlines()[-40:]))
    if not results:
        print(run.stdout[-2000:])
        print("0 passed, 1 failed")
        return 1
    print(f"{len(good)} passed, {len(results) - len(good)} failed")
    return 0 if len(good) == len(results) else 1


sys.exit(main(sys.argv[1]))
