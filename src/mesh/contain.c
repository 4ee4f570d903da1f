#include "mesh/contain.h"

tks_status mesh_contain_read(const mesh_file *file, tks_mesh *mesh, double *own_unit,
                             tks_error *err)
{
    (void)mesh, (void)own_unit;
    return tks_fail(err, TKS_EREAD, mesh_file_place(file), "not built");
}
