/* Expressions to programs, by precedence climbing; one pass, no tree. */
#include "base/names.h"
#include "quantity/quantity.h"

#include <math.h>
#include <string.h>

enum { LONGEST_NAME = 127 };

typedef struct parser {
    const char *text;
    size_t length, at, end; /* next byte; end of the last token */
    tks_place place;        /* of text[0] */
    const quantity_sense *sense;
    quantity_op *ops;
    size_t count, slots;
    int depth, height; /* of nesting; of the stack when the program runs */
    int arguments;     /* open function parentheses */
    char before;       /* last byte of the last token, 0 at the start */
    tks_error *err;
} parser;

static const struct binary {
    char text[4];
    signed char level; /* how strongly it binds */
    unsigned char code;
} binaries[] = {
    {"or", 1, CODE_BRANCH},     {"and", 2, CODE_BRANCH},    {"!=", 4, CODE_UNEQUAL},
    {"<=", 4, CODE_LESS_EQUAL}, {">=", 4, CODE_MORE_EQUAL}, {"==", 4, CODE_EQUAL},
    {"=", 4, CODE_EQUAL},       {"<", 4, CODE_LESS},        {">", 4, CODE_MORE},
    {"+", 5, CODE_ADD},         {"-", 5, CODE_SUBTRACT},    {"−", 5, CODE_SUBTRACT},
    {"*", 6, CODE_MULTIPLY},    {"×", 6, CODE_MULTIPLY},    {"·", 6, CODE_MULTIPLY},
    {"/", 6, CODE_DIVIDE},      {"^", 8, CODE_POWER},
};

enum { LEVEL_OR = 1, LEVEL_NOT = 3, LEVEL_COMPARISON = 4, LEVEL_POWER = 8 };

static const struct function {
    char name[8];
    unsigned char code, least, most; /* number of arguments */
} functions[] = {
    {"min", CODE_MIN, 1, 255}, {"max", CODE_MAX, 1, 255},   {"sqrt", CODE_SQRT, 1, 1},
    {"abs", CODE_ABS, 1, 1},   {"sin", CODE_SIN, 1, 1},     {"cos", CODE_COS, 1, 1},
    {"tan", CODE_TAN, 1, 1},   {"asin", CODE_ASIN, 1, 1},   {"acos", CODE_ACOS, 1, 1},
    {"atan", CODE_ATAN, 1, 1}, {"atan2", CODE_ATAN2, 2, 2}, {"floor", CODE_FLOOR, 1, 1},
    {"ceil", CODE_CEIL, 1, 1}, {"round", CODE_ROUND, 1, 1}, {"if", CODE_BRANCH, 3, 3},
};

enum {
    BINARY_COUNT = sizeof binaries / sizeof *binaries,
    FUNCTION_COUNT = sizeof functions / sizeof *functions
};

/* An expression of operators that bind at least as tightly as least; and the operators that follow
 * the operand from start. */
static tks_status expression(parser *p, int least);
static tks_status tail(parser *p, int least, size_t start);

static const char *rest(const parser *p)
{
    return p->text + p->at;
}

static size_t left(const parser *p)
{
    return p->length - p->at;
}

static void skip_blanks(parser *p)
{
    p->at += quantity_blanks(rest(p), left(p));
}

static char next(const parser *p)
{
    return left(p) ? *rest(p) : '\0';
}

static void take(parser *p, size_t bytes)
{
    p->at += bytes;
    p->end = p->at;
    p->before = p->text[p->at - 1];
}

static tks_place here(const parser *p)
{
    return quantity_place(p->place, p->text, p->at);
}

/* A name: letters, digits behind the first, '_'. */
static size_t word_length(const char *text, size_t length)
{
    size_t end = quantity_letter(text, length), n = end;
    while (n > 0 && end < length) {
        bool joint = text[end] == '_' || (text[end] >= '0' && text[end] <= '9');
        n = joint ? 1 : quantity_letter(text + end, length - end);
        end += n;
    }
    return end;
}

static bool same_word(const char *text, size_t length, const char *word)
{
    return length == strlen(word) && memcmp(text, word, length) == 0;
}

static bool reserved(const char *text, size_t length)
{
    return same_word(text, length, "and") || same_word(text, length, "or") ||
           same_word(text, length, "not");
}

