/* tankside check: whether the area of a mesh can be believed. */
#include "base/alloc.h"
#include "cli/command.h"
#include "cli/progress.h"
#include "report/mesh.h"

#include <string.h>
#include <unistd.h>

extern const cli_command command_check;

/* What the options of one call say. */
typedef struct wishes {
    tks_mesh_options read;
    bool quick;
    long thin; /* facets; 0: do not thin */
    const char *write;
} wishes;

static void show_progress(void *context, const char *stage)
{
    (void)context;
    cli_progress(stage, -1);
}

/* ------------------------------------------------------------------ options */

static tks_status read_number(const cli_call *call, const char *name, double least, double *value,
                              tks_error *err)
{
    tks_status status = cli_option_quantity(call, name, TKS_NUMBER, value, err);
    if (status || !cli_option_value(call, name) || *value >= least) return status;
    return tks_fail(err, TKS_EDOMAIN, tks_nowhere(), "--%s must be %s", name,
                    least > 0 && least < 1 ? "above zero" : "4 or more");
}

static tks_status read_unit(const cli_call *call, double *unit, tks_error *err)
{
    const char *word = cli_option_value(call, "unit");
    tks_dimension length = tks_kind_dimension(TKS_LENGTH);
    tks_quantity found;
    if (!word) return TKS_OK;
    if (!tks_unit_find(word, strlen(word), &found) || !tks_dimension_equal(found.dimension, length))
        return tks_fail(err, TKS_EUSAGE, tks_nowhere(),
                        "--unit wants a unit of length such as mm, in or m, read '%s'", word);
    *unit = found.value;
    return TKS_OK;
}

static tks_status read_wishes(const cli_call *call, wishes *w, tks_error *err)
{
    double thin = 0;
    tks_status status = read_unit(call, &w->read.unit, err);
    if (!status) status = read_number(call, "scale", 1e-9, &w->read.scale, err);
    if (!status) status = read_number(call, "thin", 4, &thin, err);
    if (status) return status;
    w->quick = cli_option_value(call, "quick") != NULL;
    w->write = cli_option_value(call, "write");
    w->thin = thin < 1e9 ? (long)thin : 1000000000;
    if (!call->word_count)
        return tks_fail(err, TKS_EUSAGE, tks_nowhere(),
                        "check wants a mesh, e.g. tankside check scan.stl --unit mm");
    if (w->thin && !w->write)
        return tks_fail(err, TKS_EUSAGE, tks_nowhere(), "--thin wants --write FILE for its result");
    if (w->write && call->word_count > 1)
        return tks_fail(err, TKS_EUSAGE, tks_nowhere(), "--write takes one mesh at a time");
    return TKS_OK;
}

/* ------------------------------------------------------------------ one mesh */

static tks_status add_up_labels(const tks_mesh *mesh, report_mesh *report, tks_error *err)
{
    uint8_t *labels = base_alloc(mesh->count, 1);
    if (!labels) return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    show_progress(NULL, "looking from outside");
    tks_status status = tks_mesh_label_areas(mesh, 0, labels, report->area, err);
    base_free(labels);
    report->labelled = status == TKS_OK;
    return status;
}

/* Writes the mesh, thinned if so wished, and tells the report. */
static tks_status write_mesh(const tks_mesh *mesh, const wishes *w, report_mesh *report,
                             tks_error *err)
{
    tks_mesh simple = {0};
    if (w->thin) show_progress(NULL, "thinning");
    tks_status status =
        w->thin ? tks_mesh_simplify(mesh, (size_t)w->thin, &simple, &report->area_error, err)
                : TKS_OK;
    const tks_mesh *written = w->thin ? &simple : mesh;
    if (!status) status = tks_mesh_write(written, w->write, err);
    if (!status) {
        report->written = w->write;
        report->written_count = written->count;
    }
    tks_mesh_free(&simple);
    return status;
}

