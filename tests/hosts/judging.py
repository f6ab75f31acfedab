# SPDX-License-Identifier: ISC
"""Tests of the judge: a computed plugin plays five bars of 7/8 without a fault, then with one of each kind."""
import trace

BAR, LENGTH = 43077, 256


def place_at(frame):
    """The bar from 0, and the beat of the form's four quarters."""
    bar, rest = divmod(frame, BAR)
    return bar, rest * 4 / BAR


def perfect():
    """What an exact plugin and its host would leave behind."""
    blocks, told = [], None
    for number in range(5 * BAR // LENGTH):
        block, begin = trace.Block(number, LENGTH), number * LENGTH
        bar, _ = place_at(begin)
        block.reports = [(0, {'frame': begin, 'speed': 1.0, 'bar': bar, 'barBeat': 0.0})]
        for offset in range(LENGTH):
            bar, beat = place_at(begin + offset)
            if (bar, int(beat)) != told:
                told = (bar, int(beat))
                block.places.append((offset, {'chorus': 1, 'bar': bar + 1, 'beat': beat + 1}))
        block.out = (1, bar + 1, beat + 1, 2, 1)
        blocks.append(block)
    trace.follow(blocks)
    return blocks


def judge(blocks):
    """The verdict on them."""
    bars = trace.Line([(i, i * BAR) for i in range(9)])
    return trace.Judge(trace.Form(), trace.IDENTITY, bars).all(blocks)


def lines(blocks):
    """The blocks in which a bar line is told."""
    return [b for b in blocks if b.places and b.places[0][1]['beat'] < 1.001 and b.number]


# ---- mistakes ----

def late(blocks):
    for b in reversed(blocks):
        b.out = blocks[max(0, b.number - 2)].out


def missed(blocks):
    lines(blocks)[1].places.clear()


def doubled(blocks):
    b = lines(blocks)[1]
    offset, place = b.places[0]
    b.places += [(offset + 1, dict(place, bar=place['bar'] - 1, beat=4.999)), (offset + 2, place)]


def a_bar_ahead(blocks):
    for b in blocks:
        for _, place in b.places:
            place['bar'] += 1


def nowhere(blocks):
    blocks[99].out = (0, 0, 0, 2, 1)


def unsure(blocks):
    blocks[99].out = blocks[99].out[:4] + (0.5,)


def too_sure(blocks):
    blocks[99].reports[0][1].pop('bar')
    trace.follow(blocks)


# ---- tests ----

def right(_stage):
    verdict = judge(perfect()).most(4)
    if verdict.worst_line > 1 or verdict.worst_place > 1:
        verdict.fault('%g and %g frames off' % (verdict.worst_line, verdict.worst_place))
    return verdict


def sees(mistake):
    def test(_stage):
        blocks = perfect()
        mistake(blocks)
        verdict = judge([])
        if not judge(blocks).faults:
            verdict.fault('it did not see it')
        return verdict
    return test


def contradiction(_stage):
    """A host that tells the beat of the block before is no witness; one that doesn't is."""
    verdict, blocks = judge([]), perfect()
    trace.agree(blocks, lambda report: 0)
    try:
        trace.agree(blocks, lambda report: -LENGTH if report['frame'] == 99 * LENGTH else 0)
        verdict.fault('it did not see it')
    except trace.Contradiction:
        pass
    return verdict


TESTS = [('what is right is right', right)] + [
    ('sees what is ' + mistake.__name__.replace('_', ' '), sees(mistake))
    for mistake in (late, missed, doubled, a_bar_ahead, nowhere, unsure, too_sure)] + [
        ('sees that a host contradicts itself', contradiction)]
