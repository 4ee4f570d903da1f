/* Whole-or-nothing writing, on a disk that fails. */
#include "base/output.h"

#include "base/alloc.h"
#include "support/near.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

enum { BIG = 1 << 16 };

/* Each test runs in a new folder. */
static char folder[] = "/tmp/tankside-output-XXXXXX";

static int enter(void **state)
{
    (void)state;
    memcpy(folder + sizeof folder - 7, "XXXXXX", 6);
    return !mkdtemp(folder) || chdir(folder);
}

static int leave(void **state)
{
    char command[80];
    (void)state;
    snprintf(command, sizeof command, "chmod -R u+w %s; rm -rf %s", folder, folder);
    return chdir("/") || system(command);
}

static void put(const char *path, const char *text)
{
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    fputs(text, file);
    assert_int_equal(fclose(file), 0);
}

static void assert_holds(const char *path, const char *text)
{
    char read[64] = "";
    FILE *file = fopen(path, "r");
    assert_non_null(file);
    read[fread(read, 1, sizeof read - 1, file)] = '\0';
    fclose(file);
    assert_string_equal(read, text);
}

static int files_in(const char *path)
{
    int count = -2; /* "." and ".." */
    DIR *all = opendir(path);
    assert_non_null(all);
    while (readdir(all)) count++;
    closedir(all);
    return count;
}

static void assert_refused(const char *path, size_t length, tks_status want, const char *reason)
{
    static char bytes[BIG];
    tks_error err = {0};
    memset(bytes, 'x', sizeof bytes);
    assert_int_equal(base_output_write(path, bytes, length, &err), want);
    assert_int_equal(err.code, want);
    assert_string_equal(err.file, path);
    if (!strstr(err.text, reason)) fail_msg("'%s' does not say '%s'", err.text, reason);
}

static void a_new_file_has_the_usual_mode(void **state)
{
    (void)state;
    struct stat it;
    mode_t mask = umask(027);
    assert_int_equal(base_output_write("new", "abc", 3, NULL), TKS_OK);
    umask(mask);
    assert_holds("new", "abc");
    assert_int_equal(stat("new", &it), 0);
    assert_int_equal(it.st_mode & 07777, 0640);
    assert_int_equal(files_in("."), 1);
}

static void an_old_file_is_replaced_and_keeps_its_mode(void **state)
{
    (void)state;
    struct stat it;
    put("old", "old text that is longer");
    assert_int_equal(chmod("old", 0604), 0);
    assert_int_equal(base_output_write("old", "", 0, NULL), TKS_OK);
    assert_holds("old", "");
    assert_int_equal(stat("old", &it), 0);
    assert_int_equal(it.st_mode & 07777, 0604);
    assert_int_equal(files_in("."), 1);
}

static void a_link_stays_a_link(void **state)
{
    (void)state;
    struct stat it;
    put("file", "old");
    assert_int_equal(symlink("file", "link"), 0);
    assert_int_equal(base_output_write("link", "new", 3, NULL), TKS_OK);
    assert_holds("file", "new");
    assert_int_equal(lstat("link", &it), 0);
    assert_true(S_ISLNK(it.st_mode));
}

/* Never replaced by a file of that name, whoever runs this. */
static void a_device_stays_a_device(void **state)
{
    (void)state;
    struct stat it;
    assert_int_equal(base_output_write("/dev/null", "abc", 3, NULL), TKS_OK);
    assert_refused("/dev/full", 3, TKS_EWRITE, strerror(ENOSPC));
    assert_int_equal(stat("/dev/full", &it), 0);
    assert_true(S_ISCHR(it.st_mode));
}

/* A file size limit stands in for a full disk: the first bytes are written, the rest are not. */
static void a_full_disk_leaves_the_old_file(void **state)
{
    (void)state;
    struct rlimit old, small;
    put("old", "old");
    assert_int_equal(getrlimit(RLIMIT_FSIZE, &old), 0);
    small = old;
    small.rlim_cur = BIG / 2;
    signal(SIGXFSZ, SIG_IGN);
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &small), 0);
    assert_refused("old", BIG, TKS_EWRITE, strerror(EFBIG));
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &old), 0);
    assert_holds("old", "old");
    assert_int_equal(files_in("."), 1);
}

static void a_read_only_folder_leaves_the_old_file(void **state)
{
    (void)state;
    enum { NOBODY = 65534 };
    bool root = geteuid() == 0; /* whom no mode holds back */
    assert_int_equal(mkdir("locked", 0755), 0);
    put("locked/old", "old");
    assert_int_equal(chmod("locked", 0555) || chmod(".", 0755), 0);
    if (root) assert_int_equal(seteuid(NOBODY), 0);
    assert_refused("locked/old", 3, TKS_EWRITE, strerror(EACCES));
    assert_refused("locked/new", 3, TKS_EWRITE, strerror(EACCES));
    if (root) assert_int_equal(seteuid(0), 0);
    assert_holds("locked/old", "old");
    assert_int_equal(files_in("locked"), 1);
}

static void places_that_cannot_be_are_refused(void **state)
{
    (void)state;
    put("file", "");
    assert_int_equal(mkdir("sub", 0755), 0);
    assert_refused("nowhere/x", 3, TKS_EWRITE, strerror(ENOENT));
    assert_refused("file/x", 3, TKS_EWRITE, strerror(ENOTDIR));
    assert_refused("sub", 3, TKS_EWRITE, strerror(EISDIR));
    assert_refused("", 3, TKS_EWRITE, "");
    assert_int_equal(files_in("."), 2);
    assert_int_equal(files_in("sub"), 0);
}

static void short_memory_leaves_the_old_file(void **state)
{
    (void)state;
    put("old", "old");
    base_alloc_fail_at(1);
    tks_status status = base_output_write("old", "new", 3, NULL);
    base_alloc_fail_at(0);
    assert_int_equal(status, TKS_EMEMORY);
    assert_holds("old", "old");
}

#define IN_FOLDER(test) cmocka_unit_test_setup_teardown(test, enter, leave)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_FOLDER(a_new_file_has_the_usual_mode),
        IN_FOLDER(an_old_file_is_replaced_and_keeps_its_mode),
        IN_FOLDER(a_link_stays_a_link),
        IN_FOLDER(a_device_stays_a_device),
        IN_FOLDER(a_full_disk_leaves_the_old_file),
        IN_FOLDER(a_read_only_folder_leaves_the_old_file),
        IN_FOLDER(places_that_cannot_be_are_refused),
        IN_FOLDER(short_memory_leaves_the_old_file),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
