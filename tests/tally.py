# SPDX-License-Identifier: ISC
"""What the runners in Python print and count; counting.sh names the lines."""
import threading


class Tally:
    """Counts tests; a whole line at a time, whoever else is printing."""

    def __init__(self):
        self.passed = self.failed = self.skipped = 0
        self.lock = threading.Lock()

    def say(self, words):
        with self.lock:
            print(words, flush=True)

    def ok(self, name, said=''):
        with self.lock:
            self.passed += 1
        self.say('ok - %s%s' % (name, said and ' (%s)' % said))

    def no(self, name, why):
        with self.lock:
            self.failed += 1
        self.say('not ok - %s: %s' % (name, why))

    def skip(self, name, why):
        with self.lock:
            self.skipped += 1
        self.say('skipped - %s: %s' % (name, why))

    def again(self, name, why):
        self.say('again - %s: %s' % (name, why))

    def end(self):
        """The last line; returns the exit status."""
        self.say('%d passed, %d failed, %d skipped' % (self.passed, self.failed, self.skipped))
        return 1 if self.failed or not self.passed + self.skipped else 0


def without(lines):
    """What is not there, and why: lines of "NAME: WHY"."""
    return dict(line.split(': ', 1) for line in lines.splitlines() if line)