/* Appends one step; change is what it does to the height of the stack. */
static tks_status emit(parser *p, quantity_op op, int change)
{
    if (p->count == QUANTITY_OPS)
        return tks_fail(p->err, TKS_ELIMIT, here(p), "the expression has over %d steps",
                        QUANTITY_OPS);
    p->height += change;
    if (p->height > QUANTITY_DEEPEST)
        return tks_fail(p->err, TKS_ELIMIT, here(p), "the expression nests over %d deep",
                        QUANTITY_DEEPEST);
    p->ops[p->count++] = op;
    return TKS_OK;
}

static quantity_op step(const parser *p, quantity_code code, size_t start, size_t at)
{
    return (quantity_op){.code = (unsigned char)code,
                         .start = (unsigned short)start,
                         .at = (unsigned short)at,
                         .end = (unsigned short)p->end};
}

static tks_status emit_constant(parser *p, tks_quantity constant, size_t start)
{
    quantity_op op = step(p, CODE_CONSTANT, start, start);
    op.constant = constant;
    return emit(p, op, 1);
}

static tks_status unexpected(const parser *p, const char *wanted)
{
    if (!left(p))
        return tks_fail(p->err, TKS_ESYNTAX, here(p), "the text ends where %s is wanted", wanted);
    size_t shown = word_length(rest(p), left(p));
    if (!shown) shown = 1;
    while (shown < left(p) && ((unsigned char)rest(p)[shown] & 0xC0) == 0x80) shown++;
    return tks_fail(p->err, TKS_ESYNTAX, here(p), "'%s' stands where %s is wanted",
                    quantity_quote(rest(p), shown).text, wanted);
}

static tks_status expect(parser *p, char sign, const char *wanted)
{
    skip_blanks(p);
    if (next(p) != sign) return unexpected(p, wanted);
    take(p, 1);
    return TKS_OK;
}

static const struct binary *peek_binary(parser *p)
{
    skip_blanks(p);
    for (size_t i = 0; i < BINARY_COUNT; i++) {
        if (next(p) != binaries[i].text[0]) continue;
        size_t n = strlen(binaries[i].text);
        if (left(p) < n || memcmp(rest(p), binaries[i].text, n) != 0) continue;
        bool word = quantity_letter(binaries[i].text, n) > 0;
        if (!word || word_length(rest(p), left(p)) == n) return &binaries[i];
    }
    return NULL;
}

/* A number with its unit. A minus before it is taken up when the unit's zero is not the SI's;
 * *negative then becomes false. */
static tks_status number(parser *p, bool *negative)
{
    quantity_literal literal = {p->text,   p->length,        p->at,    p->place,
                                p->before, p->arguments > 0, *negative};
    size_t start = p->at, taken = 0;
    tks_quantity constant = {0, {0, 0, 0, 0, 0, 0}};
    tks_status status = quantity_literal_scan(&literal, p->sense, &taken, &constant, p->err);
    if (status) return status;
    take(p, taken);
    *negative = literal.negative;
    return emit_constant(p, constant, start);
}

static const char *function_name(const void *context, size_t i)
{
    (void)context;
    return functions[i].name;
}

static tks_status unknown_name(const parser *p, const char *name, size_t length)
{
    const tks_names *names = p->sense->names;
    quantity_phrase quoted = quantity_quote(name, length);
    size_t word = word_length(name, length);
    bool infinite = base_name_is(name, word, "inf") || base_name_is(name, word, "infinity");
    if (infinite || base_name_is(name, word, "nan"))
        return tks_fail(p->err, TKS_EDOMAIN, here(p), "'%s' is not a number that can be used",
                        quantity_quote(name, word).text);
    const char *nearest = NULL;
    if (names && names->nearest) nearest = names->nearest(names->context, name, length);
    if (!nearest) nearest = base_name_nearest(name, length, FUNCTION_COUNT, function_name, NULL);
    if (!nearest) nearest = quantity_unit_nearest(name, length);
    return tks_fail(p->err, TKS_EUNKNOWN, here(p), "'%s' is not known here%s%s%s", quoted.text,
                    nearest ? "; did you mean " : "", nearest ? nearest : "", nearest ? "?" : "");
}

/* The words from here on as one name, joined by single spaces. Gives the bytes taken, 0 when the
 * name is too long. */
