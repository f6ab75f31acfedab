# SPDX-License-Identifier: ISC
"""What the plugin does in Ardour, which runs without a window or sound, and faster than the clock on the
wall. The reference is Ardour's own tempo map, asked for quarter notes: in a meter of halves its bars and beats are
wrong, and what it reports to plugins in other meters is odd too (see core/clock/README.md)."""
import os
import re
import shutil
import subprocess

import trace

HERE = os.path.dirname(os.path.abspath(__file__))
QUARTER = 1920  # ticks
CLOCKS = 5880  # of Ardour's superclock in a frame at 48 kHz
STEREO, MONO = 'urn:reedlamp:plugin', 'urn:reedlamp:mono'
FAST = 'speed 10x Speed'


def port(symbol, plugin=STEREO):
    """The index of a control port; the mono plugin lacks two before all of them."""
    index = {'start_bar': 14, 'count_by': 15, 'clock': 16, 'tap': 17, 'bar_one': 18, 'bend_depth': 20, 'show': 37,
             'harp_from': 38, 'keep_last': 43, 'capture_from': 45, 'show_grows': 46}[symbol]
    return index - 2 if plugin == MONO else index


class Studio:
    """A folder of one's own, and the way to run Ardour in it."""

    def __init__(self, folder, shadow, real, again):
        self.folder, self.trace, self.session = folder, folder + '/trace', folder + '/jam'
        self.again = again  # called with the reason when something is tried once more
        self.env = dict(os.environ, HOME=folder, XDG_CONFIG_HOME=folder + '/config', XDG_CACHE_HOME=folder + '/cache',
                        XDG_DATA_HOME=folder + '/data', LV2_PATH=shadow, REEDLAMP_REAL=real, REEDLAMP_TRACE=self.trace)

    def run(self, command, timeout=90, **env):
        """Runs one of Ardour's programs; returns its output."""
        done = subprocess.run(command, env=dict(self.env, **env), cwd=self.folder, stdin=subprocess.DEVNULL,
                              stdout=subprocess.PIPE, stderr=subprocess.PIPE, timeout=timeout, check=False)
        if done.returncode:
            words = (done.stdout + done.stderr).decode(errors='replace')
            raise RuntimeError('%s ended with %d: %s' % (command[0], done.returncode, words[-300:]))
        return done.stdout.decode(errors='replace')

    def insist(self, times, timeout, command):
        """Runs it again where it hangs or dies."""
        for left in reversed(range(times)):
            try:
                if os.path.exists(self.trace):
                    os.remove(self.trace)
                return self.run(command, timeout)
            except (subprocess.TimeoutExpired, RuntimeError) as error:
                if not left:
                    raise
                self.again(' '.join(str(error).split()))

    def play(self, *steps):
        """Runs the steps of ardour.lua; returns what it said, as lists of words."""
        text = self.run(['ardour7-lua', HERE + '/ardour.lua'], STEPS='\n'.join(steps))
        said = [line[2:].split() for line in text.splitlines() if line.startswith('@ ')]
        for words in said:
            if words[0] == 'failed':
                raise RuntimeError(' '.join(words))
        if not said or said[-1] != ['done']:
            raise RuntimeError('Ardour did not finish: ' + text[-300:])
        return said

    def edit(self, *changes):
        """Puts text in place of patterns in the saved session: Lua has no call for what is done so."""
        path = self.session + '/jam.ardour'
        with open(path, encoding='utf-8') as file:
            text = file.read()
        for pattern, by in changes:
            text, found = re.subn(pattern, by, text, count=1, flags=re.S)
            if found != 1:
                raise RuntimeError('no %s in the session' % pattern)
        with open(path, 'w', encoding='utf-8') as file:
            file.write(text)

    def lay(self, wav, frames):
        """Lays a recording of one side on the saved session's track, from the beginning on, as an import does."""
        shutil.copy(wav, self.session + '/interchange/jam/audiofiles/laid.wav')
        row = ('<Region name="laid" id="%%d" whole-file="%%d" type="audio" source-0="9101" master-source-0="9101" '
               'channels="1" start="a0" length="a%d@a0" sync-position="a0" ancestral-start="a0" '
               'ancestral-length="a0@a0" stretch="1" shift="1" muted="0" opaque="1" fade-in-active="0" '
               'fade-out-active="0" scale-amplitude="1"/>' % (frames * CLOCKS))
        self.edit(('<Sources/>', '<Sources><Source name="laid.wav" type="audio" flags="" id="9101" channel="0" gain="1"/></Sources>'),
                  ('<Regions/>', '<Regions>' + row % (9102, 1) + '</Regions>'),
                  (r'(<Playlist id="\d+" name="Harp"[^>]*)/>', r'\1>' + row % (9103, 0) + '</Playlist>'))

    def play_recording(self, wav, frames, make, *steps, loop=None):
        """Runs the steps in a session that was saved and opened, whose track holds a recording; `make` are the steps that
        lead to it. Returns the blocks."""
        self.play(FAST, 'new ' + self.session, *make, 'sleep 0.5', 'save')
        self.lay(wav, frames)
        self.locations(loop=loop)
        self.play(FAST, 'open ' + self.session, 'sleep 0.5', *steps)
        return trace.read(self.trace)

    def locations(self, loop=None, session=None):
        """Writes loop and session ranges (frames) into the saved session."""
        rows = ''
        for name, flags, span in (('session', 'IsSessionRange', session), ('Loop', 'IsAutoLoop,IsHidden', loop)):
            if span:
                rows += ('<Location id="%d" name="%s" start="a%d" end="a%d" flags="%s" locked="0" timestamp="0" '
                         'cue="0"/>' % (9001 + len(rows), name, span[0] * CLOCKS, span[1] * CLOCKS, flags))
        self.edit((r'<Locations/>|<Locations>.*?</Locations>', '<Locations>' + rows + '</Locations>'))

    def blocks(self, music, said):
        """The trace of the last session, which had this tempo map."""
        blocks = trace.read(self.trace)
        music.agree(said, blocks)
        return blocks


