/* The bench log: what is written comes back, whatever happens to the process that writes. */
#include "support/near.h"

#include "tankside/bench_log.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <sys/wait.h>
#include <unistd.h>

/* This program's own write, fsync and rename stand before the system's. When the countdown ends,
 * the process is killed there, as by kill -9; a write has by then put down half of its bytes. */
static long countdown = -1;
static long calls;

static bool now_is_the_end(void)
{
    calls++;
    return countdown > 0 && --countdown == 0;
}

static void die(void)
{
    kill(getpid(), SIGKILL);
}

ssize_t write(int file, const void *bytes, size_t length)
{
    bool end = now_is_the_end();
    ssize_t done = syscall(SYS_write, file, bytes, end ? length / 2 : length);
    if (end) die();
    return done;
}

int fsync(int file)
{
    if (now_is_the_end()) die();
    return (int)syscall(SYS_fsync, file);
}

/* Dies before the new name stands, or right after. */
int rename(const char *from, const char *to)
{
    if (now_is_the_end()) die();
    int result = (int)syscall(SYS_renameat2, AT_FDCWD, from, AT_FDCWD, to, 0);
    if (now_is_the_end()) die();
    return result;
}

static char folder[64], path[96];

static int set_up(void **state)
{
    (void)state;
    strcpy(folder, "/tmp/tankside-log-XXXXXX");
    if (!mkdtemp(folder)) return -1;
    snprintf(path, sizeof path, "%s/zinc.yaml", folder);
    return 0;
}

static int tear_down(void **state)
{
    (void)state;
    char command[128];
    snprintf(command, sizeof command, "rm -rf %s", folder);
    return system(command);
}

/* 95 % of what Faraday allows for the charge. */
static tks_bench_entry entry_of(double charge, double efficiency)
{
    const tks_metal *zinc = tks_bath_default()->metal;
    return (tks_bench_entry){.date = "2026-03-14",
                             .bath = "chloride zinc",
                             .charge = charge,
                             .metal = tks_faraday_mass(zinc, efficiency, charge)};
}

static tks_status append(double charge, double efficiency, tks_error *err)
{
    tks_bench_entry e = entry_of(charge, efficiency);
    return tks_bench_log_append(path, &e, tks_bath_default()->metal, err);
}

static tks_bench_log read_log(tks_arena *arena)
{
    tks_bench_log log;
    tks_error err;
    if (tks_bench_log_read(arena, path, &log, &err)) fail_msg("line %d: %s", err.line, err.text);
    return log;
}

static void what_is_written_comes_back(void **state)
{
    (void)state;
    tks_arena *arena = tks_arena_new();
    assert_int_equal(read_log(arena).count, 0);
    tks_bench_entry e = entry_of(13146, 0.95);
    e.bath = "Anna's bath: #2, {new}";
    assert_int_equal(tks_bench_log_append(path, &e, tks_bath_default()->metal, NULL), TKS_OK);
    assert_int_equal(append(7200, 0.9, NULL), TKS_OK);
    tks_bench_log log = read_log(arena);
    assert_int_equal(log.count, 2);
    assert_string_equal(log.entries[0].bath, "Anna's bath: #2, {new}");
    assert_string_equal(log.entries[0].date, "2026-03-14");
    assert_near(log.entries[0].charge, 13146, 1e-8, "C");
    assert_near(log.entries[0].metal, e.metal, 1e-8, "kg");
    assert_int_equal(log.entries[1].at.line, 3);
    tks_arena_free(arena);
}

static void the_users_own_lines_stay(void **state)
{
    (void)state;
    FILE *f = fopen(path, "w");
    fputs("# my bath, new brightener in May\n- {bath: chloride zinc, charge: 2 Ah, metal: 2.3 g, "
          "note: first}",
          f);
    fclose(f);
    chmod(path, 0640);
    assert_int_equal(append(7200, 0.9, NULL), TKS_OK);
    char text[512] = {0};
    f = fopen(path, "r");
    assert_true(fread(text, 1, sizeof text - 1, f) > 0);
    fclose(f);
    assert_non_null(strstr(text, "# my bath, new brightener in May\n"));
    assert_non_null(strstr(text, "note: first}\n- {date"));
    struct stat about;
    assert_int_equal(stat(path, &about), 0);
    assert_int_equal(about.st_mode & 0777, 0640);
    tks_arena *arena = tks_arena_new();
    assert_int_equal(read_log(arena).count, 2);
    tks_arena_free(arena);
}

