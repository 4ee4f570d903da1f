/* Inside and outside, told apart by openness. */
#include "base/alloc.h"
#include "mesh/facet.h"
#include "mesh/inside.h"
#include "mesh/weld.h"

#include <math.h>
#include <pthread.h>
#include <string.h>

enum {
    PICKS = 8,      /* facets looked at in a group */
    RAYS_EACH = 16, /* from one of them at a time */
    FIRST = 4,      /* picks that decide a clear case */
    MORE = 3,       /* further turns over all picks in a doubtful one */
    WANTED_GROUPS = 8000,
    MOST_GROUPS = 60000
};

static const double doubtful = 0.2; /* so near the cut-off a first estimate needs more rays */

static const double pi = 3.14159265358979323846;

/* Facets of one cell of space and one body that face alike. Each pick is a facet drawn with a
 * chance that goes with its area: the one of the least -log(random) / area. */
typedef struct group {
    uint32_t facet[PICKS];
    float least[PICKS];
    bool open, enclosed;
} group;

typedef struct labelling {
    const mesh_bvh *bvh;
    const mesh_edges *edges;
    mesh_enclosures enclosures;
    int8_t *outward; /* by shell: -1 for one that is inside out, 0 for a sealed hollow */
    double cell;
    tks_vec3 low;
    double cut, skip;
    bool
        either_way; /* some facets face the wrong way: of both sides of each the more open counts */

    uint32_t *group_of; /* by facet */
    uint64_t *keys;     /* hash table of groups */
    uint32_t *ids;
    size_t slots;
    uint64_t seed;
    size_t bodies;

    group *groups;
    size_t group_count;
} labelling;

/* ------------------------------------------------------------------ chance, the same every time */

static uint64_t mixed(uint64_t x)
{
    x = (x ^ x >> 30) * UINT64_C(0xbf58476d1ce4e5b9);
    x = (x ^ x >> 27) * UINT64_C(0x94d049bb133111eb);
    return x ^ x >> 31;
}

/* In 0..1, neither of them. */
static double chance(uint64_t x)
{
    return ((double)(mixed(x) >> 11) + 0.5) * 0x1p-53;
}

/* ------------------------------------------------------------------ groups */

static int facing(tks_vec3 n)
{
    double size[3] = {fabs(n.x), fabs(n.y), fabs(n.z)}, part[3] = {n.x, n.y, n.z};
    int axis = size[1] > size[0] ? 1 : 0;
    if (size[2] > size[axis]) axis = 2;
    return 2 * axis + (part[axis] < 0);
}

static uint64_t cell_index(double x, double cell)
{
    double i = floor(x / cell);
    return !(i > 0) ? 0 : i > 1048575 ? 1048575 : (uint64_t)i;
}

static uint64_t facet_key(const labelling *l, size_t facet, tks_vec3 normal)
{
    tks_vec3 p = vec3_sub(mesh_facet_centre(l->bvh->mesh, facet), l->low);
    uint64_t place =
        cell_index(p.x, l->cell) << 40 | cell_index(p.y, l->cell) << 20 | cell_index(p.z, l->cell);
    uint64_t body = l->enclosures.rank[l->edges->shell[facet]];
    return (mixed(place) ^ (body * 8 + (uint64_t)facing(normal)) * UINT64_C(0x9e3779b97f4a7c15)) |
           1;
}

/* The group of a key, made if it is new; MOST_GROUPS when there are too many. */
static uint32_t find_group(labelling *l, uint64_t key)
{
    size_t at = (size_t)mixed(key ^ l->seed) & (l->slots - 1);
    while (l->keys[at] && l->keys[at] != key) at = (at + 1) & (l->slots - 1);
    if (l->keys[at]) return l->ids[at];
    if (l->group_count == MOST_GROUPS) return MOST_GROUPS;
    group *g = &l->groups[l->group_count];
    for (int i = 0; i < PICKS; i++) g->least[i] = INFINITY;
    l->keys[at] = key;
    l->ids[at] = (uint32_t)l->group_count;
    return (uint32_t)l->group_count++;
}

