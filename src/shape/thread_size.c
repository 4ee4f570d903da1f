/* Standard thread sizes. "copy" in a source: read from a secondary copy of the standard. */
#include "tankside/thread_size.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#define INCH 25.4e-3
#define MM   1e-3

static const char iso_261_copy[] = "ISO 261 and ISO 724, secondary copy";
static const char iso_261[] = "ISO 261, from memory";
static const char b1_1_copy[] = "ASME B1.1, secondary copy";
static const char b1_1[] = "ASME B1.1, from memory";
static const char bs_84_copy[] = "BS 84, from BS 1083 table 1, secondary copy";
static const char bs_84[] = "BS 84, from memory";
static const char bs_93[] =
    "BS 93, from memory; follows the rule pitch 0.9^n, diameter 6 pitch^1.2";

static const tks_thread_size sizes[] = {
    {"M1.6x0.35", TKS_SERIES_METRIC_COARSE, -1, 1.6, 0.35, iso_261_copy},
    {"M1.8x0.35", TKS_SERIES_METRIC_COARSE, -1, 1.8, 0.35, iso_261_copy},
    {"M2x0.4", TKS_SERIES_METRIC_COARSE, -1, 2, 0.4, iso_261_copy},
    {"M2.2x0.45", TKS_SERIES_METRIC_COARSE, -1, 2.2, 0.45, iso_261_copy},
    {"M2.5x0.45", TKS_SERIES_METRIC_COARSE, -1, 2.5, 0.45, iso_261_copy},
    {"M3x0.5", TKS_SERIES_METRIC_COARSE, -1, 3, 0.5, iso_261_copy},
    {"M3.5x0.6", TKS_SERIES_METRIC_COARSE, -1, 3.5, 0.6, iso_261_copy},
    {"M4x0.7", TKS_SERIES_METRIC_COARSE, -1, 4, 0.7, iso_261_copy},
    {"M4.5x0.75", TKS_SERIES_METRIC_COARSE, -1, 4.5, 0.75, iso_261_copy},
    {"M5x0.8", TKS_SERIES_METRIC_COARSE, -1, 5, 0.8, iso_261_copy},
    {"M6x1", TKS_SERIES_METRIC_COARSE, -1, 6, 1, iso_261_copy},
    {"M7x1", TKS_SERIES_METRIC_COARSE, -1, 7, 1, iso_261_copy},
    {"M8x1.25", TKS_SERIES_METRIC_COARSE, -1, 8, 1.25, iso_261_copy},
    {"M9x1.25", TKS_SERIES_METRIC_COARSE, -1, 9, 1.25, iso_261_copy},
    {"M10x1.5", TKS_SERIES_METRIC_COARSE, -1, 10, 1.5, iso_261_copy},
    {"M11x1.5", TKS_SERIES_METRIC_COARSE, -1, 11, 1.5, iso_261_copy},
    {"M12x1.75", TKS_SERIES_METRIC_COARSE, -1, 12, 1.75, iso_261_copy},
    {"M14x2", TKS_SERIES_METRIC_COARSE, -1, 14, 2, iso_261_copy},
    {"M16x2", TKS_SERIES_METRIC_COARSE, -1, 16, 2, iso_261_copy},
    {"M18x2.5", TKS_SERIES_METRIC_COARSE, -1, 18, 2.5, iso_261_copy},
    {"M20x2.5", TKS_SERIES_METRIC_COARSE, -1, 20, 2.5, iso_261_copy},
    {"M22x2.5", TKS_SERIES_METRIC_COARSE, -1, 22, 2.5, iso_261},
    {"M24x3", TKS_SERIES_METRIC_COARSE, -1, 24, 3, iso_261_copy},
    {"M27x3", TKS_SERIES_METRIC_COARSE, -1, 27, 3, iso_261},
    {"M30x3.5", TKS_SERIES_METRIC_COARSE, -1, 30, 3.5, iso_261},
    {"M33x3.5", TKS_SERIES_METRIC_COARSE, -1, 33, 3.5, iso_261},
    {"M36x4", TKS_SERIES_METRIC_COARSE, -1, 36, 4, iso_261},
    {"M1.6x0.2", TKS_SERIES_METRIC_FINE, -1, 1.6, 0.2, iso_261},
    {"M2x0.25", TKS_SERIES_METRIC_FINE, -1, 2, 0.25, iso_261},
    {"M2.5x0.35", TKS_SERIES_METRIC_FINE, -1, 2.5, 0.35, iso_261},
    {"M3x0.35", TKS_SERIES_METRIC_FINE, -1, 3, 0.35, iso_261},
    {"M4x0.5", TKS_SERIES_METRIC_FINE, -1, 4, 0.5, iso_261},
    {"M5x0.5", TKS_SERIES_METRIC_FINE, -1, 5, 0.5, iso_261_copy},
    {"M6x0.75", TKS_SERIES_METRIC_FINE, -1, 6, 0.75, iso_261_copy},
    {"M6x0.5", TKS_SERIES_METRIC_FINE, -1, 6, 0.5, iso_261_copy},
    {"M8x1", TKS_SERIES_METRIC_FINE, -1, 8, 1, iso_261_copy},
    {"M8x0.75", TKS_SERIES_METRIC_FINE, -1, 8, 0.75, iso_261_copy},
    {"M10x1.25", TKS_SERIES_METRIC_FINE, -1, 10, 1.25, iso_261_copy},
    {"M10x1", TKS_SERIES_METRIC_FINE, -1, 10, 1, iso_261_copy},
    {"M10x0.75", TKS_SERIES_METRIC_FINE, -1, 10, 0.75, iso_261_copy},
    {"M12x1.5", TKS_SERIES_METRIC_FINE, -1, 12, 1.5, iso_261},
    {"M12x1.25", TKS_SERIES_METRIC_FINE, -1, 12, 1.25, iso_261},
    {"M12x1", TKS_SERIES_METRIC_FINE, -1, 12, 1, iso_261},
    {"M14x1.5", TKS_SERIES_METRIC_FINE, -1, 14, 1.5, iso_261},
    {"M14x1.25", TKS_SERIES_METRIC_FINE, -1, 14, 1.25, iso_261},
    {"M14x1", TKS_SERIES_METRIC_FINE, -1, 14, 1, iso_261},
    {"M16x1.5", TKS_SERIES_METRIC_FINE, -1, 16, 1.5, iso_261},
    {"M16x1", TKS_SERIES_METRIC_FINE, -1, 16, 1, iso_261},
    {"M18x2", TKS_SERIES_METRIC_FINE, -1, 18, 2, iso_261},
    {"M18x1.5", TKS_SERIES_METRIC_FINE, -1, 18, 1.5, iso_261},
    {"M18x1", TKS_SERIES_METRIC_FINE, -1, 18, 1, iso_261},
    {"M20x2", TKS_SERIES_METRIC_FINE, -1, 20, 2, iso_261},
    {"M20x1.5", TKS_SERIES_METRIC_FINE, -1, 20, 1.5, iso_261},
    {"M20x1", TKS_SERIES_METRIC_FINE, -1, 20, 1, iso_261},
    {"M22x2", TKS_SERIES_METRIC_FINE, -1, 22, 2, iso_261},
    {"M22x1.5", TKS_SERIES_METRIC_FINE, -1, 22, 1.5, iso_261},
    {"M22x1", TKS_SERIES_METRIC_FINE, -1, 22, 1, iso_261},
    {"M24x2", TKS_SERIES_METRIC_FINE, -1, 24, 2, iso_261},
    {"M24x1.5", TKS_SERIES_METRIC_FINE, -1, 24, 1.5, iso_261},
    {"M24x1", TKS_SERIES_METRIC_FINE, -1, 24, 1, iso_261},
    {"M27x2", TKS_SERIES_METRIC_FINE, -1, 27, 2, iso_261},
    {"M27x1.5", TKS_SERIES_METRIC_FINE, -1, 27, 1.5, iso_261},
    {"M27x1", TKS_SERIES_METRIC_FINE, -1, 27, 1, iso_261},
    {"M30x3", TKS_SERIES_METRIC_FINE, -1, 30, 3, iso_261},
    {"M30x2", TKS_SERIES_METRIC_FINE, -1, 30, 2, iso_261},
    {"M30x1.5", TKS_SERIES_METRIC_FINE, -1, 30, 1.5, iso_261},
    {"M30x1", TKS_SERIES_METRIC_FINE, -1, 30, 1, iso_261},
    {"M33x3", TKS_SERIES_METRIC_FINE, -1, 33, 3, iso_261},
    {"M33x2", TKS_SERIES_METRIC_FINE, -1, 33, 2, iso_261},
    {"M33x1.5", TKS_SERIES_METRIC_FINE, -1, 33, 1.5, iso_261},
    {"M36x3", TKS_SERIES_METRIC_FINE, -1, 36, 3, iso_261},
    {"M36x2", TKS_SERIES_METRIC_FINE, -1, 36, 2, iso_261},
    {"M36x1.5", TKS_SERIES_METRIC_FINE, -1, 36, 1.5, iso_261},
    {"4-40 UNC", TKS_SERIES_UNC, 4, 0.112, 40, b1_1_copy},
    {"5-40 UNC", TKS_SERIES_UNC, 5, 0.125, 40, b1_1_copy},
    {"6-32 UNC", TKS_SERIES_UNC, 6, 0.138, 32, b1_1_copy},
    {"8-32 UNC", TKS_SERIES_UNC, 8, 0.164, 32, b1_1_copy},
    {"10-24 UNC", TKS_SERIES_UNC, 10, 0.19, 24, b1_1_copy},
    {"12-24 UNC", TKS_SERIES_UNC, 12, 0.216, 24, b1_1_copy},
    {"1/4-20 UNC", TKS_SERIES_UNC, -1, 1 / 4.0, 20, b1_1_copy},
    {"5/16-18 UNC", TKS_SERIES_UNC, -1, 5 / 16.0, 18, b1_1_copy},
    {"3/8-16 UNC", TKS_SERIES_UNC, -1, 3 / 8.0, 16, b1_1_copy},
    {"7/16-14 UNC", TKS_SERIES_UNC, -1, 7 / 16.0, 14, b1_1_copy},
    {"1/2-13 UNC", TKS_SERIES_UNC, -1, 1 / 2.0, 13, b1_1_copy},
    {"9/16-12 UNC", TKS_SERIES_UNC, -1, 9 / 16.0, 12, b1_1_copy},
    {"5/8-11 UNC", TKS_SERIES_UNC, -1, 5 / 8.0, 11, b1_1_copy},
    {"3/4-10 UNC", TKS_SERIES_UNC, -1, 3 / 4.0, 10, b1_1_copy},
    {"7/8-9 UNC", TKS_SERIES_UNC, -1, 7 / 8.0, 9, b1_1},
    {"1-8 UNC", TKS_SERIES_UNC, -1, 1, 8, b1_1},
    {"4-48 UNF", TKS_SERIES_UNF, 4, 0.112, 48, b1_1_copy},
    {"5-44 UNF", TKS_SERIES_UNF, 5, 0.125, 44, b1_1_copy},
    {"6-40 UNF", TKS_SERIES_UNF, 6, 0.138, 40, b1_1_copy},
    {"8-36 UNF", TKS_SERIES_UNF, 8, 0.164, 36, b1_1_copy},
    {"10-32 UNF", TKS_SERIES_UNF, 10, 0.19, 32, b1_1_copy},
    {"12-28 UNF", TKS_SERIES_UNF, 12, 0.216, 28, b1_1_copy},
    {"1/4-28 UNF", TKS_SERIES_UNF, -1, 1 / 4.0, 28, b1_1_copy},
    {"5/16-24 UNF", TKS_SERIES_UNF, -1, 5 / 16.0, 24, b1_1_copy},
    {"3/8-24 UNF", TKS_SERIES_UNF, -1, 3 / 8.0, 24, b1_1_copy},
    {"7/16-20 UNF", TKS_SERIES_UNF, -1, 7 / 16.0, 20, b1_1_copy},
    {"1/2-20 UNF", TKS_SERIES_UNF, -1, 1 / 2.0, 20, b1_1_copy},
    {"9/16-18 UNF", TKS_SERIES_UNF, -1, 9 / 16.0, 18, b1_1},
    {"5/8-18 UNF", TKS_SERIES_UNF, -1, 5 / 8.0, 18, b1_1_copy},
    {"3/4-16 UNF", TKS_SERIES_UNF, -1, 3 / 4.0, 16, b1_1_copy},
    {"7/8-14 UNF", TKS_SERIES_UNF, -1, 7 / 8.0, 14, b1_1},
    {"1-12 UNF", TKS_SERIES_UNF, -1, 1, 12, b1_1},
    {"1/8-40 BSW", TKS_SERIES_BSW, -1, 1 / 8.0, 40, bs_84},
    {"5/32-32 BSW", TKS_SERIES_BSW, -1, 5 / 32.0, 32, bs_84},
    {"3/16-24 BSW", TKS_SERIES_BSW, -1, 3 / 16.0, 24, bs_84},
    {"7/32-24 BSW", TKS_SERIES_BSW, -1, 7 / 32.0, 24, bs_84},
    {"1/4-20 BSW", TKS_SERIES_BSW, -1, 1 / 4.0, 20, bs_84_copy},
    {"5/16-18 BSW", TKS_SERIES_BSW, -1, 5 / 16.0, 18, bs_84_copy},
    {"3/8-16 BSW", TKS_SERIES_BSW, -1, 3 / 8.0, 16, bs_84_copy},
    {"7/16-14 BSW", TKS_SERIES_BSW, -1, 7 / 16.0, 14, bs_84_copy},
    {"1/2-12 BSW", TKS_SERIES_BSW, -1, 1 / 2.0, 12, bs_84_copy},
    {"9/16-12 BSW", TKS_SERIES_BSW, -1, 9 / 16.0, 12, bs_84_copy},
    {"5/8-11 BSW", TKS_SERIES_BSW, -1, 5 / 8.0, 11, bs_84_copy},
    {"11/16-11 BSW", TKS_SERIES_BSW, -1, 11 / 16.0, 11, bs_84},
    {"3/4-10 BSW", TKS_SERIES_BSW, -1, 3 / 4.0, 10, bs_84_copy},
    {"7/8-9 BSW", TKS_SERIES_BSW, -1, 7 / 8.0, 9, bs_84_copy},
    {"1-8 BSW", TKS_SERIES_BSW, -1, 1, 8, bs_84_copy},
    {"3/16-32 BSF", TKS_SERIES_BSF, -1, 3 / 16.0, 32, bs_84},
    {"7/32-28 BSF", TKS_SERIES_BSF, -1, 7 / 32.0, 28, bs_84},
    {"1/4-26 BSF", TKS_SERIES_BSF, -1, 1 / 4.0, 26, bs_84_copy},
    {"9/32-26 BSF", TKS_SERIES_BSF, -1, 9 / 32.0, 26, bs_84},
    {"5/16-22 BSF", TKS_SERIES_BSF, -1, 5 / 16.0, 22, bs_84_copy},
    {"3/8-20 BSF", TKS_SERIES_BSF, -1, 3 / 8.0, 20, bs_84_copy},
    {"7/16-18 BSF", TKS_SERIES_BSF, -1, 7 / 16.0, 18, bs_84_copy},
    {"1/2-16 BSF", TKS_SERIES_BSF, -1, 1 / 2.0, 16, bs_84_copy},
    {"9/16-16 BSF", TKS_SERIES_BSF, -1, 9 / 16.0, 16, bs_84_copy},
    {"5/8-14 BSF", TKS_SERIES_BSF, -1, 5 / 8.0, 14, bs_84_copy},
    {"11/16-14 BSF", TKS_SERIES_BSF, -1, 11 / 16.0, 14, bs_84},
    {"3/4-12 BSF", TKS_SERIES_BSF, -1, 3 / 4.0, 12, bs_84_copy},
    {"7/8-11 BSF", TKS_SERIES_BSF, -1, 7 / 8.0, 11, bs_84_copy},
    {"1-10 BSF", TKS_SERIES_BSF, -1, 1, 10, bs_84_copy},
    {"0 BA", TKS_SERIES_BA, 0, 6, 1, bs_93},
    {"1 BA", TKS_SERIES_BA, 1, 5.3, 0.9, bs_93},
    {"2 BA", TKS_SERIES_BA, 2, 4.7, 0.81, bs_93},
    {"3 BA", TKS_SERIES_BA, 3, 4.1, 0.73, bs_93},
    {"4 BA", TKS_SERIES_BA, 4, 3.6, 0.66, bs_93},
    {"5 BA", TKS_SERIES_BA, 5, 3.2, 0.59, bs_93},
    {"6 BA", TKS_SERIES_BA, 6, 2.8, 0.53, bs_93},
    {"7 BA", TKS_SERIES_BA, 7, 2.5, 0.48, bs_93},
    {"8 BA", TKS_SERIES_BA, 8, 2.2, 0.43, bs_93},
    {"9 BA", TKS_SERIES_BA, 9, 1.9, 0.39, bs_93},
    {"10 BA", TKS_SERIES_BA, 10, 1.7, 0.35, bs_93},
};

