#include "field/field.h"

#include "base/alloc.h"
#include "base/vec.h"
#include "field/adapt.h"
#include "field/panels.h"
#include "field/scene.h"

#include <math.h>

/* ------------------------------------------------------------------ making */

static tks_field_options with_defaults(const tks_field_options *options)
{
    tks_field_options o = options ? *options : (tks_field_options){0};
    if (o.elements == 0) o.elements = 8000;
    if (!(o.tolerance > 0)) o.tolerance = 1e-5;
    if (o.memory == 0) o.memory = (size_t)4000000000;
    return o;
}

/* Up to here elements are sized by shape alone, before anything is solved. */
static size_t first_aim(const tks_field_options *options)
{
    return options->elements / 4 + 1;
}

static tks_status add_bodies(const tks_field_scene *scene, field_mesh *mesh, tks_error *err)
{
    tks_status status = TKS_OK;
    for (size_t i = 0; !status && i < scene->body_count; i++)
        status = field_panels_body(mesh, &scene->bodies[i], (uint32_t)i, err);
    return status;
}

static tks_status make_mesh(const tks_field_scene *scene, tks_field *field, field_mesh *mesh,
                            tks_error *err)
{
    size_t most = first_aim(&field->options);
    double width = fmax(scene->tank.x, fmax(scene->tank.y, scene->tank.z));
    tks_status status = add_bodies(scene, mesh, err);
    if (!status) status = field_scene_check(scene, mesh, err);
    if (!status) status = field_scene_trim(scene, mesh, 2 * most, err);
    if (status) return status;
    field->size = field_scene_part_size(mesh);
    if (width > 0)
        status = field_panels_tank(mesh, scene, width / 10, (uint32_t)scene->body_count, err);
    if (status || field->options.fixed) return status;
    double longest = field->options.longest;
    if (!(longest > 0)) longest = fmax(field->size / 6, width / 20);
    status = field_panels_size(mesh, longest, most, err);
    return status ? status : field_scene_join(mesh, err);
}

/* Names and roles of the bodies; the rest is not the field's to keep. */
static bool keep_scene(tks_field *field, const tks_field_scene *scene)
{
    field->scene = *scene;
    field->scene.bodies = field->bodies = base_alloc(scene->body_count, sizeof *field->bodies);
    for (size_t i = 0; field->bodies && i < scene->body_count; i++)
        field->bodies[i] =
            (tks_field_body){.name = scene->bodies[i].name, .role = scene->bodies[i].role};
    return field->bodies != NULL;
}

static tks_field *start_field(const tks_field_scene *scene, const tks_field_options *options,
                              tks_error *err)
{
    tks_field *field = base_alloc(1, sizeof *field);
    if (field) {
        field->options = with_defaults(options);
        field->team = base_team_new(field->options.threads);
        if (field->team && keep_scene(field, scene)) return field;
        tks_field_free(field);
    }
    tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    return NULL;
}

/* Takes the mesh over; on failure the field is gone. */
static tks_status finish_field(tks_field *field, tks_status status, field_mesh *mesh,
                               const double *start, tks_field **result, tks_error *err)
{
    if (!status)
        status = field_level_make(&field->fine, mesh, start, field->team, field->scene.open,
                                  field->options.memory, err);
    field_mesh_free(mesh);
    if (status)
        tks_field_free(field);
    else
        *result = field;
    return status;
}

tks_status tks_field_new(const tks_field_scene *scene, const tks_field_options *options,
                         tks_field **result, tks_error *err)
{
    tks_field *field = start_field(scene, options, err);
    field_mesh mesh = {0};
    if (!field) return TKS_EMEMORY;
    return finish_field(field, make_mesh(scene, field, &mesh, err), &mesh, NULL, result, err);
}

/* Points belong to one body only, since corners are joined within a body. */
static tks_status move_points(const field_mesh *mesh, const tks_field_scene *scene,
                              const tks_frame *moves, field_mesh *moved)
{
    if (!field_mesh_copy(mesh, moved)) return TKS_EMEMORY;
    for (size_t i = 0; i < mesh->count; i++) {
        uint32_t body = mesh->panels[i].body;
        for (int k = 0; body < scene->body_count && k < 3; k++) {
            uint32_t point = mesh->panels[i].corner[k];
            moved->points[point] = frame_point(&moves[body], mesh->points[point]);
        }
    }
    return TKS_OK;
}

