/* OBJ and OFF through reading, cutting polygons, welding and the whole check. */
#include "mesh/obj.h"
#include "tankside/mesh.h"

#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* One thread and two must read the same mesh, or tell the same error. */
static void compare_threads(const mesh_file *file)
{
    tks_mesh one = {0}, two = {0};
    tks_error first = {0}, second = {0};
    tks_status status = mesh_obj_read(file, 1, &one, &first);
    if (mesh_obj_read(file, 2, &two, &second) != status) abort();
    if (status != TKS_OK && (first.line != second.line || strcmp(first.text, second.text))) abort();
    if (status == TKS_OK) {
        if (one.count != two.count || one.vertex_count != two.vertex_count) abort();
        if (one.count && memcmp(one.corners, two.corners, 3 * one.count * sizeof *one.corners))
            abort();
        size_t bytes = 3 * one.vertex_count * sizeof *one.xyz;
        if (bytes && memcmp(one.xyz, two.xyz, bytes)) abort();
    }
    tks_mesh_free(&one);
    tks_mesh_free(&two);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char path[64];
    tks_error err;
    tks_mesh mesh = {0};
    tks_mesh_health health;
    int memory = memfd_create("fuzz", 0);
    if (memory < 0 || write(memory, data, size) != (ssize_t)size) return 0;
    mesh_file file = {memory, size, "fuzz", MESH_OBJ, 0, tks_mesh_limits_default()};
    compare_threads(&file);
    file.format = MESH_OFF;
    mesh_obj_read(&file, 1, &mesh, &err);
    tks_mesh_free(&mesh);
    snprintf(path, sizeof path, "/proc/self/fd/%d", memory);
    bool own = size && data[0] != 'p' && data[0] != 'P' && data[0] != 'g';
    if (own && tks_mesh_load(path, NULL, &mesh, &err) == TKS_OK) {
        if (tks_mesh_check(&mesh, NULL, &health, &err) == TKS_OK) tks_mesh_health_free(&health);
        tks_mesh_free(&mesh);
    }
    close(memory);
    return 0;
}