enum { COUNT = sizeof sizes / sizeof *sizes };

static const struct {
    const char *name, *suffix;
    tks_thread_form form;
    double unit;
    bool per_inch;
} series_rows[TKS_SERIES_COUNT] = {
    {"ISO metric coarse", "", TKS_THREAD_METRIC, MM, false},
    {"ISO metric fine", "", TKS_THREAD_METRIC, MM, false},
    {"UNC", "unc", TKS_THREAD_UNIFIED, INCH, true},
    {"UNF", "unf", TKS_THREAD_UNIFIED, INCH, true},
    {"BSW", "bsw", TKS_THREAD_WHITWORTH, INCH, true},
    {"BSF", "bsf", TKS_THREAD_WHITWORTH, INCH, true},
    {"BA", "ba", TKS_THREAD_BA, MM, false},
};

const char *tks_thread_series_name(tks_thread_series series)
{
    return (unsigned)series < TKS_SERIES_COUNT ? series_rows[series].name : "unknown";
}

const tks_thread_size *tks_thread_sizes(size_t *count)
{
    *count = COUNT;
    return sizes;
}

static double pitch_of(const tks_thread_size *size)
{
    return series_rows[size->series].per_inch ? INCH / size->pitch : size->pitch * MM;
}

tks_thread tks_thread_of_size(const tks_thread_size *size)
{
    return (tks_thread){.form = series_rows[size->series].form,
                        .diameter = size->diameter * series_rows[size->series].unit,
                        .pitch = pitch_of(size)};
}

