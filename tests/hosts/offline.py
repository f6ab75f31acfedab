# SPDX-License-Identifier: ISC
"""What the plugin does in programs without a window that read a sound file and write one. None of them has a transport,
so what they can show is that the plugin loads, passes the sound bit by bit, reads presets and says what it misses.

As seen in Debian 12: lv2file 0.95 passes a feature whose URI is a stale pointer, 0 mostly, in the place of its worker;
lv2apply (lilv 0.24.14) passes no feature at all and connects atom ports to a single float; lv2bench and ffmpeg map URIs
and have no worker. lv2proc 0.5.1 takes no plugin with an atom port, connected or not."""
import os
import random
import re
import struct
import subprocess
import wave

STEREO, MONO, PLAIN = 'urn:reedlamp:plugin', 'urn:reedlamp:mono', 'urn:reedlamp:plain'
TOP = os.path.join(os.path.dirname(os.path.abspath(__file__)), '..', '..')
FRAMES, RATE = 48000, 48000
NO_WORKER = 'no worker (worker:schedule)'
NO_URIS = 'maps no URIs (urid:map)'


def write(path, channels):
    """Noise as a WAV file of floats; returns the channels' samples."""
    dice = random.Random(channels)
    sound = [struct.pack('<f', dice.uniform(-0.9, 0.9)) for _ in range(FRAMES * channels)]
    data = b''.join(sound)
    fmt = struct.pack('<HHIIHH', 3, channels, RATE, RATE * channels * 4, channels * 4, 32)
    with open(path, 'wb') as file:
        file.write(b'RIFF' + struct.pack('<I', 36 + len(data)) + b'WAVEfmt ' + struct.pack('<I', 16) + fmt)
        file.write(b'data' + struct.pack('<I', len(data)) + data)
    return [sound[c::channels] for c in range(channels)]


def read(path):
    """The channels' samples of a WAV file of floats."""
    with open(path, 'rb') as file:
        whole = file.read()
    at, channels, data = 12, 0, b''
    while at + 8 <= len(whole):
        name, size = whole[at:at + 4], struct.unpack('<I', whole[at + 4:at + 8])[0]
        body = whole[at + 8:at + 8 + size]
        if name == b'fmt ':
            kind, channels = struct.unpack('<HH', body[:4])
            if kind not in (3, 0xFFFE):
                raise ValueError('%s does not hold floats' % path)
        if name == b'data':
            data = body
        at += 8 + size + size % 2
    sound = [data[i:i + 4] for i in range(0, len(data), 4)]
    return [sound[c::channels] for c in range(channels)]


def read_whole(path):
    """The channels of a WAV file of 16 bits, as numbers."""
    with wave.open(path) as file:
        data = file.readframes(file.getnframes())
        sound = [n / 32768 for n, in struct.iter_unpack('<h', data)]
        return [sound[c::file.getnchannels()] for c in range(file.getnchannels())]


def values(channels):
    """Samples as numbers."""
    return [[struct.unpack('<f', sample)[0] for sample in channel] for channel in channels]


class Faults:
    """A judge who only writes down."""
    lines = 0

    def __init__(self):
        self.faults = []

    def fault(self, words):
        self.faults.append(words)


class Bench:
    """A folder, a sound in it, and the programs that are tried on it."""

    def __init__(self, folder, bundles, shadow, real):
        self.folder, self.shadow, self.real = folder, shadow, real
        self.bundles, self.judge = bundles, Faults()
        self.source, self.result, self.trace = (os.path.join(folder, n) for n in ('in.wav', 'out.wav', 'trace'))

    def run(self, *command, probed=False, ends=(0,)):
        """What it says, both ways; the judge minds if it fails."""
        env = dict(os.environ, HOME=self.folder, LV2_PATH=self.shadow if probed else self.bundles + ':/usr/lib/lv2',
                   REEDLAMP_REAL=self.real, REEDLAMP_TRACE=self.trace, LC_ALL='C')
        done = subprocess.run(command, env=env, cwd=self.folder, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE,
                              stderr=subprocess.STDOUT, timeout=120, check=False)
        said = done.stdout.decode(errors='replace')
        if done.returncode not in ends:
            self.judge.fault('%s ended with %d: %s' % (command[0], done.returncode, ' '.join(said.split())[-300:]))
        return said

    def passes(self, expected):
        """The output is that sound, bit by bit, as far as the input goes."""
        got = read(self.result) if os.path.exists(self.result) else []
        if [channel[:FRAMES] for channel in got] != expected:
            self.judge.fault('the sound is not the same: %d channels of %s frames' % (len(got), [len(c) for c in got]))

    def says(self, said, *words):
        """These words, and not that the plugin would miss anything else."""
        for word in words:
            if word not in said:
                self.judge.fault('it does not say "%s": %s' % (word, ' '.join(said.split())[-300:]))
        for word in (NO_WORKER, NO_URIS, 'unconnected'):
            if word in said and word not in words:
                self.judge.fault('it says "%s"' % word)


