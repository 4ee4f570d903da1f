#include "mesh/stl.h"

#include "base/alloc.h"
#include "base/vec.h"
#include "mesh/both.h"
#include "mesh/number.h"

#include <string.h>
#include <strings.h>

enum { HEADER = 84, RECORD = 50, BEHIND = 2 /* for mesh_tally_records */ };

static tks_status cannot_read(const mesh_file *file, tks_error *err)
{
    return tks_fail(err, TKS_EREAD, mesh_file_place(file), "the file could not be read to its end");
}

/* ------------------------------------------------------------------ binary: area and volume */

typedef struct stretch {
    const mesh_file *file;
    size_t first, count; /* records */
    mesh_tally tally;
    tks_status status;
} stretch;

static void tally_stretch(void *context)
{
    stretch *s = context;
    unsigned char *records = base_alloc(1, MESH_BLOCK * RECORD + BEHIND);
    s->status = records ? TKS_OK : TKS_EMEMORY;
    for (size_t done = 0; done < s->count && s->status == TKS_OK;) {
        size_t n = s->count - done < MESH_BLOCK ? s->count - done : MESH_BLOCK;
        size_t offset = HEADER + RECORD * (s->first + done);
        if (mesh_file_read(s->file, offset, records, n * RECORD))
            mesh_tally_records(&s->tally, records, n);
        else
            s->status = TKS_EREAD;
        done += n;
    }
    base_free(records);
}

static tks_vec3 first_corner(const mesh_file *file)
{
    float at[3];
    bool read = file->facets && mesh_file_read(file, HEADER + 12, at, sizeof at);
    return read ? vec3((double)at[0], (double)at[1], (double)at[2]) : vec3(0, 0, 0);
}

tks_status mesh_stl_tally(const mesh_file *file, int threads, mesh_tally *tally, tks_error *err)
{
    tks_vec3 origin = first_corner(file);
    size_t half = file->facets / 2 / MESH_BLOCK * MESH_BLOCK;
    stretch halves[2] = {{.file = file, .count = half},
                         {.file = file, .first = half, .count = file->facets - half}};
    for (int i = 0; i < 2; i++) mesh_tally_start(&halves[i].tally, origin);
    mesh_task tasks[] = {{tally_stretch, &halves[0]}, {tally_stretch, &halves[1]}};
    if (half && threads > 1)
        mesh_do_both(tasks[0], tasks[1]);
    else
        for (int i = 0; i < 2; i++) tally_stretch(&halves[i]);
    for (int i = 0; i < 2; i++) {
        if (halves[i].status == TKS_EMEMORY) return mesh_no_memory(file, err);
        if (halves[i].status != TKS_OK) return cannot_read(file, err);
    }
    *tally = halves[0].tally;
    mesh_tally_join(tally, &halves[1].tally);
    return TKS_OK;
}

/* ------------------------------------------------------------------ binary: the triangles */

static void widen_records(const unsigned char *records, size_t count, double *xyz)
{
    float single[9];
    for (size_t i = 0; i < count; i++) {
        memcpy(single, records + RECORD * i + 12, sizeof single);
        for (int k = 0; k < 9; k++) xyz[9 * i + (size_t)k] = (double)single[k];
    }
}

tks_status mesh_stl_binary(const mesh_file *file, const mesh_sink *sink, tks_error *err)
{
    unsigned char *records = base_alloc(MESH_BLOCK, RECORD);
    double *xyz = base_alloc(MESH_BLOCK, 9 * sizeof *xyz);
    tks_status status = records && xyz ? TKS_OK : mesh_no_memory(file, err);
    for (size_t done = 0; done < file->facets && status == TKS_OK;) {
        size_t n = file->facets - done < MESH_BLOCK ? file->facets - done : MESH_BLOCK;
        if (mesh_file_read(file, HEADER + RECORD * done, records, n * RECORD)) {
            widen_records(records, n, xyz);
            status = sink->take(sink->context, xyz, n, err);
        } else {
            status = cannot_read(file, err);
        }
        done += n;
    }
    base_free(records);
    base_free(xyz);
    return status;
}

/* ------------------------------------------------------------------ ASCII */

/* Words in the order in which they stand; only the numbers behind `vertex` are read. */
typedef struct ascii {
    const mesh_text *text;
    double *xyz;  /* MESH_BLOCK x 9 */
    size_t count; /* of triangles gathered */
    int corner;   /* of the triangle at hand */
    size_t seen;
} ascii;

/* All up to the blank in the alphabet, but for the NUL that ends the block; four at a time where a
 * line is indented. */
