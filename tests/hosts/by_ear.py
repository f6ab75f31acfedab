# SPDX-License-Identifier: ISC
"""The song followed by ear in real hosts: a region on an Ardour track, turntable.c under JACK play a band at a tempo that the
host does not know, and the plugin sits behind it. The reference is the band's own arithmetic along the frames that the host
tells."""
import os
import subprocess
import sys

import ardour
import jalv
import trace

TEMPO, SECONDS = 107, 90
BEAT = 48000 * 60 / TEMPO  # frames
PRESET, BEATS = 'twelve-bar-slow-drag', 48
PRESETS = os.path.join(os.path.dirname(os.path.abspath(__file__)), '..', '..', 'presets')
CHART = os.path.join(PRESETS, PRESET + '.chart')
LATE, WITHIN = 2048, 0.35  # frames in which a locate may still be answered; beats


def record(folder, write):
    """The band as a WAV file, playing the preset in its own key."""
    wav = os.path.join(folder, 'band.wav')
    subprocess.run([write, CHART, wav, str(SECONDS), str(TEMPO), '7', '0', '48000'], check=True, timeout=60)
    return wav


class Verdict:
    """What run.py prints."""

    def __init__(self):
        self.faults, self.lines, self.worst_line, self.worst_place = [], 0, 0.0, 0.0

    def fault(self, words):
        """Something is wrong."""
        self.faults.append(words)


def claimed(block):
    """Does the plugin say where the music is?"""
    return block.out[1] != 0 and block.out[4] > 0


def off(block):
    """How far off its place is, in beats, whatever the chorus; as it is at the block's end."""
    here = (block.out[1] - 1) * 4 + block.out[2] - 1
    apart = (here - block.end() / BEAT) % BEATS
    return min(apart, BEATS - apart)


def stretches(blocks):
    """The blocks from each jump of the transport to the next, while it rolls."""
    found = []
    for block in blocks:
        if block.rolling and block.frame is not None:
            if block.new or not found:
                found.append([])
            found[-1].append(block)
    return found


def judge(blocks, want):
    """`want`: for each stretch of rolling the seconds after which the place must be known, and stay so."""
    verdict, found = Verdict(), [s for s in stretches(blocks) if len(s) > 50]
    if len(found) != len(want):
        raise RuntimeError('%d stretches of rolling, not %d' % (len(found), len(want)))
    for number, (stretch, seconds) in enumerate(zip(found, want), 1):
        start = stretch[0].frame
        wrong = [b for b in stretch if claimed(b) and b.frame > start + LATE and off(b) > WITHIN]
        known = [b for b in stretch if b.frame > start + seconds * 48000]
        silent = [b for b in known if not claimed(b)]
        if wrong:
            verdict.fault('stretch %d: %d blocks elsewhere, the first at frame %d by %.2f beats'
                          % (number, len(wrong), wrong[0].frame, off(wrong[0])))
        if len(known) < 100 or len(silent) > len(known) / 20:
            verdict.fault('stretch %d: no place in %d of %d blocks after %g s'
                          % (number, len(silent), len(known), seconds))
    return verdict


# ---- Ardour ----

def ardour_tests(write):
    """Its tests, with the program that writes the recording."""
    def played(studio, *steps, plugin=ardour.MONO, loop=None):
        """The blocks of a session, saved and opened, whose track holds the recording."""
        music = ardour.Map([(0, 133, 4)], [(0, 3, 4)], 12)  # neither tempo nor meter are the song's
        make = ['track audio %d' % (2 if plugin == ardour.STEREO else 1), 'plugin ' + plugin, *music.steps(), 'preset ' + label(),
                'set %d 2' % ardour.port('clock', plugin)]
        return studio.play_recording(record(studio.folder, write), SECONDS * 48000, make, *steps, loop=loop)

    def test(*steps, want, plugin=ardour.MONO):
        return lambda studio: judge(played(studio, *steps, plugin=plugin), want)

    def looped(studio):
        """Ends of the loop that are no bar lines, in the part that was heard before: every pass is known at once."""
        blocks = played(studio, 'roll', 'until 1100000', 'loop', 'rounds 4', 'unloop', 'stop', loop=(720001, 1000000))
        passes = [s for s in stretches(blocks) if s[-1].frame > s[0].frame + 200000]
        verdict = judge([b for s in passes for b in s], [15] + [0] * (len(passes) - 1))
        silent = sum(not claimed(b) for s in passes[1:] for b in s)
        if silent > 2 * len(passes):
            verdict.fault('no place in %d blocks of %d rounds' % (silent, len(passes) - 1))
        return verdict

    return [
        ('a recording is followed by ear', test('roll', 'until 1920000', 'stop', want=[25], plugin=ardour.STEREO)),
        ('by ear: locate, stop and start again',
         test('roll', 'until 1680000', 'locate 960000', 'until 1200000', 'stop', 'sleep 1', 'roll', 'until 1440000',
              'stop', want=[25, 0.2, 0.2])),
        ('by ear: a loop is known as soon as it comes round', looped),
    ]


def label():
    """What hosts call the preset."""
    sys.path.insert(0, PRESETS)
    import bundle  # noqa: E402
    with open(CHART, encoding='utf-8') as file:
        return bundle.label(PRESET, file.read())


# ---- jalv ----

# jalv finds a preset only once it has listed them
TYPED = [(1, 'presets'), (2, 'preset urn:reedlamp:preset:' + PRESET), (3, 'clock = 2')]


def jalv_tests(write):
    """The same under JACK, in real time."""
    def played(stage, steps, seconds):
        wav = record(stage.folder, write)
        return jalv.afresh(stage, lambda on: on.play(['0:3:4:133'], 'sleep 1', jalv.BEGIN, *steps, jalv.STOP, seconds=seconds,
                                                     wav=wav, typed=TYPED))

    def test(*steps, want, seconds):
        return lambda stage: judge(played(stage, steps, seconds), want)

    return [
        ('a recording is followed by ear', test('until 384000 until 768000 until 1152000 until 1536000', want=[25],
                                                seconds=90)),
        ('by ear: a locate back is known at once',
         test('until 384000 until 768000 until 1152000 until 1248000 locate 960000 until 1152000', want=[25, 0.2],
              seconds=90)),
    ]


TESTS = {'Ardour': ardour_tests, 'jalv': jalv_tests}
