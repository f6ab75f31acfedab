#!/usr/bin/env python3
# SPDX-License-Identifier: ISC
"""Runs the checks of STEPS, several at once, and counts. Usage: steps.py [--quick] [WORD...]   with WORDs only the
steps with one in their name, and those they need. run.sh and quick.sh say what must be installed.

Steps marked `timed` drive programs by the clock: they run at normal priority, and of two with the same `alone` only one
at a time. All others only compute: at a lower priority they take what the timed ones leave, and as many run at once as
the machine has processors, by the figure `cores` of each.

A step ends with 0, with 77 if it cannot run here (its last line says why), or has failed. Of a counted step the lines of
counting.sh are shown and its last "N passed, N failed, N skipped" is added up. All that a step says is kept in a
folder build-logs, and shown whole if it fails. Ends with the plain line "N passed, N failed, N skipped"."""
import fcntl
import os
import queue
import re
import shutil
import signal
import subprocess
import sys
import threading
import time
from dataclasses import dataclass
from pathlib import Path

TOP = Path(__file__).resolve().parents[1]
TESTS, LOGS = TOP / "tests", TOP / ("build-quick-logs" if "--quick" in sys.argv else "build-logs")
PLAIN, FUZZED, WATCHED, RACED = (TOP / f"build-{name}" for name in ("tests", "fuzz", "sanitizers", "threads"))
CORES = len(os.sched_getaffinity(0))
LIMIT = 3600  # seconds that a step may take
SLOWEST = 12  # shown at the end
SKIPPED = 77
NICE = 19  # a timed step gets what it asks for, within some 15 parts in 1000
TALLY = re.compile(r"^(\d+) passed, (\d+) failed, (\d+) skipped$", re.M)


@dataclass(frozen=True)
class Step:
    """One check: its name and its command; see above for what else there is to say about it."""
    name: str
    command: list
    after: tuple = ()      # names of steps that must have passed
    cores: float = 1.0     # how many processors it uses; of a timed step it does not count
    counted: bool = False
    timed: bool = False
    alone: str = ""
    env: tuple = ()        # pairs; None takes a variable away


def check(*words):
    return ["sh", TESTS / "checks.sh", *words]


def python(name, *words):
    return ["python3", TESTS / name, *words]


def shell(name, *words):
    return ["sh", TESTS / name, *words]


BUILT = "builds without a warning (gcc)"
BUILT_WATCHED = "builds with sanitizers"
BUILT_RACED = "builds with watched threads"
BUILT_FUZZERS = "the fuzzers build"
DEMO = "the demo plays"
EVERYTHING = [f"-D{part}=enabled" for part in ("window", "sheet", "page", "man", "listen")]  # nothing is left out unseen
WALLS = Step("the tree keeps its walls", python("check_tree.py", TOP))
FORMAT = Step("the code is formatted", check("format"))
FUZZERS = sorted(path.stem[len("fuzz_"):] for path in (TESTS / "fuzz").glob("fuzz_*.c"))