tks_status tks_field_move(const tks_field *field, const tks_frame *moves, tks_field **moved,
                          tks_error *err)
{
    tks_field *other = start_field(&field->scene, &field->options, err);
    field_mesh mesh = {0};
    if (!other) return TKS_EMEMORY;
    other->options.fixed = true;
    other->size = field->size;
    tks_status status = move_points(&field->fine.mesh, &field->scene, moves, &mesh);
    if (status)
        tks_fail(err, status, tks_nowhere(), "out of memory");
    else
        status = field_scene_check(&other->scene, &mesh, err);
    return finish_field(other, status, &mesh, field->fine.density, moved, err);
}

void tks_field_free(tks_field *field)
{
    if (!field) return;
    field_level_free(&field->coarse);
    field_level_free(&field->fine);
    base_team_free(field->team);
    base_free(field->bodies);
    base_free(field);
}

/* ------------------------------------------------------------------ solving */

static tks_status check_law(const tks_polarisation *law, const char *what, tks_error *err)
{
    bool fine = law->kind == TKS_POLARISATION_NONE ||
                (law->kind == TKS_POLARISATION_LINEAR && law->slope >= 0 && isfinite(law->slope)) ||
                (law->kind == TKS_POLARISATION_KINETIC && law->exchange > 0 && law->forward > 0 &&
                 law->backward > 0 && isfinite(law->exchange + law->forward + law->backward));
    if (fine) return TKS_OK;
    return tks_fail(err, TKS_EDOMAIN, tks_nowhere(),
                    "the polarisation of the %s must have a slope of zero or more, or exchange "
                    "density and slopes above zero",
                    what);
}

static tks_status check_drive(const tks_field_bath *bath, const tks_field_drive *drive,
                              tks_error *err)
{
    if (!(bath->conductivity > 0) || !isfinite(bath->conductivity))
        return tks_fail(err, TKS_EDOMAIN, tks_nowhere(),
                        "the conductivity is %g S/m; it must be above zero", bath->conductivity);
    bool one = (drive->current > 0) != (drive->voltage > 0);
    if (!one || !isfinite(drive->current + drive->voltage) || drive->current < 0 ||
        drive->voltage < 0)
        return tks_fail(err, TKS_EDOMAIN, tks_nowhere(),
                        "give either the current or the voltage, above zero (read %g A and %g V)",
                        drive->current, drive->voltage);
    tks_status status = check_law(&bath->part, "parts", err);
    return status ? status : check_law(&bath->anode, "anodes", err);
}

/* Iterations make the residual fall about evenly on a logarithmic scale. */
static bool report(void *context, double ratio)
{
    tks_field *field = context;
    const tks_field_options *o = &field->options;
    if (!o->progress) return true;
    double part = fmin(1, fmax(0, log(ratio) / log(o->tolerance)));
    field->stopped =
        !o->progress(o->context, field->done + field->share * part, field->fine.mesh.count);
    return !field->stopped;
}

/* Share of the whole work that a solve on so many elements is, when levels double up to the aim. */
static double share_of(const tks_field *field, size_t elements)
{
    double whole = 2 * (double)field->options.elements;
    return fmin(1 - field->done, (double)elements / whole);
}

static tks_status solve_level(tks_field *field, field_level *level, const field_task *task,
                              tks_error *err)
{
    field->share = share_of(field, level->mesh.count);
    tks_status status = field_level_solve(level, task, err);
    field->done += field->share;
    return status;
}

/* Elements of the next level: steps that about double them and end at the aim. */
static size_t next_aim(size_t count, size_t aim)
{
    double ratio = (double)aim / (double)count;
    double steps = fmax(1, round(log2(fmax(ratio, 1))));
    return (size_t)((double)count * fmax(pow(ratio, 1 / steps), 1.6));
}

/* The fine level becomes the coarse one, and a finer one takes its place. */
static tks_status refine_level(tks_field *field, const field_task *task, tks_error *err)
{
    field_mesh mesh;
    double *start;
    size_t aim = next_aim(field->fine.mesh.count, field->options.elements);
    tks_status status =
        field_adapt(&field->fine, task->bath->conductivity, aim, &mesh, &start, err);
    if (status) return status;
    field_level finer;
    status = field_level_make(&finer, &mesh, start, field->team, field->scene.open,
                              field->options.memory, err);
    base_free(start);
    field_mesh_free(&mesh);
    if (status) return status;
    field_level_free(&field->coarse);
    field->coarse = field->fine;
    field->fine = finer;
    return TKS_OK;
}

