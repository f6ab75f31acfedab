#!/usr/bin/env python3
# SPDX-License-Identifier: ISC
"""reedlamp-listen on a band whose bars are known: run.py LISTEN BAND_WRITE TOP. All four formats agree with the truth, the exit
status is what the README says, and a file is there whole or not at all."""
import math
import os
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
        if data[at] == 0xB0:  # all notes off
            assert data[at + 1:at + 3] == b"\x7B\0"
            at += 3
            continue
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


def places(folder: Path, sound: Path) -> None:
    """What is no file is left alone, as a link and a mode are."""
    pipe, kept, link, locked = (folder / name for name in ("pipe", "kept", "link", "locked"))
    os.mkfifo(pipe)
    kept.write_text("before")
    kept.chmod(0o640)
    link.symlink_to(kept)
    locked.write_text("before")
    locked.chmod(0o444)
    for place, says in [(pipe, "not a regular file"), (locked, "read-only")]:
        done = listen(sound, "--as=notes", "-o", place)
        assert done.returncode == 3 and says in done.stderr, done
    assert pipe.is_fifo() and locked.read_text() == "before"
    assert listen(sound, "--as=notes", "-o", link).returncode == 0
    assert link.is_symlink() and kept.read_text() != "before" and kept.stat().st_mode & 0o777 == 0o640
    for place in (pipe, kept, link, locked):
        place.unlink()


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
            (2, [sound, f"--chart={CHART}", "--tempo=300"], "50 to 220"), (2, [sound, "--phrase=all", "--anyway"], "bars of a song"),
            (2, [sound, "--anyway=1"], "takes no value"), (1, [sound, "--chart=/nowhere"], "No such file"),
            (1, [sound, f"--chart={wrong}"], "line 3"), (1, [CHART, f"--chart={CHART}"], str(CHART)),
            (1, [noise, f"--chart={CHART}"], "not found"), (3, [sound, f"--chart={CHART}", "--key=A", "-o", folder / "no" / "x.mid"], "No such file")]:
        done = listen(*arguments)
        assert done.returncode == status, (arguments, done)
        assert done.stderr.startswith("reedlamp-listen: ") or status == 3, done.stderr
        assert says.lower() in done.stderr.lower(), (says, done.stderr)
    places(folder, noise)
    assert listen("--help").returncode == 0 and "--as=beats" in listen("--help").stdout and listen("--version").stdout.startswith("reedlamp-listen ")


# A line over G7 at 120, swung: twelfths of a beat from bar 1, length, MIDI number.
LINE = [(12, 8, 67), (20, 4, 70), (24, 8, 72), (32, 4, 74), (36, 12, 77), (60, 8, 74), (68, 4, 72), (72, 8, 72), (80, 16, 67)]


