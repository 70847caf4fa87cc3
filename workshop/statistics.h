/* SPDX-License-Identifier: ISC */
/** \file statistics.h
 * Samples and the distributions that judge them; constants of control charts are worked out from these, not typed.
 *
 * Threading class: pure functions, any thread; no allocation.
 */
#ifndef CW_STATISTICS_H
#define CW_STATISTICS_H

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Arithmetic mean; 0 of nothing. A second pass takes away what rounding left of the first. */
double cw_mean(const double *value, size_t count);

/** Standard deviation of a sample, with count - 1, by two passes (T. F. Chan, G. H. Golub and R. J. LeVeque, Am.
 * Stat. 37(3), 1983): exact where a mean is large against it. 0 of fewer than two. */
double cw_deviation(const double *value, size_t count);

/** Autocorrelation of neighbours: sum of (x_i - mean)(x_i+1 - mean) over that of (x_i - mean)^2. 0 where nothing
 * varies. */
double cw_autocorrelation(const double *value, size_t count);

/** Put values into rising order. */
void cw_sort(double *value, size_t count);

/** The value below which a share of a rising sample lies, between two by their distance (type 7 of R. J. Hyndman
 * and Y. Fan, Am. Stat. 50(4), 1996). \param count 1 or more \param share 0 to 1 */
double cw_quantile(const double *rising, size_t count, double share);

/** Normal distribution: probability below \p z, and where it reaches \p probability (0 to 1, neither included). */
double cw_normal(double z);
double cw_normal_quantile(double probability);

/** Student's distribution of \p freedom degrees (above 0, may be infinite): the \p probability quantile. */
double cw_student_quantile(double probability, double freedom);

/** Regularised incomplete gamma function P(a, x), a above 0 (DLMF 8.11.4 and 8.9.2). */
double cw_incomplete_gamma(double a, double x);

/** Chi-square of \p freedom degrees: the \p probability quantile. */
double cw_chi_square_quantile(double probability, double freedom);

/** Range of \p n normal numbers of standard deviation 1, 2 to 50: its mean (d2) and its standard deviation (d3), by
 * the density of the range (L. H. C. Tippett, Biometrika 17, 1925). */
struct cw_range_of {
    double d2, d3;
};
struct cw_range_of cw_range_of_normals(int n);

/** Mean of the standard deviation of a sample of \p n over that of the whole: c4, n 2 or more. */
double cw_c4(int n);

#ifdef __cplusplus
}
#endif
#endif
