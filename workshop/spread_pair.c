/* SPDX-License-Identifier: ISC */
#include "spread_pair.h"

#include <math.h>

#include "audible.h"
#include "transfer.h"

static void levels_of(const struct cw_spread *spread, const struct cw_deviation *deviation,
                      double level[CW_AUDIBLE_BANDS])
{
    double figure[CW_SPREAD_FIGURES];
    struct cw_transfer h;
    cw_spread_figures(spread, deviation, figure, &h);
    cw_audible_levels(&h, level);
}

void cw_pair_draw(const struct cw_spread *one, const struct cw_spread *two, uint64_t seed, uint64_t number,
                  struct cw_pair *pair)
{
    struct cw_deviation first, second;
    double a[CW_AUDIBLE_BANDS], b[CW_AUDIBLE_BANDS], other_a[CW_AUDIBLE_BANDS], other_b[CW_AUDIBLE_BANDS];
    cw_spread_draw(seed, number, &first);
    cw_spread_draw_other(seed, number, 1, &first, &second);
    levels_of(one, &first, a);
    levels_of(two, &second, b);
    levels_of(one, &second, other_a);
    levels_of(two, &first, other_b);
    pair->apart = cw_audible_of(b, a).times;
    pair->same_apart = fmax(cw_audible_of(other_a, a).times, cw_audible_of(other_b, b).times);
}

struct cw_pairs_found cw_pairs_found_of(const struct cw_pair *pair, size_t count, double *work)
{
    struct cw_pairs_found found = {0.0, 0.0, 0.0, 0.0};
    for (size_t i = 0; i < count; i++) {
        work[i] = pair[i].same_apart;
        found.heard += (pair[i].apart >= 1.0) / (double)count;
        found.same_heard += (pair[i].same_apart >= 1.0) / (double)count;
    }
    double most = cw_spread_found_of(work, count).most;
    for (size_t i = 0; i < count; i++) {
        work[i] = pair[i].apart;
        found.beyond += (pair[i].apart > most) / (double)count;
    }
    found.middle = cw_spread_found_of(work, count).middle;
    return found;
}

const char *cw_pairs_words(const struct cw_pairs_found *found)
{
    const double nearly_all = 0.95, most = 0.5;
    if (found->heard < most) {
        return "not heard: most pairs sound alike, whatever the bench says";
    }
    if (found->beyond < most) {
        return "heard, but no more than between two of one design: it drowns in the scatter";
    }
    if (found->heard < nearly_all || found->beyond < nearly_all) {
        return "heard in most pairs, but some pairs of one design are as far apart";
    }
    return "heard, and it stands out of the scatter";
}