const tks_thread_size *tks_thread_size_of(const tks_thread *thread)
{
    for (size_t i = 0; i < COUNT; i++) {
        tks_thread t = tks_thread_of_size(&sizes[i]);
        if (t.form == thread->form && fabs(t.diameter - thread->diameter) < 1e-9 &&
            fabs(t.pitch - thread->pitch) < 1e-9)
            return &sizes[i];
    }
    return NULL;
}

/* ------------------------------------------------------------------ reading */

/* What was written, taken apart. family: the series' suffix, "m" for metric, "" when none was
 * written. */
typedef struct written {
    char text[40]; /* lower case, without spaces and quotes */
    char family[4];
    int number;             /* of "No. 4" and BA; -1 */
    double diameter, pitch; /* as written: mm or in, mm or threads per inch; 0: not written */
} written;

/* Lower case, spaces and inch marks dropped, a comma as a point, a multiplication sign as x. */
static bool squeeze(const char *text, size_t length, written *w)
{
    size_t n = 0;
    for (size_t i = 0; i < length; i++) {
        unsigned char c = (unsigned char)text[i];
        if (isspace(c) || c == '"' || c == '_') continue;
        if (c == 0xC3 && i + 1 < length && (unsigned char)text[i + 1] == 0x97) { /* UTF-8 times */
            c = 'x';
            i++;
        }
        if (c == '*') c = 'x';
        if (c == ',') c = '.';
        if (n + 1 >= sizeof w->text) return false;
        w->text[n++] = (char)tolower(c);
    }
    w->text[n] = '\0';
    return n > 0;
}

