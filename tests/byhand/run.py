# SPDX-License-Identifier: ISC
"""The window by mouse and keyboard, over the plugin in the embedded host. Usage: run.py BUNDLES TOOLS WINDOW_TOOLS SCRATCH
Every click goes to where the layout itself says (see where.c); every answer comes from the plugin."""
import os
import subprocess
import sys
import threading
import time

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path[:0] = [os.path.join(HERE, '..'), os.path.join(HERE, '..', 'window')]
import stage  # noqa: E402
import tally  # noqa: E402
from stage import Wrong, until  # noqa: E402

BUNDLES, TOOLS, PEERS, SCRATCH = sys.argv[1:5]
FIELDS = {name: n for n, name in enumerate(['song key', 'harp key', 'register', 'tuning', 'position', 'start bar', 'count by',
                                            'clock', 'draw bends', 'blow bends', 'overblows', 'show', 'hear me', 'OSC'])}
TEMPO = 143.7  # no bar line falls together with the window's own pace for long
TRIES = 3
count = tally.Tally()


def test(name, work, player):
    """Runs one test and prints its line. On a busy machine a click may come before the screen is ready: the test is run
    again, and that is counted."""
    name, wrong = 'by hand: ' + name, []
    for left in reversed(range(TRIES)):
        try:
            said = work(player)
        except Exception as error:  # whatever went wrong, the test has not passed
            wrong.append(' '.join(str(error).split()) or type(error).__name__)
            wrong[-1] += ' (last said: %s)' % '; '.join(line[:60] for line in player.said[-4:])
            if left:
                count.again(name, wrong[-1])
            player.keys('Escape', 'Escape')
            continue
        count.ok(name, said or '')
        return
    count.no(name, '; '.join(wrong))


class Player:
    """The player (player.c) on a screen, what it has said, and hands for its window."""

    def __init__(self, screen, tempo=TEMPO):
        self.screen = screen
        self.process = screen.start('player', [TOOLS + '/player', BUNDLES, str(tempo)], stdin=subprocess.PIPE,
                                    stdout=subprocess.PIPE)
        self.said = []
        threading.Thread(target=self.read, daemon=True).start()
        until('the window', lambda: 'ready' in self.said and screen.lamps(), alive=[self.process])
        self.window = screen.lamps()[0]
        until('a picture', lambda: (screen.drawn(self.window) or ('', 0))[1] > 1, alive=[self.process])
        self.size = screen.size(self.window)

    def read(self):
        for line in self.process.stdout:
            self.said.append(line.decode(errors='replace').rstrip('\n'))

    def order(self, word):
        self.process.stdin.write((word + '\n').encode())
        self.process.stdin.flush()

    def hears(self, what, since, true):
        """Waits for a line from `since` on that is true of it, and returns it."""
        return until(what, lambda: next((line for line in self.said[since:] if true(line)), None), 20, [self.process])

    def click(self, doing, value=0, page='play', field=None):
        where = [TOOLS + '/where', *map(str, self.size), page, str(-1 if field is None else FIELDS[field]), doing, str(value)]
        x, y = self.screen.look(*where).split() or ('', '')
        self.screen.look('xdotool', 'mousemove', '--window', self.window, x, y, 'click', '1')

    def keys(self, *keys):
        self.screen.look('xdotool', 'mousemove', '--window', self.window, '2', '2', 'key', '--delay', '30', *keys)

    def type(self, text):
        self.screen.look('xdotool', 'type', '--delay', '30', text)

    def changes(self, what, work):
        """Does something, and waits until the picture is another one."""
        before = self.screen.drawn(self.window)
        work()
        until(what, lambda: self.screen.drawn(self.window) != before, 20, [self.process])

    def settles(self, what):
        """Waits until the picture has stayed as it is for half a second."""
        seen = [self.screen.drawn(self.window)]

        def still():
            seen.append(self.screen.drawn(self.window))
            return len(seen) > 5 and len(set(seen[-5:])) == 1
        until(what, still, 20, [self.process])

    def set_to(self, symbol, value, work):
        since = len(self.said)
        work()
        self.hears('%s %s' % (symbol, value), since, lambda line: line == 'set %s %s' % (symbol, value))

    def choose(self, field, n, symbol, value):
        self.changes('a list', lambda: self.click('field', FIELDS[field]))
        self.set_to(symbol, value, lambda: self.click('choose', n, field=field))


