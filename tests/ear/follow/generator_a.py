# SPDX-License-Identifier: ISC
"""Generator A, for learning and tuning: grooves written by others (Debian's mma), their notes taken apart and played again
with drift, human timing, other instruments, a lead, stop-time, breaks and damage."""
import subprocess
import tempfile
from pathlib import Path

import numpy as np

import sound
from song import PRESETS, Played, Song, form_read, plan, truth_write

NAMES = ["C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B"]
KIT = sound.KITS / "Millo-Drums_v.1"
MILLO = {k: [KIT / f for f in files] for keys, files in {
    (35, 36): ["bd1.flac"], (37,): ["stick_Woody.flac"], (38,): ["snare1.flac"], (40,): ["snare3.flac"], (39,): ["clap_Dry_c.flac"],
    (42,): ["closehihat3.flac"], (44,): ["pedalhihat.flac"], (46,): ["openhat2.flac"], (51, 53, 59): ["ride1.flac", "ride2.flac"],
    (49, 57): ["crash.flac"], (41, 43, 45): ["tom2_1.flac"], (47, 48, 50): ["tom1_1.flac"], (56,): ["misc_Cowbell.flac"]}.items()
    for k in keys}

CHARTS = {
    "plain8": "key: G\nmeter: 4/4\n[A]\n| I7 | VI7 | II7 | V7 | I7 | I7 IV7 | I7 V7 | I7 |\n",
    "rhythm": "key: Bb\nmeter: 4/4\n[A]\n|: I vi7 | ii7 V7 | I vi7 | ii7 V7 | I7 | IV #IVdim7 | I V7 | I :|\n[B]\n| III7 | % | VI7 | % | II7 | % | V7 | % |\n"
              "[C]\n| I vi7 | ii7 V7 | I vi7 | ii7 V7 | I7 | IV #IVdim7 | I V7 | I |\n",
    "minor16": "key: Am\nmeter: 4/4\n[A]\n| i | iv7 | bVII7 | bIIImaj7 | bVImaj7 | iim7b5 | V7 | i |\n| i | iv7 | bVII7 | bIIImaj7 | bVImaj7 | V7 | i | % |\n",
    "country": "key: D\nmeter: 4/4\n[A]\n| I | % | IV | I | I | % | V7 | % | I | I7 | IV | % | I | V7 | I | % |\n",
    "latin16": "key: Cm\nmeter: 4/4\n[A]\n| i7 | % | iv7 | % | iim7b5 | V7 | i7 | % | bIIIm7 | bVI7 | bIImaj7 | % | iim7b5 | V7 | i7 | iim7b5 V7 |\n",
    "waltz16": "key: G\nmeter: 3/4\n[A]\n| I | % | IV | I | I | vi | II7 | V7 | I | I7 | IV | iv | I | V7 | I | V7 |\n",
    "six16": "key: C\nmeter: 6/8\n[A]\n| I | vi | IV | V7 | I | vi | IV | V7 | IV | iv | I | VI7 | ii | V7 | I IV | I V7 |\n",
    "funk8": "key: E\nmeter: 4/4\n[A]\n| I9 | % | % | % | IV9 | % | I9 | V7#9 |\n",
}
CHARTS["soul128"] = "key: F\nmeter: 12/8\n[A]\n| I | vi | IV | V7 | I | III7 | IV | iv | I VI7 | ii V7 | I IV | I V7 |\n"

