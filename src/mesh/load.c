/* Reading meshes of every format into memory, or only their size. */
#include "base/alloc.h"
#include "mesh/contain.h"
#include "mesh/facet.h"
#include "mesh/large.h"
#include "mesh/obj.h"
#include "mesh/stl.h"
#include "mesh/unit.h"
#include "mesh/weld.h"

#include <math.h>
#include <string.h>

void tks_mesh_free(tks_mesh *mesh)
{
    if (!mesh) return;
    base_free(mesh->xyz);
    base_free(mesh->corners);
    *mesh = (tks_mesh){0};
}

enum {
    ASCII_FACET = 256, /* bytes of an ASCII STL that commonly make a facet */
    LARGE = 1 << 20    /* bytes of a file that are worth a second thread */
};

static int worth_threads(const mesh_file *file)
{
    return file->size > LARGE ? 2 : 1;
}

/* ------------------------------------------------------------------ triangles to a mesh */

typedef struct gathering {
    const mesh_file *file; /* NULL: from memory */
    mesh_weld weld;
    uint32_t *corners;
    size_t count, room, dropped;
} gathering;

static tks_status no_memory(const gathering *g, tks_error *err)
{
    return tks_fail(err, TKS_EMEMORY, g->file ? mesh_file_place(g->file) : tks_nowhere(),
                    "not enough memory for this mesh");
}

static bool make_room(gathering *g, size_t more)
{
    if (g->count + more <= g->room) return true;
    size_t room = g->room * 2 > g->count + more ? g->room * 2 : g->count + more;
    uint32_t *corners = mesh_resize(g->corners, room, 3 * sizeof *corners);
    if (!corners) return false;
    g->corners = corners;
    g->room = room;
    return true;
}

/* Moves the finite triangles to the front, without negative zeros, and counts them. */
static size_t keep_finite(double *xyz, size_t count)
{
    double *to = xyz;
    for (const double *from = xyz, *end = xyz + 9 * count; from < end; from += 9) {
        double sum = 0;
        for (int k = 0; k < 9; k++) {
            sum += from[k] * 0;
            to[k] = from[k] + 0;
        }
        if (sum == 0) to += 9;
    }
    return (size_t)(to - xyz) / 9;
}

static tks_status gather(void *context, double *xyz, size_t count, tks_error *err)
{
    gathering *g = context;
    size_t kept = keep_finite(xyz, count);
    g->dropped += count - kept;
    if (!make_room(g, kept)) return no_memory(g, err);
    if (!mesh_weld_points(&g->weld, xyz, 3 * kept, g->corners + 3 * g->count))
        return no_memory(g, err);
    g->count += kept;
    return TKS_OK;
}

/* expected facets; half as many vertices are likely. */
static tks_status start_gathering(gathering *g, const mesh_file *file, size_t expected,
                                  tks_error *err)
{
    *g = (gathering){.file = file};
    if (make_room(g, expected ? expected : 1024) && mesh_weld_start(&g->weld, expected / 2 + 16))
        return TKS_OK;
    base_free(g->corners);
    return no_memory(g, err);
}

static void free_gathering(gathering *g)
{
    mesh_weld_free(&g->weld);
    base_free(g->corners);
}

static void finish_gathering(gathering *g, tks_status status, tks_mesh *mesh)
{
    if (status == TKS_OK) {
        *mesh = (tks_mesh){.xyz = g->weld.xyz,
                           .vertex_count = g->weld.count,
                           .corners = g->corners,
                           .count = g->count,
                           .dropped = g->dropped};
        g->weld.xyz = NULL;
        g->corners = NULL;
    }
    free_gathering(g);
}

/* Puts what another has gathered behind, with equal vertices joined: numbered as though one had
 * gathered all. */
