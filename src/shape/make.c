/* From the values of a piece to its body. */
#include "shape/model.h"

#include "base/vec.h"

#include <math.h>
#include <string.h>

enum { MOST_STEPS = 10000 };

static const double TURN = 6.283185307179586476925286766559;

static tks_status no_memory(const shape_values *values, tks_error *err)
{
    return tks_fail(err, TKS_EMEMORY, values->at, "out of memory");
}

/* What geometry refuses gets the place of the piece, and its shape's name. */
static tks_status refused(const shape_values *values, tks_status status, const tks_error *inner,
                          tks_error *err)
{
    return tks_fail(err, status, values->at, "%s: %s", values->shape->name, inner->text);
}

/* ------------------------------------------------------------------ places */

static tks_status evaluate_triple(const shape_values *values, const shape_formula formulas[3],
                                  tks_kind kind, tks_vec3 preset, tks_vec3 *out, tks_error *err)
{
    tks_status status = shape_evaluate(values, &formulas[0], kind, preset.x, &out->x, err);
    if (!status) status = shape_evaluate(values, &formulas[1], kind, preset.y, &out->y, err);
    if (!status) status = shape_evaluate(values, &formulas[2], kind, preset.z, &out->z, err);
    return status;
}

/* z along axis; x along side made square to it. */
static tks_status make_frame(const shape_values *values, const shape_place *place, tks_frame *frame,
                             tks_error *err)
{
    *frame = frame_identity();
    if (!place->at[0].code && !place->axis[0].code && !place->side[0].code) return TKS_OK;
    tks_vec3 axis, side;
    tks_status status =
        evaluate_triple(values, place->at, TKS_LENGTH, vec3(0, 0, 0), &frame->origin, err);
    if (!status)
        status = evaluate_triple(values, place->axis, TKS_NUMBER, vec3(0, 0, 1), &axis, err);
    if (!status)
        status = evaluate_triple(values, place->side, TKS_NUMBER, vec3(1, 0, 0), &side, err);
    if (status) return status;
    frame->z = vec3_unit(axis);
    tks_vec3 square = vec3_step(side, -vec3_dot(side, frame->z), frame->z);
    if (vec3_length(square) < 1e-9)
        return tks_fail(err, TKS_EGEOMETRY, values->at, "%s: axis and side point the same way",
                        values->shape->name);
    frame->x = vec3_unit(square);
    frame->y = vec3_cross(frame->z, frame->x);
    return TKS_OK;
}

/* ------------------------------------------------------------------ profiles */

static tks_status make_corner(const shape_values *values, const shape_corner *c, tks_corner *to,
                              bool *wanted, tks_error *err)
{
    tks_status status = shape_holds(values, &c->when, wanted, err);
    if (status || !*wanted) return status;
    *to = (tks_corner){.label = c->label};
    status = shape_evaluate(values, &c->x, TKS_LENGTH, 0, &to->at.x, err);
    if (!status) status = shape_evaluate(values, &c->y, TKS_LENGTH, 0, &to->at.y, err);
    if (!status) status = shape_evaluate(values, &c->round, TKS_LENGTH, 0, &to->round, err);
    if (!status) status = shape_evaluate(values, &c->bulge, TKS_ANGLE, 0, &to->bulge, err);
    return status;
}

/* Each edge belongs to the corner it leaves from, so bulges and labels move on by one. */
static void turn_round(tks_corner *corners, size_t count)
{
    for (size_t i = 0, k = count - 1; i < k; i++, k--) {
        tks_corner c = corners[i];
        corners[i] = corners[k];
        corners[k] = c;
    }
    tks_corner first = corners[0];
    for (size_t i = 0; i < count; i++) {
        const tks_corner *next = i + 1 < count ? &corners[i + 1] : &first;
        corners[i].bulge = -next->bulge;
        corners[i].label = next->label;
        corners[i].cavity = next->cavity;
    }
}

tks_status shape_corners_make(const shape_values *values, const shape_corner *corners, size_t count,
                              const int cavities[TKS_LABEL_COUNT], bool clockwise, tks_arena *arena,
                              tks_outline *outline, tks_error *err)
{
    tks_corner few[16];
    tks_corner *made = count <= 16 ? few : tks_arena_take(arena, count, sizeof *made);
    if (!made) return no_memory(values, err);
    size_t kept = 0;
    for (size_t i = 0; i < count; i++) {
        bool wanted = true;
        tks_status status = make_corner(values, &corners[i], &made[kept], &wanted, err);
        if (status) return status;
        if (!wanted) continue;
        made[kept].cavity = cavities[made[kept].label];
        kept++;
    }
    if (clockwise && kept) turn_round(made, kept);
    tks_error inner;
    tks_status status = tks_outline_corners(arena, made, kept, clockwise, outline, &inner);
    return status ? refused(values, status, &inner, err) : TKS_OK;
}

