/* From the map that describes a piece to the values of its shape's variables. */
#include "shape/model.h"

#include "base/names.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static uint64_t bit(size_t i)
{
    return (uint64_t)1 << i;
}

/* Where to point when variable i is wrong: at what the user wrote, or at the piece. */
static tks_place place_of(const shape_values *values, int i)
{
    const tks_node *node = i >= 0 ? values->nodes[i] : NULL;
    return node ? tks_node_place(node, values->file) : values->at;
}

tks_status shape_work_out(const shape_values *values, const shape_formula *formula,
                          tks_quantity *value, tks_error *err)
{
    switch (formula->form) {
    case SHAPE_VARIABLE: *value = values->slots[formula->variable]; return TKS_OK;
    case SHAPE_CONSTANT: *value = formula->constant; return TKS_OK;
    default: return tks_expression_value(formula->code, values->slots, value, err);
    }
}

tks_status shape_evaluate(const shape_values *values, const shape_formula *formula, tks_kind kind,
                          double preset, double *value, tks_error *err)
{
    if (!formula->code) {
        *value = preset;
        return TKS_OK;
    }
    tks_quantity got;
    tks_error inner; /* filled only on failure: clearing it would cost more than the value */
    tks_status status = shape_work_out(values, formula, &got, &inner);
    if (!status) status = tks_quantity_as(got, kind, formula->at, value, &inner);
    if (!status) return TKS_OK;
    return tks_fail(err, status, values->at, "%s cannot be made: %s", values->shape->name,
                    inner.text);
}

tks_status shape_holds(const shape_values *values, const shape_formula *formula, bool *holds,
                       tks_error *err)
{
    double truth = 1;
    if (formula->needs & ~values->set) {
        *holds = false;
        return TKS_OK;
    }
    tks_status status = shape_evaluate(values, formula, TKS_NUMBER, 1, &truth, err);
    *holds = truth != 0;
    return status;
}

/* ------------------------------------------------------------------ what the user gave */

/* The index of a choice's word in the shape's list of all words. */
static double word_value(const tks_shape *shape, const char *word)
{
    size_t i = 0;
    while (!base_name_is(word, strlen(word), shape->words[i])) i++;
    return (double)i;
}

static tks_status read_choice(shape_values *values, size_t i, const tks_node *node, tks_error *err)
{
    const shape_variable *v = &values->shape->variables[i];
    size_t index = 0;
    tks_status status =
        tks_node_choice(node, values->file, v->name, v->words, v->word_count, &index, err);
    if (!status)
        values->slots[i] = (tks_quantity){.value = word_value(values->shape, v->words[index])};
    return status;
}

static tks_status read_thread(shape_values *values, size_t i, const tks_node *node, tks_error *err)
{
    tks_status status =
        tks_node_expect(node, values->file, TKS_SCALAR, "a thread, as in M8x1.25", err);
    if (status) return status;
    values->slots[i] = (tks_quantity){.value = 1};
    return tks_thread_find(node->text, node->length, tks_node_place(node, values->file),
                           &values->thread, err);
}

static tks_status read_given(shape_values *values, size_t i, const tks_node *node, tks_arena *arena,
                             tks_error *err)
{
    const shape_variable *v = &values->shape->variables[i];
    tks_status status = TKS_OK;
    double value = 0;
    long count = 0;
    values->nodes[i] = node;
    values->set |= bit(i);
    switch (v->type) {
    case SHAPE_CHOICE: return read_choice(values, i, node, err);
    case SHAPE_COUNT:
        status = tks_node_count(node, values->file, v->name, 0, 1000000, &count, err);
        values->slots[i] = (tks_quantity){.value = (double)count};
        return status;
    case SHAPE_RECORDS:
        status = record_list_read(arena, node, values->file, v->layout, &values->records[i],
                                  &values->record_counts[i], err);
        values->slots[i] = (tks_quantity){.value = (double)values->record_counts[i]};
        return status;
    case SHAPE_THREAD: return read_thread(values, i, node, err);
    case SHAPE_QUANTITY: break;
    }
    status = tks_node_quantity(node, values->file, v->kind, v->name, &value, err);
    values->slots[i] = (tks_quantity){value, tks_kind_dimension(v->kind)};
    return status;
}

static const char *key_name(const void *context, size_t i)
{
    const tks_shape *shape = context;
    return shape->variables[i].name;
}

