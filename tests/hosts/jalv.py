# SPDX-License-Identifier: ISC
"""What the plugin does in jalv under JACK, with timebase.c as the timebase master and its arithmetic as the reference.

jalv 1.6.6 (as measured; see core/clock/README.md) reports only on a change of rolling, of frame (other than by rolling
on) and of tempo, so
- a tempo that no Float holds comes in every block, stopped or not, and one that a Float holds comes once;
- a change of meter alone, at a tempo that a Float holds, is never reported, nor is a master that leaves.
  No plugin can know of these, and no test here asks for it: a meter changes together with the tempo, and after a
  master has left the transport stops, which does get through."""
import itertools
import math
import os
import subprocess
import threading
import time

import trace

# in step, so that no client's word is a block old; not in real time; no hardware
JACK = ['-S', '-r', '-t', '2000', '-d', 'dummy', '-r', '48000', '-p', '256']
NUMBERS = itertools.count()
TRIES = 3  # of starting a server: a machine has room for eight


def end(process):
    """Ends one of our own, gently if it can be."""
    if process.poll() is None:
        process.terminate()
        try:
            process.wait(10)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()


def within(seconds, process, wait):
    """What `wait` returns; the process it waits for is ended if it takes longer."""
    limit = threading.Timer(seconds, process.kill)
    limit.start()
    try:
        return wait()
    finally:
        limit.cancel()


class NobodyPlays(RuntimeError):
    """No JACK server, or it did not let the player in."""


