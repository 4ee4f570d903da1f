#include "base/output.h"

#include "base/alloc.h"

#include <errno.h>
#include <fcntl.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static int write_all(int file, const char *bytes, size_t length)
{
    while (length) {
        ssize_t done = write(file, bytes, length);
        if (done < 0 && errno == EINTR) continue;
        if (done <= 0) return -1;
        bytes += done;
        length -= (size_t)done;
    }
    return 0;
}

/* mkstemp makes the file private; give it the mode of the file it replaces, or the usual one. */
static int set_mode(int file, const char *path)
{
    struct stat old;
    if (stat(path, &old) == 0) return fchmod(file, old.st_mode & 07777);
    mode_t mask = umask(0);
    umask(mask);
    return fchmod(file, 0666 & ~mask);
}

static tks_status fail(tks_error *err, const char *path, int reason)
{
    return tks_fail(err, reason == ENOMEM ? TKS_EMEMORY : TKS_EWRITE, (tks_place){path, 0, 0},
                    "cannot write the file: %s", strerror(reason));
}

/* Closes the file; gives the first reason there is, 0 for none. */
static int close_with(int file, int reason)
{
    return close(file) && !reason ? errno : reason;
}

/* A device or a pipe cannot be replaced, and must not be: it takes the bytes as they come. */
static int write_device(const char *path, const char *bytes, size_t length)
{
    int file = open(path, O_WRONLY | O_CLOEXEC);
    if (file < 0) return errno;
    return close_with(file, write_all(file, bytes, length) ? errno : 0);
}

static int write_beside(const char *path, char *temporary, const char *bytes, size_t length)
{
    int file = mkstemp(temporary);
    if (file < 0) return errno;
    bool written = !write_all(file, bytes, length) && !set_mode(file, path) && !fsync(file);
    int reason = close_with(file, written ? 0 : errno);
    if (!reason && rename(temporary, path)) reason = errno;
    if (reason) unlink(temporary);
    return reason;
}

static int replace_file(const char *path, const char *bytes, size_t length)
{
    size_t size = strlen(path) + 8;
    char *temporary = base_alloc(size, 1);
    if (!temporary) return ENOMEM;
    snprintf(temporary, size, "%s.XXXXXX", path);
    int reason = write_beside(path, temporary, bytes, length);
    base_free(temporary);
    return reason;
}

tks_status base_output_write(const char *path, const char *bytes, size_t length, tks_error *err)
{
    struct stat old;
    bool there = stat(path, &old) == 0;
    if (there && S_ISDIR(old.st_mode)) return fail(err, path, EISDIR);
    bool device = there && !S_ISREG(old.st_mode);
    /* Behind a symbolic link the file itself is replaced, and the link stays. */
    char *target = there && !device ? realpath(path, NULL) : NULL;
    int reason = device ? write_device(path, bytes, length)
                        : replace_file(target ? target : path, bytes, length);
    free(target);
    return reason ? fail(err, path, reason) : TKS_OK;
}
