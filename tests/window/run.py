# SPDX-License-Identifier: ISC
"""The window in real hosts and in a bare one: see run.sh. Usage: run.py BUNDLES TOOLS TIMEBASE ARDOUR_LUA SCRATCH WITHOUT
[WORD...]   WITHOUT names what is not installed, "NAME: WHY" a line; with WORDs only the tests that have one in their name run."""
import os
import re
import signal
import subprocess
import sys
import time

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path[:0] = [os.path.join(HERE, '..'), os.path.join(HERE, '..', 'hosts')]

import ardour  # noqa: E402
import imports  # noqa: E402
import played  # noqa: E402
import stage  # noqa: E402
import tally  # noqa: E402
from stage import Wrong, until  # noqa: E402

BUNDLES, TOOLS, TIMEBASE, ARDOUR_LUA, SCRATCH = sys.argv[1:6]
ABSENT = tally.without(sys.argv[6])
WORDS = sys.argv[7:]
TIMES = 20
HARBOUR = 'title: Harbour Light\nkey: D\nmeter: 4/4\n| I7 | V7 |\n'
TRIES = 3
JACK_TRIES = 6
DRIVE, MODULE = TOOLS + '/drive', BUNDLES + '/reedlamp.lv2/reedlamp-ui.so'
TITLE = 'Reedlamp'
TYPED = 'Am7 D7'
BAR_TWO = ('1020', '168')  # its middle in a window of the first size
LOST = 'bare host: nothing more is lost from the 2nd opening to the %dth' % TIMES
HOSTS = 'jalv and Ardour can be run, and stay alive'
LIFTED = "Ardour: a phrase looped on Reedlamp's track is lifted, put on bar 9 and played from the lane"
count = tally.Tally()
passed = set()


def wanted(name):
    names = [name] if name != HOSTS else [HOSTS, LIFTED, imports.NAME] + [n for n, _ in IN_JALV + IN_ARDOUR]
    return name not in passed and (not WORDS or any(word in n for word in WORDS for n in names))


def test(name, work, *arguments, tries=TRIES):
    """Runs one test and prints its line. A click on another program's window may miss: the test is run again, and that is
    counted."""
    if not wanted(name):
        return
    wrong = []
    running = arguments[0].running if arguments and isinstance(arguments[0], stage.Screen) else []
    before = len(running)
    for left in reversed(range(tries)):
        for process in running[before:]:  # left over from the try before
            process.end()
        try:
            said = work(*arguments)
        except Exception as error:  # whatever went wrong, the test has not passed
            for host in arguments:
                stage.dropped(host)
            wrong.append(' '.join(str(error).split()) or type(error).__name__)
            if left:
                count.again(name, wrong[-1])
            continue
        count.ok(name, said or '')
        passed.add(name)
        return
    count.no(name, '; '.join(wrong))


def skip(names, absent):
    for name in filter(wanted, names):
        count.skip(name, ABSENT[absent])


# ---- In the bare host ----

def drive(screen, *words, env=None):
    """Runs it; returns what it said."""
    done = subprocess.run([DRIVE, MODULE] + list(words), env=dict(screen.env, **(env or {})), stdout=subprocess.PIPE,
                          stderr=subprocess.STDOUT, timeout=120, check=False)
    said = done.stdout.decode(errors='replace')
    if done.returncode or not said.endswith('done\n'):
        raise Wrong('ended with %d: %s' % (done.returncode, said[-200:]))
    return said


def drives(screen, *words):
    drive(screen, *words)


def refused(screen, display):
    said = drive(screen, 'refused', env={'DISPLAY': display})
    if said.count('Reedlamp: no window: ') != 1:
        raise Wrong('it should say in one line why there is no window, and says: ' + said[:200])
    return re.search('no window: (.*)', said).group(1)


def refused_without_glx():
    screen = stage.Screen(SCRATCH + '/plain', TOOLS, BUNDLES, glx=False)
    try:
        return refused(screen, screen.env['DISPLAY'])
    finally:
        screen.close()