static tks_status unknown_parameter(const shape_values *values, const tks_node *node,
                                    const char *const *others, size_t other_count, tks_error *err)
{
    const tks_shape *shape = values->shape;
    const tks_node *key = node->key;
    const char *near =
        base_name_nearest(key->text, key->length, shape->parameter_count, key_name, shape);
    if (!near) near = base_name_nearest_of(key->text, key->length, others, other_count);
    char list[200] = "";
    for (size_t i = 0; i < shape->parameter_count && !near; i++) {
        size_t used = strlen(list);
        snprintf(list + used, sizeof list - used, "%s%s", i ? ", " : "", shape->variables[i].name);
    }
    return tks_fail(err, TKS_EUNKNOWN, tks_node_place(key, values->file),
                    "a %s has no '%.40s'; %s%s%s", shape->name, key->text,
                    near ? "did you mean '" : "it takes ", near ? near : list, near ? "'?" : "");
}

static bool is_other(const tks_node *key, const char *const *others, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (base_name_is(key->text, key->length, others[i])) return true;
    return false;
}

static tks_status read_keys(shape_values *values, const tks_node *piece, const char *const *others,
                            size_t other_count, tks_arena *arena, tks_error *err)
{
    const tks_shape *shape = values->shape;
    for (const tks_node *node = piece->first; node; node = node->next) {
        size_t i = 0;
        while (i < shape->parameter_count &&
               !base_name_is(node->key->text, node->key->length, shape->variables[i].name))
            i++;
        tks_status status = TKS_OK;
        if (i < shape->parameter_count)
            status = read_given(values, i, node, arena, err);
        else if (!is_other(node->key, others, other_count))
            status = unknown_parameter(values, node, others, other_count, err);
        if (status) return status;
    }
    return TKS_OK;
}

/* ------------------------------------------------------------------ presets and derived values */

static tks_status set_preset(shape_values *values, size_t i, tks_error *err)
{
    const shape_variable *v = &values->shape->variables[i];
    tks_error inner;
    tks_quantity got;
    tks_status status = shape_work_out(values, &v->preset, &got, &inner);
    double checked = 0;
    if (!status && !v->derived && v->type == SHAPE_QUANTITY)
        status = tks_quantity_as(got, v->kind, v->preset.at, &checked, &inner);
    if (status)
        return tks_fail(err, status, values->at, "%s of the %s cannot be found: %s", v->name,
                        values->shape->name, inner.text);
    values->slots[i] = got;
    values->set |= bit(i);
    return TKS_OK;
}

/* A value that follows from the thread: from the table's row, or the thread's own. */
static tks_status set_from_table(shape_values *values, size_t i, tks_error *err)
{
    const tks_shape *shape = values->shape;
    const shape_variable *v = &shape->variables[i];
    tks_thread thread = tks_thread_of_size(values->thread.size);
    tks_quantity got = {0, tks_kind_dimension(TKS_LENGTH)};
    if (v->column >= 0) {
        const tks_fastener_row *row = NULL;
        tks_status status = tks_fastener_row_find(shape->table, values->thread.size,
                                                  place_of(values, shape->thread), &row, err);
        if (status) return status;
        got.value = tks_fastener_value(row, (size_t)v->column);
    } else if (v->column == COLUMN_INCH) {
        bool metric = values->thread.size->series <= TKS_SERIES_METRIC_FINE;
        got = (tks_quantity){.value = !metric};
    } else {
        got.value = v->column == COLUMN_DIAMETER ? thread.diameter : thread.pitch;
    }
    values->slots[i] = got;
    values->set |= bit(i);
    return TKS_OK;
}

/* Presets may use one another in any order (a tube's wall follows from its bore, or its bore from
 * its wall), so go round until no more can be found. */
static tks_status set_presets(shape_values *values, tks_error *err)
{
    const tks_shape *shape = values->shape;
    for (bool again = true; again;) {
        again = false;
        for (size_t i = 0; i < shape->variable_count; i++) {
            const shape_variable *v = &shape->variables[i];
            if (values->set & bit(i)) continue;
            if (v->type == SHAPE_RECORDS && !v->derived) {
                values->set |= bit(i);
            } else if (v->column != COLUMN_NONE) {
                if (shape->thread < 0 || !(values->set & bit((size_t)shape->thread))) continue;
                tks_status status = set_from_table(values, i, err);
                if (status) return status;
                again = true;
            } else if (v->preset.code && !(v->preset.needs & ~values->set)) {
                tks_status status = set_preset(values, i, err);
                if (status) return status;
                again = true;
            }
        }
    }
    return TKS_OK;
}