/* The half section of a stepped shaft. A fillet rounds the inner corner where a smaller step meets
 * a larger one; it is written with the smaller step, or with either of the two. */
static double fillet_between(const record *a, const record *b)
{
    const record *small = a->values[STEP_DIAMETER] < b->values[STEP_DIAMETER] ? a : b;
    return record_has(small, STEP_FILLET) ? small->values[STEP_FILLET] : 0;
}

/* One step of a shaft, among its neighbours. */
typedef struct shaft_step {
    double radius, low, high; /* heights */
    double before, after;     /* radii of the neighbours; -1: none */
    double lower, upper;      /* fillets */
} shaft_step;

static shaft_step step_of(const record *steps, size_t n, size_t i, double height)
{
    shaft_step s = {.radius = steps[i].values[STEP_DIAMETER] / 2,
                    .low = height,
                    .high = height + steps[i].values[STEP_LENGTH],
                    .before = i ? steps[i - 1].values[STEP_DIAMETER] / 2 : -1,
                    .after = i + 1 < n ? steps[i + 1].values[STEP_DIAMETER] / 2 : -1};
    if (s.before > s.radius) s.lower = fillet_between(&steps[i - 1], &steps[i]);
    if (s.after > s.radius) s.upper = fillet_between(&steps[i], &steps[i + 1]);
    return s;
}

static tks_status check_fillets(const shaft_step *s, const record *r, tks_error *err)
{
    double length = s->high - s->low, slack = 1 + 1e-9;
    bool long_enough = s->lower + s->upper <= length * slack;
    bool low_fits = s->lower == 0 || s->lower <= (s->before - s->radius) * slack;
    bool high_fits = s->upper == 0 || s->upper <= (s->after - s->radius) * slack;
    if (long_enough && low_fits && high_fits) return TKS_OK;
    return tks_fail(err, TKS_EDOMAIN, r->at,
                    "the fillet does not fit: it must be no larger than the step is long, and "
                    "the next one stands out");
}

/* The step's corners; one that is flush with the one before goes on from there. */
static size_t step_corners(const shaft_step *s, bool last, tks_corner *corners)
{
    size_t count = 0;
    if (s->before != s->radius)
        corners[count++] = (tks_corner){
            .at = {s->radius, s->low}, .round = s->lower, .label = TKS_OUTSIDE, .cavity = -1};
    if (s->after != s->radius)
        corners[count++] = (tks_corner){.at = {s->radius, s->high},
                                        .round = s->upper,
                                        .label = last ? TKS_END : TKS_OUTSIDE,
                                        .cavity = -1};
    return count;
}

static tks_status make_steps(const shape_values *values, const shape_solid *solid, tks_arena *arena,
                             tks_outline *outline, tks_error *err)
{
    const record *steps = values->records[solid->steps];
    size_t n = values->record_counts[solid->steps], count = 0;
    if (n == 0 || n > MOST_STEPS)
        return tks_fail(err, TKS_EMISSING, values->at, "%s: it needs from 1 to %d steps",
                        values->shape->name, MOST_STEPS);
    tks_corner *corners = tks_arena_take(arena, 2 * n + 2, sizeof *corners);
    if (!corners) return no_memory(values, err);
    double height = 0;
    corners[count++] = (tks_corner){.at = {0, 0}, .label = TKS_END, .cavity = -1};
    for (size_t i = 0; i < n; i++) {
        shaft_step s = step_of(steps, n, i, height);
        tks_status status = check_fillets(&s, &steps[i], err);
        if (status) return status;
        count += step_corners(&s, i + 1 == n, corners + count);
        height = s.high;
    }
    corners[count++] = (tks_corner){.at = {0, height}, .label = TKS_OUTSIDE, .cavity = -1};
    tks_error inner;
    tks_status status = tks_outline_corners(arena, corners, count, false, outline, &inner);
    return status ? refused(values, status, &inner, err) : TKS_OK;
}

