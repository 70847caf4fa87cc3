#!/usr/bin/python3
# SPDX-License-Identifier: ISC
"""One phrase, played twice by a hand that never plays alike, on two instruments whose pickups are known.

Shares no code with the program: strings are sums of decaying partials, the network is worked out here.
    simulate_phrases.py DIR SEED COUNT    DIR/NNN/: mine.wav, theirs.wav and truth.csv (inductance, resonance)
Mine is 4.5 H with 500 kohm across it, 8 kohm, 120 pF; theirs has another inductance and loss. Both have 500 kohm of
volume and tone, 22 nF, 600 pF of cable and input, 1 Mohm. The hand: each note's level, place of the pick and moment
scatter from one playing to the next, and a string's age tilts the treble by some 1 dB an octave above 2 kHz.
"""
import os
import sys
import wave

import numpy as np

RATE = 44100
SECONDS = 12
HZ = np.fft.rfftfreq(RATE * SECONDS, 1 / RATE)
PITCH = [82.41, 110.0, 146.83, 196.0, 246.94, 329.63]


def response(henry, loss, hz):
    s = 2j * np.pi * np.maximum(hz, 1.0)
    branch = 8e3 + 1 / (1 / (s * henry) + 1 / loss)
    y = s * (120e-12 + 600e-12) + 1 / 1e6 + 1 / 500e3 + 1 / (500e3 + 1 / (s * 22e-9))
    return 1 / (1 + branch * y)


def resonance(henry, loss):
    """magnitude of the least damped pole pair, from the circuit as polynomials in s: (1 + branch y) = 0"""
    z = np.polynomial.Polynomial
    s = z([0, 1])
    coil = z([loss]) * 8e3 + s * henry * (8e3 + loss)  # branch over (loss + s henry)
    under = z([loss, henry])
    tone = z([0, 22e-9])  # its admittance over (1 + s 22n 500k)
    tone_under = z([1, 22e-9 * 500e3])
    y = (s * 720e-12 + (1 / 1e6 + 1 / 500e3)) * tone_under + tone
    roots = (under * tone_under + coil * y).roots()
    pairs = [r for r in roots if abs(r.imag) > 0]
    return max((abs(r) / (2 * np.pi) for r in pairs), default=0.0)


def play(notes, rng):
    out = np.zeros(RATE * SECONDS)
    clock = np.arange(RATE * 3) / RATE
    tilt = rng.normal(0, 1.0)
    for at, pitch in notes:
        begin = at + abs(rng.normal(0, 0.015))
        loud, pick = 10 ** (rng.normal(0, 2) / 20), rng.uniform(0.12, 0.22)
        first = int(begin * RATE)
        for n in range(1, int(12e3 / pitch)):
            f = n * pitch * np.sqrt(1 + 6e-5 * n * n)
            a = loud * np.sin(np.pi * n * pick) * np.sin(np.pi * n * 0.07) / n
            a *= 10 ** (tilt * max(np.log2(f / 2e3), 0) / 20)
            life = min(len(out) - first, int(RATE * min(3.0, 900 / f + 0.25)))
            x = clock[:life]
            out[first : first + life] += a * np.exp(-x * (1.2 + f / 600)) * np.sin(2 * np.pi * f * x)
    return out


def record(path, played, henry, loss, rng):
    sound = np.fft.irfft(np.fft.rfft(played) * response(henry, loss, HZ), len(played))
    sound = 0.5 * sound / np.max(np.abs(sound)) + 1e-4 * rng.standard_normal(len(sound))
    with wave.open(path, "wb") as out:
        out.setnchannels(1)
        out.setsampwidth(2)
        out.setframerate(RATE)
        out.writeframes((32767 * np.clip(sound, -1, 1)).astype("<i2").tobytes())


def main(folder, seed, count):
    for i in range(count):
        rng = np.random.default_rng([seed, i])
        here = f"{folder}/{i:03d}"
        os.makedirs(here, exist_ok=True)
        notes = [(0.45 * k, PITCH[rng.integers(6)] * 2 ** (rng.integers(0, 8) / 12)) for k in range(24)]
        henry, loss = np.exp(rng.uniform(np.log(2.2), np.log(8.0))), np.exp(rng.uniform(np.log(200e3), np.log(1.5e6)))
        record(f"{here}/mine.wav", play(notes, rng), 4.5, 500e3, rng)
        record(f"{here}/theirs.wav", play(notes, rng), henry, loss, rng)
        with open(f"{here}/truth.csv", "w") as out:
            out.write(f"{henry:.6g},{resonance(henry, loss):.6g}\n")


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]), int(sys.argv[3]))