static size_t join_words(const parser *p, char *name, size_t *length)
{
    size_t at = p->at, end = p->at;
    *length = 0;
    for (;;) {
        size_t n = word_length(p->text + at, p->length - at);
        if (!n || (end > p->at && reserved(p->text + at, n))) break;
        if (*length + n + 1 > LONGEST_NAME) return 0;
        if (*length) name[(*length)++] = ' ';
        for (size_t i = 0; i < n; i++)
            name[(*length)++] = (char)(p->text[at + i] == '_' ? ' ' : p->text[at + i]);
        end = at + n;
        at = end + quantity_blanks(p->text + end, p->length - end);
    }
    return end - p->at;
}

static tks_status emit_meaning(parser *p, tks_meaning meaning, size_t start)
{
    if (meaning.slot < 0) return emit_constant(p, meaning.value, start);
    quantity_op op = step(p, CODE_SLOT, start, start);
    op.target = (unsigned)meaning.slot;
    if (op.target >= p->slots) p->slots = (size_t)op.target + 1;
    return emit(p, op, 1);
}

/* `end-thickness` where `end thickness` is known: in files a hyphen joins words, here it is a
 * minus. */
static bool hyphen_for_space(const parser *p, const char *name, size_t length,
                             quantity_phrase *meant)
{
    const tks_names *names = p->sense->names;
    char joined[2 * LONGEST_NAME + 1];
    size_t at = p->at + length, used = length;
    tks_meaning meaning;
    memcpy(joined, name, length);
    while (names && at + 1 < p->length && p->text[at] == '-') {
        size_t n = word_length(p->text + at + 1, p->length - at - 1);
        if (!n || used + n + 1 > LONGEST_NAME) return false;
        joined[used++] = ' ';
        memcpy(joined + used, p->text + at + 1, n);
        used += n;
        at += n + 1;
        *meant = quantity_quote(joined, used);
        if (names->find(names->context, joined, used, &meaning)) return true;
    }
    return false;
}

/* A unit that stands alone, as in `length / mm`. */
static tks_status lone_unit(parser *p, size_t bytes, const char *name, size_t length)
{
    quantity_scale scale;
    size_t start = p->at;
    quantity_phrase meant;
    if (hyphen_for_space(p, name, length, &meant))
        return tks_fail(p->err, TKS_EUNKNOWN, here(p),
                        "'-' is a minus here; write '%s' with a space", meant.text);
    size_t taken = quantity_term_scan(rest(p), left(p), p->sense->thermometer, &scale);
    if (taken < bytes || scale.zero != 0) return unknown_name(p, name, length);
    take(p, taken);
    return emit_constant(p, (tks_quantity){scale.times / scale.over, scale.dimension}, start);
}

static tks_status name(parser *p)
{
    char joined[LONGEST_NAME + 1];
    size_t length, start = p->at, bytes = join_words(p, joined, &length);
    const tks_names *names = p->sense->names;
    tks_meaning meaning = {-1, {M_PI, {0, 0, 0, 0, 0, 0}}};
    if (!bytes)
        return tks_fail(p->err, TKS_ELIMIT, here(p), "a name has at most %d bytes", LONGEST_NAME);
    bool known = names && names->find(names->context, joined, length, &meaning);
    if (!known && !same_word(joined, length, "pi")) return lone_unit(p, bytes, joined, length);
    take(p, bytes);
    return emit_meaning(p, meaning, start);
}

static tks_status arguments(parser *p, const struct function *f, size_t start)
{
    unsigned count = 0;
    tks_status status;
    do {
        if (count > 0) take(p, 1);
        if ((status = expression(p, LEVEL_OR))) return status;
        if (++count > f->most) break;
        bool fold = f->most > 1 && count > 1;
        if (fold && (status = emit(p, step(p, (quantity_code)f->code, start, start), -1)))
            return status;
        skip_blanks(p);
    } while (next(p) == ',');
    if (count < f->least || count > f->most)
        return tks_fail(p->err, TKS_ESYNTAX, quantity_place(p->place, p->text, start),
                        "%s takes %d argument%s", f->name, f->least, f->least > 1 ? "s" : "");
    if ((status = expect(p, ')', "')'"))) return status;
    return f->most == 1 ? emit(p, step(p, (quantity_code)f->code, start, start), 0) : TKS_OK;
}

static void land(parser *p, size_t jump)
{
    p->ops[jump].target = (unsigned)p->count;
}

