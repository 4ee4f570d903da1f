/* From a shape's file to the shape: parameters, derived values, rules, cautions, cavities, solids.
 */
#include "shape/model.h"

#include "base/names.h"

#include <stdio.h>
#include <string.h>

/* What most of the functions here need. */
typedef struct reading {
    tks_arena *arena;
    tks_shape *shape;
    tks_error *err;
} reading;

static tks_status wrong(const reading *r, tks_status code, const tks_node *node, const char *text)
{
    return tks_fail(r->err, code, tks_node_place(node, r->shape->file), "%s", text);
}

static tks_status no_memory(const reading *r, const tks_node *node)
{
    return wrong(r, TKS_EMEMORY, node, "out of memory");
}

/* ------------------------------------------------------------------ formulas */

typedef struct name_scope {
    const tks_shape *shape;
    uint64_t needs;
} name_scope;

static bool find_meaning(const void *context, const char *name, size_t length, tks_meaning *out)
{
    name_scope *scope = (name_scope *)(uintptr_t)context;
    for (size_t i = 0; i < scope->shape->variable_count; i++)
        if (base_name_is(name, length, scope->shape->variables[i].name)) {
            scope->needs |= (uint64_t)1 << i;
            *out = (tks_meaning){.slot = (int)i};
            return true;
        }
    for (size_t i = 0; i < scope->shape->word_count; i++)
        if (base_name_is(name, length, scope->shape->words[i])) {
            *out = (tks_meaning){.slot = -1, .value.value = (double)i};
            return true;
        }
    return false;
}

static const char *variable_name(const void *context, size_t i)
{
    return ((const tks_shape *)context)->variables[i].name;
}

static const char *nearest_meaning(const void *context, const char *name, size_t length)
{
    const tks_shape *shape = ((const name_scope *)context)->shape;
    return base_name_nearest(name, length, shape->variable_count, variable_name, shape);
}

/* A constant that cannot be worked out is left to fail where it is used. */
static void recognise(const tks_shape *shape, const tks_node *node, shape_formula *formula)
{
    tks_error unused;
    size_t i = 0;
    if (!formula->needs) {
        bool works = !tks_expression_value(formula->code, NULL, &formula->constant, &unused);
        formula->form = works ? SHAPE_CONSTANT : SHAPE_WORKED;
        return;
    }
    while (!(formula->needs >> i & 1)) i++;
    if (!base_name_is(node->text, node->length, shape->variables[i].name)) return;
    formula->form = SHAPE_VARIABLE;
    formula->variable = i;
}

tks_status shape_formula_read(tks_arena *arena, const tks_shape *shape, const tks_node *node,
                              shape_formula *formula, tks_error *err)
{
    tks_status status = tks_node_expect(node, shape->file, TKS_SCALAR, "an expression", err);
    if (status) return status;
    name_scope scope = {shape, 0};
    tks_names names = {find_meaning, nearest_meaning, &scope};
    formula->at = tks_node_place(node, shape->file);
    status = tks_expression_compile(arena, node->text, node->length, formula->at, &names,
                                    &formula->code, err);
    formula->needs = scope.needs;
    if (!status) recognise(shape, node, formula);
    return status;
}

static tks_status read_formula(const reading *r, const tks_node *map, const char *key,
                               shape_formula *formula)
{
    const tks_node *node = tks_node_get(map, key);
    return node ? shape_formula_read(r->arena, r->shape, node, formula, r->err) : TKS_OK;
}

/* ------------------------------------------------------------------ texts and words */

static const char *text_of(const tks_node *map, const char *key)
{
    const tks_node *node = tks_node_get(map, key);
    return node ? node->text : "";
}

static tks_status read_words(const reading *r, const tks_node *node, const char *const **words,
                             size_t *count)
{
    tks_status status = tks_node_expect(node, r->shape->file, TKS_LIST, "words", r->err);
    if (status) return status;
    const char **list = tks_arena_take(r->arena, node->count, sizeof *list);
    if (!list) return no_memory(r, node);
    size_t n = 0;
    for (const tks_node *item = node->first; item; item = item->next) list[n++] = item->text;
    *words = list;
    *count = n;
    return TKS_OK;
}