static tks_status check_mesh(const tks_mesh *mesh, const char *name, const cli_call *call,
                             const wishes *w, base_buffer *out, tks_mesh_verdict *worst,
                             tks_error *err)
{
    tks_check_options options = {!w->quick, !w->quick, show_progress, NULL};
    tks_mesh_health health;
    tks_status status = tks_mesh_check(mesh, &options, &health, err);
    if (status) return status;
    report_mesh report = {.name = name, .health = &health};
    if (!w->quick) status = add_up_labels(mesh, &report, err);
    if (!status && w->write) status = write_mesh(mesh, w, &report, err);
    if (!status && call->json)
        report_mesh_json(out, &report);
    else if (!status)
        report_mesh_text(out, &report, call->units, cli_colour(STDOUT_FILENO));
    if (health.verdict > *worst) *worst = health.verdict;
    tks_mesh_health_free(&health);
    return status;
}

static tks_status check_file(const char *path, const cli_call *call, const wishes *w,
                             base_buffer *out, tks_mesh_verdict *worst, tks_error *err)
{
    tks_mesh mesh;
    show_progress(NULL, "reading");
    tks_status status = tks_mesh_load(path, &w->read, &mesh, err);
    if (!status) {
        status = check_mesh(&mesh, strcmp(path, "-") ? path : "standard input", call, w, out, worst,
                            err);
        tks_mesh_free(&mesh);
    }
    cli_progress_end();
    return status;
}

/* A mesh that cannot be checked does not keep the others from it; the last error's code stays. */
static int check_files(const cli_call *call, const wishes *w, base_buffer *out)
{
    static const char *const between[] = {"\n", ","};
    tks_mesh_verdict worst = TKS_BELIEVE;
    int code = CLI_OK;
    size_t start = out->length;
    for (size_t i = 0; i < call->word_count; i++) {
        tks_error err = {0};
        size_t before = out->length;
        if (before > start) base_buffer_puts(out, between[call->json]);
        if (!check_file(call->words[i], call, w, out, &worst, &err)) continue;
        out->length = before;
        code = cli_fail(&err, NULL);
    }
    return code == CLI_OK && worst == TKS_DO_NOT_BELIEVE ? CLI_BAD_DATA : code;
}

static int run_check(const cli_call *call)
{
    wishes w = {.thin = 0};
    tks_error err = {0};
    base_buffer out = {0};
    if (read_wishes(call, &w, &err)) return cli_fail(&err, NULL);
    if (call->json) base_buffer_puts(&out, "{\"meshes\":[");
    size_t start = out.length;
    int code = check_files(call, &w, &out);
    if (out.length == start) { /* none could be checked */
        base_buffer_free(&out);
        return code;
    }
    if (call->json) base_buffer_puts(&out, "]}\n");
    int printed = cli_print(&out);
    return printed ? printed : code;
}

static const cli_option options[] = {
    {"unit", "U", "unit of the file: mm, in, m (its own, or guessed)"},
    {"scale", "N", "enlarge all lengths N times"},
    {"quick", NULL, "no self-intersection, roughness, inside/outside"},
    {"thin", "N", "thin the mesh to about N triangles, for --write"},
    {"write", "FILE", "write the mesh as .stl, .obj, .ply or .off [mm]"},
    {NULL, NULL, NULL},
};

const cli_command command_check = {
    .name = "check",
    .about = "whether the area of a scanned or drawn mesh can be believed",
    .usage = "FILE...",
    .details = "Reads STL, OBJ, PLY, OFF, 3MF and glTF; - is standard input. Looks for holes,\n"
               "tangles, double facets, loose bodies, hollows, self-intersection, coarse\n"
               "facets and scan noise, and tells what each does to the area. Exit code 65\n"
               "when the area is not to be believed.",
    .example = "  tankside check scan.stl --unit mm\n"
               "  tankside check scan.stl --unit mm --thin 5000 --write light.stl",
    .options = options,
    .run = run_check,
};
