# SPDX-License-Identifier: ISC
"""Runs the tests of the larger hosts: see others.sh. Usage: others.py BUNDLES TOOLS SCRATCH WITHOUT [WORD...]
TOOLS is the folder of tests/window/peer; WITHOUT names the hosts that are not installed, "HOST: WHY" a line.

What a host does is seen from outside: the plugin sends OSC to 127.0.0.1:9911 and its windows are looked for."""
import base64
import json
import os
import re
import select
import shutil
import socket
import struct
import subprocess
import sys
import tempfile
import time
import xml.etree.ElementTree
import zlib

TOP = os.path.dirname(os.path.abspath(__file__))
sys.path[:0] = [os.path.join(TOP, '..'), os.path.join(TOP, '../window')]

import offline  # noqa: E402
import stage  # noqa: E402
import tally  # noqa: E402
from visit import BEAT, CHART, Visit  # noqa: E402

count = tally.Tally()
TRIES = 2  # JACK without real time falls behind on a busy machine


def qt_compressed(data):
    return base64.b64encode(struct.pack('>I', len(data)) + zlib.compress(data)).decode()


def qt_plain(text):
    return zlib.decompress(base64.b64decode(text)[4:])


# ---- jalv, whose presets and states tests/hosts/jalv.py does not try ----

def jalv_preset(visit):
    """Its command `preset`; it knows those that it has listed."""
    jalv = visit.screen.start('jalv', ['jalv', '-c', 'send_osc=1', 'urn:reedlamp:plugin'], stdin=subprocess.PIPE)
    stage.until('the twelve-bar', lambda: (visit.chart() or '').startswith('title: Twelve-bar'), alive=[jalv])
    jalv.stdin.write(b'presets\npreset urn:reedlamp:preset:eight-bar\n')
    jalv.stdin.flush()
    visit.preset()


def jalv_state(visit):
    """A folder that it has saved, or anybody else, given by -l."""
    with open(os.path.join(visit.folder, 'state.ttl'), 'w', encoding='utf-8') as file:
        file.write(state_of().replace('<urn:qtractor:state>', '<>'))
    visit.screen.start('jalv', ['jalv', '-l', visit.folder, 'urn:reedlamp:plugin'], stdin=subprocess.PIPE)
    stage.until('the chart of the state', lambda: visit.chart() == CHART)


# ---- qtractor ----

def state_of():
    """Our chart and OSC on, as LV2 state in Turtle."""
    return ('@prefix lv2: <http://lv2plug.in/ns/lv2core#> .\n@prefix pset: <http://lv2plug.in/ns/ext/presets#> .\n'
            '@prefix state: <http://lv2plug.in/ns/ext/state#> .\n<urn:qtractor:state> a pset:Preset ;\n'
            'lv2:appliesTo <urn:reedlamp:plugin> ; lv2:port [ lv2:symbol "send_osc" ; pset:value 1.0 ] ;\n'
            'state:state [ <urn:reedlamp:chart> """%s""" ] .\n' % CHART)


def qtractor_session(visit):
    """A session with one track that the plugin is on, our chart in it, OSC on."""
    with open(os.path.join(TOP, 'qtractor.qtr'), encoding='utf-8') as file:
        text = file.read()
    path = os.path.join(visit.folder, 'boats.qtr')
    with open(path, 'w', encoding='utf-8') as file:
        file.write(text.replace('@FOLDER@', visit.folder).replace('@STATE@', qt_compressed(state_of().encode())))
    return path


def qtractor_lists(visit):
    """A new track's `Plugins`, `Add`, LV2, a word to look for: the first found is put on the track, and shows itself."""
    visit.start('qtractor', LD_PRELOAD=visit.sequencer)
    visit.key(visit.window('Untitled1'), 'alt+t', 'a')
    track = visit.window('^Track')
    visit.click(track, 35, 153)
    visit.click(track, 96, 22)
    visit.click(track, 390, 56)
    plugins = visit.window('^Plugins')
    visit.do('type', 'reedlamp')
    visit.click(plugins, 457, 16)
    visit.click(plugins, 436, 104)
    visit.click(plugins, 36, 57, 2)
    visit.window('^Reedlamp - Track')
    visit.lamps()