static void a_link_is_followed(void **state)
{
    (void)state;
    char link[96];
    struct stat about;
    snprintf(link, sizeof link, "%s/link.yaml", folder);
    assert_int_equal(append(7200, 0.9, NULL), TKS_OK);
    assert_int_equal(symlink("zinc.yaml", link), 0);
    tks_bench_entry e = entry_of(3600, 0.9);
    assert_int_equal(tks_bench_log_append(link, &e, tks_bath_default()->metal, NULL), TKS_OK);
    assert_int_equal(lstat(link, &about), 0);
    assert_true(S_ISLNK(about.st_mode));
    tks_arena *arena = tks_arena_new();
    assert_int_equal(read_log(arena).count, 2);
    tks_arena_free(arena);
}

/* Killed at the nth call of write, fsync or rename, for each n: the lines that stood there stand
 * there, whole, and the next process can go on. */
static void a_kill_at_any_write_loses_nothing(void **state)
{
    (void)state;
    tks_arena *arena = tks_arena_new();
    size_t lines = 3;
    for (size_t i = 0; i < lines; i++) assert_int_equal(append(7200, 0.9, NULL), TKS_OK);
    bool survived = false;
    for (long n = 1; !survived && n < 100; n++) {
        pid_t child = fork();
        if (child == 0) {
            countdown = n;
            _exit(append(3600, 0.95, NULL) == TKS_OK ? 0 : 1);
        }
        int how;
        assert_int_equal(waitpid(child, &how, 0), child);
        survived = WIFEXITED(how);
        assert_true(survived ? WEXITSTATUS(how) == 0 : WTERMSIG(how) == SIGKILL);
        size_t found = read_log(arena).count;
        assert_true(found == lines || found == lines + 1);
        assert_true(!survived || found == lines + 1);
        lines = found;
        assert_int_equal(append(1800, 0.9, NULL), TKS_OK);
        assert_int_equal(read_log(arena).count, ++lines);
        if (survived) assert_true(n > 3);
    }
    assert_true(survived);
    tks_arena_free(arena);
}

static void processes_at_once_lose_no_line(void **state)
{
    (void)state;
    enum { PROCESSES = 4, LINES = 25 };
    pid_t children[PROCESSES];
    for (int p = 0; p < PROCESSES; p++) {
        children[p] = fork();
        if (children[p] != 0) continue;
        for (int i = 0; i < LINES; i++)
            if (append(1000 * (p + 1) + i, 0.9, NULL)) _exit(1);
        _exit(0);
    }
    for (int p = 0; p < PROCESSES; p++) {
        int how;
        waitpid(children[p], &how, 0);
        assert_true(WIFEXITED(how) && WEXITSTATUS(how) == 0);
    }
    tks_arena *arena = tks_arena_new();
    tks_bench_log log = read_log(arena);
    assert_int_equal(log.count, PROCESSES * LINES);
    bool seen[PROCESSES][LINES] = {{false}};
    for (size_t i = 0; i < log.count; i++) {
        int charge = (int)(log.entries[i].charge + 0.5);
        assert_false(seen[charge / 1000 - 1][charge % 1000]);
        seen[charge / 1000 - 1][charge % 1000] = true;
    }
    tks_arena_free(arena);
}

