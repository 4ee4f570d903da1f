#include "support/fields.h"

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