def chord_edited(p):
    """The fifth bar becomes a two chord: the chart comes back from the plugin, and patch:Get says the same."""
    since = len(p.said)
    p.changes('the bar to open', lambda: p.click('bar', 4))
    p.keys(*['BackSpace'] * 6)
    p.type('ii7 V7')
    p.keys('Return')
    told = p.hears('the chart', since, lambda line: line.startswith('chart ') and 'ii7 V7' in line)
    since = len(p.said)
    p.order('get')
    again = p.hears('the chart again', since, lambda line: line.startswith('chart '))
    if again != told:
        raise Wrong('told %s, then got %s' % (told, again))
    if told.count('ii7 V7') != 1 or '| I7  | %   | %  | %  |' not in told:
        raise Wrong('more than the one bar changed: ' + told)


def chord_wrong(p):
    """What is no chord sends nothing, and the old chart is still in force."""
    since = len(p.said)
    p.order('get')
    before = p.hears('the chart', since, lambda line: line.startswith('chart ') and 'ii7 V7' in line)
    p.hears('the rest', since, lambda line: line.startswith('problem'))
    p.changes('the bar to open', lambda: p.click('bar', 6))
    p.keys(*['BackSpace'] * 6)
    p.type('H7')
    p.changes('words about it', lambda: p.keys('Return'))
    p.changes('the bar to close', lambda: p.keys('Escape'))
    since = len(p.said)
    p.order('get')
    after = p.hears('the chart', since, lambda line: line.startswith('chart '))
    problem = p.hears('the problem', since, lambda line: line.startswith('problem'))
    if after != before or problem.strip() != 'problem':
        raise Wrong('%s; %s' % (after, problem))


def position_chosen(p):
    """Third position in G is an F harp (5)."""
    p.choose('position', 2, 'harp_key', 5)
    p.choose('position', 1, 'harp_key', 0)


def tempo_tapped(p):
    """The host tells nothing: the first tap takes the clock, four count in. A foot takes its time: faster than 400 a minute
    is no tempo."""
    p.set_to('clock', 1, lambda: p.click('tap'))
    since = len(p.said)
    for _ in range(3):
        time.sleep(0.4)
        p.set_to('tap', 1, lambda: p.click('tap'))
    p.hears('bar 1', since, lambda line: line.startswith('place 1 1 '))
    p.set_to('stop', 1, lambda: p.click('stop'))
    p.choose('clock', 0, 'clock', 0)


def bar_one_marked(p):
    """In the third bar: this one is bar 1."""
    since = len(p.said)
    p.order('roll')
    p.hears('bar 3', since, lambda line: line.startswith('place 1 3 '))
    since = len(p.said)
    p.set_to('bar_one', 1, lambda: p.click('bar-one'))
    p.hears('the pedal to come up again', since, lambda line: line == 'set bar_one 0')
    p.hears('bar 2 of the form begun anew', since, lambda line: line.startswith('place 1 2 '))


def osc_switched(p):
    """On by its list; the addresses by typing."""
    p.choose('OSC', 1, 'send_osc', 1)
    p.choose('OSC', 0, 'send_osc', 0)
    since = len(p.said)
    p.changes('the list', lambda: p.click('field', FIELDS['OSC']))
    p.keys(*['BackSpace'] * 20)
    p.type('127.0.0.1:9000')
    p.keys('Return')
    p.hears('the address', since, lambda line: line == 'osc_to 127.0.0.1:9000')


def stage_and_back(p):
    p.changes('the stage view', lambda: p.click('stage'))
    p.changes('the whole window', lambda: p.click('stage', page='stage'))


def harp_used(p):
    """By keyboard alone: h, then Tab to the second harp of the list."""
    p.changes('which harp?', lambda: p.keys('h'))
    p.set_to('harp_key', 7, lambda: p.click('use', 1, page='harps'))
    p.changes('the window', lambda: p.keys('Escape'))
    p.choose('harp key', 0, 'harp_key', 0)


def phrase_put(p):
    """The first phrase of the library on a bar: the plan comes back from the plugin with the phrase in it, and the lane shows."""
    p.changes('the library', lambda: p.click('phrases'))
    p.changes('the bar after', lambda: p.click('bar-by', 1, page='phrases'))
    since = len(p.said)
    p.click('put', page='phrases')
    told = p.hears('the plan', since, lambda line: line.startswith('plan bar '))
    if 'T:' not in told or told.split(': ')[1].split('\\n')[0] not in told.split('T:')[1]:
        raise Wrong('no phrase in the plan: ' + told)
    p.changes('the window with a lane', lambda: p.keys('Escape'))
    since = len(p.said)
    p.order('get')
    if p.hears('the plan again', since, lambda line: line.startswith('plan ')) != told:
        raise Wrong('another plan than was told')


