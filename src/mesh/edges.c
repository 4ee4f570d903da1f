#include "mesh/edges.h"

#include "base/alloc.h"
#include "base/sets.h"
#include "mesh/facet.h"
#include "mesh/large.h"

#include <stdlib.h>
#include <string.h>

/* A side in the bucket of its lower vertex: the higher vertex in the upper half, so that sorting
 * brings equal edges together; then the half-edge, whether it runs from low to high, and whether
 * the facet's third corner is higher still (true for one side of each facet). */
static inline uint64_t side_key(uint32_t high, size_t half, bool up, bool least)
{
    return (uint64_t)high << 32 | (uint64_t)half << 2 | (uint64_t)up << 1 | (uint64_t)least;
}

static inline size_t side_half(uint64_t key)
{
    return (size_t)(key & UINT32_MAX) >> 2;
}

static inline bool side_up(uint64_t key)
{
    return key >> 1 & 1;
}

typedef struct builder {
    const tks_mesh *mesh;
    mesh_edges *e;
    size_t *start; /* vertex_count + 2: where each bucket starts */
    uint64_t *sides;
    uint32_t *thirds; /* scratch for groups of many facets */
    size_t third_room;
} builder;

static inline bool collapsed(const uint32_t *c)
{
    return c[0] == c[1] || c[1] == c[2] || c[2] == c[0];
}

static void count_sides(builder *b)
{
    const tks_mesh *m = b->mesh;
    size_t *start = b->start + 2;
    for (size_t f = 0; f < m->count; f++) {
        const uint32_t *c = m->corners + 3 * f;
        if (collapsed(c)) {
            b->e->collapsed++;
            continue;
        }
        for (int i = 0; i < 3; i++) {
            uint32_t p = c[i], q = c[i == 2 ? 0 : i + 1];
            start[p < q ? p : q]++;
        }
    }
    for (size_t v = 1; v < m->vertex_count; v++) start[v] += start[v - 1];
}

/* Afterwards bucket v is start[v] .. start[v + 1]. */
static void fill_buckets(builder *b)
{
    const tks_mesh *m = b->mesh;
    size_t *next = b->start + 1;
    for (size_t f = 0; f < m->count; f++) {
        const uint32_t *c = m->corners + 3 * f;
        if (collapsed(c)) continue;
        for (size_t i = 0; i < 3; i++) {
            uint32_t p = c[i], q = c[i == 2 ? 0 : i + 1], third = c[i ? i - 1 : 2];
            bool up = p < q;
            uint32_t low = up ? p : q, high = up ? q : p;
            b->sides[next[low]++] = side_key(high, 3 * f + i, up, third > high);
        }
    }
}

static int compare_sides(const void *a, const void *b)
{
    uint64_t p = *(const uint64_t *)a, q = *(const uint64_t *)b;
    return (p > q) - (p < q);
}

static void sort_bucket(uint64_t *sides, size_t count)
{
    if (count > 32) {
        qsort(sides, count, sizeof *sides, compare_sides);
        return;
    }
    for (size_t i = 1; i < count; i++) {
        uint64_t key = sides[i];
        size_t j = i;
        for (; j && sides[j - 1] > key; j--) sides[j] = sides[j - 1];
        sides[j] = key;
    }
}

/* ------------------------------------------------------------------ shells, as sets of facets */

/* Turns the pointers into numbers by first appearance: a root comes before all that point to it. */
static void number_shells(mesh_edges *e, size_t facets)
{
    for (size_t f = 0; f < facets; f++) e->shell[f] = e->shell[e->shell[f]];
    for (size_t f = 0; f < facets; f++)
        e->shell[f] = e->shell[f] == f ? (uint32_t)e->shell_count++ : e->shell[e->shell[f]];
}

/* ------------------------------------------------------------------ one edge */

static int compare_vertices(const void *a, const void *b)
{
    uint32_t p = *(const uint32_t *)a, q = *(const uint32_t *)b;
    return (p > q) - (p < q);
}

/* Facets on the same three corners share their least side. */
static bool count_duplicates(builder *b, const uint64_t *group, size_t count)
{
    size_t least = 0;
    if (b->third_room < count) {
        uint32_t *thirds = mesh_resize(b->thirds, count, sizeof *thirds);
        if (!thirds) return false;
        b->thirds = thirds;
        b->third_room = count;
    }
    size_t sample = 0;
    for (size_t i = 0; i < count; i++) {
        if (!(group[i] & 1)) continue;
        sample = side_half(group[i]);
        b->thirds[least++] = b->mesh->corners[mesh_previous(sample)];
    }
    if (least < 2) return true;
    if (least > 2 || b->thirds[0] != b->thirds[1])
        qsort(b->thirds, least, sizeof *b->thirds, compare_vertices);
    tks_vec3 p = mesh_corner(b->mesh, sample), q = mesh_corner(b->mesh, mesh_next(sample));
    for (size_t i = 1; i < least; i++) {
        if (b->thirds[i] != b->thirds[i - 1]) continue;
        tks_vec3 r = mesh_vertex(b->mesh, b->thirds[i]);
        b->e->duplicates++;
        b->e->duplicate_area += vec3_length(vec3_cross(vec3_sub(q, p), vec3_sub(r, p))) / 2;
    }
    return true;
}