def qtractor_plays(visit):
    """It runs no plugin of a track without sound until it plays."""
    visit.start('qtractor', qtractor_session(visit), LD_PRELOAD=visit.sequencer)
    visit.key(visit.window('boats'), 'space')
    stage.until('the chart of the session', lambda: visit.chart() == CHART)
    visit.beats(14)


def qtractor_preset(visit):
    """The plugin's menu in the track's list; from below: Export, Import, Edit, Properties, Direct Access, Preset."""
    visit.start('qtractor', qtractor_session(visit), LD_PRELOAD=visit.sequencer)
    main = visit.window('boats')
    visit.key(main, 'space')
    stage.until('the chart of the session', lambda: visit.chart() == CHART)
    visit.menu(main, 182, 180, *['Up'] * 6, 'Right', 'Return')
    visit.preset()


def qtractor_kept(path):
    """The plugin's state and harp key in a saved session; None where there is none. Qt writes attributes in an order of its
    own, another one in each run."""
    try:
        plugin = xml.etree.ElementTree.parse(path).find('.//plugin')
    except xml.etree.ElementTree.ParseError:  # it is being written
        return None
    states = [c.text for c in plugin.iter('config') if c.get('key') == 'urn:qtractor:state#key']
    keys = [p.text for p in plugin.iter('param') if p.get('name') == 'Harp key']
    return (qt_plain(states[0]).decode(), float(keys[0])) if states and keys else None


def qtractor_keeps(visit):
    """Clicks in our window (another harp) reach the plugin and make the session one to be saved; opened again it has them."""
    path = qtractor_session(visit)
    host = visit.start('qtractor', path, LD_PRELOAD=visit.sequencer)
    main = visit.window('boats')
    visit.key(main, 'space')
    visit.click(main, 182, 180, 2)  # the plugin in the track's list
    lamp = visit.lamps()[0]
    stage.until('the harp', lambda: (visit.osc.last('/reedlamp/harp') or [''])[0] == 'C')
    width, height = visit.screen.size(lamp)
    visit.click(lamp, int(width * 0.103), int(height * 0.935))  # harp key
    visit.click(lamp, int(width * 0.269), int(height * 0.765))  # D, in the list that opens
    stage.until('a D harp', lambda: visit.osc.last('/reedlamp/harp')[0] == 'D', 20)
    visit.key(main, 'ctrl+s')

    def saved():
        kept = qtractor_kept(path)
        return kept and CHART in kept[0] and kept[1] == 2
    stage.until('the saved session', saved, 20)
    host.end()
    visit.osc.forget()
    visit.start('qtractor', path, LD_PRELOAD=visit.sequencer)
    visit.key(visit.window('boats'), 'space')
    stage.until('the D harp and the chart again',
                lambda: visit.chart() == CHART and (visit.osc.last('/reedlamp/harp') or [''])[0] == 'D')


# ---- MusE ----

def muse_text(text):
    data = text.encode('utf-16-be')
    return struct.pack('>I', len(data)) + data


def muse_song(visit):
    """A song whose output the plugin is on, our chart in its state, OSC on."""
    with open(os.path.join(TOP, 'muse.med'), encoding='utf-8') as file:
        text = file.read()
    value = CHART.encode() + b'\0'
    state = (struct.pack('>I', 1) + muse_text('urn:reedlamp:chart') + muse_text('http://lv2plug.in/ns/ext/atom#String') +
             struct.pack('>IBI', 12, 0, len(value)) + value)
    path = os.path.join(visit.folder, 'boats.med')
    with open(path, 'w', encoding='utf-8') as file:
        file.write(text.replace('@STATE@', qt_compressed(state)))
    return path


