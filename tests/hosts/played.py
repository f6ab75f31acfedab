# SPDX-License-Identifier: ISC
"""The player heard in real hosts: Reedlamp mono on a track where a synthetic harp plays. What it says by its outputs and by
OSC is held against the notes that were written."""
import array
import math
import time
import wave

import ardour
import by_ear
import jalv
import listener

RATE = 48000
# C harp: seconds from and to, MIDI number, hole, technique as PORTS.md counts
NOTES = [(1.0, 1.6, 74, 4, 4), (1.9, 2.5, 72, 4, 0), (2.8, 3.1, 79, 6, 0), (3.3, 3.6, 77, 5, 4), (3.9, 4.8, 73, 4, 5),
         (5.1, 5.5, 71, 3, 4), (5.7, 6.1, 76, 5, 0)]
SECONDS, LATE, RINGS = 7, 0.08, 0.12  # a note is known, its end is, after so long
TOLD = {0: 'blow', 4: 'draw', 5: 'draw1'}


def record(folder):
    """A WAV file of reeds: eight partials that fall 4 dB an octave, 15 ms of attack."""
    sound = [0.0] * (SECONDS * RATE)
    for start, end, midi, _, _ in NOTES:
        turn = 2 * math.pi * 440 * 2 ** ((midi - 69) / 12) / RATE
        for i in range(int(start * RATE), int(end * RATE)):
            shape = min(1, (i / RATE - start) / 0.015, (end - i / RATE) / 0.015)
            sound[i] += 0.06 * shape * sum(n ** -0.66 * math.sin(turn * n * i + n * n) for n in range(1, 9))
    path = folder + '/harp.wav'
    with wave.open(path, 'wb') as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes(array.array('h', (int(32767 * x) for x in sound)).tobytes())
    return path


def wanted(seconds):
    """Hole and technique at that second; None where it is not to be judged."""
    for start, end, _, hole, how in NOTES:
        if start + LATE <= seconds < end - 0.02:
            return hole, how
        if start - 0.03 <= seconds < end + RINGS:
            return None
    return 0, 0


def judge(blocks):
    """All outputs of a stretch of rolling."""
    verdict = by_ear.Verdict()
    rolled = [b for b in blocks if b.rolling and b.frame is not None]
    right = wrong = 0
    for block in rolled:
        want = wanted(block.end() / RATE)
        if want:
            right += block.out[5:7] == want
            wrong += block.out[5:7] != want
    if right + wrong < 500 or wrong > 0.02 * right:
        verdict.fault('heard_hole is wrong in %d of %d blocks' % (wrong, right + wrong))
    if not any(block.out[7] > -40 for block in rolled):
        verdict.fault('heard_level never rises')
    return verdict


def in_ardour(studio):
    """The mono plugin on a microphone's track that holds what was played."""
    music = ardour.Map([(0, 120, 4)], [(0, 4, 4)], 8)
    make = ['track audio 1', 'plugin ' + ardour.MONO, *music.steps(), 'set %d 2' % ardour.port('harp_from', ardour.MONO)]
    return judge(studio.play_recording(record(studio.folder), SECONDS * RATE, make, 'roll', 'until %d' % (SECONDS * RATE), 'stop'))


def in_jalv(stage):
    """In real time under JACK, by the side chain, and by OSC."""
    wav, ear = record(stage.folder), listener.Listener()
    try:
        blocks = stage.play(['0:4:4:120'], 'sleep 1', jalv.BEGIN, 'until %d' % (SECONDS * RATE), jalv.STOP, wav=wav, plugin=ardour.MONO,
                            typed=[(1, 'harp_from = 1'), (1.2, 'send_osc = 1')])
        time.sleep(0.5)
    finally:
        ear.close()
    verdict = judge(blocks)
    heard = [(when, values[:2]) for when, values in ear.all('/reedlamp/heard') if values[0]]
    onsets = [x for x, before in zip(heard, [(0, None)] + heard) if x[1] != before[1]]
    if [values for _, values in onsets] != [[hole, TOLD[how]] for _, _, _, hole, how in NOTES]:
        verdict.fault('by OSC came %s' % [values for _, values in onsets])
    elif any(later <= sooner for (sooner, _), (later, _) in zip(onsets, onsets[1:])):
        verdict.fault('time tags go back')  # the dummy driver's pace is its own, so no more can be asked of them
    return verdict


TESTS = {'Ardour': [('a harp on a microphone\'s track is heard', in_ardour)],
         'jalv': [('a harp on the side chain is heard, and told by OSC', in_jalv)]}
