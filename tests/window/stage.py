# SPDX-License-Identifier: ISC
"""Screens, hosts and a look at their windows, for run.py. Nothing here waits for a time to pass: everything waits
for something to happen, and gives up late."""
import os
import select
import subprocess
import time

PATIENCE = 60  # seconds


class Wrong(Exception):
    """What a test found."""


class Dropped(Exception):
    """Ardour did not come up, or JACK has let go of it: nobody's test has failed."""


def until(what, done, patience=PATIENCE, alive=()):
    """Waits until done() is true and returns that. Fails when one of the processes `alive` has ended."""
    end = time.monotonic() + patience
    while True:
        answer = done()
        if answer:
            return answer
        for process in alive:
            if process.poll() is not None:
                raise Wrong('waiting for %s: %s ended with %s: %s' % (what, process.name, process.poll(), process.said()))
        if time.monotonic() > end:
            raise Wrong('waited %d s for %s' % (patience, what))
        time.sleep(0.1)


class Process(subprocess.Popen):
    """A program whose words go to a file."""

    def __init__(self, name, command, folder, env, **more):
        self.name, self.path = name, os.path.join(folder, '%s-%d.log' % (name, time.monotonic_ns()))
        with open(self.path, 'wb') as log:
            super().__init__(command, env=env, cwd=folder, stdout=more.pop('stdout', log), stderr=log,
                             stdin=more.pop('stdin', subprocess.DEVNULL), **more)

    def said(self):
        with open(self.path, encoding='utf-8', errors='replace') as log:
            return ' '.join(log.read()[-300:].split())

    def end(self):
        """Gently if it can be: a JACK server that is killed takes its place in the machine's list with it for good."""
        if self.poll() is None:
            self.terminate()
            try:
                self.wait(30)
            except subprocess.TimeoutExpired:
                self.kill()
                self.wait()


class Screen:
    """An X server of one's own, with a window manager if `managed`, and a folder to live in."""

    def __init__(self, folder, tools, bundles, managed=False, glx=True):
        os.makedirs(folder)
        self.folder, self.tools, self.running = folder, tools, []
        self.env = {k: v for k, v in os.environ.items() if k not in ('DISPLAY', 'WAYLAND_DISPLAY', 'XAUTHORITY')}
        self.env.update(HOME=folder, XDG_CONFIG_HOME=folder + '/config', XDG_CACHE_HOME=folder + '/cache',
                        XDG_DATA_HOME=folder + '/data', XDG_STATE_HOME=folder + '/state', XDG_RUNTIME_DIR=folder, LV2_PATH=bundles, GDK_BACKEND='x11', NO_AT_BRIDGE='1',
                        LIBGL_ALWAYS_SOFTWARE='1')
        read, write = os.pipe()
        self.start('Xvfb', ['Xvfb', '-displayfd', str(write), '-screen', '0', '1600x1000x24', '-nolisten', 'tcp',
                            '+extension' if glx else '-extension', 'GLX'], pass_fds=(write,))
        os.close(write)
        number = b''
        while select.select([read], [], [], PATIENCE)[0] and not number.endswith(b'\n'):
            byte = os.read(read, 1)
            if not byte:
                break
            number += byte
        os.close(read)
        if not number.strip():
            raise Wrong('no X server: ' + self.running[0].said())
        self.env['DISPLAY'] = ':' + number.decode().strip()
        if managed:
            self.start('openbox', ['openbox'])
            until('a window manager', lambda: '#' in self.look('xprop', '-root', '_NET_SUPPORTING_WM_CHECK'))

    def start(self, name, command, **more):
        env = dict(self.env, **more.pop('env', {}))
        process = Process(name, command, self.folder, env, **more)
        self.running.append(process)
        return process

    def close(self):
        for process in reversed(self.running):
            process.end()

    def look(self, *command):
        """What a small program says; empty if it fails."""
        done = subprocess.run(command, env=self.env, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, timeout=PATIENCE,
                              check=False)
        return done.stdout.decode(errors='replace').strip() if done.returncode == 0 else ''

    def peer(self, *words):
        return self.look(self.tools + '/peer', *words)

    def lamps(self):
        """The ids of Reedlamp's own windows."""
        return self.peer('inner', 'Reedlamp').split()

    def frames(self, title):
        """The ids of the hosts' windows with that in their title."""
        return self.look('xdotool', 'search', '--onlyvisible', '--name', title).split()

    def quit(self, title):
        for window in self.frames(title):
            self.peer('quit', window)

    def drawn(self, window):
        """A window's picture: a number, and how many colours it has at least."""
        words = self.peer('picture', window).split()
        return (words[0], int(words[1])) if words else None

    def size(self, window):
        return tuple(int(n) for n in self.peer('size', window).split())

    def spot(self, window, doing, value=0, page='play', field=-1):
        """Where in a window something can be done, as the layout has it: see ../byhand/where.c."""
        return self.look(self.tools + '/../byhand/where', *map(str, self.size(window)), page, str(field), doing, str(value)).split()

    def click(self, window, doing, value=0, **where):
        x, y = self.spot(window, doing, value, **where)
        self.look('xdotool', 'mousemove', '--window', window, x, y, 'click', '1')

    def drag(self, window, first, last):
        """From one bar of the chart over those that follow."""
        self.look('xdotool', 'mousemove', '--window', window, *self.spot(window, 'bar', first), 'mousedown', '1')
        for bar in range(first, last + 1):
            self.look('xdotool', 'mousemove', '--window', window, *self.spot(window, 'bar', bar))
            time.sleep(0.1)
        self.look('xdotool', 'mouseup', '1')


