# SPDX-License-Identifier: ISC
"""What is played: notes of a harp with all that players do, as a list of Played. Own invention; the techniques are common practice."""
from dataclasses import dataclass, field

import numpy as np

BLOW, DRAW, BLOW_BEND, DRAW_BEND, OVERBLOW, OVERDRAW = 0, 1, 2, 5, 8, 9  # of RlTechnique: bends are 2..4, 5..7


@dataclass
class Played:
    on: float
    off: float
    holes: list                    # [(hole, technique, midi)]
    glide: list = field(default_factory=list)   # [(second after `on`, cents)], straight lines between
    vibrato: tuple = (0.0, 0.0, 0.0)  # Hz, cents, dB
    wah: float = 0.0               # Hz of the hands, 0 none
    attack: float = 0.02
    release: float = 0.02
    gain: float = 0.0              # dB


def natural(harp: dict, hole: int, draws: int):
    return hole, draws, harp[hole, draws]


def singles(harp: dict, rng, until: float, quick: bool):
    """Notes of one hole, natural or bent or overblown, near the one before; `quick`: runs up to 12 a second."""
    t, out, hole = 0.3, [], int(rng.integers(1, 11))
    keys = sorted(harp)
    while t < until - 0.5:
        length = rng.uniform(1 / 12, 1 / 6) if quick and rng.random() < 0.85 else rng.uniform(0.12, 1.2)
        near = [k for k in keys if abs(k[0] - hole) <= 3]
        weights = np.array([1.0 if k[1] < 2 else 0.5 if k[1] < 8 else 0.12 for k in near])
        hole, technique = near[rng.choice(len(near), p=weights / weights.sum())]
        gap = 0 if rng.random() < 0.7 else rng.uniform(0.05, 0.4)
        note = Played(t, t + length, [(hole, technique, harp[hole, technique])], attack=rng.uniform(0.005, 0.03 if quick else 0.06),
                      release=rng.uniform(0.008, 0.03), gain=rng.normal(0, 3))
        if length > 0.5 and rng.random() < 0.35:
            note.vibrato = rng.uniform(3.5, 7), rng.uniform(0, 25), rng.uniform(1, 7)
        out.append(note)
        t += length + gap
    return out


def bends(harp: dict, rng, until: float):
    """Held bends, reached from above or at once, released or not, a little unsteady; some of them deeper and back."""
    bent = [k for k in harp if 2 <= k[1] < 8]
    t, out = 0.3, []
    while t < until - 2.5:
        hole, technique = bent[rng.integers(len(bent))]
        depth = (technique - BLOW_BEND) % 3 + 1
        plain = BLOW if technique < DRAW_BEND else DRAW
        length, gone = rng.uniform(0.5, 1.8), rng.uniform(0.04, 0.25)
        at = -100.0 * depth + rng.normal(0, 12)
        way = rng.integers(4)
        glide = [(0, at), (length, at + rng.normal(0, 8))]
        if way == 1:
            begins = rng.uniform(0.05, 0.3)
            glide = [(0, 0), (begins, 0), (begins + gone, at), (length, at)]
        elif way == 2:
            glide = [(0, at), (length * 0.6, at), (length * 0.6 + gone, 0), (length + 0.2, 0)]
        elif way == 3:
            begins = rng.uniform(0.1, 0.25)
            glide = [(0, 0), (begins, 0), (begins + gone, at), (length, at), (length + gone, 0), (length + gone + 0.2, 0)]
        out.append(Played(t, t + glide[-1][0], [(hole, plain, harp[hole, plain])], glide, attack=rng.uniform(0.01, 0.05),
                          vibrato=(rng.uniform(3, 6), rng.uniform(0, 12), rng.uniform(0, 2)) if rng.random() < 0.3 else (0.0, 0.0, 0.0),
                          gain=rng.normal(0, 3)))
        t += glide[-1][0] + rng.uniform(0, 0.3)
    return out


def together(harp: dict, rng, until: float, apart):
    """Chords of two or three neighbours (`apart` 1), or octaves and other splits; single notes between them."""
    t, out = 0.3, []
    while t < until - 1:
        draws, length = int(rng.integers(2)), rng.uniform(0.15, 1.3)
        if rng.random() < 0.25:
            holes = [int(rng.integers(1, 11))]
        elif apart == 1:
            first, many = int(rng.integers(1, 9)), int(rng.integers(2, 4))
            holes = list(range(first, min(11, first + many)))
        else:
            octaves = [(a, b) for a in range(1, 8) for b in (a + 3, a + 4) if b <= 10 and harp[b, draws] - harp[a, draws] == 12]
            holes = list(octaves[rng.integers(len(octaves))])
        out.append(Played(t, t + length, [natural(harp, h, draws) for h in holes], attack=rng.uniform(0.01, 0.05), gain=rng.normal(0, 3),
                          vibrato=(rng.uniform(3.5, 6), 0.0, rng.uniform(1, 5)) if rng.random() < 0.2 else (0.0, 0.0, 0.0)))
        t += length + (0 if rng.random() < 0.6 else rng.uniform(0.05, 0.4))
    return out


CONTENTS = ("singles", "runs", "bends", "chords", "octaves", "mixed")


def played(content: str, harp: dict, rng, until: float):
    makers = {"singles": lambda a, b: singles(harp, rng, b - a, False), "runs": lambda a, b: singles(harp, rng, b - a, True),
              "bends": lambda a, b: bends(harp, rng, b - a), "chords": lambda a, b: together(harp, rng, b - a, 1),
              "octaves": lambda a, b: together(harp, rng, b - a, 3)}
    if content != "mixed":
        return makers[content](0, until)
    out, part = [], until / 5
    for i, name in enumerate(rng.permutation(list(makers))):
        for note in makers[name](0, part):
            note.on += i * part
            note.off += i * part
            out.append(note)
    return out