static inline const char *skip_blanks(const char *p)
{
    while ((unsigned char)(*p - 1) < ' ')
        for (p++; !memcmp(p, "    ", 4);) p += 4;
    return p;
}

static inline const char *skip_word(const char *p)
{
    while ((unsigned char)*p > ' ') p++;
    return p;
}

static tks_status unreadable(const ascii *a, const char *p, tks_error *err)
{
    int length = (int)strcspn(p, " \t\r\n");
    return tks_fail(err, TKS_ESYNTAX, mesh_file_line(a->text->file, mesh_text_offset(a->text, p)),
                    "'%.*s' is not what an ASCII STL has here", length < 40 ? length : 40, p);
}

static tks_status flush(ascii *a, const mesh_sink *sink, tks_error *err)
{
    size_t n = a->count;
    a->count = 0;
    a->seen += n;
    if (a->seen > a->text->file->limits.facets) return mesh_too_many(a->text->file, err);
    return n ? sink->take(sink->context, a->xyz, n, err) : TKS_OK;
}

static bool read_vertex(ascii *a, const char **at)
{
    double *to = a->xyz + 9 * a->count + 3 * a->corner;
    if (a->corner == 3) return false;
    for (int i = 0; i < 3; i++) {
        *at = skip_blanks(*at);
        if (!mesh_number(at, to + i)) return false;
    }
    a->corner++;
    return true;
}

/* Whether the word at p is this one in any case (word: small letters); *end is then behind it. The
 * block may be read MESH_TEXT_SLACK bytes past its end. */
static inline bool word_is(const char *p, const char *word, size_t length, const char **end)
{
    *end = p + length;
    if (memcmp(p, word, length) && strncasecmp(p, word, length)) return false;
    return (unsigned char)**end <= ' ';
}

#define IS(word) word_is(p, word, sizeof word - 1, &end)

static const char *skip_line(const char *p)
{
    while (*p && *p != '\n') p++;
    return p;
}

/* The three numbers of a normal are passed over: it follows from the corners. */
static const char *skip_normal(const char *p)
{
    for (int i = 0; i < 3; i++) p = skip_word(skip_blanks(p));
    return p;
}

static const char *end_facet(ascii *a, const char *end)
{
    if (a->corner != 3) return NULL;
    a->corner = 0;
    a->count++;
    return end;
}

/* One word and what belongs to it; NULL when it does not belong here. */
static const char *read_word(ascii *a, const char *p)
{
    const char *end;
    switch (*p | 32) {
    case 'v': return IS("vertex") && read_vertex(a, &end) ? end : NULL;
    case 'f': return IS("facet") && !a->corner ? end : NULL;
    case 'n': return IS("normal") && !a->corner ? skip_normal(end) : NULL;
    case 'o': return IS("outer") && !a->corner ? end : NULL;
    case 'l': return IS("loop") && !a->corner ? end : NULL;
    case 'e':
        if ((p[3] | 32) == 'l') return IS("endloop") && a->corner == 3 ? end : NULL;
        if ((p[3] | 32) == 'f') return IS("endfacet") ? end_facet(a, end) : NULL;
        return IS("endsolid") && !a->corner ? skip_line(end) : NULL;
    case 's': return IS("solid") && !a->corner ? skip_line(end) : NULL;
    default: return NULL;
    }
}

static tks_status read_block(ascii *a, const char *p, const char *end, const mesh_sink *sink,
                             tks_error *err)
{
    for (p = skip_blanks(p); p < end; p = skip_blanks(p)) {
        const char *next = read_word(a, p);
        if (!next) return unreadable(a, p, err);
        p = next;
        if (a->count < MESH_BLOCK) continue;
        tks_status status = flush(a, sink, err);
        if (status != TKS_OK) return status;
    }
    return TKS_OK;
}

tks_status mesh_stl_ascii(const mesh_file *file, const mesh_sink *sink, tks_error *err)
{
    mesh_text text = {.file = file};
    ascii a = {.text = &text, .xyz = base_alloc(MESH_BLOCK, 9 * sizeof(double))};
    tks_status status = a.xyz ? mesh_text_next(&text, err) : mesh_no_memory(file, err);
    while (status == TKS_OK && text.begin < text.end) {
        status = read_block(&a, text.buffer + text.begin, text.buffer + text.end, sink, err);
        if (status == TKS_OK) status = mesh_text_next(&text, err);
    }
    if (status == TKS_OK && a.corner)
        status = tks_fail(err, TKS_EREAD, mesh_file_place(file), "cut short inside a facet");
    if (status == TKS_OK) status = flush(&a, sink, err);
    mesh_text_free(&text);
    base_free(a.xyz);
    return status;
}
