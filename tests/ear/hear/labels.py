# SPDX-License-Identifier: ISC
"""Cases as they lie in a folder: NAME.wav beside NAME.json, as generator.py writes it, or beside NAME.txt, labels that a person wrote.
The labels are those that sound editors write, `BEGIN END LABEL` in seconds: a label is holes and technique (`4 draw`, `1+4 blow`,
`3 draw2`, `6 overblow`); one that begins with `harp` names key, range and tuning as the ports do (`harp 7 0 0`)."""
import json
import sys
from pathlib import Path

sys.path.append(str(Path(__file__).resolve().parent.parent / "follow"))
from sound import sound_read  # noqa: E402

TECHNIQUES = ("blow", "draw", "blow1", "blow2", "blow3", "draw1", "draw2", "draw3", "overblow", "overdraw")
STEP = 0.005
HARP = ("key", "range", "tuning")


def fail(file: Path, line: int, why: str) -> None:
    raise SystemExit(f"{file}:{line}: {why}")


def harp_of(file: Path, number: int, words: list) -> dict:
    try:
        return dict(zip(HARP, (int(w) for w in words), strict=True))
    except ValueError:
        fail(file, number, "a harp is three numbers: key 0 to 11, range -1 to 1, tuning 0 to 5")


def notes_of(file: Path, number: int, words: list, reeds: dict) -> list:
    """The truth of one label: what may be said of each note; its pitch is not known to the cent."""
    if len(words) != 2 or words[1] not in TECHNIQUES:
        fail(file, number, f"expected holes and one of {', '.join(TECHNIQUES)}, as in `4 draw`")
    technique = TECHNIQUES.index(words[1])
    notes = []
    for hole in words[0].split("+"):
        midi = reeds.get((int(hole) if hole.isdigit() else 0, technique))
        if midi is None:
            fail(file, number, f"this harp has no `{hole} {words[1]}`")
        notes.append([[[int(hole), technique, midi]], midi, None])
    return notes


def case_read(file: Path, reeds) -> dict:
    """`reeds(key, range, tuning)`: the harp as {(hole, technique): midi}."""
    if file.suffix == ".json":
        return json.loads(file.read_text())
    rows = [(n, line.split()) for n, line in enumerate(file.read_text().splitlines(), 1) if line.strip() and not line.startswith("#")]
    case, spans = dict.fromkeys(HARP, 0), []
    for n, words in rows:
        try:
            span = float(words[0].replace(",", ".")), float(words[1].replace(",", "."))
        except (IndexError, ValueError):
            fail(file, n, "a label is BEGIN END LABEL, times in seconds")
        if words[2:3] == ["harp"]:
            case.update(harp_of(file, n, words[3:]))
        else:
            spans.append((n, *span, words[2:]))
    harp = reeds(*(case[k] for k in HARP))
    sound, rate = sound_read(file.with_suffix(".wav"))
    truth = [[] for _ in range(int(len(sound) / rate / STEP))]
    for n, begin, end, words in spans:
        notes = notes_of(file, n, words, harp)
        for i in range(int(begin / STEP) + 1, min(len(truth), int(end / STEP))):
            truth[i] = json.loads(json.dumps(notes))
    return case | {"overblows": True, "group": "own", "condition": "own", "content": "own", "step": STEP, "truth": truth}


def cases(folder: Path, group: str, reeds):
    """Sound and truth of a group; those to learn from are never judged."""
    for sound in sorted(folder.glob("*.wav")):
        if sound.stem.isdigit() and (int(sound.stem) >= 1000 or group == "own"):
            continue
        files = [f for f in (sound.with_suffix(".json"), sound.with_suffix(".txt")) if f.exists()]
        if not files:
            raise SystemExit(f"{sound}: neither {sound.stem}.json nor {sound.stem}.txt says what is played")
        case = {"group": "own", "condition": "own", "content": "own"} | case_read(files[0], reeds)
        if case["group"] == group or (group == "own" and not sound.stem.isdigit()):
            yield sound, case