def muse_open(visit, path):
    visit.start('muse', path, LD_PRELOAD=visit.sequencer)
    main = visit.window('MusE Project')
    for tip in stage.until("the day's tip, which comes last and takes the keys", lambda: visit.screen.frames('Did you know')):
        visit.key(tip, 'Escape')
    stage.until('the tip to go', lambda: not visit.screen.frames('Did you know'), 20)
    return main


def muse_lists(visit):
    """A double click on a free slot of the rack, a word to look for: the first found is put there."""
    path = muse_song(visit)
    main = muse_open(visit, path)
    stage.until('the chart of the song', lambda: visit.chart() == CHART)
    visit.click(main, 28, 214, 2)
    choice = visit.window('Select Plugin')
    visit.click(choice, 510, 445)
    visit.do('type', 'reedlamp')
    time.sleep(1)
    visit.click(choice, 60, 72, 2)
    stage.until('the list to close', lambda: not visit.screen.frames('Select Plugin'), 20)
    visit.key(main, 'ctrl+s')

    def saved():
        with open(path, encoding='utf-8') as file:
            return file.read().count('<plugin uri="urn:reedlamp:') == 2
    stage.until('both plugins in the saved song', saved, 20)


def muse_preset(visit):
    """The menu of the rack's slot; its last entry is Presets, and the last of those a preset."""
    main = muse_open(visit, muse_song(visit))
    stage.until('the chart of the song', lambda: visit.chart() == CHART)
    visit.menu(main, 28, 200, 'Up', 'Right', 'Up', 'Return')
    visit.preset()


def muse_plays(visit):
    main = muse_open(visit, muse_song(visit))
    stage.until('the chart of the song', lambda: visit.chart() == CHART)
    visit.osc.forget()
    visit.key(main, 'space')
    visit.beats(14)
    if visit.places()[0][1][:2] != [1, 1]:
        raise stage.Wrong('it begins in chorus %d, bar %d' % tuple(visit.places()[0][1][:2]))


def muse_keeps(visit):
    path = muse_song(visit)
    main = muse_open(visit, path)
    stage.until('the chart of the song', lambda: visit.chart() == CHART)
    visit.click(main, 28, 200, 2)  # the first slot of the output's rack
    visit.lamps()
    with open(path, encoding='utf-8') as file:
        before = file.read()
    visit.key(main, 'ctrl+s')

    def saved():
        with open(path, encoding='utf-8') as file:
            text = file.read()
        state = re.search(r'<customData>(.*?)</customData>', text, re.S)
        return text != before and state and CHART.encode() in qt_plain(state[1])
    stage.until('the saved song', saved, 20)


# ---- Audacity ----

AUDACITY = """PrefsVersion=1.1.1r1
WantAssociateFiles=1
[GUI]
ShowSplashScreen=0
[Version]
Major=3
Minor=2
Micro=4
[Module]
mod-script-pipe=1
[ModulePath]
mod-script-pipe=/usr/lib/audacity/modules/mod-script-pipe.so
[ModuleDateTime]
mod-script-pipe=%s
"""


PIPE = '/tmp/audacity_script_pipe.%s.%d'


