/* Transcripts: commands as a user types them, and what must come of each. A transcript is a text
 * file of such cases, with remarks behind `#`:
 *
 *   $ tankside area -            a line for the shell, run in a scratch folder of its own that the
 *   < part: pin                  cases of a file share; `<` lines are its standard input
 *     total wetted area   ...    lines with two spaces in front: its standard output
 *   ! standard input:1:1: ...    its standard error
 *   = 65                         its exit code; 0 where it is not written
 *   ~ json                       the standard output is JSON instead, whatever it says
 *
 * Three dots stand for any characters of a line; a line of nothing else stands for any lines. */
#ifndef SUPPORT_TRANSCRIPT_H
#define SUPPORT_TRANSCRIPT_H

#include <stdbool.h>
#include <stddef.h>

typedef struct transcript_case {
    char name[120]; /* file, line and command, for cmocka */
    char *command, *input, *output, *errors;
    int code; /* negative: any */
    bool json;
    size_t file; /* cases with the same number share a folder */
} transcript_case;

typedef struct transcript {
    transcript_case *cases;
    size_t count;
} transcript;

/* Adds the cases of a file; false, with a message, when it cannot be read. */
bool transcript_read(transcript *t, const char *path);

/* Adds what a text in Markdown shows between lines of ```: each `$ tankside ...` and what stands
 * below it, output and errors together; run from the top of the project, whatever the exit code. */
bool transcript_read_markdown(transcript *t, const char *path);

void transcript_free(transcript *t);

/* Whether text is as the pattern says. */
bool transcript_matches(const char *pattern, const char *text);

#endif