static tks_status join_gathering(gathering *g, const gathering *more, tks_error *err)
{
    uint32_t *ids = base_resize(NULL, more->weld.count, sizeof *ids);
    bool done = ids && make_room(g, more->count) &&
                mesh_weld_points(&g->weld, more->weld.xyz, more->weld.count, ids);
    uint32_t *to = done ? g->corners + 3 * g->count : NULL;
    for (size_t i = 0; done && i < 3 * more->count; i++) to[i] = ids[more->corners[i]];
    base_free(ids);
    if (!done) return no_memory(g, err);
    g->count += more->count;
    g->dropped += more->dropped;
    return TKS_OK;
}

static tks_status load_stl(const mesh_file *file, tks_mesh *mesh, tks_error *err)
{
    gathering first, second;
    bool binary = file->format == MESH_BINARY_STL;
    size_t expected = binary ? file->facets : file->size / ASCII_FACET;
    tks_status status = start_gathering(&first, file, expected, err);
    if (status != TKS_OK) return status;
    status = start_gathering(&second, file, expected / 2, err);
    if (status == TKS_OK) {
        mesh_sink sinks[2] = {{gather, &first}, {gather, &second}};
        status = mesh_stl_read(file, worth_threads(file), sinks, err);
        if (status == TKS_OK) status = join_gathering(&first, &second, err);
        free_gathering(&second);
    }
    finish_gathering(&first, status, mesh);
    return status;
}

/* ------------------------------------------------------------------ indexed meshes */

/* Joins equal vertices; mesh->xyz is replaced. */
static tks_status join_vertices(tks_mesh *mesh, const mesh_file *file, tks_error *err)
{
    mesh_weld weld;
    size_t count = mesh->vertex_count;
    uint32_t *ids = base_resize(NULL, count, sizeof *ids);
    bool done = ids && mesh_weld_start(&weld, count);
    if (done && !mesh_weld_points(&weld, mesh->xyz, count, ids)) {
        mesh_weld_free(&weld);
        done = false;
    }
    if (done) {
        for (size_t i = 0; i < 3 * mesh->count; i++) mesh->corners[i] = ids[mesh->corners[i]];
        base_free(mesh->xyz);
        mesh->xyz = weld.xyz;
        mesh->vertex_count = weld.count;
        weld.xyz = NULL;
        mesh_weld_free(&weld);
    }
    base_free(ids);
    return done ? TKS_OK : mesh_no_memory(file, err);
}

void mesh_drop_unfinite(tks_mesh *mesh)
{
    uint32_t *to = mesh->corners;
    for (size_t f = 0; f < mesh->count; f++) {
        const uint32_t *from = mesh->corners + 3 * f;
        double zero = 0;
        for (size_t c = 0; c < 3; c++)
            for (size_t k = 0; k < 3; k++) zero += mesh->xyz[3 * (size_t)from[c] + k] * 0;
        if (zero != 0) continue;
        memmove(to, from, 3 * sizeof *to);
        to += 3;
    }
    size_t kept = (size_t)(to - mesh->corners) / 3;
    mesh->dropped += mesh->count - kept;
    mesh->count = kept;
}

static tks_status load_indexed(const mesh_file *file, int threads, tks_mesh *mesh, double *own_unit,
                               tks_error *err)
{
    if (file->format == MESH_OBJ || file->format == MESH_OFF)
        return mesh_obj_read(file, threads, mesh, err);
    tks_status status = mesh_contain_read(file, mesh, own_unit, err);
    if (status != TKS_OK) return status;
    for (size_t i = 0; i < 3 * mesh->vertex_count; i++) mesh->xyz[i] += 0; /* no negative zero */
    mesh_drop_unfinite(mesh);
    return TKS_OK;
}

static bool streams(const mesh_file *file)
{
    return file->format == MESH_BINARY_STL || file->format == MESH_ASCII_STL;
}

/* ------------------------------------------------------------------ lengths */