BLUES = ["twelve-bar", "twelve-bar-quick-change", "twelve-bar-turnaround", "eight-bar", "twelve-bar-slow-drag", "crooked-blues", "plain8"]
TUNES = ["aaba", "rhythm", "twelve-bar-jazz", "minor16", "minor-modal", "gospel", "sixteen-bar"]
# group: grooves, charts, felt tempi
GROUPS = {
    "shuffle": ("Blues ShuffleBoggie BoggieWoggie CountryBlues Blues1 Jive", BLUES, (88, 145)),
    "straight": ("BasicRock 8Beat FolkRock 60sRock JazzRock SoftRock R&B Twist", ["sixteen-bar", "twelve-bar-minor", "plain8", "country", "minor-modal"], (80, 160)),
    "slow 12/8": ("Blues128 SlowBlues Ballad128 Rock128 DSoul SlowSpiritual", ["slow-twelve-eight", "soul128", "slow-twelve-eight", "eight-bar"], (50, 76)),
    "walking bass": ("FastBlues FastSwing Bebop SwingWalk ModernJazz JazzGuitarWalk", ["twelve-bar-jazz", "rhythm", "aaba", "twelve-bar"], (150, 220)),
    "swing": ("Swing EasySwing BigBand MellowJazz JazzCombo Foxtrot NiteJazz", TUNES, (95, 160)),
    "waltz": ("JazzWaltz CountryWaltz Waltz FrenchWaltz ModernJazzWaltz LatinWaltz", ["waltz", "waltz16"], (84, 176)),
    "six-eight": ("Blues68 Arpeggio68 68Swing", ["six-eight", "six16"], (50, 80)),
    "latin": ("BossaNova Rhumba JazzRhumba ChaCha Mambo Samba Beguine CubanGuitar", ["latin16", "minor-modal", "twelve-bar-minor", "rhythm"], (88, 170)),
    "country": ("BlueGrass SlowCountry HillCountry WesternSwing Folk CountrySwing Polka", ["country", "plain8", "gospel", "twelve-bar-quick-change"], (84, 200)),
    "funk": ("BVFunk Strut LFusion R&B Zydeco", ["funk8", "sixteen-bar", "twelve-bar-minor"], (84, 124)),
    "ballad": ("PianoBallad GuitarBallad FolkBallad Ballad R&B-Ballad RockBallad PopBallad", ["ballad", "gospel", "aaba", "minor-modal"], (54, 84)),
    "gospel": ("Spiritual PopSpiritual Hymn SlowSpiritual", ["gospel", "country", "soul128"], (62, 104)),
    "stop-time": ("Blues ShuffleBoggie Swing BasicRock JazzGuitar", BLUES, (90, 150)),
    "no drums": ("Folk FolkyJazzGuitar PianoBallad BlueFolk GuitarBallad JazzGuitar RagTime", BLUES + TUNES, (66, 150)),
    "organ trio": ("Blues Swing JazzCombo FastBlues ModernJazz", BLUES + TUNES[:4], (90, 190)),
    "guitar trio": ("Blues CountryBlues BasicRock JazzGuitar 60sRock", BLUES, (84, 150)),
}
MM_BEATS = {"six-eight": 3}  # mma's beats for one felt beat


def chart_text(build: Path, name: str) -> str:
    return CHARTS.get(name) or (PRESETS / f"{name}.chart").read_text()


def mma_text(song: Song, groove: str, each: int, seed: int) -> str:
    types, lines = {}, []
    for bar in song.bars:
        words = []
        for beat, root, bass, tones in bar.chords:
            at = f"@{beat * each + 1:g}"
            if not tones:
                words.append("z" + at)
                continue
            kind = types.setdefault(tuple(tones), f"RL{len(types)}x")
            words.append(NAMES[root] + kind + (f"/{NAMES[bass]}" if bass != root else "") + at)
        lines.append(" ".join(words) or "z!")
    head = []
    for tones, kind in types.items():
        minor = 3 in tones and 4 not in tones
        steps = [0, 2, 3 if minor else 4, 5, 6 if 6 in tones else 7, 9, 11 if 11 in tones else 10]
        chord = sorted(set(t % 12 for t in tones))[:8]
        head.append(f"DefChord {kind} ({', '.join(map(str, chord))}) ({', '.join(map(str, steps))})")
    return "\n".join([f"RndSeed {seed}"] + head + ["Tempo 120", f"Groove {groove}"] + lines) + "\n"


def mma_notes(text: str):
    with tempfile.TemporaryDirectory() as folder:
        source, out = Path(folder, "a.mma"), Path(folder, "a.mid")
        source.write_text(text)
        done = subprocess.run(["mma", str(source), "-f", str(out)], capture_output=True, text=True)
        if not out.exists():
            raise RuntimeError(done.stdout[-400:])
        return sound.smf_read(out)