EDITS = {name: n for n, name in enumerate(['earlier', 'later', 'lower', 'higher', 'shorter', 'longer', 'insert', 'delete', 'split',
                                           'join', 'scoop', 'accept'])}
BY_KEY = {'earlier': 'shift+Left', 'later': 'shift+Right', 'lower': 'shift+Down', 'higher': 'shift+Up', 'shorter': 'ctrl+Down',
          'longer': 'ctrl+Up', 'insert': 'i', 'delete': 'x', 'split': 'v', 'join': 'j', 'scoop': 'u'}


def take_played(p):
    """Three notes, played while the music rolls, become a take. Returns what was told."""
    def takes(line):
        return int(line.split()[2].split('\\n')[0]) if line.startswith('take taken: ') else 0
    had = max(map(takes, p.said))
    since = len(p.said)
    p.order('roll')
    try:
        p.hears('bar 1', since, lambda line: line.startswith('place 1 1 '))
        p.set_to('capture', 1, lambda: p.click('capture'))
        for key in (62, 66, 69):
            p.order('midi 144 %d 90' % key)
            time.sleep(60 / TEMPO)
            p.order('midi 128 %d 0' % key)
        since = len(p.said)
        p.set_to('capture', 1, lambda: p.click('capture'))
        return p.hears('the take', since, lambda line: takes(line) > had and 'T:Take' in line)
    finally:
        p.order('stop')


def take_edited(p, told, edits, do):
    """Each edit changes the take, and undo brings each back."""
    states = [told]
    for edit in edits:
        since = len(p.said)
        do(edit)
        states.append(p.hears('the take, ' + edit, since, lambda line: line.startswith('take taken') and line != states[-1]))
    for before in reversed(states[:-1]):
        since = len(p.said)
        p.keys('ctrl+z')
        p.hears('the take as it was', since, lambda line, before=before: line == before)


def phrase_taken(p):
    """What is played comes back as a take; by mouse alone its notes are changed in every way, and it is kept."""
    told = take_played(p)
    p.changes('the library', lambda: p.click('phrases'))
    p.changes('its notes', lambda: p.click('panel', 1, page='take'))
    p.changes('the next note', lambda: p.click('note', 1, page='edit'))
    take_edited(p, told, ['later', 'lower', 'higher', 'split', 'join', 'insert', 'scoop', 'delete'],
                lambda edit: p.click('edit', EDITS[edit], page='edit'))
    p.changes('the other buttons', lambda: p.click('panel', 1, page='edit'))
    since = len(p.said)
    title = told.rsplit('T:', 1)[1].split('\\n')[0]
    p.click('hold', page='take')
    p.hears('no such take any more', since, lambda line: line.startswith('take') and 'T:' + title not in line)
    kept = os.path.join(p.screen.folder, 'data/reedlamp/phrases/%s.abc' % title.lower().replace(' ', '-'))
    until('the file', lambda: os.path.exists(kept), 5, [p.process])
    p.settles('a name to be typed')
    p.changes('its name to stay', lambda: p.keys('Escape'))
    p.settles('the library')
    p.changes('the music', lambda: p.keys('Escape'))


def phrase_keyed(p):
    """The same by keys alone."""
    told = take_played(p)
    p.changes('the library', lambda: p.keys('p'))
    p.changes('its notes', lambda: p.keys('e'))
    p.changes('the next note', lambda: p.keys('ctrl+Right'))
    take_edited(p, told, ['later', 'lower', 'higher', 'split', 'join', 'insert', 'scoop', 'delete'],
                lambda edit: p.keys(BY_KEY[edit]))
    p.changes('the music', lambda: p.keys('Escape'))


