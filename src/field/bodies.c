#include "field/bodies.h"

#include "base/vec.h"
#include "tankside/fastener.h"
#include "tankside/mesh.h"

#include <float.h>
#include <stdio.h>
#include <string.h>

/* Chord against radius: a circle becomes about 20 sides, whose perimeter is 0.4 % short. */
static const double chord_share = 0.0125;
/* Curves that carry less than this part of a body's area do not make all of it finer. */
static const double small_share = 0.03;

static tks_status short_of_memory(tks_error *err)
{
    return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
}

/* ------------------------------------------------------------------ triangles */

/* Halfway along a segment: a ball's own has both its ends on the axis. */
static tks_vec2 middle_of(const tks_segment *s)
{
    double half = s->turn / 2, x = s->from.x - s->centre.x, y = s->from.y - s->centre.y;
    if (s->turn == 0) return (tks_vec2){(s->from.x + s->to.x) / 2, (s->from.y + s->to.y) / 2};
    return (tks_vec2){s->centre.x + x * cos(half) - y * sin(half),
                      s->centre.y + x * sin(half) + y * cos(half)};
}

/* Radius that the patch is curved with; infinity for flat ones. */
static double radius_of(const tks_patch *patch)
{
    const tks_segment *s = &patch->segment;
    double arc = s->turn != 0 ? vec2_distance(s->from, s->centre) : INFINITY;
    if (patch->kind == TKS_PATCH_REVOLVED || patch->kind == TKS_PATCH_HELICOID)
        return fmin(arc, fmax(fmax(s->from.x, s->to.x), middle_of(s).x));
    return patch->kind == TKS_PATCH_PLANE ? INFINITY : arc;
}

static double chord_of(const tks_body *body)
{
    double area = 0, radius = INFINITY;
    for (size_t i = 0; i < body->patch_count; i++) area += body->patches[i].area;
    for (size_t i = 0; i < body->patch_count; i++)
        if (body->patches[i].area >= small_share * area)
            radius = fmin(radius, radius_of(&body->patches[i]));
    return isfinite(radius) ? chord_share * radius : 1e-3;
}

/* A part's pieces, whose triangles are put together as one body. */
typedef struct gathered {
    tks_triangles all;
    uint32_t *group;
    uint8_t *masked;
} gathered;

static bool make_room(tks_arena *arena, size_t vertices, size_t triangles, gathered *g)
{
    g->all.xyz = tks_arena_take(arena, 3 * vertices, sizeof(double));
    g->all.corners = tks_arena_take(arena, 3 * triangles, sizeof(uint32_t));
    g->group = tks_arena_take(arena, triangles, sizeof(uint32_t));
    g->masked = tks_arena_take(arena, triangles, sizeof(uint8_t));
    return g->all.xyz && g->all.corners && g->group && g->masked;
}

/* Whether a label of a part is stopped off: of the piece, or of the whole part, which then has no
 * area of that label left. */
static bool is_masked(const tks_part *part, const tks_piece *piece, tks_label label)
{
    if (!tks_label_wetted(label) || piece->masked >> label & 1) return true;
    return !piece->cut && part->by_label[label] == 0;
}

/* Corners in the part's coordinates come to its place in the tank. */
static void add_vertices(gathered *g, const double *xyz, size_t count, const tks_part *part)
{
    for (size_t i = 0; i < count; i++) {
        tks_vec3 p = frame_point(&part->frame, vec3(xyz[3 * i], xyz[3 * i + 1], xyz[3 * i + 2]));
        double *at = g->all.xyz + 3 * g->all.vertex_count++;
        at[0] = p.x;
        at[1] = p.y;
        at[2] = p.z;
    }
}

/* What bounds a closed void is left out: the liquid never sees it. */
static void add_triangle(gathered *g, const uint32_t corners[3], size_t first, tks_label label,
                         bool masked)
{
    if (label == TKS_SEALED) return;
    size_t k = g->all.count++;
    for (size_t c = 0; c < 3; c++) g->all.corners[3 * k + c] = (uint32_t)(first + corners[c]);
    g->group[k] = (uint32_t)label;
    g->masked[k] = masked;
}