def squeeze(notes, song: Song, full: int):
    """mma's bars are all alike: what is behind the end of a shorter one falls away."""
    out, starts = [], [b.at for b in song.bars]
    for on, length, channel, key, velocity in notes:
        index, within = divmod(on + 1e-4, full)
        if index < len(starts) and within < song.bars[int(index)].felt:
            out.append((starts[int(index)] + max(0, within - 1e-4), length, channel, key, velocity))
    return out


def lead(song: Song, rng, programs) -> list:
    """Phrases of chord and blue notes with rests, anticipating now and then."""
    programs[14] = int(rng.choice([22, 65, 66, 56, 29, 73, 0]))
    notes, key = [], 72
    triplets = rng.random() < 0.5
    for bar in song.bars:
        if rng.random() < 0.35 or not bar.chords:
            continue
        at = float(rng.integers(2)) * 0.5
        while at < bar.felt:
            _, root, _, tones = [c for c in bar.chords if c[0] <= at][-1]
            classes = [(root + t) % 12 for t in tones or [0]] + [song.key % 12, (song.key + 3) % 12, (song.key + 10) % 12]
            near = [k for k in range(key - 5, key + 6) if k % 12 in classes and 60 < k < 88] or [72]
            key = int(rng.choice(near))
            length = float(rng.choice([1 / 3, 2 / 3, 1] if triplets else [0.5, 0.5, 1, 1.5, 0.25]))
            if rng.random() < 0.85:
                notes.append((bar.at + at, length * 0.9, 14, key, int(rng.integers(70, 118))))
            at += length
    return notes


def revoice(group: str, notes, programs, rng):
    """Other instruments; bands without some of their players."""
    bass = [c for c, p in programs.items() if 32 <= p < 40 and c != 9]
    comp = [c for c in programs if c not in bass and c != 9]
    if group == "no drums":
        notes = [n for n in notes if n[2] != 9]
    if group == "organ trio":
        programs.update({c: int(rng.choice([16, 17, 18])) for c in comp + (bass if rng.random() < 0.4 else [])})
    elif group == "guitar trio":
        keep = max(comp, key=lambda c: sum(n[2] == c for n in notes), default=None)
        notes = [n for n in notes if n[2] in bass + [9, keep]]
        programs.update({c: int(rng.choice([24, 25, 26, 27, 29])) for c in comp})
    elif rng.random() < 0.4:
        programs.update({c: int(rng.choice([0, 1, 4, 16, 24, 25, 26, 27, 48])) for c in comp})
    if rng.random() < 0.4:
        programs.update({c: int(rng.choice([32, 33, 34, 35])) for c in bass})
    gain = {c: rng.uniform(0.65, 1.1) for c in range(16)}
    return [(a, b, c, k, v * gain[c]) for a, b, c, k, v in notes]


def stops(song: Song, notes, rng):
    """Stop-time in every chorus, at bars drawn once: only what comes on beat 1 sounds, and shortly."""
    count = max(b.bar for b in song.bars) + 1
    first, size = int(rng.integers(0, max(1, count - 4))), int(rng.choice([2, 4]))
    held = [b for b in song.bars if b.chorus > rng.integers(0, 2) and first <= b.bar < first + size]
    out = []
    for on, length, *rest in notes:
        bar = next((b for b in held if b.at - 0.02 <= on < b.at + b.felt - 0.02), None)
        if not bar:
            out.append((on, length, *rest))
        elif on < bar.at + 0.12:
            out.append((on, min(length, 0.5), *rest))
    return out