class Map:
    """Tempi (quarter, bpm, unit[, bpm at the end]) and meters (quarter, n, d), as Ardour is given them."""

    def __init__(self, tempi, meters, quarters):
        self.tempi, self.meters, self.end = tempi, meters, (quarters + 16) * QUARTER
        self.lines = []  # ticks of the bar lines
        for (at, n, d), after in zip(meters, meters[1:] + [None]):
            tick, until = int(at * QUARTER), after[0] * QUARTER if after else self.end
            while tick < until:
                self.lines.append(tick)
                tick += n * 4 * QUARTER // d

    def steps(self):
        """To make it."""
        return (['tempo ' + ' '.join(map(str, t)) for t in self.tempi]
                + ['meter ' + ' '.join(map(str, m)) for m in self.meters] + ['map'])

    def asking(self):
        """To ask Ardour about it."""
        return ['lines ' + ' '.join(map(str, self.lines)), 'grid 0 %d 120' % self.end]

    def frames(self, said):
        """Ticks to frames, after checking that Ardour means the same by these bars as we do."""
        points = []
        for words in said:
            if words[0] == 'line':
                tick = int(words[1])
                bar, (_, n, d) = self.lines.index(tick) + 1, [m for m in self.meters if m[0] * QUARTER <= tick][-1]
                if words[4] != '%d/%d' % (n, d) or (d >= 4 and words[3] != '%d|1|0' % bar):
                    raise RuntimeError('Ardour has %s in %s at tick %d, not bar %d' % (words[3], words[4], tick, bar))
            if words[0] in ('line', 'at'):
                points.append((int(words[1]), int(words[2])))
        return trace.Line(points)

    def agree(self, said, blocks):
        """Does Ardour report to plugins what its map says? Its fraction of a beat counts quarters; in meters of halves the
        beat itself may be the wrong one."""
        frames = self.frames(said)

        def off(report):
            tick = frames.where(report['frame'])
            at, _, d = [m for m in self.meters if m[0] * QUARTER <= tick + 1][-1]
            beat = QUARTER * 4 // max(d, 4)
            apart = (report['barBeat'] % 1 * QUARTER - (tick - at * QUARTER) + beat / 2) % beat - beat / 2
            return frames.at(tick + apart) - report['frame']
        trace.agree(blocks, off)

    def judge(self, said, bar_one=1, form=trace.Form(), doubt=0):
        """A judge where each bar of the DAW is one of the form, bar 1 on the DAW's bar `bar_one`."""
        ticks = trace.Line([(i - bar_one + 1, tick) for i, tick in enumerate(self.lines)])
        changes = [m[0] * QUARTER for m in self.meters[1:]]
        turns = [i - bar_one + 1 for i, tick in enumerate(self.lines) if tick in changes]
        return trace.Judge(form, self.frames(said), ticks, turns, doubt=doubt)

    def judge_beats(self, said, bar_one=1, form=trace.Form()):
        """A judge where the form's own bars are laid along the quarters; before bar 1 all are as long."""
        def length(label):
            beats, unit = form.meter(label)
            return beats * 4 * QUARTER / unit
        points = [(0, self.lines[bar_one - 1])]
        for label in range(40):
            points.append((label + 1, points[-1][1] + length(label)))
        points.append((-1, points[0][1] - length(0)))
        return trace.Judge(form, self.frames(said), trace.Line(points), sure=False)


