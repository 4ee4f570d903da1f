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

/* What a character may mean; letters and digits mean nothing. */
enum { BLANK = 1, END = 2, PARTS = 4, OPENS = 8, CLOSES = 16, QUOTE = 32, MARK = 64, COLON = 128 };

static const unsigned char meanings[256] = {
    [' '] = BLANK, ['\t'] = BLANK, ['\n'] = END,   ['\r'] = END,  [','] = PARTS,  ['['] = OPENS,
    ['{'] = OPENS, [']'] = CLOSES, ['}'] = CLOSES, ['"'] = QUOTE, ['\''] = QUOTE, ['&'] = MARK,
    ['!'] = MARK,  ['*'] = MARK,   ['#'] = MARK,   [':'] = COLON, ['?'] = COLON,
};

static bool is(char c, int meaning)
{
    return meanings[(unsigned char)c] & meaning;
}

/* Behind the end of the text stands, as it were, the end of a line. */
static char peek(const text_respelling *r, size_t at)
{
    return at < r->length ? r->text[at] : '\n';
}

/* Past characters that mean none of these. */
static void skip_until(text_respelling *r, int meaning)
{
    while (r->at < r->length && !is(r->text[r->at], meaning)) r->at++;
}

static void skip_blanks(text_respelling *r)
{
    while (is(peek(r, r->at), BLANK)) r->at++;
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
    skip_until(r, END);
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
        if (is(c, END)) {
            pass_line_end(r);
        } else if (c == '\\' && quote == '"' && !is(peek(r, r->at + 1), END)) {
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
    while (is(peek(r, next), BLANK)) next++;
    char c = peek(r, next);
    return is(c, END) || (c == '#' && next > at) || (r->depth && is(c, PARTS | CLOSES));
}

/* Behind a ']' whose place is given: if a unit and nothing else follows, passes and notes it. */
static void find_unit(text_respelling *r, size_t bracket)
{
    size_t start = r->at;
    while (is(peek(r, start), BLANK)) start++;
    unsigned char c = (unsigned char)peek(r, start);
    bool letter = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c >= 0x80;
    if (start == r->at || !letter || r->last == '[') return;
    size_t end = start;
    while (end - start <= LONGEST_UNIT && !is(peek(r, end), END) && peek(r, end) != '#' &&
           !is(peek(r, end), PARTS | CLOSES))
        end++;
    while (is(peek(r, end - 1), BLANK)) end--;
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

/* Past '&' or '*' and the name behind it; past '!', whose text is refused elsewhere. */
static void skip_name(text_respelling *r)
{
    for (r->at++; r->at < r->length; r->at++) {
        char c = r->text[r->at];
        bool letter = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');
        if (!letter && c != '-' && c != '_') return;
    }
}

/* Whether a colon or question mark at `at` parts a key from its value, and is no letter of a word.
 */
static bool parts_key(const text_respelling *r)
{
    bool behind_quote = !r->in_word && is(r->last, QUOTE);
    return is(r->text[r->at], COLON) && (behind_quote || is(peek(r, r->at + 1), BLANK | END));
}

/* Inside brackets, at a character that is neither a space nor closes. */
static void step_over_item(text_respelling *r)
{
    char c = r->text[r->at];
    bool word_may_begin = !r->in_word;
    r->in_word = !(is(c, OPENS | PARTS) || parts_key(r));
    r->last = c;
    if (is(c, OPENS)) r->depth++;
    if (word_may_begin && is(c, QUOTE)) {
        skip_quoted(r);
        r->in_word = false;
    } else if (word_may_begin && is(c, MARK)) {
        skip_name(r);
        r->in_word = false;
    } else {
        r->at++;
        if (r->in_word) skip_until(r, ~0);
    }
}

/* Whether a '#' inside brackets begins a comment; the parser wants no space before it except behind
 * an unquoted scalar, which then ends. */
static bool comment_stands(text_respelling *r)
{
    if (r->in_word && r->at > r->line_start && !is(r->text[r->at - 1], BLANK)) return false;
    r->in_word = false;
    return true;
}

/* Inside brackets: past what stands at `at`. */
static void step_in_brackets(text_respelling *r)
{
    char c = r->text[r->at];
    if (is(c, END))
        pass_line_end(r);
    else if (is(c, BLANK))
        skip_blanks(r);
    else if (c == '#' && comment_stands(r))
        skip_to_line_end(r);
    else if (is(c, CLOSES))
        close_bracket(r);
    else
        step_over_item(r);
}

static bool marker_stands(const text_respelling *r)
{
    return r->length - r->at >= 3 &&
           (!memcmp(r->text + r->at, "---", 3) || !memcmp(r->text + r->at, "...", 3)) &&
           is(peek(r, r->at + 3), BLANK | END);
}

/* From the end of a line: past the lines that carry on its scalar. */
static void skip_deeper_lines(text_respelling *r)
{
    while (r->at < r->length) {
        size_t next = r->at + 1;
        if (r->text[r->at] == '\r' && peek(r, next) == '\n' && next < r->length) next++;
        size_t ink = next;
        while (peek(r, ink) == ' ') ink++;
        bool deeper = (long)(ink - next) > r->parent || is(peek(r, ink), END);
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
        skip_until(r, END | MARK | COLON);
        char c = peek(r, r->at);
        if (is(c, END)) {
            skip_deeper_lines(r);
            return;
        }
        if (c == '#' && is(r->text[r->at - 1], BLANK)) {
            skip_to_line_end(r);
            return;
        }
        if (c == ':' && is(peek(r, r->at + 1), BLANK | END)) {
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
    if (is(c, END)) {
        pass_line_end(r);
        r->line_begins = true;
    } else if (c == '#') {
        skip_to_line_end(r);
    } else if ((c == '-' || is(c, COLON)) && is(peek(r, r->at + 1), BLANK | END)) {
        if (c != ':') r->parent = column(r);
        r->at++;
    } else if (is(c, QUOTE)) {
        step_over_quoted(r);
    } else if (c == '|' || c == '>') {
        skip_to_line_end(r);
        skip_deeper_lines(r);
    } else if (is(c, OPENS)) {
        r->depth = 1;
        r->last = c;
        r->in_word = false;
        r->at++;
    } else if (is(c, MARK)) {
        skip_name(r);
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
