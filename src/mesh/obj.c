#include "mesh/obj.h"

#include "base/alloc.h"
#include "mesh/both.h"
#include "mesh/large.h"
#include "mesh/number.h"
#include "mesh/polygon.h"

#include <math.h>
#include <string.h>

/* A growing array of 32-bit indices. */
typedef struct indices {
    uint32_t *at;
    size_t count, room;
} indices;

typedef struct obj {
    mesh_text text;
    bool later; /* the text does not begin with the file: how many vertices stand before is unknown
                 */
    size_t cap; /* of facets */
    double *xyz;
    size_t vertices, room;
    indices triangles; /* three each */
    indices polygons;  /* each its number of corners, then the corners */
    size_t polygon_facets;
    size_t highest;    /* of all indices used */
    size_t highest_at; /* where it stands in the file */
    bool unfinite;
    long stage; /* of an OFF file: 0 the word, 1 the counts, 2 the rest */
    size_t promised_vertices, promised_faces, faces;
    tks_status status;
    tks_error err;
} obj;

/* Blanks, and line ends that a backslash takes back. */
static inline const char *skip_blanks(const char *p)
{
    for (;;) {
        while (*p == ' ' || *p == '\t' || *p == '\r') p++;
        if (*p != '\\') return p;
        int end = p[1] == '\r' && p[2] == '\n' ? 2 : 1;
        if (p[end] != '\n') return p;
        p += end + 1;
    }
}

static tks_status unreadable(const obj *o, const char *p, const char *wanted, tks_error *err)
{
    int length = (int)strcspn(p, "\r\n");
    return tks_fail(err, TKS_ESYNTAX, mesh_file_line(o->text.file, mesh_text_offset(&o->text, p)),
                    "read '%.*s', expected %s", length < 40 ? length : 40, p, wanted);
}

static tks_status read_vertex(obj *o, const char **at, tks_error *err)
{
    if (o->vertices == o->room) {
        size_t room = o->room ? o->room * 2 : o->text.file->size / 64 + 1024;
        double *xyz = mesh_resize(o->xyz, room, 3 * sizeof *xyz);
        if (!xyz) return mesh_no_memory(o->text.file, err);
        o->xyz = xyz;
        o->room = room;
    }
    double *to = o->xyz + 3 * o->vertices;
    for (int i = 0; i < 3; i++) {
        *at = skip_blanks(*at);
        if (!mesh_number(at, to + i)) return unreadable(o, *at, "a coordinate", err);
        to[i] += 0; /* no negative zero */
    }
    o->unfinite |= !isfinite(to[0] + to[1] + to[2]);
    o->vertices++;
    return TKS_OK;
}

/* One corner of a face, `7`, `7/1/2` or `-1`; the vertex may stand further down in the file. */
static inline const char *read_corner(obj *o, const char *p, uint32_t *corner)
{
    bool minus = *p == '-';
    p += minus;
    uint64_t number = 0;
    const char *first = p;
    p = mesh_digits(p, &number);
    if (p == first || p - first > 10 || !number) return NULL;
    if (minus && (o->later || number > o->vertices)) return NULL;
    uint64_t index = minus ? o->vertices - number : number - 1;
    if (index >= UINT32_MAX) return NULL;
    if (index >= o->highest) {
        o->highest = index + 1;
        o->highest_at = mesh_text_offset(&o->text, first);
    }
    *corner = (uint32_t)index;
    while ((unsigned char)*p > ' ' && *p != '\\') p++;
    return p;
}

static bool make_room(indices *list, size_t more)
{
    if (list->count + more <= list->room) return true;
    size_t room = list->room * 2 > list->count + more ? list->room * 2 : list->count + more + 1024;
    uint32_t *at = mesh_resize(list->at, room, sizeof *at);
    if (!at) return false;
    list->at = at;
    list->room = room;
    return true;
}

static inline bool ends_face(const char *p)
{
    return (unsigned char)*p <= ' ' || *p == '#';
}

