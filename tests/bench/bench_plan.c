/* How long a plan of 10,000 parts takes, and how near the fewest runs a mixed load comes. */
#include "tankside/plan.h"

#include <stdio.h>
#include <time.h>

enum { MOST_ROWS = 10000 };

static unsigned long seed = 1;

/* Park and Miller's generator (Commun. ACM 31 (1988) 1192): the same load every time. */
static double draw(double low, double high)
{
    seed = seed * 48271 % 2147483647;
    return low + (high - low) * (double)seed / 2147483647;
}

typedef struct row {
    tks_part part;
    tks_surface surfaces[3];
    tks_cavity bore;
    tks_thread thread;
    char name[24];
} row;

static row rows[MOST_ROWS];

/* Tubes, bolts and plates of 5 to 150 cm2; every third has a bore, every third a thread. */
static void make_row(row *r, int i, size_t count)
{
    double area = draw(5e-4, 150e-4);
    *r = (row){.bore = {TKS_BORE, draw(2e-3, 12e-3), draw(10e-3, 120e-3), 2},
               .thread = {.form = TKS_THREAD_METRIC, .diameter = 10e-3, .pitch = 1.5e-3}};
    snprintf(r->name, sizeof r->name, "part %d", i + 1);
    r->surfaces[0] = (tks_surface){TKS_OUTSIDE, 0.7 * area, -1, 0};
    r->surfaces[1] = (tks_surface){TKS_INSIDE, 0.3 * area, i % 3 ? -1 : 0, 0};
    r->surfaces[2] = (tks_surface){TKS_THREAD, 0.2 * area, -1, i % 3 == 1 ? 1.5e-3 : 0};
    r->part = (tks_part){.area = area, .material = "mild steel", .grade = "", .hardness = ""};
    r->part.item = (tks_item){.name = r->name,
                              .count = count,
                              .surfaces = r->surfaces,
                              .surface_count = 3,
                              .cavities = &r->bore,
                              .cavity_count = 1,
                              .threads = &r->thread,
                              .thread_count = i % 3 == 1,
                              .size = {draw(0.02, 0.15), draw(0.01, 0.06), 0.01}};
}

static void run(const char *what, int kinds, size_t each)
{
    tks_load load = {.part_count = (size_t)kinds, .aim = TKS_AIM_MEAN, .thickness = 8e-6};
    for (int i = 0; i < kinds; i++) {
        make_row(&rows[i], i, each);
        if (i) rows[i - 1].part.next = &rows[i].part;
    }
    load.first = &rows[0].part;
    tks_tank tank = tks_tank_of(tks_bath_default());
    tank = (tks_tank){.name = "",
                      .size = {0.5, 0.3, 0.3},
                      .rack_length = 0.46,
                      .anode_area = 0.2,
                      .bath = tank.bath};
    tank.supply.max_current = 20;
    tks_arena *arena = tks_arena_new();
    tks_cautions cautions = tks_cautions_new(arena);
    tks_plan plan;
    tks_error err = {0};
    clock_t start = clock();
    tks_status status = tks_plan_make(arena, &load, &tank, &cautions, &plan, &err);
    double taken = (double)(clock() - start) / CLOCKS_PER_SEC;
    if (status)
        printf("plan, %s: %s\n", what, err.text);
    else
        printf("plan, %-36s %6.1f ms; %zu runs, no split has under %zu (%.2f %% over)\n", what,
               1e3 * taken, plan.run_count, plan.bound,
               100.0 * ((double)plan.run_count / (double)plan.bound - 1));
    tks_arena_free(arena);
}

int main(void)
{
    run("10,000 parts of 100 kinds", 100, 100);
    run("10,000 parts of 1,000 kinds", 1000, 10);
    run("10,000 parts, no two alike", 10000, 1);
    run("1,000 mixed parts, no two alike", 1000, 1);
    run("40 parts of 20 kinds", 20, 2);
    return 0;
}
