#include "peers/peers.h"

#include <OpenMesh/Core/IO/MeshIO.hh>
#include <OpenMesh/Core/Mesh/TriMesh_ArrayKernelT.hh>

namespace
{
struct Doubles : OpenMesh::DefaultTraits {
    typedef OpenMesh::Vec3d Point;
};
typedef OpenMesh::TriMesh_ArrayKernelT<Doubles> Mesh;
} // namespace

extern "C" int peer_openmesh(const char *path, peer_figures *figures)
{
    Mesh mesh;
    omerr().disable();
    if (!OpenMesh::IO::read_mesh(mesh, path)) return 1;
    *figures = {};
    for (auto face : mesh.faces()) {
        auto corner = mesh.cfv_iter(face);
        Mesh::Point a = mesh.point(*corner++), b = mesh.point(*corner++), c = mesh.point(*corner);
        Mesh::Point twice = (b - a) % (c - a);
        figures->area += twice.norm() / 2;
        figures->volume += (a | twice) / 6;
    }
    figures->vertices = mesh.n_vertices();
    figures->facets = mesh.n_faces();
    for (auto edge : mesh.edges()) figures->open_edges += mesh.is_boundary(edge);
    return 0;
}
