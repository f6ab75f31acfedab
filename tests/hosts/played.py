# SPDX-License-Identifier: ISC
"""The player heard in real hosts: Reedlamp mono on a track where a synthetic harp plays, Reedlamp that hears it by the side
chain. What it says by its outputs and by OSC, what it writes down and counts is held against the notes that were written."""
import array
import itertools
import math
import os
import re
import time
import wave

import ardour
import by_ear
import jalv
import listener
import trace

RATE = 48000
# C harp: seconds from and to, MIDI number, hole, technique as PORTS.md counts
NOTES = [(1.0, 1.6, 74, 4, 4), (1.9, 2.5, 72, 4, 0), (2.8, 3.1, 79, 6, 0), (3.3, 3.6, 77, 5, 4), (3.9, 4.8, 73, 4, 5),
         (5.1, 5.5, 71, 3, 4), (5.7, 6.1, 76, 5, 0)]
SECONDS, LATE, RINGS = 7, 0.08, 0.12  # a note is known, its end is, after so long
TOLD = {0: 'blow', 4: 'draw', 5: 'draw1'}


def record(folder, notes, seconds):
    """A WAV file of reeds: eight partials that fall 4 dB an octave, 15 ms of attack."""
    sound = [0.0] * int(seconds * RATE)
    for start, end, midi in notes:
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


def record_notes(folder):
    return record(folder, [note[:3] for note in NOTES], SECONDS)


def taken(blocks):
    """The MIDI numbers in the last take that was told: ABC in G, every accidental written."""
    take = ([''] + [b.texts['take'] for b in blocks if 'take' in b.texts])[-1]
    body = re.sub('"[^"]*"', '', take.partition('K:G')[2])
    found, tied = [], ''
    for sign, letter, octave, tie in re.findall(r"([_^=]?)([A-Ga-g])([,']*)[\d/]*(-?)", body):
        before, tied = tied, tie
        if before:
            continue
        note = 60 + 'C D EF G A B'.index(letter.upper()) + 12 * letter.islower()
        note += {'_': -1, '^': 1, '=': 0, '': int(letter in 'Ff')}[sign]
        found.append(note + 12 * (octave.count("'") - octave.count(',')))
    return found


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
    return judge(studio.play_recording(record_notes(studio.folder), SECONDS * RATE, make, 'roll', 'until %d' % (SECONDS * RATE), 'stop'))


def by_side_chain(studio):
    """Wired as plugin/HOSTS.md tells, saved, opened: what plays on the Harp track is heard on the backing's, and what the pedal
    (CC 84) keeps is what it played."""
    script = os.path.join(ardour.HERE, '..', '..', 'plugin', 'lv2', 'reedlamp-session.lua')
    make = ['template ' + script, 'wires', 'set %d 1' % ardour.port('harp_from'), 'set %d 1' % ardour.port('capture_from')]
    blocks = studio.play_recording(record_notes(studio.folder), SECONDS * RATE, make, 'on Pedal', 'roll', 'until %d' % (6.8 * RATE),
                                   'midi 176 84 127', 'until %d' % (SECONDS * RATE), 'stop', 'sleep 0.3')
    verdict = judge(blocks)
    if taken(blocks) != [note[2] for note in NOTES]:
        verdict.fault('the pedal keeps %s' % taken(blocks))
    return verdict


def in_jalv(stage):
    """In real time under JACK, by the side chain, and by OSC; a pedal keeps it."""
    wav, ear = record_notes(stage.folder), listener.Listener()
    try:
        blocks = jalv.afresh(stage, lambda on: on.play(
            ['0:4:4:120'], 'sleep 1', jalv.BEGIN, 'until %d' % (SECONDS * RATE), jalv.STOP, 'sleep 0.5', wav=wav, plugin=ardour.MONO,
            events='%d 176 84 127' % (6.8 * RATE), typed=[(1, 'harp_from = 1'), (1.2, 'send_osc = 1'), (1.4, 'capture_from = 1')]))
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
    if taken(blocks) != [note[2] for note in NOTES]:
        verdict.fault('the pedal keeps %s' % taken(blocks))
    if len(chorus_lines(blocks)) != 1 or chorus_lines(blocks)[0]['notes'] != str(len(NOTES)):
        verdict.fault('practice: %s' % chorus_lines(blocks))
    return verdict


STATE = '''@prefix lv2: <http://lv2plug.in/ns/lv2core#> .
@prefix pset: <http://lv2plug.in/ns/ext/presets#> .
<> a pset:Preset ; lv2:appliesTo <%s> ;
  lv2:port [ lv2:symbol "harp_from" ; pset:value 2.0 ] , [ lv2:symbol "show" ; pset:value 2.0 ] .
'''


def on_its_own_track(stage):
    """Under JACK, what comes in by the track itself, in a session that was saved so, with fewer lamps; all of them are lit in the midst
    of it. jalv's console opens what was saved (-l) but cannot save: the file is written here, as lilv writes it."""
    wav, saved = record_notes(stage.folder), stage.folder + '/saved'
    os.mkdir(saved)
    with open(saved + '/state.ttl', 'w', encoding='utf-8') as file:
        file.write(STATE % ardour.MONO)
    blocks = jalv.afresh(stage, lambda on: on.play(
        ['0:4:4:120'], 'sleep 1', jalv.BEGIN, 'until %d' % (SECONDS * RATE), jalv.STOP, wav=wav, plugin=ardour.MONO, into='in_left',
        typed=[(8, 'show = 4')], state=saved))
    verdict = judge(blocks)
    shown = [place.get('show', 4) for b in blocks for _, place in b.places]
    if [show for show, _ in itertools.groupby(shown)] != [2, 4]:
        verdict.fault('show is told as %s' % shown)
    return verdict