def lost(valgrind):
    """What was lost after the 2nd opening and after the last: the same, or it would be more with every one."""
    until('valgrind', lambda: valgrind.poll() is not None, 230)
    with open(valgrind.path, encoding='utf-8', errors='replace') as log:
        said = log.read()
    figures = re.findall(r'lost after (\d+): (\d+)', said)
    if valgrind.returncode or len(figures) != 2:
        raise Wrong('valgrind ended with %d: %s' % (valgrind.returncode, valgrind.said()))
    fault = re.search('(Invalid (read|write|free)|uninitialised value).*', said)
    if fault:
        raise Wrong('valgrind says: ' + fault.group())
    if int(figures[1][1]) > int(figures[0][1]):
        raise Wrong('%s bytes lost after opening %s times, %s after %s' % (figures[0][::-1] + figures[1][::-1]))
    return '%s bytes after 2, %s after %s' % (figures[0][1], figures[1][1], figures[1][0])


def cost(screen, what, seconds):
    """Never decides: another machine, another figure."""
    return next(line for line in drive(screen, what, str(seconds)).splitlines() if '%' in line)


# ---- jalv ----

def jalv(screen, name='jalv', plugin='urn:reedlamp:plugin'):
    return screen.start('jalv.gtk3', ['jalv.gtk3', '-n', name, '-x', plugin])


def shown(screen, host, count=1):
    """Waits for so many windows with something drawn in them."""
    until('%d windows' % count, lambda: len(screen.lamps()) == count, alive=host)
    windows = screen.lamps()
    until('a picture', lambda: all((screen.drawn(w) or ('', 0))[1] > 1 for w in windows), alive=host)
    return windows


def ended(screen, hosts):
    """Closes the hosts' windows and waits until they have ended, as they should."""
    for host in hosts:
        until('the end of jalv', lambda h=host: screen.quit(TITLE) or h.poll() is not None)
        if host.returncode:
            raise Wrong('jalv ended with %d: %s' % (host.returncode, host.said()))


def moves(screen, window, hosts):
    """Waits until the picture has changed a few times."""
    seen = set()
    until('the picture to move', lambda: seen.add(screen.drawn(window)) or len(seen) >= 4, alive=hosts)


def rests(screen, window):
    """Is the picture the same for a while?"""
    def same():
        before = screen.drawn(window)
        time.sleep(0.5)
        return before == screen.drawn(window)
    until('the picture to rest', same)


def resized(screen, window, title, hosts):
    """The host's window grows and shrinks: does ours follow?"""
    before = screen.size(window)
    for width, height in ((before[0] + 80, before[1] + 120), (before[0] - 200, before[1] - 100)):
        for frame in screen.frames(title):
            screen.look('xdotool', 'windowsize', frame, str(width), str(height))
        until('width %d' % width, lambda w=width: screen.size(window)[:1] == (w,), alive=hosts)
    until('a picture', lambda: (screen.drawn(window) or ('', 0))[1] > 1, alive=hosts)


def typed(screen, window, hosts):
    """Clicks on bar 2 and types chords into it, as a person would: what stands there is replaced, and before and after
    that the focus is where the host had it."""
    def focus():
        return screen.look('xdotool', 'getwindowfocus', '-f')

    def typing():
        screen.look('xdotool', 'mousemove', '--window', window, *BAR_TWO)
        screen.look('xdotool', 'click', '1')
        time.sleep(0.5)
        return focus() == window
    screen.look('xdotool', 'mousemove', '--window', window, '4', '4')
    screen.look('xdotool', 'click', '1')  # where nothing is: the window manager brings the host's window to the front
    time.sleep(0.5)
    before = focus()
    until('the focus where something is typed', typing, 10, hosts)
    screen.look('xdotool', 'type', '--delay', '50', TYPED)
    time.sleep(0.5)
    screen.look('xdotool', 'key', 'Return')
    until('the focus where it was', lambda: focus() == before, 10, hosts)
    rests(screen, window)


