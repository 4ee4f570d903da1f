#include "cli/progress.h"

#include <stdbool.h>
#include <stdio.h>
#include <time.h>
#include <unistd.h>

static double started, drawn; /* seconds of the monotonic clock; 0: not yet */

static double seconds(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

void cli_progress(const char *what, double fraction)
{
    enum { WIDTH = 30 };
    static const char bar[] = "##############################";
    double now = seconds();
    if (started == 0) started = now;
    bool stage = fraction < 0; /* nobody knows how long: it is shown at once */
    if (!stage && (now - started < 1 || now - drawn < 0.1)) return;
    if (!isatty(STDERR_FILENO)) return;
    drawn = now;
    if (fraction < 0) {
        fprintf(stderr, "\r%.60s ...\033[K", what);
        return;
    }
    int full = (int)(WIDTH * (fraction > 1 ? 1 : fraction));
    fprintf(stderr, "\r%.40s [%.*s%*s] %3.0f %%\033[K", what, full, bar, WIDTH - full, "",
            100 * fraction);
}

void cli_progress_end(void)
{
    if (drawn > 0) fputs("\r\033[K", stderr);
    started = drawn = 0;
}