static void append(gathered *g, const tks_triangles *t, const tks_part *part,
                   const tks_piece *piece)
{
    size_t first = g->all.vertex_count;
    add_vertices(g, t->xyz, t->vertex_count, part);
    for (size_t i = 0; i < t->count; i++) {
        tks_label label = piece->body->patches[t->patch[i]].label;
        add_triangle(g, t->corners + 3 * i, first, label, is_masked(part, piece, label));
    }
}

static tks_status triangulate(tks_arena *arena, const tks_part *part, double coarseness,
                              gathered *g, tks_error *err)
{
    tks_triangles *parts = tks_arena_take(arena, part->piece_count, sizeof *parts);
    size_t vertices = 0, triangles = 0;
    if (!parts) return short_of_memory(err);
    for (size_t i = 0; i < part->piece_count; i++) {
        const tks_body *body = part->pieces[i].body;
        tks_vec3 low, high;
        tks_body_bounds(body, &low, &high);
        double longest = fmax(0.012, vec3_distance(low, high) / 8);
        tks_status status =
            tks_body_triangles(body, coarseness * chord_of(body), longest, arena, &parts[i], err);
        if (status) return status;
        vertices += parts[i].vertex_count;
        triangles += parts[i].count;
    }
    if (!make_room(arena, vertices, triangles, g)) return short_of_memory(err);
    for (size_t i = 0; i < part->piece_count; i++) append(g, &parts[i], part, &part->pieces[i]);
    return TKS_OK;
}

/* ------------------------------------------------------------------ meshes */

/* A mesh with no more facets than the budget. The caller frees it. */
static tks_status load_mesh(const tks_piece *piece, size_t budget, tks_mesh *mesh, tks_error *err)
{
    tks_mesh_options options = {.unit = piece->unit, .scale = piece->scale};
    tks_status status = tks_mesh_load(piece->mesh, &options, mesh, err);
    if (status || mesh->count <= budget) return status;
    tks_mesh simple = {0};
    double area_error;
    status = tks_mesh_simplify(mesh, budget, &simple, &area_error, err);
    tks_mesh_free(mesh);
    *mesh = simple;
    return status;
}

static tks_status keep_mesh(tks_arena *arena, const tks_part *part, const tks_mesh *mesh,
                            gathered *g, tks_error *err)
{
    uint8_t *labels = tks_arena_take(arena, mesh->count, sizeof *labels);
    if (!labels || !make_room(arena, mesh->vertex_count, mesh->count, g))
        return short_of_memory(err);
    tks_status status = tks_mesh_label(mesh, 0, labels, err);
    if (status) return status;
    bool turned = tks_mesh_sum(mesh).volume < 0; /* facets run the wrong way */
    add_vertices(g, mesh->xyz, mesh->vertex_count, part);
    for (size_t i = 0; i < mesh->count; i++) {
        const uint32_t *c = mesh->corners + 3 * i;
        const uint32_t corners[3] = {c[0], c[turned ? 2 : 1], c[turned ? 1 : 2]};
        tks_label label = (tks_label)labels[i];
        add_triangle(g, corners, 0, label, is_masked(part, &part->pieces[0], label));
    }
    return TKS_OK;
}

static tks_status take_mesh(tks_arena *arena, const tks_part *part, size_t budget, gathered *g,
                            tks_error *err)
{
    tks_mesh mesh = {0};
    tks_status status = load_mesh(&part->pieces[0], budget, &mesh, err);
    if (!status) status = keep_mesh(arena, part, &mesh, g, err);
    tks_mesh_free(&mesh);
    return status;
}

/* ------------------------------------------------------------------ parts */

/* The part with plain cylinders for its threads: the field is made of panels that are larger than a
 * thread is deep. The part itself when it has none. */
static tks_status smooth_part(tks_arena *arena, const tks_part *part, const tks_part **smooth,
                              tks_error *err)
{
    *smooth = part;
    if (!part->item.thread_count) return TKS_OK;
    tks_part *copy = tks_arena_take(arena, 1, sizeof *copy);
    tks_piece *pieces = tks_arena_take(arena, part->piece_count, sizeof *pieces);
    if (!copy || !pieces) return short_of_memory(err);
    *copy = *part;
    copy->pieces = pieces;
    for (size_t i = 0; i < part->piece_count; i++) {
        const tks_body *body;
        tks_status status = tks_body_smooth(arena, part->pieces[i].body, &body, err);
        if (status) return status;
        pieces[i] = part->pieces[i];
        pieces[i].body = (tks_body *)(uintptr_t)body;
    }
    *smooth = copy;
    return TKS_OK;
}