def jalv_plays(screen):
    host = jalv(screen)
    window = shown(screen, [host])[0]
    rests(screen, window)
    master = screen.start('timebase', [TIMEBASE, '0:4:4:123.4', 'do', 'wait', 'jalv', 'take', 'roll'], stdin=subprocess.PIPE)
    try:
        moves(screen, window, [host, master])
        resized(screen, window, TITLE, [host])
        moves(screen, window, [host, master])
    finally:
        master.end()
    ended(screen, [host])


def jalv_typed(screen):
    """The host says what window and plugin tell each other, the last of it when it ends."""
    host = screen.start('jalv.gtk3', ['jalv.gtk3', '-d', '-n', 'jalv', '-x', 'urn:reedlamp:plugin'])
    window = shown(screen, [host])[0]
    rests(screen, window)
    typed(screen, window, [host])
    ended(screen, [host])
    with open(host.path, encoding='utf-8', errors='replace') as log:
        if TYPED not in log.read():
            raise Wrong('the plugin has no chart with what was typed')


def jalv_charts(screen):
    """By mouse, then by a typed name: a chart of one's own folder is opened, and is saved as another file. What is saved is
    what the plugin has told the window, so it came there and back."""
    own, recent = screen.folder + '/data/reedlamp/charts', screen.folder + '/state/reedlamp/recent-charts'
    os.makedirs(own, exist_ok=True)
    with open(own + '/harbour.chart', 'w', encoding='utf-8') as file:
        file.write(HARBOUR)
    if os.path.exists(own + '/copy.chart'):
        os.remove(own + '/copy.chart')
    host = jalv(screen)
    window = shown(screen, [host])[0]

    def click(doing, value, page):
        screen.click(window, doing, value, page=page)
        rests(screen, window)

    def holds(path):
        try:
            with open(path, encoding='utf-8') as file:
                return file.read()
        except OSError:
            return ''
    rests(screen, window)
    click('charts', 0, 'play')
    click('place', 1, 'charts')
    click('chart', 1, 'charts')  # looks at it: the first line is the folder above
    click('chart', 1, 'charts')  # opens it
    until('the chart among the recent ones', lambda: holds(recent).startswith(own + '/harbour.chart\n'), 20, [host])
    rests(screen, window)
    click('charts', 0, 'play')
    click('save-as', 0, 'charts')
    screen.look('xdotool', 'type', '--delay', '50', 'copy')
    screen.look('xdotool', 'key', 'Return')
    until('the copy', lambda: holds(own + '/copy.chart') == HARBOUR, 20, [host])
    ended(screen, [host])


def jalv_reasons(screen):
    """Why no chord is shown: each state of the host has a sentence of its own, and the next one comes without a click."""
    def says(words, host):
        until('"%s"' % words, lambda: screen.look(TOOLS + '/reason', window) == words, 20, [host])

    def transport(step):
        turned = screen.start('timebase', [TIMEBASE, '0:4:4:120', 'do', step])
        until('the transport to ' + step, lambda: turned.poll() is not None)
    server = next(p for p in screen.running if p.name == 'jackd')
    transport('stop')
    host = jalv(screen)
    window = shown(screen, [host])[0]
    says('Press play, or tap the beat', host)
    transport('roll')  # with no timebase master: it plays, and nobody knows where
    says('The host tells no bars: tap the beat instead', host)
    os.kill(server.pid, signal.SIGSTOP)  # a dead audio engine
    try:
        says('The host stands still: press play, or start its audio', host)
    finally:
        os.kill(server.pid, signal.SIGCONT)
    says('The host tells no bars: tap the beat instead', host)
    transport('stop')
    ended(screen, [host])
    host = screen.start('jalv.gtk3', ['jalv.gtk3', '-n', 'jalv', '-c', 'enabled=0', '-x', 'urn:reedlamp:plugin'])
    window = shown(screen, [host])[0]
    says('Switched off: enable the plugin in the host', host)
    ended(screen, [host])


def jalv_often(screen):
    for _ in range(TIMES):
        host = jalv(screen)
        until('a window', screen.lamps, alive=[host])
        ended(screen, [host])


