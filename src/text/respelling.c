#include "text/respelling.h"

#include "base/alloc.h"
#include "tankside/quantity.h"

#include <string.h>

enum { LONGEST_UNIT = 32 };

void text_respelling_start(text_respelling *r, const char *text, size_t length)
{
    *r = (text_respelling){
        .text = text, .length = length, .parent = -1, .line_begins = true, .last = '\n'};
}

void text_respelling_end(text_respelling *r)
{
    base_free(r->found);
    *r = (text_respelling){0};
}

/* ------------------------------------------------------------------ characters */

/* Behind the end of the text stands, as it were, the end of a line. */
static char peek(const text_respelling *r, size_t at)
{
    return at < r->length ? r->text[at] : '\n';
}

static bool is_blank(char c)
{
    return c == ' ' || c == '\t';
}

static bool is_end(char c)
{
    return c == '\n' || c == '\r';
}

static bool is_space(char c)
{
    return is_blank(c) || is_end(c);
}

static bool is_one_of(char c, const char *set)
{
    return c && strchr(set, c);
}

static void skip_blanks(text_respelling *r)
{
    while (is_blank(peek(r, r->at))) r->at++;
}

/* Past the line end that stands at `at`. */
static void pass_line_end(text_respelling *r)
{
    bool pair = peek(r, r->at) == '\r' && r->at + 1 < r->length && r->text[r->at + 1] == '\n';
    r->at += pair ? 2 : 1;
    r->line++;
    r->line_start = r->measured = r->at;
    r->columns = 0;
}

static void skip_to_line_end(text_respelling *r)
{
    while (!is_end(peek(r, r->at))) r->at++;
}

static long column(const text_respelling *r)
{
    return (long)(r->at - r->line_start);
}

/* From an opening quote to behind the closing one; '' and \" do not close. */
static void skip_quoted(text_respelling *r)
{
    char quote = r->text[r->at++];
    while (r->at < r->length) {
        char c = r->text[r->at];
        if (is_end(c)) {
            pass_line_end(r);
        } else if (c == '\\' && quote == '"' && !is_end(peek(r, r->at + 1))) {
            r->at += 2;
        } else if (c == quote && !(quote == '\'' && peek(r, r->at + 1) == '\'')) {
            r->at++;
            return;
        } else {
            r->at += c == quote ? 2 : 1;
        }
    }
}

/* ------------------------------------------------------------------ a unit behind a list */

/* Characters of the line before byte `end`; each byte is looked at once. */
static int characters(text_respelling *r, size_t end)
{
    for (; r->measured < end; r->measured++)
        r->columns += ((unsigned char)r->text[r->measured] & 0xC0) != 0x80;
    return r->columns;
}

static bool note(text_respelling *r, size_t at, size_t end)
{
    if (r->count == r->room) {
        size_t room = r->room ? r->room * 2 : 64;
        text_respelt *larger = base_resize(r->found, room, sizeof *larger);
        if (!larger) return false;
        r->found = larger;
        r->room = room;
    }
    r->found[r->count++] = (text_respelt){at, end, r->last != ',', r->line, characters(r, end) - 1};
    return true;
}

/* Whether at stands where a unit behind a list may end: before the end of the line, a comment, or
 * (in an outer list or map) the next item. */
static bool unit_may_end(const text_respelling *r, size_t at)
{
    size_t next = at;
    while (is_blank(peek(r, next))) next++;
    char c = peek(r, next);
    return is_end(c) || (c == '#' && next > at) || (r->depth && is_one_of(c, ",]}"));
}

/* Behind a ']' whose place is given: if a unit and nothing else follows, passes and notes it. */
static void find_unit(text_respelling *r, size_t bracket)
{
    size_t start = r->at;
    while (is_blank(peek(r, start))) start++;
    unsigned char c = (unsigned char)peek(r, start);
    bool letter = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c >= 0x80;
    if (start == r->at || !letter || r->last == '[') return;
    size_t end = start;
    while (end - start <= LONGEST_UNIT && !is_end(peek(r, end)) && peek(r, end) != '#' &&
           !is_one_of(peek(r, end), ",]}"))
        end++;
    while (is_blank(peek(r, end - 1))) end--;
    if (!unit_may_end(r, end) || !tks_unit_find(r->text + start, end - start, NULL)) return;
    if (!note(r, bracket, end)) r->failed = true;
    r->at = end;
}

/* ------------------------------------------------------------------ walking */

static void close_bracket(text_respelling *r)
{
    size_t bracket = r->at++;
    r->depth--;
    if (r->text[bracket] == ']') find_unit(r, bracket);
    r->last = ']';
    r->in_word = false;
}

static void skip_word(text_respelling *r)
{
    while (!is_space(peek(r, r->at)) && !(r->depth && is_one_of(peek(r, r->at), ",[]{}"))) r->at++;
}

/* Whether a colon or question mark at `at` parts a key from its value, and is no letter of a word.
 */
static bool parts_key(const text_respelling *r)
{
    bool behind_quote = !r->in_word && (r->last == '"' || r->last == '\'');
    return is_one_of(r->text[r->at], ":?") && (behind_quote || is_space(peek(r, r->at + 1)));
}

