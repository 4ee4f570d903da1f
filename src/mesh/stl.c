#include "mesh/stl.h"

#include "base/alloc.h"
#include "base/vec.h"
#include "mesh/both.h"
#include "mesh/number.h"

#include <string.h>
#include <strings.h>

enum { HEAD = 4096, HEADER = 84, RECORD = 50, BEHIND = 2 /* for mesh_tally_records */ };

/* ------------------------------------------------------------------ binary */

/* Some records of a file, read in blocks. */
typedef struct stretch {
    const mesh_file *file;
    size_t first, count;
    tks_status (*take)(void *context, const unsigned char *records, size_t count, tks_error *err);
    void *context;
    tks_status status;
    tks_error err;
} stretch;

static void read_stretch(void *context)
{
    stretch *s = context;
    unsigned char *records = base_alloc(1, MESH_BLOCK * RECORD + BEHIND);
    s->status = records ? TKS_OK : mesh_no_memory(s->file, &s->err);
    for (size_t done = 0; done < s->count && s->status == TKS_OK;) {
        size_t n = s->count - done < MESH_BLOCK ? s->count - done : MESH_BLOCK;
        size_t offset = HEADER + RECORD * (s->first + done);
        if (mesh_file_read(s->file, offset, records, n * RECORD))
            s->status = s->take(s->context, records, n, &s->err);
        else
            s->status = tks_fail(&s->err, TKS_EREAD, mesh_file_place(s->file),
                                 "the file could not be read to its end");
        done += n;
    }
    base_free(records);
}

static tks_status failed(tks_status status, const tks_error *why, tks_error *err)
{
    if (err) *err = *why;
    return status;
}

/* In two halves, from `parts` with take and context set. */
static tks_status read_records(const mesh_file *file, int threads, stretch parts[2], tks_error *err)
{
    size_t half = file->facets / 2 / MESH_BLOCK * MESH_BLOCK;
    parts[0].file = parts[1].file = file;
    parts[0].count = parts[1].first = half;
    parts[1].count = file->facets - half;
    mesh_do_both(half && threads > 1, (mesh_task){read_stretch, &parts[0]},
                 (mesh_task){read_stretch, &parts[1]});
    for (int i = 0; i < 2; i++)
        if (parts[i].status != TKS_OK) return failed(parts[i].status, &parts[i].err, err);
    return TKS_OK;
}

typedef struct widening {
    mesh_sink sink;
    double *xyz; /* MESH_BLOCK x 9 */
} widening;

static tks_status widen_records(void *context, const unsigned char *records, size_t count,
                                tks_error *err)
{
    widening *w = context;
    float single[9];
    for (size_t i = 0; i < count; i++) {
        memcpy(single, records + RECORD * i + 12, sizeof single);
        for (int k = 0; k < 9; k++) w->xyz[9 * i + (size_t)k] = (double)single[k];
    }
    return w->sink.take(w->sink.context, w->xyz, count, err);
}

static tks_status read_binary(const mesh_file *file, int threads, const mesh_sink sinks[2],
                              tks_error *err)
{
    double *xyz = base_alloc(2 * MESH_BLOCK, 9 * sizeof *xyz);
    if (!xyz) return mesh_no_memory(file, err);
    widening first = {sinks[0], xyz}, second = {sinks[1], xyz + 9 * MESH_BLOCK};
    stretch parts[2] = {{.take = widen_records, .context = &first},
                        {.take = widen_records, .context = &second}};
    tks_status status = read_records(file, threads, parts, err);
    base_free(xyz);
    return status;
}

static tks_status tally_records(void *context, const unsigned char *records, size_t count,
                                tks_error *err)
{
    (void)err;
    mesh_tally_records(context, records, count);
    return TKS_OK;
}

/* ------------------------------------------------------------------ ASCII */