def second_of(twelfth: int) -> float:
    return (twelfth // 12 + (2 / 3 if twelfth % 12 == 8 else twelfth % 12 / 12)) * 0.5


def horn_write(path: Path, before: float, rate: int = 32000) -> None:
    """The line in the right channel, `before` seconds of silence before bar 1; a quiet pad in both."""
    right = [0.0] * int((before + 5) * rate)
    for twelfth, length, midi in LINE:
        on, off = second_of(twelfth), second_of(twelfth + length) - 0.02
        hertz = 440 * 2 ** ((midi - 69) / 12)
        for i in range(int((off - on) * rate)):
            shape = min(1, i / rate / 0.012, (off - on - i / rate) / 0.02)
            right[int((before + on) * rate) + i] = 0.08 * shape * sum(math.sin(2 * math.pi * n * hertz * i / rate + n * n) / n for n in range(1, 11))
    pad = [0.01 * math.sin(2 * math.pi * 98 * i / rate) + 0.008 * math.sin(2 * math.pi * 247 * i / rate) for i in range(len(right))]
    with wave.open(str(path), "wb") as out:
        out.setparams((2, 2, rate, 0, "NONE", ""))
        out.writeframes(b"".join(struct.pack("<hh", int((p + 0.2 * r) * 32767), int((p + r) * 32767)) for p, r in zip(pad, right)))


def midi_notes(data: bytes) -> list:
    """(second, MIDI number) of each note on of a file with one tempo."""
    at, tick, tempo, notes, status = 22, 0, 0.5, [], 0
    while at < len(data):
        wait, at = varlen(data, at)
        tick += wait
        status, at = data[at], at + 1
        if status == 0xFF:
            kind, (length, at) = data[at], varlen(data, at + 1)
            tempo = int.from_bytes(data[at:at + 3], "big") / 1e6 if kind == 0x51 else tempo
            at += length
        else:
            notes += [(tick / 960 * tempo, data[at])] if status >> 4 == 9 else []
            at += 2
    return notes


def phrases(folder: Path) -> None:
    clip, before = folder / "clip.wav", 1.25
    horn_write(clip, before)
    wanted = [(before + second_of(t), midi) for t, _, midi in LINE]
    for known in [[], ["--tempo=120", f"--at={before}", "--key=G"], ["--tempo=120", f"--at={before - 24}", "--feel=swung", f"--chart={CHART}", "--key=G"]]:
        done = listen(clip, "--as=notes", *known)
        rows = [line.split() for line in done.stdout.splitlines()]
        assert done.returncode == 0 and len(rows) == len(wanted), done
        assert all(abs(float(r[0]) - t) < 0.04 and int(r[2]) == midi and float(r[1]) > float(r[0]) and 0.5 <= float(r[3]) <= 1
                   for r, (t, midi) in zip(rows, wanted)), rows
    done = listen(clip, "--phrase=1.2-2.7", "--as=notes")
    assert [int(line.split()[2]) for line in done.stdout.splitlines()] == [67, 70, 72, 74], done
    out = folder / "out"
    assert listen(clip, "--phrase=all", "--as=midi", "--tempo=120", f"--at={before}", "-o", out).returncode == 0
    assert [m for _, m in midi_notes(out.read_bytes())] == [m for _, m in wanted]
    assert all(abs(a - b) < 0.04 for (a, _), (b, _) in zip(midi_notes(out.read_bytes()), wanted))
    done = listen(clip, "--phrase=all", "--tempo=120", f"--at={before}", f"--chart={CHART}", "--key=G")
    music = done.stdout.splitlines()[-1].split("|")
    assert "T:clip" in done.stdout and "swung" in done.stdout and "Q:1/4=120" in done.stdout, done
    assert music[:2] == ['"G7"z2 G_B cd =f2', '"C7"z2 dc cG3'], music
    done = listen(clip, "--phrase=all")
    assert done.returncode == 0 and "guessed" in done.stderr and abs(float(done.stderr.split("tempo ")[1].split()[0]) - 120) < 1, done.stderr
    for status, arguments, says in [
            (2, ["--phrase=3-2"], "from one second"), (2, ["--phrase=x"], "from one second"), (2, ["--phrase=all", "--as=bars"], "a phrase is abc"),
            (2, ["--feel=swung", f"--chart={CHART}"], "is for a phrase"), (2, ["--phrase=all", "--feel=odd"], "straight or swung"),
            (2, ["--phrase=all", "--at=soon"], "seconds, as"), (1, ["--phrase=100-110"], "over before the phrase"), (1, ["--phrase=0-1"], "no phrase is heard")]:
        done = listen(clip, *arguments)
        assert done.returncode == status and says in done.stderr, (arguments, done)
    assert listen(clip, "--phrase=0-1", "--as=notes").stdout == ""
    clip.unlink()
    out.unlink()


def another_songs_chart_is_said(sound: Path) -> None:
    """A form of which parts agree is written with a warning; one of the same chords in another order is not, nor one in another key."""
    for chart, key, status, says in [("twelve-bar-turnaround", "A", 0, ""), ("crooked-blues", "A", 0, "may be wrong"), ("aaba", "A", 1, "not found"),
                                     ("eight-bar", "A", 1, "not found"),
                                     ("twelve-bar-turnaround", "G", 1, "not found")]:
        done = listen(sound, f"--chart={TOP / 'presets' / chart}.chart", f"--key={key}", "--as=bars")
        assert done.returncode == status and bool(done.stdout) == (status == 0), (chart, key, done)
        assert says in done.stderr and ("may be wrong" in done.stderr) == (says == "may be wrong"), (chart, key, done.stderr)


def what_fits_best_is_written_if_wished(sound: Path) -> None:
    """Under a chart that is refused; with a warning, and nothing of it believed much."""
    chart = f"--chart={TOP / 'presets' / 'eight-bar.chart'}"
    refused = listen(sound, chart, "--key=A", "--as=beats")
    assert refused.returncode == 1 and not refused.stdout and "--anyway" in refused.stderr, refused
    done = listen(sound, chart, "--key=A", "--as=beats", "--anyway")
    rows = [line.split() for line in done.stdout.splitlines()]
    assert done.returncode == 0 and "may be wrong" in done.stderr and len(rows) > SECONDS * TEMPO / 60 / 2, done
    assert max(float(r[4]) for r in rows) < 0.4, done.stdout


def the_form_is_put_where_it_is_told(sound: Path) -> None:
    """A beat late, if so said."""
    told = SILENCE + (48 + 1) * 60 / TEMPO
    done = listen(sound, f"--chart={CHART}", "--key=A", "--as=bars", f"--at={told + 0.1}")
    assert any(abs(float(second) - told) < 0.035 and bar == "1" for second, _, bar in map(str.split, done.stdout.splitlines())), (told, done)


def the_last_bar_line_is_found(folder: Path) -> None:
    """Also where the recording ends within its first beat."""
    sound, line = folder / "cut.wav", SILENCE + 28 * 4 * 60 / TEMPO
    subprocess.run([BAND, CHART, sound, str(line + 0.3), str(TEMPO), str(KEY), str(SILENCE)], check=True)
    done = listen(sound, f"--chart={CHART}", "--as=bars", "--key=A")
    assert done.returncode == 0, done.stderr
    assert abs(float(done.stdout.splitlines()[-1].split()[0]) - line) < 0.035, (done.stdout[-60:], line)


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
        phrases(folder)
        another_songs_chart_is_said(sound)
        what_fits_best_is_written_if_wished(sound)
        the_form_is_put_where_it_is_told(sound)
        assert sorted(p.name for p in folder.iterdir()) == ["band.wav", "noise.wav", "wrong.chart"]
        the_last_bar_line_is_found(folder)
    print("reedlamp-listen: all is as its README says")


main()
