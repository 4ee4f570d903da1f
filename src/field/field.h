/* What a field holds. */
#ifndef FIELD_FIELD_H
#define FIELD_FIELD_H

#include "field/level.h"

struct tks_field {
    tks_field_options options;
    field_team *team;
    bool open, solved;
    size_t body_count;
    double size;              /* of the largest part [m] */
    field_level coarse, fine; /* coarse.system is NULL until there are two */
    tks_field_summary summary;
    double done, share; /* of the work, for progress: done before and share of this solve */
    bool stopped;
};

/* How far off a value of the fine level may be, from those of both. The elements between them
 * double, so that errors that fall as the element's size halve: twice the step bounds errors that
 * fall at half that rate. A thousandth is added for what both share: chords in place of curves. */
double field_error_between(double fine, double coarse);

#endif