/* Words in the order in which they stand; only the numbers behind `vertex` are read. */
typedef struct ascii {
    mesh_text text;
    mesh_sink sink;
    double *xyz;  /* MESH_BLOCK x 9 */
    size_t count; /* of triangles gathered */
    int corner;   /* of the triangle at hand */
    size_t seen;
    tks_status status;
    tks_error err;
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

static tks_status unreadable(ascii *a, const char *p)
{
    int length = (int)strcspn(p, " \t\r\n");
    tks_place place = mesh_file_line(a->text.file, mesh_text_offset(&a->text, p));
    return tks_fail(&a->err, TKS_ESYNTAX, place, "'%.*s' is not what an ASCII STL has here",
                    length < 40 ? length : 40, p);
}

static tks_status flush(ascii *a)
{
    size_t n = a->count;
    a->count = 0;
    a->seen += n;
    if (a->seen > a->text.file->limits.facets) return mesh_too_many(a->text.file, &a->err);
    return n ? a->sink.take(a->sink.context, a->xyz, n, &a->err) : TKS_OK;
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

static tks_status read_block(ascii *a, const char *p, const char *end)
{
    for (p = skip_blanks(p); p < end; p = skip_blanks(p)) {
        const char *next = read_word(a, p);
        if (!next) return unreadable(a, p);
        p = next;
        if (a->count < MESH_BLOCK) continue;
        tks_status status = flush(a);
        if (status != TKS_OK) return status;
    }
    return TKS_OK;
}

/* Up to the end of its text. A triangle that is not complete there stays at hand. */
static void read_text(void *context)
{
    ascii *a = context;
    mesh_text *text = &a->text;
    if (!a->xyz) a->xyz = base_alloc(MESH_BLOCK, 9 * sizeof *a->xyz);
    a->status = a->xyz ? mesh_text_next(text, &a->err) : mesh_no_memory(text->file, &a->err);
    while (a->status == TKS_OK && text->begin < text->end) {
        a->status = read_block(a, text->buffer + text->begin, text->buffer + text->end);
        if (a->status == TKS_OK) a->status = mesh_text_next(text, &a->err);
    }
    if (a->status == TKS_OK && !a->corner) a->status = flush(a);
}

/* The file is cut where a line begins with `facet`. If the first part ends inside a facet, that
 * word is an error, and the first part reads on to tell so. */
static void read_parts(ascii *first, ascii *second, int threads)
{
    bool cut = first->text.last < second->text.last;
    if (cut && threads > 1)
        mesh_do_both(true, (mesh_task){read_text, first}, (mesh_task){read_text, second});
    else
        read_text(first);
    if (!cut || first->status != TKS_OK) return;
    if (first->corner) {
        first->text.last = second->text.last;
        read_text(first);
    } else if (threads < 2) {
        read_text(second);
    }
}

static tks_status judge_end(const ascii *first, const ascii *second, tks_error *err)
{
    const mesh_file *file = first->text.file;
    if (first->status != TKS_OK) return failed(first->status, &first->err, err);
    if (second->status != TKS_OK) return failed(second->status, &second->err, err);
    if (first->corner || second->corner)
        return tks_fail(err, TKS_EREAD, mesh_file_place(file), "cut short inside a facet");
    bool many = first->seen + second->seen > file->limits.facets;
    return many ? mesh_too_many(file, err) : TKS_OK;
}

static void free_ascii(ascii *a)
{
    mesh_text_free(&a->text);
    base_free(a->xyz);
}

static tks_status read_ascii(const mesh_file *file, int threads, const mesh_sink sinks[2],
                             tks_error *err)
{
    size_t cut = mesh_text_middle(file, "facet");
    ascii first = {.text = mesh_text_of(file, 0, cut ? cut : file->size), .sink = sinks[0]};
    ascii second = {.text = mesh_text_of(file, cut, file->size), .sink = sinks[1]};
    read_parts(&first, &second, threads);
    tks_status status = judge_end(&first, &second, err);
    free_ascii(&first);
    free_ascii(&second);
    return status;
}

static tks_status tally_triangles(void *context, double *xyz, size_t count, tks_error *err)
{
    (void)err;
    mesh_tally_add(context, xyz, count);
    return TKS_OK;
}

/* ------------------------------------------------------------------ both */

tks_status mesh_stl_read(const mesh_file *file, int threads, const mesh_sink sinks[2],
                         tks_error *err)
{
    return file->format == MESH_BINARY_STL ? read_binary(file, threads, sinks, err)
                                           : read_ascii(file, threads, sinks, err);
}

static tks_vec3 first_record_corner(const mesh_file *file)
{
    float at[3];
    bool read = file->facets && mesh_file_read(file, HEADER + 12, at, sizeof at);
    return read ? vec3((double)at[0], (double)at[1], (double)at[2]) : vec3(0, 0, 0);
}

/* About what stands behind the first `vertex` of the file, where that is near its start. Read the
 * slow way: the quick one is inlined where it counts as long as that is the only place. */
static tks_vec3 first_ascii_corner(const mesh_file *file)
{
    char head[HEAD + MESH_TEXT_SLACK] = {0};
    double xyz[3] = {0};
    bool read = mesh_file_read(file, 0, head, file->size < HEAD ? file->size : HEAD);
    const char *p = read ? strcasestr(head, "vertex ") : NULL;
    if (p) p += strlen("vertex");
    for (int i = 0; p && i < 3; i++) {
        p = skip_blanks(p);
        if (!mesh_number_slow(&p, xyz + i)) return vec3(0, 0, 0);
    }
    return vec3(xyz[0], xyz[1], xyz[2]);
}

tks_status mesh_stl_tally(const mesh_file *file, int threads, mesh_tally *tally, tks_error *err)
{
    mesh_tally halves[2];
    mesh_sink sinks[2] = {{tally_triangles, &halves[0]}, {tally_triangles, &halves[1]}};
    stretch parts[2] = {{.take = tally_records, .context = &halves[0]},
                        {.take = tally_records, .context = &halves[1]}};
    bool binary = file->format == MESH_BINARY_STL;
    tks_vec3 origin = binary ? first_record_corner(file) : first_ascii_corner(file);
    for (int i = 0; i < 2; i++) mesh_tally_start(&halves[i], origin);
    tks_status status =
        binary ? read_records(file, threads, parts, err) : read_ascii(file, threads, sinks, err);
    if (status != TKS_OK) return status;
    *tally = halves[0];
    mesh_tally_join(tally, &halves[1]);
    return TKS_OK;
}
