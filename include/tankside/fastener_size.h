/* Standard sizes of fasteners, by thread: across flats, head height and so on. room: shape */
#ifndef TANKSIDE_FASTENER_SIZE_H
#define TANKSIDE_FASTENER_SIZE_H

#include "tankside/status.h"
#include "tankside/thread_size.h"

#ifdef __cplusplus
extern "C" {
#endif

enum { TKS_FASTENER_COLUMNS = 4 };

/* A family of threads whose fasteners share their sizes: metric coarse and fine, UNC and UNF, BSW
 * and BSF, BA. */
typedef enum tks_fastener_group {
    TKS_FASTENERS_METRIC,  /* mm */
    TKS_FASTENERS_UNIFIED, /* in */
    TKS_FASTENERS_BRITISH, /* in */
    TKS_FASTENERS_BA       /* mm */
} tks_fastener_group;

/* One size: diameter and values in the group's unit. */
typedef struct tks_fastener_row {
    tks_fastener_group group;
    double diameter, values[TKS_FASTENER_COLUMNS];
    const char *source;
} tks_fastener_row;

typedef struct tks_fastener_table {
    const char *name; /* "hexagon bolt" */
    size_t column_count, row_count;
    const char *columns[TKS_FASTENER_COLUMNS]; /* "across flats" */
    const tks_fastener_row *rows;
} tks_fastener_table;

/* The i-th table, NULL past the end; the one of a name, NULL when there is none. */
const tks_fastener_table *tks_fastener_table_at(size_t i);
const tks_fastener_table *tks_fastener_table_find(const char *name, size_t length);

/* Index of a column in a table, -1 when it has none of this name. */
int tks_fastener_column(const tks_fastener_table *table, const char *name, size_t length);

/* The row of a table for a thread. Errors, TKS_EUNKNOWN: the table has none; the message gives the
 * nearest thread sizes that it does have. */
tks_status tks_fastener_row_find(const tks_fastener_table *table, const tks_thread_size *thread,
                                 tks_place at, const tks_fastener_row **row, tks_error *err);

/* A value of a row [m]. */
double tks_fastener_value(const tks_fastener_row *row, size_t column);

#ifdef __cplusplus
}
#endif
#endif
