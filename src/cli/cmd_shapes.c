/* tankside shapes: the shapes that are known, or one of them in full. */
#include "cli/command.h"

#include "tankside/shape.h"

#include <stdio.h>
#include <string.h>

extern const cli_command command_shapes;

static bool told(const char *const *families, size_t count, const char *family)
{
    for (size_t i = 0; i < count; i++)
        if (!strcmp(families[i], family)) return true;
    return false;
}

static void put_row(base_buffer *out, const tks_shape *shape)
{
    base_buffer_printf(out, "  %-22s ", tks_shape_name(shape));
    report_put_wrapped(out, tks_shape_about(shape), 25, 25);
}

static void put_family(base_buffer *out, const tks_shape **shapes, size_t count, const char *family)
{
    base_buffer_printf(out, "%s\n", family);
    for (size_t i = 0; i < count; i++)
        if (!strcmp(tks_shape_family(shapes[i]), family)) put_row(out, shapes[i]);
}

static void put_list(base_buffer *out, const tks_shape **shapes, size_t count)
{
    const char *families[64];
    size_t family_count = 0;
    for (size_t i = 0; i < count && family_count < 64; i++) {
        const char *family = tks_shape_family(shapes[i]);
        if (told(families, family_count, family)) continue;
        put_family(out, shapes, count, family);
        families[family_count++] = family;
    }
    base_buffer_puts(out,
                     "\n`tankside shapes NAME` shows the parameters of one, with an example.\n");
}

static void put_list_json(base_buffer *out, const tks_shape **shapes, size_t count)
{
    base_buffer_puts(out, "{\"shapes\":[");
    for (size_t i = 0; i < count; i++) {
        base_buffer_puts(out, i ? ",{\"name\":" : "{\"name\":");
        report_put_json_text(out, tks_shape_name(shapes[i]));
        base_buffer_puts(out, ",\"family\":");
        report_put_json_text(out, tks_shape_family(shapes[i]));
        base_buffer_puts(out, ",\"about\":");
        report_put_json_text(out, tks_shape_about(shapes[i]));
        base_buffer_puts(out, "}");
    }
    base_buffer_puts(out, "]}\n");
}

/* Shapes of a list, and what is wrong with files that should be shapes and are not. */
typedef struct listing {
    const tks_shape *shapes[1300];
    size_t count;
    base_buffer refused;
} listing;

enum { MOST_LISTED = sizeof((listing *)0)->shapes / sizeof((listing *)0)->shapes[0] };

/* A file in a folder of own shapes that cannot be read does not keep the others from being listed.
 */
static void list_one(listing *l, tks_shapes *shapes, const char *name)
{
    tks_error err = {0};
    if (l->count == MOST_LISTED) return;
    if (!tks_shapes_find(shapes, name, strlen(name), ".", tks_nowhere(), &l->shapes[l->count],
                         &err))
        l->count++;
    else
        base_buffer_printf(&l->refused, "not listed: %s:%d:%d: %s\n", err.file, err.line,
                           err.column, err.text);
}

static tks_status list_shapes(const cli_call *call, tks_shapes *shapes, base_buffer *out,
                              tks_error *err)
{
    listing l = {.count = 0};
    const char *const *own = NULL;
    size_t own_count = 0;
    tks_arena *arena = tks_arena_new();
    tks_status status = arena ? tks_shapes_own(".", arena, &own, &own_count, err)
                              : tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    for (size_t i = 0; i < tks_shapes_count() && !status; i++)
        list_one(&l, shapes, tks_shapes_name(i));
    for (size_t i = 0; i < own_count && !status; i++) list_one(&l, shapes, own[i]);
    if (!status && call->json)
        put_list_json(out, l.shapes, l.count);
    else if (!status)
        put_list(out, l.shapes, l.count);
    if (l.refused.length && !call->json) base_buffer_puts(out, l.refused.text);
    base_buffer_free(&l.refused);
    tks_arena_free(arena);
    return status;
}

/* A default that depends on cases is told in words by what the parameter is about. */
static void put_parameter(base_buffer *out, const tks_parameter *p)
{
    enum { COLUMN = 34 };
    char text[400];
    const char *preset = strstr(p->preset, "if(") ? "" : p->preset;
    bool both = preset[0] && p->range[0], any = preset[0] || p->range[0];
    snprintf(text, sizeof text, "%s%s%s%s%s%s%s", p->about, any ? " (" : "", p->range,
             both ? "; " : "", preset[0] ? "default " : "", preset, any ? ")" : "");
    base_buffer_printf(out, "  %-20s %-10s ", p->name, p->kind);
    report_put_wrapped(out, text, COLUMN, COLUMN);
}

