# SPDX-License-Identifier: ISC
"""Runs the tests in real hosts: see run.sh. Usage: run.py BUNDLES SHADOW REAL TIMEBASE SCRATCH WITHOUT BAND [WORD...]
BUNDLES is the folder with the bundle, SHADOW the one with the bundle that holds the probe, REAL the plugin's library;
BAND writes what the plugin hears, empty: the build has no ear; WITHOUT names the hosts that are not installed, "HOST: WHY" a line; with WORDs only the tests that have one in their name run."""
import concurrent.futures
import os
import sys
import tempfile

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), '..'))

import ardour  # noqa: E402
import by_ear  # noqa: E402
import jalv  # noqa: E402
import judging  # noqa: E402
import offline  # noqa: E402
import played  # noqa: E402
import tally  # noqa: E402
import trace  # noqa: E402

TRIES = 3  # where the host contradicts itself
AT_ONCE = 2  # of each host: Ardour needs the processor, jalv the clock on the wall
count = tally.Tally()


def judged(name, test, stage):
    """The verdict of one test, in a folder of its own."""
    for left in reversed(range(TRIES)):
        try:
            return test(stage() if stage else None)
        except trace.Contradiction as contradiction:
            if not left:
                raise
            count.again(name, contradiction)


def run_one(name, test, stage):
    """One test; prints its line."""
    try:
        judge = judged(name, test, stage)
    except Exception as error:  # whatever went wrong, the test has not passed
        count.no(name, '%s: %s' % (type(error).__name__, ' '.join(str(error).split())))
        return
    if judge.faults:
        count.no(name, '; '.join(judge.faults[:3]) + ('; %d in all' % len(judge.faults) if len(judge.faults) > 3 else ''))
    else:
        count.ok(name, '%d bar lines, at worst %.0f frames off; all places %.0f' % (
            judge.lines, judge.worst_line, judge.worst_place) if judge.lines else '')


def main(bundles, shadow, real, timebase, scratch, without, band, *words):
    def folder(name):
        return tempfile.mkdtemp(prefix=''.join(c if c.isalnum() else '_' for c in name) + '-', dir=scratch)

    def studio(name):
        return ardour.Studio(folder(name), shadow, real, lambda why: count.again(name, why))

    def stage(name):
        return jalv.Stage(folder(name), shadow, real, timebase, lambda why: count.again(name, why))

    def bench(name):
        return offline.Bench(folder(name), bundles, shadow, real)

    heard = {host: tests(band) if band else [] for host, tests in by_ear.TESTS.items()}
    plans = [('the judge', judging.TESTS, None), ('Ardour', ardour.TESTS + heard['Ardour'] + played.TESTS['Ardour'], studio),
             ('jalv', jalv.TESTS + heard['jalv'] + played.TESTS['jalv'], stage)]
    plans += [(program, tests, bench) for program, tests in offline.PROGRAMS.items()]
    absent = tally.without(without)
    jobs = []
    for host, tests, make in plans:
        pool = concurrent.futures.ThreadPoolExecutor(AT_ONCE)
        for title, test in tests:
            name = '%s: %s' % (host, title)
            if words and not any(w in name for w in words):
                continue
            if host in absent:
                count.skip(name, absent[host])
            else:
                jobs.append(pool.submit(run_one, name, test, make and (lambda n=name, m=make: m(n))))
    for job in jobs:
        job.result()
    return count.end()


sys.exit(main(*sys.argv[1:]))
