# SPDX-License-Identifier: ISC
"""The window in Ardour while a recording plays on Reedlamp's own track, as pictures to be looked at: a harp that is heard, a
band that is followed by ear at a tempo and meter that the session does not know, a horn's phrase that is looped, lifted, put
on bar 9 by mouse and played from the lane; and the band in jalv. Usage: moments.py BUILD FOLDER [harp|band|phrase|jalv]
Takes six minutes; needs what run.sh needs, `phrase` also what ../ear/lift does, and no hands off the keyboard: its screen is
its own."""
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
# At 120, over bars 5 and 6 of the slow drag in G: places and lengths in twelfths of a beat, MIDI numbers
HORN = [(192, 12, 72), (204, 8, 70), (212, 4, 67), (216, 8, 64), (224, 4, 67), (228, 10, 70), (240, 8, 72), (248, 4, 74),
        (252, 8, 76), (260, 4, 72), (264, 20, 67)]
ROOTS = (0, 5, 0, 0, 5, 5, 0, 9, 2, 7, 0, 7)
FIELDS = {'write down from': 16}


def horn(folder):
    """A tenor saxophone twice as loud as its band."""
    sys.path.append(os.path.join(HERE, '..', 'ear', 'lift'))
    from pathlib import Path
    import generator
    import numpy
    rng, path = numpy.random.default_rng(4), Path(folder, 'horn.wav')
    notes = [generator.Note(*note) for note in HORN]
    generator.perform(rng, notes, 0.5, 0.62, False)
    blown = generator.horn(rng, notes, 'fluid', 66, 8, 26.5)
    band = generator.band(rng, ROOTS, 7, 0.5, 0.62, 13, 'fluid', 5, 0)[:len(blown)]
    loud = [numpy.sqrt(numpy.mean(sound[8 * 48000:12 * 48000] ** 2.0)) for sound in (blown, band)]
    mix = blown / loud[0] + band / loud[1] / 2
    generator.stereo_write(path, (0.7 * mix / abs(mix).max())[:, None], 48000)
    return str(path)


def click(doing, value=0, **where):
    return lambda screen, window: screen.click(window, doing, value, **where)


def key(*keys):
    """Into Reedlamp's own window."""
    def press(screen, window):
        screen.look('xdotool', 'mousemove', '--window', window, '4', '4', 'click', '1')
        screen.look('xdotool', 'key', '--delay', '60', *keys)
    return press


# What is done: seconds of the music at which a picture is taken, and its name; a key of Ardour's, the music's start anew; or
# something in Reedlamp's window
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
    'phrase': (lambda folder: (horn(folder), 26 * 48000),
               [*ardour.Map([(0, 120, 4)], [(0, 4, 4)], 60).steps(), 'preset ' + by_ear.label()],
               [click('practice'), (0, 'practice'), click('field', FIELDS['write down from'], page='practice'), (0, 'sources'),
                click('choose', 2, page='practice', field=FIELDS['write down from']), (0, 'from-the-track'),
                click('practice', page='practice'), 'l', (9, 'looped'), click('keep-last'), (10.5, 'kept'),
                lambda screen, window: screen.drag(window, 4, 5), (12, 'bars-chosen'), click('capture'), (14, 'bars-taken'),
                'space', (0.5, 'stopped'),
                click('phrases'), (1.5, 'phrases'), click('panel', 1, page='take'), (2.5, 'notes'),
                key('ctrl+Right'), (3.5, 'next-note'), click('panel', 1, page='lifted'), (4, 'take'),
                *[click('bar-by', 1, page='take')] * 4, (6, 'bar-9'), click('put', page='take'), (7, 'put'),
                click('phrases', page='take'), (8, 'music'), 'Home', 'space', (0.5, 'from-the-start'), (13.5, 'before-bar-9'),
                (16.3, 'bar-9-plays'), (18.6, 'bar-10-plays'), (20.5, 'over')]),
}
LOOPS = {'phrase': (4 * 96000, 6 * 96000)}


def picture(screen, window, name):
    subprocess.run(['import', '-window', window, os.path.join(FOLDER, name + '.png')], env=screen.env, timeout=30, check=True)
    print(name + '.png', flush=True)


