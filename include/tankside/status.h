/* Status codes, places in a file, and messages that name the place. room: base */
#ifndef TANKSIDE_STATUS_H
#define TANKSIDE_STATUS_H

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/* One list for code and text. The exit code of the program follows from it (see the manual page).
 */
/* clang-format off */
#define TKS_STATUS_LIST(X)                                            \
    X(TKS_OK,         "no error")                                     \
    X(TKS_EMEMORY,    "out of memory")                                \
    X(TKS_EDOMAIN,    "value out of range")                           \
    X(TKS_EDIMENSION, "wrong kind of quantity")                       \
    X(TKS_ESYNTAX,    "cannot read this text")                        \
    X(TKS_EUNKNOWN,   "unknown name")                                 \
    X(TKS_EMISSING,   "a value is missing")                           \
    X(TKS_ELIMIT,     "a limit was reached")                          \
    X(TKS_EOPEN,      "cannot open the file")                         \
    X(TKS_EREAD,      "cannot read the file")                         \
    X(TKS_EWRITE,     "cannot write the file")                        \
    X(TKS_EGEOMETRY,  "this solid cannot exist")                      \
    X(TKS_ECONVERGE,  "the computation did not converge")             \
    X(TKS_EUSAGE,     "the command was not understood")               \
    X(TKS_EINTERNAL,  "an internal error")
/* clang-format on */

typedef enum tks_status {
#define TKS_STATUS_CODE(code, text) code,
    TKS_STATUS_LIST(TKS_STATUS_CODE)
#undef TKS_STATUS_CODE
        TKS_STATUS_COUNT
} tks_status;

/* A place in a text. line and column count from 1; 0 means unknown. file is borrowed, may be NULL.
 */
typedef struct tks_place {
    const char *file;
    int line, column;
} tks_place;

/* What went wrong, filled by the failing call. text is one line without a final full stop.
 * The file name is copied, so an error outlives the document that it speaks of. */
typedef struct tks_error {
    tks_status code;
    int line, column;
    char file[128];
    char text[320];
} tks_error;

#if defined(__GNUC__)
#define TKS_PRINTF(text, first) __attribute__((format(printf, text, first)))
#else
#define TKS_PRINTF(text, first)
#endif

/* Short text of a code, "no error" for TKS_OK; never NULL. */
const char *tks_status_text(tks_status code);

/* Name of a code as written in this header, e.g. "TKS_EDOMAIN"; never NULL. */
const char *tks_status_name(tks_status code);

/* Fills *err (may be NULL) and returns code, so callers write `return tks_fail(...)`.
 * A text too long for the struct is cut and ends in "..."; control characters, which could steer a
 * terminal, become '?'. */
tks_status tks_fail(tks_error *err, tks_status code, tks_place at, const char *format, ...)
    TKS_PRINTF(4, 5);

/* A place that is nowhere: for values that came from no file. */
tks_place tks_nowhere(void);

#ifdef __cplusplus
}
#endif
#endif