static bool take_group(builder *b, const uint64_t *group, size_t count)
{
    mesh_edges *e = b->e;
    size_t first = side_half(group[0]);
    e->edges++;
    if (count == 1) {
        e->open++;
        e->opposite[first] = MESH_OPEN;
        return true;
    }
    size_t second = side_half(group[1]);
    if (count == 2 && side_up(group[0]) != side_up(group[1])) {
        e->opposite[first] = (uint32_t)second;
        e->opposite[second] = (uint32_t)first;
    } else {
        bool odd = count > 2;
        *(odd ? &e->odd : &e->flipped) += 1;
        for (size_t i = 0; i < count; i++)
            e->opposite[side_half(group[i])] = odd ? MESH_ODD : MESH_FLIPPED;
    }
    for (size_t i = 1; i < count; i++)
        base_set_join(e->shell, (uint32_t)(first / 3), (uint32_t)(side_half(group[i]) / 3));
    if (count == 2 && !(group[0] & group[1] & 1)) return true;
    return count_duplicates(b, group, count);
}

static bool take_bucket(builder *b, uint64_t *sides, size_t count)
{
    sort_bucket(sides, count);
    for (size_t i = 0, end; i < count; i = end) {
        for (end = i + 1; end < count && sides[end] >> 32 == sides[i] >> 32;) end++;
        if (!take_group(b, sides + i, end - i)) return false;
    }
    return true;
}

bool mesh_edges_build(const tks_mesh *mesh, mesh_edges *edges)
{
    *edges = (mesh_edges){0};
    builder b = {.mesh = mesh, .e = edges};
    size_t halves = 3 * mesh->count;
    b.start = mesh_alloc(mesh->vertex_count + 3, sizeof *b.start);
    b.sides = mesh_resize(NULL, halves, sizeof *b.sides);
    edges->opposite = mesh_resize(NULL, halves, sizeof *edges->opposite);
    edges->shell = mesh_resize(NULL, mesh->count, sizeof *edges->shell);
    bool done = b.start && b.sides && edges->opposite && edges->shell;
    if (done) {
        for (size_t i = 0; i < halves; i++) edges->opposite[i] = MESH_NONE;
        for (size_t f = 0; f < mesh->count; f++) edges->shell[f] = (uint32_t)f;
        count_sides(&b);
        fill_buckets(&b);
    }
    for (size_t v = 0; done && v < mesh->vertex_count; v++)
        done = take_bucket(&b, b.sides + b.start[v], b.start[v + 1] - b.start[v]);
    if (done) number_shells(edges, mesh->count);
    base_free(b.start);
    base_free(b.sides);
    base_free(b.thirds);
    if (!done) mesh_edges_free(edges);
    return done;
}

void mesh_edges_free(mesh_edges *edges)
{
    base_free(edges->opposite);
    base_free(edges->shell);
    *edges = (mesh_edges){0};
}

/* ------------------------------------------------------------------ fans */

static bool paired(uint32_t half)
{
    return half < MESH_NONE;
}

/* Corners in the fan about the vertex at which `half` starts; 0 when an odd or flipped edge is met.
 */
static size_t fan_size(const mesh_edges *e, size_t half)
{
    size_t count = 1, at = half;
    for (;; count++) {
        uint32_t across = e->opposite[mesh_previous(at)];
        if (across == MESH_OPEN) break;
        if (!paired(across)) return 0;
        if (across == half) return count;
        at = across;
    }
    for (at = half;; count++) {
        uint32_t across = e->opposite[at];
        if (across == MESH_OPEN) return count;
        if (!paired(across)) return 0;
        at = mesh_next(across);
    }
}

bool mesh_odd_vertices(const tks_mesh *mesh, const mesh_edges *e, size_t *count)
{
    uint32_t *degree = mesh_alloc(mesh->vertex_count, sizeof *degree);
    *count = 0;
    if (!degree) return false;
    size_t halves = 3 * mesh->count;
    for (size_t h = 0; h < halves; h++)
        if (e->opposite[h] != MESH_NONE) degree[mesh->corners[h]]++;
    for (size_t h = 0; h < halves; h++) {
        uint32_t v = mesh->corners[h];
        if (!degree[v] || e->opposite[h] == MESH_NONE) continue;
        size_t fan = fan_size(e, h);
        if (fan && fan != degree[v]) ++*count;
        degree[v] = 0;
    }
    base_free(degree);
    return true;
}
