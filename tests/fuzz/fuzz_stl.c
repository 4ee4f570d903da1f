/* STL, both kinds, through reading, welding, measuring and the whole check. */
#include "mesh/stl.h"
#include "tankside/mesh.h"

#include <stdint.h>
#include <stdio.h>
#include <sys/mman.h>
#include <unistd.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static tks_status forget(void *context, double *xyz, size_t count, tks_error *err)
{
    (void)context, (void)xyz, (void)count, (void)err;
    return TKS_OK;
}

static void check(const char *path)
{
    tks_mesh mesh;
    tks_mesh_size size;
    tks_mesh_health health;
    tks_error err;
    tks_mesh_size_read(path, NULL, 1, &size, &err);
    if (tks_mesh_load(path, NULL, &mesh, &err) != TKS_OK) return;
    if (tks_mesh_check(&mesh, NULL, &health, &err) == TKS_OK) tks_mesh_health_free(&health);
    uint8_t *labels = mesh.count < 1000 ? (uint8_t[1000]){0} : NULL;
    if (labels) tks_mesh_label(&mesh, 0, labels, &err);
    tks_mesh_free(&mesh);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char path[64];
    tks_error err;
    int memory = memfd_create("fuzz", 0);
    if (memory < 0 || write(memory, data, size) != (ssize_t)size) return 0;
    snprintf(path, sizeof path, "/proc/self/fd/%d", memory);
    mesh_sink sink = {forget, NULL};
    mesh_file file = {memory, size, "fuzz", MESH_ASCII_STL, 0, tks_mesh_limits_default()};
    mesh_stl_ascii(&file, &sink, &err);
    if (size >= 5 && (data[0] | 32) == 's') check(path);
    if (size >= 84 && size == 84 + 50 * (size_t)(data[80] | data[81] << 8)) check(path);
    close(memory);
    return 0;
}
