#!/usr/bin/python3
# SPDX-License-Identifier: ISC
"""Closed instruments as an impedance jig sees them, and a judge of the circuits that are found in them.

Shares no code with the program: inductances come from Bessel functions (SciPy) and coupled loops, the network is
worked out here. Calls:
    simulate_instruments.py make DIR SEED COUNT DB [KIND ...]   DIR/NNN/: full, dark, half, leads .s1p and truth.csv
    simulate_instruments.py judge DIR                           DIR/NNN/told.csv (coilwright fit --csv) against truth
Noise of DB under the source on the voltage behind 100 kohm, 240 points from 50 Hz to 20 kHz.
Kinds: steel, alnico, ferrite, steel-cover, alnico-cover (default all, in turn); second: a second pickup with a
volume of its own is on as well; plain: an inductor with a resistor across it. Parts scatter as normal numbers do: pots 10 %, capacitor 5 %.
"""
import os
import sys

import numpy as np
from scipy.special import jv

MU0 = 4e-7 * np.pi
SERIES = 100e3
KINDS = ["steel", "alnico", "ferrite", "steel-cover", "alnico-cover"]
CURVE_HZ = [200, 1000, 2000, 3000, 4000, 6000, 10000]
LOAD = (600e-12, 1e6)
HZ = np.geomspace(50, 20e3, 240)


class Coil:
    """One pickup at its leads: R, L(f), a leak that is the dielectric's, C."""

    def __init__(self, rng, kind):
        core, _, cover = kind.partition("-")
        self.core = core
        self.ohm = rng.uniform(5e3, 14e3)
        self.henry = rng.uniform(2, 8)
        self.farad = rng.uniform(60e-12, 220e-12)
        self.tan = rng.uniform(0.005, 0.03)
        if core == "steel":
            self.mu, self.sigma, self.radius, length = rng.uniform(100, 500), 5.8e6, rng.uniform(2.2e-3, 2.6e-3), rng.uniform(12e-3, 20e-3)
            self.ratio = rng.uniform(1.5, 2.2)
        elif core == "alnico":
            self.mu, self.sigma, self.radius, length = rng.uniform(2.5, 6), 1.8e6, rng.uniform(2.2e-3, 2.6e-3), rng.uniform(14e-3, 20e-3)
            self.ratio = rng.uniform(1.15, 1.4)
        else:
            self.mu, self.sigma, self.radius, length = 100.0, 1e-3, 2.4e-3, 16e-3
            self.ratio = rng.uniform(1.3, 2.0)
        m = length / (2 * self.radius)
        root = np.sqrt(m * m - 1)
        self.n = (m / root * np.log(m + root) - 1) / (m * m - 1)
        self.plain = rng.uniform(6e5, 3e6) if kind == "plain" else 0
        self.loops = []
        if cover:
            self.loops.append((rng.uniform(0.05, 0.2), rng.uniform(3e3, 15e3)))
        if cover and rng.random() < 0.5:
            self.loops.append((rng.uniform(0.02, 0.08), rng.uniform(1e3, 6e3)))

    def apparent(self, hz):
        k = (1 - 1j) * np.sqrt(2 * np.pi * hz * MU0 * self.mu * self.sigma / 2)
        ka = k * self.radius
        mu = np.where(hz > 0, self.mu * 2 * jv(1, ka + 1e-30) / ((ka + 1e-30) * jv(0, ka)), self.mu)
        return mu / (1 + self.n * (mu - 1))

    def inductance(self, hz):
        hz = np.asarray(hz, float)
        dc = self.mu / (1 + self.n * (self.mu - 1))
        share = (self.ratio - 1) / (dc - 1)
        rod = self.henry / self.ratio * (1 + share * (self.apparent(np.maximum(hz, 1e-6)) - 1))
        if self.plain:
            return self.henry / (1 + 2j * np.pi * hz * self.henry / self.plain)
        fall = rod / self.henry
        for part, corner in self.loops:
            x = 1j * hz / corner
            rod = rod - self.henry * part * fall * x / (1 + x)
        return rod

    def branch(self, hz):
        return self.ohm + 2j * np.pi * hz * self.inductance(hz)

    def capacitor(self, hz):
        # lossless at 0 Hz, loss factor tan; constant over the band
        return 2j * np.pi * hz * self.farad * (1 - 1j * self.tan)

    def loss(self, hz):
        """ohm across the inductance at one frequency, the dielectric's with it as no impedance parts them"""
        g = (1 / (2j * np.pi * hz * self.inductance(hz))).real + 2 * np.pi * hz * self.farad * self.tan
        return 1 / g