/* The corners of a face go straight behind the triangles; a face of more than three is moved to the
 * polygons, with its number of corners in front. */
static bool move_to_polygons(obj *o, size_t count)
{
    indices *to = &o->polygons;
    o->triangles.count -= count;
    if (!make_room(to, count + 1)) return false;
    to->at[to->count++] = (uint32_t)count;
    memcpy(to->at + to->count, o->triangles.at + o->triangles.count, count * sizeof *to->at);
    to->count += count;
    o->polygon_facets += count - 2;
    return true;
}

static tks_status read_face(obj *o, const char **at, tks_error *err)
{
    const char *p = skip_blanks(*at), *start = p;
    indices *to = &o->triangles;
    size_t count = 0;
    for (; !ends_face(p); count++) {
        if (!make_room(to, 1)) return mesh_no_memory(o->text.file, err);
        const char *next = read_corner(o, p, &to->at[to->count]);
        if (!next) return unreadable(o, p, "the number of a vertex", err);
        to->count++;
        p = skip_blanks(next);
    }
    *at = p;
    if (count < 3) return unreadable(o, start, "a face of three corners or more", err);
    if (count > 3 && !move_to_polygons(o, count)) return mesh_no_memory(o->text.file, err);
    if (to->count / 3 + o->polygon_facets > o->cap) return mesh_too_many(o->text.file, err);
    return TKS_OK;
}

/* Behind the end of the line; a line, even of a comment, goes on behind a backslash. */
static const char *skip_line(const char *p, const char *end)
{
    while (p < end) {
        const char *newline = memchr(p, '\n', (size_t)(end - p));
        if (!newline) return end;
        const char *last = newline;
        if (last > p && last[-1] == '\r') last--;
        bool joined = last > p && last[-1] == '\\';
        p = newline + 1;
        if (!joined) return p;
    }
    return end;
}

static tks_status read_block(obj *o, const char *p, const char *end, tks_error *err)
{
    while (p < end) {
        tks_status status = TKS_OK;
        p = skip_blanks(p);
        bool spaced = p < end && (p[1] == ' ' || p[1] == '\t');
        if (*p == 'v' && spaced) {
            p += 2;
            status = read_vertex(o, &p, err);
        } else if (*p == 'f' && spaced) {
            p += 2;
            status = read_face(o, &p, err);
        }
        if (status != TKS_OK) return status;
        p = *p == '\n' ? p + 1 : skip_line(p, end);
    }
    return TKS_OK;
}

/* ------------------------------------------------------------------ OFF */

static const char *read_count(const char *p, size_t *count)
{
    const char *first = p;
    for (*count = 0; mesh_digit(*p) && p - first < 12; p++)
        *count = *count * 10 + (size_t)(*p - '0');
    return p > first && !mesh_digit(*p) ? p : NULL;
}

/* Behind `OFF`, before which letters may tell what follows the coordinates: texture (ST), colours
 * (C), normals (N). NULL: it is not there. */
static const char *skip_off(const char *p)
{
    p += strncmp(p, "ST", 2) ? 0 : 2;
    p += *p == 'C';
    p += *p == 'N';
    return strncmp(p, "OFF", 3) ? NULL : p + 3;
}

/* `OFF` and then, there or on a line further down, the numbers of vertices, faces and edges. */
static tks_status read_off_head(obj *o, const char **at, tks_error *err)
{
    const char *p = *at, *next;
    if (o->stage == 0) {
        next = skip_off(p);
        if (!next) return unreadable(o, p, "OFF", err);
        p = skip_blanks(next);
        o->stage = 1;
        if (*p == '\n' || *p == '#' || !*p) return TKS_OK;
    }
    next = read_count(p, &o->promised_vertices);
    if (next) next = read_count(skip_blanks(next), &o->promised_faces);
    if (!next) return unreadable(o, p, "the numbers of vertices and faces", err);
    if (o->promised_faces > o->cap) return mesh_too_many(o->text.file, err);
    o->stage = 2;
    *at = next;
    return TKS_OK;
}

