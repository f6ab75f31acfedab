#!/usr/bin/env python3
# SPDX-License-Identifier: ISC
"""reedlamp-listen on a band whose bars are known: run.py LISTEN BAND_WRITE TOP. All four formats agree with the truth, the exit
status is what the README says, and a file is there whole or not at all."""
import struct
import subprocess
import sys
import tempfile
import wave
from pathlib import Path

LISTEN, BAND, TOP = sys.argv[1], sys.argv[2], Path(sys.argv[3])
TEMPO, KEY, SILENCE, SECONDS = 116, 9, 2.5, 62
CHART = TOP / "presets" / "twelve-bar-turnaround.chart"


def listen(*arguments):
    return subprocess.run([LISTEN, *map(str, arguments)], capture_output=True, text=True)


def truth():
    """(second, bar, beat) of every felt beat."""
    return [(SILENCE + i * 60 / TEMPO, i // 4 % 12 + 1, i % 4 + 1) for i in range(int((SECONDS - SILENCE) * TEMPO / 60))]


def bars_agree(bars: dict) -> None:
    """`bars`: second to bar number. At most one bar may be missing at either end."""
    wanted = [(t, bar) for t, bar, beat in truth() if beat == 1]
    found = [min(bars, key=lambda s: abs(s - t)) for t, _ in wanted]
    good = [abs(s - t) < 0.035 and bars[s] == bar for s, (t, bar) in zip(found, wanted)]
    assert sum(good) >= len(good) - 2, [(round(s - t, 3), bars[s], bar) for s, (t, bar) in zip(found, wanted)]
    assert all(good[1:-1])


def varlen(data: bytes, at: int):
    n = 0
    while True:
        n, at = n << 7 | data[at] & 127, at + 1
        if data[at - 1] < 128:
            return n, at


def midi_bars(path: Path) -> dict:
    """The bar lines by the file's own tempi and meters; numbered from 1 at each marker `chorus`."""
    data = path.read_bytes()
    division, at, seconds, tick, tempo = struct.unpack(">H", data[12:14])[0], 22, 0.0, 0, 500000
    assert data[:4] == b"MThd" and data[14:18] == b"MTrk" and struct.unpack(">I", data[18:22])[0] == len(data) - 22
    times, meters, markers = [(0, 0.0)], [], []
    while at < len(data):
        wait, at = varlen(data, at)
        tick, seconds = tick + wait, seconds + wait / division * tempo / 1e6
        assert data[at] == 0xFF
        kind = data[at + 1]
        length, at = varlen(data, at + 2)
        body, at = data[at:at + length], at + length
        times.append((tick, seconds))
        if kind == 0x51:
            tempo = int.from_bytes(body, "big")
        elif kind == 0x58:
            meters.append((tick, body[0] * 4 * division >> body[1]))
        elif kind == 6:
            markers.append((tick, body.decode()))
    assert kind == 0x2F
    at_tick = dict(times)
    bars, line, number = {}, 0, None
    while line < tick:
        size = [s for t, s in meters if t <= line][-1]
        if any(t == line and name.startswith("chorus") for t, name in markers):
            number = 0
        number = None if number is None else number + 1
        if number:
            bars[at_tick[line]] = number
        line += size
    assert [n for _, n in markers][0].startswith("chorus 1")
    return bars


def errors(folder: Path, sound: Path) -> None:
    wrong = folder / "wrong.chart"
    wrong.write_text("key: G\n[A]\n| H7 |\n")
    noise = folder / "noise.wav"
    with wave.open(str(noise), "wb") as out:
        out.setparams((1, 2, 22050, 0, "NONE", ""))
        out.writeframes(bytes((i * 7919 >> 3) % 251 for i in range(22050 * 2 * 20)))
    for status, arguments, says in [
            (2, [], "which recording"), (2, [sound], "which chart"), (2, [sound, "--chart=x", "--as=wav"], "formats are"),
            (2, [sound, "--chart=x", "--as=click"], "name a file with -o".lower()), (2, [sound, "--hcart=x"], "not understood"),
            (2, [sound, f"--chart={CHART}", "--tempo=300"], "50 to 220"), (1, [sound, "--chart=/nowhere"], "No such file"),
            (1, [sound, f"--chart={wrong}"], "line 3"), (1, [CHART, f"--chart={CHART}"], str(CHART)),
            (1, [noise, f"--chart={CHART}"], "not found"), (3, [sound, f"--chart={CHART}", "--key=A", "-o", folder / "no" / "x.mid"], "No such file")]:
        done = listen(*arguments)
        assert done.returncode == status, (arguments, done)
        assert done.stderr.startswith("reedlamp-listen: ") or status == 3, done.stderr
        assert says.lower() in done.stderr.lower(), (says, done.stderr)
    assert listen("--help").returncode == 0 and "--as=beats" in listen("--help").stdout and listen("--version").stdout.startswith("reedlamp-listen ")


def main() -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        sound, out = folder / "band.wav", folder / "out"
        subprocess.run([BAND, CHART, sound, str(SECONDS), str(TEMPO), str(KEY), str(SILENCE)], check=True)
        done = listen(sound, f"--chart={CHART}", "--as=beats")
        assert done.returncode == 0, done.stderr
        rows = [line.split() for line in done.stdout.splitlines()]
        bars_agree({float(r[0]): int(r[2]) for r in rows if r[3] == "1"})
        assert all(0 <= float(r[4]) <= 1 for r in rows) and sorted(float(r[4]) for r in rows)[len(rows) // 2] > 0.9
        assert "key A " in done.stderr and "tuning +1" in done.stderr, done.stderr
        done = listen(sound, f"--chart={CHART}", "--key=A", "--as=bars")
        bars_agree({float(line.split()[0]): int(line.split()[2]) for line in done.stdout.splitlines()})
        assert listen(sound, f"--chart={CHART}", "--key=A", "-o", out).returncode == 0
        bars_agree(midi_bars(out))
        assert listen(sound, f"--chart={CHART}", "--key=A", "--as=click", "-o", out).returncode == 0
        with wave.open(str(out)) as click:
            assert abs(click.getnframes() - SECONDS * 44100) < 2
        errors(folder, sound)
        assert sorted(p.name for p in folder.iterdir()) == ["band.wav", "noise.wav", "out", "wrong.chart"]
    print("reedlamp-listen: all is as its README says")


main()
