# SPDX-License-Identifier: ISC
"""What both generators stand on: MIDI files, FluidSynth, drum samples, sound files. Notes are tuples
(beat, length, channel, key, velocity); channel 9 is the drums. Seconds come from a tempo map."""
import ctypes
import functools
import struct
import subprocess
import tempfile
import wave
from fractions import Fraction
from pathlib import Path

import numpy as np
from scipy.fft import irfft, next_fast_len, rfft

RATE = 48000
FONTS = {"fluid": "/usr/share/sounds/sf2/FluidR3_GM.sf2", "timgm": "/usr/share/sounds/sf2/TimGM6mb.sf2"}
KITS = Path("/usr/share/hydrogen/data/drumkits")


# ---- Standard MIDI Files ----

def varlen(n: int) -> bytes:
    out = bytes([n & 127])
    while n := n >> 7:
        out = bytes([n & 127 | 128]) + out
    return out


def smf_write(path: Path, events: list[tuple[float, bytes]]) -> None:
    """Events in seconds; a tick is half a millisecond."""
    track, last = b"", 0
    for second, message in sorted(events, key=lambda e: e[0]):
        tick = max(0, round(second * 2000))
        track += varlen(tick - last) + message
        last = tick
    track += b"\x00\xff\x2f\x00"
    path.write_bytes(b"MThd" + struct.pack(">IHHH", 6, 0, 1, 1000) + b"MTrk" + struct.pack(">I", len(track)) + track)


def varlen_read(data: bytes, at: int) -> tuple[int, int]:
    n = 0
    while True:
        n = n << 7 | data[at] & 127
        at += 1
        if data[at - 1] < 128:
            return n, at


def track_read(data: bytes, division: int):
    """Yields (beat, status, first data byte, second)."""
    at, ticks, status = 0, 0, 0
    while at < len(data):
        delta, at = varlen_read(data, at)
        ticks += delta
        if data[at] >= 128:
            status, at = data[at], at + 1
        if status >= 0xF0:
            at += status == 0xFF
            length, at = varlen_read(data, at)
            at += length
        else:
            size = 1 if status >> 4 in (12, 13) else 2
            yield ticks / division, status, data[at], data[at + 1] if size == 2 else 0
            at += size


def smf_read(path: Path):
    """Notes, and what sets up the channels: {channel: program}, {(channel, controller): value}."""
    data = path.read_bytes()
    division, at = struct.unpack(">H", data[12:14])[0], 14
    notes, programs, controls, sounding = [], {}, {}, {}
    while at < len(data):
        length = struct.unpack(">I", data[at + 4:at + 8])[0]
        for beat, status, a, b in track_read(data[at + 8:at + 8 + length], division):
            kind, channel = status >> 4, status & 15
            if kind == 12:
                programs.setdefault(channel, a)
            elif kind == 11:
                controls.setdefault((channel, a), b)
            elif kind in (8, 9):
                if (channel, a) in sounding:
                    on, velocity = sounding.pop((channel, a))
                    notes.append((on, beat - on, channel, a, velocity))
                if kind == 9 and b:
                    sounding[channel, a] = beat, b
        at += 8 + length
    return sorted(notes), programs, controls


# ---- rendering ----

def fluidsynth(events, font: str, rate: int = RATE, reverb: bool = True) -> np.ndarray:
    with tempfile.TemporaryDirectory() as folder:
        midi, sound = Path(folder, "a.mid"), Path(folder, "a.wav")
        smf_write(midi, events)
        subprocess.run(["fluidsynth", "-ni", "-q", "-g", "0.4", "-r", str(rate), "-R", str(int(reverb)), "-C", "0", "-O", "float",
                        "-T", "wav", "-F", sound, FONTS[font], midi], check=True, capture_output=True)
        return sound_read(sound)[0]