/* ------------------------------------------------------------------ parameters */

/* Kinds of quantity, then those of lists, then the others. */
static const char *kind_of_parameter(const void *context, size_t i)
{
    static const char *const others[] = {"choice", "count"};
    (void)context;
    if (i < TKS_KIND_COUNT) return tks_kind_name((tks_kind)i);
    i -= TKS_KIND_COUNT;
    size_t lists = 0;
    while (record_layout_name(lists)) lists++;
    return i < lists ? record_layout_name(i) : others[(i - lists) % 2];
}

static tks_status unknown_kind(const reading *r, const tks_node *kind)
{
    size_t count = TKS_KIND_COUNT + 2;
    for (size_t i = 0; record_layout_name(i); i++) count++;
    const char *near = base_name_nearest(kind->text, kind->length, count, kind_of_parameter, NULL);
    return tks_fail(r->err, TKS_EUNKNOWN, tks_node_place(kind, r->shape->file),
                    "'%.40s' is no kind of parameter%s%s%s", kind->text,
                    near ? "; did you mean '" : "", near ? near : "", near ? "'?" : "");
}

static tks_status read_type(const reading *r, const tks_node *node, shape_variable *v)
{
    const tks_node *kind = tks_node_get(node, "kind");
    if (!kind) return wrong(r, TKS_EMISSING, node, "a parameter needs its kind");
    const tks_node *words = tks_node_get(node, "of");
    v->layout = record_layout_find(kind->text, kind->length);
    v->kind = tks_kind_find(kind->text, kind->length);
    if (v->layout) {
        v->type = SHAPE_RECORDS;
    } else if (base_name_is(kind->text, kind->length, "choice")) {
        v->type = SHAPE_CHOICE;
        if (!words) return wrong(r, TKS_EMISSING, node, "a choice needs its words: of: [a, b]");
        return read_words(r, words, &v->words, &v->word_count);
    } else if (base_name_is(kind->text, kind->length, "count")) {
        v->type = SHAPE_COUNT;
    } else if (base_name_is(kind->text, kind->length, "thread")) {
        v->type = SHAPE_THREAD;
        r->shape->thread = (int)(v - r->shape->variables);
    } else if (v->kind == TKS_KIND_COUNT) {
        return unknown_kind(r, kind);
    }
    return TKS_OK;
}

/* The range as a person reads it; that a length is above zero goes without saying. */
static tks_status describe_range(const reading *r, const tks_node *node, shape_variable *v)
{
    char text[160] = "";
    size_t used = 0;
    static const char *const keys[] = {"above", "least", "most"}, *const says[] = {"above",
                                                                                   "at least",
                                                                                   "at most"};
    for (int i = 0; i < 3; i++) {
        const char *bound = text_of(node, keys[i]);
        if (*bound && used < sizeof text)
            used += (size_t)snprintf(text + used, sizeof text - used, "%s%s %s", used ? ", " : "",
                                     says[i], bound);
    }
    for (size_t i = 0; i < v->word_count && used < sizeof text; i++)
        used += (size_t)snprintf(text + used, sizeof text - used, "%s%s", used ? " | " : "",
                                 v->words[i]);
    v->range_text = tks_arena_text(r->arena, text, strlen(text));
    return v->range_text ? TKS_OK : no_memory(r, node);
}