/* Cuts an ending, with a '-' before it, off the text. */
static bool cut_ending(char *text, const char *ending)
{
    size_t length = strlen(text), tail = strlen(ending);
    if (length <= tail || strcmp(text + length - tail, ending)) return false;
    length -= tail;
    if (text[length - 1] == '-') length--;
    text[length] = '\0';
    return true;
}

static void take_hand(char *text, tks_designation *d)
{
    bool left = cut_ending(text, "lefthand") || cut_ending(text, "left") || cut_ending(text, "lh");
    bool right = !left && (cut_ending(text, "righthand") || cut_ending(text, "right") ||
                           cut_ending(text, "rh"));
    d->left = left;
    d->hand_said = left || right;
}

/* Tolerance classes stand behind a '-': 6g, 6H, 5g6g, 2A, 3B. */
static void take_tolerance(char *text, tks_designation *d)
{
    char *dash = strrchr(text, '-');
    if (!dash || dash == text) return;
    size_t n = strlen(dash + 1);
    if (n < 2 || n > 4 || n % 2) return;
    for (size_t i = 0; i < n; i++)
        if (i % 2 == 0 ? !isdigit((unsigned char)dash[1 + i]) : !strchr("abghef", dash[1 + i]))
            return;
    snprintf(d->tolerance, sizeof d->tolerance, "%.4s", dash + 1);
    *dash = '\0';
}