def lv2file_lists(bench):
    said = bench.run('lv2file', '-l', ends=(0, 1))  # it ends with 1 whenever it lists plugins
    bench.says(said, STEREO, MONO, PLAIN)
    return bench.judge


def lv2file_plays(bench):
    sound = write(bench.source, 2)
    bench.run('lv2file', '-i', bench.source, '-o', bench.result, '-c', '1:in_left,2:in_right', '-p', 'harp_key:5', STEREO)
    bench.passes(sound)
    return bench.judge


def lv2file_plays_mono(bench):
    sound = write(bench.source, 1)
    bench.run('lv2file', '-i', bench.source, '-o', bench.result, '-c', '1:in_left', MONO)
    bench.passes(sound)
    return bench.judge


def lv2file_presets(bench):
    """Each preset is listed, and its chart is what the plugin tells in its first block."""
    write(bench.source, 2)
    labels = re.findall(r'^Preset: (.*)$', bench.run('lv2file', '-L', STEREO), re.M)
    if len(labels) != 16:
        bench.judge.fault('%d presets are listed, not 16' % len(labels))
    with open(os.path.join(TOP, 'presets', 'README.md'), encoding='utf-8') as file:
        told = re.findall(r'^\| ([^|]*?) \|.*\.chart\)', file.read(), re.M)
    if sorted(labels) != told or 'plain twelve-bar' not in told[0]:
        bench.judge.fault('presets/README.md lists others: ' + ', '.join(set(labels) ^ set(told)))
    for label in labels:
        bench.run('lv2file', '-i', bench.source, '-o', bench.result, '-c', '1:in_left,2:in_right', '-P', label, STEREO, probed=True)
        with open(bench.trace, encoding='utf-8') as file:
            block = file.read().split('\nB ')[1]
        title = re.search(r'title: (.*?)\\n', block)
        if not title or title[1] not in label:
            bench.judge.fault('%s: the first block says %s' % (label, title and title[1]))
    return bench.judge


def lv2apply_plays(bench):
    """Of a file with one channel every input gets that one."""
    sound = write(bench.source, 1)
    for plugin, channels in ((STEREO, 2), (MONO, 1), (PLAIN, 1)):
        said = bench.run('lv2apply', '-i', bench.source, '-o', bench.result, '-c', 'song_key', '5', plugin)
        bench.passes(sound * channels)
        bench.says(said, NO_WORKER, NO_URIS)
    return bench.judge


def lv2bench_measures(bench):
    for plugin in (STEREO, MONO, PLAIN):
        said = bench.run('lv2bench', plugin)
        bench.says(said, NO_WORKER)
        if not re.search(r'^\d+\.\d+ %s$' % plugin, said, re.M):
            bench.judge.fault('no figure: ' + ' '.join(said.split()))
    return bench.judge


def lv2proc_plays(bench):
    sound = write(bench.source, 1)
    said = bench.run('lv2proc', '-i', bench.source, '-o', bench.result, '-c', 'harp_key:5', PLAIN)
    bench.passes(sound)
    bench.says(said, NO_WORKER, NO_URIS)
    return bench.judge


def lv2proc_refuses(bench):
    """Whoever has an atom port, optional as it may be: an example of the LV2 project's as well as ours."""
    write(bench.source, 2)
    for plugin in (STEREO, MONO, 'http://lv2plug.in/plugins/eg-params'):
        said = bench.run('lv2proc', '-i', bench.source, '-o', bench.result, plugin, ends=(1,))
        bench.says(said, 'lv2proc: error: ')
    return bench.judge


def ffmpeg_plays(bench):
    """The side chain counts as an input, so the file needs a channel for it."""
    for plugin, channels, layout in ((STEREO, 3, '3.0'), (MONO, 2, 'stereo')):
        sound = write(bench.source, channels)
        said = bench.run('ffmpeg', '-nostdin', '-loglevel', 'info', '-y', '-channel_layout', layout, '-i', bench.source, '-af',
                         'lv2=p=%s:c=song_key=5' % plugin.replace(':', r'\\:'), '-c:a', 'pcm_f32le', bench.result)
        bench.passes(sound[:-1])
        bench.says(said, NO_WORKER)
    return bench.judge


PROGRAMS = {
    'lv2file': [('lists the plugins', lv2file_lists), ('sound passes', lv2file_plays),
                ('sound passes, mono', lv2file_plays_mono), ('presets are listed and read', lv2file_presets)],
    'lv2proc': [('sound passes through the plain plugin', lv2proc_plays), ('the others are refused', lv2proc_refuses)],
    'lv2apply': [('sound passes, and what is missing is said', lv2apply_plays)],
    'lv2bench': [('it is measured', lv2bench_measures)],
    'ffmpeg': [('sound passes, and what is missing is said', ffmpeg_plays)],
}
