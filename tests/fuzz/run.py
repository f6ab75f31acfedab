#!/usr/bin/env python3
# SPDX-License-Identifier: ISC
"""Runs one fuzzer. Usage: run.py short|planted NAME FUZZERS   FUZZERS is the build folder with fuzz_NAME and
fuzz_NAME_planted.
  short    20 seconds of processor time find nothing
  planted  the bug planted in fuzz_NAME_planted is found within eight times 30 seconds of processor time, begun anew from
           the seeds: how long a search takes has a long tail. Only the bug's own message counts (PLANTED), so that
           another fault, or a program that does not start, does not pass for it
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
SHORT, LONG, SEARCHES = 20, 30, 8
TICK = os.sysconf("SC_CLK_TCK")
OVERFLOW = r"ERROR: AddressSanitizer: heap-buffer-overflow"

# What a fuzzer that finds its planted bug says: each of these, where the bug is.
PLANTED = {
    "abc": [OVERFLOW, r" in onset_copy \S*fuzz_abc\.c:"],
    "atoms": [r"ERROR: AddressSanitizer: ", r"^fuzz_atoms: planted: the size in the head of a property was believed$"],
    "chart": [OVERFLOW, r" in chords_copy \S*fuzz_chart\.c:"],
    "ear": [r"fuzz_ear\.c:\d+: not so: r->at >= 0 && r->at < f->beats - PLANTED \* 8$"],
    "hear": [OVERFLOW, r" in text_check \S*fuzz_hear\.c:"],
    "hear_take": [OVERFLOW, r" in title_copy \S*fuzz_hear_take\.c:"],
    "hear_player": [OVERFLOW, r" in notes_check \S*fuzz_hear_player\.c:"],
    "lift": [OVERFLOW, r" in (mean_square|hissed) \S*lift\.c:"],
    "osc": [OVERFLOW, r" in LLVMFuzzerTestOneInput \S*fuzz_osc\.c:", r"is located 0 bytes to the right of \d+-byte region"],
    "plan": [OVERFLOW, r" in onsets_check \S*fuzz_plan\.c:"],
    "smf": [OVERFLOW, r" in events_check \S*fuzz_smf\.c:"],
    "state": [r"fuzz_state\.c:\d+: not so: c < 0xF8 && c != 0xC0 && c != 0xC1$"],
    "take": [OVERFLOW, r" in played \S*fuzz_take\.c:"],
    "web": [r'fuzz_web\.c:\d+: not so: known \|\| (worded \|\| )?!holds\(answer, have, "HTTP/1\.1 (200|302)"\)$'],
}


def seconds(process: subprocess.Popen) -> float:
    """Processor time used so far."""
    fields = Path(f"/proc/{process.pid}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / TICK


def fuzz(program: Path, name: str, most: float, *options: str) -> tuple[int, str]:
    """Runs it from the seeds for so much processor time; its exit status and what it said."""
    with tempfile.TemporaryDirectory() as scratch:
        corpus, log = Path(scratch) / "corpus", Path(scratch) / "log"
        corpus.mkdir()
        subprocess.run(["sh", HERE / "seeds.sh", name, corpus], check=True)
        command = [program, "-max_len=20000", f"-artifact_prefix={scratch}/", *options, corpus]
        with log.open("wb") as out:
            status = run(command, most, out)
        return status, log.read_text(errors="replace")


def run(command: list, most: float, out) -> int:
    """Runs it for so much processor time; its exit status."""
    with subprocess.Popen(command, stdin=subprocess.DEVNULL, stdout=out, stderr=out) as process:
        try:
            while process.poll() is None and seconds(process) < most:
                time.sleep(0.1)
            if process.poll() is None:
                process.send_signal(signal.SIGUSR1)  # libFuzzer ends as if its time were over
            return process.wait(60)
        finally:
            process.kill()


def short(name: str, fuzzers: Path) -> bool:
    status, said = fuzz(fuzzers / f"fuzz_{name}", name, SHORT, "-timeout=10", "-print_final_stats=1")
    print(said)
    done = re.search(r"^stat::number_of_executed_units: *(\d+)$", said, re.M)
    print(f"fuzz_{name} ended with {status}, {done.group(1) if done else 'no'} inputs")
    return status == 0 and bool(done) and int(done.group(1)) > 0


def planted(name: str, fuzzers: Path) -> bool:
    for search in range(1, SEARCHES + 1):
        status, said = fuzz(fuzzers / f"fuzz_{name}_planted", name, LONG)
        print(said)
        missing = [message for message in PLANTED[name] if not re.search(message, said, re.M)]
        if status and not missing:
            print(f"fuzz_{name} found its planted bug in search {search}")
            return True
        print(f"fuzz_{name} ended with {status} and did not say: {'; '.join(missing)}")
        if status:
            break  # something else, or nothing that can run
    return False


def main(what: str, name: str, fuzzers: str) -> int:
    return 0 if {"short": short, "planted": planted}[what](name, Path(fuzzers)) else 1


sys.exit(main(*sys.argv[1:]))