/* The example as it goes into a part file. */
static void put_example(base_buffer *out, const tks_shape *shape)
{
    base_buffer_printf(out, "\nexample, under `pieces:` of a part file:\n  - shape: %s\n",
                       tks_shape_name(shape));
    for (const char *line = tks_shape_example(shape); *line;) {
        size_t length = strcspn(line, "\n");
        base_buffer_printf(out, "    %.*s\n", (int)length, line);
        line += length + (line[length] == '\n');
    }
}

static void put_shape(base_buffer *out, const tks_shape *shape)
{
    base_buffer_printf(out, "%s: ", tks_shape_name(shape));
    report_put_wrapped(out, tks_shape_about(shape), 2, strlen(tks_shape_name(shape)) + 2);
    base_buffer_puts(out, "origin: ");
    report_put_wrapped(out, tks_shape_origin(shape), 2, 8);
    base_buffer_puts(out, "\nparameters:\n");
    for (size_t i = 0; i < tks_shape_parameters(shape); i++) {
        tks_parameter p = tks_shape_parameter(shape, i);
        put_parameter(out, &p);
    }
    put_example(out, shape);
}

static void put_shape_json(base_buffer *out, const tks_shape *shape)
{
    const char *const keys[] = {"name", "family", "about", "origin", "example"};
    const char *const texts[] = {tks_shape_name(shape), tks_shape_family(shape),
                                 tks_shape_about(shape), tks_shape_origin(shape),
                                 tks_shape_example(shape)};
    for (int i = 0; i < 5; i++) {
        base_buffer_printf(out, "%s\"%s\":", i ? "," : "{", keys[i]);
        report_put_json_text(out, texts[i]);
    }
    base_buffer_puts(out, ",\"parameters\":[");
    for (size_t i = 0; i < tks_shape_parameters(shape); i++) {
        tks_parameter p = tks_shape_parameter(shape, i);
        const char *const names[] = {"name", "kind", "default", "range", "about"};
        const char *const values[] = {p.name, p.kind, p.preset, p.range, p.about};
        for (int k = 0; k < 5; k++) {
            base_buffer_printf(out, "%s\"%s\":", k ? "," : i ? ",{" : "{", names[k]);
            report_put_json_text(out, values[k]);
        }
        base_buffer_puts(out, "}");
    }
    base_buffer_puts(out, "]}\n");
}

static tks_status tell_shapes(const cli_call *call, tks_shapes *shapes, base_buffer *out,
                              tks_error *err)
{
    if (!call->word_count) return list_shapes(call, shapes, out, err);
    for (size_t i = 0; i < call->word_count; i++) {
        const tks_shape *shape = NULL;
        const char *name = call->words[i];
        tks_status status =
            tks_shapes_find(shapes, name, strlen(name), ".", tks_nowhere(), &shape, err);
        if (status) return status;
        if (call->json)
            put_shape_json(out, shape);
        else
            put_shape(out, shape);
    }
    return TKS_OK;
}

static int run_shapes(const cli_call *call)
{
    tks_error err = {0};
    tks_shapes *shapes = NULL;
    base_buffer out = {0};
    tks_status status = tks_shapes_new(&shapes, &err);
    if (!status) status = tell_shapes(call, shapes, &out, &err);
    int code = status ? cli_fail(&err, NULL) : cli_print(&out);
    tks_shapes_free(shapes);
    base_buffer_free(&out);
    return code;
}

const cli_command command_shapes = {
    .name = "shapes",
    .about = "the shapes that parts are described with, or one in full",
    .usage = "[NAME...]",
    .details = "Without a name: all shapes by family, a line each. With names: the\n"
               "parameters of each, their defaults and ranges, where the origin is, and an\n"
               "example that can be pasted into a part file. Own shapes are files of the\n"
               "same kind in a folder `shapes` beside the part file, in $TANKSIDE_SHAPES, or\n"
               "in ~/.config/tankside/shapes; they come before the built-in ones.",
    .example = "  tankside shapes\n  tankside shapes bent-sheet",
    .takes_shapes = true,
    .run = run_shapes,
};