def jack(screen, name, again):
    """A JACK server without hardware, not in real time. A machine takes eight: waits for one to end, and calls again(WHY)."""
    for left in reversed(range(5)):
        own = '%s-%d' % (name, left)
        screen.env.update(JACK_DEFAULT_SERVER=own, JACK_NO_START_SERVER='1', JACK_NO_AUDIO_RESERVATION='1')
        server = screen.start('jackd', ['jackd', '-n', own, '-r', '-t', '2000', '-d', 'dummy', '-r', '48000', '-p', '1024'])
        try:
            until('JACK', lambda: screen.look('jack_lsp'), alive=[server])
            return server
        except Wrong as error:
            server.end()
            if not left:
                raise
            again(str(error))
            time.sleep(2)


# ---- Ardour ----

CONFIG = '''<?xml version="1.0" encoding="UTF-8"?>
<Ardour><Config><Option name="try-autostart-engine" value="1"/></Config>
<Extra><AudioMIDISetup><EngineStates><State backend="JACK" driver="" device="" input-device="" output-device=""
sample-rate="48000" buffer-size="1024" n-periods="0" input-latency="0" output-latency="0" input-channels="0"
output-channels="0" active="1" use-buffered-io="0" midi-option="" lru="1"/></EngineStates></AudioMIDISetup></Extra>
</Ardour>
'''
STEPS = '''new %s
track audio 2
plugin urn:reedlamp:plugin
track audio 2
plugin urn:reedlamp:plugin
track audio 1
plugin urn:reedlamp:mono
save
'''


def ardour(screen, script, steps=STEPS, ready=lambda: None, folder='.'):
    """Ardour with a session that these steps of ardour.lua make, each track with the plugin; its mixer in sight. `ready` is
    called once the session is saved. It is started in `folder`."""
    session, config = screen.folder + '/jam', screen.folder + '/config/ardour7'
    made = screen.start('ardour7-lua', ['ardour7-lua', script], env={'STEPS': steps % session})
    until('a session', lambda: made.poll() is not None)
    path = session + '/jam.ardour'
    ready()
    with open(path, encoding='utf-8') as file:
        lines = [line for line in file if '<EngineHints' not in line]  # else it asks about another sound card
    with open(path, 'w', encoding='utf-8') as file:
        file.writelines(lines)
    os.makedirs(config, exist_ok=True)
    for name, text in (('.a7', ''), ('config', CONFIG)):  # it has been here before
        with open(os.path.join(config, name), 'w', encoding='utf-8') as file:
            file.write(text)
    host = screen.start('ardour', ['env', '-C', folder, 'ardour', path])
    try:
        until("Ardour's window", lambda: screen.frames('^jam - Ardour'), alive=[host])
    except Wrong as error:
        if host.poll() is None:
            raise Dropped(str(error)) from error
        raise

    def mixer():
        if not plugins(screen):
            focus(screen)
            screen.look('xdotool', 'key', 'alt+m')
            time.sleep(1)
        return len(plugins(screen)) == steps.count('\nplugin ')
    until("Ardour's mixer", mixer, alive=[host])
    return host


def dropped(host):
    """Has it? Takes any argument of a test."""
    if isinstance(host, Process):
        with open(host.path, encoding='utf-8', errors='replace') as log:
            if 'JACK HALTED' in log.read():
                raise Dropped('JACK let go of Ardour')


def focus(screen):
    for window in screen.frames('^jam - Ardour'):
        screen.look('xdotool', 'windowactivate', '--sync', window)


def save(screen):
    """Ardour's session."""
    focus(screen)
    screen.look('xdotool', 'key', 'ctrl+s')
    time.sleep(1)


def plugins(screen):
    """Where in the mixer the plugins are: the middles of the dark red boxes, which Ardour's theme gives to what stands
    before the fader."""
    shot = subprocess.run(['import', '-window', 'root', '-depth', '8', 'ppm:-'], env=screen.env, stdout=subprocess.PIPE,
                          stderr=subprocess.DEVNULL, timeout=PATIENCE, check=False).stdout.split(b'\n', 3)
    if len(shot) < 4:
        return []
    width, height = (int(n) for n in shot[1].split())
    pixels, boxes = shot[3], {}

    def red(at):
        return 80 <= pixels[at] <= 130 and pixels[at + 1] == pixels[at + 2] and 41 <= 100 * pixels[at + 1] // pixels[at] <= 48

    for y in range(0, height, 2):
        row, x = y * width * 3, 0
        while x < width:
            if red(row + 3 * x):
                end = x
                while end < width and red(row + 3 * end):
                    end += 1
                if end - x >= 60:
                    boxes.setdefault((x + end) // 2 // 8, []).append(((x + end) // 2, y))
                x = end
            x += 8
    return [middle[len(middle) // 2] for _, middle in sorted(boxes.items()) if len(middle) >= 2]