static tks_status make_revolve(const shape_values *values, const shape_solid *solid,
                               const int cavities[TKS_LABEL_COUNT], const tks_frame *frame,
                               tks_body *body, tks_error *err)
{
    tks_outline profile;
    double angle = TURN;
    tks_error inner;
    tks_status status = solid->steps >= 0
                            ? make_steps(values, solid, body->arena, &profile, err)
                            : shape_corners_make(values, solid->corners, solid->corner_count,
                                                 cavities, false, body->arena, &profile, err);
    if (!status) status = shape_evaluate(values, &solid->angle, TKS_ANGLE, TURN, &angle, err);
    if (status) return status;
    status = tks_body_revolve(body, frame, &profile, angle, solid->ends, &inner);
    return status ? refused(values, status, &inner, err) : TKS_OK;
}

/* ------------------------------------------------------------------ paths */

static tks_status too_tight(const record *r, double radius, double reach, tks_error *err)
{
    return tks_fail(err, TKS_EGEOMETRY, r->at,
                    "a radius of %.4g mm is tighter than the section, which reaches %.4g mm from "
                    "its centre",
                    radius * 1e3, reach * 1e3);
}

/* reach: of the section from its centre, which a bend must leave room for. */
static tks_status record_step(const record *r, double reach, tks_step *step, tks_error *err)
{
    bool straight = record_has(r, PATH_STRAIGHT), bend = record_has(r, PATH_BEND);
    bool turn = record_has(r, PATH_TURN), coil = record_has(r, PATH_COIL);
    const double *v = r->values;
    if (straight + bend + turn + coil != 1)
        return tks_fail(err, TKS_ESYNTAX, r->at,
                        "a step of the path is one of straight, bend, turn and coil, each in "
                        "braces of its own");
    if (bend && !record_has(r, PATH_RADIUS))
        return tks_fail(err, TKS_EMISSING, r->at,
                        "a bend needs its radius: {bend: 90 deg, radius: 20 mm}");
    if (coil && !(record_has(r, PATH_DIAMETER) && record_has(r, PATH_PITCH)))
        return tks_fail(
            err, TKS_EMISSING, r->at,
            "a coil needs its diameter and pitch: {coil: 5, diameter: 20 mm, pitch: 4 mm}");
    double radius = bend ? v[PATH_RADIUS] : v[PATH_DIAMETER] / 2;
    if ((bend || coil) && radius < reach) return too_tight(r, radius, reach, err);
    *step = straight ? (tks_step){.kind = TKS_STEP_STRAIGHT, .length = v[PATH_STRAIGHT]}
            : bend
                ? (tks_step){.kind = TKS_STEP_BEND, .angle = v[PATH_BEND], .radius = v[PATH_RADIUS]}
            : turn ? (tks_step){.kind = TKS_STEP_TURN, .angle = v[PATH_TURN]}
                   : (tks_step){.kind = TKS_STEP_COIL,
                                .angle = TURN * v[PATH_COIL],
                                .radius = v[PATH_DIAMETER] / 2,
                                .pitch = v[PATH_PITCH],
                                .pitch_end = v[PATH_PITCH],
                                .hand = record_has(r, PATH_HAND) ? v[PATH_HAND] : 1};
    return TKS_OK;
}

static tks_status pace_step(const shape_values *values, const shape_pace *pace, tks_step *step,
                            tks_error *err)
{
    tks_kind angle = pace->kind == TKS_STEP_COIL ? TKS_NUMBER : TKS_ANGLE;
    *step = (tks_step){.kind = pace->kind};
    tks_status status = shape_evaluate(values, &pace->length, TKS_LENGTH, 0, &step->length, err);
    if (!status) status = shape_evaluate(values, &pace->angle, angle, 0, &step->angle, err);
    if (!status) status = shape_evaluate(values, &pace->radius, TKS_LENGTH, 0, &step->radius, err);
    if (!status) status = shape_evaluate(values, &pace->pitch, TKS_LENGTH, 0, &step->pitch, err);
    if (!status)
        status = shape_evaluate(values, &pace->pitch_end, TKS_LENGTH, step->pitch, &step->pitch_end,
                                err);
    if (!status) status = shape_evaluate(values, &pace->hand, TKS_NUMBER, 1, &step->hand, err);
    if (pace->kind == TKS_STEP_COIL) step->angle *= TURN; /* a coil counts in turns */
    return status;
}

