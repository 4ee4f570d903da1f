#include "mesh/contain.h"

#include "base/alloc.h"
#include "mesh/wire.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/syscall.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#ifndef TKS_LIBEXEC
#define TKS_LIBEXEC "/usr/local/libexec/tankside"
#endif

enum { PATH = 4096, WORDS = 7 };

typedef struct child {
    const mesh_file *file; /* for messages and limits */
    pid_t process;
    int pipe;        /* what it writes */
    double deadline; /* monotonic clock [s] */
    bool late;
} child;

/* ------------------------------------------------------------------ finding the program */

/* Beside the program that runs, as in a build, or where both were installed, wherever that is. */
static bool near_program(char path[PATH])
{
    static const char *const places[] = {"tankside-reader", "../libexec/tankside/tankside-reader"};
    ssize_t length = readlink("/proc/self/exe", path, PATH - 64);
    if (length <= 0) return false;
    path[length] = '\0';
    char *slash = strrchr(path, '/');
    for (int i = 0; slash && i < 2; i++) {
        strcpy(slash + 1, places[i]);
        if (!access(path, X_OK)) return true;
    }
    return false;
}

static bool find_program(char path[PATH])
{
    const char *given = getenv("TANKSIDE_READER");
    if (given && *given) return snprintf(path, PATH, "%s", given) < PATH && !access(path, X_OK);
    if (near_program(path)) return true;
    snprintf(path, PATH, "%s/tankside-reader", TKS_LIBEXEC);
    return access(path, X_OK) == 0;
}

/* ------------------------------------------------------------------ starting it */