def band(notes, programs, controls, seconds, font, cents=0.0, reverb=True, jitter=None) -> np.ndarray:
    """`seconds`: beat to time; `jitter(channel)`: how late a note comes, in seconds."""
    events = [(0.0, bytes([0xB0 | c, 7, 100])) for c in programs]
    events += [(0.0, bytes([0xC0 | c, p])) for c, p in programs.items()]
    events += [(0.001, bytes([0xB0 | c, k, v])) for (c, k), v in controls.items() if k in (7, 10, 11)]
    if cents:
        bend = round(8192 + cents / 200 * 8192)
        events += [(0.002, bytes([0xE0 | c, bend & 127, bend >> 7])) for c in set(programs) - {9}]
    for beat, length, channel, key, velocity in notes:
        late = jitter(channel) if jitter else 0
        on, off = seconds(beat) + late, seconds(beat + max(length, 0.05)) + late
        events.append((max(on, 0.003), bytes([0x90 | channel, int(key), max(1, min(127, int(velocity)))])))
        events.append((max(off, on + 0.03, 0.02), bytes([0x80 | channel, int(key), 0])))
    return fluidsynth(events, font, reverb=reverb)


class SfInfo(ctypes.Structure):
    _fields_ = [("frames", ctypes.c_int64)] + [(n, ctypes.c_int) for n in ("rate", "channels", "format", "sections", "seekable")]


@functools.cache
def sndfile():
    library = ctypes.CDLL("libsndfile.so.1")
    library.sf_open.restype = ctypes.c_void_p
    library.sf_readf_float.argtypes = [ctypes.c_void_p, ctypes.c_void_p, ctypes.c_int64]
    library.sf_close.argtypes = [ctypes.c_void_p]
    return library


def sound_read(path) -> tuple[np.ndarray, int]:
    """Any sound file as mono floats, and its rate."""
    info = SfInfo()
    file = sndfile().sf_open(str(path).encode(), 0x10, ctypes.byref(info))
    if not file:
        raise OSError(f"{path}: no sound file")
    out = np.zeros((info.frames, info.channels), np.float32)
    sndfile().sf_readf_float(file, out.ctypes.data, info.frames)
    sndfile().sf_close(file)
    return out.mean(axis=1), info.rate


def sound_write(path, sound: np.ndarray, rate: int) -> None:
    with wave.open(str(path), "wb") as file:
        file.setparams((1, 2, rate, 0, "NONE", ""))
        file.writeframes((np.clip(sound, -1, 1) * 32767).astype("<i2").tobytes())


def resample(wav: np.ndarray, ratio: float) -> np.ndarray:
    """`ratio` times as many samples (to within a hundredth of a cent); by spectrum, so without aliases."""
    exact = Fraction(ratio).limit_denominator(4000)
    blocks = next_fast_len(-(-len(wav) // exact.denominator))
    spectrum = rfft(np.pad(wav.astype(np.float32), (0, blocks * exact.denominator - len(wav))))
    size = blocks * exact.numerator
    out = np.zeros(size // 2 + 1, np.complex64)
    keep = min(len(spectrum), len(out))
    out[:keep] = spectrum[:keep]
    return (irfft(out, size) * float(exact))[:round(len(wav) * ratio)].astype(np.float32)


@functools.cache
def sample(path: Path) -> np.ndarray:
    sound, rate = sound_read(path)
    return sound if rate == RATE else resample(sound, RATE / rate)


def drums(notes, kit: dict, seconds, jitter, rng, length: float) -> np.ndarray:
    """Samples for keys of the General MIDI drum map; `kit[key]` lists files, one is drawn."""
    out = np.zeros(int((length + 4) * RATE), np.float32)
    for beat, _, channel, key, velocity in notes:
        if channel == 9 and key in kit:
            hit = sample(kit[key][rng.integers(len(kit[key]))])
            at = max(0, round((seconds(beat) + jitter(9)) * RATE))
            hit = hit[:max(0, len(out) - at)]
            out[at:at + len(hit)] += hit * (velocity / 127) ** 1.5
    return out


def tempo_map(bpm: float, beats: float, shape, steps: int = 8):
    """Beat to seconds for a tempo bpm * shape(second); also works before beat 0."""
    grid, times, t = np.arange(0, beats + 40, 1 / steps), [], 0.0
    for _ in grid:
        times.append(t)
        t += 60 / (bpm * shape(t)) / steps
    return lambda beat: float(np.interp(beat, grid, times)) if beat >= 0 else beat * 60 / bpm
