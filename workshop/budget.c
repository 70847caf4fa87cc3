/* SPDX-License-Identifier: ISC */
#include "budget.h"

#include <math.h>

#include "statistics.h"

struct cw_budget cw_budget_of(const struct cw_contribution *contribution, size_t count)
{
    double squares = 0.0, fourths = 0.0;
    for (size_t i = 0; i < count; i++) {
        double square = contribution[i].slope * contribution[i].standard;
        square *= square;
        squares += square;
        fourths += square * square / contribution[i].freedom;
    }
    return (struct cw_budget){sqrt(squares), fourths > 0.0 ? squares * squares / fourths : INFINITY};
}

double cw_budget_expanded(const struct cw_budget *budget, double confidence)
{
    double freedom = budget->freedom >= 1.0 ? floor(budget->freedom) : budget->freedom;
    return budget->standard * cw_student_quantile(0.5 + 0.5 * confidence, freedom);
}