def jalv_together(screen):
    hosts = [jalv(screen, 'jalv%d' % n, 'urn:reedlamp:' + ('mono' if n == 2 else 'plugin')) for n in range(3)]
    until('three windows', lambda: len(screen.lamps()) == 3, alive=hosts)
    ended(screen, hosts)


# ---- Ardour ----

def aside(screen):
    """Moves the plugins' windows off the mixer."""
    for frame in screen.frames(': Reedlamp'):
        screen.look('xdotool', 'windowmove', frame, '900', '560')


def ardour_opens(screen, host, place, count):
    """Double-clicks on a plugin until there are so many windows."""
    for _ in range(30):
        aside(screen)
        screen.look('xdotool', 'mousemove', str(place[0]), str(place[1]), 'click', '--repeat', '2', '--delay', '40', '1')
        try:
            until('%d windows' % count, lambda: len(screen.lamps()) == count, 4, [host])
            break
        except Wrong:
            stage.dropped(host)
            if host.poll() is not None:
                raise
    until('%d windows' % count, lambda: len(screen.lamps()) == count, 10, [host])


def ardour_closes(screen, host, count=0):
    until('%d windows' % count, lambda: len(screen.lamps()) == count or screen.quit(': Reedlamp'), alive=[host])


def ardour_plays(screen, host, places):
    ardour_opens(screen, host, places[0], 1)
    window = shown(screen, [host])[0]
    stage.focus(screen)
    screen.look('xdotool', 'key', 'space')
    moves(screen, window, [host])
    resized(screen, window, ': Reedlamp', [host])
    moves(screen, window, [host])
    stage.focus(screen)
    screen.look('xdotool', 'key', 'space')
    rests(screen, window)
    ardour_closes(screen, host)


def saved(screen):
    """What Ardour has saved of the plugins' state, after it was asked to save."""
    stage.save(screen)
    words = ''
    for folder, _, files in os.walk(screen.folder + '/jam/plugins'):
        for name in files:
            with open(os.path.join(folder, name), encoding='utf-8', errors='replace') as file:
                words += file.read()
    return words


def ardour_chart(screen, host, places, button):
    """Types chords in a window of its own. `button`: with the keyboard button of Ardour's window on, else off, as it is
    at first."""
    ardour_closes(screen, host)  # left over from a try before
    ardour_opens(screen, host, places[0], 1)
    for frame in screen.frames(': Reedlamp'):
        screen.look('xdotool', 'windowmove', frame, '20', '20')
    window = shown(screen, [host])[0]
    if button:
        at = dict(line.split('=') for line in screen.look('xdotool', 'getwindowgeometry', '--shell', window).splitlines())
        x, y = int(at['X']) + int(at['WIDTH']) - 22, int(at['Y']) - 19
        screen.look('xdotool', 'mousemove', str(x), str(y), 'click', '1')

        def green():
            colour = screen.look('import', '-window', 'root', '-crop', '1x1+%d+%d' % (x, y + 4), '-depth', '8', 'txt:-')
            r, g, b = (int(n) for n in re.search(r'\((\d+),(\d+),(\d+)', colour).groups())
            return g > r + 30 and g > b + 30
        until('the keyboard button to be green', green, 10, [host])
    rests(screen, window)
    typed(screen, window, [host])  # it would not rest if a space had started the transport
    until('the chart with what was typed', lambda: TYPED in saved(screen), 20, [host])
    ardour_closes(screen, host)


def ardour_typed(screen, host, places):
    ardour_chart(screen, host, places, False)


def ardour_typed_with_button(screen, host, places):
    ardour_chart(screen, host, places[1:], True)


def ardour_often(screen, host, places):
    for _ in range(TIMES):
        ardour_opens(screen, host, places[0], 1)
        ardour_closes(screen, host)


def ardour_together(screen, host, places):
    for n, place in enumerate(places):
        ardour_opens(screen, host, place, n + 1)
    ardour_closes(screen, host)


