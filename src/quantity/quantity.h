/* What the files of this room share: unit scales, scanning of numbers and units, programs. */
#ifndef QUANTITY_QUANTITY_H
#define QUANTITY_QUANTITY_H

#include "tankside/quantity.h"

#include <stdbool.h>
#include <stddef.h>
#include <string.h>

enum { QUANTITY_LONGEST = 4096, QUANTITY_DEEPEST = 64, QUANTITY_OPS = 1024 };

/* SI value = (number + zero) * times / over. Two whole numbers where the definition has them, so
 * that `8 mm` is 8 / 1000 rounded once, the same double as 0.008. */
typedef struct quantity_scale {
    double times, over, zero;
    tks_dimension dimension;
} quantity_scale;

static inline double quantity_to_si(double number, const quantity_scale *scale)
{
    return (number + scale->zero) * scale->times / scale->over;
}

static inline double quantity_from_si(double value, const quantity_scale *scale)
{
    return value * scale->over / scale->times - scale->zero;
}

/* What a text is scanned with: names that beat units, and whether C and F are temperatures. */
typedef struct quantity_sense {
    const tks_names *names;
    bool thermometer;
} quantity_sense;

/* Bytes of the letter (ASCII, or any other character that is no operator, digit or space) at the
 * start of text; 0 when there is none. */
size_t quantity_letter(const char *text, size_t length);

/* Bytes of the blanks at the start of text: spaces, tabs, line ends, no-break spaces. */
size_t quantity_blanks(const char *text, size_t length);

/* Scans a decimal number without a sign; gives the bytes taken, 0 when there is none. Correctly
 * rounded whatever the locale; infinite when too large, NaN when of more than 400 digits. */
size_t quantity_number_scan(const char *text, size_t length, double *number);

/* Scans one unit with its exponent ("mm", "mm^2", "cm2"), and the longest tight product of units
 * ("A/dm^2"); gives the bytes taken, 0 when there is none. */
size_t quantity_term_scan(const char *text, size_t length, bool thermometer, quantity_scale *out);
size_t quantity_unit_scan(const char *text, size_t length, const quantity_sense *sense,
                          quantity_scale *out);

/* The table unit whose name is most like text, or NULL. */
const char *quantity_unit_nearest(const char *text, size_t length);

/* out = a + times b, exponent by exponent, an angle losing itself beside another dimension; false
 * when an exponent passes what a dimension can hold. */
bool quantity_dimension_add(tks_dimension a, tks_dimension b, int times, tks_dimension *out);

static inline bool quantity_dimension_same(tks_dimension a, tks_dimension b)
{
    return memcmp(&a, &b, sizeof a) == 0;
}

static inline bool quantity_dimension_none(tks_dimension d)
{
    return quantity_dimension_same(d, (tks_dimension){0, 0, 0, 0, 0, 0});
}

/* "a length", "an area", "a plain number", "a quantity in m^2*A". */
typedef struct quantity_phrase {
    char text[96];
} quantity_phrase;
quantity_phrase quantity_describe(tks_dimension dimension);

/* A printable copy of what was read, cut to a length that fits a message. */
quantity_phrase quantity_quote(const char *text, size_t length);

/* The unit in which people of a unit system usually give a kind; "" for a plain number. */
const char *quantity_usual_unit(tks_kind kind, tks_system system);

/* One step of a program for a stack of quantities. The order is that of the tables in value.c. */
typedef enum quantity_code {
    CODE_CONSTANT,
    CODE_SLOT,
    CODE_JUMP,   /* to target */
    CODE_BRANCH, /* takes a truth value; to target when false */
    CODE_ADD,
    CODE_SUBTRACT,
    CODE_MULTIPLY,
    CODE_DIVIDE,
    CODE_POWER,
    CODE_EQUAL,
    CODE_UNEQUAL,
    CODE_LESS,
    CODE_LESS_EQUAL,
    CODE_MORE,
    CODE_MORE_EQUAL,
    CODE_MIN,
    CODE_MAX,
    CODE_ATAN2,
    CODE_NEGATE,
    CODE_NOT,
    CODE_TRUTH, /* any truth value to 0 or 1 */
    CODE_SQRT,
    CODE_ABS,
    CODE_SIN,
    CODE_COS,
    CODE_TAN,
    CODE_ASIN,
    CODE_ACOS,
    CODE_ATAN,
    CODE_FLOOR,
    CODE_CEIL,
    CODE_ROUND
} quantity_code;

typedef struct quantity_op {
    unsigned char code;
    unsigned short start, at, end; /* bytes of the source: its part, and the operator in it */
    unsigned target;               /* of a jump; slot of CODE_SLOT */
    tks_quantity constant;
} quantity_op;

struct tks_expression {
    const quantity_op *ops;
    const char *text; /* the source, for messages */
    size_t count, length, slots;
    tks_place at; /* of the source's first byte */
};

/* The place of byte offset of a source that starts at place; columns count characters. */
tks_place quantity_place(tks_place place, const char *text, size_t offset);

/* Compiles into ops (room for QUANTITY_OPS); the expression borrows ops and text. Allocates
 * nothing. Errors as tks_expression_compile. */
tks_status quantity_compile(const char *text, size_t length, tks_place at,
                            const quantity_sense *sense, quantity_op *ops,
                            tks_expression *expression, tks_error *err);

/* Scans a quantity as people write it: `8 mm`, `1 1/2 in`, `5/16 in`, `1 h 20 min`, `8`. Inside
 * function arguments a comma parts them, elsewhere `8,5` is refused. at is where text[0] stands;
 * before is the byte before it that is no blank (0: none). negative is set on entry when a minus
 * stands before; it is cleared when the quantity took it up, as `-5 degC` must. */
typedef struct quantity_literal {
    const char *text; /* the whole source */
    size_t length, offset;
    tks_place at; /* of text[0] */
    char before;
    bool arguments, negative;
} quantity_literal;
tks_status quantity_literal_scan(quantity_literal *literal, const quantity_sense *sense,
                                 size_t *taken, tks_quantity *out, tks_error *err);

#endif