class Stage:
    """A JACK server of one's own, the plugin in jalv and a master."""

    def __init__(self, folder, shadow, real, timebase, again):
        self.again = again  # called with the reason when something is tried once more
        self.folder, self.timebase, self.trace = folder, timebase, os.path.join(folder, 'trace')
        self.name = 'lamp-%d-%d' % (os.getpid(), next(NUMBERS))  # of the plugin as a client
        self.server = self.name + '-jackd'  # not the same: a client removes the socket of that name
        self.env = dict(os.environ, HOME=folder, XDG_DATA_HOME=folder + '/data', LV2_PATH=shadow, REEDLAMP_REAL=real, REEDLAMP_TRACE=self.trace,
                        JACK_DEFAULT_SERVER=self.server, JACK_NO_START_SERVER='1', JACK_NO_AUDIO_RESERVATION='1')

    def start(self, name, command, stdout=None):
        """Starts a program; what it says goes to a file."""
        with open(os.path.join(self.folder, name + '.log'), 'w', encoding='utf-8') as log:
            return subprocess.Popen(command, env=self.env, cwd=self.folder, stdin=subprocess.PIPE,
                                    stdout=stdout or log, stderr=log)

    def log(self, name):
        """The end of what it said."""
        with open(os.path.join(self.folder, name + '.log'), encoding='utf-8', errors='replace') as file:
            return file.read()[-200:].strip()

    def open(self, command):
        """Starts a JACK server and the master; returns both once they are ready."""
        for left in reversed(range(TRIES)):
            jack = self.start('jackd', ['jackd', '-n', self.server] + JACK)
            master = self.start('timebase', command, subprocess.PIPE)
            if within(30, master, master.stdout.readline) == b'ready\n':
                return master, jack
            end(master)
            end(jack)
            if left:
                self.again('no JACK server: ' + ' '.join(self.log('jackd').split()))
                time.sleep(2)
        raise NobodyPlays('no JACK server: ' + self.log('jackd'))

    def play(self, segments, *steps, events='', typed=(), seconds=60, wav='', plugin='urn:reedlamp:plugin', into='', state=''):
        """Runs the master's script with the plugin loaded, events for player.c beside it, and `typed` into jalv (seconds
        after its start, and what); `wav` plays into the plugin, or into its port `into` alone; `state`, a folder, is what it begins with.
        Returns the blocks."""
        words = ' '.join(('wait ' + self.name, 'wait ' + self.name + '-turntable sleep 2' if wav else 'sleep 0.3') + steps).split()
        running = list(self.open([self.timebase] + segments + ['do'] + words))
        master = running[0]
        try:
            table = self.turntable(wav, into or ('in_left|harp_in' if plugin.endswith('mono') else 'in_left|in_right')) if wav else None
            running[:0] = [table] if wav else []
            # JACK mixes up clients of the same name even if they are of different servers
            jalv = self.start('jalv', ['jalv', '-n', self.name, '-x'] + (['-l', state] if state else []) + [plugin])
            running.insert(0, jalv)
            for after, line in typed:
                threading.Timer(after, self.say, (jalv, line)).start()
            if table and within(40, table, table.stdout.readline) != b'ready\n':
                raise NobodyPlays('nobody plays: ' + self.log('turntable'))
            if events:
                running.insert(0, self.player(events))  # JACK waits for its clients: they go first
            if within(seconds, master, master.stdout.readline) != b'done\n':
                raise RuntimeError('the master did not finish: ' + self.log('timebase'))
            jalv.stdin.close()  # which is how one leaves it
            if jalv.wait(20):
                raise RuntimeError('jalv ended with %d: %s' % (jalv.returncode, self.log('jalv')))
            master.stdin.close()
            master.wait(10)
        finally:
            for process in running:
                end(process)
        return trace.read(self.trace)

    @staticmethod
    def say(jalv, line):
        """Types a line into jalv."""
        jalv.stdin.write(line.encode() + b'\n')
        jalv.stdin.flush()

    def player(self, events):
        """Starts who plays MIDI; returns it once it is connected."""
        player = self.let_in('player', self.name + ':midi_in', says=events)
        if within(40, player, player.stdout.readline) != b'ready\n':
            end(player)
            raise NobodyPlays('nobody plays: ' + self.log('player'))
        return player

    def turntable(self, wav, ports):
        """Starts who plays a recording; returns it once the server has let it in."""
        return self.let_in('turntable', self.name + '-turntable', wav, '^%s:(%s)$' % (self.name, ports))

    def let_in(self, name, *arguments, says=''):
        """Starts a client; returns it once the server has let it in. Of two that come at once JACK refuses one, and lets that
        process in no more."""
        for _ in range(TRIES):
            client = self.start(name, [self.beside(name), *arguments], subprocess.PIPE)
            client.stdin.write(says.encode())
            client.stdin.close()
            if within(15, client, client.stdout.readline) == b'here\n':
                return client
            end(client)
        raise NobodyPlays('nobody plays: ' + self.log(name))

    def beside(self, name):
        """Another program of this folder."""
        return os.path.join(os.path.dirname(self.timebase), name)

    def judge(self, segments, blocks):
        """A judge who knows the master's arithmetic."""
        out = subprocess.run([self.timebase] + segments + ['lines', '100'], stdout=subprocess.PIPE, check=True,
                             timeout=10)
        points = [tuple(map(float, line.split())) for line in out.stdout.splitlines()]
        turns = [int(s.split(':')[0]) for s in segments[1:]]
        ticks = trace.Line(points)
        trace.agree(blocks, lambda r: ticks.at(r['bar'] + r['barBeat'] / self.beats(segments, r['bar'])) - r['frame'])
        return trace.Judge(trace.Form(), trace.IDENTITY, ticks, turns)

    @staticmethod
    def beats(segments, bar):
        """In this bar."""
        return [int(s.split(':')[1]) for s in segments if int(s.split(':')[0]) <= bar or s is segments[0]][-1]


BEGIN, STOP = 'take locate 0 sleep 0.1 roll', 'stop sleep 0.2'
PLAIN = ['0:4:4:246.8']


def rolled(segments, *steps, lines, stretches=1):
    def test(stage):
        blocks = stage.play(segments, BEGIN, *steps, STOP)
        judge = stage.judge(segments, blocks).all(trace.rolling(blocks))
        if len(trace.stretches(blocks)) != stretches:
            judge.fault('%d stretches of rolling, not %d' % (len(trace.stretches(blocks)), stretches))
        return judge.most(lines)
    return test


def steady(segment, lines):
    return rolled([segment], 'until 330000', lines=lines)


def left(stage):
    """The master leaves and jalv says so at the next stop: the place goes on, but is no longer sure."""
    blocks = stage.play(PLAIN, BEGIN, 'until 120000 leave until 200000', STOP,
                        'roll until 300000 locate 600000 sleep 0.3', STOP)
    if not trace.rolling(blocks)[0].told or blocks[-1].told:
        raise RuntimeError('the master has not left')
    return stage.judge(PLAIN, blocks).all(trace.rolling(blocks)).most(6)


