/* SPDX-License-Identifier: ISC */
#include "control.h"

#include <math.h>
#include <stdio.h>

#include "acts.h"
#include "quantity.h"

bool cw_control_of(int port, struct cw_control *control)
{
    if (port < CW_PORT_GLOBAL || port >= CW_PORT_METER) {
        return false;
    }
    *control = (struct cw_control){.port = port, .global = port < CW_PORT_PARAM};
    if (control->global) {
        control->id = port - CW_PORT_GLOBAL;
        control->info = &cw_global_info[control->id];
    } else {
        control->which = (enum cw_which)((port - CW_PORT_PARAM) / CW_PARAMS);
        control->id = (port - CW_PORT_PARAM) % CW_PARAMS;
        control->info = &cw_param_info[control->id];
    }
    return true;
}

const struct cw_param_info *cw_control_info(int port)
{
    struct cw_control control;
    return cw_control_of(port, &control) ? control.info : NULL;
}

enum cw_idle cw_control_idle(const struct cw_controls *controls, int port)
{
    struct cw_control control;
    if (!cw_control_of(port, &control) || control.global) {
        return CW_ACTS;
    }
    return cw_param_idle(&controls->setup[control.which], (enum cw_param_id)control.id);
}

double cw_control_share(const struct cw_param_info *info, double value)
{
    double share = info->flags & CW_LOG ? log(value / info->minimum) / log(info->maximum / info->minimum)
                                        : (value - info->minimum) / (info->maximum - info->minimum);
    return fmin(fmax(share, 0.0), 1.0);
}

static double significant(double value, int digits)
{
    if (value == 0.0) {
        return 0.0;
    }
    double unit = pow(10.0, floor(log10(fabs(value))) - (digits - 1));
    /* Units below 1 are divided by their inverse, which is a whole number, so that 4.5 stays 4.5. */
    return unit < 1.0 ? round(value * round(1.0 / unit)) / round(1.0 / unit) : round(value / unit) * unit;
}

/* The largest of 1, 2 and 5 times a power of ten that is not above x. */
static double one_two_five(double x)
{
    double decade = pow(10.0, floor(log10(x) + 1e-9)), share = x / decade;
    return decade * (share >= 5.0 - 1e-9 ? 5.0 : share >= 2.0 - 1e-9 ? 2.0 : 1.0);
}

static double to_multiple(double value, double unit)
{
    double inverse = round(1.0 / unit);
    return unit < 1.0 ? round(value * inverse) / inverse : round(value / unit) * unit;
}

double cw_control_at(const struct cw_param_info *info, double share, bool fine)
{
    double span = info->maximum - info->minimum;
    share = fmin(fmax(share, 0.0), 1.0);
    double value;
    if (info->flags & CW_LOG) {
        value = significant(info->minimum * pow(info->maximum / info->minimum, share), fine ? 4 : 3);
    } else {
        value = to_multiple(info->minimum + span * share, one_two_five(span / (fine ? 3000.0 : 300.0)));
    }
    return cw_param_clean(info, value, info->preset);
}

int cw_control_point(const struct cw_param_info *info, double value)
{
    for (size_t i = 0; i < info->point_count; i++) {
        if (info->points[i].value == value) {
            return (int)i;
        }
    }
    return -1;
}

static double list_step(const struct cw_param_info *info, double value, int steps)
{
    int point = cw_control_point(info, value) + steps, last = (int)info->point_count - 1;
    return info->points[point < 0 ? 0 : point > last ? last : point].value;
}

static double linear_step(const struct cw_param_info *info, double value, int steps, bool fine)
{
    double unit = one_two_five((info->maximum - info->minimum) / (fine ? 600.0 : 60.0));
    double at = value / unit;
    /* From between two multiples the first step goes to the nearer one on its side. */
    at = steps > 0 ? floor(at + 1e-6) + steps : ceil(at - 1e-6) + steps;
    return to_multiple(at * unit, unit);
}

double cw_control_step(const struct cw_param_info *info, double value, int steps, bool fine)
{
    double next;
    if (info->flags & CW_TOGGLE) {
        next = steps > 0 ? 1.0 : 0.0;
    } else if (info->point_count > 0) {
        next = list_step(info, value, steps);
    } else if (info->flags & CW_LOG) {
        double ratio = pow(info->maximum / info->minimum, steps / (fine ? 600.0 : 60.0));
        next = significant(value * ratio, fine ? 4 : 3);
    } else {
        next = linear_step(info, value, steps, fine);
    }
    return cw_param_clean(info, next, value);
}

const char *cw_control_print(const struct cw_param_info *info, double value, char *text, size_t size)
{
    if (info->point_count == 0 && fabs(value) >= 9999.5) {
        const char *unit = cw_unit_symbol(info->unit);
        snprintf(text, size, "%.0f%s%s", value, *unit ? " " : "", unit);
        return text;
    }
    return cw_value_print(info, value, text, size);
}