static double now(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

/* In the child, between fork and exec: only calls that are safe there. The mesh is its standard
 * input, the pipe its output; all else is closed and the environment is empty. */
static void become(const char *program, char *const words[], int input, int output)
{
    static char *const nothing[] = {NULL};
    int null = open("/dev/null", O_WRONLY);
    input = fcntl(input, F_DUPFD, 3); /* out of the way, where the parent has one of them closed */
    output = fcntl(output, F_DUPFD, 3);
    null = fcntl(null, F_DUPFD, 3);
    if (dup2(input, STDIN_FILENO) < 0 || dup2(output, STDOUT_FILENO) < 0 ||
        dup2(null, STDERR_FILENO) < 0)
        _exit(126);
    syscall(SYS_close_range, 3U, ~0U, 0U);
    execve(program, words, nothing);
    _exit(127);
}

static tks_status start(child *c, char *const words[], tks_error *err)
{
    char program[PATH];
    int ends[2];
    if (!find_program(program))
        return tks_fail(err, TKS_EREAD, mesh_file_place(c->file),
                        "the program tankside-reader, which reads %s, is not installed beside "
                        "tankside; TANKSIDE_READER can name it",
                        mesh_format_name(c->file->format));
    if (pipe2(ends, O_CLOEXEC))
        return tks_fail(err, TKS_EREAD, mesh_file_place(c->file), "no pipe: %s", strerror(errno));
    c->deadline = now() + c->file->limits.seconds;
    c->process = fork();
    if (c->process == 0) become(program, words, c->file->descriptor, ends[1]);
    close(ends[1]);
    c->pipe = ends[0];
    if (c->process > 0) return TKS_OK;
    close(ends[0]);
    return tks_fail(err, TKS_EREAD, mesh_file_place(c->file), "cannot start tankside-reader: %s",
                    strerror(errno));
}

/* ------------------------------------------------------------------ hearing it out */

/* Reads exactly length bytes; false when the child ends before, or at the deadline. */
static bool hear(child *c, void *bytes, size_t length)
{
    char *to = bytes;
    while (length) {
        struct pollfd ready = {c->pipe, POLLIN, 0};
        double left = c->deadline - now();
        c->late = left <= 0;
        if (c->late) return false;
        int polled = poll(&ready, 1, left < 1000 ? (int)(left * 1000) + 1 : 1000000);
        if (polled < 0 && errno != EINTR) return false;
        if (polled <= 0) continue;
        ssize_t got = read(c->pipe, to, length);
        if (got < 0 && errno == EINTR) continue;
        if (got <= 0) return false;
        to += got;
        length -= (size_t)got;
    }
    return true;
}

/* Ends the child in any case; gives its wait status. */
static int finish(child *c)
{
    int status = 0;
    close(c->pipe);
    kill(c->process, SIGKILL);
    while (waitpid(c->process, &status, 0) < 0 && errno == EINTR) continue;
    return status;
}

static tks_status too_late(const child *c, tks_error *err)
{
    return tks_fail(err, TKS_ELIMIT, mesh_file_place(c->file),
                    "reading took longer than %.0f s, which is the cap; raise it with "
                    "TANKSIDE_MESH_SECONDS=%.0f in the environment",
                    c->file->limits.seconds, c->file->limits.seconds * 4);
}

static tks_status too_big(const child *c, tks_error *err)
{
    size_t mib = c->file->limits.memory >> 20;
    return tks_fail(err, TKS_ELIMIT, mesh_file_place(c->file),
                    "reading needs more than %zu MiB, which is the cap; raise it with "
                    "TANKSIDE_MESH_MEMORY=%zu in the environment",
                    mib, c->file->limits.memory * 2);
}

/* The child broke off: what became of it. It is given a moment to end by itself, lest the kill in
 * finish hides its own signal. */
static tks_status broke_off(child *c, tks_error *err)
{
    int status = 0;
    pid_t ended = 0;
    for (int i = 0; i < 200 && !c->late && ended == 0; i++) {
        ended = waitpid(c->process, &status, WNOHANG);
        if (ended == 0) nanosleep(&(struct timespec){0, 5000000}, NULL);
    }
    if (ended > 0)
        close(c->pipe);
    else
        finish(c);
    if (c->late || (ended > 0 && WIFSIGNALED(status) && WTERMSIG(status) == SIGXCPU))
        return too_late(c, err);
    if (ended > 0 && WIFEXITED(status) && WEXITSTATUS(status) == 127)
        return tks_fail(err, TKS_EREAD, mesh_file_place(c->file), "tankside-reader cannot be run");
    const char *by =
        ended > 0 && WIFSIGNALED(status) ? strsignal(WTERMSIG(status)) : "it ended early";
    return tks_fail(err, TKS_EREAD, mesh_file_place(c->file),
                    "reading this %s file crashed tankside-reader (%s): it is damaged, or made "
                    "to do harm",
                    mesh_format_name(c->file->format), by);
}

static tks_status refused(child *c, const mesh_wire *wire, tks_error *err)
{
    char text[MESH_WIRE_MESSAGE + 1] = "";
    size_t length = wire->message < MESH_WIRE_MESSAGE ? wire->message : MESH_WIRE_MESSAGE;
    bool heard = hear(c, text, length);
    for (char *p = text; *p; p++)
        if ((unsigned char)*p < ' ' || *p == 127) *p = ' ';
    if (!heard) return broke_off(c, err);
    finish(c);
    if (wire->status == TKS_ELIMIT) return mesh_too_many(c->file, err);
    if (wire->status == TKS_EMEMORY) return too_big(c, err);
    return tks_fail(err, TKS_EREAD, mesh_file_place(c->file), "this %s file cannot be read: %s",
                    mesh_format_name(c->file->format), text);
}

/* Memory is taken as the numbers come, so that a false count in the header costs nothing. */
static void *hear_array(child *c, uint64_t count, size_t size, bool *memory)
{
    enum { STEP = 1 << 18 };
    char *all = NULL;
    size_t room = 0;
    *memory = true;
    for (uint64_t have = 0; have < count;) {
        size_t n = count - have < STEP ? (size_t)(count - have) : STEP;
        if (have + n > room) {
            room = room * 2 > have + n ? room * 2 : (size_t)have + n;
            if (room > count) room = (size_t)count;
            char *more = base_resize(all, room, size);
            if (!more) *memory = false;
            if (more) all = more;
        }
        if (!*memory || !hear(c, all + have * size, n * size)) {
            base_free(all);
            return NULL;
        }
        have += n;
    }
    return all;
}

static bool corners_exist(const uint32_t *corners, uint64_t count, uint64_t vertices)
{
    for (uint64_t i = 0; i < 3 * count; i++)
        if (corners[i] >= vertices) return false;
    return true;
}

static tks_status hear_mesh(child *c, const mesh_wire *wire, tks_mesh *mesh, tks_error *err)
{
    bool memory = true, more = true;
    tks_mesh m = {.vertex_count = (size_t)wire->vertices, .count = (size_t)wire->facets};
    if (m.vertex_count) m.xyz = hear_array(c, wire->vertices, 3 * sizeof *m.xyz, &memory);
    if (m.count && memory) m.corners = hear_array(c, wire->facets, 3 * sizeof *m.corners, &more);
    bool whole = (!m.vertex_count || m.xyz) && (!m.count || m.corners);
    if (whole && corners_exist(m.corners, wire->facets, wire->vertices)) {
        finish(c);
        *mesh = m;
        return TKS_OK;
    }
    base_free(m.xyz);
    base_free(m.corners);
    if (whole || !memory || !more) {
        finish(c);
        return whole ? tks_fail(err, TKS_EREAD, mesh_file_place(c->file),
                                "its facets speak of vertices that are not there")
                     : mesh_no_memory(c->file, err);
    }
    return broke_off(c, err);
}

static tks_status run(child *c, char *const words[], tks_mesh *mesh, double *unit, tks_error *err)
{
    mesh_wire wire;
    tks_status status = start(c, words, err);
    if (status != TKS_OK) return status;
    if (!hear(c, &wire, sizeof wire) || wire.mark != MESH_WIRE_MARK) return broke_off(c, err);
    if (wire.status != TKS_OK) return refused(c, &wire, err);
    if (wire.facets > c->file->limits.facets || wire.vertices >= UINT32_MAX) {
        finish(c);
        return mesh_too_many(c->file, err);
    }
    *unit = wire.unit > 0 && wire.unit < 1e6 ? wire.unit : 0;
    return hear_mesh(c, &wire, mesh, err);
}

static void print_limits(const mesh_file *file, char text[3][24])
{
    snprintf(text[0], 24, "%zu", file->limits.memory);
    snprintf(text[1], 24, "%zu", file->limits.facets);
    snprintf(text[2], 24, "%.0f", file->limits.seconds + 1);
}

tks_status mesh_contain_read(const mesh_file *file, tks_mesh *mesh, double *own_unit,
                             tks_error *err)
{
    char limits[3][24], path[PATH], ending[8];
    child c = {.file = file};
    print_limits(file, limits);
    snprintf(ending, sizeof ending, "%s", mesh_format_ending(file->format));
    snprintf(path, sizeof path, "%s", file->path);
    char *words[WORDS + 1] = {"tankside-reader", "read", limits[0], limits[1],
                              limits[2],         ending, path,      NULL};
    return run(&c, words, mesh, own_unit, err);
}