def fresh(studio, music, plugin=STEREO, track='audio 2', speed=FAST):
    """Steps that lead to a session with the plugin on its only track."""
    return ([speed, 'new ' + studio.session, 'track ' + track, 'plugin ' + plugin] + music.steps() + music.asking())


# ---- meters and tempi ----

def rolled(music, until, lines):
    """From the beginning to a frame; so many bar lines at least."""
    def test(studio):
        said = studio.play(*fresh(studio, music), 'roll', 'until %d' % until, 'stop')
        return music.judge(said).all(studio.blocks(music, said)).most(lines)
    return test


def steady(n, d, bpm, unit):
    """One meter, one tempo, well into the second chorus."""
    music = Map([(0, bpm, unit)], [(0, n, d)], 14 * n * 4 // d + 1)
    return rolled(music, 13.6 * n / d * 60 * unit / bpm * 48000, 13)


STEADY = [(4, 4, 123.4, 4), (6, 8, 123.4, 4), (6, 8, 240, 8), (7, 8, 117, 4), (7, 8, 234, 8), (12, 8, 180, 4),
          (12, 8, 360, 8), (3, 2, 240, 4), (3, 2, 120, 2), (7, 16, 100, 4), (7, 16, 400, 16)]
NOTES = {2: 'halves', 4: 'quarters', 8: 'eighths', 16: 'sixteenths'}

METERS = [(0, 4, 4), (8, 6, 8), (14, 3, 2), (20, 7, 16), (23.5, 12, 8), (29.5, 7, 8), (36.5, 4, 4)]
MIXED = Map([(0, 150, 4)], METERS, 56)
MIXED_OWN = Map([(at, 150 * d / 4, d) for at, n, d in METERS], METERS, 56)
RISING = Map([(0, 90, 4, 150), (12, 150, 4)], [(0, 6, 8)], 40)
FALLING = Map([(0, 120, 4), (4, 120, 4, 60), (12, 60, 4)], [(0, 4, 4)], 24)
FALLING_EIGHTHS = Map([(0, 240, 8), (7, 240, 8, 120), (21, 120, 8)], [(0, 7, 8)], 36)

# ---- where the form lies ----

PLAIN = Map([(0, 123.4, 4)], [(0, 4, 4)], 80)
EIGHT_BAR = 'preset Eight Planks to the Quay, eight-bar blues in C, 2 bars lead-in'
HALF_A_BAR = 'preset Half a Bar of River, crooked blues of twelve bars and a half in A, 1 bar lead-in'
CROOKED = trace.Form([(4, 4)] * 10 + [(2, 4)] + [(4, 4)] * 2)  # the bars of the preset of that name


def start_bar(studio):
    said = studio.play(*fresh(studio, MIXED), 'set %d 4' % port('start_bar'), 'sleep 0.3', 'roll', 'until 720000',
                       'stop')
    return MIXED.judge(said, bar_one=4).all(trace.rolling(studio.blocks(MIXED, said))).most(9)


def counted(music, until, lines, *settings, **where):
    """Counting beats: right all along, and sure from the start on."""
    def test(studio):
        said = studio.play(*fresh(studio, music), *settings, 'sleep 0.3', 'roll', 'until %d' % until, 'stop')
        blocks = trace.rolling(studio.blocks(music, said))
        judge = music.judge_beats(said, **where).all(blocks).most(lines)
        if any(b.out[4] != 1 for b in blocks if b.out[1] > 0):
            judge.fault('not sure although rolling since before the start')
        return judge
    return test


def counted_after_a_locate(studio):
    """Nothing tells how many quarters a locate has left out: right while the meter holds, but not sure."""
    said = studio.play(*fresh(studio, PLAIN), 'set %d 1' % port('count_by'), 'sleep 0.3', 'roll', 'until 100000',
                       'locate 400000', 'until 500000', 'stop')
    before, after = trace.stretches(studio.blocks(PLAIN, said))
    judge = PLAIN.judge_beats(said).all(before).all(after)
    if not all(0 < b.out[4] < 1 for b in after):
        judge.fault('sure of a place nobody has told')
    return judge.most(2)


# ---- the transport ----

SEVEN = Map([(0, 234, 4)], [(0, 7, 8)], 90)  # a bar lasts 43077 frames
SLOW_SEVEN = Map([(0, 117, 4)], [(0, 7, 8)], 60)  # and here twice that
HALVES = Map([(0, 240, 4)], [(0, 3, 2)], 90)
HALVES_DOUBT = 12000  # the quarter: in meters of halves Ardour tells two of them alike, until one ends


def moved(music, *steps, speed=FAST, lines, check, doubt=0):
    """`check` says whether Ardour did what the test is about."""
    def test(studio):
        said = studio.play(*fresh(studio, music, speed=speed), *steps)
        blocks = studio.blocks(music, said)
        judge = music.judge(said, doubt=doubt).all(blocks).most(lines)
        check(judge, blocks)
        return judge
    return test


def runs(n):
    def check(judge, blocks):
        if len(trace.stretches(blocks)) != n:
            judge.fault('%d stretches of rolling, not %d' % (len(trace.stretches(blocks)), n))
    return check


def half_as_fast(judge, blocks):
    halves = sum(b.rolling and b.length == 128 for b in blocks)
    if halves < 300:
        judge.fault('only %d blocks at half speed' % halves)


def looped(studio):
    """Two bars and a bit, over and over; neither end on a bar line."""
    studio.play(*fresh(studio, SEVEN), 'save')
    studio.locations(loop=(100001, 199990))
    said = studio.play(FAST, 'open ' + studio.session, *SEVEN.asking(), 'loop', 'sleep 0.5', 'roll', 'sleep 2.5',
                       'unloop', 'stop')
    blocks = studio.blocks(SEVEN, said)
    rounds = sum(b.new and b.rolling and b.frame < 100300 for b in blocks)
    judge = SEVEN.judge(said).all(blocks).most(2 * rounds - 2)
    if rounds < 3:
        judge.fault('the loop came round %d times' % rounds)
    return judge


def loop_ahead(studio):
    """Bars 9 to 12 of | I7 | % | % | % | IV7 | % | I7 | % | V7 | IV7 | I7 | V7 | in G, over and over: bar 12 leads to bar 1's
    G7 until the loop has come round twice, then to bar 9's D7, which sounds already, and so to C7 in bar 10."""
    studio.play(*fresh(studio, PLAIN), 'save')
    studio.locations(loop=(round(8 * BAR), round(12 * BAR) - 20))
    said = studio.play(FAST, 'open ' + studio.session, *PLAIN.asking(), 'loop', 'sleep 0.5', 'roll', 'rounds 6', 'unloop',
                       'stop')
    blocks = studio.blocks(PLAIN, said)
    judge, rounds, seen, before = PLAIN.judge(said).all(blocks), 0, 0, 9 * BAR
    for block in (b for b in blocks if b.rolling):
        rounds += block.frame < 9 * BAR <= before
        before = block.frame
        for _, place in block.places:
            if rounds and place['bar'] == 12 and place['beat'] > 1.1:
                seen += rounds > 3
                want = ('G7', 5) if rounds < 3 else ('C7', 9)
                if (place['next'], round(place['beats_to_next'] + place['beat'], 1)) != want and rounds != 3:
                    judge.fault('round %d: beat %g of bar 12, %s in %g' % (rounds, place['beat'], place['next'],
                                                                          place['beats_to_next']))
    if seen < 3:
        raise RuntimeError('the loop came round %d times' % rounds)
    return judge


def exported(studio):
    """By Ardour's own command, which begins before frame 0 and runs in blocks of other sizes."""
    music = Map([(0, 240, 4)], [(0, 3, 2), (24, 12, 8)], 60)
    said = studio.play(*fresh(studio, music), 'save')
    studio.locations(session=(0, 480000))
    # With any plugin or none, Ardour's exporter and its butler sometimes wait for each other for ever, and
    # sometimes an export spoils the heap (from a Lua script, one in five): then once more.
    studio.insist(6, 20, ['ardour7-export', '-b', 'float', '-o', studio.folder + '/out.wav', studio.session, 'jam'])
    blocks = studio.blocks(music, said)
    judge = music.judge(said, doubt=HALVES_DOUBT).all(blocks).most(6)
    first, last = min(b.frame for b in blocks if b.frame is not None), trace.stretches(blocks)[-1][-1].end()
    if first >= 0 or last < 479000:
        judge.fault('exported from frame %d to %d' % (first, last))
    return judge


# ---- tracks ----

BAR = 48000 * 60 * 4 / 123.4  # of PLAIN, in frames


def nearest(frame):
    """The bar of the DAW, from 1, whose line is nearest."""
    return round(frame / BAR) + 1


def two_parts(said, blocks, pressed, frame):
    """The verdict on what came before bar_one was pressed at `frame` in block `pressed`, and after."""
    judge = PLAIN.judge(said).all(blocks[:pressed])
    judge.add(PLAIN.judge(said, bar_one=nearest(frame)).all(blocks[pressed + 1:])).most(7)
    if not any(b.out[:2] == (1, 1) for b in blocks[pressed:pressed + 800]):
        judge.fault('no bar 1 after bar_one')
    return judge


def same_width(judge, said, channels):
    """The track has as many channels as before, and Ardour has connected nothing to the side chain."""
    words = {w[0]: w[1:] for w in said}
    if words['before'] != [str(channels)] * 2 or words['after'] != words['before']:
        judge.fault('channels in and out %s became %s' % (words['before'], words['after']))
    if words['side'] != ['none']:
        judge.fault('Ardour made a side chain')
    return judge


def on_audio_track(channels, plugin):
    """The plugin runs there and hears automation."""
    press = 200000  # near the end of bar 3

    def test(studio):
        points = '0 0 %d 0 %d 1 %d 0' % (press - 1, press, press + 48000)
        said = studio.play(*fresh(studio, PLAIN, plugin, 'audio %d' % channels),
                           'automate %d %s' % (port('bar_one', plugin), points), 'roll', 'until 800000', 'stop')
        blocks = studio.blocks(PLAIN, said)
        pressed = next((b for b in blocks if b.pressed[1]), None)
        if not pressed or abs(pressed.frame - press) > 256:
            raise RuntimeError('bar_one was pressed in block %s' % (pressed and pressed.number))
        return same_width(two_parts(said, blocks, pressed.number, pressed.frame), said, channels)
    return test


def flipped(studio):
    """A foot switch learnt by Ardour flips the port at each press and never puts it back: each is a press."""
    steps = []
    for frame, value in ((200000, 1), (387000, 0), (667000, 1), (854000, 0)):
        steps += ['until %d' % frame, 'set %d %d' % (port('bar_one'), value)]
    said = studio.play(*fresh(studio, PLAIN), 'roll', *steps, 'until 1060000', 'stop')
    blocks = studio.blocks(PLAIN, said)
    flips = [b for a, b in zip(blocks, blocks[1:]) if a.pressed[1] != b.pressed[1]]
    if len(flips) != 4:
        raise RuntimeError('the port was flipped %d times' % len(flips))
    judge = PLAIN.judge(said).all(blocks[:flips[0].number])
    for flip, after in zip(flips, flips[1:] + [None]):
        judge.add(PLAIN.judge(said, bar_one=nearest(flip.frame)).all(blocks[flip.number + 1:after and after.number]))
    return judge.most(9)


def on_midi_track(plugin):
    """The plugin runs there too, and hears a foot switch through the track."""
    def test(studio):
        said = studio.play(*fresh(studio, PLAIN, plugin, 'midi 2'), 'roll', 'until 190000', 'midi 176 81 127',
                           'until 800000', 'stop')
        blocks = studio.blocks(PLAIN, said)
        pressed = next((b for b in blocks if any(m == bytes((176, 81, 127)) for _, m in b.midi)), None)
        if not pressed:
            raise RuntimeError('the foot switch did not reach midi_in')
        return same_width(two_parts(said, blocks, pressed.number, pressed.frame + pressed.midi[0][0]), said, 0)
    return test


def tapped(studio):
    """Four taps of automation count in, and the next beat is bar 1."""
    space, taps = 94 * 256, [(40 + i * 94) * 256 for i in range(4)]
    points = ' '.join('%d 0 %d 1 %d 0' % (t - 1, t, t + 5000) for t in taps)
    said = studio.play(*fresh(studio, PLAIN), 'set %d 1' % port('clock'),
                       'automate %d 0 0 %s' % (port('tap'), points), 'sleep 0.3', 'roll', 'until 800000', 'stop')
    blocks = studio.blocks(PLAIN, said)
    seen = [b.frame for a, b in zip(blocks, blocks[1:]) if b.pressed[0] and not a.pressed[0]]
    if len(seen) != 4 or any(abs(s - t) > 256 for s, t in zip(seen, taps)):
        raise RuntimeError('taps at %s came at %s' % (taps, seen))
    one = seen[3] + space
    judge = trace.Judge(trace.Form(), trace.IDENTITY, trace.Line([(0, one), (1, one + 4 * space)]), sure=False)
    played = [b for b in blocks if b.rolling and b.frame > one + 256]
    if not all(0 < b.out[4] < 1 for b in played):
        judge.fault('as sure of taps as if the host had told')
    return judge.all(played).most(6)


# ---- the session template ----

def template(studio):
    """It makes three tracks, the plugin on the first, whose MIDI goes to the third; the plugin is told its tempo and follows."""
    script = os.path.join(HERE, '..', '..', 'plugin', 'lv2', 'reedlamp-session.lua')
    said = studio.play('speed Normal Speed', 'new ' + studio.session, 'template ' + script, 'roll', 'until 240000', 'stop')
    judge = trace.Judge(trace.Form(), trace.IDENTITY, trace.IDENTITY)
    tracks = {words[1]: words[2:] for words in said if words[0] == 'track'}
    if set(tracks) != {'Backing', 'Harp', 'Phrases'} or tracks['Backing'] != ['2', '2', 'Reedlamp'] or tracks['Harp'][0] != '1':
        judge.fault('tracks: %s' % tracks)
    if ['wired', 'yes'] not in said:
        judge.fault('the phrases do not reach their track')
    with open(studio.trace, encoding='utf-8') as file:
        text = file.read()
    bars = [line.split()[2] for line in text.splitlines() if line.startswith('O ')]
    if 'time:beatsPerMinute Float 72' not in text or '2' not in bars:  # bar 2 begins after 160000 frames
        judge.fault('the plugin does not follow: bars %s' % sorted(set(bars)))
    return judge


def wires(studio):
    """Side chain and foot switch as plugin/HOSTS.md tells: an audio track has no MIDI input, the side chain has one. CC 81 in bar
    2 says that it is bar 1."""
    script = os.path.join(HERE, '..', '..', 'plugin', 'lv2', 'reedlamp-session.lua')
    said = studio.play('speed Normal Speed', 'new ' + studio.session, 'template ' + script, 'wires', 'roll', 'until 180000',
                       'midi 176 81 127', 'sleep 1', 'stop')
    judge = trace.Judge(trace.Form(), trace.IDENTITY, trace.IDENTITY)
    if ['pins', '2', '0'] not in said or ['wires', 'yes', 'yes'] not in said:
        judge.fault('side chain and pedal: %s' % [words for words in said if words[0] in ('pins', 'wires')])
    with open(studio.trace, encoding='utf-8') as file:
        bars = [line.split()[2] for line in file if line.startswith('O ')]
    if '2' not in bars or '1' not in bars[bars.index('2'):]:
        judge.fault('the pedal moves no bar: bars %s' % sorted(set(bars)))
    return judge


# ---- state ----

def reopened(plugin, track):
    """A preset's chart, and where bar 1 was put, are there again in another run of Ardour."""
    def test(studio):
        studio.play(*fresh(studio, PLAIN, plugin, track), EIGHT_BAR, 'sleep 0.3', 'roll',
                    'until 300000', 'set %d 1' % port('bar_one', plugin), 'sleep 0.1', 'stop', 'save')
        one = nearest(next(b.frame for b in trace.read(studio.trace) if b.pressed[1]))
        os.remove(studio.trace)
        said = studio.play(FAST, 'open ' + studio.session, *PLAIN.asking(), 'sleep 0.3', 'roll', 'until 1000000',
                           'stop')
        blocks = studio.blocks(PLAIN, said)
        judge = PLAIN.judge(said, one, trace.Form([(4, 4)] * 8)).all(trace.rolling(blocks)).most(9)
        chart = [b.texts['chart'] for b in blocks if 'chart' in b.texts][-1]
        if 'title: Eight Planks to the Quay' not in chart:
            judge.fault('the chart says ' + chart)
        if any(p['bars'] != 8 for b in trace.rolling(blocks) for _, p in b.places):
            judge.fault('the form is not of eight bars')
        return judge
    return test


PLAN = """bar 2: Tide Bell
answer: 3

X:1
T:Tide Bell
M:4/4
L:1/8
K:G
GA|"G7"B2 d2 z4|
"""


def plan_write(session):
    """Puts a plan into the saved session, as a window would have: Lua has no call for a text property."""
    found = 0
    for folder, _, files in os.walk(session + '/plugins'):
        for name in (name for name in files if name == 'state.ttl'):
            path = os.path.join(folder, name)
            with open(path, encoding='utf-8') as file:
                text = file.read()
            text, n = re.subn(r'(<urn:reedlamp:plan>|rl:plan)(\s+)"[^"]*"', lambda m: m.group(1) + m.group(2) + '"""' +
                              PLAN.replace('"', '\\"') + '"""', text)
            found += n
            with open(path, 'w', encoding='utf-8') as file:
                file.write(text)
    if not found:
        raise RuntimeError('no plan in the saved session')


def onsets(blocks):
    """The transport's frames at which notes begin on midi_out, and which."""
    return [(b.frame + offset, note[1]) for b in blocks for offset, note in b.notes if note[0] == 0x90 and note[2]]


def replanned(studio):
    """Plan, phrases and tab are there again in another run of Ardour, and in the next: no library was ever there. With
    bends of half a step a C harp has no A over middle C, so the tab lies an octave above the phrase; and midi_out plays it."""
    studio.play(*fresh(studio, PLAIN, STEREO, 'audio 2'), EIGHT_BAR,
                'set %d 1' % port('bend_depth'), 'sleep 0.3', 'save')
    plan_write(studio.session)
    beat = 48000 * 60 / 123.4
    tab = [(12 * beat + at * beat, note) for at, note in ((-1, 79), (-0.5, 81), (0, 83), (1, 86))]  # bar 2, the DAW's 4
    for run in ('first', 'second'):
        if os.path.exists(studio.trace):
            os.remove(studio.trace)
        said = studio.play(FAST, 'open ' + studio.session, *PLAIN.asking(), 'sleep 0.3', 'roll', 'until 900000', 'stop', 'save')
        blocks = studio.blocks(PLAIN, said)
        plans = [b.texts['plan'] for b in blocks if 'plan' in b.texts]
        problems = [b.texts['problem'] for b in blocks if b.texts.get('problem')]
        if not plans or plans[-1] != PLAN or problems:
            raise RuntimeError('%s run: the plan says %r, the problem %r' % (run, plans[-1:], problems[-1:]))
        played = onsets(trace.rolling(blocks))
        if [n for _, n in played] != [n for _, n in tab] or any(abs(a - b) > 9 for (a, _), (b, _) in zip(played, tab)):
            raise RuntimeError('%s run: the tab plays %r, not %r' % (run, played, tab))
    return PLAIN.judge(said, 3, trace.Form([(4, 4)] * 8)).all(trace.rolling(blocks)).most(9)


TESTS = [('%d/%d at %g %s' % (n, d, bpm, NOTES[unit]), steady(n, d, bpm, unit)) for n, d, bpm, unit in STEADY] + [
    ('meter changes at one tempo', rolled(MIXED, 720000, 9)),
    ('meter changes, each with a tempo of its own notes', rolled(MIXED_OWN, 720000, 9)),
    ('a ramp up in 6/8', rolled(RISING, 624000, 8)),
    ('a ramp down', rolled(FALLING, 720000, 4)),
    ('a ramp of eighths in 7/8', rolled(FALLING_EIGHTHS, 864000, 7)),
    ('the form starts at start_bar', start_bar),
    ('beats are counted through meter changes', counted(MIXED, 720000, 9, 'set %d 1' % port('count_by'))),
    ('a chart with meters of its own keeps them',  # its lead-in takes bar 2
     counted(PLAIN, 1440000, 15, HALF_A_BAR, 'set %d 2' % port('start_bar'), form=CROOKED,
             bar_one=3)),
    ('beats counted after a locate are right and not sure', counted_after_a_locate),
    ('stop and go on',
     moved(SEVEN, 'roll', 'until 200000', 'stop', 'roll', 'until 400000', 'stop', lines=8, check=runs(2))),
    ('locate, rolling and stopped',
     moved(SLOW_SEVEN, 'roll', 'until 110000', 'locate 500100', 'until 620000', 'locate 20000', 'until 100000', 'stop',
           'locate 700000', 'sleep 0.2', 'roll', 'until 800000', 'stop', speed='speed Double Speed', lines=4,
           check=runs(4))),
    ('locate in 3/2',
     moved(HALVES, 'roll', 'until 100000', 'locate 450100', 'until 600000', 'locate 219000', 'until 330000', 'stop',
           speed='speed Double Speed', lines=4, check=runs(3), doubt=HALVES_DOUBT)),
    ('half speed',
     moved(SLOW_SEVEN, 'roll', 'until 50000', 'varispeed 0.5', 'until 200000', 'varispeed 1', 'until 300000', 'stop',
           lines=3, check=half_as_fast)),
    ('a loop', looped),
    ('in a loop the chord after its last is its first', loop_ahead),
    ('export', exported),
    ('stereo on a stereo track, with automation', on_audio_track(2, STEREO)),
    ('mono on a mono track, with automation', on_audio_track(1, MONO)),
    ('a trigger that is flipped and not put back', flipped),
    ('stereo on a MIDI track, with a foot switch', on_midi_track(STEREO)),
    ('mono on a MIDI track, with a foot switch', on_midi_track(MONO)),
    ('taps by automation count in', tapped),
    ('the session template: three tracks, wired, in its tempo', template),
    ('the session template: side chain and foot switch', wires),
    ('the session opens with its chart and bar one', reopened(STEREO, 'audio 2')),
    ('the session opens with its plan and phrases', replanned),
    ('the session opens with its chart and bar one, mono', reopened(MONO, 'audio 1')),
]
