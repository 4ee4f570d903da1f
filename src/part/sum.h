/* Surfaces of a part, gathered from the patches of its pieces. */
#ifndef PART_SUM_H
#define PART_SUM_H

#include "tankside/part.h"

/* Surfaces of one kind are one entry: same label, same cavity, same pitch. */
typedef struct part_sum {
    tks_arena *arena;
    tks_surface *surfaces;
    size_t surface_count, surface_room;
    tks_cavity *cavities;
    size_t cavity_count, cavity_room;
    tks_thread *threads;
    size_t thread_count, thread_room;
} part_sum;

/* Adds times the patches of a body. masked: labels (bit by label) that are stopped off. */
tks_status part_sum_body(part_sum *sum, const tks_body *body, double times, unsigned masked,
                         tks_error *err);

/* Notes the kinds of threads of a body that are plated, each once. */
tks_status part_sum_threads(part_sum *sum, const tks_body *body, unsigned masked, tks_error *err);

/* Notes the thread that a patch is of, if any; hole: what it was cut from has it inside. */
tks_status part_sum_thread(part_sum *sum, const tks_patch *patch, bool hole, tks_error *err);

/* Pitch of the thread that a patch is of [m]; 0: of none. */
double part_patch_pitch(const tks_patch *patch);

/* Adds an area of a kind. cavity NULL: open. */
tks_status part_sum_add(part_sum *sum, tks_label label, double area, const tks_cavity *cavity,
                        double pitch, tks_error *err);

/* Takes an area off the wetted surfaces, the outside first; false when there is not so much. */
bool part_sum_take(part_sum *sum, double area);

/* Area of a label, over all its entries. */
double part_sum_label(const part_sum *sum, tks_label label);

#endif