def nothing(judge, blocks):
    """The plugin must say that it does not know."""
    for b in blocks:
        if b.out[:3] != (0, 0, 0) or b.out[4] != 0:
            judge.fault('block %d: chorus %g, bar %g, beat %g, sure %g out of nothing'
                        % (b.number, *b.out[:3], b.out[4]))
    return judge


def nobody(stage):
    """No master: no bars, and the plugin makes none up."""
    blocks = stage.play(PLAIN, 'locate 0 roll until 100000 locate 300000 sleep 0.3', STOP)
    if sum(b.rolling for b in blocks) < 300 or not any(b.reports for b in blocks):
        raise RuntimeError('the transport did not roll')
    if not any(place['rolling'] and not place['part'] for b in blocks for _, place in b.places):
        raise RuntimeError('it does not say that the music moves where nobody knows where')
    return nothing(stage.judge(PLAIN, blocks), blocks)


def nonsense_first(stage):
    """A master that talks nonsense from the beginning is none; when it comes to its senses it is heard."""
    blocks = stage.play(PLAIN, 'nonsense 1', BEGIN, 'until 60000 nonsense 0 until 200000', STOP)
    sane = next(b.number for b in blocks if b.told)
    if not any('bar' in r for b in blocks[:sane] for _, r in b.reports):
        raise RuntimeError('no nonsense came')
    return nothing(stage.judge(PLAIN, blocks).all(blocks[sane:]).most(2), blocks[:sane])


def nonsense_later(stage):
    """In the middle of a song the place goes on, but is no longer sure; and is again when sense returns. A
    meter and tempo that are no numbers do not matter while bar and beat are."""
    mad = ['nonsense %d until %d nonsense 0 until %d' % (kind, 60000 * kind + 30000, 60000 * kind + 60000)
           for kind in (1, 2, 3, 4)]
    blocks = stage.play(PLAIN, BEGIN, 'until 60000', *mad, STOP)
    played = trace.rolling(blocks)
    changes = sum(a.told != b.told for a, b in zip(played, played[1:]))
    no_numbers = sum(r.get('beatsPerBar') != r.get('beatsPerBar') for b in blocks for _, r in b.reports)
    if changes != 6 or no_numbers < 50:
        raise RuntimeError('%d changes between sense and nonsense, %d meters that are no numbers'
                           % (changes, no_numbers))
    return stage.judge(PLAIN, blocks).all(played).most(5)


def put_back(stage):
    """bar_one is pressed four times and put back, once late: only going up is a press."""
    typed = [(t, 'bar_one = %d' % value) for t, value in
             ((3, 1), (3.5, 0), (5, 1), (5.5, 0), (7, 1), (9, 0), (10, 1), (10.5, 0))]  # jalv reads them when it comes to it
    blocks = stage.play(PLAIN, BEGIN, 'until 600000', STOP, typed=typed)
    beat = 48000 * 60 / 246.8
    judge, since, one, presses = stage.judge(PLAIN, []), 0, 0, 0
    for before, block in zip(blocks, blocks[1:]):
        if block.pressed[1] and not before.pressed[1]:
            presses += 1
            one = math.floor(block.frame / beat / 4 + 0.5)  # the bar line that is nearest
            since = block.number
        if block.rolling and block.number > since and block.out[1] > 0:
            bar = math.floor(block.end() / beat / 4 + 1e-6) - one
            if (block.out[0] - 1) * 12 + block.out[1] != bar + 1 and abs(block.end() / beat / 4 % 1 - 0.5) < 0.49:
                judge.fault('block %d: bar %g of chorus %g, pressed at bar %d' % (block.number, block.out[1], block.out[0], one + 1))
    if presses != 4 or sum(b.rolling for b in blocks) < 1000:
        raise RuntimeError('pressed %d times' % presses)
    return judge