/* By hand: 0.90, 0.94, 0.98: mean 0.94, standard deviation 0.04. */
static void a_bath_learns_its_efficiency(void **state)
{
    (void)state;
    tks_arena *arena = tks_arena_new();
    tks_bath bath = *tks_bath_default();
    append(7200, 0.90, NULL);
    append(3600, 0.94, NULL);
    tks_bench_log log = read_log(arena);
    tks_bench_summary s = tks_bench_log_summarise(&log, &bath);
    assert_false(tks_bench_log_apply(&s, &bath));
    assert_near(bath.efficiency.usual, 0.96, 0, "not yet");
    append(1800, 0.98, NULL);
    log = read_log(arena);
    s = tks_bench_log_summarise(&log, &bath);
    assert_int_equal(s.runs, 3);
    assert_near(s.mean, 0.94, 1e-8, "mean");
    assert_near(s.spread, 0.04, 1e-6, "spread");
    assert_near(s.least, 0.90, 1e-8, "least");
    assert_true(tks_bench_log_apply(&s, &bath));
    assert_near(bath.efficiency.usual, 0.94, 1e-8, "learnt");
    assert_near(bath.efficiency.high, 0.98, 1e-8, "learnt");
    assert_non_null(strstr(bath.efficiency.source, "bench log"));
    assert_int_equal(tks_bath_check(&bath, NULL), TKS_OK);
    assert_int_equal(tks_bench_log_summarise(&log, tks_bath_at(1)).runs, 0);
    tks_arena_free(arena);
}

static void a_bath_never_learns_more_than_faraday(void **state)
{
    (void)state;
    tks_arena *arena = tks_arena_new();
    tks_bath bath = *tks_bath_default();
    for (int i = 0; i < 4; i++) append(7200, 1.05 + 0.01 * i, NULL);
    tks_bench_log log = read_log(arena);
    tks_bench_summary s = tks_bench_log_summarise(&log, &bath);
    assert_true(tks_bench_log_apply(&s, &bath));
    assert_near(bath.efficiency.usual, 1, 0, "capped");
    assert_int_equal(tks_bath_check(&bath, NULL), TKS_OK);
    tks_arena_free(arena);
}

static void nonsense_is_refused_and_not_written(void **state)
{
    (void)state;
    tks_error err;
    assert_int_equal(append(7200, 1.2, &err), TKS_EDOMAIN);
    assert_non_null(strstr(err.text, "120 %"));
    assert_int_equal(append(NAN, 0.9, &err), TKS_EDOMAIN);
    tks_bench_entry e = entry_of(7200, 0.9);
    e.bath = "two\nlines";
    assert_int_equal(tks_bench_log_append(path, &e, tks_bath_default()->metal, &err), TKS_EDOMAIN);
    e.bath = "zinc";
    assert_int_equal(tks_bench_log_append("/nowhere/at/all", &e, tks_bath_default()->metal, &err),
                     TKS_EOPEN);
    assert_int_equal(access(path, F_OK), -1);
}

static void a_broken_log_is_told_with_its_line(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        tks_status status;
        int line;
    } rows[] = {
        {"- {bath: zinc, charge: 2 Ah, metal: 2 g}\n- {bath: zinc, charge: 2 Ah}\n", TKS_EMISSING,
         2},
        {"- {bath: zinc, charge: -2 Ah, metal: 2 g}\n", TKS_EDOMAIN, 1},
        {"- {bath: zinc, charge: 2 V, metal: 2 g}\n", TKS_EDIMENSION, 1},
        {"- {bath: zinc, charge: 2 Ah, metal: 2 g, colour: blue}\n", TKS_EUNKNOWN, 1},
        {"runs: 3\n", TKS_ESYNTAX, 1},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        FILE *f = fopen(path, "w");
        fputs(rows[i].text, f);
        fclose(f);
        tks_arena *arena = tks_arena_new();
        tks_bench_log log = {.count = 7};
        tks_error err = {0};
        tks_status status = tks_bench_log_read(arena, path, &log, &err);
        if (status != rows[i].status || err.line != rows[i].line)
            fail_msg("row %zu: %s, line %d: %s", i, tks_status_name(status), err.line, err.text);
        assert_int_equal(log.count, 7);
        tks_arena_free(arena);
    }
}

#define log_test(f) cmocka_unit_test_setup_teardown(f, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        log_test(what_is_written_comes_back),
        log_test(the_users_own_lines_stay),
        log_test(a_link_is_followed),
        log_test(a_kill_at_any_write_loses_nothing),
        log_test(processes_at_once_lose_no_line),
        log_test(a_bath_learns_its_efficiency),
        log_test(a_bath_never_learns_more_than_faraday),
        log_test(nonsense_is_refused_and_not_written),
        log_test(a_broken_log_is_told_with_its_line),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