/* Digits with a point; strtod is not used, as it follows the locale and knows 0x, e and nan. */
static double read_digits(const char **text)
{
    double value = 0, place = 1;
    for (; isdigit((unsigned char)**text); ++*text) value = 10 * value + (**text - '0');
    if (**text != '.') return value;
    for (++*text; isdigit((unsigned char)**text); ++*text) value += (**text - '0') * (place /= 10);
    return value;
}

/* A number or a fraction. */
static bool read_number(const char **text, double *value)
{
    if (!isdigit((unsigned char)**text) && **text != '.') return false;
    *value = read_digits(text);
    if (**text != '/') return true;
    ++*text;
    double under = read_digits(text);
    *value /= under;
    return under > 0;
}

static const char *skip_number_mark(const char *text)
{
    if (*text == '#') return text + 1;
    if (!strncmp(text, "no.", 3)) return text + 3;
    return strncmp(text, "no", 2) ? text : text + 2;
}

/* Takes the family's name from either end of the text; gives the rest. */
static const char *take_family(written *w)
{
    static const char *const words[][2] = {
        {"unc", "unc"},       {"unf", "unf"},  {"bsw", "bsw"}, {"bsf", "bsf"},
        {"whitworth", "bsw"}, {"whit", "bsw"}, {"ba", "ba"},
    };
    for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
        size_t n = strlen(words[i][0]);
        bool front = !strncmp(w->text, words[i][0], n);
        if (!front && !cut_ending(w->text, words[i][0])) continue;
        snprintf(w->family, sizeof w->family, "%s", words[i][1]);
        return w->text + (front ? n : 0);
    }
    if (w->text[0] == 'm' && (isdigit((unsigned char)w->text[1]) || w->text[1] == '.')) {
        snprintf(w->family, sizeof w->family, "m");
        return w->text + 1;
    }
    return w->text;
}

