/* What might spread the deposit better: tried, not guessed. */
#ifndef FIELD_ADVICE_H
#define FIELD_ADVICE_H

#include "tankside/deposit.h"

/* Fills the deposit's advice, best first: each way is solved anew with the same current and time.
 * The scene's bodies have room for one more anode. */
tks_status field_advise(tks_arena *arena, tks_deposit *deposit, const tks_field_scene *scene,
                        const tks_field_bath *bath, const tks_field_options *options,
                        tks_error *err);

/* The groups of the field that a row's label stands for. */
uint32_t field_deposit_groups(int label);

#endif
