/* Whether a PLY file holds what its header promises. The importer crashes on a binary file that is
 * cut short, and makes up numbers for a text that is.
 * Source of the layout: G. Turk, The PLY Polygon File Format (1994). */
#include "reader/reader.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

enum { HEADER = 1 << 16, BLOCK = 1 << 16, ELEMENTS = 32, PROPERTIES = 256, WORD = 32 };

typedef struct property {
    unsigned list_bytes, bytes; /* of the list's count, 0: no list; of a value */
} property;

typedef struct element {
    char name[WORD];
    uint64_t count;
    size_t first, properties; /* in ply.property */
} element;

typedef struct ply {
    bool ascii, big;
    element element[ELEMENTS];
    property property[PROPERTIES];
    size_t elements, properties;
    unsigned char block[BLOCK];
    size_t offset, at, filled; /* of the block in the file; in the block */
} ply;

/* ------------------------------------------------------------------ the header */

/* Bytes of a type; 0: not one. whole: only whole numbers can count. */
static unsigned type_bytes(const char *word, bool whole)
{
    static const struct {
        const char *name;
        unsigned bytes;
        bool whole;
    } types[] = {
        {"char", 1, true},  {"uchar", 1, true},  {"short", 2, true},    {"ushort", 2, true},
        {"int", 4, true},   {"uint", 4, true},   {"float", 4, false},   {"double", 8, false},
        {"int8", 1, true},  {"uint8", 1, true},  {"int16", 2, true},    {"uint16", 2, true},
        {"int32", 4, true}, {"uint32", 4, true}, {"float32", 4, false}, {"float64", 8, false},
    };
    for (size_t i = 0; i < sizeof types / sizeof *types; i++)
        if (!strcmp(word, types[i].name)) return types[i].whole || !whole ? types[i].bytes : 0;
    return 0;
}

static bool add_element(ply *p, const char *name, const char *count)
{
    char *end;
    if (p->elements == ELEMENTS || *count < '0' || *count > '9') return false;
    element *e = &p->element[p->elements++];
    memcpy(e->name, name, WORD);
    e->count = strtoull(count, &end, 10);
    e->first = p->properties;
    return !*end;
}

static bool add_property(ply *p, const char *count_type, const char *type)
{
    property made = {count_type ? type_bytes(count_type, true) : 0, type_bytes(type, false)};
    if (!p->elements || p->properties == PROPERTIES || !made.bytes) return false;
    if (count_type && !made.list_bytes) return false;
    p->property[p->properties++] = made;
    p->element[p->elements - 1].properties++;
    return true;
}

static bool read_line(ply *p, const char *line)
{
    char word[4][WORD] = {"", "", "", ""};
    int words = sscanf(line, "%31s %31s %31s %31s", word[0], word[1], word[2], word[3]);
    if (!strcmp(word[0], "element")) return add_element(p, word[1], word[2]);
    if (!strcmp(word[0], "property") && !strcmp(word[1], "list"))
        return add_property(p, word[2], word[3]);
    if (!strcmp(word[0], "property")) return add_property(p, NULL, word[1]);
    if (words < 2 || strcmp(word[0], "format") != 0) return true;
    p->ascii = !strcmp(word[1], "ascii");
    p->big = !strcmp(word[1], "binary_big_endian");
    return p->ascii || p->big || !strcmp(word[1], "binary_little_endian");
}

/* Reads the lines up to end_header; the body starts at *body. */
static bool read_header(ply *p, size_t *body)
{
    static char text[HEADER + 1];
    size_t size = reader_input_size(), length = size < HEADER ? size : HEADER;
    if (!reader_get(0, text, length)) return false;
    for (char *line = text, *end; (end = strchr(line, '\n')); line = end + 1) {
        *end = '\0';
        *body = (size_t)(end + 1 - text);
        if (!strncmp(line, "end_header", 10)) return true;
        if (!read_line(p, line)) return false;
    }
    return false;
}

/* ------------------------------------------------------------------ the body */

static bool refill(ply *p)
{
    size_t size = reader_input_size();
    p->offset += p->at;
    p->at = p->filled = 0;
    if (p->offset >= size) return false;
    size_t length = size - p->offset < BLOCK ? size - p->offset : BLOCK;
    p->filled = reader_get(p->offset, p->block, length) ? length : 0;
    return p->filled > 0;
}

static bool skip_bytes(ply *p, uint64_t bytes)
{
    size_t left = p->filled - p->at;
    if (bytes <= left) {
        p->at += (size_t)bytes;
        return true;
    }
    size_t size = reader_input_size(), here = p->offset + p->at;
    if (here > size || bytes > size - here) return false;
    p->offset = here + (size_t)bytes;
    p->at = p->filled = 0;
    return true;
}

static bool next_byte(ply *p, unsigned char *byte)
{
    if (p->at == p->filled && !refill(p)) return false;
    *byte = p->block[p->at++];
    return true;
}

/* The next word of a text, as a count. */
static bool next_word(ply *p, uint64_t *value)
{
    unsigned char byte = ' ';
    *value = 0;
    while (byte <= ' ')
        if (!next_byte(p, &byte)) return false;
    do {
        *value = byte >= '0' && byte <= '9' && *value < 1u << 31 ? *value * 10 + (byte - '0')
                                                                 : UINT64_MAX;
    } while (next_byte(p, &byte) && byte > ' ');
    return true;
}

static bool next_count(ply *p, unsigned bytes, uint64_t *value)
{
    unsigned char byte;
    if (p->ascii) return next_word(p, value) && *value != UINT64_MAX;
    *value = 0;
    for (unsigned i = 0; i < bytes; i++) {
        if (!next_byte(p, &byte)) return false;
        *value = p->big ? *value << 8 | byte : *value | (uint64_t)byte << (8 * i);
    }
    return true;
}

static bool skip_values(ply *p, uint64_t count, unsigned bytes)
{
    uint64_t unused;
    if (!p->ascii) return skip_bytes(p, count * bytes);
    while (count && next_word(p, &unused)) count--;
    return !count;
}

static bool skip_element(ply *p, const element *e)
{
    for (size_t i = 0; i < e->properties; i++) {
        const property *q = &p->property[e->first + i];
        uint64_t count = 1;
        if (q->list_bytes && !next_count(p, q->list_bytes, &count)) return false;
        if (!skip_values(p, count, q->bytes)) return false;
    }
    return true;
}

const char *reader_ply_fault(void)
{
    static ply p;
    static char text[100];
    if (!read_header(&p, &p.offset)) return "its header is damaged";
    for (size_t i = 0; i < p.elements; i++) {
        const element *e = &p.element[i];
        if (!strcmp(e->name, "tristrips"))
            return "it has strips of triangles, which are not read; export triangles";
        for (uint64_t k = 0; k < e->count && e->properties; k++) {
            if (skip_element(&p, e)) continue;
            snprintf(text, sizeof text, "cut short: promises %llu of '%s', holds %llu",
                     (unsigned long long)e->count, e->name, (unsigned long long)k);
            return text;
        }
    }
    return NULL;
}