/* if(condition, a, b): only one of a and b is computed. */
static tks_status choice(parser *p, size_t start)
{
    tks_status status;
    if ((status = expression(p, LEVEL_OR)) || (status = expect(p, ',', "a comma"))) return status;
    size_t branch = p->count;
    if ((status = emit(p, step(p, CODE_BRANCH, start, start), -1))) return status;
    if ((status = expression(p, LEVEL_OR)) || (status = expect(p, ',', "a comma"))) return status;
    size_t jump = p->count;
    if ((status = emit(p, step(p, CODE_JUMP, start, start), -1))) return status;
    land(p, branch);
    if ((status = expression(p, LEVEL_OR)) || (status = expect(p, ')', "')'"))) return status;
    land(p, jump);
    return TKS_OK;
}

static tks_status call(parser *p, const struct function *f)
{
    size_t start = p->at;
    take(p, strlen(f->name));
    tks_status status = expect(p, '(', "'('");
    if (status) return status;
    p->arguments++;
    status = f->code == CODE_BRANCH ? choice(p, start) : arguments(p, f, start);
    p->arguments--;
    return status;
}

static const struct function *peek_function(const parser *p)
{
    size_t n = word_length(rest(p), left(p));
    size_t open = p->at + n + quantity_blanks(rest(p) + n, left(p) - n);
    if (open >= p->length || p->text[open] != '(') return NULL;
    for (size_t i = 0; i < FUNCTION_COUNT; i++)
        if (same_word(rest(p), n, functions[i].name)) return &functions[i];
    return NULL;
}

static bool starts_number(const parser *p)
{
    static const char *const signs[] = {"½", "¼", "¾"};
    char c = next(p);
    if ((c >= '0' && c <= '9') || c == '.') return true;
    for (int i = 0; i < 3; i++)
        if (left(p) >= 2 && memcmp(rest(p), signs[i], 2) == 0) return true;
    return false;
}

static tks_status parenthesis(parser *p)
{
    int arguments_outside = p->arguments;
    take(p, 1);
    p->arguments = 0;
    tks_status status = expression(p, LEVEL_OR);
    p->arguments = arguments_outside;
    return status ? status : expect(p, ')', "')'");
}

static tks_status operand(parser *p)
{
    bool negative = false;
    if (starts_number(p)) return number(p, &negative);
    if (next(p) == '(') return parenthesis(p);
    size_t word = word_length(rest(p), left(p));
    if (!word || reserved(rest(p), word)) return unexpected(p, "a number or a name");
    const struct function *f = peek_function(p);
    return f ? call(p, f) : name(p);
}

static size_t minus_length(const parser *p)
{
    size_t n = strlen("−");
    if (next(p) == '-') return 1;
    return left(p) >= n && memcmp(rest(p), "−", n) == 0 ? n : 0;
}

/* What follows a minus binds as tightly as a power: -x^2 is -(x^2). */
static tks_status negated(parser *p, size_t minus)
{
    size_t start = p->at;
    bool negative = true;
    tks_status status;
    take(p, minus);
    skip_blanks(p);
    size_t number_start = p->at;
    if (!starts_number(p))
        status = expression(p, LEVEL_POWER);
    else if ((status = number(p, &negative)) == TKS_OK)
        status = tail(p, LEVEL_POWER, number_start);
    if (status || !negative) return status;
    return emit(p, step(p, CODE_NEGATE, start, start), 0);
}

/* An operand with its prefix: `not`, '-', and a '+' that changes nothing. */
static tks_status prefixed(parser *p)
{
    size_t start = p->at, minus = minus_length(p);
    if (minus) return negated(p, minus);
    if (next(p) == '+') {
        take(p, 1);
        return expression(p, LEVEL_POWER);
    }
    if (!same_word(rest(p), word_length(rest(p), left(p)), "not")) return operand(p);
    take(p, 3);
    tks_status status = expression(p, LEVEL_NOT);
    return status ? status : emit(p, step(p, CODE_NOT, start, start), 0);
}

/* The right side of `and` and `or`, as 0 or 1. */
static tks_status right_side(parser *p, int least, size_t start, size_t at)
{
    tks_status status = expression(p, least);
    return status ? status : emit(p, step(p, CODE_TRUTH, start, at), 0);
}