def opened(screen, host):
    """The plugin's window."""
    place = stage.plugins(screen)[0]
    for _ in range(10):
        screen.look('xdotool', 'mousemove', str(place[0]), str(place[1]), 'click', '--repeat', '2', '--delay', '40', '1')
        try:
            stage.until('the window', lambda: len(screen.lamps()) == 1, 8, [host])
        except stage.Wrong:
            continue
        time.sleep(2)  # a slow machine takes a double click for two of them, and closes it again
        if screen.lamps():
            return screen.lamps()[0]
    raise stage.Wrong('no window')


def play(screen, window, name, done):
    began, number = time.monotonic(), 0
    for what in done:
        if callable(what):
            what(screen, window)
            time.sleep(0.4)
        elif isinstance(what, str):
            before = screen.drawn(window)
            stage.focus(screen)
            screen.look('xdotool', 'key', what)
            stage.until('the picture to change', lambda: screen.drawn(window) != before, 10)
            began = time.monotonic()
        else:
            number += 1
            time.sleep(max(0, began + what[0] - time.monotonic()))
            picture(screen, window, '%s-%d-%s' % (name, number, what[1]))


def laid(studio, record, folder, loop):
    studio.lay(*record(folder))
    if loop:
        studio.locations(loop=loop)


# jalv has its form from nobody else, so the band plays the one that is there at first
TWELVE = 'key: G\nmeter: 4/4\n| I7 | % | % | % |\n| IV7 | % | I7 | % |\n| V7 | IV7 | I7 | V7 |\n'
JALV = ['roll', 'until', '1440000', 'locate', '960000', 'until', '1150000', 'stop', 'sleep', '4', 'roll', 'until', '1440000']
# Seconds after it rolls
JALV_SEEN = [(2, 'listening'), (15, 'found'), (28, 'followed'), (31, 'located'), (33, 'goes-on'), (36, 'stopped'), (38.6, 'started-again'),
             (42, 'and-on')]


def in_jalv():
    """The transport is JACK's, at another tempo and meter than the band."""
    tests = BUILD + '/tests/hosts/'
    with tempfile.TemporaryDirectory() as folder:
        chart, wav = folder + '/twelve.chart', folder + '/band.wav'
        with open(chart, 'w', encoding='utf-8') as file:
            file.write(TWELVE)
        subprocess.run([BUILD + '/tests/listen/band_write', chart, wav, '60', str(by_ear.TEMPO), '7', '0', '48000'], check=True)
        screen = stage.Screen(folder + '/screen', BUILD + '/tests/window', BUILD + '/lv2', managed=True)
        try:
            stage.jack(screen, 'moments%d' % os.getpid(), print)
            master = screen.start('timebase', [tests + 'timebase', '0:3:4:133', 'do', 'wait', 'table', 'take', 'locate', '0', 'sleep', '8', *JALV],
                                  stdin=subprocess.PIPE)
            screen.start('turntable', [tests + 'turntable', 'table', wav, '^jalv:in_(left|right)$'])
            host = screen.start('jalv.gtk3', ['jalv.gtk3', '-n', 'jalv', '-c', 'clock=2', '-x', 'urn:reedlamp:plugin'])
            stage.until('the window', screen.lamps, alive=[host, master])
            window = screen.lamps()[0]
            time.sleep(1)
            picture(screen, window, 'jalv-0-before')
            before = screen.drawn(window)
            stage.until('the music', lambda: screen.drawn(window) != before, 30, [host])
            play(screen, window, 'jalv', JALV_SEEN)
        finally:
            screen.close()


def main(names):
    os.makedirs(FOLDER, exist_ok=True)
    for name in names:
        if name == 'jalv':
            in_jalv()
            continue
        record, make, done = SCENES[name]
        with tempfile.TemporaryDirectory() as folder:
            screen = stage.Screen(folder + '/screen', BUILD + '/tests/window', BUILD + '/lv2', managed=True)
            try:
                stage.jack(screen, 'moments%d' % os.getpid(), print)
                studio = ardour.Studio(screen.folder, '', '', print)
                steps = '\n'.join(['new %s', 'track audio 1', 'plugin ' + MONO, *make, 'sleep 0.5', 'save'])
                host = stage.ardour(screen, os.path.join(HERE, '..', 'hosts', 'ardour.lua'), steps,
                                    lambda: laid(studio, record, screen.folder, LOOPS.get(name)))
                window = opened(screen, host)
                picture(screen, window, name + '-0-before')
                play(screen, window, name, done)
            finally:
                screen.close()


main(sys.argv[3:] or [*SCENES, 'jalv'])