IN_ARDOUR = [('Ardour: opens, plays, is resized, closes', ardour_plays),
             ('Ardour: chords are typed, its keyboard button off', ardour_typed),
             ('Ardour: chords are typed, its keyboard button on', ardour_typed_with_button),
             ('Ardour: opens and closes %d times' % TIMES, ardour_often),
             ('Ardour: three at once', ardour_together)]


def in_ardour(screen):
    """JACK sometimes disconnects Ardour, which writes to its socket from two threads at once, and Ardour stops with a
    question: it is started anew, and that is counted."""
    host = stage.ardour(screen, ARDOUR_LUA)
    places = stage.plugins(screen)
    for name, work in IN_ARDOUR:
        test(name, work, screen, host, places)
    if host.poll() is not None:
        raise Wrong('Ardour ended with %d: %s' % (host.returncode, host.said()))


# ---- Ardour with a record on the track ----

# Over bars 5 and 6: places and lengths in twelfths of a beat, MIDI numbers; and the tune that it is. Two pairs are swung:
# one alone may be written as a triplet too.
HORN = [(192, 12, 72), (204, 8, 70), (212, 4, 67), (216, 12, 64), (228, 10, 70), (240, 8, 72), (248, 4, 74), (252, 12, 76),
        (264, 20, 67)]
TUNE = '"C7"c2 _BG E2 _B2|cd e2 G3z|'
BEAT = 18000  # frames: 160 a minute
TAB = '380x90+85+512'  # of the bar that plays, in a window of the first size


def tab_ink(screen, window):
    """Is there tab in the lane's first bar?"""
    light = screen.look('convert', 'x:' + window, '-crop', TAB, '-threshold', '80%', '-format', '%[fx:mean]', 'info:-')
    return float(light or 0) > 0.01


def lift(screen, host):
    """The window's own mouse does all of it; what comes of it stands in the session that Ardour saves."""
    ardour_closes(screen, host)  # left over from a try before
    ardour_opens(screen, host, stage.plugins(screen)[0], 1)
    window = shown(screen, [host])[0]

    def told(what, words):
        return until(what, lambda: words in saved(screen), 20, [host])

    def click(doing, value=0, **where):
        before = screen.drawn(window)
        screen.click(window, doing, value, **where)
        until('another picture after ' + doing, lambda: screen.drawn(window) != before, 20, [host])
    from_the_track = {'page': 'practice', 'field': 16}
    click('practice')
    click('field', 16, page='practice')
    click('choose', 2, **from_the_track)
    click('practice', page='practice')
    stage.focus(screen)
    screen.look('xdotool', 'key', 'l')  # two bars, over and over
    moves(screen, window, [host])
    time.sleep(5)
    screen.drag(window, 4, 5)
    screen.click(window, 'capture')
    told('the take', TUNE)
    stage.focus(screen)
    screen.look('xdotool', 'key', 'space')
    rests(screen, window)
    click('phrases')
    for _ in range(4):
        click('bar-by', 1, page='take')
    click('put', page='take')
    told('the plan', 'bar 9: Take 1')
    click('phrases', page='take')
    stage.focus(screen)
    screen.look('xdotool', 'key', 'Home', 'space')
    until('an empty bar in the lane', lambda: not tab_ink(screen, window), 10, [host])
    until('the phrase', lambda: tab_ink(screen, window), 30, [host])
    stage.focus(screen)
    screen.look('xdotool', 'key', 'space')
    rests(screen, window)


def lifts_in_ardour(screen):
    studio = ardour.Studio(screen.folder, '', '', print)
    notes = [(at * BEAT / 12 / 48000, (at + lasts) * BEAT / 12 / 48000 - 0.03, midi) for at, lasts, midi in HORN]

    def ready():
        studio.lay(played.record(screen.folder, notes, 10), 26 * BEAT)
        studio.locations(loop=(16 * BEAT, 24 * BEAT))
    steps = '\n'.join(['new %s', 'track audio 1', 'plugin ' + ardour.MONO, *ardour.Map([(0, 160, 4)], [(0, 4, 4)], 60).steps(), 'save'])
    host = stage.ardour(screen, ARDOUR_LUA, steps, ready)
    test(LIFTED, lift, screen, host)


