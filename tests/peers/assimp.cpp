#include "peers/peers.h"

#include <assimp/Importer.hpp>
#include <assimp/postprocess.h>
#include <assimp/scene.h>

#include <cmath>

namespace
{
struct Point {
    double x, y, z;
};

Point difference(const aiVector3D &p, const aiVector3D &q)
{
    return {double(p.x) - double(q.x), double(p.y) - double(q.y), double(p.z) - double(q.z)};
}

void add_face(const aiMesh *mesh, const aiFace &face, peer_figures *figures)
{
    const aiVector3D &a = mesh->mVertices[face.mIndices[0]];
    Point u = difference(mesh->mVertices[face.mIndices[1]], a);
    Point v = difference(mesh->mVertices[face.mIndices[2]], a);
    Point n = {u.y * v.z - u.z * v.y, u.z * v.x - u.x * v.z, u.x * v.y - u.y * v.x};
    figures->area += std::sqrt(n.x * n.x + n.y * n.y + n.z * n.z) / 2;
    figures->volume += (double(a.x) * n.x + double(a.y) * n.y + double(a.z) * n.z) / 6;
    figures->facets++;
}
} // namespace

extern "C" int peer_assimp(const char *path, peer_figures *figures)
{
    Assimp::Importer importer;
    const aiScene *scene = importer.ReadFile(path, aiProcess_Triangulate);
    if (!scene) return 1;
    *figures = {};
    for (unsigned m = 0; m < scene->mNumMeshes; m++) {
        const aiMesh *mesh = scene->mMeshes[m];
        figures->vertices += mesh->mNumVertices;
        for (unsigned f = 0; f < mesh->mNumFaces; f++)
            if (mesh->mFaces[f].mNumIndices == 3) add_face(mesh, mesh->mFaces[f], figures);
    }
    return 0;
}
