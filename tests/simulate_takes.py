#!/usr/bin/python3
# SPDX-License-Identifier: ISC
"""Recordings of the measuring sweep as an interface would make them, and a judge of what comes of them.

Shares no code with the program: the instrument is worked out from Bessel functions (SciPy), the takes by
the FFT of the sweep file. Calls:
    simulate_takes.py make SWEEP.wav DIR [KEY=VALUE ...]   open, known, check, silent and take .wav
    simulate_takes.py exciter SWEEP.wav DIR [KEY=VALUE ...]  silent, exciter and loaded (470 pF) .wav of an exciter coil
    simulate_takes.py transfer T.csv                         worst error against it, dB and degrees; frequencies
    simulate_takes.py judge Z.s1p [LOW HIGH [HZ]]             worst error against the instrument, dB and degrees;
                                                           HZ: this far from harmonics of 50 Hz
Keys: noise (dBFS, -100), hum (mV, 0), ppm (clock of the input against the output), latency (s), lead (s that
recording runs before the file plays, 0.3), invert,
swap (channels), drop (samples lost), gain (of channel 2), clip, rate, volume and tone (shares of the tracks, 1),
choke (a choke of 100 mH, 60 ohm, 80 pF and 60 kohm of loss instead of the instrument).
"""
import sys

import numpy as np
from scipy.io import wavfile
from scipy.special import jv

MU0 = 4e-7 * np.pi
FULL_SCALE = 2.0  # volts
SERIES, KNOWN, CHECK = 100075.0, 99800.0, 22100.0


def inductance(hz):
    """A coil of 2.636522 H in air with steel rods: mu 200, 5.8 MS/m, 19.2 x 4.8 mm, 6.1 % of its area."""
    w = 2 * np.pi * hz
    k = (1 - 1j) * np.sqrt(w * MU0 * 200 * 5.8e6 / 2)
    ka = k * 2.4e-3
    mu = np.where(hz > 0, 200 * 2 * jv(1, ka) / (ka * jv(0, ka) + (hz == 0)), 200)
    n = 0.0754072427338588
    apparent = mu / (1 + n * (mu - 1))
    return 2.636522 * (1 + 0.06148561480 * (apparent - 1))


def instrument(hz, volume=1.0, tone=1.0):
    """At the jack: coil of 8 k and 120 pF, volume 500k and tone 500k with 22 nF, as shares of their tracks."""
    s = 2j * np.pi * hz
    coil = 8000 + s * inductance(hz)
    y = 1 / coil + s * 120e-12 + 1 / (tone * 500e3 + 1 / (s * 22e-9))
    return 1 / (1 / (1 / y + (1 - volume) * 500e3) + 1 / (volume * 500e3))


def node(z, hz):
    s = 2j * np.pi * hz
    y = 1 / 1e6 + s * 350e-12 + (0 if z is None else 1 / z)
    return 1.03 / (1 + SERIES * y)


def exciter(hz, added):
    """Jack over the exciter's current, by the core: the EMF falls as the inductance does. Volume and tone at 10."""
    s = 2j * np.pi * hz
    jack = 1 / 1e6 + s * (350e-12 + added) + 1 / 500e3 + 1 / (500e3 + 1 / (s * 22e-9))
    coil = 8000 + s * inductance(hz)
    return 3e-5 * s * inductance(hz) / 4.5 / (1 + coil * (s * 120e-12 + jack))


