#!/usr/bin/python3
# SPDX-License-Identifier: ISC
"""The impedance from takes, worked out anew in double precision (NumPy's FFT, SciPy's reader), to be held against what
the program made of the same files. Shares no code with it; the method is the one that docs and headers state.
    deconvolve_takes.py DIR Z.s1p     largest differences of channel 2 over channel 1, and of the impedance, as shares, 60 Hz to 15 kHz
"""
import sys

import numpy as np
from scipy.io import wavfile

LOW, HIGH, SECONDS = 20.0, 20000.0, 5.0
BEFORE, AFTER = 0.2, 0.25
L = SECONDS / np.log(HIGH / LOW)


def size_of(frames):
    """The next power of two."""
    return 1 << (frames - 1).bit_length()


def cosine(share):
    return 0.5 - 0.5 * np.cos(np.pi * np.clip(share, 0, 1))


def ratio(path, hz):
    rate, x = wavfile.read(path)
    size = size_of(len(x))
    f = np.fft.rfftfreq(size, 1 / rate)
    f[0] = 1e-9
    sweep = 0.5 * np.sqrt(L / f) * np.exp(2j * np.pi * f * L * (1 - np.log(f / LOW)) - 0.25j * np.pi)
    over = np.where(f < LOW, LOW / f, f / HIGH)
    band = 1 - cosine(np.log(over) / np.log(1.15))
    band[0] = 0
    answer = np.fft.irfft(np.fft.rfft(x.astype(float), size, axis=0) * (band / sweep / rate)[:, None], size, axis=0) * rate
    top = np.abs(answer[:, 0]).argmax()
    length = int((BEFORE + AFTER) * rate)
    i = np.arange(length)
    window = cosine(np.minimum(i, length - i) / (0.5 * BEFORE * rate))
    part = answer[(top - int(BEFORE * rate) + i) % size] * window[:, None]
    one, two = (np.array([np.exp(-2j * np.pi * h / rate * i) @ part[:, k] for h in hz]) for k in (0, 1))
    return two / one


rows = np.array([[float(v) for v in line.split("!")[0].split()] for line in open(sys.argv[2]) if line[0] not in "!#"])
rows = rows[(rows[:, 0] >= 60) & (rows[:, 0] <= 15000)]
exact = 20.0 * 1000.0 ** (np.round(np.log(rows[:, 0] / 20) / np.log(1000) * 240) / 240)
m_open, m_known, m = (ratio(f"{sys.argv[1]}/{name}.wav", exact) for name in ("open", "known", "take"))
z = 99800.0 * m * (m_known - m_open) / ((m - m_open) * m_known)
off = np.abs((rows[:, 1] + 1j * rows[:, 2]) / z - 1)
# d ln Z = dm / m * m_o / (m_o - m): what the ratio of the channels is off by, and the impedance
print(f"{(off * np.abs((m_open - m) / m_open)).max():.2e} {off.max():.2e}")