def sheet_made(p):
    """The button among the phrases: a PDF in the home folder, whole; the key l makes another and leaves the first as it is."""
    def sheets():
        return sorted(name for name in os.listdir(p.screen.env['HOME']) if name.endswith('.pdf'))

    def whole(name):
        with open(os.path.join(p.screen.env['HOME'], name), 'rb') as file:
            text = file.read()
        return text if text.startswith(b'%PDF-') and text.endswith(b'%%EOF\n') else None
    for name in sheets():
        os.remove(os.path.join(p.screen.env['HOME'], name))
    p.changes('the library', lambda: p.click('phrases'))
    p.changes('the button at work', lambda: p.click('sheet', page='phrases'))
    until('a sheet', lambda: sheets() and whole(sheets()[0]), 20, [p.process])
    p.settles('a notice')
    if len(sheets()) != 1 or not whole(sheets()[0]):
        raise Wrong('no sheet: %s' % sheets())
    first, before = sheets()[0], whole(sheets()[0])
    p.changes('the notice to go', lambda: p.keys('Return'))
    p.changes('the window', lambda: p.keys('Escape'))
    p.changes('another notice', lambda: p.keys('l'))
    if len(sheets()) != 2 or whole(first) != before:
        raise Wrong('the second: %s' % sheets())
    p.changes('the notice to go', lambda: p.keys('Escape'))
    return first


HARBOUR = 'title: Harbour Light\nkey: D\nmeter: 4/4\n| I7 | % | % | % |\n| IV7 | % | I7 | % |\n| V7 | IV7 | I7 | V7 |\n'


def chart_opened_and_saved(p):
    """A chart of one's own folder takes the place of an edited one after a question; a bar of it is changed, and it is
    saved where it came from; a new one is begun and saved under a name that is typed."""
    folder = os.path.join(p.screen.folder, 'data/reedlamp/charts')
    path = os.path.join(folder, 'harbour.chart')

    def holds(name):
        try:
            with open(os.path.join(folder, name), encoding='utf-8') as file:
                return file.read()
        except OSError:
            return ''
    os.makedirs(folder, exist_ok=True)
    with open(path, 'w', encoding='utf-8') as file:
        file.write(HARBOUR)
    p.changes('the charts', lambda: p.click('charts'))
    p.changes('my charts', lambda: p.click('place', 1, page='charts'))
    p.settles('the list')
    p.changes('the chart to be looked at', lambda: p.click('chart', 1, page='charts'))
    p.settles('its bars')
    since = len(p.said)
    p.changes('a question', lambda: p.click('open', page='charts'))
    p.settles('the question')
    p.keys('Tab', 'Tab', 'Return')  # open anyway
    p.hears('the chart', since, lambda line: line.startswith('chart title: Harbour Light'))
    p.hears('its file', since, lambda line: line == 'chart_file ' + path)
    p.settles('the music')
    since = len(p.said)
    p.changes('the bar to open', lambda: p.click('bar', 0))
    p.type('VI7')
    p.keys('Return')
    p.hears('the chart with another chord', since, lambda line: line.startswith('chart ') and '| VI7 |' in line)
    p.hears('that it is not the file\'s', since, lambda line: line.rstrip() == 'chart_file')
    p.settles('the music again')
    p.changes('the charts again', lambda: p.click('charts'))
    p.settles('the charts')
    since = len(p.said)
    p.click('save', page='charts')
    p.hears('the file again', since, lambda line: line == 'chart_file ' + path)
    if holds('harbour.chart') != HARBOUR.replace('| I7 |', '| VI7 |', 1):
        raise Wrong('saved: ' + holds('harbour.chart'))
    p.settles('the list again')
    since = len(p.said)
    p.changes('the keys', lambda: p.click('new', page='charts'))
    p.keys('Tab', 'Tab', 'Tab', 'Return')  # C, Db, D
    p.hears('a new chart', since, lambda line: line.startswith('chart title: Twelve-bar in D'))
    p.settles('the music once more')
    p.changes('the charts once more', lambda: p.click('charts'))
    p.changes('a name to be typed', lambda: p.click('save-as', page='charts'))
    p.type('practice')
    p.keys('Return')
    until('the new file', lambda: holds('practice.chart').startswith('title: Twelve-bar in D'), 10, [p.process])
    p.changes('the music', lambda: p.keys('Escape'))
    with open(os.path.join(p.screen.folder, 'state/reedlamp/recent-charts'), encoding='utf-8') as file:
        recent = file.read().splitlines()
    if recent != [os.path.join(folder, 'practice.chart'), path]:
        raise Wrong('recent: %s' % recent)


def note(hole, technique):
    """As RL_ACTION_AIM has it; techniques as RlTechnique."""
    return hole * 10 + technique


