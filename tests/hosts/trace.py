# SPDX-License-Identifier: ISC
"""Reads what probe.c writes, and compares it with the reference of a test.

Frames are the transport's. A label names a bar of the form by its distance from bar 1 of the first
chorus: bar 2 of chorus 2 of a twelve-bar form is 13, the bar before the form is -1."""
import bisect
import math
import re

PAIR = re.compile(r'(\S+) (\S+) ("(?:\\.|[^"\\])*"|\S+)')


class Contradiction(Exception):
    """The host's own reports contradict each other: no plugin can be judged by them."""


def agree(blocks, off):
    """Does every report put bar and beat where its frame is? `off` says how many frames apart they are. On a
    machine with too much to do both hosts sometimes tell the place of the block before."""
    for block in blocks:
        for _, report in block.reports:
            apart = off(report) if block.told and block.frame >= 0 else 0
            if abs(apart) > 64:
                raise Contradiction('block %d: the host tells frame %d and a beat %+.0f frames from there'
                                    % (block.number, block.frame, apart))


class Block:
    """One call of run()."""

    def __init__(self, number, length):
        self.number, self.length = number, length
        self.fresh = False  # the first one after activate()
        self.reports, self.places = [], []  # offset and fields
        self.texts = {}  # properties told
        self.midi = []  # on midi_in: offset and bytes
        self.notes = []  # on midi_out: offset and bytes
        self.pressed = (0.0, 0.0, 0.0)  # tap, bar_one, stop
        self.out = None  # chorus, form_bar, form_beat, position, sure, heard_hole, heard_technique, heard_level
        # from the reports so far:
        self.frame = None  # the transport's at the beginning; None: nobody has said
        self.rolling = self.new = False  # new: it has jumped, started or stopped
        self.told = False  # the last report said which bar and beat it is

    def end(self):
        """The last frame of the block, which the outputs are about."""
        return self.frame + (self.length - 1 if self.rolling else 0)


def plain(quoted):
    """A string as it was before the probe quoted it."""
    return re.sub(r'\\(x[0-9a-f]{2}|.)', lambda m: {'n': '\n'}.get(m.group(1)) or
                  (chr(int(m.group(1)[1:], 16)) if len(m.group(1)) > 1 else m.group(1)), quoted)


def fields(text):
    """The properties of an object, by the last part of their names."""
    values = {}
    for key, kind, value in PAIR.findall(text):
        key = re.split('[:#]', key)[-1].rstrip('>')
        if kind in ('Int', 'Long', 'Float', 'Double'):
            values[key] = float(value)
        else:
            values[key] = plain(value[1:-1]) if value.startswith('"') else value
    return values


def take_event(block, mark, offset, kind, words):
    """Notes one event; the words come after its type: the bytes of MIDI, else a size and properties."""
    properties = words.partition(' ')[2]
    if mark == 'M' and kind == 'midi:MidiEvent':
        block.midi.append((offset, bytes.fromhex(words)))
    elif mark == 'E' and kind == 'midi:MidiEvent':
        block.notes.append((offset, bytes.fromhex(words)))
    elif mark == 'I' and kind == 'time:Position':
        block.reports.append((offset, fields(properties)))
    elif mark == 'N' and kind == 'reedlamp:Place':
        block.places.append((offset, fields(properties)))
    elif mark == 'N' and kind == 'patch:Set':
        said = fields(properties)
        block.texts[said['property'].split(':')[-1]] = said['value']


def read(path):
    """The blocks of a trace."""
    blocks, fresh = [], False
    with open(path, encoding='utf-8', errors='replace') as file:
        for line in file:
            mark, _, rest = line.rstrip('\n').partition(' ')
            if mark == 'A':
                fresh = True
            elif mark == 'B':
                number, _, length = rest.split()
                blocks.append(Block(int(number), int(length)))
                blocks[-1].fresh, fresh = fresh, False
            elif mark in ('M', 'I', 'N', 'E'):
                offset, kind, words = rest.split(' ', 2)
                take_event(blocks[-1], mark, int(offset), kind, words)
            elif mark == 'C':
                blocks[-1].pressed = tuple(map(float, rest.split()))
            elif mark == 'O':
                blocks[-1].out = tuple(map(float, rest.split()))
            elif mark == '#' and 'lost' in rest:
                raise ValueError('the trace is not whole: ' + rest)
    follow(blocks)
    return blocks


def follow(blocks):
    """Fills in what comes from the reports. All hosts here report at offset 0."""
    frame, rolling, told = None, False, False
    for before, block in zip([None] + blocks, blocks):
        if block.fresh:
            frame, rolling, told = None, False, False
        due = frame
        for offset, report in block.reports:
            if offset != 0:
                raise ValueError('block %d: a report at offset %d' % (block.number, offset))
            rolling = report.get('speed', float(rolling)) != 0
            frame = int(report.get('frame', frame))
            told = all(abs(report.get(word, math.inf)) < 1e6 for word in ('bar', 'barBeat'))
        block.new = frame != due or not before or rolling != before.rolling
        block.frame, block.rolling, block.told = frame, rolling, told
        if frame is not None and rolling:
            frame += block.length


def rolling(blocks):
    """From the first block that rolls: before it, settings and charts may be on their way."""
    return blocks[next(i for i, b in enumerate(blocks) if b.rolling):]


def stretches(blocks):
    """Runs of blocks over which the transport rolled without a jump."""
    runs = []
    for block in blocks:
        if block.rolling and block.frame is not None:
            if block.new or not runs:
                runs.append([])
            runs[-1].append(block)
    return runs