/* Inside brackets, at a character that is neither a space nor closes. */
static void step_over_item(text_respelling *r)
{
    char c = r->text[r->at];
    bool word_may_begin = !r->in_word;
    bool opens = c == '[' || c == '{';
    r->in_word = !(opens || c == ',' || parts_key(r));
    r->last = c;
    if (opens) r->depth++;
    if (word_may_begin && (c == '"' || c == '\'')) {
        skip_quoted(r);
        r->in_word = false;
    } else if (word_may_begin && is_one_of(c, "&!*")) {
        skip_word(r);
        r->in_word = false;
    } else {
        r->at++;
    }
}

/* Inside brackets: past what stands at `at`. */
static void step_in_brackets(text_respelling *r)
{
    char c = r->text[r->at];
    if (is_end(c))
        pass_line_end(r);
    else if (is_blank(c))
        skip_blanks(r);
    else if (c == '#' && (r->at == r->line_start || is_blank(r->text[r->at - 1])))
        skip_to_line_end(r);
    else if (c == ']' || c == '}')
        close_bracket(r);
    else
        step_over_item(r);
}

static bool marker_stands(const text_respelling *r)
{
    return r->length - r->at >= 3 &&
           (!memcmp(r->text + r->at, "---", 3) || !memcmp(r->text + r->at, "...", 3)) &&
           is_space(peek(r, r->at + 3));
}

/* From the end of a line: past the lines that carry on its scalar. */
static void skip_deeper_lines(text_respelling *r)
{
    while (r->at < r->length) {
        size_t next = r->at + 1;
        if (r->text[r->at] == '\r' && peek(r, next) == '\n' && next < r->length) next++;
        size_t ink = next;
        while (peek(r, ink) == ' ') ink++;
        bool deeper = (long)(ink - next) > r->parent || is_end(peek(r, ink));
        if (!deeper) return;
        pass_line_end(r);
        if (r->parent < 0 && r->at < r->length && marker_stands(r)) {
            r->line_begins = true;
            return;
        }
        r->at = ink < r->length ? ink : r->length;
        skip_to_line_end(r);
    }
}

/* Outside brackets, an unquoted scalar: to behind its ':' when it is a key, else to its end. */
static void step_over_word(text_respelling *r)
{
    long start = column(r);
    for (;; r->at++) {
        char c = peek(r, r->at);
        if (is_end(c)) {
            skip_deeper_lines(r);
            return;
        }
        if (c == '#' && is_blank(r->text[r->at - 1])) {
            skip_to_line_end(r);
            return;
        }
        if (c == ':' && is_space(peek(r, r->at + 1))) {
            r->parent = start;
            r->at++;
            return;
        }
    }
}

static void step_over_quoted(text_respelling *r)
{
    long start = column(r);
    skip_quoted(r);
    skip_blanks(r);
    if (peek(r, r->at) == ':') {
        r->parent = start;
        r->at++;
    }
}

static void step_from_line_start(text_respelling *r)
{
    r->line_begins = false;
    if (peek(r, r->at) == '%') {
        skip_to_line_end(r);
    } else if (marker_stands(r)) {
        r->parent = -1;
        r->at += 3;
    }
}

/* Outside brackets: past what stands at `at`. */
static void step_outside(text_respelling *r)
{
    if (r->line_begins) {
        step_from_line_start(r);
        return;
    }
    skip_blanks(r);
    char c = peek(r, r->at);
    if (is_end(c)) {
        pass_line_end(r);
        r->line_begins = true;
    } else if (c == '#') {
        skip_to_line_end(r);
    } else if (is_one_of(c, "-?:") && is_space(peek(r, r->at + 1))) {
        if (c != ':') r->parent = column(r);
        r->at++;
    } else if (c == '"' || c == '\'') {
        step_over_quoted(r);
    } else if (c == '|' || c == '>') {
        skip_to_line_end(r);
        skip_deeper_lines(r);
    } else if (c == '[' || c == '{') {
        r->depth = 1;
        r->last = c;
        r->in_word = false;
        r->at++;
    } else if (is_one_of(c, "&!*")) {
        skip_word(r);
    } else {
        step_over_word(r);
    }
}

/* ------------------------------------------------------------------ giving */

static char respelt(const text_respelling *r, const text_respelt *one, size_t i)
{
    if (i == one->at) return one->comma ? ',' : ' ';
    return i == one->end - 1 ? ']' : r->text[i + 1];
}

size_t text_respelling_give(text_respelling *r, char *to, size_t size)
{
    size_t begin = r->given;
    size_t end = size < r->length - begin ? begin + size : r->length;
    while (r->at < end && !r->failed) {
        if (r->depth)
            step_in_brackets(r);
        else
            step_outside(r);
    }
    if (r->failed) return 0;
    memcpy(to, r->text + begin, end - begin);
    for (size_t n = r->first; n < r->count; n++) {
        const text_respelt *one = &r->found[n];
        size_t from = one->at > begin ? one->at : begin;
        size_t until = one->end < end ? one->end : end;
        for (size_t i = from; i < until; i++) to[i - begin] = respelt(r, one, i);
    }
    r->given = end;
    return end - begin;
}

const text_respelt *text_respelling_first(const text_respelling *r)
{
    return r->first < r->count ? &r->found[r->first] : NULL;
}

void text_respelling_drop(text_respelling *r)
{
    if (++r->first == r->count) r->first = r->count = 0;
}
