/* What the YAML parser finds wrong, in plain words. */
#include "base/show.h"
#include "text/reader.h"

#include <string.h>

typedef enum which_place { HERE, OPENING } which_place;

typedef struct row {
    const char *problem;
    const char *context; /* NULL: any */
    which_place place;
    const char *text;
} row;

#define TAB_TEXT "a tab stands where only spaces may indent; replace it by spaces"
#define STRAY_TEXT                                                                                 \
    "this does not go with the lines above; check the indentation, or put quotes around the text"

/* The parser's own texts, of libyaml 0.2.5. */
static const row rows[] = {
    {"found unexpected end of stream", "while scanning a quoted scalar", OPENING,
     "this quote is not closed"},
    {"found unexpected document indicator", "while scanning a quoted scalar", OPENING,
     "this quote is not closed"},
    {"found a tab character where an indentation space is expected", NULL, HERE, TAB_TEXT},
    {"found a tab character that violates indentation", NULL, HERE, TAB_TEXT},
    {"mapping values are not allowed in this context", NULL, HERE,
     "a ':' stands where none can be; quote the text or check the indentation"},
    {"could not find expected ':'", NULL, OPENING, "expected 'name: value'; a ':' is missing"},
    {"block sequence entries are not allowed in this context", NULL, HERE,
     "an item '-' cannot begin here; give it a line of its own, or check the indentation"},
    {"mapping keys are not allowed in this context", NULL, HERE,
     "a '?' cannot begin a name here; put quotes around the text"},
    {"did not find expected key", NULL, HERE, STRAY_TEXT},
    {"did not find expected '-' indicator", NULL, HERE,
     "expected an item '- ...' as in the lines above; check the indentation"},
    {"did not find expected <document start>", NULL, HERE, STRAY_TEXT},
    {"did not find expected node content", NULL, HERE, "a value is missing here"},
    {"found unexpected ':'", NULL, HERE, "a ':' stands where none can be; quote the text"},
    {"found unknown escape character", NULL, HERE,
     "no such escape; use single quotes, or write \\\\ for a backslash"},
    {"did not find expected hexdecimal number", NULL, HERE,
     "this escape lacks digits; use single quotes, or write \\\\ for a backslash"},
    {"found invalid Unicode character escape code", NULL, HERE,
     "this escape stands for no character"},
    {"did not find expected alphabetic or numeric character", NULL, OPENING,
     "a name must follow '&' or '*'; or put quotes around the text"},
    {"did not find expected comment or line break", NULL, HERE,
     "a text behind '|' or '>' begins on the next line; or put quotes around it"},
    {"found undefined tag handle", NULL, OPENING,
     "tags ('!') are not used here; put quotes around the text"},
};

/* Where the character of a mark stands in the text, and its line; NULL at the end. */
static const char *find_mark(const tks_reader *r, yaml_mark_t mark, const char **line, size_t *left)
{
    size_t length;
    *line = text_source_line(&r->source, (int)mark.line + 1, &length);
    if (!*line) return NULL;
    size_t i = 0;
    for (size_t n = 0; n < mark.column && i < length; n++)
        i += base_character(*line + i, length - i);
    *left = length - i;
    return i < length ? *line + i : NULL;
}

/* What stands on the line behind a closing bracket or quote. */
static tks_status stray_word(const tks_reader *r, tks_error *err)
{
    const char *line;
    size_t left;
    const char *word = find_mark(r, r->parser.problem_mark, &line, &left);
    const char *before = word;
    while (before && before > line && (before[-1] == ' ' || before[-1] == '\t')) before--;
    if (!word || before == line || !strchr("]}\"'", before[-1])) return TKS_OK;
    return tks_fail(
        err, TKS_ESYNTAX, text_place(r->source.name, r->parser.problem_mark),
        before[-1] == ']'
            ? "'%s' cannot stand behind '%c'; only a unit that is known can, after a space"
            : "'%s' cannot stand behind '%c'",
        base_shown_word(word, left).text, before[-1]);
}

static tks_status bad_start(const tks_reader *r, tks_error *err)
{
    const char *line;
    size_t left;
    const char *c = find_mark(r, r->parser.problem_mark, &line, &left);
    tks_place at = text_place(r->source.name, r->parser.problem_mark);
    if (!c || *c == '\t') return tks_fail(err, TKS_ESYNTAX, at, "%s", TAB_TEXT);
    return tks_fail(err, TKS_ESYNTAX, at, "'%c' cannot begin a value; put quotes around it", *c);
}

/* `[` or `{` that is not closed: what stands there instead. */
static tks_status open_bracket(const tks_reader *r, char open, tks_error *err)
{
    const char *line;
    size_t left;
    yaml_mark_t from = r->parser.context_mark;
    if (!find_mark(r, r->parser.problem_mark, &line, &left))
        return tks_fail(err, TKS_ESYNTAX, text_place(r->source.name, from),
                        "this '%c' is not closed", open);
    return tks_fail(err, TKS_ESYNTAX, text_place(r->source.name, r->parser.problem_mark),
                    "expected ',' or '%c' here; it would close the '%c' of line %zu, column %zu",
                    open == '[' ? ']' : '}', open, from.line + 1, from.column + 1);
}

static tks_status special_problem(const tks_reader *r, const char *problem, tks_error *err)
{
    if (!strcmp(problem, "found character that cannot start any token")) return bad_start(r, err);
    if (!strcmp(problem, "did not find expected ',' or ']'")) return open_bracket(r, '[', err);
    if (!strcmp(problem, "did not find expected ',' or '}'")) return open_bracket(r, '{', err);
    if (!strcmp(problem, "did not find expected key") ||
        !strcmp(problem, "did not find expected <document start>"))
        return stray_word(r, err);
    return TKS_OK;
}

static const row *find_row(const char *problem, const char *context)
{
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        bool fits = !rows[i].context || (context && !strcmp(context, rows[i].context));
        if (fits && !strcmp(problem, rows[i].problem)) return &rows[i];
    }
    return NULL;
}

tks_status text_parser_problem(const tks_reader *r, tks_error *err)
{
    const yaml_parser_t *parser = &r->parser;
    if (parser->error == YAML_MEMORY_ERROR || r->respelling.failed)
        return tks_fail(err, TKS_EMEMORY, (tks_place){r->source.name, 0, 0}, "out of memory");
    const char *problem = parser->problem ? parser->problem : "cannot read this text";
    tks_status status = special_problem(r, problem, err);
    if (status) return status;
    const row *known = find_row(problem, parser->context);
    bool opening = known && known->place == OPENING;
    yaml_mark_t mark = opening ? parser->context_mark : parser->problem_mark;
    return tks_fail(err, TKS_ESYNTAX, text_place(r->source.name, mark), "%s",
                    known ? known->text : problem);
}