/* Distance to the metal of a part in the tank: pieces are added, then the cuts taken away. */
static double part_distance(const void *context, tks_vec3 point)
{
    const tks_part *part = context;
    tks_vec3 p = frame_local_point(&part->frame, point);
    double least = DBL_MAX;
    for (size_t i = 0; i < part->piece_count; i++)
        if (!part->pieces[i].cut) least = fmin(least, tks_body_distance(part->pieces[i].body, p));
    for (size_t i = 0; i < part->piece_count; i++)
        if (part->pieces[i].cut) least = fmax(least, -tks_body_distance(part->pieces[i].body, p));
    return least;
}

/* The part's name, numbered where an earlier one has the same. */
static const char *name_of(tks_arena *arena, const tks_load *load, const tks_part *part)
{
    int same = 0, number = 0;
    for (const tks_part *p = load->first; p; p = p->next) {
        if (strcmp(p->item.name, part->item.name) != 0) continue;
        same++;
        if (p == part) number = same;
    }
    if (same < 2) return part->item.name;
    char text[160];
    int length = snprintf(text, sizeof text, "%.140s %d", part->item.name, number);
    const char *kept = tks_arena_text(arena, text, (size_t)length);
    return kept ? kept : part->item.name;
}

static tks_status check_part(const tks_part *part, const char *name, tks_error *err)
{
    if (!part->placed)
        return tks_fail(err, TKS_EMISSING, tks_nowhere(),
                        "%s has no place in the tank: write `at: [x, y, z] mm` with it, from the "
                        "middle of the tank's floor",
                        name);
    if (part->item.count > 1)
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "%zu of %s cannot hang at one place: give each an entry of its own",
                        part->item.count, name);
    for (size_t i = 0; i < part->piece_count; i++) {
        const tks_piece *piece = &part->pieces[i];
        if (part->piece_count > 1 && (!piece->placed || piece->count > 1))
            return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                            "%s: its piece %s has no place of its own; the field must know how "
                            "the pieces stand",
                            name, piece->name);
    }
    const tks_piece *first = part->piece_count ? &part->pieces[0] : NULL;
    if (first && first->mesh && part->by_label[TKS_MASKED] > 0 && part->by_label[TKS_OUTSIDE] > 0)
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "%s: the field cannot tell which part of a mesh is masked", name);
    if (first && (first->body || first->mesh)) return TKS_OK;
    return tks_fail(err, TKS_EMISSING, tks_nowhere(),
                    "%s: the field needs parts described by shapes or as one mesh; this one is "
                    "sheet by its weight, or has meshes among its pieces",
                    name);
}

static tks_status add_part(tks_arena *arena, const tks_load *load, const tks_part *part,
                           double coarseness, size_t budget, tks_field_scene *scene, tks_error *err)
{
    gathered g = {0};
    const char *name = name_of(arena, load, part);
    bool mesh = part->pieces[0].mesh != NULL;
    tks_status status =
        mesh ? take_mesh(arena, part, budget, &g, err) : smooth_part(arena, part, &part, err);
    if (!status && !mesh) status = triangulate(arena, part, coarseness, &g, err);
    tks_triangles *kept = tks_arena_take(arena, 1, sizeof *kept);
    if (!status && !kept) status = short_of_memory(err);
    if (status) return status;
    *kept = g.all;
    bool together = !mesh && (part->piece_count > 1 || part->pieces[0].body->overlap);
    tks_field_body *body = (tks_field_body *)&scene->bodies[scene->body_count++];
    *body = (tks_field_body){.name = name,
                             .role = TKS_FIELD_PART,
                             .triangles = kept,
                             .group = g.group,
                             .masked = g.masked,
                             .distance = together ? part_distance : NULL,
                             .context = part};
    return TKS_OK;
}

/* All parts; coarser by twos until they leave room for refinement. */
static tks_status add_parts(tks_arena *arena, const tks_load *load, size_t elements,
                            tks_field_scene *scene, tks_error *err)
{
    tks_status status = TKS_OK;
    for (double coarseness = 1; coarseness < 100; coarseness *= 2) {
        size_t count = 0, budget = elements / 3 / load->part_count + 1;
        scene->body_count = 0;
        for (const tks_part *p = load->first; p && !status; p = p->next)
            status = add_part(arena, load, p, coarseness, budget, scene, err);
        for (size_t i = 0; i < scene->body_count; i++) count += scene->bodies[i].triangles->count;
        if (status || count <= elements / 3 + load->part_count) break;
    }
    return status;
}