static bool take_apart(written *w)
{
    const char *rest = take_family(w), *marked = skip_number_mark(rest);
    bool number = marked != rest || !strcmp(w->family, "ba");
    if (!read_number(&marked, &w->diameter)) return false;
    if (!number && w->family[0] != 'm' && !strncmp(marked, "in", 2)) marked += 2;
    w->number = -1;
    /* 4-40, 10-24: screw numbers; 1-8 is one inch, and no inch size over 1 in has a row */
    if (w->family[0] != 'm' && w->diameter == floor(w->diameter) && (number || w->diameter > 1))
        w->number = (int)fmin(w->diameter, 1000);
    if (*marked == 'x' || *marked == '-') {
        marked++;
        if (!read_number(&marked, &w->pitch)) return false;
    }
    return *marked == '\0';
}

static bool family_fits(const written *w, const tks_thread_size *s)
{
    bool metric = s->series <= TKS_SERIES_METRIC_FINE;
    if (!w->family[0]) return !metric && s->series != TKS_SERIES_BA && w->pitch > 0;
    return w->family[0] == 'm' ? metric : !strcmp(w->family, series_rows[s->series].suffix);
}

static bool size_fits(const written *w, const tks_thread_size *s)
{
    if (w->number >= 0 || s->number >= 0) return w->number == s->number;
    return fabs(w->diameter - s->diameter) < 1e-6 * s->diameter;
}