def bend_trained(p):
    """By mouse: the trainer, the microphone, draw 3 bent down a step. A reed bends down to it: the picture follows, and
    stands still while the pitch does; the try is in the file."""
    kept = os.path.join(p.screen.folder, 'data/reedlamp/tries')

    def counted():
        try:
            with open(kept, encoding='utf-8') as file:
                return [tuple(map(int, line.split()[2:])) for line in file if line.startswith('3 draw2 ')][0]
        except (OSError, IndexError):
            return (0, 0)
    before = counted()
    p.changes('the trainer', lambda: p.click('trainer'))
    p.settles('the trainer, all of it')
    p.changes('the list', lambda: p.click('field', FIELDS['hear me'], page='trainer'))
    p.set_to('harp_from', 1, lambda: p.click('choose', 1, page='trainer', field='hear me'))
    p.changes('another aim', lambda: p.click('aim', note(8, 2), page='trainer'))
    p.changes('the aim', lambda: p.click('aim', note(3, 6), page='trainer'))
    since = len(p.said)
    p.changes('the needle', lambda: p.order('reed 71'))
    p.hears('the plain note', since, lambda line: line == 'played 1 3')
    for cents in range(0, 200, 10):
        p.order('reed %.2f' % (71 - cents / 100))
        time.sleep(0.02)
    p.changes('the needle on the band', lambda: p.order('reed 69.04'))
    time.sleep(1.6)
    p.changes('the needle to go', lambda: p.order('reed 0'))
    until('a try in the file', lambda: counted() == (before[0] + 1, before[1] + 1), 10, [p.process])
    p.settles('the last try')
    p.changes('the aim by keyboard', lambda: p.keys('Tab', 'Tab', 'Tab', 'Return'))
    p.changes('missed most', lambda: p.click('missed', page='trainer'))
    since = len(p.said)
    p.changes('the music', lambda: p.keys('Escape'))
    p.changes('a ring', lambda: p.order('reed 60'))
    p.hears('hole 1', since, lambda line: line == 'played 1 1')
    p.changes('no ring', lambda: p.order('reed 0'))
    p.choose('hear me', 0, 'harp_from', 0)


def bars_light(p):
    """From the bar line in run() to the lit bar on the screen: a figure, and that all light up; a busy machine is late."""
    points = []
    for bar in range(12):
        x, y = p.screen.look(TOOLS + '/where', *map(str, p.size), 'play', '-1', 'bar', str(bar)).split()
        points += [x, str(int(y) - 28)]  # in the bar, above its words
    since = len(p.said)
    p.order('roll')
    seen = p.screen.look(TOOLS + '/watch', p.window, '40', *points)
    lines = [(int(w[1]), float(w[2])) for w in (line.split() for line in list(p.said[since:])) if w and w[0] == 'line']
    late = []
    for bar, at in ((int(w[1]), float(w[2])) for w in (line.split() for line in seen.splitlines())):
        before = [time for number, time in lines if number == bar and -0.001 <= at - time < 1]
        late += [at - before[-1]] if before else []
    if len(late) < 20:
        raise Wrong('only %d bars seen to light up' % len(late))
    late.sort()
    worst = late[int(0.95 * (len(late) - 1) + 0.999)]
    return '%.0f ms at the 95th percentile, %.0f ms in the middle, of %d bars' % (1000 * worst, 1000 * late[len(late) // 2], len(late))


def main():
    screen = stage.Screen(SCRATCH + '/hand', PEERS, BUNDLES)
    try:
        p = Player(screen)
        test('a chord is edited and heard back', chord_edited, p)
        test('a wrong chord is named, the chart stays', chord_wrong, p)
        test('a harp is chosen by position', position_chosen, p)
        test('which harp?, and that one', harp_used, p)
        test('OSC on and off, its addresses typed', osc_switched, p)
        test('stage view and back', stage_and_back, p)
        test('a bend is chosen, heard and counted', bend_trained, p)  # before a lane moves the button
        test('a bar lights up in time', bars_light, p)
        test('bar one is now', bar_one_marked, p)
        test('a phrase is put on a bar', phrase_put, p)
        test('a phrase is taken down, put right by mouse and kept', phrase_taken, p)
        test('a phrase is taken down and put right by keys', phrase_keyed, p)
        test('a lesson sheet is made', sheet_made, p)
        test('a chart is opened, edited, saved; a new one begun', chart_opened_and_saved, p)
        p.order('quit')
        p.process.wait(20)
        p = Player(screen, tempo=0)
        test('a tempo is tapped', tempo_tapped, p)
    except Exception as error:
        count.no('by hand', ' '.join(str(error).split()) or type(error).__name__)
    finally:
        screen.close()
    return count.end()


sys.exit(main())