class Instrument:
    def __init__(self, rng, kind):
        self.coil = Coil(rng, "steel" if kind == "second" else kind)
        self.second = Coil(rng, "steel") if kind == "second" else None
        part = lambda nominal, spread: nominal * np.exp(spread * rng.standard_normal())
        self.volume, self.tone, self.cap = part(500e3, 0.1), part(500e3, 0.1), part(22e-9, 0.05)
        self.second_pot = part(500e3, 0.1)

    def hot(self, hz, tone):
        return 1 / (tone * self.tone + 1 / (2j * np.pi * hz * self.cap)) + self.coil.capacitor(hz)

    def beside(self, hz):
        """the other pickup at the jack, its own volume at 10"""
        return 1 / self.second.branch(hz) + self.second.capacitor(hz) + 1 / self.second_pot if self.second else 0

    def impedance(self, hz, volume=1.0, tone=1.0):
        z = 1 / (1 / self.coil.branch(hz) + self.hot(hz, tone)) + (1 - volume) * self.volume
        return 1 / (1 / z + 1 / (volume * self.volume) + self.beside(hz))

    def leads(self, hz):
        return 1 / (1 / self.coil.branch(hz) + self.coil.capacitor(hz))

    def response(self, hz, bare):
        farad, ohm = LOAD
        y = 2j * np.pi * hz * farad + 1 / ohm
        y = y + (self.coil.capacitor(hz) if bare else self.hot(hz, 1.0) + 1 / self.volume)
        return 20 * np.log10(np.abs(1 / (1 + self.coil.branch(hz) * y)))


def write_take(path, z, rng, db):
    m = z / (z + SERIES)
    sigma = 10 ** (-db / 20)
    m = m + sigma / np.sqrt(2) * (rng.standard_normal(len(m)) + 1j * rng.standard_normal(len(m)))
    z = SERIES * m / (1 - m)
    error = np.hypot(sigma * np.abs(1 / m + 1 / (1 - m)), 3e-4)
    with open(path, "w") as out:
        out.write("# Hz Z RI R 1\n")
        for f, v, e in zip(HZ, z, error):
            out.write(f"{f:.9g} {v.real:.12g} {v.imag:.12g} ! +-{100 * e:.3g} %\n")


def make(folder, seed, count, db, kinds):
    for i in range(count):
        rng = np.random.default_rng([seed, i])
        kind = kinds[i % len(kinds)]
        one = Instrument(rng, kind)
        here = f"{folder}/{i:03d}"
        os.makedirs(here, exist_ok=True)
        half = rng.uniform(0.07, 0.2)
        takes = {"full": one.impedance(HZ), "dark": one.impedance(HZ, tone=0.0), "half": one.impedance(HZ, half), "leads": one.leads(HZ)}
        for name, z in takes.items():
            write_take(f"{here}/{name}.s1p", z, rng, db)
        c = one.coil
        truth = {"resistance": c.ohm, "l_120": c.inductance(120.0).real, "l_3k": c.inductance(3e3).real, "loss": c.loss(3e3),
                 "capacitance": c.farad, "volume_pot": one.volume, "tone_pot": one.tone, "tone_cap": one.cap}
        for f in CURVE_HZ:
            truth[f"own@{f}"] = one.response(f, False)
            truth[f"bare@{f}"] = one.response(f, True)
        with open(f"{here}/truth.csv", "w") as out:
            out.write(f"kind,{kind}\n")
            for name, value in truth.items():
                out.write(f"{name},{float(value):.9g}\n")


def table(path):
    return {row[0]: row[1:] for row in (line.strip().split(",") for line in open(path)) if len(row) > 1}


def judge(folder):
    held, off, doubted, count, worst = {}, {}, {}, {}, {}
    for here in sorted(os.listdir(folder)):
        told, truth = table(f"{folder}/{here}/told.csv"), table(f"{folder}/{here}/truth.csv")
        kind = truth.pop("kind")[0]
        count[kind] = count.get(kind, 0) + 1
        doubted[kind] = doubted.get(kind, 0) + (told["doubt"][0] != "0")
        for name, (value,) in truth.items():
            if name not in told:
                continue
            v, low, high = (float(x) for x in told[name][:3])
            good = low <= float(value) <= high
            held.setdefault(name, []).append(good)
            off.setdefault(name, {}).setdefault(kind, []).append(v - float(value) if "@" in name else np.log(v / float(value)))
            if name.startswith("own@"):
                w = worst.setdefault(kind, {})
                w[here] = max(w.get(here, 0), abs(v - float(value)))
    for name, h in held.items():
        with np.errstate(invalid="ignore"):  # a loss that is none
            spread = " ".join(f"{k}:{np.mean(v):+.3g}/{np.std(v):.2g}" for k, v in off[name].items())
        print(f"{name}: held {100 * np.mean(h):.1f} of 100; {spread}")
    for kind in count:
        w = np.array(list(worst[kind].values()))
        limit = 0.15 if "cover" in kind else 0.05
        print(f"{kind}: doubted {doubted[kind]} of {count[kind]}; own response within {limit} dB in {100 * np.mean(w <= limit):.0f} of 100, worst {w.max():.3f} dB")


if __name__ == "__main__":
    if sys.argv[1] == "make":
        make(sys.argv[2], int(sys.argv[3]), int(sys.argv[4]), float(sys.argv[5]), sys.argv[6:] or KINDS)
    else:
        judge(sys.argv[2])