class Line:
    """A rising line through points, read both ways; beyond its ends it goes straight on."""

    def __init__(self, points):
        points = sorted(set(points))
        self.x, self.y = [p[0] for p in points], [p[1] for p in points]

    @staticmethod
    def _read(x, xs, ys):
        i = min(max(bisect.bisect_right(xs, x), 1), len(xs) - 1)
        return ys[i - 1] + (x - xs[i - 1]) * (ys[i] - ys[i - 1]) / (xs[i] - xs[i - 1])

    def at(self, x):
        """The y there."""
        return self._read(x, self.x, self.y)

    def where(self, y):
        """The x where it is y."""
        return self._read(y, self.y, self.x)


IDENTITY = Line([(0, 0), (1, 1)])


class Form:
    """The chart in force: its bars' meters. The plugin's own is a twelve-bar in 4/4."""

    def __init__(self, bars=((4, 4),) * 12):
        self.bars = bars

    def meter(self, label):
        """Beats and unit of a bar."""
        return self.bars[label % len(self.bars)]

    def label(self, chorus, bar):
        """Of a bar as the plugin shows it."""
        return int(bar) if bar < 0 else int((chorus - 1) * len(self.bars) + bar - 1)


class Judge:
    """Compares a trace with the truth. `ticks` maps labels (with a fraction, for a place in the bar) to
    some measure of music, `frames` that to frames. `turns` are labels of bars with which a new meter
    begins: the host tells it in the next block. `sure`: the plugin must be sure where the host tells the
    bar, and nowhere else; after a jump it may doubt what it is told for so many frames. All must be right
    within a block."""

    def __init__(self, form, frames, ticks, turns=(), sure=True, doubt=0):
        self.form, self.frames, self.ticks, self.turns = form, frames, ticks, turns
        self.sure, self.doubt = sure, doubt
        self.lines = self.worst_line = self.worst_place = 0
        self.faults = []

    def fault(self, words):
        """Something is wrong."""
        self.faults.append(words)

    def frame_of(self, label):
        """When a bar, or a place in it, is due."""
        return self.frames.at(self.ticks.at(label))

    def all(self, blocks):
        """Everything there is to judge."""
        self.blocks(blocks)
        for run in stretches(blocks):
            self.stretch(run)
        return self

    def add(self, other):
        """Another judge's verdict joins this one's."""
        self.lines += other.lines
        self.faults += other.faults
        self.worst_line = max(self.worst_line, other.worst_line)
        self.worst_place = max(self.worst_place, other.worst_place)
        return self

    def most(self, lines):
        """At least so many bar lines must have been heard, else the test was none."""
        if self.lines < lines:
            self.fault('only %d bar lines of %d' % (self.lines, lines))
        return self

    def place(self, what, frame, chorus, bar, beat, slack):
        """Is the plugin's place right at `frame`, give or take `slack` frames? Before frame 0 (Ardour's
        pre-roll, not rolling) the host says bar 1, beat 1."""
        frame = max(frame, 0)
        if bar == 0:
            self.fault('%s: no place at frame %d' % (what, frame))
            return
        if bar < 0 and chorus != 0:
            self.fault('%s: chorus %d before bar 1' % (what, chorus))
        label = self.form.label(chorus, bar)
        part = (beat - 1) / self.form.meter(label)[0]
        off = self.frame_of(label + part) - frame
        line = self.frame_of(label)
        if label in self.turns and frame < line + slack:  # the new meter may not have been told
            off = min(off, line + part * (line - self.frame_of(label - 1)) - frame, key=abs)
        if abs(off) > slack:
            self.fault('%s: at frame %d chorus %d bar %d beat %.4f, which is %+.0f frames off'
                       % (what, frame, chorus, bar, beat, off))
        else:
            self.worst_place = max(self.worst_place, abs(off))

    def blocks(self, blocks):
        """The outputs at the end of every block since the host's first report."""
        since = 0  # the last jump
        for block in blocks:
            if block.frame is None:
                continue
            since = block.frame if block.new else since
            doubts = block.told and block.frame - since < self.doubt
            self.place('block %d' % block.number, block.end(), *block.out[:3], block.length)
            if self.sure and not doubts and (block.out[4] == 1) != block.told:
                self.fault('block %d: sure is %g where %s told' % (block.number, block.out[4],
                                                                   'the host' if block.told else 'nobody'))

    def stretch(self, blocks):
        """The events of a stretch: all in place, and every bar line once."""
        slack = max(b.length for b in blocks)
        heard, label = [], None
        for block in blocks:
            for offset, place in block.places:
                chorus, bar, frame = place['chorus'], place['bar'], block.frame + offset
                self.place('event in block %d' % block.number, frame, chorus, bar, place['beat'], slack)
                now = self.form.label(chorus, bar)
                if label is not None and now != label:
                    heard.append((now, frame))
                label = now
        first, last = blocks[0].frame, blocks[-1].end()
        for label, frame in self.due(first + slack, last - slack):
            times = sum(h[0] == label for h in heard)
            if times != 1:
                self.fault('bar line %d at frame %d was heard %d times' % (label, frame, times))
        due = dict(self.due(first - slack, last + slack))
        for label, frame in heard:
            off = abs(frame - due.get(label, math.inf))
            if off > slack:
                self.fault('bar line %d heard at frame %d, due %s' % (label, frame, due.get(label, 'elsewhere')))
            else:
                self.lines += 1
                self.worst_line = max(self.worst_line, off)

    def due(self, first, last):
        """Bar lines after frame `first` up to `last`: label and frame."""
        label, found = math.floor(self.ticks.where(self.frames.where(first))), []
        while self.frame_of(label) <= last:
            if self.frame_of(label) > first:
                found.append((label, self.frame_of(label)))
            label += 1
        return found