static tks_status check_complete(const shape_values *values, tks_error *err)
{
    const tks_shape *shape = values->shape;
    for (size_t i = 0; i < shape->parameter_count; i++) {
        const shape_variable *v = &shape->variables[i];
        if (values->set & bit(i)) continue;
        if (shape->needs[0] && v->preset.code)
            return tks_fail(err, TKS_EMISSING, values->at, "a %s needs %s", shape->name,
                            shape->needs);
        return tks_fail(err, TKS_EMISSING, values->at, "a %s needs its %s (%s)", shape->name,
                        v->name, v->about);
    }
    return TKS_OK;
}

/* ------------------------------------------------------------------ ranges and rules */

static tks_status out_of_range(const shape_values *values, size_t i, const char *relation,
                               double bound, tks_error *err)
{
    const shape_variable *v = &values->shape->variables[i];
    char read[64], limit[64];
    tks_quantity_print(read, sizeof read, values->slots[i].value, v->kind, TKS_METRIC, 0);
    tks_quantity_print(limit, sizeof limit, bound, v->kind, TKS_METRIC, 0);
    if (values->nodes[i]) snprintf(read, sizeof read, "%.40s", values->nodes[i]->text);
    return tks_fail(err, TKS_EDOMAIN, place_of(values, (int)i), "%s is '%s'; it must be %s %s",
                    v->name, read, relation, bound == 0 ? "zero" : limit);
}

/* Lengths are above zero unless the shape's file says `least: 0`, and within what
 * is sensible. */
static tks_status check_range(const shape_values *values, size_t i, tks_error *err)
{
    const shape_variable *v = &values->shape->variables[i];
    double value = values->slots[i].value, bound = 0;
    bool length = v->kind == TKS_LENGTH;
    tks_status status = TKS_OK;
    if (v->least.code) {
        status = shape_evaluate(values, &v->least, v->kind, 0, &bound, err);
        if (!status && !(value >= bound)) status = out_of_range(values, i, "at least", bound, err);
    } else if (v->above.code || length) {
        status = shape_evaluate(values, &v->above, v->kind, 0, &bound, err);
        if (!status && !(value > bound)) status = out_of_range(values, i, "above", bound, err);
    }
    if (!status && length && value > 0 && value < SHAPE_FINEST)
        status = out_of_range(values, i, "at least", SHAPE_FINEST, err);
    if (!status && (v->most.code || length)) {
        status = shape_evaluate(values, &v->most, v->kind, SHAPE_LONGEST, &bound, err);
        if (!status && !(value <= bound)) status = out_of_range(values, i, "at most", bound, err);
    }
    return status;
}

/* Ranges of the parameters that were written, or of those that followed from others. */
static tks_status check_ranges(const shape_values *values, bool written, tks_error *err)
{
    const tks_shape *shape = values->shape;
    for (size_t i = 0; i < shape->parameter_count; i++) {
        const shape_variable *v = &shape->variables[i];
        bool plain = v->type == SHAPE_QUANTITY || v->type == SHAPE_COUNT;
        if (!plain || !!values->nodes[i] != written) continue;
        tks_status status = check_range(values, i, err);
        if (status) return status;
    }
    return TKS_OK;
}

static tks_status check_rules(const shape_values *values, tks_error *err)
{
    const tks_shape *shape = values->shape;
    for (size_t i = 0; i < shape->rule_count; i++) {
        bool holds = true;
        tks_status status = shape_holds(values, &shape->rules[i].that, &holds, err);
        if (status) return status;
        if (!holds)
            return tks_fail(err, TKS_EDOMAIN, place_of(values, shape->rules[i].blame), "%s: %s",
                            shape->name, shape->rules[i].otherwise);
    }
    return TKS_OK;
}

tks_status shape_values_read(const tks_shape *shape, const tks_node *piece, const char *file,
                             const char *const *others, size_t other_count, tks_arena *arena,
                             shape_values *values, tks_error *err)
{
    values->shape = shape;
    values->file = file;
    values->at = tks_node_place(piece, file);
    values->set = 0;
    for (size_t i = 0; i < shape->variable_count; i++) {
        values->slots[i] = (tks_quantity){.value = 0};
        values->nodes[i] = NULL;
        values->records[i] = NULL;
        values->record_counts[i] = 0;
    }
    tks_status status = read_keys(values, piece, others, other_count, arena, err);
    if (!status) status = set_presets(values, err);
    if (!status) status = check_complete(values, err);
    /* A rule tells better than a range what is wrong with a value that nobody wrote. */
    if (!status) status = check_ranges(values, true, err);
    if (!status) status = check_rules(values, err);
    if (!status) status = check_ranges(values, false, err);
    return status;
}