def afresh(stage, work):
    """What work(stage) returns; where nobody plays it is tried again on another stage, since clients of a JACK server that has
    gone are not let in again."""
    for left in reversed(range(TRIES)):
        try:
            return work(stage)
        except NobodyPlays as error:
            if not left:
                raise
            stage.again(' '.join(str(error).split()))
            stage = Stage(stage.folder, stage.env['LV2_PATH'], stage.env['REEDLAMP_REAL'], stage.timebase, stage.again)


def takes_played(stage, seed, count):
    """The property `take` and the problem told last, after so many phrases."""
    lines = subprocess.run([stage.beside('takes'), 'play', seed, count], stdout=subprocess.PIPE, check=True, timeout=10,
                           encoding='utf-8').stdout.splitlines()
    said = {mark: [line[2:] for line in lines if line[0] == mark] for mark in 'SET'}
    last = int(said['T'][0])
    waits = ['until %d' % frame for frame in range(8 * 48000, last, 8 * 48000)]
    blocks = afresh(stage, lambda on: on.play(said['S'], 'sleep 0.5', BEGIN, *waits, 'until %d' % last, STOP, 'sleep 0.3',
                                              events='\n'.join(said['E']), seconds=60 + last // 16000))
    told = [b.texts['take'] for b in blocks if 'take' in b.texts]
    return (told or [''])[-1], [b.texts['problem'] for b in blocks if b.texts.get('problem')]


def taken_down(stage):
    """Phrases that a second program plays as MIDI are written down as they were meant. REEDLAMP_TAKES: how many, 200 for
    the figure that is promised; they take five seconds each."""
    count, batch, good, notes = int(os.environ.get('REEDLAMP_TAKES', '6')), 25, 0, 0
    for seed, first in enumerate(range(0, count, batch), 1):
        many = str(min(batch, count - first))
        takes, problems = takes_played(stage, str(seed), many)
        judge = subprocess.run([stage.beside('takes'), 'judge', str(seed), many], input=takes, stdout=subprocess.PIPE,
                               stderr=subprocess.PIPE, timeout=10, encoding='utf-8')
        if judge.returncode or problems:
            raise RuntimeError('%s %s' % (judge.stderr.strip(), problems[-1:]))
        right, played = map(int, judge.stdout.split())
        good, notes = good + right, notes + played
        if count > batch:
            print('# batch %d: %d of %d' % (seed, right, played), flush=True)
    print('# %d takes: %d of %d notes right (%.2f %%)' % (count, good, notes, 100 * good / notes), flush=True)
    if good < 0.98 * notes:
        raise RuntimeError('%d of %d notes right' % (good, notes))
    return stage.judge(PLAIN, [])


TESTS = [
    ('phrases played by another program are taken down', taken_down),
    ('a trigger that is put back', put_back),
    ('4/4 at 120', steady('0:4:4:120', 3)),
    ('4/4 at 123.4', steady('0:4:4:123.4', 3)),
    ('7/8 at 240', steady('0:7:8:240', 3)),
    ('7/8 at 246.8', steady('0:7:8:246.8', 4)),
    ('7/8 at 123.4, quarters', steady('0:7:8q:123.4', 4)),
    ('12/8 at 480', steady('0:12:8:480', 4)),
    ('12/8 at 481.3', steady('0:12:8:481.3', 4)),
    ('tempo changes', rolled(['0:4:4:240', '2:4:4:180', '4:4:4:301.1', '6:4:4:302'], 'until 400000', lines=7)),
    ('meter changes with the tempo',
     rolled(['0:4:4:240', '2:7:8:480.2', '5:12:8:600', '7:3:4:250'], 'until 430000', lines=8)),
    ('a ramp up and down', rolled(['0:4:4:120:240', '4:4:4:240:160', '7:4:4:160'], 'until 480000', lines=6)),
    ('locate while rolling',
     rolled(['0:7:8:360'], 'until 90000 locate 500100 until 600000 locate 20000 until 100000', lines=4,
            stretches=3)),
    ('stop and go on', rolled(['0:7:8:361.1'], 'until 90000', STOP, 'roll until 200000', lines=3, stretches=2)),
    ('the master leaves', left),
    ('no master', nobody),
    ('a bar beyond all bounds from the beginning', nonsense_first),
    ('nonsense in the middle', nonsense_later),
]
