/* Foreign formats through assimp. */
#include "reader/reader.h"
#include "tankside/status.h"

#include <assimp/cfileio.h>
#include <assimp/cimport.h>
#include <assimp/postprocess.h>
#include <assimp/scene.h>
#include <cglm/mat4.h>

#include <fcntl.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { DEEPEST = 1000 };

/* ------------------------------------------------------------------ the files assimp may see */

typedef struct opened {
    struct aiFile calls;
    int descriptor;
    size_t at, size;
} opened;

static size_t read_file(struct aiFile *file, char *to, size_t size, size_t count)
{
    opened *o = (opened *)(void *)file->UserData;
    if (!size || count > SIZE_MAX / size) return 0;
    size_t wanted = size * count, got = 0;
    while (got < wanted) {
        ssize_t n = pread(o->descriptor, to + got, wanted - got, (off_t)(o->at + got));
        if (n <= 0) break;
        got += (size_t)n;
    }
    o->at += got;
    return got / size;
}

static size_t write_file(struct aiFile *file, const char *from, size_t size, size_t count)
{
    (void)file, (void)from, (void)size, (void)count;
    return 0;
}

static size_t tell_file(struct aiFile *file)
{
    return ((opened *)(void *)file->UserData)->at;
}

static size_t file_size(struct aiFile *file)
{
    return ((opened *)(void *)file->UserData)->size;
}

static aiReturn seek_file(struct aiFile *file, size_t offset, enum aiOrigin origin)
{
    opened *o = (opened *)(void *)file->UserData;
    size_t from = origin == aiOrigin_CUR ? o->at : origin == aiOrigin_END ? o->size : 0;
    size_t at = from + offset; /* backward offsets come as large numbers and wrap */
    if (at > o->size) return aiReturn_FAILURE;
    o->at = at;
    return aiReturn_SUCCESS;
}

static void flush_file(struct aiFile *file)
{
    (void)file;
}

/* Whether a path leads out of the folder where it starts. */
static bool climbs(const char *path)
{
    for (const char *p = path; p; p = strchr(p, '/')) {
        p += *p == '/';
        if (!strncmp(p, "..", 2) && (p[2] == '/' || !p[2])) return true;
    }
    return *path == '/';
}

/* The mesh itself is on standard input under the name given; beside it only regular files of the
 * same folder, or of folders below, are opened. */
static int open_allowed(const char *main_name, const char *name)
{
    const char *slash = strrchr(main_name, '/');
    size_t folder = slash ? (size_t)(slash - main_name) + 1 : 0;
    if (!strcmp(name, main_name)) return dup(STDIN_FILENO);
    if (strncmp(name, main_name, folder) != 0 || climbs(name + folder)) return -1;
    return open(name, O_RDONLY | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC);
}

static struct aiFile *open_file(struct aiFileIO *io, const char *name, const char *mode)
{
    struct stat about;
    (void)mode;
    opened *o = calloc(1, sizeof *o);
    if (!o) return NULL;
    o->descriptor = open_allowed(io->UserData, name);
    if (o->descriptor < 0 || fstat(o->descriptor, &about) || !S_ISREG(about.st_mode)) {
        if (o->descriptor >= 0) close(o->descriptor);
        free(o);
        return NULL;
    }
    o->size = (size_t)about.st_size;
    o->calls = (struct aiFile){read_file, write_file, tell_file, file_size,
                               seek_file, flush_file, (char *)o};
    return &o->calls;
}

static void close_file(struct aiFileIO *io, struct aiFile *file)
{
    (void)io;
    opened *o = (opened *)(void *)file->UserData;
    close(o->descriptor);
    free(o);
}

/* ------------------------------------------------------------------ the scene */

/* Calls visit for each mesh of the scene as placed by its nodes; false: too deep, or visit said so.
 */
typedef struct walk {
    const struct aiScene *scene;
    bool (*visit)(void *context, const struct aiMesh *mesh, mat4 place);
    void *context;
} walk;

/* Where a node stands: assimp's matrices are float and row by row, cglm's column by column. */
static void compose(mat4 place, const struct aiMatrix4x4 *m, mat4 here)
{
    mat4 own = {{m->a1, m->b1, m->c1, m->d1},
                {m->a2, m->b2, m->c2, m->d2},
                {m->a3, m->b3, m->c3, m->d3},
                {m->a4, m->b4, m->c4, m->d4}};
    glm_mat4_mul(place, own, here);
}

