#include "tankside/bench_log.h"

#include "base/alloc.h"
#include "base/buffer.h"
#include "base/output.h"

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

/* Over this, weighing or ammeter were wrong. A little over 1 is what a kitchen scale does. */
#define MOST_EFFICIENCY 1.1

enum { MOST_BYTES = 64 << 20 };

static const char head[] =
    "# Bench log: what each run really deposited. One run a line; lines of your own are kept.\n";

static bool is_plain(const char *text)
{
    for (; *text; text++)
        if ((unsigned char)*text < 0x20 || *text == 0x7f) return false;
    return true;
}

static tks_status check_entry(const tks_bench_entry *e, const tks_metal *metal, tks_error *err)
{
    bool above = e->charge > 0 && isfinite(e->charge) && e->metal > 0 && isfinite(e->metal);
    if (!above)
        return tks_fail(
            err, TKS_EDOMAIN, tks_nowhere(),
            "a charge of %g Ah and a deposit of %g g cannot be; both must be above zero",
            e->charge / 3600, e->metal * 1e3);
    double efficiency = tks_faraday_efficiency(metal, e->charge, e->metal);
    if (efficiency > MOST_EFFICIENCY)
        return tks_fail(err, TKS_EDOMAIN, tks_nowhere(),
                        "%.3g g for %.3g Ah is an efficiency of %.0f %%, and Faraday's law allows "
                        "100 %%: check the weighing and the ammeter",
                        e->metal * 1e3, e->charge / 3600, 100 * efficiency);
    if (!is_plain(e->date) || !is_plain(e->bath))
        return tks_fail(err, TKS_EDOMAIN, tks_nowhere(),
                        "date and bath must be plain text on one line");
    return TKS_OK;
}

/* A YAML text in single quotes, in which only the quote itself is special. */
static void put_quoted(base_buffer *b, const char *text)
{
    base_buffer_puts(b, "'");
    for (; *text; text++) base_buffer_puts(b, *text == '\'' ? "''" : (char[]){*text, '\0'});
    base_buffer_puts(b, "'");
}

static void put_line(base_buffer *b, const tks_bench_entry *e)
{
    base_buffer_puts(b, "- {date: ");
    put_quoted(b, e->date);
    base_buffer_puts(b, ", bath: ");
    put_quoted(b, e->bath);
    base_buffer_printf(b, ", charge: %.9g C, metal: %.9g g}\n", e->charge, e->metal * 1e3);
}

/* Opens the file and locks it. Another process may have put a new file in its place while this one
 * waited for the lock: then the lock is on the old one, and it is all done again. */
static int open_locked(const char *path)
{
    for (;;) {
        struct stat held, named;
        int file = open(path, O_RDWR | O_CREAT | O_CLOEXEC, 0666);
        if (file < 0) return -1;
        bool locked = flock(file, LOCK_EX) == 0 && fstat(file, &held) == 0;
        if (locked && stat(path, &named) == 0 && held.st_ino == named.st_ino &&
            held.st_dev == named.st_dev)
            return file;
        int failed = errno;
        close(file);
        if (!locked && failed != EINTR) {
            errno = failed;
            return -1;
        }
    }
}

static tks_status read_all(int file, const char *path, base_buffer *b, tks_error *err)
{
    char block[16384];
    ssize_t got;
    while ((got = read(file, block, sizeof block)) != 0) {
        if (got < 0 && errno == EINTR) continue;
        if (got < 0)
            return tks_fail(err, TKS_EREAD, (tks_place){path, 0, 0}, "cannot read the log: %s",
                            strerror(errno));
        base_buffer_add(b, block, (size_t)got);
        if (b->length > MOST_BYTES)
            return tks_fail(err, TKS_ELIMIT, (tks_place){path, 0, 0},
                            "the log is over 64 MiB; begin a new one");
    }
    return TKS_OK;
}

static tks_status append_locked(int file, const char *path, const tks_bench_entry *entry,
                                tks_error *err)
{
    base_buffer b = {0};
    tks_status status = read_all(file, path, &b, err);
    if (!b.length) base_buffer_puts(&b, head);
    if (b.text && b.text[b.length - 1] != '\n') base_buffer_puts(&b, "\n");
    put_line(&b, entry);
    if (!status && b.failed) status = tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    if (!status) status = base_output_write(path, b.text, b.length, err);
    base_buffer_free(&b);
    return status;
}

tks_status tks_bench_log_append(const char *path, const tks_bench_entry *entry,
                                const tks_metal *metal, tks_error *err)
{
    tks_status status = check_entry(entry, metal, err);
    if (status) return status;
    int file = open_locked(path);
    if (file < 0)
        return tks_fail(err, TKS_EOPEN, (tks_place){path, 0, 0}, "cannot open the log: %s",
                        strerror(errno));
    /* Through a link the file it leads to is replaced, not the link. */
    char *real = realpath(path, NULL);
    status = append_locked(file, real ? real : path, entry, err);
    free(real);
    close(file);
    return status;
}