class Audacity:
    """Audacity, told by its pipe what to do."""

    def __init__(self, visit):
        module = '/usr/lib/audacity/modules/mod-script-pipe.so'
        folder = os.path.join(visit.folder, 'config', 'audacity')
        os.makedirs(folder, exist_ok=True)
        self.registry = os.path.join(folder, 'pluginregistry.cfg')
        with open(os.path.join(folder, 'audacity.cfg'), 'w', encoding='utf-8') as file:
            file.write(AUDACITY % time.strftime('%Y-%m-%dT%H:%M:%S', time.gmtime(os.path.getmtime(module))))
        self.process = self.begin(visit)
        self.visit, self.main = visit, visit.window('^(Audacity|New Plugins)')
        stage.until('its list of plugins', self.listed)
        end = time.monotonic() + 15  # it may ask about plugins that do not load, the example of a sampler for one
        while time.monotonic() < end and not visit.screen.frames('New Plugins'):
            time.sleep(0.5)
        for found in visit.screen.frames('New Plugins'):
            visit.click(found, 571, 352)  # Continue
        self.main = visit.window('^Audacity')

    @staticmethod
    def begin(visit):
        shutil.rmtree('/var/tmp/audacity-root', ignore_errors=True)
        for end in ('to', 'from'):  # what an Audacity before has left
            if os.path.exists(PIPE % (end, os.getuid())):
                os.remove(PIPE % (end, os.getuid()))
        return visit.start('audacity')

    def connect(self):
        """Starts it anew, since the programs that try plugins for it make its pipes anew too; then opens both, in its order."""
        self.visit.screen.quit('^Audacity')  # by force, and it would ask what to recover
        stage.until('its end', lambda: self.process.poll() is not None)
        self.process = self.begin(self.visit)
        self.main = self.visit.window('^Audacity')

        stage.until('its pipe', lambda: os.path.exists(PIPE % ('from', os.getuid())))
        time.sleep(3)
        self.to = os.open(PIPE % ('to', os.getuid()), os.O_WRONLY)
        self.back = os.open(PIPE % ('from', os.getuid()), os.O_RDONLY)
        return self

    def listed(self):
        if not os.path.exists(self.registry):
            return ''
        with open(self.registry, encoding='utf-8') as file:
            return file.read()

    def do(self, words):
        os.write(self.to, (words + '\n').encode())
        said = ''
        while not said.endswith('\n\n') or 'BatchCommand finished' not in said:
            if not select.select([self.back], [], [], 30)[0]:
                raise stage.Wrong('Audacity does not answer "%s"' % words)
            said += os.read(self.back, 65536).decode()
            time.sleep(0.05)
        if 'BatchCommand finished: OK' not in said:
            raise stage.Wrong('Audacity: %s: %s' % (words, ' '.join(said.split())))
        return said


def audacity_lists(visit):
    audacity = Audacity(visit)
    for plugin in ('plugin', 'mono', 'plain'):
        valid = r'^Path=urn:reedlamp:%s$(\n(?!\[).*)*?\nValid=1$' % plugin
        stage.until('urn:reedlamp:%s, valid, in its list' % plugin, lambda: re.search(valid, audacity.listed(), re.M), 30)


def audacity_plays(visit):
    audacity = Audacity(visit).connect()
    source, result = (os.path.join(visit.folder, n) for n in ('in.wav', 'out.wav'))
    sound = offline.write(source, 2)
    audacity.do('Import2: Filename=' + source)
    audacity.do('SelectAll:')
    audacity.do('Reedlamp:')
    audacity.do('SelectAll:')
    audacity.do('Export2: Filename=%s NumChannels=2' % result)
    got = offline.read_whole(result)
    worst = max(abs(a - b) for one, other in zip(offline.values(sound), got) for a, b in zip(one, other))
    if len(got) != 2 or worst > 16 / 32768:  # it exports 16 bits, with shaped dither
        raise stage.Wrong('the sound is not the same: %d channels, off by %g' % (len(got), worst))


def audacity_shows(visit):
    """The last entry of the menu `Effect` is our authors' name: a window of Audacity's own making, not ours."""
    audacity = Audacity(visit).connect()
    source = os.path.join(visit.folder, 'in.wav')
    offline.write(source, 2)
    audacity.do('Import2: Filename=' + source)
    audacity.do('SelectAll:')
    visit.key(visit.window('^in$'), 'alt+c', 'Up', 'Right', 'Return')
    visit.window('^Reedlamp')
    if visit.screen.lamps():
        raise stage.Wrong('it shows our own window')