static void offer_facet(group *g, size_t facet, double area)
{
    for (uint64_t i = 0; i < PICKS; i++) {
        float draw = (float)(-log(chance(facet * PICKS + i)) / (area + 1e-300));
        if (!(draw < g->least[i]) && isfinite(g->least[i])) continue;
        g->least[i] = draw;
        g->facet[i] = (uint32_t)facet;
    }
}

static bool group_facets(labelling *l)
{
    const tks_mesh *m = l->bvh->mesh;
    l->group_count = 0;
    memset(l->keys, 0, l->slots * sizeof *l->keys);
    for (size_t f = 0; f < m->count; f++) {
        tks_vec3 n = mesh_twice_area(m, f);
        uint32_t g = find_group(l, facet_key(l, f, n));
        if (g == MOST_GROUPS) return false;
        l->group_of[f] = g;
        offer_facet(&l->groups[g], f, vec3_length(n));
    }
    return true;
}

/* ------------------------------------------------------------------ rays */

static tks_vec3 any_perpendicular(tks_vec3 n)
{
    return vec3_unit(fabs(n.x) < 0.7 ? vec3(0, n.z, -n.y) : vec3(-n.z, 0, n.x));
}

/* A place on the facet, evenly spread. */
static tks_vec3 place_on(const tks_mesh *m, size_t facet, uint64_t draw)
{
    double s = sqrt(chance(draw)), t = chance(draw + 1);
    tks_vec3 a = vec3_scale(mesh_corner(m, 3 * facet), 1 - s);
    return vec3_step(vec3_step(a, s * (1 - t), mesh_corner(m, 3 * facet + 1)), s * t,
                     mesh_corner(m, 3 * facet + 2));
}

/* Rays that escape from places on one facet; cosine-weighted, on a turned 4 x 4 grid (Malley's way:
 * a disc evenly filled, lifted to the hemisphere). */
static int escapes(const labelling *l, uint32_t facet, double sense, uint64_t draw)
{
    const tks_mesh *m = l->bvh->mesh;
    tks_vec3 n = vec3_scale(vec3_unit(mesh_twice_area(m, facet)), sense);
    tks_vec3 x = any_perpendicular(n), y = vec3_cross(n, x);
    int open = 0;
    for (uint64_t i = 0; i < RAYS_EACH; i++) {
        uint64_t d = (draw * RAYS_EACH + i) * 4;
        tks_vec3 from = vec3_step(place_on(m, facet, d), l->skip, n);
        double r2 = ((double)(i / 4) + chance(d + 2)) / 4;
        double turn = 2 * pi * ((double)(i % 4) + chance(d + 3)) / 4;
        tks_vec3 way = vec3_scale(n, sqrt(1 - r2));
        way = vec3_step(way, sqrt(r2) * cos(turn), x);
        way = vec3_step(way, sqrt(r2) * sin(turn), y);
        open += !mesh_bvh_blocked(l->bvh, from, way, 0);
    }
    return open;
}

typedef struct share {
    labelling *l;
    size_t from, to;
} share;

/* Share of open directions over a group, sense 1: on its outer side, -1: on the other; 64 rays, and
 * 384 more where they leave a doubt. */
static double openness(const labelling *l, size_t g, double sense)
{
    const group *at = &l->groups[g];
    double side[PICKS];
    int open = 0;
    for (size_t i = 0; i < PICKS; i++) side[i] = sense * l->outward[l->edges->shell[at->facet[i]]];
    for (size_t i = 0; i < FIRST; i++)
        open += escapes(l, at->facet[i], side[i], (g * PICKS + i) * 4);
    double first = open / (double)(FIRST * RAYS_EACH);
    if (fabs(first - l->cut) > doubtful) return first;
    for (size_t i = 0; i < PICKS; i++)
        for (size_t turn = 1; turn <= MORE; turn++)
            open += escapes(l, at->facet[i], side[i], (g * PICKS + i) * 4 + turn);
    return open / (double)((FIRST + PICKS * MORE) * RAYS_EACH);
}

/* Whether most of the places looked at stand within another body: overlapped by it, or sealed in.
 */
