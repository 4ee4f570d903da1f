/* The unit of a 3MF package: the first bytes of its model, out of the ZIP archive. */
#include "reader/reader.h"

#include <string.h>
#include <zlib.h>

enum { TAIL = 65557, HEAD = 16384, ENTRY = 46 };

static unsigned number(const unsigned char *p, int bytes)
{
    unsigned value = 0;
    for (int i = bytes; i-- > 0;) value = value << 8 | p[i];
    return value;
}

/* Offset of the archive's central directory; source of the layout: PKWARE APPNOTE 6.3, 4.3.16. */
static bool find_directory(size_t *offset, unsigned *entries)
{
    static unsigned char tail[TAIL];
    size_t size = reader_input_size(), length = size < TAIL ? size : TAIL;
    if (length < 22 || !reader_get(size - length, tail, length)) return false;
    for (size_t i = length - 21; i-- > 0;) {
        if (memcmp(tail + i, "PK\5\6", 4)) continue;
        *entries = number(tail + i + 10, 2);
        *offset = number(tail + i + 16, 4);
        return true;
    }
    return false;
}

static bool ends_with(size_t name, unsigned length, const char *ending)
{
    char text[32];
    size_t n = strlen(ending);
    return length >= n && reader_get(name + length - n, text, n) && !memcmp(text, ending, n);
}

/* Finds the model: the entry of the usual name, or the only one whose name ends in .model. Gives
 * the place of its local header and its method. */
static bool find_model(size_t *header, unsigned *method)
{
    unsigned char entry[ENTRY];
    unsigned entries, models = 0;
    size_t at;
    if (!find_directory(&at, &entries)) return false;
    for (; entries > 0; entries--) {
        if (!reader_get(at, entry, ENTRY) || memcmp(entry, "PK\1\2", 4)) return false;
        unsigned length = number(entry + 28, 2);
        bool usual = ends_with(at + ENTRY, length, "3D/3dmodel.model");
        if (usual || ends_with(at + ENTRY, length, ".model")) {
            models++;
            *method = number(entry + 10, 2);
            *header = number(entry + 42, 4);
        }
        if (usual) return true;
        at += ENTRY + length + number(entry + 30, 2) + number(entry + 32, 2);
    }
    return models == 1;
}

/* The first bytes of the model, ending in a NUL. */
static bool read_model(char *text, size_t room)
{
    static unsigned char packed[HEAD];
    unsigned char local[30];
    unsigned method;
    size_t header;
    if (!find_model(&header, &method) || !reader_get(header, local, sizeof local)) return false;
    size_t from = header + 30 + number(local + 26, 2) + number(local + 28, 2);
    size_t size = reader_input_size(), length = from < size ? size - from : 0;
    if (length > HEAD) length = HEAD;
    if (!length || !reader_get(from, packed, length)) return false;
    z_stream stream = {.next_in = packed,
                       .avail_in = (uInt)length,
                       .next_out = (Bytef *)text,
                       .avail_out = (uInt)room - 1};
    memset(text, 0, room);
    if (method == 0) {
        memcpy(text, packed, length < room - 1 ? length : room - 1);
        return true;
    }
    if (method != 8 || inflateInit2(&stream, -MAX_WBITS) != Z_OK) return false;
    inflate(&stream, Z_SYNC_FLUSH);
    inflateEnd(&stream);
    return stream.total_out > 0;
}

/* ------------------------------------------------------------------ the model's first element */

static const char *past(const char *p, const char *mark)
{
    const char *found = strstr(p, mark);
    return found ? found + strlen(mark) : "";
}

/* Behind the `<` of the root element: declarations and comments come before it. */
static const char *find_root(const char *p)
{
    for (;;) {
        p = past(p, "<");
        if (!strncmp(p, "!--", 3))
            p = past(p, "-->");
        else if (*p == '!' && p[strcspn(p, "[>")] == '[')
            p = past(p, "]");
        else if (*p != '?' && *p != '!')
            return p;
    }
}

static const char *skip(const char *p, const char *any_of)
{
    return p + strspn(p, any_of);
}

/* The value of an attribute, up to its closing quote; "" when it is not there, NULL when the
 * element is cut off or cannot be read. */
static const char *find_attribute(const char *p, const char *name)
{
    static const char blanks[] = " \t\r\n";
    p += strcspn(p, " \t\r\n>");
    for (;;) {
        p = skip(p, blanks);
        if (*p == '>' || *p == '/') return "";
        size_t length = strcspn(p, " \t\r\n=>");
        bool wanted = length == strlen(name) && !strncmp(p, name, length);
        p = skip(p + length, blanks);
        if (*p != '=') return NULL;
        p = skip(p + 1, blanks);
        if (*p != '"' && *p != '\'') return NULL;
        const char *value = p + 1;
        p = strchr(value, *p);
        if (!p) return NULL;
        if (wanted) return value;
        p++;
    }
}

double reader_3mf_unit(void)
{
    static const struct {
        const char *name;
        double metres;
    } units[] = {
        {"micron", 1e-6}, {"millimeter", 1e-3}, {"centimeter", 1e-2},
        {"inch", 0.0254}, {"foot", 0.3048},     {"meter", 1},
    };
    static char text[HEAD];
    if (!read_model(text, sizeof text)) return 0;
    const char *unit = find_attribute(find_root(text), "unit");
    if (!unit) return 0;
    if (!*unit) return 1e-3;
    size_t length = strcspn(unit, "\"'");
    for (size_t i = 0; i < sizeof units / sizeof *units; i++)
        if (length == strlen(units[i].name) && !strncmp(unit, units[i].name, length))
            return units[i].metres;
    return 0;
}