static tks_status refuse_options(const tks_mesh_options *o, const char *path, tks_error *err)
{
    bool fine = !o || ((o->unit == 0 || (o->unit > 0 && isfinite(o->unit))) &&
                       (o->scale == 0 || (o->scale > 0 && isfinite(o->scale))));
    if (fine) return TKS_OK;
    return tks_fail(err, TKS_EDOMAIN, (tks_place){path, 0, 0},
                    "the unit and the scale of a mesh must be above zero");
}

static double longest_side(const tks_mesh_size *size)
{
    return fmax(size->high.x - size->low.x,
                fmax(size->high.y - size->low.y, size->high.z - size->low.z));
}

static double longest_side_of(const tks_mesh *mesh)
{
    tks_mesh_size size = {.low = vec3(INFINITY, INFINITY, INFINITY)};
    size.high = vec3_scale(size.low, -1);
    for (size_t half = 0; half < 3 * mesh->count; half++) {
        tks_vec3 p = mesh_corner(mesh, half);
        size.low = vec3_lesser(p, size.low);
        size.high = vec3_greater(p, size.high);
    }
    return longest_side(&size);
}

static double metres(const tks_mesh_options *options, tks_mesh_unit unit)
{
    return unit.metres * (options && options->scale > 0 ? options->scale : 1);
}

/* Scales a size in the file's unit. */
static void scale_size(const tks_mesh_options *options, double own, tks_mesh_size *size)
{
    size->unit = mesh_unit_choose(options ? options->unit : 0, own, longest_side(size));
    double s = metres(options, size->unit);
    size->area *= s * s;
    size->volume *= s * s * s;
    double *bounds[] = {&size->low.x,  &size->low.y,  &size->low.z,
                        &size->high.x, &size->high.y, &size->high.z};
    for (int i = 0; i < 6; i++) *bounds[i] *= s;
}

/* largest: infinite where the coordinates, in metres, are too large to reckon with. */
static tks_status refuse_too_large(const mesh_file *file, double largest, tks_error *err)
{
    if (isfinite(largest)) return TKS_OK;
    return tks_fail(err, TKS_EREAD, mesh_file_place(file),
                    "the coordinates are too large to be a part");
}

static tks_status refuse_empty(const mesh_file *file, size_t facets, size_t dropped, tks_error *err)
{
    if (facets) return TKS_OK;
    if (dropped)
        return tks_fail(err, TKS_EREAD, mesh_file_place(file),
                        "no triangle has finite coordinates");
    return tks_fail(err, TKS_EREAD, mesh_file_place(file), "there is no triangle in this %s file",
                    mesh_format_name(file->format));
}

/* ------------------------------------------------------------------ the public functions */

static tks_status load_file(const mesh_file *file, const tks_mesh_options *options, tks_mesh *mesh,
                            tks_error *err)
{
    double own = 0;
    tks_status status = streams(file) ? load_stl(file, mesh, err)
                                      : load_indexed(file, worth_threads(file), mesh, &own, err);
    if (status == TKS_OK && !streams(file)) status = join_vertices(mesh, file, err);
    if (status != TKS_OK) return status;
    status = refuse_empty(file, mesh->count, mesh->dropped, err);
    if (status != TKS_OK) return status;
    double longest = longest_side_of(mesh);
    mesh->unit = mesh_unit_choose(options ? options->unit : 0, own, longest);
    mesh->format = mesh_format_name(file->format);
    double s = metres(options, mesh->unit);
    for (size_t i = 0; i < 3 * mesh->vertex_count; i++) mesh->xyz[i] *= s;
    return refuse_too_large(file, pow(longest, 4) * pow(s, 4), err);
}

tks_status tks_mesh_load(const char *path, const tks_mesh_options *options, tks_mesh *mesh,
                         tks_error *err)
{
    mesh_file file;
    tks_mesh read = {0};
    tks_status status = refuse_options(options, path, err);
    if (status != TKS_OK) return status;
    status = mesh_file_open(path, options ? options->limits : NULL, &file, err);
    if (status != TKS_OK) return status;
    status = load_file(&file, options, &read, err);
    mesh_file_close(&file);
    if (status == TKS_OK)
        *mesh = read;
    else
        tks_mesh_free(&read);
    return status;
}

