/* How many thread areas the library gives in a second. */
#include "tankside/thread.h"

#include <stdio.h>
#include <time.h>

static double seconds(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static void run(const char *name, tks_thread_form form, bool basic)
{
    enum { COUNT = 1000000 };
    double sum = 0, start = seconds();
    for (int i = 0; i < COUNT; i++) {
        tks_thread thread = {
            .form = form, .diameter = 8e-3 + 1e-9 * i, .pitch = 1.25e-3, .basic = basic};
        tks_thread_profile profile;
        if (tks_thread_profile_of(&thread, &profile, NULL) == TKS_OK)
            sum += tks_thread_area_per_pitch(&profile);
    }
    double taken = seconds() - start;
    printf("thread areas, %-22s %6.2f million/s  (mean %.6g mm2)\n", name, COUNT / taken / 1e6,
           sum / COUNT * 1e6);
}

int main(void)
{
    run("metric, basic profile", TKS_THREAD_METRIC, true);
    run("metric, rounded root", TKS_THREAD_METRIC, false);
    run("whitworth", TKS_THREAD_WHITWORTH, false);
    return 0;
}
