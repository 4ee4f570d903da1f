#include "text/source.h"

#include "base/alloc.h"
#include "base/show.h"

#include <errno.h>
#include <fcntl.h>
#include <stdbool.h>
#include <stdint.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { FIRST_ROOM = 1 << 16 };

static tks_status out_of_memory(const text_source *source, tks_error *err)
{
    return tks_fail(err, TKS_EMEMORY, (tks_place){source->name, 0, 0}, "out of memory");
}

static tks_status too_large(const text_source *source, size_t most, tks_error *err)
{
    bool large = most >= 1 << 20;
    return tks_fail(err, TKS_ELIMIT, (tks_place){source->name, 0, 0},
                    "the file is larger than %zu %s, the most that is read",
                    large ? most >> 20 : most, large ? "MiB" : "bytes");
}

/* ------------------------------------------------------------------ is it text? */

static tks_place place_of(const text_source *source, size_t offset)
{
    tks_place at = {source->name, 1, 1};
    for (size_t i = 0; i < offset; i++) {
        char c = source->text[i];
        bool ends = c == '\n' || (c == '\r' && (i + 1 == offset || source->text[i + 1] != '\n'));
        if (ends) {
            at.line++;
            at.column = 1;
        } else if (((unsigned char)c & 0xC0) != 0x80) {
            at.column++;
        }
    }
    return at;
}

/* What no text file should hold: control characters, the rare line ends (U+0085, U+2028, U+2029),
 * by which editors and readers count lines differently, and a byte order mark that is not the first
 * character. */
static bool refused_character(const unsigned char *c, size_t bytes)
{
    if (bytes == 1)
        return (c[0] < 0x20 && c[0] != '\t' && c[0] != '\n' && c[0] != '\r') || c[0] == 0x7F;
    if (bytes == 2) return c[0] == 0xC2 && c[1] < 0xA0;
    if (bytes == 4) return false;
    bool line_end = c[0] == 0xE2 && c[1] == 0x80 && (c[2] == 0xA8 || c[2] == 0xA9);
    bool mark = c[0] == 0xEF && c[1] == 0xBB && c[2] == 0xBF;
    return line_end || mark || (c[0] == 0xEF && c[1] == 0xBF && c[2] >= 0xBE);
}

static tks_status refuse_character(const text_source *source, size_t at, tks_error *err)
{
    const unsigned char *c = (const unsigned char *)source->text + at;
    size_t bytes = base_character(source->text + at, source->length - at);
    tks_place place = place_of(source, at);
    if (!bytes)
        return tks_fail(err, TKS_ESYNTAX, place,
                        "the byte 0x%02X is not UTF-8; save the file as UTF-8", c[0]);
    unsigned code = bytes == 1   ? c[0]
                    : bytes == 2 ? (c[0] & 0x1Fu) << 6 | (c[1] & 0x3Fu)
                                 : (c[0] & 0xFu) << 12 | (c[1] & 0x3Fu) << 6 | (c[2] & 0x3Fu);
    return tks_fail(err, TKS_ESYNTAX, place,
                    "the control character U+%04X cannot stand in a text file; remove it", code);
}

static tks_status check_text(const text_source *source, tks_error *err)
{
    const char *text = source->text;
    size_t length = source->length;
    bool utf16 = length >= 2 && (!memcmp(text, "\xFF\xFE", 2) || !memcmp(text, "\xFE\xFF", 2));
    if (utf16 || memchr(text, '\0', length))
        return tks_fail(err, TKS_ESYNTAX, (tks_place){source->name, 0, 0},
                        "this is not a text file%s",
                        utf16 ? " in UTF-8: it looks like UTF-16; save it as UTF-8" : "");
    for (size_t i = 0; i < length;) {
        unsigned char c = (unsigned char)text[i];
        if (c >= 0x20 && c < 0x7F) {
            i++;
            continue;
        }
        size_t bytes = base_character(text + i, length - i);
        if (!bytes || refused_character((const unsigned char *)text + i, bytes))
            return refuse_character(source, i, err);
        i += bytes;
    }
    return TKS_OK;
}

/* ------------------------------------------------------------------ reading */