tks_status tks_mesh_from_triangles(const double *xyz, size_t count, tks_mesh *mesh, tks_error *err)
{
    gathering g;
    double block[9 * 256];
    if (count > MESH_MOST_FACETS)
        return tks_fail(err, TKS_ELIMIT, tks_nowhere(),
                        "a mesh holds at most 350 million triangles");
    tks_status status = start_gathering(&g, NULL, count, err);
    if (status != TKS_OK) return status;
    for (size_t done = 0; done < count && status == TKS_OK;) {
        size_t n = count - done < 256 ? count - done : 256;
        memcpy(block, xyz + 9 * done, n * 9 * sizeof *xyz);
        status = gather(&g, block, n, err);
        done += n;
    }
    finish_gathering(&g, status, mesh);
    if (status == TKS_OK) {
        mesh->format = "triangles";
        mesh->unit = mesh_unit_choose(1, 0, 0);
    }
    return status;
}

tks_mesh_size tks_mesh_sum(const tks_mesh *mesh)
{
    mesh_tally tally;
    mesh_tally_start(&tally, mesh->count ? mesh_corner(mesh, 0) : vec3(0, 0, 0));
    mesh_tally_mesh(&tally, mesh);
    tks_mesh_size size = mesh_tally_size(&tally);
    size.dropped += mesh->dropped;
    size.format = mesh->format;
    size.unit = mesh->unit;
    return size;
}

static tks_status read_size(const mesh_file *file, int threads, tks_mesh_size *size, double *own,
                            tks_error *err)
{
    mesh_tally tally = {.facets = 0};
    tks_mesh mesh = {0};
    tks_status status;
    if (streams(file)) {
        status = mesh_stl_tally(file, threads, &tally, err);
        *size = mesh_tally_size(&tally);
    } else {
        status = load_indexed(file, threads, &mesh, own, err);
        *size = tks_mesh_sum(&mesh);
        tks_mesh_free(&mesh);
    }
    if (status != TKS_OK) return status;
    return refuse_empty(file, size->facets, size->dropped, err);
}

tks_status tks_mesh_size_read(const char *path, const tks_mesh_options *options, int threads,
                              tks_mesh_size *size, tks_error *err)
{
    mesh_file file;
    double own = 0;
    tks_mesh_size found;
    tks_status status = refuse_options(options, path, err);
    if (status != TKS_OK) return status;
    status = mesh_file_open(path, options ? options->limits : NULL, &file, err);
    if (status != TKS_OK) return status;
    status = read_size(&file, threads, &found, &own, err);
    if (status == TKS_OK) {
        found.format = mesh_format_name(file.format);
        scale_size(options, own, &found);
        status = refuse_too_large(&file, found.area + fabs(found.volume), err);
    }
    mesh_file_close(&file);
    if (status == TKS_OK) *size = found;
    return status;
}

tks_status tks_mesh_from_body(const tks_triangles *triangles, tks_mesh *mesh, tks_error *err)
{
    tks_mesh made = {.vertex_count = triangles->vertex_count, .count = triangles->count};
    made.xyz = base_resize(NULL, made.vertex_count, 3 * sizeof *made.xyz);
    made.corners = base_resize(NULL, made.count, 3 * sizeof *made.corners);
    if (!made.xyz || !made.corners) {
        tks_mesh_free(&made);
        return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "not enough memory for this mesh");
    }
    if (made.vertex_count) memcpy(made.xyz, triangles->xyz, made.vertex_count * 3 * sizeof(double));
    if (made.count) memcpy(made.corners, triangles->corners, made.count * 3 * sizeof(uint32_t));
    made.format = "triangles";
    made.unit = mesh_unit_choose(1, 0, 0);
    *mesh = made;
    return TKS_OK;
}
