#include "support/transcript.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Adds a line and its end to a text that may be NULL; aborts when memory is short, as tests may. */
static void append(char **text, const char *line)
{
    size_t had = *text ? strlen(*text) : 0, more = strlen(line);
    char *grown = realloc(*text, had + more + 2);
    if (!grown) abort();
    memcpy(grown + had, line, more);
    memcpy(grown + had + more, "\n", 2);
    *text = grown;
}

static transcript_case *add_case(transcript *t, const char *path, int line, const char *command)
{
    transcript_case *grown = realloc(t->cases, (t->count + 1) * sizeof *grown);
    if (!grown) abort();
    t->cases = grown;
    transcript_case *c = &t->cases[t->count++];
    const char *slash = strrchr(path, '/');
    *c = (transcript_case){.command = strdup(command)};
    snprintf(c->name, sizeof c->name, "%.30s:%d: %.70s", slash ? slash + 1 : path, line, command);
    return c;
}

/* A line that belongs to a case; false when it is of no known kind. */
static bool take_line(transcript_case *c, const char *line)
{
    const char *rest = line[0] && line[1] ? line + 2 : "";
    if (!strncmp(line, "  ", 2))
        append(&c->output, rest);
    else if (line[0] == '<')
        append(&c->input, rest);
    else if (line[0] == '!')
        append(&c->errors, rest);
    else if (line[0] == '=')
        c->code = atoi(rest);
    else if (!strcmp(line, "~ json"))
        c->json = true;
    else
        return !line[0] || line[0] == '#';
    return true;
}

bool transcript_read(transcript *t, const char *path)
{
    FILE *file = fopen(path, "r");
    char line[4096];
    transcript_case *c = NULL;
    if (!file) {
        perror(path);
        return false;
    }
    bool well = true;
    for (int number = 1; fgets(line, sizeof line, file); number++) {
        line[strcspn(line, "\n")] = '\0';
        if (!strncmp(line, "$ ", 2)) {
            c = add_case(t, path, number, line + 2);
        } else if (c ? !take_line(c, line) : line[0] && line[0] != '#') {
            fprintf(stderr, "%s:%d: what is this line?\n", path, number);
            well = false;
        }
    }
    fclose(file);
    return well;
}

bool transcript_read_markdown(transcript *t, const char *path)
{
    FILE *file = fopen(path, "r");
    char line[4096], command[4200];
    transcript_case *c = NULL;
    if (!file) {
        perror(path);
        return false;
    }
    for (int number = 1; fgets(line, sizeof line, file); number++) {
        line[strcspn(line, "\n")] = '\0';
        if (!strncmp(line, "$ tankside", 10)) {
            snprintf(command, sizeof command, "exec 2>&1; cd \"$TOP\"; %s", line + 2);
            c = add_case(t, path, number, command);
            c->code = -1;
        } else if (!strncmp(line, "```", 3) || !strncmp(line, "$ ", 2)) {
            c = NULL;
        } else if (c) {
            append(&c->output, line);
        }
    }
    fclose(file);
    return true;
}

void transcript_free(transcript *t)
{
    for (size_t i = 0; i < t->count; i++) {
        free(t->cases[i].command);
        free(t->cases[i].input);
        free(t->cases[i].output);
        free(t->cases[i].errors);
    }
    free(t->cases);
    *t = (transcript){0};
}

/* Length of the line, without its end. */
static size_t line_length(const char *text)
{
    return strcspn(text, "\n");
}

static bool is_dots(const char *text, size_t length)
{
    while (length && *text == ' ') text++, length--;
    return length == 3 && !memcmp(text, "...", 3);
}

static bool line_matches(const char *pattern, size_t p, const char *text, size_t t)
{
    if (p >= 3 && !memcmp(pattern, "...", 3)) {
        for (size_t skip = 0; skip <= t; skip++)
            if (line_matches(pattern + 3, p - 3, text + skip, t - skip)) return true;
        return false;
    }
    if (!p || !t) return p == t;
    return *pattern == *text && line_matches(pattern + 1, p - 1, text + 1, t - 1);
}

bool transcript_matches(const char *pattern, const char *text)
{
    if (!*pattern) return !*text;
    size_t p = line_length(pattern), t = line_length(text);
    const char *pattern_next = pattern + p + (pattern[p] == '\n');
    const char *text_next = text + t + (text[t] == '\n');
    if (is_dots(pattern, p))
        return transcript_matches(pattern_next, text) ||
               (*text && transcript_matches(pattern, text_next));
    if (!*text || !line_matches(pattern, p, text, t) || (pattern[p] == '\n') != (text[t] == '\n'))
        return false;
    return transcript_matches(pattern_next, text_next);
}
