# SPDX-License-Identifier: ISC
"""A host at work, seen from outside: its windows, and what the plugin in it says by OSC. For others.py, which knows where
`listener` and `stage` are."""
import os
import time

import listener
import stage

CHART = 'title: Two Boats\nkey: D\n| I7 | IV7 | V7 |\n'
BEAT = 0.5  # seconds: every session here is at 120 in 4/4


class Visit:
    """A host at work on a screen of its own, heard by OSC."""

    def __init__(self, host, folder, tools, bundles, sequencer, again):
        self.host, self.sequencer = host, sequencer
        self.screen = stage.Screen(os.path.join(folder, host), tools, bundles, managed=True)
        self.screen.env['LV2_PATH'] = bundles + ':/usr/lib/lv2'
        self.folder = self.screen.folder
        os.chmod(self.folder, 0o700)
        os.makedirs(os.path.join(self.folder, 'config'), exist_ok=True)
        stage.jack(self.screen, '%s%d' % (host.lower(), os.getpid()), again)
        self.osc = listener.Listener()

    def close(self):
        self.osc.close()
        self.screen.close()

    def start(self, *command, **env):
        return self.screen.start(command[0], list(command), env=env)

    def do(self, *words):
        self.screen.look('xdotool', *map(str, words))

    def window(self, title, patience=60):
        """The id of the host's window with that title; waits for it."""
        return stage.until('a window "%s"' % title, lambda: self.screen.frames(title), patience)[0]

    def key(self, window, *keys):
        self.do('windowactivate', '--sync', window)
        for key in keys:
            self.do('key', key)
            time.sleep(0.3)

    def click(self, window, x, y, times=1):
        """At that place of the window's inside; brings a host's window to the front first."""
        if window not in self.screen.lamps():
            self.do('windowactivate', '--sync', window)
        self.do('mousemove', '--window', window, x, y)
        time.sleep(0.3)
        self.do('click', '--repeat', times, '--delay', 120, 1)
        time.sleep(0.7)

    def menu(self, window, x, y, *keys):
        """The menu of that place, and keys that choose from it."""
        self.do('windowactivate', '--sync', window, 'mousemove', '--window', window, x, y)
        self.do('click', 3)
        time.sleep(1)
        for key in keys:
            self.do('key', key)
            time.sleep(0.4)

    def preset(self):
        """It plays a preset's chart."""
        stage.until("a preset's chart", lambda: (self.chart() or '').startswith('# ') and self.chart() != CHART, 20)

    def lamps(self):
        """The plugin's own window, once it has been drawn."""
        return stage.until("Reedlamp's window", lambda: [w for w in self.screen.lamps() if (self.screen.drawn(w) or ('', 0))[1] > 4])

    def chart(self):
        """The chart it plays, as the plugin tells it."""
        told = self.osc.last('/reedlamp/chart')
        return told and told[2]

    def beats(self, least):
        """The music rolls in 4/4 through a form of three bars: so many beats on end are told once each, in order, and three
        quarters of them in time. (Not in real time as it is, JACK leaps where the machine has other things to do.)"""
        def told():
            return any(self.straight(self.places()[first:first + least], least) for first in range(200))
        try:
            stage.until('%d beats in order and in time' % least, told, 60)
        except stage.Wrong as wrong:
            raise stage.Wrong('%s; told: %s' % (wrong, ' '.join('%d:%d:%d@%.2f' % (v[0], v[1], round(v[3]), w % 1000)
                                                               for w, v in self.places()[-24:]))) from wrong

    @staticmethod
    def straight(places, least):
        numbers = [(chorus - 1) * 12 + (bar - 1) * 4 + round(beat) - 1 for _, (chorus, bar, _, beat, _) in places]
        late = sum(abs(b[0] - a[0] - BEAT) > 0.03 for a, b in zip(places, places[1:]))
        return len(places) == least and all(b - a == 1 for a, b in zip(numbers, numbers[1:])) and late <= least / 4

    def places(self):
        """The beats told while it rolls, without what is told again every two seconds."""
        kept = []
        for when, values in self.osc.all('/reedlamp/place'):
            on_beat = abs(values[3] - round(values[3])) < 0.02
            if values[1] and on_beat and (not kept or values[:2] + [round(values[3])] != kept[-1][1][:2] + [round(kept[-1][1][3])]):
                kept.append((when, values))
        return kept