/* `table: across flats`: filled by the thread's row, or by the thread itself. */
static tks_status read_column(const reading *r, const tks_node *node, shape_variable *v)
{
    const tks_node *name = tks_node_get(node, "table");
    v->column = COLUMN_NONE;
    if (!name) return TKS_OK;
    if (base_name_is(name->text, name->length, "diameter"))
        v->column = COLUMN_DIAMETER;
    else if (base_name_is(name->text, name->length, "pitch"))
        v->column = COLUMN_PITCH;
    else if (base_name_is(name->text, name->length, "inch"))
        v->column = COLUMN_INCH;
    else if (r->shape->table)
        v->column = tks_fastener_column(r->shape->table, name->text, name->length);
    return v->column == COLUMN_NONE ? wrong(r, TKS_EUNKNOWN, name, "no table has this column")
                                    : TKS_OK;
}

static tks_status read_parameter(const reading *r, const tks_node *node, shape_variable *v)
{
    static const char *const keys[] = {"kind",  "about", "default", "above",
                                       "least", "most",  "of",      "table"};
    tks_status status = tks_node_expect(node, r->shape->file, TKS_MAP, "a parameter", r->err);
    if (!status) status = tks_node_known(node, r->shape->file, "a parameter", keys, 8, r->err);
    if (!status) status = read_type(r, node, v);
    if (!status) status = read_column(r, node, v);
    if (status) return status;
    v->name = node->key->text;
    v->about = text_of(node, "about");
    v->preset_text = v->column == COLUMN_NONE ? text_of(node, "default") : "by the thread";
    return describe_range(r, node, v);
}

