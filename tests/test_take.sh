#!/bin/bash
# SPDX-License-Identifier: ISC
# coilwright take at the command line: recordings made here by arithmetic, whose levels are known (a sine's RMS is its
# peak over the root of two), fit or with a fault each.
. tests/support/commands.sh
need /usr/bin/python3 'no recordings are made' || { counts_done; exit; }
/usr/bin/python3 - <<'END'
import math, struct
def wav(name, samples, channels=1, rate=48000):
    data = b''.join(struct.pack('<h', max(-32768, min(32767, round(32767 * s)))) for s in samples)
    with open(name, 'wb') as file:
        file.write(b'RIFF' + struct.pack('<I', 36 + len(data)) + b'WAVEfmt ' + struct.pack('<IHHIIHH', 16, 1, channels, rate,
                   rate * 2 * channels, 2 * channels, 16) + b'data' + struct.pack('<I', len(data)) + data)
def sine(level, seconds, hz=220.0):
    return [level * math.sin(2 * math.pi * hz * i / 48000) for i in range(int(seconds * 48000))]
good = [0.0] * 96000 + sine(0.35, 8)
wav('good.wav', good)
wav('clipped.wav', [0.0] * 48000 + sine(2.0, 3))
wav('hum.wav', [x + h for x, h in zip(good, sine(0.05, 10, 50.0))])
wav('silent.wav', [0.0] * 96000)
wav('second.wav', [y for x in good for y in (0.0, x)], 2)
END

says 0 'good.wav: 10.0 s at 48000 Hz, peak -9 dB, playing -12 dB' take good.wav
says 0 'Fit to compare candidates with.' take good.wav
says 1 'Cut off at full scale' take clipped.wav
says 1 'Mains hum of 50 Hz, 17 dB under the playing' take hum.wav
says 1 'Silent: nothing louder than 70 dB under full scale' take silent.wav
says 1 'expected a mono recording, found 2 channels' take second.wav
says 0 'Fit to compare' take second.wav --channel 2
says 1 'Silent' take second.wav --channel 1
says 1 'expected a channel from 1 to 2, found 3' take second.wav --channel 3
says 1 'nothing.wav: cannot read' take nothing.wav
says 2 'expected one FILE or none, found several' take good.wav hum.wav
says 2 '--channel is of a recording' take --channel 1
says 1 '' take clipped.wav -o said.txt
check 'what is written to a file is not what is said' bash -c '"$0" take clipped.wav | cmp - said.txt' "$coilwright"
says 1 'said.txt' take good.wav -o said.txt
says 0 'RECORDING FOR A PICKUP COMPARISON' take
counts_done
