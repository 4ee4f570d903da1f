#include "base/output.h"

#include "base/alloc.h"

#include <errno.h>
#include <fcntl.h>
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

tks_status base_output_write(const char *path, const char *bytes, size_t length, tks_error *err)
{
    tks_place at = {path, 0, 0};
    size_t size = strlen(path) + 8;
    char *temporary = base_alloc(size, 1);
    if (!temporary) return tks_fail(err, TKS_EMEMORY, at, "out of memory");
    snprintf(temporary, size, "%s.XXXXXX", path);
    int file = mkstemp(temporary);
    int failed = file < 0 ? errno : 0;
    if (!failed && (write_all(file, bytes, length) || set_mode(file, path) || fsync(file)))
        failed = errno;
    if (file >= 0 && close(file) && !failed) failed = errno;
    if (!failed && rename(temporary, path)) failed = errno;
    if (failed && file >= 0) unlink(temporary);
    base_free(temporary);
    if (!failed) return TKS_OK;
    return tks_fail(err, TKS_EWRITE, at, "cannot write the file: %s", strerror(failed));
}
