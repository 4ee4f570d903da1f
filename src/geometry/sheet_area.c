/* Area of sheet metal from its mass: a cross-check that needs a balance and a gauge only. */
#include "tankside/union.h"

#include <math.h>

static tks_status above_zero(double value, const char *what, tks_error *err)
{
    if (value > 0 && value < INFINITY) return TKS_OK;
    return tks_fail(err, TKS_EDOMAIN, tks_nowhere(), "a %s of %g; it should be above zero", what,
                    value);
}

tks_status tks_sheet_area(double mass, double density, double gauge, double edge, double *area,
                          tks_error *err)
{
    tks_status status = above_zero(mass, "mass", err);
    if (!status) status = above_zero(density, "density", err);
    if (!status) status = above_zero(gauge, "sheet thickness", err);
    if (status) return status;
    if (!(edge >= 0 && edge < INFINITY))
        return tks_fail(err, TKS_EDOMAIN, tks_nowhere(),
                        "an edge of %g m; it should be zero or more", edge);
    *area = 2 * mass / (density * gauge) + edge * gauge;
    return TKS_OK;
}
