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

/* Finds the entry whose name ends in .model; gives the place of its local header and its method. */
static bool find_model(size_t *header, unsigned *method)
{
    unsigned char entry[ENTRY], name[6];
    unsigned entries;
    size_t at;
    if (!find_directory(&at, &entries)) return false;
    for (; entries > 0; entries--) {
        if (!reader_get(at, entry, ENTRY) || memcmp(entry, "PK\1\2", 4)) return false;
        unsigned length = number(entry + 28, 2);
        if (length >= 6 && reader_get(at + ENTRY + length - 6, name, 6) &&
            !memcmp(name, ".model", 6)) {
            *method = number(entry + 10, 2);
            *header = number(entry + 42, 4);
            return true;
        }
        at += ENTRY + length + number(entry + 30, 2) + number(entry + 32, 2);
    }
    return false;
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
    const char *model = read_model(text, sizeof text) ? strstr(text, "<model") : NULL;
    if (!model) return 0;
    const char *end = strchr(model, '>'), *unit = strstr(model, "unit=");
    if (!unit || (end && unit > end)) return 1e-3;
    unit += 6;
    for (size_t i = 0; i < sizeof units / sizeof *units; i++) {
        size_t n = strlen(units[i].name);
        if (!strncmp(unit, units[i].name, n) && (unit[n] == '"' || unit[n] == '\''))
            return units[i].metres;
    }
    return 0;
}
