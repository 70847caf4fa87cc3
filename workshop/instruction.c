/* SPDX-License-Identifier: ISC */
#include "instruction.h"

#include <stdio.h>

const char *const cw_instruction_heading[CW_INSTRUCTION_PARTS] = {
    [CW_INSTRUCTION_JIG] = "The jig",
    [CW_INSTRUCTION_TAKES] = "The takes: play the sweep, record both channels",
    [CW_INSTRUCTION_LEVELS] = "Levels",
    [CW_INSTRUCTION_HUM] = "Hum",
    [CW_INSTRUCTION_EXCITER] = "With an exciter coil, where the fall of the EMF through core and cover counts",
    [CW_INSTRUCTION_COMMAND] = "Then",
    [CW_INSTRUCTION_CAUTIONS] = "Cautions",
};

/* Levels and turning the instrument in the hum are common practice, no source; so are the cautions. */
const struct cw_instruction_line cw_instruction_line[] = {
    {CW_INSTRUCTION_JIG, "",
     "Output of the interface, a resistor of 47 k to 100 k, a node, the plug of a short cable. Channel 1 hears the "
     "output before the resistor, by a line input; channel 2 hears the node, by an instrument input (1 M). All sleeves "
     "are joined, and nothing else is connected. The instrument's controls stand as they are to be known. Neither the "
     "resistor nor the inputs need be known: two of the takes tell them."},
    {CW_INSTRUCTION_TAKES, "open.wav", "The plug hangs free; its cable stays on for all that follows."},
    {CW_INSTRUCTION_TAKES, "known.wav", "A resistor of about 100 k across the plug, read from an ohmmeter before."},
    {CW_INSTRUCTION_TAKES, "check.wav",
     "Another, of about 22 k, read likewise: it finds a wrong reading. May be left out."},
    {CW_INSTRUCTION_TAKES, "silent.wav",
     "The instrument is plugged in and nothing is played, for as long as the sweep takes: it tells hum and noise."},
    {CW_INSTRUCTION_TAKES, "take.wav",
     "The instrument is plugged in, the sweep is played. Again with tone at 0, and with volume at half, at the same "
     "gains: three takes tell most."},
    {CW_INSTRUCTION_LEVELS, "",
     "The same gains throughout. Highest sample of channel 1 between -20 and -6 dBFS, no sample of either channel at "
     "full scale, in the open take too. 0.1 to 1 V at the output is right. A coil with a core depends on the level: a "
     "take 12 dB lower must give the same inductance at 120 Hz within 0.5 %; where it does not, stay with the lower. "
     "No effect, monitor mix, automatic gain or sound of the operating system in the way; one clock for both ways."},
    {CW_INSTRUCTION_HUM, "",
     "Hum, not noise, is the limit. Keep away from transformers, lamps, dimmers and screens, lay the instrument down, "
     "turn it where channel 2 hums least, and leave it there for silent.wav and take.wav."},
    {CW_INSTRUCTION_EXCITER, "exciter.wav",
     "A coil of some 50 turns on a former of about 10 mm lies over the pickup, fed by the output through 1 k, far "
     "above "
     "its reactance, so that its current follows the output. Channel 1 hears the output, channel 2 the instrument's "
     "jack."},
    {CW_INSTRUCTION_EXCITER, "loaded.wav",
     "The same with a known capacitor of 470 pF across the plug, nothing moved: one load alone tells nothing "
     "absolute."},
    {CW_INSTRUCTION_COMMAND, "",
     "coilwright measure --open open.wav --known known.wav --known-value 99.8k --check check.wav --check-value 22.1k "
     "--silent silent.wav -o full.s1p take.wav"},
    {CW_INSTRUCTION_CAUTIONS, "", "Passive instruments only: electronics may not bear what comes in."},
    {CW_INSTRUCTION_CAUTIONS, "",
     "Nothing of the mains in the circuit but the interface's own supply. Never connect the jig to the output or to "
     "the inside of an amplifier: charge stays there when it is off. Work on mains equipment is for licensed people; "
     "local rules hold."},
    {CW_INSTRUCTION_CAUTIONS, "",
     "The sweep is loud: switch loudspeakers and headphones off before it plays. Phantom power off at both inputs."},
    {CW_INSTRUCTION_CAUTIONS, NULL, NULL},
};

const char *cw_instruction_title(const struct cw_instruction_sweep *sweep, char *text, size_t size)
{
    snprintf(text, size, "%s%s20 Hz to 20 kHz in %g s at %.0f Hz, peak %g dBFS", sweep->file ? sweep->file : "Sweep",
             ": ", sweep->seconds, sweep->rate, sweep->dbfs);
    return text;
}