def damage(wav, rng) -> np.ndarray:
    wav = wav / (np.abs(wav).max() + 1e-9) * 0.8
    kind = rng.choice(["none", "none", "none", "dull", "hiss", "drive", "loss", "quiet"])
    if kind == "dull":
        spectrum = np.fft.rfft(wav)
        f = np.fft.rfftfreq(len(wav), 1 / sound.RATE)
        wav = np.fft.irfft(spectrum / (1 + (f / rng.uniform(2500, 7000)) ** 4), len(wav))
    elif kind == "hiss":
        wav = wav + rng.normal(0, 10 ** rng.uniform(-3, -2), len(wav))
    elif kind == "drive":
        wav = np.tanh(wav * rng.uniform(2, 5)) * 0.7
    elif kind == "loss":
        for at in rng.integers(0, len(wav) - 4000, len(wav) // sound.RATE):
            wav[at:at + rng.integers(500, 3000)] *= 0.02
    elif kind == "quiet":
        wav = wav * 0.02
    return wav.astype(np.float32)


def case(number: int, build: Path, folder: Path) -> None:
    rng = np.random.default_rng([1, number])
    group = list(GROUPS)[number % len(GROUPS)]
    grooves, charts, tempi = GROUPS[group]
    groove, each = str(rng.choice(grooves.split())), MM_BEATS.get(group, 1)
    chart = chart_text(build, str(rng.choice(charts)))
    form = form_read(build, chart, int(rng.integers(12)))
    song = Song(f"a{number:03d}", group, chart, form["key"], round(float(np.exp(rng.uniform(*np.log(tempi)))), 2), note=groove)
    length, bars = float(rng.uniform(62, 92)), len(form["bars"])
    intro = int(rng.choice([0, 0, 1, 2, 4])) if group != "funk" else int(rng.choice([2, 4, 8]))
    start = int(rng.integers(1, bars)) if rng.random() < 0.2 else 0
    beats = (length + 4) * song.bpm / 60
    song.bars = plan(form, intro, start, beats, "lead" if form["lead"] and rng.random() < 0.4 else None)
    notes, programs, controls = mma_notes(mma_text(song, groove, each, number + 1))
    full = max(b.felt for b in song.bars)
    notes = squeeze([(a / each, b / each, c, k, v) for a, b, c, k, v in notes], song, full)
    notes = revoice(group, notes, programs, rng)
    if rng.random() < 0.35:
        notes += lead(song, rng, programs)
    if group == "stop-time":
        notes = stops(song, notes, rng)
    count_in = full if rng.random() < 0.25 else 0
    notes = [(a + count_in, b, c, k, v) for a, b, c, k, v in notes] + [(float(b), 0.2, 9, 37, 100) for b in range(count_in)]
    for b in song.bars:
        b.at += count_in
    song.bars = [Played(-1, 0, 0.0, count_in, [])] * bool(count_in) + song.bars
    render(song, notes, programs, controls, beats + count_in, length, folder, rng)


def render(song, notes, programs, controls, beats, length, folder, rng, kit=MILLO) -> None:
    drift, period, phase = rng.choice([0, 0.005, 0.015, 0.04]), rng.uniform(20, 60), rng.uniform(0, 6)
    inner = sound.tempo_map(song.bpm, beats, lambda t: 1 + drift * np.sin(t / period * 6.28 + phase))
    seconds = lambda beat: inner(beat) + 0.3
    human = rng.choice([0, 0.004, 0.010])
    late = {c: rng.uniform(0, human * 1.5) for c in range(16)}
    jitter = lambda c: late[c] + rng.normal(0, human) if human else 0.0
    samples = rng.random() < 0.35
    notes = [n for n in notes if seconds(n[0]) < length + 2]
    pitched = [n for n in notes if not (samples and n[2] == 9 and n[3] in kit)]
    tuning = float(rng.uniform(-45, 45)) if rng.random() < 0.5 else 0.0
    tape = rng.random() < 0.4
    wav = sound.band(pitched, programs, controls, seconds, "fluid" if rng.random() < 0.65 else "timgm", 0 if tape else tuning,
                     bool(rng.random() < 0.6), jitter)
    if samples:
        hits = sound.drums(notes, kit, seconds, jitter, rng, length)[:len(wav)]
        wav[:len(hits)] += hits * (np.abs(wav).max() / (np.abs(hits).max() + 1e-9)) * rng.uniform(0.4, 1.0)
    stretch = 2 ** (-tuning / 1200) if tape and tuning else 1.0
    if stretch != 1:
        wav = sound.resample(wav, stretch)
    song.cents = tuning
    song.cut = float(rng.uniform(3, 12)) if rng.random() < 0.2 else 0.0
    wav = damage(wav[int(song.cut * sound.RATE):int((song.cut + length) * sound.RATE)], rng)
    rate = int(rng.choice([48000, 44100, 44100]))
    if rate != sound.RATE:
        wav = sound.resample(wav, rate / sound.RATE)
    truth_write(song, folder, seconds, wav, rate, stretch)