/* The side that needs no computing. */
static tks_status decided(parser *p, double truth, size_t at)
{
    return emit_constant(p, (tks_quantity){truth, {0, 0, 0, 0, 0, 0}}, at);
}

/* a and b: if(a, b, 0); a or b: if(a, 1, b). So b is not computed when a decides. */
static tks_status logic(parser *p, const struct binary *op, size_t start, size_t at)
{
    bool both = op->level > LEVEL_OR;
    int least = op->level + 1;
    size_t branch = p->count;
    tks_status status = emit(p, step(p, CODE_BRANCH, start, at), -1);
    if (status) return status;
    if ((status = both ? right_side(p, least, start, at) : decided(p, 1, at))) return status;
    size_t jump = p->count;
    if ((status = emit(p, step(p, CODE_JUMP, start, at), -1))) return status;
    land(p, branch);
    if ((status = both ? decided(p, 0, at) : right_side(p, least, start, at))) return status;
    land(p, jump);
    return TKS_OK;
}

static tks_status binary(parser *p, const struct binary *op, size_t start)
{
    size_t at = p->at;
    take(p, strlen(op->text));
    if (op->code == CODE_MULTIPLY) p->before = '*';
    if (op->code == CODE_BRANCH) return logic(p, op, start, at);
    tks_status status = expression(p, op->level == LEVEL_POWER ? LEVEL_POWER : op->level + 1);
    return status ? status : emit(p, step(p, (quantity_code)op->code, start, at), -1);
}

static tks_status tail(parser *p, int least, size_t start)
{
    const struct binary *op, *last = NULL;
    tks_status status = TKS_OK;
    while (!status && (op = peek_binary(p)) && op->level >= least) {
        if (last && last->level == LEVEL_COMPARISON && op->level == LEVEL_COMPARISON)
            return tks_fail(p->err, TKS_ESYNTAX, here(p),
                            "comparisons do not chain; write a < b and b < c");
        status = binary(p, op, start);
        last = op;
    }
    return status;
}

static tks_status expression(parser *p, int least)
{
    if (p->depth == QUANTITY_DEEPEST)
        return tks_fail(p->err, TKS_ELIMIT, here(p), "the expression nests over %d deep",
                        QUANTITY_DEEPEST);
    p->depth++;
    skip_blanks(p);
    size_t start = p->at;
    tks_status status = prefixed(p);
    if (!status) status = tail(p, least, start);
    p->depth--;
    return status;
}

tks_status quantity_compile(const char *text, size_t length, tks_place at,
                            const quantity_sense *sense, quantity_op *ops, tks_expression *compiled,
                            tks_error *err)
{
    parser p = {
        .text = text, .length = length, .place = at, .sense = sense, .ops = ops, .err = err};
    if (length > QUANTITY_LONGEST)
        return tks_fail(err, TKS_ELIMIT, at, "an expression has at most %d bytes; this one has %zu",
                        QUANTITY_LONGEST, length);
    tks_status status = expression(&p, LEVEL_OR);
    if (status) return status;
    skip_blanks(&p);
    if (left(&p)) return unexpected(&p, "the end, or a sign as + or *,");
    *compiled = (tks_expression){ops, text, p.count, length, p.slots, at};
    return TKS_OK;
}

tks_status tks_expression_compile(tks_arena *arena, const char *text, size_t length, tks_place at,
                                  const tks_names *names, const tks_expression **expression_out,
                                  tks_error *err)
{
    const quantity_sense sense = {names, false};
    quantity_op ops[QUANTITY_OPS];
    tks_expression compiled;
    if (length == 0) text = "";
    tks_status status = quantity_compile(text, length, at, &sense, ops, &compiled, err);
    if (status) return status;
    tks_expression *kept = tks_arena_take(arena, 1, sizeof *kept);
    quantity_op *kept_ops = tks_arena_take(arena, compiled.count, sizeof *kept_ops);
    const char *kept_text = tks_arena_text(arena, text, length);
    if (!kept || !kept_ops || !kept_text)
        return tks_fail(err, TKS_EMEMORY, at, "memory is short for an expression of %zu bytes",
                        length);
    memcpy(kept_ops, ops, compiled.count * sizeof *ops);
    *kept = compiled;
    kept->ops = kept_ops;
    kept->text = kept_text;
    *expression_out = kept;
    return TKS_OK;
}

size_t tks_expression_slots(const tks_expression *e)
{
    return e->slots;
}