static bool enclosed(const labelling *l, const group *g)
{
    const tks_mesh *m = l->bvh->mesh;
    int within = 0;
    for (int i = 0; i < PICKS; i++) {
        uint32_t facet = g->facet[i], shell = l->edges->shell[facet],
                 rank = l->enclosures.rank[shell];
        tks_vec3 n = vec3_scale(vec3_unit(mesh_twice_area(m, facet)), l->outward[shell]);
        uint64_t own = rank ? UINT64_C(1) << (rank - 1) : 0;
        tks_vec3 above = vec3_step(mesh_facet_centre(m, facet), l->skip, n);
        within += (mesh_shells_around(&l->enclosures, above) & ~own) != 0;
    }
    return 2 * within > PICKS;
}

static void judge_group(const labelling *l, size_t g)
{
    group *at = &l->groups[g];
    at->open = openness(l, g, 1) >= l->cut || (l->either_way && openness(l, g, -1) >= l->cut);
    at->enclosed = !at->open && l->bodies > 1 && enclosed(l, at);
}

static void *judge_groups(void *context)
{
    share *s = context;
    for (size_t g = s->from; g < s->to; g++) judge_group(s->l, g);
    return NULL;
}

static void judge_all(labelling *l)
{
    pthread_t thread;
    share halves[2] = {{l, 0, l->group_count / 2}, {l, l->group_count / 2, l->group_count}};
    bool second = !pthread_create(&thread, NULL, judge_groups, &halves[1]);
    judge_groups(&halves[0]);
    if (second)
        pthread_join(thread, NULL);
    else
        judge_groups(&halves[1]);
}

/* ------------------------------------------------------------------ all together */

static void mark_shells(labelling *l, const tks_mesh_health *h)
{
    memset(l->outward, 1, h->shell_count);
    for (size_t i = 0; i < h->shells_listed; i++) {
        const tks_mesh_shell *s = &h->shells[i];
        bool sealed = s->kind == TKS_SHELL_VOID || s->kind == TKS_SHELL_BURIED;
        bool turned = !s->open_edges && s->volume < 0;
        l->outward[l->edges->shell[s->first]] = sealed ? 0 : turned ? -1 : 1;
    }
}

static bool take_memory(labelling *l, const tks_mesh_health *h)
{
    if (!mesh_enclosures_start(l->bvh, l->edges, h, &l->enclosures)) return false;
    l->bodies = h->shell_count;
    l->slots = 4 * 65536;
    l->outward = base_alloc(h->shell_count, 1);
    l->group_of = base_resize(NULL, l->bvh->mesh->count, sizeof *l->group_of);
    l->keys = base_resize(NULL, l->slots, sizeof *l->keys);
    l->ids = base_resize(NULL, l->slots, sizeof *l->ids);
    l->groups = base_resize(NULL, MOST_GROUPS, sizeof *l->groups);
    return l->outward && l->group_of && l->keys && l->ids && l->groups;
}

static void give_labels(const labelling *l, uint8_t *labels)
{
    for (size_t f = 0; f < l->bvh->mesh->count; f++) {
        const group *g = &l->groups[l->group_of[f]];
        bool sealed = g->enclosed || !l->outward[l->edges->shell[f]];
        labels[f] = (uint8_t)(sealed ? TKS_SEALED : g->open ? TKS_OUTSIDE : TKS_INSIDE);
    }
}

bool mesh_label_facets(const mesh_bvh *bvh, const mesh_edges *edges, const tks_mesh_health *h,
                       double cut, uint8_t *labels)
{
    double size = vec3_distance(h->size.low, h->size.high);
    labelling l = {.bvh = bvh, .edges = edges, .low = h->size.low, .seed = mesh_secret()};
    l.cut = cut > 0 ? cut : TKS_MESH_OPENNESS;
    l.skip = size * 1e-7;
    l.either_way = h->flipped_edges > 0;
    l.cell = fmax(sqrt(h->size.area / WANTED_GROUPS), size * 1e-6);
    if (!(l.cell > 0)) l.cell = 1; /* all in one point */
    bool done = take_memory(&l, h);
    if (done) {
        mark_shells(&l, h);
        while (!group_facets(&l)) l.cell *= 2;
        judge_all(&l);
        give_labels(&l, labels);
    }
    mesh_enclosures_free(&l.enclosures);
    base_free(l.outward);
    base_free(l.group_of);
    base_free(l.keys);
    base_free(l.ids);
    base_free(l.groups);
    return done;
}
