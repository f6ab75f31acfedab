#!/usr/bin/env python3
# SPDX-License-Identifier: ISC
"""Writes tunebook.txt: the tunes of tunebook-tunes.txt, each in three of six ways in which people write ABC, with the
notes that each should become. The notes come from the plain line, by the rules of note() alone; the ways only add what a
phrase has no room for, or write the same otherwise. Usage: tunebook.py < tunebook-tunes.txt > tunebook.txt"""
import re
import sys
from fractions import Fraction as F

KEYS = {"C": 0, "G": 1, "D": 2, "A": 3, "F": -1, "Bb": -2, "Am": 0, "Em": 1, "Bm": 2, "Dm": -1, "Cm": -3,
        "Ador": 1, "Edor": 2, "Amix": 2}  # sharps; flats are negative
WHITE = dict(C=0, D=2, E=4, F=5, G=7, A=9, B=11)
NOTE = re.compile(r"([\^_=]?)([A-Ga-gz])([,']*)(\d*)(/?)(\d*)(-?)")


def signature(sharps):
    order = "FCGDAEB" if sharps > 0 else "BEADGCF"
    return {letter: 1 if sharps > 0 else -1 for letter in order[:abs(sharps)]}


class Note:
    """A note of the plain line: its sign and name as written, its length in units, its pitch (None: a rest)."""
    def __init__(self, found, key, signs):
        sign, letter, marks, num, slash, den, tie = found.groups()
        self.sign, self.name, self.tie = sign, letter + marks, bool(tie)
        self.length = F(int(num or 1), int(den or 2) if slash else 1)
        self.pitch = None
        if letter != "z":
            if sign:
                signs[letter.upper()] = {"^": 1, "_": -1, "=": 0}[sign]
            alter = signs.get(letter.upper(), signature(key).get(letter.upper(), 0))
            octave = letter.islower() + marks.count("'") - marks.count(",")
            self.pitch = 60 + WHITE[letter.upper()] + alter + 12 * octave

    def text(self, factor=1):
        length = self.length * factor
        num = str(length.numerator) if length.numerator != 1 else ""
        den = {1: "", 2: "/"}.get(length.denominator, f"/{length.denominator}")
        return self.sign + self.name + num + den + "-" * self.tie


def bars_of(line, key):
    bars = []
    for bar in line.strip("|").split("|"):
        signs, notes, rest = {}, [], bar.replace(" ", "")
        while rest:
            found = NOTE.match(rest)
            notes.append(Note(found, key, signs))
            rest = rest[found.end():]
        bars.append(notes)
    return bars


def plain(bars, factor=1):
    return "|".join("".join(n.text(factor) for n in bar) for bar in bars)


# ---- the ways: each gives header lines, music, and the bars in the order they are played ----

def way_session(t):
    """A session player's: rolls, trills, bowings, grace notes, all of it repeated."""
    signs = ["~", "T", "u", "v", "{g}", "{/d}", ".", "", "{ag}", ""]
    k = 0
    out = []
    for bar in t.bars:
        words = []
        for n in bar:
            words.append((signs[k % len(signs)] if n.pitch else "") + n.text())
            k += 1
        out.append("".join(words))
    return ["R:reel", f"M:{t.meter}", f"L:{t.unit}", f"K:{t.key}"], "|:" + "|".join(out) + ":|", t.bars * 2


def way_songbook(t):
    """A songbook's: chord symbols with small basses, text, words, dynamics, slurs, a line of a program."""
    chord = {"C": "C", "G": "G", "D": "D", "A": "A", "F": "F", "Bb": "Bb", "Am": "Am", "Em": "Em", "Bm": "Bm", "Dm": "Dm",
             "Cm": "Cm", "Ador": "Am", "Edor": "Em", "Amix": "A"}[t.key]
    out = []
    for i, bar in enumerate(t.bars):
        words = [n.text() for n in bar]
        before = ['"%s/g"' % chord, '"^Slowly"!mf!', '"Fine"', '"_dolce"!fermata!!3!'][i % 4]
        if len(bar) > 1 and bar[0].pitch and bar[1].pitch and not bar[0].tie:
            words[1] = words[1].replace("-", "") + ")" + "-" * bar[1].tie
            words[0] = "(" + words[0]
        out.append(before + " ".join(words))
    music = " | ".join(out) + " |]\nw: la la la-la | la * la_\nW: And the last verse"
    return [f"M: {t.meter}", f"L: {t.unit}", "%%MIDI program 22", "I:linebreak <EOL>", 'Q:"Andante" 1/4=88',
            f"K: {t.key} clef=treble"], music, t.bars


