/* Closed shells within others. Whichever way its facets face, a shell is within another when a ray
 * from it meets the other an odd number of times; it counts as enclosed only when all places looked
 * at are, so that a rod that stands out of a block is not. */
#include "base/alloc.h"
#include "mesh/facet.h"
#include "mesh/inside.h"

#include <math.h>

enum {
    RAYS = 3,
    LISTED = 64,
    SIDES = 6,  /* a shell's outermost facets along the axes ... */
    SPREAD = 6, /* ... and others, evenly spread over its facets */
    PLACES = SIDES + SPREAD
};

bool mesh_enclosures_start(const mesh_bvh *bvh, const mesh_edges *edges, const tks_mesh_health *h,
                           mesh_enclosures *e)
{
    *e = (mesh_enclosures){bvh, edges, base_alloc(h->shell_count, 1)};
    for (size_t i = 0; e->rank && i < h->shells_listed; i++)
        if (!h->shells[i].open_edges) e->rank[edges->shell[h->shells[i].first]] = (uint8_t)(i + 1);
    return e->rank != NULL;
}

void mesh_enclosures_free(mesh_enclosures *e)
{
    base_free(e->rank);
    e->rank = NULL;
}

typedef struct meeting {
    const mesh_enclosures *e;
    uint64_t odd; /* shells met an odd number of times, a bit each */
} meeting;

static bool count_meeting(void *context, uint32_t facet, bool out)
{
    meeting *m = context;
    (void)out;
    uint8_t rank = m->e->rank[m->e->edges->shell[facet]];
    if (rank) m->odd ^= UINT64_C(1) << (rank - 1);
    return true;
}

/* By the vote of three rays, since one may graze an edge. */
uint64_t mesh_shells_around(const mesh_enclosures *e, tks_vec3 point)
{
    static const tks_vec3 ways[RAYS] = {
        {0.5773, 0.5211, 0.6287}, {-0.31, 0.8713, 0.3801}, {0.1734, -0.6329, 0.7546}};
    uint64_t odd[RAYS];
    for (int i = 0; i < RAYS; i++) {
        meeting m = {e, 0};
        mesh_bvh_all(e->bvh, point, ways[i], count_meeting, &m);
        odd[i] = m.odd;
    }
    return (odd[0] & odd[1]) | (odd[0] & odd[2]) | (odd[1] & odd[2]);
}

/* ------------------------------------------------------------------ places to look at */

typedef struct looking {
    mesh_enclosures e;
    tks_mesh_health *health;
    struct {
        uint32_t facet[PLACES];
        double least[SIDES];
        size_t seen;
    } places[LISTED];
} looking;

static void offer_place(looking *l, size_t shell, uint32_t facet)
{
    tks_vec3 p = mesh_facet_centre(l->e.bvh->mesh, facet);
    const double outward[SIDES] = {p.x, -p.x, p.y, -p.y, p.z, -p.z};
    size_t stride = l->health->shells[shell].facets / SPREAD + 1, seen = l->places[shell].seen++;
    for (int i = 0; i < SIDES; i++) {
        if (seen && outward[i] >= l->places[shell].least[i]) continue;
        l->places[shell].least[i] = outward[i];
        l->places[shell].facet[i] = facet;
    }
    if (seen % stride == 0) l->places[shell].facet[SIDES + seen / stride] = facet;
}

static void choose_places(looking *l)
{
    const tks_mesh_health *h = l->health;
    for (size_t i = 0; i < h->shells_listed; i++)
        for (int k = 0; k < PLACES; k++) l->places[i].facet[k] = h->shells[i].first;
    for (size_t f = 0; f < l->e.bvh->mesh->count; f++) {
        uint8_t rank = l->e.rank[l->e.edges->shell[f]];
        if (rank) offer_place(l, rank - 1U, (uint32_t)f);
    }
}

/* The shells that are around every place looked at of this one. */
static uint64_t enclosing(looking *l, size_t shell)
{
    uint64_t around = ~(UINT64_C(1) << shell);
    for (int k = 0; k < PLACES && around; k++)
        around &=
            mesh_shells_around(&l->e, mesh_facet_centre(l->e.bvh->mesh, l->places[shell].facet[k]));
    return around;
}

/* ------------------------------------------------------------------ what it is */

/* A hollow faces the other way than the largest shell around it. */
static bool is_hollow(const tks_mesh_health *h, size_t shell, uint64_t around)
{
    double largest = 0;
    for (size_t i = 0; i < h->shells_listed; i++)
        if (around >> i & 1 && fabs(h->shells[i].volume) > fabs(largest))
            largest = h->shells[i].volume;
    return (h->shells[shell].volume < 0) != (largest < 0);
}

static void judge(tks_mesh_health *h, size_t shell, uint64_t around)
{
    tks_mesh_shell *s = &h->shells[shell];
    if (!around) return;
    if (s->kind == TKS_SHELL_SPECK) {
        h->specks--;
        h->speck_area -= s->area;
    } else {
        h->parts--;
    }
    bool hollow = is_hollow(h, shell, around);
    s->kind = hollow ? TKS_SHELL_VOID : TKS_SHELL_BURIED;
    *(hollow ? &h->voids : &h->buried) += 1;
    *(hollow ? &h->void_area : &h->buried_area) += s->area;
}

bool mesh_find_hollows(const mesh_bvh *bvh, const mesh_edges *edges, tks_mesh_health *health)
{
    if (health->shell_count < 2) return true;
    looking *l = base_alloc(1, sizeof *l);
    bool done = l && mesh_enclosures_start(bvh, edges, health, &l->e);
    if (done) {
        l->health = health;
        choose_places(l);
        for (size_t i = 0; i < health->shells_listed; i++)
            if (!health->shells[i].open_edges) judge(health, i, enclosing(l, i));
        mesh_enclosures_free(&l->e);
    }
    base_free(l);
    return done;
}