def audacity_preset(visit):
    """It takes a preset of ours by its name, and asks in a window of its own about a name that none has."""
    audacity = Audacity(visit).connect()
    source = os.path.join(visit.folder, 'in.wav')
    offline.write(source, 2)
    audacity.do('Import2: Filename=' + source)
    audacity.do('SelectAll:')
    audacity.do('Reedlamp: Use_Preset="Factory Preset:Nobody Rings the Bell, ballad of twenty-four bars in G"')
    os.write(audacity.to, b'Reedlamp: Use_Preset="Factory Preset:No Such Boat"\n')
    visit.key(visit.window('^Reedlamp'), 'Return')


def audacity_keeps(visit):
    """What it has used is kept for the next time: the controls, and no chart."""
    audacity = Audacity(visit).connect()
    source = os.path.join(visit.folder, 'in.wav')
    offline.write(source, 2)
    audacity.do('Import2: Filename=' + source)
    audacity.do('SelectAll:')
    audacity.do('Reedlamp:')
    with open(os.path.join(visit.folder, 'config/audacity/pluginsettings.cfg'), encoding='utf-8') as file:
        kept = file.read()
    if 'Harp_key="0"' not in kept:
        raise stage.Wrong('no harp key among its settings')
    if 'title:' in kept or 'urn:reedlamp:chart' in kept:
        raise stage.Wrong('it keeps charts now: HOSTS.md says that it does not')


# ---- guitarix ----

PLAIN = 'lv2_urn%3areedlamp%3aplain'


class Guitarix:
    """guitarix without a window, told by JSON-RPC what to do."""

    def __init__(self, visit, port):
        os.makedirs(os.path.join(visit.folder, '.config'), exist_ok=True)
        self.visit = visit
        self.process = visit.start('guitarix', '-N', '-p', str(port), XDG_CONFIG_HOME=os.path.join(visit.folder, '.config'))

        def answers():
            try:
                return socket.create_connection(('127.0.0.1', port), 5)
            except OSError:
                return None
        self.socket = stage.until('guitarix', answers, alive=[self.process])
        self.left = b''

    def tell(self, method, *values, **more):
        self.socket.sendall((json.dumps(dict({'jsonrpc': '2.0', 'method': method, 'params': list(values)}, **more)) + '\n').encode())

    def ask(self, method, *values):
        self.tell(method, *values, id='1')
        while b'\n' not in self.left.lstrip(b'\n'):
            self.left += self.socket.recv(1 << 20)
        line, self.left = self.left.lstrip(b'\n').split(b'\n', 1)
        return line.decode()

    def plugins(self):
        """Its list of plugins; the answer holds several, of which one is not empty."""
        answer = self.ask('load_ladspalist').split('"result": ', 1)[1].rstrip()[:-1]
        return max(json.loads('[' + answer + ']'), key=len)

    def load(self):
        """Chooses our plugin from the list, as `Plugins`, `LADSPA/LV2 plugins` does, and puts it into the rack, on."""
        plugins = self.plugins()
        for plugin in plugins:
            if plugin['path'] == 'urn:reedlamp:plain':
                plugin['active'] = plugin['active_set'] = 1
        self.tell('save_ladspalist', plugins)
        self.ask('ladspaloader_update_plugins')
        self.tell('insert_rack_unit', PLAIN, '', 0)
        self.tell('set', PLAIN + '.on_off', 1)
        self.plug()

    def plug(self):
        """It plays nothing while its input is free."""
        stage.until('its input', lambda: 'gx_head_amp:in_0' in self.visit.screen.look('jack_lsp'))
        self.visit.screen.look('jack_connect', 'system:capture_1', 'gx_head_amp:in_0')

    def set(self, number, value):
        self.tell('set', '%s.%d' % (PLAIN, number), value)


# of the ports of the plain plugin
CLOCK, TAP, SEND_OSC, HARP_KEY = 10, 11, 17, 5