static tks_status read_variable_names(const reading *r, const tks_node *parameters,
                                      const tks_node *derived)
{
    tks_shape *shape = r->shape;
    size_t count = (parameters ? parameters->count : 0) + (derived ? derived->count : 0);
    if (count > SHAPE_MOST_VARIABLES)
        return wrong(r, TKS_ELIMIT, parameters,
                     "a shape takes at most 64 parameters and derived values");
    shape->variables = tks_arena_take(r->arena, count, sizeof *shape->variables);
    if (!shape->variables) return tks_fail(r->err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    for (const tks_node *p = parameters ? parameters->first : NULL; p; p = p->next) {
        tks_status status = read_parameter(r, p, &shape->variables[shape->variable_count++]);
        if (status) return status;
    }
    shape->parameter_count = shape->variable_count;
    for (const tks_node *d = derived ? derived->first : NULL; d; d = d->next) {
        shape_variable *v = &shape->variables[shape->variable_count++];
        *v = (shape_variable){.name = d->key->text,
                              .about = "",
                              .derived = true,
                              .column = COLUMN_NONE,
                              .preset_text = d->kind == TKS_SCALAR ? d->text : "",
                              .range_text = ""};
        tks_status status = d->kind == TKS_MAP ? read_column(r, d, v) : TKS_OK;
        if (status) return status;
    }
    return TKS_OK;
}

/* All words of all choices, each once: a choice's value is its word's index here. */
static tks_status gather_words(const reading *r)
{
    tks_shape *shape = r->shape;
    size_t most = 0;
    for (size_t i = 0; i < shape->variable_count; i++) most += shape->variables[i].word_count;
    shape->words = tks_arena_take(r->arena, most, sizeof *shape->words);
    if (!shape->words) return tks_fail(r->err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    for (size_t i = 0; i < shape->variable_count; i++)
        for (size_t k = 0; k < shape->variables[i].word_count; k++) {
            const char *word = shape->variables[i].words[k];
            size_t known = 0;
            while (known < shape->word_count &&
                   !base_name_is(word, strlen(word), shape->words[known]))
                known++;
            if (known == shape->word_count) shape->words[shape->word_count++] = word;
        }
    return TKS_OK;
}

static tks_status read_bounds(const reading *r, const tks_node *node, shape_variable *v)
{
    tks_status status = TKS_OK;
    if (v->derived && v->column != COLUMN_NONE) return TKS_OK;
    if (v->derived) return shape_formula_read(r->arena, r->shape, node, &v->preset, r->err);
    if (v->type != SHAPE_RECORDS) status = read_formula(r, node, "default", &v->preset);
    if (!status) status = read_formula(r, node, "above", &v->above);
    if (!status) status = read_formula(r, node, "least", &v->least);
    if (!status) status = read_formula(r, node, "most", &v->most);
    return status;
}

static tks_status read_variables(const reading *r, const tks_node *root)
{
    const tks_node *parameters = tks_node_get(root, "parameters"),
                   *derived = tks_node_get(root, "derived");
    tks_status status = TKS_OK;
    if (parameters)
        status =
            tks_node_expect(parameters, r->shape->file, TKS_MAP, "a map of parameters", r->err);
    if (!status && derived)
        status = tks_node_expect(derived, r->shape->file, TKS_MAP, "a map of formulas", r->err);
    if (!status) status = read_variable_names(r, parameters, derived);
    if (!status) status = gather_words(r);
    size_t i = 0;
    for (const tks_node *p = parameters ? parameters->first : NULL; p && !status; p = p->next)
        status = read_bounds(r, p, &r->shape->variables[i++]);
    for (const tks_node *d = derived ? derived->first : NULL; d && !status; d = d->next)
        status = read_bounds(r, d, &r->shape->variables[i++]);
    return status;
}

/* ------------------------------------------------------------------ rules, cautions, cavities */

typedef tks_status item_reader(const reading *r, const tks_node *item, void *to);

/* Reads a list of like items under a key into a new array. */
static tks_status read_items(const reading *r, const tks_node *root, const char *key, size_t size,
                             item_reader *read, void **items, size_t *count)
{
    const tks_node *list = tks_node_get(root, key);
    if (!list) return TKS_OK;
    if (list->kind == TKS_SCALAR) return wrong(r, TKS_ESYNTAX, list, "expected a list here");
    char *array = tks_arena_take(r->arena, list->count, size);
    if (!array) return no_memory(r, list);
    *items = array;
    for (const tks_node *item = list->first; item; item = item->next) {
        tks_status status = read(r, item, array + *count * size);
        if (status) return status;
        ++*count;
    }
    return TKS_OK;
}

static tks_status read_rule(const reading *r, const tks_node *item, void *to)
{
    static const char *const keys[] = {"that", "else", "blame"};
    shape_rule *rule = to;
    tks_status status = tks_node_known(item, r->shape->file, "a rule", keys, 3, r->err);
    if (!status) status = read_formula(r, item, "that", &rule->that);
    if (status) return status;
    rule->otherwise = text_of(item, "else");
    rule->blame = -1;
    const tks_node *blame = tks_node_get(item, "blame");
    for (size_t i = 0; blame && i < r->shape->parameter_count; i++)
        if (base_name_is(blame->text, blame->length, r->shape->variables[i].name))
            rule->blame = (int)i;
    if (blame && rule->blame < 0)
        return wrong(r, TKS_EUNKNOWN, blame, "no parameter has this name");
    return TKS_OK;
}

static tks_status read_warning(const reading *r, const tks_node *item, void *to)
{
    static const char *const keys[] = {"when", "code", "severity", "text"};
    static const char *const severities[] = {"note", "doubt", "spoil", "injury"};
    shape_warning *warning = to;
    size_t severity = TKS_NOTE;
    const tks_node *word = tks_node_get(item, "severity");
    tks_status status = tks_node_known(item, r->shape->file, "a caution", keys, 4, r->err);
    if (!status) status = read_formula(r, item, "when", &warning->when);
    if (!status && word)
        status =
            tks_node_choice(word, r->shape->file, "severity", severities, 4, &severity, r->err);
    warning->severity = (tks_severity)severity;
    warning->code = text_of(item, "code");
    warning->text = text_of(item, "text");
    return status;
}

static tks_status read_cavity(const reading *r, const tks_node *item, void *to)
{
    static const char *const keys[] = {"radius", "gap", "length", "mouths"};
    shape_cavity *cavity = to;
    tks_status status = item->key
                            ? shape_label_read(r->shape, item->key, &cavity->label, r->err)
                            : wrong(r, TKS_ESYNTAX, item, "cavities are a map, by their label");
    cavity->kind = tks_node_get(item, "gap") ? TKS_GAP : TKS_BORE;
    if (!status) status = tks_node_known(item, r->shape->file, "a cavity", keys, 4, r->err);
    if (!status)
        status = read_formula(r, item, cavity->kind == TKS_GAP ? "gap" : "radius", &cavity->width);
    if (!status) status = read_formula(r, item, "length", &cavity->length);
    if (!status) status = read_formula(r, item, "mouths", &cavity->mouths);
    return status;
}

static tks_status read_solid(const reading *r, const tks_node *item, void *to)
{
    return shape_solid_read(r->arena, r->shape, item, to, r->err);
}

/* ------------------------------------------------------------------ the whole */

/* The example as lines `name: value`, to be shown and pasted. */
static tks_status read_example(const reading *r, const tks_node *root)
{
    const tks_node *node = tks_node_get(root, "example");
    r->shape->example = node ? node->text : "";
    if (!node || node->kind == TKS_SCALAR) return TKS_OK;
    return wrong(r, TKS_ESYNTAX, node, "the example is a text of lines, begun with |");
}

static tks_status read_names(const reading *r, const tks_node *root)
{
    static const char *const keys[] = {"shape",    "also",     "family",     "about",   "origin",
                                       "needs",    "example",  "parameters", "derived", "rules",
                                       "cautions", "cavities", "solids",     "table"};
    tks_shape *shape = r->shape;
    const tks_node *table = tks_node_get(root, "table");
    const tks_node *name = tks_node_get(root, "shape"), *also = tks_node_get(root, "also");
    tks_status status =
        tks_node_known(root, shape->file, "a shape", keys, sizeof keys / sizeof keys[0], r->err);
    if (status) return status;
    if (!name || name->kind != TKS_SCALAR || !name->length)
        return wrong(r, TKS_EMISSING, root,
                     "a shape's file begins with its name, as in `shape: tube`");
    shape->name = name->text;
    shape->family = text_of(root, "family");
    shape->about = text_of(root, "about");
    shape->origin = text_of(root, "origin");
    shape->needs = text_of(root, "needs");
    shape->thread = -1;
    if (table) shape->table = tks_fastener_table_find(table->text, table->length);
    if (table && !shape->table) return wrong(r, TKS_EUNKNOWN, table, "no table has this name");
    if (also) status = read_words(r, also, &shape->other_names, &shape->other_name_count);
    return status ? status : read_example(r, root);
}

tks_status shape_read(tks_arena *arena, const tks_node *root, const char *file, tks_shape **shape,
                      tks_error *err)
{
    tks_shape *s = tks_arena_take(arena, 1, sizeof *s);
    char *kept = tks_arena_text(arena, file, strlen(file));
    if (!s || !kept) return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    s->file = kept;
    reading r = {arena, s, err};
    void *rules = NULL, *warnings = NULL, *cavities = NULL, *solids = NULL;
    tks_status status = tks_node_expect(root, file, TKS_MAP, "a shape", err);
    if (!status) status = read_names(&r, root);
    if (!status) status = read_variables(&r, root);
    if (!status)
        status = read_items(&r, root, "rules", sizeof *s->rules, read_rule, &rules, &s->rule_count);
    if (!status)
        status = read_items(&r, root, "cautions", sizeof *s->warnings, read_warning, &warnings,
                            &s->warning_count);
    if (!status)
        status = read_items(&r, root, "cavities", sizeof *s->cavities, read_cavity, &cavities,
                            &s->cavity_count);
    if (!status)
        status =
            read_items(&r, root, "solids", sizeof *s->solids, read_solid, &solids, &s->solid_count);
    if (status) return status;
    s->rules = rules;
    s->warnings = warnings;
    s->cavities = cavities;
    s->solids = solids;
    if (!s->solid_count) return wrong(&r, TKS_EMISSING, root, "a shape needs its solids");
    *shape = s;
    return TKS_OK;
}
