/* SPDX-License-Identifier: ISC */
/** \file plot_model.h
 * The picture of responses: one routine draws to the window, PNG, SVG and PDF.
 *
 * The model (struct cw_plot) holds the values that are drawn; whoever fills it calls the core's
 * own response functions, so what is seen is what is heard. cw_plot_draw() only reads the model.
 *
 * Threading class: one thread at a time for each model and surface; not the audio thread
 * (drawing allocates). The functions of plot_model.c do not allocate.
 */
#ifndef CW_PLOT_MODEL_H
#define CW_PLOT_MODEL_H

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

enum {
    CW_PLOT_CURVES = 64,  /**< most curves of a plot */
    CW_PLOT_POINTS = 601, /**< frequencies of a curve: 200 steps a decade */
    CW_PLOT_TEXT = 128,   /**< bytes of a label or title, with the end */
    CW_PLOT_DIRECT = 8    /**< most curves that are labelled at the curve; more go to a legend */
};

/** Ends of the frequency axis, Hz. */
#define CW_PLOT_HZ_LOW 20.0
#define CW_PLOT_HZ_HIGH 20000.0

/** What the vertical axis shows. */
enum cw_plot_axis {
    CW_PLOT_LEVEL,      /**< dB */
    CW_PLOT_DIFFERENCE, /**< dB, 0 always in view */
    CW_PLOT_IMPEDANCE,  /**< ohm, logarithmic; values in ohm */
    CW_PLOT_PHASE       /**< degrees */
};

/** One curve. */
struct cw_plot_curve {
    char label[CW_PLOT_TEXT];
    double value[CW_PLOT_POINTS]; /**< at cw_plot_hz(i); not finite where there is nothing to draw */
    int style;                    /**< colour and line style: 0 solid, 1 dashed ...; any int; goes round */
    bool faint;                   /**< drawn thinner, for what stands behind the matter */
    bool peak;                    /**< mark the peak */
    double peak_hz;
    double peak_value; /**< height at the peak on the axis of the plot */
    double peak_over;  /**< dB over the level at low frequency, for the marker's text */
};

/** Two spectra that stand behind the curves: what goes in, filled, and what comes out, as a line. */
struct cw_plot_ground {
    double height[2][CW_PLOT_POINTS]; /**< at cw_plot_hz(i), 0 foot to 1 top of the plot */
};

enum { CW_PLOT_PARTIALS = 256, CW_PLOT_COMBS = 2 };

/** Partials of one string beside a smooth curve: each a mark, joined to the curve by a stem. */
struct cw_plot_partials {
    int count; /**< 0: none */
    int curve; /**< of struct cw_plot, that they belong to */
    double hz[CW_PLOT_PARTIALS], value[CW_PLOT_PARTIALS];
};

/** Everything that is drawn. */
struct cw_plot {
    char title[CW_PLOT_TEXT];
    char note[CW_PLOT_TEXT]; /**< a smaller line beside the title */
    enum cw_plot_axis axis;
    bool dark;        /**< for a window; light is for print */
    bool bare;        /**< no legend, and no readout beside the crosshair: their words stand elsewhere */
    bool fixed_range; /**< low and high are given; else they follow the curves */
    double low, high; /**< ends of the vertical axis, where fixed */
    const struct cw_plot_ground *ground; /**< the caller's; NULL for none */
    size_t count;
    struct cw_plot_curve curve[CW_PLOT_CURVES];
    struct cw_plot_partials partials[CW_PLOT_COMBS];
    bool crosshair;
    double crosshair_hz;
};

/** The vertical axis as drawn. */
struct cw_plot_range {
    double low, high;
    double step; /**< between lines; 0 on the logarithmic axis */
};

/** Where the curves are on the page. */
struct cw_plot_frame {
    double x, y, width, height;
    struct cw_plot_range range;
    enum cw_plot_axis axis;
};

/** \name The model (plot_model.c)
 * @{ */
/** Empty, light, level axis. */
void cw_plot_clear(struct cw_plot *plot);
/** Frequency of a point, Hz. */
double cw_plot_hz(int point);
/** Copy text to a label or title: what is not UTF-8 or printable is shown as '?', and what is too
 * long ends in an ellipsis. */
void cw_plot_text(char to[CW_PLOT_TEXT], const char *from);
/** Add a curve with its label and the next style; its values are 0. NULL when there are
 * CW_PLOT_CURVES already. */
struct cw_plot_curve *cw_plot_add(struct cw_plot *plot, const char *label);
/** Value of a curve at any frequency of the axis, between points along a straight line. */
double cw_plot_value(const struct cw_plot_curve *curve, double hz);
/** The vertical axis for a frame of the given height in unscaled pixels. */
struct cw_plot_range cw_plot_range_of(const struct cw_plot *plot, double height);
/** Place on the page of a frequency or a value, and back. */
double cw_plot_x(const struct cw_plot_frame *frame, double hz);
double cw_plot_y(const struct cw_plot_frame *frame, double value);
double cw_plot_hz_at(const struct cw_plot_frame *frame, double x);
/** @} */

#ifdef __cplusplus
}
#endif
#endif