/* ------------------------------------------------------------------ anodes */

static tks_status shape_anode(tks_body *body, const tks_anode *anode, double low, double high,
                              tks_error *err)
{
    double x = anode->size[0] / 2, y = anode->rod ? high - low : anode->size[1] / 2;
    double left = anode->rod ? 0 : -x, front = anode->rod ? 0 : -y;
    const tks_corner corners[] = {
        {.at = {left, front}}, {.at = {x, front}}, {.at = {x, y}}, {.at = {left, y}}};
    tks_frame frame = frame_identity();
    frame.origin = vec3(anode->at[0], anode->at[1], low);
    tks_outline outline;
    tks_status status = tks_outline_corners(body->arena, corners, 4, false, &outline, err);
    if (status) return status;
    if (anode->rod) return tks_body_revolve(body, &frame, &outline, 2 * M_PI, TKS_END, err);
    return tks_body_extrude(body, &frame, &outline, 1, high - low, TKS_END, TKS_END, NULL, 0, err);
}

tks_status field_bodies_anode(tks_arena *arena, const tks_tank *tank, const tks_anode *anode,
                              const char *name, tks_field_scene *scene, tks_error *err)
{
    double low = fmax(0, anode->at[2] - anode->size[2] / 2);
    double high = fmin(tank->size[2], anode->at[2] + anode->size[2] / 2);
    tks_body *body = tks_body_new(arena);
    tks_triangles *triangles = tks_arena_take(arena, 1, sizeof *triangles);
    if (!body || !triangles) return short_of_memory(err);
    if (!(high > low))
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(), "%s does not reach into the liquid",
                        name);
    tks_status status = shape_anode(body, anode, low, high, err);
    if (!status) status = tks_body_triangles(body, chord_of(body), 0.04, arena, triangles, err);
    if (status) return status;
    tks_field_body *added = (tks_field_body *)&scene->bodies[scene->body_count++];
    *added = (tks_field_body){.name = name, .role = TKS_FIELD_ANODE, .triangles = triangles};
    return TKS_OK;
}

static tks_status add_anodes(tks_arena *arena, const tks_tank *tank, tks_field_scene *scene,
                             tks_error *err)
{
    tks_status status = TKS_OK;
    for (size_t i = 0; i < tank->anode_count && !status; i++) {
        char text[32];
        int length = snprintf(text, sizeof text, "anode %zu", i + 1);
        const char *name = tks_arena_text(arena, text, (size_t)length);
        if (!name) return short_of_memory(err);
        status = field_bodies_anode(arena, tank, &tank->anodes[i], name, scene, err);
    }
    return status;
}

/* ------------------------------------------------------------------ the whole */

static tks_status check_tank(const tks_tank *tank, tks_error *err)
{
    if (!(tank->size[0] > 0))
        return tks_fail(err, TKS_EMISSING, tks_nowhere(),
                        "the field needs a tank: its size, and its anodes with their places");
    if (tank->anode_count == 0)
        return tks_fail(err, TKS_EMISSING, tks_nowhere(),
                        "the tank has no anodes: no current can flow; give their sizes and places");
    return TKS_OK;
}

tks_status field_bodies_make(tks_arena *arena, const tks_load *load, const tks_tank *tank,
                             size_t elements, tks_field_scene *scene, tks_error *err)
{
    tks_status status = check_tank(tank, err);
    for (const tks_part *p = load->first; p && !status; p = p->next)
        status = check_part(p, name_of(arena, load, p), err);
    if (status) return status;
    size_t room = load->part_count + tank->anode_count + 1;
    *scene = (tks_field_scene){.tank = vec3(tank->size[0], tank->size[1], tank->size[2]),
                               .corner = vec3(-tank->size[0] / 2, -tank->size[1] / 2, 0)};
    scene->bodies = tks_arena_take(arena, room, sizeof *scene->bodies);
    if (!scene->bodies) return short_of_memory(err);
    status = add_parts(arena, load, elements, scene, err);
    return status ? status : add_anodes(arena, tank, scene, err);
}
