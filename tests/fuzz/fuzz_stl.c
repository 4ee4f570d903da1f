/* STL, both kinds, through reading, welding, measuring and the whole check. */
#include "mesh/stl.h"
#include "tankside/mesh.h"

#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* One thread and two must find the same size, or tell the same error. */
static void compare_threads(const mesh_file *file)
{
    mesh_tally one, two;
    tks_error first = {0}, second = {0};
    tks_status status = mesh_stl_tally(file, 1, &one, &first);
    if (mesh_stl_tally(file, 2, &two, &second) != status) abort();
    if (status != TKS_OK && (first.line != second.line || strcmp(first.text, second.text))) abort();
    if (status == TKS_OK && memcmp(&one, &two, sizeof one)) abort();
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
    int memory = memfd_create("fuzz", 0);
    if (memory < 0 || write(memory, data, size) != (ssize_t)size) return 0;
    snprintf(path, sizeof path, "/proc/self/fd/%d", memory);
    mesh_file file = {memory, size, "fuzz", MESH_ASCII_STL, 0, tks_mesh_limits_default()};
    compare_threads(&file);
    if (size >= 5 && (data[0] | 32) == 's') check(path);
    if (size >= 84 && size == 84 + 50 * (size_t)(data[80] | data[81] << 8)) check(path);
    close(memory);
    return 0;
}