/* `3 0 1 2`, perhaps with a colour behind. */
static tks_status read_off_face(obj *o, const char **at, tks_error *err)
{
    size_t count, index;
    const char *start = *at, *p = read_count(start, &count);
    if (!p || count < 3) return unreadable(o, start, "a face of three corners or more", err);
    for (size_t i = 0; i < count; i++) {
        p = skip_blanks(p);
        const char *next = read_count(p, &index);
        if (!next || index >= o->vertices)
            return unreadable(o, p, "the number of a vertex, counted from 0", err);
        if (!make_room(&o->triangles, 1)) return mesh_no_memory(o->text.file, err);
        o->triangles.at[o->triangles.count++] = (uint32_t)index;
        p = next;
    }
    *at = p;
    o->faces++;
    if (count > 3 && !move_to_polygons(o, count)) return mesh_no_memory(o->text.file, err);
    if (o->triangles.count / 3 + o->polygon_facets > o->cap)
        return mesh_too_many(o->text.file, err);
    return TKS_OK;
}

static tks_status read_off_block(obj *o, const char *p, const char *end, tks_error *err)
{
    while (p < end) {
        tks_status status = TKS_OK;
        p = skip_blanks(p);
        bool empty = *p == '\n' || *p == '#' || p >= end;
        if (!empty && o->stage < 2)
            status = read_off_head(o, &p, err);
        else if (!empty && o->vertices < o->promised_vertices)
            status = read_vertex(o, &p, err);
        else if (!empty && o->faces < o->promised_faces)
            status = read_off_face(o, &p, err);
        if (status != TKS_OK) return status;
        p = *p == '\n' ? p + 1 : skip_line(p, end);
    }
    return TKS_OK;
}

static tks_status refuse_cut_off(const obj *o, tks_error *err)
{
    if (o->stage == 2 && o->vertices == o->promised_vertices && o->faces == o->promised_faces)
        return TKS_OK;
    return tks_fail(err, TKS_EREAD, mesh_file_place(o->text.file),
                    "cut short: promises %zu vertices and %zu faces, holds %zu and %zu",
                    o->promised_vertices, o->promised_faces, o->vertices, o->faces);
}

/* ------------------------------------------------------------------ both */

static void read_text(void *context)
{
    obj *o = context;
    mesh_text *text = &o->text;
    bool off = text->file->format == MESH_OFF;
    o->status = mesh_text_next(text, &o->err);
    while (o->status == TKS_OK && text->begin < text->end) {
        const char *p = text->buffer + text->begin, *end = text->buffer + text->end;
        o->status = off ? read_off_block(o, p, end, &o->err) : read_block(o, p, end, &o->err);
        if (o->status == TKS_OK) o->status = mesh_text_next(text, &o->err);
    }
    if (o->status == TKS_OK && off) o->status = refuse_cut_off(o, &o->err);
}

static bool append(indices *to, const indices *from)
{
    if (!make_room(to, from->count)) return false;
    if (from->count) memcpy(to->at + to->count, from->at, from->count * sizeof *to->at);
    to->count += from->count;
    return true;
}

static bool append_vertices(obj *o, const obj *later)
{
    double *xyz = mesh_resize(o->xyz, o->vertices + later->vertices, 3 * sizeof *xyz);
    if (!xyz) return false;
    if (later->vertices)
        memcpy(xyz + 3 * o->vertices, later->xyz, later->vertices * 3 * sizeof *xyz);
    o->xyz = xyz;
    o->vertices += later->vertices;
    o->room = o->vertices;
    return true;
}

/* Puts what the later part of the file holds behind. */
static tks_status append_part(obj *o, const obj *later, tks_error *err)
{
    const mesh_file *file = o->text.file;
    if (!append_vertices(o, later) || !append(&o->triangles, &later->triangles) ||
        !append(&o->polygons, &later->polygons))
        return mesh_no_memory(file, err);
    o->polygon_facets += later->polygon_facets;
    o->unfinite |= later->unfinite;
    if (later->highest > o->highest) {
        o->highest = later->highest;
        o->highest_at = later->highest_at;
    }
    bool many = o->triangles.count / 3 + o->polygon_facets > o->cap;
    return many ? mesh_too_many(file, err) : TKS_OK;
}

