# SPDX-License-Identifier: ISC
"""A peer to measure beside: pitch by probabilistic YIN, after M. Mauch, S. Dixon, "pYIN: A fundamental frequency estimator using
probabilistic threshold distributions", ICASSP 2014; the difference function after A. de Cheveigne, H. Kawahara, "YIN, a fundamental
frequency estimator for speech and music", J. Acoust. Soc. Am. 111, 2002. Written from the papers. Notes are ours: the half step that the
smoothed pitch is nearest to, as long as it lasts, parted where the level rises."""
import sys
from pathlib import Path

import numpy as np
from scipy.signal import lfilter, resample_poly
from scipy.stats import beta

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "follow"))
from sound import sound_read  # noqa: E402

RATE, WINDOW, HOP = 22050, 1024, 221          # samples; a difference is summed over WINDOW
LOWEST, HIGHEST, EACH = 42.0, 86.0, 5         # MIDI numbers; states a half step
THRESHOLDS = np.arange(1, 101) / 100
SHARE = beta.pdf(THRESHOLDS - 0.005, 2, 18)   # the paper's Beta distribution of mean .1
SHARE /= SHARE.sum()
NONE_BELOW, STAYS, REACH, TRUST = 0.01, 0.99, 12, 0.5  # without a dip under the threshold; voiced or not stays; states a frame; of the paper's
SHORTEST, RISE = 0.06, 6.0                    # seconds of a note; dB in 30 ms that begin another


def difference(frame: np.ndarray) -> np.ndarray:
    """YIN's, cumulative mean normalised, for lags up to WINDOW."""
    size = 4 * WINDOW
    one, both = np.fft.rfft(frame[:WINDOW], size), np.fft.rfft(frame, size)
    alike = np.fft.irfft(np.conj(one) * both)[:WINDOW]
    square = np.concatenate([[0], np.cumsum(frame ** 2)])
    d = square[WINDOW] + square[WINDOW:2 * WINDOW] - square[:WINDOW] - 2 * alike
    d[0] = 0
    d = np.maximum(d, 0)
    out = np.ones(WINDOW)
    out[1:] = d[1:] * np.arange(1, WINDOW) / (np.cumsum(d[1:]) + 1e-9)
    return out


def candidates(frame: np.ndarray, states: int) -> np.ndarray:
    """How probable each pitch is."""
    d, out = difference(frame), np.zeros(states)
    dips = np.flatnonzero((d[1:-1] < d[:-2]) & (d[1:-1] <= d[2:])) + 1
    dips = dips[(dips > RATE / 1200) & (dips < RATE / 90)]
    if not len(dips):
        return out
    under = d[dips][None, :] < THRESHOLDS[:, None]
    weight = np.zeros(len(dips))
    np.add.at(weight, under.argmax(1)[under.any(1)], SHARE[under.any(1)])
    weight[d[dips].argmin()] += NONE_BELOW * SHARE[~under.any(1)].sum()
    a, b, c = d[dips - 1], d[dips], d[dips + 1]
    lag = dips + 0.5 * (a - c) / (a - 2 * b + c + 1e-12)
    state = np.rint((12 * np.log2(RATE / lag / 440) + 69 - LOWEST) * EACH).astype(int)
    fits = (state >= 0) & (state < states)
    np.add.at(out, state[fits], weight[fits])
    return out


def track(sound: np.ndarray) -> np.ndarray:
    """MIDI number of every frame, -1 where nothing is voiced: the best path (Viterbi)."""
    states = int((HIGHEST - LOWEST) * EACH) + 1
    padded = np.pad(sound, (WINDOW, 2 * WINDOW))
    p = np.array([candidates(padded[at:at + 2 * WINDOW], states) for at in range(0, len(sound), HOP)])
    voiced = np.log(TRUST * p + 1e-7)
    silent = np.log((1 - TRUST * p.sum(1)) / states + 1e-7)
    step = np.log(np.maximum(1 - np.abs(np.arange(-REACH, REACH + 1)) / (REACH + 1), 1e-9) / (REACH + 1))
    here, rests = voiced[0], np.full(states, silent[0])
    origin = np.zeros((len(p), 2, states), np.int32)
    for t in range(1, len(p)):
        both = []
        for k, (stay, change) in enumerate(((here, rests), (rests, here))):
            ways = np.stack([stay + np.log(STAYS), change + np.log(1 - STAYS)])
            wide = np.pad(ways, ((0, 0), (REACH, REACH)), constant_values=-1e9)
            moves = np.stack([wide[:, j:j + states] + step[j] for j in range(2 * REACH + 1)], 1).reshape(-1, states)
            best = moves.argmax(0)
            kind = best // (2 * REACH + 1) ^ k
            origin[t, k] = kind * states + np.clip(np.arange(states) + best % (2 * REACH + 1) - REACH, 0, states - 1)
            both.append(moves.max(0))
        here, rests = both[0] + voiced[t], both[1] + silent[t]
    at, out = int(np.concatenate([here, rests]).argmax()), np.full(len(p), -1.0)
    for t in range(len(p) - 1, -1, -1):
        out[t] = LOWEST + at / EACH if at < states else -1
        at = origin[t, at // states, at % states]
    return out


def notes(sound: np.ndarray, rate: int) -> np.ndarray:
    """[on, off, midi, 1] of a mono sound."""
    x = resample_poly(sound, RATE, rate) if rate != RATE else sound
    midi = track(x.astype(np.float64))
    level = 10 * np.log10(lfilter([0.01], [1, -0.99], np.pad(x, (0, HOP)) ** 2)[::HOP][:len(midi)] + 1e-9)
    tuned = midi[midi >= 0]
    off = np.angle(np.exp(2j * np.pi * tuned).sum()) / (2 * np.pi) if len(tuned) else 0
    whole = np.where(midi < 0, -1, np.rint(midi - off))
    smooth = np.array([np.median(whole[max(0, t - 2):t + 3]) for t in range(len(whole))])
    out, begin = [], 0
    for t in range(1, len(smooth) + 1):
        rises = 3 < t < len(smooth) and level[t] - level[t - 3] > RISE and t - begin > 6
        if t == len(smooth) or smooth[t] != smooth[begin] or rises:
            if smooth[begin] >= 0 and (t - begin) * HOP / RATE >= SHORTEST:
                out.append([begin * HOP / RATE, t * HOP / RATE, smooth[begin], 1])
            begin = t
    return np.array(out).reshape(-1, 4)


def notes_of(path: Path) -> np.ndarray:
    sound, rate = sound_read(path)
    return notes(sound, rate)
