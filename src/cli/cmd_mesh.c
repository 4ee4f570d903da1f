/* tankside mesh: a described shape as a mesh file. */
#include "cli/loading.h"
#include "tankside/mesh.h"

#include <math.h>
#include <stdio.h>

extern const cli_command command_mesh;

#define USUAL_CHORD 0.05e-3

typedef struct wishes {
    const char *write;
    double chord, longest, noise, hole;
} wishes;

static tks_status read_wishes(const cli_call *call, wishes *w, tks_error *err)
{
    w->write = cli_option_value(call, "write");
    w->chord = USUAL_CHORD;
    tks_status status = cli_option_quantity(call, "chord", TKS_LENGTH, &w->chord, err);
    if (!status) status = cli_option_quantity(call, "longest", TKS_LENGTH, &w->longest, err);
    if (!status) status = cli_option_quantity(call, "noise", TKS_LENGTH, &w->noise, err);
    if (!status) status = cli_option_quantity(call, "hole", TKS_LENGTH, &w->hole, err);
    if (status) return status;
    if (!w->write)
        return tks_fail(err, TKS_EUSAGE, tks_nowhere(), "mesh wants --write FILE, e.g. part.stl");
    if (!(w->chord > 0) || w->longest < 0 || w->noise < 0 || w->hole < 0)
        return tks_fail(err, TKS_EDOMAIN, tks_nowhere(), "lengths must be above zero");
    return TKS_OK;
}

/* The one body of the call: what is united of several would need its own triangles. */
static tks_status one_body(const tks_load *load, const tks_body **body, tks_error *err)
{
    const tks_part *part = load->first;
    bool one = part && load->part_count == 1 && part->piece_count == 1 && part->pieces[0].body;
    if (!one)
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "a mesh is made of one shape, not of several pieces or of a mesh");
    *body = part->pieces[0].body;
    if (!(*body)->overlap) return TKS_OK;
    return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                    "this shape is united of solids that overlap; no mesh is made of such");
}

/* Where a scan has its hole: the topmost vertex nearest to the axis of the bounding box. */
static tks_vec3 top_of(const tks_mesh *mesh)
{
    tks_mesh_size size = tks_mesh_sum(mesh);
    double reach = size.high.z - size.low.z, best = INFINITY;
    tks_vec3 top = size.high;
    for (size_t i = 0; i < mesh->vertex_count; i++) {
        const double *p = mesh->xyz + 3 * i;
        double aside =
            hypot(p[0] - (size.low.x + size.high.x) / 2, p[1] - (size.low.y + size.high.y) / 2);
        double rank = aside + 10 * (size.high.z - p[2]);
        if (p[2] < size.high.z - reach / 2 || rank >= best) continue;
        best = rank;
        top = (tks_vec3){p[0], p[1], p[2]};
    }
    return top;
}

static tks_status make_mesh(const tks_load *load, const wishes *w, tks_arena *arena, tks_mesh *mesh,
                            tks_error *err)
{
    const tks_body *body = NULL;
    tks_triangles triangles;
    tks_status status = one_body(load, &body, err);
    if (!status) status = tks_body_triangles(body, w->chord, w->longest, arena, &triangles, err);
    if (!status) status = tks_mesh_from_body(&triangles, mesh, err);
    if (status) return status;
    if (w->hole > 0) tks_mesh_pierce(mesh, top_of(mesh), w->hole / 2);
    if (w->noise > 0) tks_mesh_roughen(mesh, w->noise, 1);
    status = mesh->count ? tks_mesh_write(mesh, w->write, err)
                         : tks_fail(err, TKS_EDOMAIN, tks_nowhere(), "the hole takes it all");
    if (status) tks_mesh_free(mesh);
    return status;
}

/* Open edges that nobody asked for. */
static size_t open_edges(const tks_mesh *mesh, const wishes *w)
{
    tks_check_options quick = {0};
    tks_mesh_health health;
    if (w->hole > 0 || tks_mesh_check(mesh, &quick, &health, NULL)) return 0;
    size_t count = health.open_edges + health.odd_edges;
    tks_mesh_health_free(&health);
    return count;
}

static int tell(const cli_call *call, const tks_mesh *mesh, const wishes *w)
{
    base_buffer out = {0};
    tks_mesh_size size = tks_mesh_sum(mesh);
    size_t open = open_edges(mesh, w);
    if (call->json) {
        base_buffer_puts(&out, "{\"file\":");
        report_put_json_text(&out, w->write);
        base_buffer_printf(&out, ",\"triangles\":%zu", size.facets);
        report_put_json_field(&out, true, "area_m2", size.area);
        report_put_json_field(&out, true, "volume_m3", size.volume);
        report_put_json_field(&out, true, "open_edges", (double)open);
        base_buffer_puts(&out, "}\n");
    } else {
        base_buffer_printf(&out, "%s: %zu triangles, %s\n", w->write, size.facets,
                           report_say(size.area, TKS_AREA, call->units).text);
        if (open)
            base_buffer_printf(&out, "  not closed: %zu edges where surfaces do not join\n", open);
    }
    return cli_print(&out);
}

static int run_mesh(const cli_call *call)
{
    wishes w = {0};
    tks_error err = {0};
    cli_loaded loaded;
    int code = CLI_OK;
    if (read_wishes(call, &w, &err)) return cli_fail(&err, NULL);
    if (cli_load(call, CLI_BODIES, &loaded, &code)) {
        tks_mesh mesh = {0};
        if (make_mesh(&loaded.load, &w, loaded.arena, &mesh, &err))
            code = cli_fail(&err, NULL);
        else
            code = tell(call, &mesh, &w);
        tks_mesh_free(&mesh);
    }
    cli_loaded_free(&loaded);
    return code;
}

static const cli_option options[] = {
    {"write", "FILE", "where to: .stl, .obj, .ply or .off, in millimetres"},
    {"chord", "LENGTH", "greatest distance from the true surface (0.05 mm)"},
    {"longest", "LENGTH", "longest edge of a triangle (no bound)"},
    {"noise", "LENGTH", "roughen it: standard deviation of the vertices"},
    {"hole", "LENGTH", "diameter of a hole in its top, as scans have"},
    {NULL, NULL, NULL},
};

const cli_command command_mesh = {
    .name = "mesh",
    .about = "a described shape as a mesh file, clean or like a scan",
    .usage = "FILE | SHAPE parameter=value ...",
    .details = "Cuts one shape into triangles, for other programs, or, with --noise and\n"
               "--hole, as a practice scan to try `tankside check` on.",
    .example = "  tankside mesh sphere diameter=4cm --write /tmp/ball.stl\n"
               "  tankside mesh sphere diameter=4cm --noise 30um --hole 8mm --write /tmp/b.stl",
    .options = options,
    .takes_shapes = true,
    .run = run_mesh,
};
