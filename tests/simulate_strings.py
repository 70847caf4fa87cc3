#!/usr/bin/python3
# SPDX-License-Identifier: ISC
"""Computed strings through a pickup of two coils, full and split, and the plugin's preview of the split.

Ideal strings with fixed ends (textbook): partial n of a note of f0 moves at the distance x from the bridge as
sin(2 pi n f0 x / c), c = 2 x scale x open pitch; power of the partials n^-2. Six strings in equal temperament (A4 440 Hz), frets 0 to
12, one after the other (the spectrum of a pluck is common practice, no source). The network is a nodal matrix of complex admittances, written here and sharing no code with
the program: two coils of R + L, loss across L and C across all, coupled by M; pots at 10, cable, input.

What the full pickup gives is played through the plugin as `recorded` (job 12, full), the split as candidate A,
with coils in place and without; its levels in third octaves (base ten, IEC 61260-1, from memory) from 100 Hz to 8 kHz
are held against those of the same strings taken through the split network itself: within 1.5 dB on the mean, and nearer
than by the network alone.

usage: simulate_strings.py FOLDER [all] [-v]    needs lv2file, numpy and scipy; LV2_PATH as for any host
"""
import subprocess
import sys
import warnings

import numpy as np
from scipy.io import wavfile

RATE, NOTE, SCALE, APART = 48000, 12288, 0.648, 0.018
URI = 'urn:coilwright:voicing'
# Job 12: 4.6 H, 8.2 kOhm, 110 pF, 600 kOhm for both coils, coupling 0.147; equal coils share them.
COUPLING = 0.147
HENRY, OHM, FARAD, LOSS = 4.6 / (2 + 2 * COUPLING), 4100.0, 220e-12, 300e3
POT, TONE_CAP, INPUT, CABLE = 500e3, 22e-9, 1e6, 5 * 100e-12
PORTS = {'coil_from': 0, 'coils': 1, 'inductance': 4.6, 'resistance': 8.2, 'capacitance': 110, 'loss': 600, 'coupling': 0.147,
         'volume': 10, 'volume_pot': 500, 'tone': 10, 'tone_pot': 500, 'tone_cap': 22, 'cable_length': 5,
         'cable_capacitance': 100, 'input_resistance': 1, 'input_capacitance': 0, 'scale_length': 648,
         'coil_distance': 18}
SPLITS = {'resistor 6.8k': (1, 'split_resistor', 6.8), 'tap 49 %': (0, 'split_keep', 49),
          'capacitor 120n': (2, 'split_capacitor', 120)}
PLACES = {'bridge, nearer stays': (0.045, True), 'bridge, farther stays': (0.045, False),
          'neck, nearer stays': (0.155, True)}


def answers(hz, split):
    """The network's answers to the EMF of coil one and of coil two, at each frequency; coil two is the one reduced."""
    s = 2j * np.pi * hz
    kept = split[2] / 100 if split and split[0] == 0 else 1.0
    self = [HENRY, HENRY * kept ** 2]
    mutual = COUPLING * HENRY * kept
    # Unknowns: node hot, node between, node in each coil before L, current of each L.
    out = np.zeros((2, len(hz)), complex)
    for i, p in enumerate(s):
        a = np.zeros((6, 6), complex)
        hot, mid, in1, in2, il1, il2 = range(6)

        def admit(one, two, y):
            for k in (one, two):
                if k is not None:
                    a[k, k] += y
            if one is not None and two is not None:
                a[one, two] -= y
                a[two, one] -= y

        ohm = [OHM, OHM * kept]
        for coil, (top, inner, bottom, current) in enumerate(((hot, in1, mid, il1), (mid, in2, None, il2))):
            share = kept if coil else 1.0
            admit(top, inner, 1 / max(ohm[coil], 1e-9))
            admit(inner, bottom, 1 / (LOSS * share ** 2))
            admit(top, bottom, p * FARAD)
            a[inner, current] += 1
            if bottom is not None:
                a[bottom, current] -= 1
            a[current, inner] += 1
            if bottom is not None:
                a[current, bottom] -= 1
            a[current, current] -= p * self[coil]
            a[current, il2 if coil == 0 else il1] -= p * mutual
        if split and split[0] == 1:
            admit(mid, None, 1 / (split[2] * 1e3))
        elif split and split[0] == 2:
            admit(mid, None, p * split[2] * 1e-9)
        admit(hot, None, 1 / POT + 1 / (POT + 1 / (p * TONE_CAP)) + 1 / INPUT + p * CABLE)
        for coil, (top, inner) in enumerate(((hot, in1), (mid, in2))):
            # An EMF in series with the resistance, as a current beside it.
            emf = kept if coil else 1.0
            b = np.zeros(6, complex)
            b[top] += emf / ohm[coil]
            b[inner] -= emf / ohm[coil]
            out[coil, i] = np.linalg.solve(a, b)[hot]
    return out