def way_endings(t):
    """First and second endings; the last bar is both of them."""
    head, last = t.bars[:-1], t.bars[-1:]
    music = "|: " + plain(head) + " |1 " + plain(last) + " :|2 " + plain(last) + " |]"
    return ["C:Trad.", f"M:{t.meter}", f"L:{t.unit}", f"K:{t.key}"], music, t.bars * 2


def way_old(t):
    """An older hand: half the unit, broken rhythm, beams by backquotes, room, and ! at the ends of lines."""
    unit, den = t.unit.split("/")
    out = []
    for i, bar in enumerate(t.bars):
        words, k = [], 0
        while k < len(bar):
            a, b = bar[k], bar[k + 1] if k + 1 < len(bar) else None
            if b and a.pitch and b.pitch and not a.tie and a.length == 3 * b.length:
                a2, b2 = Note.__new__(Note), Note.__new__(Note)
                a2.__dict__, b2.__dict__ = dict(a.__dict__, length=a.length * F(2, 3)), dict(b.__dict__, length=b.length * 2)
                words.append(a2.text(2) + ">" + b2.text(2))
                k += 2
            else:
                words.append(a.text(2))
                k += 1
        out.append(["`", " ", "y"][i % 3].join(words) + ("|!\n" if i % 2 else "|\\\n"))
    return [f"M:{t.meter}", f"L:{unit}/{int(den) * 2}", "N:as it was sung", f"K:{t.key}"], "".join(out).rstrip("\\\n!"), t.bars


def way_inside(t):
    """Key, unit and meter stand in the music, in brackets and in lines; a part has a letter."""
    unit, den = t.unit.split("/")
    half = max(1, len(t.bars) // 2)
    music = (f"P:A\n[K:{t.key}][L:{unit}/{int(den) * 2}]" + plain(t.bars[:half], 2) + f"|\nL:{t.unit}\n[r:half way]"
             + plain(t.bars[half:]) + "||")
    return [f"M:{t.meter}", "L:1/4", "K:C"], music, t.bars


def way_double(t):
    """Two parts: all of it, then its last bar twice more, with :: between them."""
    return [f"M:{t.meter}", f"L:{t.unit}", f"V:1 clef=treble name=Fiddle", f"K:{t.key}"], \
        "|:" + plain(t.bars) + "::" + plain(t.bars[-1:]) + ":|", t.bars * 2 + t.bars[-1:] * 2


WAYS = (way_session, way_songbook, way_endings, way_old, way_inside, way_double)


class Tune:
    def __init__(self, line):
        self.title, self.key, self.meter, self.unit, music = line.split("|", 4)
        self.bars = bars_of(music, KEYS[self.key])
        self.ticks = 48 // int(self.unit.split("/")[1])  # twelfths of a quarter note
        beats, of = map(int, self.meter.split("/"))
        self.bar = F(48 * beats, of)


def expected(t, bars):
    """Onset 0 is the first beat of the first whole bar; a tied note is one."""
    lengths = [sum(n.length for n in bar) * t.ticks for bar in bars]
    now = -lengths[0] if lengths[0] < t.bar and len(bars) > 1 else F(0)
    notes, tied = [], False
    for n in (n for bar in bars for n in bar):
        length = n.length * t.ticks
        if tied and n.pitch == notes[-1][0]:
            notes[-1][2] += length
        elif n.pitch:
            notes.append([n.pitch, now, length])
        tied = n.tie and n.pitch is not None
        now += length
    return " ".join(f"{p}@{a}:{l}" for p, a, l in notes)


def main():
    tunes = [Tune(line.rstrip("\n")) for line in sys.stdin if line.strip() and not line.startswith("#")]
    print("% SPDX-License-Identifier: ISC\n% Written by tunebook.py out of tunebook-tunes.txt: a tune, then `%= ` and "
          "its notes: pitch (MIDI), onset and\n% length in twelfths of a quarter note.\n")
    for i, t in enumerate(tunes):
        for k in range(3):
            way = WAYS[(i + 2 * k + i // 6) % len(WAYS)] if k else WAYS[(i + i // 6) % len(WAYS)]
            head, music, bars = way(t)
            print(f"X:{3 * i + k + 1}\nT:{t.title}, {way.__name__[4:]}")
            print("\n".join(head) + "\n" + music)
            print("%= " + expected(t, bars) + "\n")


main()