def guitarix_lists(visit):
    listed = [plugin['path'] for plugin in Guitarix(visit, 7117).plugins()]
    if 'urn:reedlamp:plain' not in listed:
        raise stage.Wrong('urn:reedlamp:plain is not in its list')
    if 'urn:reedlamp:mono' in listed or 'urn:reedlamp:plugin' in listed:
        raise stage.Wrong('it lists plugins with more inputs than outputs now: HOSTS.md says that it does not')


def guitarix_plays(visit):
    """It has no transport: the song is tapped."""
    guitarix = Guitarix(visit, 7118)
    guitarix.load()
    guitarix.set(SEND_OSC, 1)
    stage.until('the twelve-bar', lambda: (visit.chart() or '').startswith('title: Twelve-bar'))
    guitarix.set(CLOCK, 1)
    visit.osc.forget()
    for _ in range(4):
        guitarix.set(TAP, 1)
        time.sleep(BEAT / 2)
        guitarix.set(TAP, 0)
        time.sleep(BEAT / 2)
    stage.until('bar 2', lambda: any(values[:2] == [1, 2] for _, values in visit.osc.all('/reedlamp/place')), 20)


def guitarix_keeps(visit):
    guitarix = Guitarix(visit, 7119)
    guitarix.load()
    guitarix.set(SEND_OSC, 1)
    guitarix.set(HARP_KEY, 5)
    stage.until('the harp', lambda: (visit.osc.last('/reedlamp/harp') or [''])[0] == 'F')
    time.sleep(1)
    guitarix.process.end()
    visit.osc.forget()
    Guitarix(visit, 7120).plug()
    stage.until('the harp again', lambda: (visit.osc.last('/reedlamp/harp') or [''])[0] == 'F', 20)


TESTS = {
    'jalv': [('presets', jalv_preset), ('state', jalv_state)],
    'qtractor': [('lists; window', qtractor_lists), ('loads; transport', qtractor_plays), ('window; state', qtractor_keeps),
                 ('presets', qtractor_preset)],
    'MusE': [('lists', muse_lists), ('loads; transport', muse_plays), ('window; state', muse_keeps), ('presets', muse_preset)],
    'Audacity': [('lists', audacity_lists), ('loads', audacity_plays), ("window: Audacity's own", audacity_shows),
                 ('presets', audacity_preset), ('state: settings', audacity_keeps)],
    'guitarix': [('lists', guitarix_lists), ('loads; taps', guitarix_plays), ('state: settings', guitarix_keeps)],
}


def tried(name, host, test, scratch, places, last):
    """Whether the test has passed; tells why not."""
    visit = None
    try:
        visit = Visit(host, tempfile.mkdtemp(dir=scratch), *places, os.path.join(scratch, 'sequencer.so'),
                      lambda why: count.again(host, why))
        test(visit)
        count.ok(name)
        return True
    except Exception as error:  # whatever went wrong, the test has not passed
        (count.no if last else count.again)(name, '%s: %s' % (type(error).__name__, ' '.join(str(error).split())))
        if visit and 'REEDLAMP_SHOW' in os.environ:  # a folder for pictures of what went wrong
            visit.screen.look('import', '-window', 'root', os.path.join(os.environ['REEDLAMP_SHOW'], host + '.png'))
        return False
    finally:
        if visit:
            visit.close()


def main(bundles, tools, scratch, without, *chosen):
    absent = tally.without(without)
    for host, tests in TESTS.items():
        for title, test in tests:
            name = '%s: %s' % (host, title)
            if chosen and not any(word in name for word in chosen):
                continue
            if host in absent:
                count.skip(name, absent[host])
                continue
            any(tried(name, host, test, scratch, (tools, bundles), left == 0) for left in reversed(range(TRIES)))
    return count.end()


if __name__ == '__main__':
    sys.exit(main(*sys.argv[1:]))
