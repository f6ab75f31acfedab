# SPDX-License-Identifier: ISC
"""The window in Ardour while a recording plays on Reedlamp's own track, as pictures to be looked at: a harp that is heard, a
band that is followed by ear at a tempo and meter that the session does not know. Usage: moments.py BUILD FOLDER [harp|band]
Takes two minutes; needs what run.sh needs, and no hands off the keyboard: its screen is its own."""
import os
import subprocess
import sys
import tempfile
import time

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path[:0] = [os.path.join(HERE, '..'), os.path.join(HERE, '..', 'hosts')]

import ardour  # noqa: E402
import by_ear  # noqa: E402
import played  # noqa: E402
import stage  # noqa: E402

BUILD, FOLDER = map(os.path.abspath, sys.argv[1:3])
MONO = ardour.MONO

# A C harp in G at 120: from and to, in seconds, and MIDI numbers. Bar 5, C7, begins at 8, chorus 2 at 24.
HARP = [(1, 3, 74), (3.5, 6, 73.2), (6.3, 7.6, 74), (6.3, 7.6, 77), (7.9, 9.5, 70), (12, 12.6, 71), (16, 16.6, 72), (18, 18.6, 70),
        (20, 20.6, 71), (22, 22.6, 72)]
# What is done: seconds of the music at which a picture is taken, and its name; or a key of Ardour's, the music's start anew
SCENES = {
    'harp': (lambda folder: (played.record(folder, HARP, 32), 32 * 48000),
             [*ardour.Map([(0, 120, 4)], [(0, 4, 4)], 60).steps(), 'set %d 2' % ardour.port('harp_from', MONO)],
             ['space', (2, 'a-note'), (5, 'a-bend-20-cents-high'), (7, 'two-notes'), (8.6, 'landed'), (11, 'nothing'),
              (25, 'after-the-chorus')]),
    'band': (lambda folder: (by_ear.record(folder, BUILD + '/tests/listen/band_write'), by_ear.SECONDS * 48000),
             [*ardour.Map([(0, 133, 4)], [(0, 3, 4)], 12).steps(), 'preset ' + by_ear.label(),
              'set %d 2' % ardour.port('clock', MONO)],
             ['space', (1.5, 'listening'), (9, 'found'), (30, 'followed'), 'Home', (1, 'located'), (9, 'found-again'), 'space',
              (1, 'stopped'), 'space', (0.7, 'started-again'), (6, 'goes-on')]),
}


def picture(screen, window, name):
    subprocess.run(['import', '-window', window, os.path.join(FOLDER, name + '.png')], env=screen.env, timeout=30, check=True)
    print(name + '.png', flush=True)


def opened(screen, host):
    """The plugin's window."""
    place = stage.plugins(screen)[0]
    for _ in range(10):
        screen.look('xdotool', 'mousemove', str(place[0]), str(place[1]), 'click', '--repeat', '2', '--delay', '40', '1')
        try:
            stage.until('the window', lambda: len(screen.lamps()) == 1, 4, [host])
            break
        except stage.Wrong:
            continue
    time.sleep(1)
    return screen.lamps()[0]


def play(screen, window, name, done):
    picture(screen, window, name + '-0-before')
    began = number = 0
    for what in done:
        if isinstance(what, str):
            before = screen.drawn(window)
            stage.focus(screen)
            screen.look('xdotool', 'key', what)
            stage.until('the picture to change', lambda: screen.drawn(window) != before, 10)
            began = time.monotonic()
        else:
            number += 1
            time.sleep(max(0, began + what[0] - time.monotonic()))
            picture(screen, window, '%s-%d-%s' % (name, number, what[1]))


def main(names):
    os.makedirs(FOLDER, exist_ok=True)
    for name in names:
        record, make, done = SCENES[name]
        with tempfile.TemporaryDirectory() as folder:
            screen = stage.Screen(folder + '/screen', BUILD + '/tests/window', BUILD + '/lv2', managed=True)
            try:
                stage.jack(screen, 'moments%d' % os.getpid(), print)
                studio = ardour.Studio(screen.folder, '', '', print)
                steps = '\n'.join(['new %s', 'track audio 1', 'plugin ' + MONO, *make, 'sleep 0.5', 'save'])
                host = stage.ardour(screen, os.path.join(HERE, '..', 'hosts', 'ardour.lua'), steps,
                                    lambda: studio.lay(*record(screen.folder)))
                play(screen, opened(screen, host), name, done)
            finally:
                screen.close()


main(sys.argv[3:] or list(SCENES))