def strings(centre, nearer, h):
    """Every note through the answers h(hz) -> (2, n), one after the other."""
    side = -APART / 2 if nearer else APART / 2
    window = np.hanning(NOTE)
    time = np.arange(NOTE) / RATE
    parts = []
    random = np.random.default_rng(1)
    for pitch in 440 * 2 ** (np.array([-5, -10, -14, -19, -24, -29]) / 12):
        speed = 2 * SCALE * pitch
        for fret in range(13):
            f0 = pitch * 2 ** (fret / 12)
            n = np.arange(1, int(12000 / f0) + 1)
            gain = h(n * f0)
            s1 = np.sin(2 * np.pi * n * f0 * (centre + side) / speed)
            s2 = np.sin(2 * np.pi * n * f0 * (centre - side) / speed)
            phase = np.exp(2j * np.pi * random.random(len(n)))
            complex_gain = (gain[0] * s1 + gain[1] * s2) / n * phase
            waves = np.exp(2j * np.pi * np.outer(n * f0, time))
            parts.append(window * (complex_gain @ waves).real)
    return np.concatenate(parts)


def table_of(split):
    """Answers by interpolation over a fine grid, since a note asks for many partials."""
    grid = np.geomspace(60, 12500, 3000)
    h = answers(grid, split)
    return lambda hz: np.array([np.interp(np.log(hz), np.log(grid), x.real) + 1j * np.interp(np.log(hz), np.log(grid), x.imag)
                                for x in h])


def thirds(x):
    power = np.abs(np.fft.rfft(x)) ** 2
    hz = np.fft.rfftfreq(len(x), 1 / RATE)
    centres = 1000 * 10 ** (np.arange(-10, 10) / 10)
    return centres, np.array([10 * np.log10(power[(hz >= c * 10 ** -0.05) & (hz < c * 10 ** 0.05)].sum()) for c in centres])


def preview(folder, recording, split, centre, nearer, placed):
    wavfile.write(folder + '/in.wav', RATE, (0.05 * recording).astype(np.float32))
    command = ['lv2file', '-i', folder + '/in.wav', '-o', folder + '/out.wav', '-p', 'string_places:%d' % placed, '-p', 'listen:1']
    values = dict(PORTS, bridge_distance=1000 * centre, near_coil=0 if nearer else 1)
    for prefix in ('a_', 'rec_'):
        for symbol, value in values.items():
            command += ['-p', '%s%s:%g' % (prefix, symbol, value)]
    command += ['-p', 'a_split:1', '-p', 'a_split_coil:0', '-p', 'a_split_by:%d' % split[0], '-p', 'a_%s:%g' % split[1:], URI]
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    return wavfile.read(folder + '/out.wav')[1].astype(float) / 0.05


def main():
    folder, everything = sys.argv[1], 'all' in sys.argv[2:]
    warnings.simplefilter('ignore', wavfile.WavFileWarning)  # chunks of its own in what lv2file writes
    full = table_of(None)
    failed = False
    for name, split in SPLITS.items() if everything else list(SPLITS.items())[:1]:
        through_split = table_of(split)
        for place, (centre, nearer) in PLACES.items() if everything else list(PLACES.items())[:1]:
            recording, truth = strings(centre, nearer, full), strings(centre, nearer, through_split)
            centres, wanted = thirds(truth)
            miss = []
            for placed in (1, 0):
                got = preview(folder, recording, split, centre, nearer, placed)
                miss.append(thirds(got[:len(truth)])[1] - wanted)
            mean = [np.abs(m).mean() for m in miss]
            print('%s, %s: mean |miss| %.2f dB in place, %.2f dB by the network alone; worst %.1f dB at %.0f Hz and %.1f dB at %.0f Hz'
                  % ((name, place, *mean) + tuple(x for m in miss for x in (m[np.abs(m).argmax()], centres[np.abs(m).argmax()]))))
            if '-v' in sys.argv:
                for c, a, b in zip(centres, *miss):
                    print('  %6.0f Hz %+6.2f %+6.2f' % (c, a, b))
            failed = failed or not (mean[0] <= 1.5 and mean[0] < mean[1])
    return failed


if __name__ == '__main__':
    sys.exit(main())