static tks_status make_path_steps(const shape_values *values, const shape_solid *solid,
                                  double reach, tks_step *steps, size_t *count, tks_error *err)
{
    const record *records = solid->path >= 0 ? values->records[solid->path] : NULL;
    size_t n = solid->path >= 0 ? values->record_counts[solid->path] : solid->pace_count;
    for (size_t i = 0; i < n; i++) {
        bool wanted = true;
        tks_status status =
            records ? TKS_OK : shape_holds(values, &solid->paces[i].when, &wanted, err);
        if (status) return status;
        if (!wanted) continue;
        status = records ? record_step(&records[i], reach, &steps[*count], err)
                         : pace_step(values, &solid->paces[i], &steps[*count], err);
        if (status) return status;
        ++*count;
    }
    return TKS_OK;
}

static tks_status walk_path(const shape_values *values, const shape_solid *solid,
                            const tks_frame *frame, double reach, tks_arena *arena, tks_path *path,
                            tks_error *err)
{
    size_t most = solid->path >= 0 ? values->record_counts[solid->path] : solid->pace_count,
           count = 0;
    tks_step *steps = tks_arena_take(arena, most, sizeof *steps);
    if (!steps) return no_memory(values, err);
    tks_status status = make_path_steps(values, solid, reach, steps, &count, err);
    if (status) return status;
    tks_error inner;
    status = tks_path_walk(arena, frame, steps, count, path, &inner);
    return status ? refused(values, status, &inner, err) : TKS_OK;
}

/* Radii: one for each inner corner, or the fillet for all. */
static tks_status corner_path(const shape_values *values, const shape_solid *solid, double reach,
                              tks_arena *arena, tks_path *path, tks_error *err)
{
    const record *points = values->records[solid->points];
    size_t n = values->record_counts[solid->points];
    const record *given = solid->radii >= 0 ? values->records[solid->radii] : NULL;
    size_t given_count = given ? values->record_counts[solid->radii] : 0;
    double fillet = 0;
    tks_status status = shape_evaluate(values, &solid->fillet, TKS_LENGTH, 0, &fillet, err);
    if (status) return status;
    if (given_count > 1 && given_count + 2 != n)
        return tks_fail(err, TKS_EDOMAIN, given[0].at,
                        "%zu radii for %zu inner corners; give one for each, or one for all",
                        given_count, n > 2 ? n - 2 : 0);
    for (size_t i = 0; i < given_count; i++)
        if (given[i].values[0] < reach) return too_tight(&given[i], given[i].values[0], reach, err);
    double *xyz = tks_arena_take(arena, 4 * n + 1, sizeof *xyz);
    if (!xyz) return no_memory(values, err);
    double *radii = xyz + 3 * n;
    for (size_t i = 0; i < n; i++) {
        memcpy(xyz + 3 * i, points[i].values, 3 * sizeof *xyz);
        bool inner = i > 0 && i + 1 < n;
        radii[i] = !given_count ? fillet : given[inner && given_count > 1 ? i - 1 : 0].values[0];
    }
    tks_error inner;
    status = tks_path_corners(arena, xyz, radii, n, path, &inner);
    return status ? refused(values, status, &inner, err) : TKS_OK;
}

static tks_status make_section(const shape_values *values, const shape_solid *solid,
                               tks_section *section, tks_error *err)
{
    double round = 0, outside = 0, bore = 0;
    *section = (tks_section){
        .cavity = -1, .inside = solid->inside, .start = solid->base, .end = solid->top};
    tks_status status = shape_evaluate(values, &solid->round, TKS_LENGTH, 0, &round, err);
    if (!status) status = shape_evaluate(values, &solid->outside, TKS_LENGTH, 0, &outside, err);
    if (!status) status = shape_evaluate(values, &solid->bore, TKS_LENGTH, 0, &bore, err);
    if (!status)
        status = shape_evaluate(values, &solid->width, TKS_LENGTH, 0, &section->width, err);
    if (!status)
        status = shape_evaluate(values, &solid->height, TKS_LENGTH, 0, &section->height, err);
    section->kind = solid->round.code     ? TKS_ROUND
                    : solid->outside.code ? TKS_TUBULAR
                                          : TKS_RECTANGULAR;
    section->radius = (solid->round.code ? round : outside) / 2;
    section->bore = bore / 2;
    return status;
}

