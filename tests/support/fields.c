#include "support/fields.h"

#include "base/vec.h"

#include <string.h>

surface *stage_add(stage *s, const char *name, tks_field_role role)
{
    size_t i = s->scene.body_count++;
    assert_true(i < STAGE_BODIES);
    s->bodies[i] = (tks_field_body){.name = name, .role = role, .triangles = &s->surfaces[i].t};
    s->scene.bodies = s->bodies;
    return &s->surfaces[i];
}

void stage_free(stage *s)
{
    for (size_t i = 0; i < s->scene.body_count; i++) surface_free(&s->surfaces[i]);
    memset(s, 0, sizeof *s);
}

tks_field *stage_solve(stage *s, const tks_field_options *options, const tks_field_bath *bath,
                       const tks_field_drive *drive)
{
    tks_field *field = NULL;
    tks_error err;
    if (tks_field_new(&s->scene, options, &field, &err)) fail_msg("new: %s", err.text);
    if (tks_field_solve(field, bath, drive, &err)) fail_msg("solve: %s", err.text);
    return field;
}

double stage_resistance(stage *s)
{
    tks_field_options options = {.fixed = true};
    tks_field_bath bath = stage_bath(1, 0);
    tks_field *field = stage_solve(s, &options, &bath, &(tks_field_drive){.current = 1});
    double resistance = tks_field_summarise(field).resistance;
    tks_field_free(field);
    return resistance;
}

tks_field_bath stage_bath(double conductivity, double length)
{
    return (tks_field_bath){
        .conductivity = conductivity,
        .part = {.kind = TKS_POLARISATION_LINEAR, .slope = length / conductivity}};
}

/* A rod as a polygon of the round's perimeter. */
static void add_rod(stage *s, const char *name, double x)
{
    enum { SIDES = 20 };
    surface *rod = stage_add(s, name, TKS_FIELD_PART);
    double radius = 0.004 * (M_PI / SIDES) / sin(M_PI / SIDES);
    surface_disk(rod, vec3(x, 0.1, 0.02), 0, radius, 1, SIDES, NULL, true);
    surface_mantle(rod, vec3(x, 0.1, 0.02), radius, 0.15, 10, SIDES, NULL, false);
    surface_disk(rod, vec3(x, 0.1, 0.17), 0, radius, 1, SIDES, NULL, false);
}

void stage_rack(stage *s)
{
    s->scene.tank = vec3(0.3, 0.2, 0.2);
    surface_box(stage_add(s, "left anode", TKS_FIELD_ANODE), vec3(0.02, 0.03, 0.03),
                vec3(0.03, 0.17, 0.17), 0.035, NULL, false);
    surface_box(stage_add(s, "right anode", TKS_FIELD_ANODE), vec3(0.27, 0.03, 0.03),
                vec3(0.28, 0.17, 0.17), 0.035, NULL, false);
    add_rod(s, "left rod", 0.12);
    add_rod(s, "right rod", 0.18);
    surface_box(stage_add(s, "sheet", TKS_FIELD_PART), vec3(0.149, 0.05, 0.05),
                vec3(0.151, 0.15, 0.15), 0.02, NULL, false);
}
