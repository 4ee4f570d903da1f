/* The program as a user meets it: runs the cases of tests/cli/(name).txt, and the commands that the
 * README shows; see support/transcript.h for how they are written. */
#include "support/json.h"
#include "support/near.h"
#include "support/transcript.h"

#include <fcntl.h>
#include <glob.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

static char scratch[] = "/tmp/tankside-XXXXXX";

/* In a case $TOP is the top of the project, $TANKSIDE the program's path. A command that hangs is
 * ended with exit code 124. */
static const char prelude[] = "tankside() { timeout 30 \"$TANKSIDE\" \"$@\"; }\n";

static void write_file(const char *path, const char *text)
{
    FILE *file = fopen(path, "w");
    if (!file) fail_msg("cannot write %s", path);
    if (text) fputs(text, file);
    fclose(file);
}

static char *read_file(const char *path)
{
    enum { MOST = 1 << 20 };
    FILE *file = fopen(path, "r");
    char *text = calloc(MOST, 1);
    if (!file || !text) fail_msg("cannot read %s", path);
    size_t length = fread(text, 1, MOST - 1, file);
    text[length] = '\0';
    fclose(file);
    return text;
}

static void stand_in(int number, const char *path, int flags)
{
    int file = open(path, flags, 0666);
    if (file < 0 || dup2(file, number) < 0) _exit(125);
    close(file);
}

/* In the child. */
static void become(const char *folder, const char *command)
{
    char script[8192];
    stand_in(0, "../input", O_RDONLY);
    stand_in(1, "../output", O_WRONLY | O_CREAT | O_TRUNC);
    stand_in(2, "../errors", O_WRONLY | O_CREAT | O_TRUNC);
    setenv("HOME", folder, 1);
    setenv("LC_ALL", "C", 1);
    setenv("TERM", "xterm", 1);
    unsetenv("TANKSIDE_SHAPES");
    unsetenv("XDG_CONFIG_HOME");
    snprintf(script, sizeof script, "%s%s\n", prelude, command);
    execl("/bin/sh", "sh", "-c", script, (char *)NULL);
    _exit(125);
}

/* Runs in the folder; gives the exit code. */
static int run(const char *folder, const char *command)
{
    int status = 0;
    pid_t child = fork();
    if (child == 0) {
        if (chdir(folder)) _exit(125);
        become(folder, command);
    }
    if (child < 0 || waitpid(child, &status, 0) < 0) fail_msg("cannot run the shell");
    return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
}

static bool output_is_right(const transcript_case *c, const char *output)
{
    return c->json ? json_are_values(output)
                   : transcript_matches(c->output ? c->output : "", output);
}

static void judge(const transcript_case *c, int code, const char *output, const char *errors)
{
    bool right = (code == c->code || c->code < 0) && output_is_right(c, output) &&
                 transcript_matches(c->errors ? c->errors : "", errors);
    if (right) return;
    print_error("exit code %d, wanted %d\noutput:\n%serrors:\n%s", code, c->code, output, errors);
    fail_msg("%s", c->name);
}

static void case_holds(void **state)
{
    const transcript_case *c = *state;
    char folder[64], path[80];
    snprintf(folder, sizeof folder, "%s/%zu", scratch, c->file);
    mkdir(folder, 0777);
    snprintf(path, sizeof path, "%s/input", scratch);
    write_file(path, c->input);
    int code = run(folder, c->command);
    snprintf(path, sizeof path, "%s/output", scratch);
    char *output = read_file(path);
    snprintf(path, sizeof path, "%s/errors", scratch);
    char *errors = read_file(path);
    judge(c, code, output, errors);
    free(output);
    free(errors);
}

static bool read_all(transcript *t)
{
    glob_t files;
    bool well = glob("tests/cli/*.txt", 0, NULL, &files) == 0;
    for (size_t i = 0; well && i < files.gl_pathc; i++) {
        size_t first = t->count;
        well = transcript_read(t, files.gl_pathv[i]);
        for (size_t k = first; k < t->count; k++) t->cases[k].file = i;
    }
    globfree(&files);
    return well && transcript_read_markdown(t, "README.md");
}

int main(void)
{
    char top[4096], clean[64];
    transcript t = {0};
    if (!getenv("TANKSIDE") || !getcwd(top, sizeof top) || !mkdtemp(scratch) || !read_all(&t)) {
        fputs("run this from the top of the project, with TANKSIDE naming the program\n", stderr);
        return 1;
    }
    setenv("TOP", top, 1);
    struct CMUnitTest *tests = calloc(t.count, sizeof *tests);
    for (size_t i = 0; tests && i < t.count; i++)
        tests[i] = (struct CMUnitTest){t.cases[i].name, case_holds, NULL, NULL, &t.cases[i]};
    int failed = tests ? _cmocka_run_group_tests("commands", tests, t.count, NULL, NULL) : 1;
    free(tests);
    transcript_free(&t);
    snprintf(clean, sizeof clean, "rm -rf %s", scratch);
    return system(clean) || failed;
}
