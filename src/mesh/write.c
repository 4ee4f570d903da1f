/* Writing meshes, whole or not at all. */
#include "base/buffer.h"
#include "base/output.h"
#include "base/vec.h"
#include "tankside/mesh.h"

#include <string.h>
#include <strings.h>

static const double millimetre = 1e-3;

static tks_vec3 corner(const tks_mesh *mesh, size_t facet, size_t c)
{
    const double *p = mesh->xyz + 3 * (size_t)mesh->corners[3 * facet + c];
    return vec3_scale(vec3(p[0], p[1], p[2]), 1 / millimetre);
}

/* Little-endian, whatever the machine. */
static void put_word(base_buffer *b, uint32_t word)
{
    char bytes[4];
    for (int i = 0; i < 4; i++) bytes[i] = (char)(word >> (8 * i) & 255);
    base_buffer_add(b, bytes, 4);
}

static void put_float(base_buffer *b, double value)
{
    float single = (float)value;
    uint32_t word;
    memcpy(&word, &single, 4);
    put_word(b, word);
}

static void put_double(base_buffer *b, double value)
{
    uint64_t bits;
    memcpy(&bits, &value, 8);
    put_word(b, (uint32_t)bits);
    put_word(b, (uint32_t)(bits >> 32));
}

static void put_single_vector(base_buffer *b, tks_vec3 v)
{
    put_float(b, v.x);
    put_float(b, v.y);
    put_float(b, v.z);
}

static void write_stl(base_buffer *b, const tks_mesh *mesh)
{
    static const char title[80] = "tankside binary STL, millimetres";
    base_buffer_add(b, title, sizeof title);
    put_word(b, (uint32_t)mesh->count);
    for (size_t f = 0; f < mesh->count; f++) {
        tks_vec3 p = corner(mesh, f, 0), q = corner(mesh, f, 1), r = corner(mesh, f, 2);
        put_single_vector(b, vec3_unit(vec3_cross(vec3_sub(q, p), vec3_sub(r, p))));
        put_single_vector(b, p);
        put_single_vector(b, q);
        put_single_vector(b, r);
        base_buffer_add(b, "\0\0", 2);
    }
}

static void put_points(base_buffer *b, const tks_mesh *mesh, const char *before)
{
    for (size_t i = 0; i < mesh->vertex_count; i++) {
        const double *p = mesh->xyz + 3 * i;
        base_buffer_printf(b, "%s%.12g %.12g %.12g\n", before, p[0] / millimetre, p[1] / millimetre,
                           p[2] / millimetre);
    }
}

static void write_obj(base_buffer *b, const tks_mesh *mesh)
{
    base_buffer_puts(b, "# tankside, millimetres\n");
    put_points(b, mesh, "v ");
    for (size_t f = 0; f < mesh->count; f++) {
        const uint32_t *c = mesh->corners + 3 * f;
        base_buffer_printf(b, "f %u %u %u\n", c[0] + 1, c[1] + 1, c[2] + 1);
    }
}

static void write_off(base_buffer *b, const tks_mesh *mesh)
{
    base_buffer_printf(b, "OFF\n%zu %zu 0\n", mesh->vertex_count, mesh->count);
    put_points(b, mesh, "");
    for (size_t f = 0; f < mesh->count; f++) {
        const uint32_t *c = mesh->corners + 3 * f;
        base_buffer_printf(b, "3 %u %u %u\n", c[0], c[1], c[2]);
    }
}

static void write_ply(base_buffer *b, const tks_mesh *mesh)
{
    base_buffer_printf(b,
                       "ply\nformat binary_little_endian 1.0\ncomment tankside, millimetres\n"
                       "element vertex %zu\nproperty double x\nproperty double y\n"
                       "property double z\nelement face %zu\n"
                       "property list uchar uint vertex_indices\nend_header\n",
                       mesh->vertex_count, mesh->count);
    for (size_t i = 0; i < 3 * mesh->vertex_count; i++) put_double(b, mesh->xyz[i] / millimetre);
    for (size_t f = 0; f < mesh->count; f++) {
        base_buffer_add(b, "\3", 1);
        for (size_t c = 0; c < 3; c++) put_word(b, mesh->corners[3 * f + c]);
    }
}

static const struct {
    const char *ending;
    void (*write)(base_buffer *b, const tks_mesh *mesh);
} writers[] = {
    {".stl", write_stl},
    {".obj", write_obj},
    {".ply", write_ply},
    {".off", write_off},
};

tks_status tks_mesh_write(const tks_mesh *mesh, const char *path, tks_error *err)
{
    const char *ending = strrchr(path, '.');
    size_t i = 0, count = sizeof writers / sizeof *writers;
    while (i < count && (!ending || strcasecmp(ending, writers[i].ending))) i++;
    if (i == count)
        return tks_fail(err, TKS_EUNKNOWN, (tks_place){path, 0, 0},
                        "a mesh is written as .stl, .obj, .ply or .off");
    base_buffer b = {0};
    writers[i].write(&b, mesh);
    tks_status status =
        b.failed ? tks_fail(err, TKS_EMEMORY, (tks_place){path, 0, 0}, "not enough memory")
                 : base_output_write(path, b.text, b.length, err);
    base_buffer_free(&b);
    return status;
}