# ---- practice ----

# Of | I7 | % | % | % | IV7 | % | I7 | % | V7 | IV7 | I7 | V7 | in G: the third or seventh on which a C harp lands best, by bar
LANDS = {1: 71, 5: 70, 7: 71, 9: 72, 10: 70, 11: 71, 12: 72}
LEFT_OUT = [{10}, {9, 12}, set(range(5, 13))]  # of three choruses, the last of which ends before its second chord
BEAT, BARS, STOP = 0.2, 28, 101  # seconds; of the recording; beats
WANT = [{'chorus': '1', 'bars': '12', 'show': '1', 'notes': '6', 'targets': '6/7', 'strong': '6/6', 'bends': '1'},
        {'chorus': '2', 'bars': '12', 'show': '1', 'notes': '5', 'targets': '5/7', 'strong': '5/5', 'bends': '2'},
        {'chorus': '3', 'show': '2', 'notes': '1', 'targets': '1/1', 'strong': '1/1', 'bends': '0'}]


def chorus_lines(blocks):
    """The lines of practice told last, as fields."""
    text = ([''] + [b.texts['practice'] for b in blocks if 'practice' in b.texts])[-1]
    return [dict(word.split('=', 1) for word in line.split() if '=' in word) for line in text.splitlines()]


def counted(verdict, when, blocks, want):
    """Do the lines say what was played?"""
    got = chorus_lines(blocks)
    told = [{key: line[key] for key in keys} for line, keys in zip(got, want)]
    if told != want or len(got) != len(want) or any(abs(float(line['behind_ms'])) > 15 for line in got):
        verdict.fault('%s, practice: %s' % (when, got))


def practised(studio):
    """Three choruses by ear. show is automated from 2 to 1 in the first, show_grows to 1 in the second: two that went well
    bring one step more. keep_last is automated in the second. All of it is there in a session opened again."""
    def at(beats):
        return round(beats * BEAT * RATE)

    def mono(symbol):
        return ardour.port(symbol, ardour.MONO)
    notes = [((48 * n + 4 * (bar - 1)) * BEAT, (48 * n + 4 * (bar - 1) + 2) * BEAT, midi)
             for n, left in enumerate(LEFT_OUT) for bar, midi in LANDS.items() if bar not in left]
    music = ardour.Map([(0, 60 / BEAT, 4)], [(0, 4, 4)], 4 * BARS)
    make = ['track audio 1', 'plugin ' + ardour.MONO, *music.steps(), 'set %d 2' % mono('harp_from'), 'set %d 1' % mono('capture_from'),
            'automate %d 0 2 %d 2 %d 1' % (mono('show'), at(19), at(20)),
            'automate %d 0 0 %d 0 %d 1' % (mono('show_grows'), at(59), at(60)),
            'automate %d 0 0 %d 0 %d 1 %d 0' % (mono('keep_last'), at(61), at(61.1), at(62))]
    blocks = studio.play_recording(record(studio.folder, notes, 4 * BARS * BEAT), at(4 * BARS), make, 'roll', 'until %d' % at(STOP),
                                   'stop', 'sleep 0.5', 'save')
    verdict = by_ear.Verdict()
    counted(verdict, 'at first', blocks, WANT)
    kept = [midi for start, _, midi in notes if 16 * BEAT <= start < 61 * BEAT]  # twelve bars up to the press
    if taken(blocks) != kept:
        verdict.fault('kept: %s, not %s' % (taken(blocks), kept))
    with open(studio.folder + '/data/reedlamp/practice.txt', encoding='utf-8') as file:
        if file.read() != [b.texts['practice'] for b in blocks if 'practice' in b.texts][-1]:
            verdict.fault('the player\'s file is another one')
    os.remove(studio.trace)
    studio.play(ardour.FAST, 'open ' + studio.session, 'sleep 0.5', 'roll', 'until %d' % at(50), 'stop', 'sleep 0.5')
    blocks = trace.read(studio.trace)
    opened = [b for b in blocks if not b.rolling and b.number < trace.rolling(blocks)[0].number]
    counted(verdict, 'opened again', opened, WANT)
    if taken(opened) != kept:
        verdict.fault('opened again, the take is %s' % taken(opened))
    if [line['targets'] for line in chorus_lines(blocks)[3:4]] != [WANT[0]['targets']]:
        verdict.fault('played again: %s' % chorus_lines(blocks)[3:])
    return verdict


TESTS = {'Ardour': [('a harp on a microphone\'s track is heard', in_ardour),
                    ('a harp by the side chain is heard, and a pedal keeps what it played', by_side_chain),
                    ('choruses are practised and kept, show is automated, and the session opens with it', practised)],
         'jalv': [('a harp on the side chain is heard, told by OSC, kept by a pedal and counted', in_jalv),
                  ('a harp on the track itself is heard in a session opened with fewer lamps', on_its_own_track)]}