static const tks_thread_size *find_row(const written *w)
{
    for (size_t i = 0; i < COUNT; i++) {
        const tks_thread_size *s = &sizes[i];
        if (!family_fits(w, s) || !size_fits(w, s)) continue;
        if (w->pitch == 0 && s->series != TKS_SERIES_METRIC_FINE) return s;
        if (fabs(w->pitch - s->pitch) < 1e-6 * s->pitch) return s;
    }
    return NULL;
}

/* How far a row is from what was written: diameter counts ten times as much as pitch. */
static double row_distance(const written *w, const tks_thread_size *s)
{
    double wanted = w->number < 0         ? w->diameter
                    : w->family[0] == 'b' ? NAN
                                          : 0.060 + 0.013 * w->number;
    double distance = w->number >= 0 && s->number >= 0 ? fabs((double)w->number - s->number)
                      : isnan(wanted)                  ? INFINITY
                                                       : 10 * fabs(log(wanted / s->diameter));
    if (w->pitch > 0) return distance + fabs(log(w->pitch / s->pitch));
    return s->series == TKS_SERIES_METRIC_FINE ? distance + 1 : distance;
}

static const tks_thread_size *nearest_row(const written *w, const tks_thread_size *but)
{
    const tks_thread_size *best = NULL;
    double least = INFINITY;
    for (size_t i = 0; i < COUNT; i++) {
        bool wanted = w->family[0]
                          ? family_fits(w, &sizes[i])
                          : sizes[i].series == TKS_SERIES_UNC || sizes[i].series == TKS_SERIES_UNF;
        double distance = wanted && &sizes[i] != but ? row_distance(w, &sizes[i]) : INFINITY;
        if (distance >= least) continue;
        least = distance;
        best = &sizes[i];
    }
    return best;
}

static tks_status fail_unknown(const written *w, const char *text, size_t length, tks_place at,
                               tks_error *err)
{
    const tks_thread_size *first = nearest_row(w, NULL);
    const tks_thread_size *second = first ? nearest_row(w, first) : NULL;
    if (!second)
        return tks_fail(err, TKS_EUNKNOWN, at, "no standard thread is called '%.*s'", (int)length,
                        text);
    return tks_fail(err, TKS_EUNKNOWN, at,
                    "no standard thread is called '%.*s'; the nearest are %s and %s", (int)length,
                    text, first->name, second->name);
}

tks_status tks_thread_find(const char *text, size_t length, tks_place at,
                           tks_designation *designation, tks_error *err)
{
    written w = {.number = -1};
    tks_designation d = {0};
    bool read = squeeze(text, length, &w);
    if (read) {
        take_hand(w.text, &d);
        take_tolerance(w.text, &d);
        read = take_apart(&w);
    }
    if (!read)
        return tks_fail(err, TKS_ESYNTAX, at,
                        "'%.*s' is no thread; write M8x1.25, M8, 1/4-20 UNC, 3/8 BSW or 4 BA",
                        (int)(length < 60 ? length : 60), text);
    d.size = find_row(&w);
    if (!d.size) return fail_unknown(&w, text, length, at, err);
    *designation = d;
    return TKS_OK;
}