def imports_in_ardour(screen):
    folder = imports.folder_make(screen, TOOLS + '/../..', HERE + '/../..')
    host = stage.ardour(screen, ARDOUR_LUA, 'new %s\ntrack audio 1\nplugin ' + ardour.MONO + '\nsave\n', folder=folder)
    test(imports.NAME, imports.imported, screen, host)


def bare():
    screen = stage.Screen(SCRATCH + '/bare', TOOLS, BUNDLES)
    valgrind = None
    if 'valgrind' in ABSENT:
        skip([LOST], 'valgrind')
    elif wanted(LOST):
        valgrind = screen.start('valgrind', ['nice', '-n', '10', 'valgrind', '-q', '--leak-check=summary',
                                             '--suppressions=' + HERE + '/valgrind.supp', DRIVE, MODULE, 'times', str(TIMES)], env={'GALLIUM_DRIVER': 'softpipe'})
    test('bare host: opens and closes %d times' % TIMES, drives, screen, 'times', str(TIMES))
    test("bare host: the host's window goes first", drives, screen, 'parent-first')
    test('bare host: three at once, closed in another order', drives, screen, 'together')
    test('bare host: resized from both sides', drives, screen, 'resize')
    test('bare host: the focus while something is typed', drives, screen, 'focus')
    test('no display: refused politely', refused, screen, '')
    test('a display that is not there: refused politely', refused, screen, ':%d' % 59999)
    test('no GLX: refused politely', refused_without_glx)
    return screen, valgrind


IN_JALV = [('jalv: opens, plays, is resized, closes', jalv_plays),
           ('jalv: chords are typed', jalv_typed),
           ('jalv: a chart is opened and saved', jalv_charts),
           ('jalv: why no chord is shown', jalv_reasons),
           ('jalv: opens and closes %d times' % TIMES, jalv_often),
           ('jalv: three at once', jalv_together)]


def in_jalv(screen):
    for name, work in IN_JALV:
        test(name, work, screen)


def on_stage(name, play):
    screen = stage.Screen(SCRATCH + '/' + name, TOOLS, BUNDLES, managed=True)
    try:
        stage.jack(screen, 'lamp%s%d' % (name, os.getpid()), lambda why: count.again(HOSTS, why))
        play(screen)
    finally:
        screen.close()


def in_hosts(valgrind):
    """Ardour has both cores to itself: JACK disconnects it more easily beside other work."""
    if 'jalv' in ABSENT:
        skip([name for name, _ in IN_JALV], 'jalv')
    elif any(wanted(name) for name, _ in IN_JALV):
        on_stage('jalv', in_jalv)
    if valgrind:
        test(LOST, lost, valgrind)
    if 'Ardour' in ABSENT:
        skip([name for name, _ in IN_ARDOUR] + [LIFTED, imports.NAME], 'Ardour')
        return
    for names, play in (([name for name, _ in IN_ARDOUR], in_ardour), ([LIFTED], lifts_in_ardour),
                        ([imports.NAME], imports_in_ardour)):
        if any(wanted(name) for name in names):
            stays_alive(play)


def stays_alive(play):
    dropped = []
    while True:
        try:
            on_stage('%s%d' % (play.__name__, len(dropped)), play)
            return
        except stage.Dropped as error:
            dropped.append(str(error))
            if len(dropped) == JACK_TRIES:
                raise Wrong('; '.join(dropped)) from error
            count.again(HOSTS, error)


def main():
    screen, valgrind = bare()
    try:
        if valgrind and not wanted(HOSTS):
            test(LOST, lost, valgrind)
        test(HOSTS, in_hosts, valgrind, tries=1)
        for what, name in (('roll', 'rolling'), ('rest', 'stopped')):
            test('what it costs, %s' % name, cost, screen, what, 5)
    finally:
        screen.close()
    return count.end()


sys.exit(main())
