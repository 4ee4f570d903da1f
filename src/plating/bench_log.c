#include "tankside/bench_log.h"

#include "base/names.h"
#include "base/sum.h"
#include "tankside/document.h"

#include <math.h>
#include <string.h>
#include <sys/stat.h>

enum { MOST_ENTRIES = 1000000 };

static tks_status keep_text(tks_arena *arena, const tks_node *node, const char *file,
                            const char *what, const char **text, tks_error *err)
{
    *text = "";
    if (!node) return TKS_OK;
    tks_status status = tks_node_expect(node, file, TKS_SCALAR, what, err);
    if (status) return status;
    *text = tks_arena_text(arena, node->text, node->length);
    return *text ? TKS_OK : tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
}

static tks_status read_amount(const tks_node *map, const char *file, const char *key, tks_kind kind,
                              double *value, tks_error *err)
{
    const tks_node *node = tks_node_get(map, key);
    if (!node)
        return tks_fail(err, TKS_EMISSING, tks_node_place(map, file),
                        "a run of the log wants its %s", key);
    tks_status status = tks_node_quantity(node, file, kind, key, value, err);
    if (!status && !(*value > 0))
        status = tks_fail(err, TKS_EDOMAIN, tks_node_place(node, file),
                          "%s is '%s'; it must be above zero", key, node->text);
    return status;
}

static tks_status read_entry(tks_arena *arena, const tks_node *node, const char *file,
                             tks_bench_entry *e, tks_error *err)
{
    static const char *const keys[] = {"date", "bath", "charge", "metal", "note"};
    tks_status status = tks_node_expect(node, file, TKS_MAP, "a run", err);
    if (!status) status = tks_node_known(node, file, "a run", keys, 5, err);
    if (status) return status;
    e->at = tks_node_place(node, file);
    status = keep_text(arena, tks_node_get(node, "date"), file, "a date", &e->date, err);
    if (!status)
        status = keep_text(arena, tks_node_get(node, "bath"), file, "a bath", &e->bath, err);
    if (!status) status = read_amount(node, file, "charge", TKS_CHARGE, &e->charge, err);
    if (!status) status = read_amount(node, file, "metal", TKS_MASS, &e->metal, err);
    return status;
}

static tks_status read_entries(tks_arena *arena, const tks_node *root, const char *file,
                               tks_bench_log *log, tks_error *err)
{
    tks_status status = tks_node_expect(root, file, TKS_LIST, "a list of runs", err);
    if (status) return status;
    if (root->count > MOST_ENTRIES)
        return tks_fail(err, TKS_ELIMIT, tks_node_place(root, file), "more than %d runs",
                        MOST_ENTRIES);
    tks_bench_entry *entries = tks_arena_take(arena, root->count, sizeof *entries);
    if (!entries) return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    size_t n = 0;
    for (const tks_node *c = root->first; c; c = c->next) {
        status = read_entry(arena, c, file, &entries[n++], err);
        if (status) return status;
    }
    *log = (tks_bench_log){entries, n};
    return TKS_OK;
}

tks_status tks_bench_log_read(tks_arena *arena, const char *path, tks_bench_log *log,
                              tks_error *err)
{
    struct stat about;
    const tks_bench_log empty = {NULL, 0};
    if (stat(path, &about) != 0 || about.st_size == 0) {
        *log = empty;
        return TKS_OK;
    }
    tks_reader *reader;
    const tks_node *root;
    const char *kept = tks_arena_text(arena, path, strlen(path));
    if (!kept) return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    tks_status status = tks_reader_open(path, NULL, &reader, err);
    if (status) return status;
    status = tks_reader_next(reader, arena, &root, err);
    if (!status) status = read_entries(arena, root, kept, log, err);
    tks_reader_close(reader);
    return status;
}

tks_bench_summary tks_bench_log_summarise(const tks_bench_log *log, const tks_bath *bath)
{
    tks_bench_summary s = {.least = INFINITY};
    base_sum sum = {0}, squares = {0};
    for (size_t i = 0; i < log->count; i++) {
        const tks_bench_entry *e = &log->entries[i];
        if (!base_name_is(e->bath, strlen(e->bath), bath->name)) continue;
        double efficiency = tks_faraday_efficiency(bath->metal, e->charge, e->metal);
        base_sum_add(&sum, efficiency);
        base_sum_add(&squares, efficiency * efficiency);
        s.least = fmin(s.least, efficiency);
        s.most = fmax(s.most, efficiency);
        s.runs++;
    }
    if (!s.runs) return (tks_bench_summary){0};
    double n = (double)s.runs;
    s.mean = base_sum_total(&sum) / n;
    double square = base_sum_total(&squares) - n * s.mean * s.mean;
    s.spread = s.runs > 1 ? sqrt(fmax(0, square) / (n - 1)) : 0;
    return s;
}

bool tks_bench_log_apply(const tks_bench_summary *s, tks_bath *bath)
{
    if (s->runs < TKS_BENCH_RUNS_ENOUGH) return false;
    double usual = fmin(1, s->mean);
    bath->efficiency =
        (tks_figure){fmax(s->mean - s->spread, s->mean / 10), usual,
                     fmin(1, fmax(usual, s->mean + s->spread)), "measured: this bath's bench log"};
    bath->efficiency.low = fmin(bath->efficiency.low, usual);
    return true;
}