def make(sweep_file, folder, keys, by_exciter=False):
    rate, played = wavfile.read(sweep_file)
    played = played.astype(float) / 2.0**31 if played.dtype.kind == "i" else played.astype(float)
    latency = float(keys.get("latency", 0.1))
    ppm = float(keys.get("ppm", 0)) * 1e-6
    rng = np.random.default_rng(7)
    pad = int((latency + 0.5) * rate)
    x = np.concatenate([np.zeros(int(float(keys.get("lead", 0.3)) * rate)), played, np.zeros(pad)])
    size = 1 << int(np.ceil(np.log2(len(x) * 1.3)))
    hz = np.fft.rfftfreq(size, 1 / rate)
    hz[0] = 1e-3
    spectrum = np.fft.rfft(x, size)
    out = len(x)

    def channel(h):
        y = np.fft.irfft(spectrum * h * np.exp(-2j * np.pi * hz * latency), size)[:out]
        if ppm:
            at = np.arange(int(out / (1 + ppm)) - 64) * (1 + ppm)
            whole = np.floor(at).astype(int)
            part = at - whole
            taps = np.arange(-31, 33)
            kernel = np.sinc(part[:, None] - taps) * np.kaiser(64, 9)
            y = (np.pad(y, (31, 64))[whole[:, None] + taps + 31] * kernel).sum(1)
        return y

    def noise(n, silent_z):
        y = 10 ** (float(keys.get("noise", -100)) / 20) * rng.standard_normal(n)
        hum = float(keys.get("hum", 0)) * 1e-3 / FULL_SCALE
        if hum and silent_z:
            t = np.arange(n) / rate
            y = y + hum * sum(np.sin(2 * np.pi * 50.003 * k * t + k) / k for k in range(1, 20))
        return y

    def write(name, h, silent=False):
        gain = float(keys.get("gain", 1))
        one = channel(np.ones_like(hz))
        two = channel(gain * h)
        if silent:
            one, two = 0 * one, 0 * two
        one = one + noise(len(one), False)
        two = two + noise(len(two), name in ("silent", "take", "exciter", "loaded"))
        if "invert" in keys:
            two = -two
        if "swap" in keys:
            one, two = two, one
        if "drop" in keys and name == "take":
            lost = int(keys["drop"])
            middle = len(one) // 2
            one, two = (np.delete(c, slice(middle, middle + lost)) for c in (one, two))
        if "clip" in keys:
            one, two = (np.clip(c * 4, -1, 1 - 2.0**-23) for c in (one, two))
        stereo = np.stack([one, two], 1)
        wavfile.write(f"{folder}/{name}.wav", rate, np.clip(stereo, -1, 1).astype(np.float32))

    if by_exciter:
        write("silent", 0 * hz, silent=True)
        write("exciter", exciter(hz, 0))
        write("loaded", exciter(hz, 470e-12))
        return
    write("open", node(None, hz))
    write("known", node(np.full_like(hz, KNOWN), hz))
    write("check", node(np.full_like(hz, CHECK), hz))
    if "choke" in keys:
        z = 60 + 2j * np.pi * hz * 0.1 / (1 + 2j * np.pi * hz * 0.1 / 60e3)
        z = z / (1 + z * 2j * np.pi * hz * 80e-12)
    else:
        z = instrument(hz, float(keys.get("volume", 1)), float(keys.get("tone", 1)))
    write("silent", 0 * hz, silent=True)
    write("take", node(z, hz))


def judge(path, low, high, between=0.0):
    rows = np.array([[float(v) for v in line.split("!")[0].split()] for line in open(path) if line[0] not in "!#"])
    rows = rows[(rows[:, 0] >= low) & (rows[:, 0] <= high)]
    if between:  # only what stands at least this far, Hz, from the harmonics of 50 Hz
        rows = rows[np.abs((rows[:, 0] + 25) % 50 - 25) > between]
    ratio = (rows[:, 1] + 1j * rows[:, 2]) / instrument(rows[:, 0])
    print(f"{np.abs(20 * np.log10(np.abs(ratio))).max():.4f} {np.abs(np.degrees(np.angle(ratio))).max():.4f}")


def transfer(path):
    rows = np.array([[float(v) for v in line.split(",")] for line in open(path) if line[0].isdigit()])
    rows = rows[(rows[:, 0] >= 60) & (rows[:, 0] <= 15000)]
    t = 10 ** (rows[:, 1] / 20) * np.exp(1j * np.radians(rows[:, 2]))
    ratio = t / np.array([exciter(f, c) for f, c in rows[:, [0, 4]]])
    ratio *= np.sign(ratio.real.mean())  # polarity is not known
    half = len(rows) // 2
    print(f"{np.abs(20 * np.log10(np.abs(ratio))).max():.4f} {np.abs(np.degrees(np.angle(ratio))).max():.4f}", half)


if sys.argv[1] in ("make", "exciter"):
    make(sys.argv[2], sys.argv[3], dict((a + "=1").split("=")[:2] for a in sys.argv[4:]), sys.argv[1] == "exciter")
elif sys.argv[1] == "transfer":
    transfer(sys.argv[2])
else:
    judge(sys.argv[2], *(float(v) for v in (sys.argv[3:6] or (60, 15000))))
