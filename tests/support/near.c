#include "support/near.h"

void near_check(double got, double want, double rel, const char *what, const char *file, int line)
{
    double allowed = want != 0 ? rel * fabs(want) : rel;
    if (fabs(got - want) <= allowed) return; /* so written that NaN fails */
    char text[256];
    snprintf(text, sizeof text, "%s: got %.17g, want %.17g, off by %.3g (allowed %.3g)", what, got,
             want, fabs(got - want), allowed);
    print_error("%s\n", text);
    _fail(file, line);
}