static tks_status make_sweep(const shape_values *values, const shape_solid *solid,
                             const tks_frame *frame, tks_body *body, tks_error *err)
{
    tks_path path;
    tks_section section;
    bool by_points = solid->points >= 0 && values->record_counts[solid->points] > 0;
    tks_status status = make_section(values, solid, &section, err);
    if (status) return status;
    status = by_points ? corner_path(values, solid, section.radius, body->arena, &path, err)
                       : walk_path(values, solid, frame, section.radius, body->arena, &path, err);
    if (!status && section.kind == TKS_TUBULAR && section.inside == TKS_INSIDE)
        status = tks_body_cavity(body, (tks_cavity){TKS_BORE, section.bore, path.length, 2},
                                 &section.cavity, err);
    if (status) return status;
    tks_error inner;
    status = tks_body_sweep(body, &path, &section, &inner);
    return status ? refused(values, status, &inner, err) : TKS_OK;
}

/* ------------------------------------------------------------------ the whole */

tks_status shape_solid_make(const shape_values *values, const shape_solid *solid,
                            const int cavities[TKS_LABEL_COUNT], tks_body *body, tks_error *err)
{
    tks_frame frame;
    bool wanted = true;
    tks_status status = shape_holds(values, &solid->when, &wanted, err);
    if (status || !wanted) return status;
    status = make_frame(values, &solid->place, &frame, err);
    if (status) return status;
    tks_body_cut(body, solid->cut);
    switch (solid->generator) {
    case SHAPE_REVOLVE: return make_revolve(values, solid, cavities, &frame, body, err);
    case SHAPE_EXTRUDE: return shape_extrude_make(values, solid, cavities, &frame, body, err);
    case SHAPE_SWEEP: return make_sweep(values, solid, &frame, body, err);
    case SHAPE_SCREW:
    case SHAPE_NUT:
    case SHAPE_TAP: return shape_fastener_make(values, solid, &frame, body, err);
    }
    return TKS_OK;
}

/* A closed cavity (no mouths) is none: what bounds it is labelled sealed. */
static tks_status make_cavities(const shape_values *values, int cavities[TKS_LABEL_COUNT],
                                tks_body *body, tks_error *err)
{
    for (int i = 0; i < TKS_LABEL_COUNT; i++) cavities[i] = -1;
    for (size_t i = 0; i < values->shape->cavity_count; i++) {
        const shape_cavity *c = &values->shape->cavities[i];
        tks_cavity cavity = {.kind = c->kind};
        double mouths = 1;
        tks_status status = shape_evaluate(values, &c->width, TKS_LENGTH, 0, &cavity.width, err);
        if (!status)
            status = shape_evaluate(values, &c->length, TKS_LENGTH, 0, &cavity.length, err);
        if (!status) status = shape_evaluate(values, &c->mouths, TKS_NUMBER, 1, &mouths, err);
        cavity.mouths = (int)mouths;
        if (!status && cavity.mouths > 0)
            status = tks_body_cavity(body, cavity, &cavities[c->label], err);
        if (status) return status;
    }
    return TKS_OK;
}

static tks_status add_cautions(const shape_values *values, tks_cautions *cautions, const char *what,
                               tks_error *err)
{
    for (size_t i = 0; cautions && i < values->shape->warning_count; i++) {
        const shape_warning *w = &values->shape->warnings[i];
        bool holds = true;
        tks_status status = shape_holds(values, &w->when, &holds, err);
        if (!status && holds &&
            tks_caution_add(cautions, w->severity, w->code, what, "%s", w->text))
            status = no_memory(values, err);
        if (status) return status;
    }
    return TKS_OK;
}

tks_status tks_shape_make(const tks_shape *shape, const tks_node *piece, const char *file,
                          const char *const *others, size_t other_count, tks_arena *arena,
                          tks_cautions *cautions, const char *what, tks_body **body, tks_error *err)
{
    shape_values values;
    int cavities[TKS_LABEL_COUNT];
    tks_status status =
        shape_values_read(shape, piece, file, others, other_count, arena, &values, err);
    if (status) return status;
    tks_body *made = tks_body_new(arena);
    if (!made) return no_memory(&values, err);
    status = make_cavities(&values, cavities, made, err);
    for (size_t i = 0; i < shape->solid_count && !status; i++)
        status = shape_solid_make(&values, &shape->solids[i], cavities, made, err);
    if (!status && !made->solid_count)
        status = tks_fail(err, TKS_EDOMAIN, values.at, "%s: nothing is left of it", shape->name);
    made->overlap = made->overlap || made->solid_count > 1; /* solids of one shape may touch */
    if (!status) status = add_cautions(&values, cautions, what, err);
    if (!status) *body = made;
    return status;
}