static bool walk_node(const walk *w, const struct aiNode *node, mat4 place, int depth)
{
    mat4 here;
    if (depth > DEEPEST) return false;
    compose(place, &node->mTransformation, here);
    for (unsigned i = 0; i < node->mNumMeshes; i++)
        if (!w->visit(w->context, w->scene->mMeshes[node->mMeshes[i]], here)) return false;
    for (unsigned i = 0; i < node->mNumChildren; i++)
        if (!walk_node(w, node->mChildren[i], here, depth + 1)) return false;
    return true;
}

static bool walk_scene(const walk *w)
{
    mat4 identity = GLM_MAT4_IDENTITY_INIT;
    return walk_node(w, w->scene->mRootNode, identity, 0);
}

typedef struct totals {
    uint64_t vertices, facets, cap;
    uint64_t base; /* first vertex of the mesh at hand */
} totals;

static uint64_t triangles_of(const struct aiMesh *mesh)
{
    uint64_t count = 0;
    for (unsigned i = 0; i < mesh->mNumFaces; i++) count += mesh->mFaces[i].mNumIndices == 3;
    return count;
}

static bool count_mesh(void *context, const struct aiMesh *mesh, mat4 place)
{
    totals *t = context;
    (void)place;
    t->vertices += mesh->mNumVertices;
    t->facets += triangles_of(mesh);
    return t->facets <= t->cap && t->vertices <= UINT32_MAX - 2;
}

static bool put_vertices(void *context, const struct aiMesh *mesh, mat4 place)
{
    (void)context;
    for (unsigned i = 0; i < mesh->mNumVertices; i++) {
        const struct aiVector3D *v = &mesh->mVertices[i];
        double p[3]; /* widened before it is summed */
        for (int k = 0; k < 3; k++)
            p[k] = (double)place[0][k] * (double)v->x + (double)place[1][k] * (double)v->y +
                   (double)place[2][k] * (double)v->z + (double)place[3][k];
        if (fwrite(p, sizeof p, 1, stdout) != 1) return false;
    }
    return true;
}

static bool put_facets(void *context, const struct aiMesh *mesh, mat4 place)
{
    totals *t = context;
    float turn = glm_mat4_det(place);
    for (unsigned i = 0; i < mesh->mNumFaces; i++) {
        const struct aiFace *face = &mesh->mFaces[i];
        if (face->mNumIndices != 3) continue;
        uint32_t corners[3];
        for (int k = 0; k < 3; k++) /* a mirror turns the facets over */
            corners[k] = (uint32_t)(t->base + face->mIndices[turn < 0 ? 2 - k : k]);
        if (fwrite(corners, sizeof corners, 1, stdout) != 1) return false;
    }
    t->base += mesh->mNumVertices;
    return true;
}

static int put_scene(const struct aiScene *scene, double unit, const reader_limits *limits)
{
    totals t = {.cap = limits->facets};
    walk w = {scene, count_mesh, &t};
    if (!walk_scene(&w)) return reader_refuse(TKS_ELIMIT, "facets");
    mesh_wire wire = {
        .mark = MESH_WIRE_MARK, .vertices = t.vertices, .facets = t.facets, .unit = unit};
    if (fwrite(&wire, sizeof wire, 1, stdout) != 1) return 1;
    w.visit = put_vertices;
    if (!walk_scene(&w)) return 1;
    w.visit = put_facets;
    return walk_scene(&w) && !fflush(stdout) ? 0 : 1;
}

/* assimp goes by the ending of the name, whatever the file is called. */
static char *name_for_assimp(const char *name, const char *ending)
{
    size_t size = strlen(name) + strlen(ending) + 2;
    char *made = malloc(size);
    if (made) snprintf(made, size, "%s.%s", name, ending);
    return made;
}

static double own_unit(const char *ending)
{
    /* glTF 2.0 Specification, section 3.4: "The units for all linear distances are meters." */
    if (!strncmp(ending, "gl", 2)) return 1;
    return strcmp(ending, "3mf") ? 0 : reader_3mf_unit();
}

int reader_read(const char *ending, const char *name, const reader_limits *limits)
{
    char *full = name_for_assimp(name, ending);
    if (!full) return reader_refuse(TKS_EMEMORY, "memory");
    struct aiFileIO io = {open_file, close_file, full};
    double unit = own_unit(ending);
    const char *fault = strcmp(ending, "ply") ? NULL : reader_ply_fault();
    if (fault) return reader_refuse(TKS_EREAD, fault);
    const struct aiScene *scene = aiImportFileEx(full, aiProcess_Triangulate, &io);
    if (!scene || !scene->mRootNode) {
        const char *why = aiGetErrorString();
        bool memory = strstr(why, "bad_alloc") || strstr(why, "ut of memory");
        return reader_refuse(memory ? TKS_EMEMORY : TKS_EREAD, *why ? why : "it holds no mesh");
    }
    return put_scene(scene, unit, limits); /* the system frees it all */
}
