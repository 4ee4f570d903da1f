/* What a field holds. */
#ifndef FIELD_FIELD_H
#define FIELD_FIELD_H

#include "field/level.h"

struct tks_field {
    tks_field_options options;
    base_team *team;
    bool solved;
    tks_field_scene scene;    /* as given, of its bodies only what outlives tks_field_new */
    tks_field_body *bodies;   /* the scene's */
    double size;              /* of the largest part [m] */
    field_level coarse, fine; /* coarse.system is NULL until there are two */
    tks_field_summary summary;
    double done, share; /* of the work, for progress: done before and share of this solve */
    bool stopped;
};

/* How far off a value of the fine level may be, from those of both; NAN when there is but one.
 * An error that falls as 1 / N is the step over (ratio of N less one); twice that bounds errors
 * that fall at half the rate. A thousandth is added for what both share: chords in place of curves.
 */
double field_error_between(const tks_field *field, double fine, double coarse);

#endif