# In the order in which they begin, as soon as there is a processor for them.
STEPS = [
    Step(BUILT, check("build", PLAIN, "", "-Dtests=true", "-Ddemo=true", *EVERYTHING), cores=2),
    Step("real hosts", shell("hosts/run.sh", PLAIN / "lv2", PLAIN / "tests/hosts"), (BUILT,),
         counted=True, timed=True, alone="time"),
    Step("the page", shell("page/run.sh", PLAIN), (BUILT,), counted=True, timed=True, alone="time"),
    Step("the window", shell("window/run.sh", PLAIN / "lv2", PLAIN), (BUILT,), counted=True, timed=True, alone="time"),
    Step("the window by hand", shell("byhand/run.sh", PLAIN / "lv2", PLAIN), (BUILT,), counted=True, timed=True,
         alone="time"),
    Step("OSC: the cable is pulled", python("osc/network.py", PLAIN / "tests/osc/send", PLAIN / "lv2"), (BUILT,),
         timed=True, alone="time"),
    Step("core and plugin", python("meson_count.py", PLAIN), (BUILT,), counted=True, env=(("REEDLAMP_MAPS", "100"),)),
    Step(BUILT_FUZZERS, check("build", FUZZED, "fuzzers", "-Dfuzzers=true", "-Dbuildtype=debugoptimized", "-Db_lundef=false"),
         env=(("CC", "clang"),)),
    Step("clang-tidy has nothing to say", check("tidy", "1"), (BUILT, BUILT_FUZZERS)),
    Step(BUILT_WATCHED, check("build", WATCHED, "", "-Dtests=true", "-Dbuildtype=debugoptimized",
                              "-Db_sanitize=address,undefined", "-Db_lundef=false")),
    Step("core and plugin, addresses and undefined behaviour watched", python("meson_count.py", WATCHED), (BUILT_WATCHED,),
         counted=True, env=(("REEDLAMP_MAPS", "6"), ("REEDLAMP_FEW", "1"), ("UBSAN_OPTIONS", "halt_on_error=1"),
                            ("LSAN_OPTIONS", f"suppressions={TESTS}/ui/leaks.supp"))),
    Step(BUILT_RACED, check("build", RACED, "test_handover test_osc test_receivers test_listen test_listen_transport test_audition test_lent send bundle test_sheet_thread",
                            "-Dtests=true", "-Dwindow=disabled", "-Dsheet=enabled", "-Dpage=disabled", "-Dbuildtype=debugoptimized", "-Db_sanitize=thread", "-Db_lundef=false")),
    Step("OSC: no two threads are in each other's way", check("threads"), (BUILT_RACED,), timed=True, alone="time"),
    Step("the sheet's thread and the window's are not in each other's way", check("sheet_threads"), (BUILT_RACED,)),
    Step("following by ear: no two threads are in each other's way", check("listen_threads"), (BUILT_RACED,)),
    Step("OSC: valgrind has nothing to say", check("memory"), (BUILT,)),
    Step("the sheet", python("sheet/run.py", PLAIN, TOP), (BUILT,), counted=True),
    Step(DEMO, ["sh", TOP / "plugin/demo.sh"], env=(("DISPLAY", None),)),
    Step("the demo plays again, and installs", check("install_own"), (DEMO,), env=(("DISPLAY", None),)),
    Step("pictures", shell("pictures/run.sh", PLAIN / "tests/pictures/compare", TOP / "build-demo/demo"),
         (BUILT, "the demo plays again, and installs"), counted=True),
    WALLS,
    FORMAT,
    Step("the bundle is valid", shell("check_bundle.sh", PLAIN / "lv2"), (BUILT,)),
    Step("chords agree with an outside dictionary", check("tonal"), (BUILT,)),
    Step("ABC agrees with two outside readers", check("abc"), (BUILT,)),
    Step("MIDI files agree with an outside reader", check("smf"), (BUILT,)),
    Step("OSC packets agree with an outside decoder, and with oscdump", check("osc"), (BUILT,), timed=True, alone="time"),
    *(Step(f"fuzzing finds {what}: {name}", python("fuzz/run.py", how, name, FUZZED / "tests/fuzz"), (BUILT_FUZZERS,))
      for name in FUZZERS for how, what in (("short", "nothing"), ("planted", "a planted bug"))),
]

QUICK_BUILD = TOP / "build-quick"
QUICK = [
    Step("builds without a warning", check("build", QUICK_BUILD, "", "-Dtests=true"), cores=2),
    Step("core and plugin", python("meson_count.py", QUICK_BUILD), ("builds without a warning",), cores=2, counted=True,
         env=(("REEDLAMP_MAPS", "6"), ("REEDLAMP_FEW", "1"))),
    WALLS,
    FORMAT,
]


class Running:
    """A step at work, in a process group of its own. (A session of its own would take the nice value's effect away where
    the kernel shares out time by session.)"""

    def __init__(self, step, number, ended):
        self.step, self.path, self.began = step, LOGS / f"{number:02}-{re.sub('[^a-zA-Z0-9]+', '-', step.name)}.log", time.monotonic()
        env = {**os.environ, **{name: value for name, value in step.env if value is not None}}
        for name in (name for name, value in step.env if value is None):
            env.pop(name, None)
        self.status, self.processor, self.late = None, 0.0, False
        nice = [] if step.timed else ["nice", "-n", str(NICE)]
        with self.path.open("wb") as log:
            self.process = subprocess.Popen([*nice, *map(str, step.command)], env=env, stdin=subprocess.DEVNULL, stdout=log,
                                            stderr=log, process_group=0)
        self.thread = threading.Thread(target=self.wait, args=(ended,), daemon=True)
        self.thread.start()

    def wait(self, ended):
        _, status, used = os.wait4(self.process.pid, 0)
        self.status = self.process.returncode = os.waitstatus_to_exitcode(status)
        self.processor = used.ru_utime + used.ru_stime
        ended.put(self)

    def signal(self, number):
        try:
            os.killpg(self.process.pid, number)
        except ProcessLookupError:
            pass

    def watch(self):
        """Ends a step that takes too long."""
        age = time.monotonic() - self.began
        if age > LIMIT:
            self.signal(signal.SIGKILL if age > LIMIT + 15 else signal.SIGTERM)
            self.late = True

    def said(self):
        return self.path.read_text(errors="replace")