static void free_obj(obj *o)
{
    mesh_text_free(&o->text);
    base_free(o->xyz);
    base_free(o->triangles.at);
    base_free(o->polygons.at);
}

/* Two parts at once, as though in one: if there is anything about the later one that depends on
 * what stands before, or that is an error, it is forgotten and the first reads on. */
static void read_parts(obj *o, size_t cut)
{
    const mesh_file *file = o->text.file;
    obj later = {.text = mesh_text_of(file, cut, file->size), .later = true, .cap = o->cap};
    o->text.last = cut;
    mesh_do_both(true, (mesh_task){read_text, o}, (mesh_task){read_text, &later});
    if (o->status == TKS_OK && later.status == TKS_OK) {
        o->status = append_part(o, &later, &o->err);
    } else if (o->status == TKS_OK) {
        o->text.last = file->size;
        read_text(o);
    }
    free_obj(&later);
}

static tks_status cut_polygons(obj *o, tks_error *err)
{
    const mesh_file *file = o->text.file;
    size_t kept = o->triangles.count, all = kept + 3 * o->polygon_facets;
    uint32_t *corners = mesh_resize(o->triangles.at, all, sizeof *corners);
    if (!corners) return mesh_no_memory(file, err);
    o->triangles.at = corners;
    mesh_polygon polygon = {.work = UINT64_C(1000000000) + 64 * (uint64_t)o->polygons.count};
    tks_status status = TKS_OK;
    for (size_t i = 0; i < o->polygons.count && status == TKS_OK;) {
        size_t count = o->polygons.at[i];
        if (!mesh_polygon_cut(&polygon, o->xyz, o->polygons.at + i + 1, count, corners + kept))
            status = polygon.work ? mesh_no_memory(file, err)
                                  : tks_fail(err, TKS_ELIMIT, mesh_file_place(file),
                                             "faces with too many corners to be cut into triangles "
                                             "in reasonable time; export triangles");
        kept += 3 * (count - 2);
        i += count + 1;
    }
    mesh_polygon_free(&polygon);
    o->triangles.count = all;
    return status;
}

static tks_status finish(obj *o, tks_mesh *mesh, tks_error *err)
{
    if (o->highest > o->vertices)
        return tks_fail(err, TKS_ESYNTAX, mesh_file_line(o->text.file, o->highest_at),
                        "a face speaks of vertex %zu, but there are only %zu", o->highest,
                        o->vertices);
    tks_status status = o->polygons.count ? cut_polygons(o, err) : TKS_OK;
    if (status != TKS_OK) return status;
    mesh->xyz = o->xyz;
    mesh->vertex_count = o->vertices;
    mesh->corners = o->triangles.at;
    mesh->count = o->triangles.count / 3;
    o->xyz = NULL;
    o->triangles.at = NULL;
    if (o->unfinite) mesh_drop_unfinite(mesh);
    return TKS_OK;
}

tks_status mesh_obj_read(const mesh_file *file, int threads, tks_mesh *mesh, tks_error *err)
{
    obj o = {.text = mesh_text_of(file, 0, file->size), .cap = file->limits.facets};
    size_t cut = threads > 1 && file->format == MESH_OBJ ? mesh_text_middle(file, "") : 0;
    if (!make_room(&o.triangles, file->size / 12))
        o.status = mesh_no_memory(file, &o.err);
    else if (cut)
        read_parts(&o, cut);
    else
        read_text(&o);
    if (o.status == TKS_OK) o.status = finish(&o, mesh, &o.err);
    if (o.status != TKS_OK && err) *err = o.err;
    free_obj(&o);
    return o.status;
}