static tks_status set_name(text_source *source, const char *name, tks_error *err)
{
    *source = (text_source){0};
    size_t size = strlen(name) + 1;
    source->name = base_alloc(size, 1);
    if (!source->name) return tks_fail(err, TKS_EMEMORY, (tks_place){name, 0, 0}, "out of memory");
    memcpy(source->name, name, size);
    return TKS_OK;
}

static tks_status grow(text_source *source, size_t *room, size_t most, tks_error *err)
{
    size_t wanted = *room ? *room * 2 : FIRST_ROOM;
    if (wanted > most + 1) wanted = most + 1; /* one more, to see that there is more */
    char *larger = base_resize(source->owned, wanted, 1);
    if (!larger) return out_of_memory(source, err);
    source->owned = larger;
    *room = wanted;
    return TKS_OK;
}

static tks_status read_all(text_source *source, int file, size_t most, tks_error *err)
{
    size_t room = 0;
    for (;;) {
        if (source->length > most) return too_large(source, most, err);
        if (source->length == room) {
            tks_status status = grow(source, &room, most, err);
            if (status) return status;
        }
        ssize_t got = read(file, source->owned + source->length, room - source->length);
        if (got < 0 && errno == EINTR) continue;
        if (got < 0)
            return tks_fail(err, TKS_EREAD, (tks_place){source->name, 0, 0},
                            "cannot read the file: %s", strerror(errno));
        if (got == 0) return TKS_OK;
        source->length += (size_t)got;
    }
}

static tks_status read_file(text_source *source, int file, size_t most, tks_error *err)
{
    struct stat about;
    int failed = fstat(file, &about) ? errno : S_ISDIR(about.st_mode) ? EISDIR : 0;
    if (failed)
        return tks_fail(err, TKS_EOPEN, (tks_place){source->name, 0, 0}, "cannot open the file: %s",
                        strerror(failed));
    if (S_ISREG(about.st_mode) && about.st_size > 0 && (size_t)about.st_size > most)
        return too_large(source, most, err);
    tks_status status = read_all(source, file, most, err);
    source->text = source->owned;
    return status;
}

static tks_status finish(text_source *source, tks_status status, tks_error *err)
{
    if (!status && source->length >= 3 && !memcmp(source->text, "\xEF\xBB\xBF", 3)) {
        source->text += 3;
        source->length -= 3;
    }
    if (!status) status = check_text(source, err);
    if (status) text_source_close(source);
    return status;
}

/* Half of all addresses is more than any file has; it keeps `most + 1` from overflowing. */
static size_t within_reason(size_t most)
{
    return most < SIZE_MAX / 2 ? most : SIZE_MAX / 2;
}

tks_status text_source_open(text_source *source, const char *path, size_t most, tks_error *err)
{
    bool standard = !strcmp(path, "-");
    tks_status status = set_name(source, standard ? "standard input" : path, err);
    if (status) return status;
    int file = standard ? STDIN_FILENO : open(path, O_RDONLY | O_CLOEXEC);
    if (file < 0) {
        status = tks_fail(err, TKS_EOPEN, (tks_place){path, 0, 0}, "cannot open the file: %s",
                          strerror(errno));
    } else {
        status = read_file(source, file, within_reason(most), err);
        if (!standard) close(file);
    }
    return finish(source, status, err);
}

tks_status text_source_memory(text_source *source, const char *name, const char *text,
                              size_t length, size_t most, tks_error *err)
{
    tks_status status = set_name(source, name, err);
    if (status) return status;
    source->text = text ? text : "";
    source->length = length;
    if (length > most) status = too_large(source, most, err);
    return finish(source, status, err);
}

static size_t line_end(const text_source *source, size_t from)
{
    while (from < source->length && source->text[from] != '\n' && source->text[from] != '\r')
        from++;
    return from;
}

const char *text_source_line(const text_source *source, int line, size_t *length)
{
    size_t at = 0;
    for (int n = 1; n <= line; n++) {
        if (at > source->length || (n > 1 && at == source->length)) return NULL;
        size_t end = line_end(source, at);
        if (n == line) {
            *length = end - at;
            return source->text + at;
        }
        if (end == source->length) return NULL;
        bool pair =
            source->text[end] == '\r' && end + 1 < source->length && source->text[end + 1] == '\n';
        at = end + (pair ? 2 : 1);
    }
    return NULL;
}

void text_source_close(text_source *source)
{
    base_free(source->name);
    base_free(source->owned);
    *source = (text_source){0};
}
