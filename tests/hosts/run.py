# SPDX-License-Identifier: ISC
"""Runs the tests in real hosts: see run.sh. Usage: run.py SHADOW REAL TIMEBASE SCRATCH WITHOUT [WORD...]
SHADOW is the folder with the bundle that holds the probe, REAL the plugin's library; WITHOUT names hosts
that are not there; of many tests only those with one of the WORDs in their name run."""
import concurrent.futures
import os
import sys
import tempfile
import threading

import ardour
import jalv
import judging
import trace

TRIES = 3  # where the host contradicts itself
AT_ONCE = 2  # of each host: Ardour needs the processor, jalv the clock on the wall
printing = threading.Lock()


def say(words):
    """A whole line, whoever else is printing."""
    with printing:
        print(words, flush=True)


def judged(name, test, stage):
    """The verdict of one test, in a folder of its own."""
    for left in reversed(range(TRIES)):
        try:
            return test(stage() if stage else None)
        except trace.Contradiction as contradiction:
            if not left:
                raise
            say('# %s: %s; once more' % (name, contradiction))


def run_one(name, test, stage):
    """One test; prints its line, returns whether it passed."""
    try:
        judge = judged(name, test, stage)
        why = '; '.join(judge.faults[:3]) + ('; %d in all' % len(judge.faults) if len(judge.faults) > 3 else '')
        figures = ' (%d bar lines, at worst %.0f frames off; all places %.0f)' % (
            judge.lines, judge.worst_line, judge.worst_place) if judge.lines else ''
    except Exception as error:  # whatever went wrong, the test has not passed
        why, figures = '%s: %s' % (type(error).__name__, ' '.join(str(error).split())), ''
    say('not ok - %s: %s' % (name, why) if why else 'ok - %s%s' % (name, figures))
    return not why


def main(shadow, real, timebase, scratch, without, *words):
    def folder(name):
        return tempfile.mkdtemp(prefix=''.join(c if c.isalnum() else '_' for c in name) + '-', dir=scratch)

    plans = [('the judge', judging.TESTS, None),
             ('Ardour', ardour.TESTS, lambda name: ardour.Studio(folder(name), shadow, real)),
             ('jalv', jalv.TESTS, lambda name: jalv.Stage(folder(name), shadow, real, timebase))]
    jobs, pools = [], []
    for host, tests, stage in plans:
        if host in without.split(','):
            continue
        pools.append(concurrent.futures.ThreadPoolExecutor(AT_ONCE))
        for title, test in tests:
            name = '%s: %s' % (host, title)
            if not words or any(w in name for w in words):
                jobs.append(pools[-1].submit(run_one, name, test, stage and (lambda n=name, s=stage: s(n))))
    results = [job.result() for job in jobs]
    print('%d %d' % (results.count(True), results.count(False)), file=open(os.path.join(scratch, 'count'), 'w'))
    return 0


sys.exit(main(*sys.argv[1:]))