/* Stopped: the last whole result, if there is one, is the result. */
static tks_status step_back(tks_field *field, tks_status status)
{
    if (status != TKS_ECONVERGE || !field->stopped || !field->coarse.system) return status;
    field_level_free(&field->fine);
    field->fine = field->coarse;
    field->coarse = (field_level){0};
    return TKS_OK;
}

static tks_status solve_upward(tks_field *field, const field_task *task, tks_error *err)
{
    tks_status status = solve_level(field, &field->fine, task, err);
    while (!status && !field->options.fixed && !field->stopped) {
        bool enough = 5 * field->fine.mesh.count >= 4 * field->options.elements;
        if (enough && field->coarse.system) break;
        status = refine_level(field, task, err);
        if (!status) status = step_back(field, solve_level(field, &field->fine, task, err));
    }
    return status;
}

static tks_status solve_again(tks_field *field, const field_task *task, tks_error *err)
{
    tks_status status = TKS_OK;
    if (field->coarse.system) status = solve_level(field, &field->coarse, task, err);
    return status ? status : solve_level(field, &field->fine, task, err);
}

/* Slope of the parts' law at the mean density, as a length, against the parts' size. */
static double wagner_number(const tks_field *field, const tks_field_bath *bath)
{
    double area = 0, slope;
    for (size_t i = 0; i < field->fine.mesh.count; i++)
        if (field->fine.mesh.panels[i].kind == FIELD_CATHODE)
            area += vec3_length(field_mesh_area(&field->fine.mesh, i));
    if (!(area > 0)) return 0;
    tks_polarisation_overpotential(&bath->part, field->fine.current / area, &slope);
    return slope * bath->conductivity / field->size;
}

static void summarise(tks_field *field, const tks_field_bath *bath)
{
    const field_level *fine = &field->fine, *coarse = &field->coarse;
    tks_field_summary s = {.current = fine->current,
                           .voltage = fine->voltage,
                           .resistance = fine->voltage / fine->current,
                           .leak = fine->leak,
                           .elements = fine->mesh.count,
                           .coarse_elements = coarse->mesh.count,
                           .iterations = fine->iterations,
                           .rounds = fine->rounds,
                           .bytes = field_operator_bytes(fine->system->op),
                           .stopped = field->stopped};
    s.resistance_error =
        field_error_between(field, s.resistance, coarse->voltage / coarse->current);
    if (coarse->system) s.bytes += field_operator_bytes(coarse->system->op);
    s.wagner = wagner_number(field, bath);
    field->summary = s;
}

tks_status tks_field_solve(tks_field *field, const tks_field_bath *bath,
                           const tks_field_drive *drive, tks_error *err)
{
    tks_status status = check_drive(bath, drive, err);
    if (status) return status;
    field_task task = {bath, drive, field->options.tolerance, report, field};
    bool again = field->solved;
    field->solved = field->stopped = false;
    field->done = 0;
    status = again ? solve_again(field, &task, err) : solve_upward(field, &task, err);
    if (status) return status;
    field->solved = true;
    summarise(field, bath);
    return TKS_OK;
}

/* ------------------------------------------------------------------ looking in */

tks_field_summary tks_field_summarise(const tks_field *field)
{
    return field->summary;
}

size_t tks_field_element_count(const tks_field *field)
{
    return field->fine.mesh.count;
}

tks_field_element tks_field_element_at(const tks_field *field, size_t i)
{
    const field_mesh *mesh = &field->fine.mesh;
    const field_panel *panel = &mesh->panels[i];
    tks_field_element e = {.body = panel->body,
                           .group = panel->group,
                           .area = vec3_length(field_mesh_area(mesh, i)),
                           .potential = field->fine.potential[i]};
    for (int k = 0; k < 3; k++) e.corner[k] = field_mesh_corner(mesh, i, k);
    if (panel->kind != FIELD_WALL) e.density = fmax(field->fine.density[i], 0);
    return e;
}
