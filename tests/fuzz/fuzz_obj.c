/* OBJ and OFF through reading, cutting polygons, welding and the whole check. */
#include "mesh/obj.h"
#include "tankside/mesh.h"

#include <stdint.h>
#include <stdio.h>
#include <sys/mman.h>
#include <unistd.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char path[64];
    tks_error err;
    tks_mesh mesh = {0};
    tks_mesh_health health;
    int memory = memfd_create("fuzz", 0);
    if (memory < 0 || write(memory, data, size) != (ssize_t)size) return 0;
    mesh_file file = {memory, size, "fuzz", MESH_OBJ, 0, tks_mesh_limits_default()};
    mesh_obj_read(&file, &mesh, &err);
    tks_mesh_free(&mesh);
    file.format = MESH_OFF;
    mesh_obj_read(&file, &mesh, &err);
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