class Report:
    """What has come of the steps, and what is printed."""

    def __init__(self):
        self.passed = self.failed = self.skipped = 0
        self.skips, self.again, self.times = [], [], []

    def show(self, log):
        for line in log.rstrip("\n").split("\n"):
            print("    " + line)

    def fail(self, name, why, log=""):
        self.failed += 1
        print(f"not ok - {name}{why}")
        if log:
            self.show(log)

    def skip(self, name, why):
        self.skips.append(f"{name}: {why}")

    def ended(self, run):
        """Takes in a step that has ended; returns whether it passed."""
        took, log, name = time.monotonic() - run.began, run.said(), run.step.name
        self.times.append((took, run.processor, name))
        self.again += [line[len("again - "):] for line in log.splitlines() if line.startswith("again - ")]
        if run.late:
            self.fail(name, f": not done after {LIMIT} s", log)
            return False
        good = (self.counted if run.step.counted else self.plain)(name, run.status, log, took)
        sys.stdout.flush()
        return good

    def plain(self, name, status, log, took):
        if status == SKIPPED:
            self.skipped += 1
            why = (log.strip().splitlines() or ["it does not say why"])[-1]
            self.skip(name, why)
            print(f"skipped - {name}: {why}")
        elif status == 0:
            self.passed += 1
            print(f"ok - {name} ({took:.0f} s)")
        else:
            self.fail(name, f" (it ended with {status})", log)
        return status in (0, SKIPPED)

    def counted(self, name, status, log, took):
        tally = TALLY.findall(log)
        if not tally:
            self.fail(name, f" ended with {status} before it could count", log)
            return False
        passed, failed, skipped = map(int, tally[-1])
        for line in log.splitlines():
            if line.startswith(("ok ", "not ok ", "skipped ", "again ")):
                print("    " + line)
            if line.startswith("skipped - "):
                self.skips.append(f"{name}: {line[len('skipped - '):]}")
        self.passed += passed
        self.failed += failed
        self.skipped += skipped
        print(f"{name}: {passed} passed, {failed} failed, {skipped} skipped ({took:.0f} s)")
        if failed:
            self.show(log)
        elif status or not passed + skipped:
            self.fail(name, f" ended with {status} although nothing it counted has failed", log)
            return False
        return not failed

    def end(self, took):
        print(f"\nThe slowest of {len(self.times)} steps, {took / 60:.1f} minutes in all on {CORES} processors "
              f"({sum(t[1] for t in self.times) / 60:.1f} of processor time):")
        for wall, processor, name in sorted(self.times, reverse=True)[:SLOWEST]:
            print(f"  {wall:6.0f} s {processor:6.0f} s of processor  {name}")
        for title, lines in (("Tried again", self.again), ("Skipped", self.skips)):
            print(f"{title}: {len(lines) or 'none'}")
            for line in lines:
                print("  " + line)
        print(f"{self.passed} passed, {self.failed} failed, {self.skipped} skipped", flush=True)
        return 0 if self.passed and not self.failed else 1


def chosen(steps, words):
    """The steps with a word in their name, and what they need."""
    if not words:
        return steps
    names = {s.name for s in steps if any(word in s.name for word in words)}
    while True:
        more = {need for s in steps if s.name in names for need in s.after} - names
        if not more:
            return [s for s in steps if s.name in names]
        names |= more


class Schedule:
    """Which step begins when."""

    def __init__(self, steps):
        self.report, self.waiting, self.running = Report(), list(steps), []
        self.good, self.bad, self.ended, self.number = set(), set(), queue.Queue(), 0

    def fits(self, step):
        if any(step.alone and step.alone == run.step.alone for run in self.running):
            return False
        used = [run.step.cores for run in self.running if not run.step.timed]
        return step.timed or not used or sum(used) + step.cores <= CORES + 0.001

    def begin(self):
        """Begins what can be begun; what needs a step that has failed has failed too."""
        for step in list(self.waiting):
            missing = [need for need in step.after if need in self.bad]
            if missing:
                self.waiting.remove(step)
                self.bad.add(step.name)
                self.report.fail(step.name, f": not run, since this failed: {missing[0]}")
            elif all(need in self.good for need in step.after) and self.fits(step):
                self.waiting.remove(step)
                self.number += 1
                self.running.append(Running(step, self.number, self.ended))

    def run(self):
        began = time.monotonic()
        while self.waiting or self.running:
            self.begin()
            try:
                run = self.ended.get(timeout=5)
            except queue.Empty:
                for run in self.running:
                    run.watch()
                continue
            self.running.remove(run)
            run.signal(signal.SIGTERM)  # what it has left behind
            (self.good if self.report.ended(run) else self.bad).add(run.step.name)
        return self.report.end(time.monotonic() - began)

    def end(self):
        """Ends what still runs, as after an interrupt."""
        for run in self.running:
            run.signal(signal.SIGTERM)
        for run in self.running:
            run.thread.join(20)
            run.signal(signal.SIGKILL)


def interrupted(*_):
    raise KeyboardInterrupt


def main(words):
    for number in (signal.SIGHUP, signal.SIGTERM):
        if signal.getsignal(number) != signal.SIG_IGN:  # as nohup has it
            signal.signal(number, interrupted)
    with open(TESTS / ("quick.sh" if "--quick" in words else "run.sh"), encoding="utf-8") as lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            print(f"{lock.name} is running already", file=sys.stderr)
            return 1
        shutil.rmtree(LOGS, ignore_errors=True)
        LOGS.mkdir()
        schedule = Schedule(chosen(QUICK if "--quick" in words else STEPS, [w for w in words if not w.startswith("--")]))
        try:
            return schedule.run()
        except KeyboardInterrupt:
            return 130
        finally:
            schedule.end()


sys.exit(main(sys.argv[1:]))
