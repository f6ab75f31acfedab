#!/usr/bin/env python3
# SPDX-License-Identifier: ISC
"""Runs one fuzzer. Usage: run.py short|planted NAME FUZZERS   FUZZERS is the build folder with fuzz_NAME and
fuzz_NAME_planted.
  short    20 seconds of processor time find nothing
  planted  the bug planted in fuzz_NAME_planted is found within 90 seconds of processor time: only its own message
           counts (PLANTED), so that another fault, or a program that does not start, does not pass for it
Seconds are of processor time, so that other work on the machine does not take any away."""
import os
import re
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

HERE = Path(__file__).resolve().parent
SHORT, LONG = 20, 90
TICK = os.sysconf("SC_CLK_TCK")
OVERFLOW = r"ERROR: AddressSanitizer: heap-buffer-overflow"

# What a fuzzer that finds its planted bug says: each of these, where the bug is.
PLANTED = {
    "abc": [OVERFLOW, r" in onset_copy \S*fuzz_abc\.c:"],
    "atoms": [r"ERROR: AddressSanitizer: ", r"^fuzz_atoms: planted: the size in the head of a property was believed$"],
    "chart": [OVERFLOW, r" in chords_copy \S*fuzz_chart\.c:"],
    "hear": [OVERFLOW, r" in text_check \S*fuzz_hear\.c:"],
    "osc": [OVERFLOW, r" in LLVMFuzzerTestOneInput \S*fuzz_osc\.c:", r"is located 0 bytes to the right of \d+-byte region"],
    "plan": [OVERFLOW, r" in onsets_check \S*fuzz_plan\.c:"],
    "smf": [OVERFLOW, r" in events_check \S*fuzz_smf\.c:"],
    "state": [r"fuzz_state\.c:\d+: not so: c < 0xF8 && c != 0xC0 && c != 0xC1$"],
    "take": [OVERFLOW, r" in played \S*fuzz_take\.c:"],
    "web": [r'fuzz_web\.c:\d+: not so: known \|\| !holds\(answer, have, "HTTP/1\.1 (200|302)"\)$'],
}


def seconds(process: subprocess.Popen) -> float:
    """Processor time used so far."""
    fields = Path(f"/proc/{process.pid}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / TICK


def fuzz(program: Path, most: float, corpus: Path, *options: str) -> tuple[int, str]:
    """Runs it for so much processor time; its exit status and what it said."""
    log = corpus / "log"
    with log.open("wb") as out, subprocess.Popen(
            [program, "-max_len=20000", f"-artifact_prefix={corpus}/", *options, corpus / "seeds"],
            stdin=subprocess.DEVNULL, stdout=out, stderr=out) as process:
        try:
            while process.poll() is None and seconds(process) < most:
                time.sleep(0.1)
            if process.poll() is None:
                process.send_signal(signal.SIGUSR1)  # libFuzzer ends as if its time were over
            status = process.wait(60)
        finally:
            process.kill()
    return status, log.read_text(errors="replace")


def short(name: str, fuzzers: Path, corpus: Path) -> bool:
    status, said = fuzz(fuzzers / f"fuzz_{name}", SHORT, corpus, "-timeout=10", "-print_final_stats=1")
    print(said)
    done = re.search(r"^stat::number_of_executed_units: *(\d+)$", said, re.M)
    print(f"fuzz_{name} ended with {status}, {done.group(1) if done else 'no'} inputs")
    return status == 0 and bool(done) and int(done.group(1)) > 0


def planted(name: str, fuzzers: Path, corpus: Path) -> bool:
    status, said = fuzz(fuzzers / f"fuzz_{name}_planted", LONG, corpus)
    print(said)
    missing = [message for message in PLANTED[name] if not re.search(message, said, re.M)]
    if status and not missing:
        print(f"fuzz_{name} found its planted bug")
        return True
    print(f"fuzz_{name} ended with {status} and did not say: {'; '.join(missing)}")
    return False


def main(what: str, name: str, fuzzers: str) -> int:
    with tempfile.TemporaryDirectory() as scratch:
        corpus = Path(scratch)
        (corpus / "seeds").mkdir()
        subprocess.run(["sh", HERE / "seeds.sh", name, corpus / "seeds"], check=True)
        return 0 if {"short": short, "planted": planted}[what](name, Path(fuzzers), corpus) else 1


sys.exit(main(*sys.argv[1:]))
