/* SPDX-License-Identifier: ISC */
#include "loudness.h"

#include <assert.h>
#include <math.h>

#include "biquad.h"

/* ITU-R BS.1770-4, tables 1 and 2: coefficients at 48 kHz. */
static const struct cw_biquad k_shelf = {1.53512485958697, -2.69169618940638, 1.19839281085285, -1.69065929318241,
                                         0.73248077421585};
static const struct cw_biquad k_highpass = {1.0, -2.0, 1.0, -1.99004745483398, 0.99007225036621};

double cw_loudness_k_power(double hz)
{
    return cw_biquad_power(&k_shelf, hz, 48000.0) * cw_biquad_power(&k_highpass, hz, 48000.0);
}

/* Centre frequency and weight of each band, worked out once so that the audio thread need not: long-term
 * spectrum (equal up to 630 Hz, from there falling 9 dB an octave) times K-weighting, all bands together 1.
 * tests/test_loudness.c works them out anew. */
static const struct {
    double hz, weight;
} bands[CW_LOUDNESS_BANDS] = {
    {79.43282347242814, 0.064390368089333447},    {100, 0.074293669123707204},
    {125.89254117941672, 0.081765359606809182},   {158.48931924611134, 0.087078178670236164},
    {199.52623149688799, 0.090712297606264855},   {251.188643150958, 0.093153525059663553},
    {316.22776601683796, 0.094822534048007903},   {398.10717055349721, 0.096096841938399208},
    {501.18723362727224, 0.097413299247471233},   {630.95734448019323, 0.099495348084922094},
    {794.32823472428151, 0.052028204068024525},   {1000, 0.028449330865764011},
    {1258.9254117941673, 0.016632983911001393},   {1584.8931924611136, 0.010224043195752619},
    {1995.2623149688795, 0.0061763041819353597},  {2511.8864315095802, 0.003491852291915547},
    {3162.2776601683795, 0.0018595590486742745},  {3981.0717055349724, 0.00095709386239330348},
    {5011.8723362727224, 0.0004849195328268382},  {6309.573444801933, 0.00024407496361723483},
    {7943.2823472428154, 0.00012252655368640572}, {10000, 6.1445465512765995e-05},
    {12589.254117941675, 3.080202960194061e-05},  {15848.931924611134, 1.5438554479287541e-05},
};

double cw_loudness_centre(int band)
{
    assert(band >= 0 && band < CW_LOUDNESS_BANDS);
    return bands[band].hz;
}

double cw_loudness_weight(int band)
{
    assert(band >= 0 && band < CW_LOUDNESS_BANDS);
    return bands[band].weight;
}

double cw_loudness_of_bands(const double power[CW_LOUDNESS_BANDS])
{
    double sum = 0.0;
    for (int i = 0; i < CW_LOUDNESS_BANDS; i++) {
        sum += bands[i].weight * power[i];
    }
    return sum > 1e-20 ? 10.0 * log10(sum) : -200.0;
}

double cw_loudness_of(const struct cw_transfer *candidate, const struct cw_transfer *recorded)
{
    double power[CW_LOUDNESS_BANDS];
    for (int i = 0; i < CW_LOUDNESS_BANDS; i++) {
        power[i] = cw_transfer_power(candidate, bands[i].hz);
        if (recorded) {
            power[i] /= cw_transfer_power(recorded, bands[i].hz);
        }
    }
    return cw_loudness_of_bands(power);
}

double cw_loudness_against(const struct cw_transfer *h, const struct cw_transfer *against)
{
    return cw_loudness_of(h, NULL) - cw_loudness_of(against, NULL);
}
