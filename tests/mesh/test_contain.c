/* Formats read by the helper program, the same mesh in every format, and what happens when a reader
 * crashes, hangs, lies, or meets a bomb. */
#include "reader/confine.c" /* what the helper does to itself is tried in a child of the test */

#include "support/near.h"
#include "support/solids.h"

#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

static const tks_mesh_options metres = {.unit = 1};

/* A growing run of bytes. */
typedef struct bytes {
    unsigned char *at;
    size_t length, room;
} bytes;

static void add_bytes(bytes *b, const void *from, size_t length)
{
    while (b->length + length > b->room) {
        b->room = b->room ? b->room * 2 : 4096;
        b->at = realloc(b->at, b->room);
        if (!b->at) fail_msg("out of memory");
    }
    memcpy(b->at + b->length, from, length);
    b->length += length;
}

static void add_number(bytes *b, uint64_t value, int size)
{
    for (int i = 0; i < size; i++) {
        unsigned char byte = (unsigned char)(value >> (8 * i) & 255);
        add_bytes(b, &byte, 1);
    }
}

static void add_text(bytes *b, const char *format, double x, double y, double z)
{
    char text[200];
    snprintf(text, sizeof text, format, x, y, z);
    add_bytes(b, text, strlen(text));
}

/* ------------------------------------------------------------------ the same mesh in each format
 */

static tks_mesh torus(void)
{
    soup s = soup_torus(40, 12, 48, 20);
    soup_scale(&s, 1e-3);
    tks_mesh mesh = soup_mesh(&s);
    soup_free(&s);
    return mesh;
}

static unsigned crc32_of(const unsigned char *p, size_t length)
{
    unsigned crc = 0xffffffffU;
    for (size_t i = 0; i < length; i++) {
        crc ^= p[i];
        for (int k = 0; k < 8; k++) crc = crc >> 1 ^ (crc & 1 ? 0xedb88320U : 0);
    }
    return ~crc;
}

static void add_zip_header(bytes *b, const char *name, const bytes *content, long offset)
{
    bool central = offset >= 0;
    add_number(b, central ? 0x02014b50U : 0x04034b50U, 4);
    if (central) add_number(b, 20, 2);
    add_number(b, 20, 2);
    add_number(b, 0, 8 - 4);
    add_number(b, 0, 4);
    add_number(b, crc32_of(content->at, content->length), 4);
    add_number(b, (unsigned)content->length, 4);
    add_number(b, (unsigned)content->length, 4);
    add_number(b, (unsigned)strlen(name), 2);
    add_number(b, 0, 2);
    if (central) {
        add_number(b, 0, 2 + 2 + 2);
        add_number(b, 0, 4);
        add_number(b, (unsigned)offset, 4);
    }
    add_bytes(b, name, strlen(name));
}

/* A ZIP archive of stored files. */
static void write_zip(const char *path, const char *const *names, const bytes *files, int count)
{
    bytes all = {0}, directory = {0};
    for (int i = 0; i < count; i++) {
        add_zip_header(&directory, names[i], &files[i], (long)all.length);
        add_zip_header(&all, names[i], &files[i], -1);
        add_bytes(&all, files[i].at, files[i].length);
    }
    unsigned start = (unsigned)all.length;
    add_bytes(&all, directory.at, directory.length);
    add_number(&all, 0x06054b50U, 4);
    add_number(&all, 0, 4);
    add_number(&all, (unsigned)count, 2);
    add_number(&all, (unsigned)count, 2);
    add_number(&all, (unsigned)directory.length, 4);
    add_number(&all, start, 4);
    add_number(&all, 0, 2);
    write_bytes(path, all.at, all.length);
    free(all.at);
    free(directory.at);
}

/* unit: what the model's element says of it, `unit="inch"` with coordinates in inches, and so on.
 */
static void write_3mf(const tks_mesh *mesh, const char *path, const char *unit, double metres_each)
{
    static const char rels[] =
        "<?xml version=\"1.0\"?><Relationships "
        "xmlns=\"http://schemas.openxmlformats.org/package/2006/relationships\"><Relationship "
        "Target=\"/3D/3dmodel.model\" Id=\"r\" "
        "Type=\"http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel\"/></Relationships>";
    static const char types[] =
        "<?xml version=\"1.0\"?><Types "
        "xmlns=\"http://schemas.openxmlformats.org/package/2006/content-types\"><Default "
        "Extension=\"model\" "
        "ContentType=\"application/vnd.ms-package.3dmanufacturing-3dmodel+xml\"/></Types>";
    bytes files[3] = {{0}};
    char head[400];
    add_bytes(&files[0], types, strlen(types));
    add_bytes(&files[1], rels, strlen(rels));
    snprintf(head, sizeof head,
             "<?xml version=\"1.0\"?>\n<!-- <model unit=\"foot\"> -->\n<model xml:lang=\"en\" %s "
             "xmlns=\"http://schemas.microsoft.com/3dmanufacturing/core/2015/02\"><resources>"
             "<object id=\"1\" type=\"model\"><mesh><vertices>",
             unit);
    add_bytes(&files[2], head, strlen(head));
    for (size_t i = 0; i < mesh->vertex_count; i++)
        add_text(&files[2], "<vertex x=\"%.9g\" y=\"%.9g\" z=\"%.9g\"/>",
                 mesh->xyz[3 * i] / metres_each, mesh->xyz[3 * i + 1] / metres_each,
                 mesh->xyz[3 * i + 2] / metres_each);
    add_text(&files[2], "</vertices><triangles>", 0, 0, 0);
    for (size_t i = 0; i < mesh->count; i++)
        add_text(&files[2], "<triangle v1=\"%.0f\" v2=\"%.0f\" v3=\"%.0f\"/>", mesh->corners[3 * i],
                 mesh->corners[3 * i + 1], mesh->corners[3 * i + 2]);
    add_text(&files[2],
             "</triangles></mesh></object></resources><build><item "
             "objectid=\"1\"/></build></model>",
             0, 0, 0);
    const char *names[] = {"[Content_Types].xml", "_rels/.rels", "3D/3dmodel.model"};
    write_zip(path, names, files, 3);
    for (int i = 0; i < 3; i++) free(files[i].at);
}

/* glTF 2.0, little-endian floats and 32-bit indices, in metres: in one file (GLB), or with its
 * numbers in a file beside it. */
static void write_gltf(const tks_mesh *mesh, const char *path, const char *beside)
{
    bytes all = {0}, data = {0};
    char json[1200], uri[300] = "";
    if (beside) snprintf(uri, sizeof uri, ",\"uri\":\"%s\"", strrchr(beside, '/') + 1);
    for (size_t i = 0; i < 3 * mesh->vertex_count; i++) {
        float single = (float)mesh->xyz[i];
        add_bytes(&data, &single, 4);
    }
    size_t points = data.length;
    add_bytes(&data, mesh->corners, 12 * mesh->count);
    snprintf(
        json, sizeof json,
        "{\"asset\":{\"version\":\"2.0\"},\"scene\":0,\"scenes\":[{\"nodes\":[0]}],"
        "\"nodes\":[{\"mesh\":0,\"translation\":[1,2,3]}],\"meshes\":[{\"primitives\":[{"
        "\"attributes\":{\"POSITION\":0},\"indices\":1}]}],\"buffers\":[{\"byteLength\":%zu%s}],"
        "\"bufferViews\":[{\"buffer\":0,\"byteOffset\":0,\"byteLength\":%zu},{\"buffer\":0,"
        "\"byteOffset\":%zu,\"byteLength\":%zu}],\"accessors\":[{\"bufferView\":0,"
        "\"componentType\":5126,\"count\":%zu,\"type\":\"VEC3\",\"min\":[-1,-1,-1],\"max\":[1,"
        "1,1]},{\"bufferView\":1,\"componentType\":5125,\"count\":%zu,\"type\":\"SCALAR\"}]}",
        data.length, uri, points, points, 12 * mesh->count, mesh->vertex_count, 3 * mesh->count);
    if (beside) {
        write_text(path, json);
        write_bytes(beside, data.at, data.length);
        free(data.at);
        return;
    }
    while (strlen(json) % 4) strcat(json, " ");
    unsigned length = (unsigned)strlen(json);
    add_bytes(&all, "glTF", 4);
    add_number(&all, 2, 4);
    add_number(&all, 12 + 8 + length + 8 + (unsigned)data.length, 4);
    add_number(&all, length, 4);
    add_bytes(&all, "JSON", 4);
    add_bytes(&all, json, length);
    add_number(&all, (unsigned)data.length, 4);
    add_bytes(&all, "BIN\0", 4);
    add_bytes(&all, data.at, data.length);
    write_bytes(path, all.at, all.length);
    free(all.at);
    free(data.at);
}

static void expect_same(const tks_mesh *mesh, const char *path, double unit, double own)
{
    tks_mesh back;
    tks_error err;
    tks_mesh_options options = {.unit = unit};
    if (tks_mesh_load(path, &options, &back, &err) != TKS_OK) fail_msg("%s: %s", path, err.text);
    tks_mesh_size a = tks_mesh_sum(mesh), b = tks_mesh_sum(&back);
    assert_int_equal(b.facets, a.facets);
    assert_int_equal(back.vertex_count, mesh->vertex_count);
    assert_near(b.area, a.area, 1e-6, path);
    assert_near(b.volume, a.volume, 2e-6, path);
    if (own > 0) {
        assert_int_equal(b.unit.source, TKS_UNIT_OWN);
        assert_near(b.unit.metres, own, 1e-12, path);
    }
    tks_mesh_free(&back);
    unlink(path);
}

static void test_every_format(void **state)
{
    (void)state;
    static const char *const written[] = {"f.stl", "f.obj", "f.ply", "f.off"};
    tks_mesh mesh = torus();
    tks_error err;
    for (int i = 0; i < 4; i++) {
        const char *path = scratch_path(written[i]);
        assert_int_equal(tks_mesh_write(&mesh, path, &err), TKS_OK);
        expect_same(&mesh, path, 1e-3, 0);
    }
    const char *path = scratch_path("f.3mf");
    write_3mf(&mesh, path, "", 1e-3);
    expect_same(&mesh, path, 0, 1e-3);
    static const char *const inches[] = {"unit=\"inch\"", "unit\n=\t'inch'",
                                         "xmlns:q=\"urn:q\" q:unit=\"foot\" unit = \"inch\""};
    for (int i = 0; i < 3; i++) {
        path = scratch_path("g.3mf");
        write_3mf(&mesh, path, inches[i], 0.0254);
        expect_same(&mesh, path, 0, 0.0254);
    }
    path = scratch_path("f.glb");
    write_gltf(&mesh, path, NULL);
    expect_same(&mesh, path, 0, 1);
    const char *beside = scratch_path("f.bin");
    path = scratch_path("f.gltf");
    write_gltf(&mesh, path, beside);
    char roundabout[600]; /* into the folder and out of it again */
    const char *slash = strrchr(path, '/'), *folder = slash;
    while (folder > path && folder[-1] != '/') folder--;
    snprintf(roundabout, sizeof roundabout, "%.*s/../%.*s%s", (int)(slash - path), path,
             (int)(slash - folder), folder, slash);
    tks_mesh back;
    if (tks_mesh_load(roundabout, &metres, &back, &err)) fail_msg("%s: %s", roundabout, err.text);
    tks_mesh_free(&back);
    expect_same(&mesh, path, 0, 1);
    unlink(beside);
    tks_mesh_free(&mesh);
}

/* ------------------------------------------------------------------ damaged files */

static void expect_failure(const char *name, const void *content, size_t length, const char *words)
{
    tks_mesh mesh = {.count = 77};
    tks_error err = {.text = ""};
    tks_mesh_limits limits = tks_mesh_limits_default();
    limits.seconds = 20;
    limits.memory = 1 << 29;
    tks_mesh_options options = {.unit = 1, .limits = &limits};
    const char *path = scratch_path(name);
    write_bytes(path, content, length);
    tks_status status = tks_mesh_load(path, &options, &mesh, &err);
    unlink(path);
    if (status != TKS_EREAD && status != TKS_ELIMIT)
        fail_msg("%s of %zu bytes: %s %s", name, length, tks_status_name(status), err.text);
    assert_int_equal(mesh.count, 77);
    if (words && !strstr(err.text, words)) fail_msg("'%s' is not in '%s'", words, err.text);
}

static void test_damaged(void **state)
{
    (void)state;
    static const char *const texts[][2] = {
        {"x.ply", "ply\n"},
        {"x.ply",
         "ply\nformat ascii 1.0\nelement vertex 4000000000\nproperty float x\nend_header\n"},
        {"x.ply", "ply\nformat ascii 1.0\nelement vertex 3\nproperty float x\nproperty float y\n"
                  "property float z\nelement face 1\nproperty list uchar int vertex_indices\n"
                  "end_header\n0 0 0\n1 0 0\n0 1 0\n3 0 1 99999\n"},
        {"x.ply", "ply\nformat ascii 1.0\nelement vertex 3\nproperty float x\nproperty float y\n"
                  "property float z\nelement tristrips 1\nproperty list int int vertex_indices\n"
                  "end_header\n0 0 0\n1 0 0\n0 1 0\n3 0 1 2\n"},
        {"x.ply", "ply\nformat binary_big_endian 1.0\nelement vertex 1\nproperty float x\n"
                  "property half y\nend_header\nxxxxxxxxxxxx"},
        {"x.off", "OFF\n"},
        {"x.off", "OFF\n99999999 99999999 0\n0 0 0\n"},
        {"x.3mf", "PK\3\4 and nothing more"},
        {"x.glb", "glTF\2\0\0\0\377\377\377\377"},
        {"x.gltf", "{"},
        {"x.gltf", "{\"asset\":{\"version\":\"2.0\"},\"buffers\":[{\"byteLength\":1000000000000,"
                   "\"uri\":\"../../../../dev/zero\"}]}"},
    };
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++)
        expect_failure(texts[i][0], texts[i][1], strlen(texts[i][1]), NULL);
}

/* The same mesh as a PLY file of text, with a list in front of the coordinates. */
static void write_text_ply(const tks_mesh *mesh, const char *path)
{
    bytes all = {0};
    char head[300];
    snprintf(head, sizeof head,
             "ply\nformat ascii 1.0\ncomment property list element\nelement vertex %zu\n"
             "property list uchar float extra\nproperty float x\nproperty float y\n"
             "property double z\nelement face %zu\nproperty list uint8 int32 vertex_index\n"
             "end_header\n",
             mesh->vertex_count, mesh->count);
    add_bytes(&all, head, strlen(head));
    for (size_t i = 0; i < mesh->vertex_count; i++)
        add_text(&all, "2 7 7 %.9g %.9g %.9g\n", mesh->xyz[3 * i] * 1e3, mesh->xyz[3 * i + 1] * 1e3,
                 mesh->xyz[3 * i + 2] * 1e3);
    for (size_t i = 0; i < mesh->count; i++)
        add_text(&all, "3 %.0f %.0f %.0f\n", mesh->corners[3 * i], mesh->corners[3 * i + 1],
                 mesh->corners[3 * i + 2]);
    write_bytes(path, all.at, all.length);
    free(all.at);
}

/* A file cut anywhere before its last number must be told from a whole one. */
static void expect_all_cuts_told(const char *path, const char *words)
{
    static unsigned char content[200000];
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    size_t length = fread(content, 1, sizeof content, file);
    fclose(file);
    unlink(path);
    for (size_t cut = length - 5; cut > 40; cut -= cut / 7 + 1)
        expect_failure("c.ply", content, cut, cut > 600 ? words : NULL);
}

static void test_cut(void **state)
{
    (void)state;
    tks_mesh mesh = torus();
    tks_error err;
    const char *path = scratch_path("b.ply");
    assert_int_equal(tks_mesh_write(&mesh, path, &err), TKS_OK);
    expect_all_cuts_told(path, "cut short");
    path = scratch_path("t.ply");
    write_text_ply(&mesh, path);
    expect_all_cuts_told(path, "cut short");
    write_text_ply(&mesh, path = scratch_path("t.ply"));
    expect_same(&mesh, path, 1e-3, 0);
    tks_mesh_free(&mesh);
}

/* ------------------------------------------------------------------ a reader gone wrong */

static const char *own_reader(void)
{
    static char path[600];
    const char *program = getenv("TANKSIDE");
    if (!program) fail_msg("TANKSIDE must name the program; run through make check");
    snprintf(path, sizeof path, "%s-reader", program);
    return path;
}

static void expect_from_script(const char *script, double seconds, tks_status code,
                               const char *words)
{
    char text[300];
    const char *path = scratch_path("reader.sh"), *mesh_path = scratch_path("s.ply");
    tks_mesh_limits limits = tks_mesh_limits_default();
    tks_mesh_options options = {.unit = 1, .limits = &limits};
    tks_mesh mesh = {.count = 77};
    tks_error err;
    limits.seconds = seconds;
    snprintf(text, sizeof text, "#!/bin/sh\n%s\n", script);
    write_text(path, text);
    write_text(mesh_path, "ply\nformat ascii 1.0\n");
    chmod(path, 0700);
    setenv("TANKSIDE_READER", path, 1);
    tks_status status = tks_mesh_load(mesh_path, &options, &mesh, &err);
    setenv("TANKSIDE_READER", own_reader(), 1);
    unlink(path);
    unlink(mesh_path);
    if (status != code || !strstr(err.text, words))
        fail_msg("%s: %s %s", script, tks_status_name(status), err.text);
    assert_int_equal(mesh.count, 77);
}

static void test_gone_wrong(void **state)
{
    (void)state;
    expect_from_script("kill -SEGV $$", 20, TKS_EREAD, "crashed");
    expect_from_script("exit 0", 20, TKS_EREAD, "crashed");
    expect_from_script("exec sleep 60", 0.3, TKS_ELIMIT, "TANKSIDE_MESH_SECONDS");
    expect_from_script("exec yes", 0.3, TKS_EREAD, "crashed");
    /* The right mark, and then a promise of 2^32 - 2 vertices that never come. */
    expect_from_script("printf 'TANKDR1\\0\\0\\0\\0\\0\\0\\0\\0\\0\\376\\377\\377\\377\\0\\0\\0\\0"
                       "\\1\\0\\0\\0\\0\\0\\0\\0\\0\\0\\0\\0\\0\\0\\0\\0'; exit 1",
                       20, TKS_EREAD, "crashed");
    /* One facet that speaks of a vertex that is not there. */
    expect_from_script("printf 'TANKDR1\\0\\0\\0\\0\\0\\0\\0\\0\\0\\0\\0\\0\\0\\0\\0\\0\\0"
                       "\\1\\0\\0\\0\\0\\0\\0\\0\\0\\0\\0\\0\\0\\0\\0\\0\\5\\0\\0\\0\\5\\0\\0\\0\\5"
                       "\\0\\0\\0'",
                       20, TKS_EREAD, "not there");
    setenv("TANKSIDE_READER", "/no/such/reader", 1);
    expect_failure("x.ply", "ply\n", 4, "not installed");
    setenv("TANKSIDE_READER", own_reader(), 1);
}

/* A program may be started with its standard input and output closed. */
static void test_closed_input(void **state)
{
    (void)state;
    tks_mesh mesh = torus();
    tks_error err;
    const char *path = scratch_path("closed.ply");
    assert_int_equal(tks_mesh_write(&mesh, path, &err), TKS_OK);
    int input = dup(STDIN_FILENO), output = dup(STDOUT_FILENO);
    fflush(stdout);
    close(STDIN_FILENO);
    close(STDOUT_FILENO);
    tks_mesh back = {0};
    tks_status status = tks_mesh_load(path, &metres, &back, &err);
    dup2(input, STDIN_FILENO);
    dup2(output, STDOUT_FILENO);
    close(input);
    close(output);
    if (status != TKS_OK) fail_msg("%s", err.text);
    assert_int_equal(back.count, mesh.count);
    unlink(path);
    tks_mesh_free(&back);
    tks_mesh_free(&mesh);
}

/* A mesh larger than the reader may be: the reader's memory ends before the machine's. */
static void test_bomb(void **state)
{
    (void)state;
#if !ADDRESS_SPACE_LIMIT
    skip();
#endif
    tks_mesh mesh = {0};
    tks_error err;
    tks_mesh_limits limits = tks_mesh_limits_default();
    limits.memory = 48 << 20;
    tks_mesh_options options = {.unit = 1, .limits = &limits};
    const char *path = scratch_path("bomb.ply");
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    fprintf(file, "ply\nformat ascii 1.0\nelement vertex 3000000\nproperty float x\nproperty float "
                  "y\nproperty float z\nelement face 1\nproperty list uchar int vertex_indices\n"
                  "end_header\n");
    for (int i = 0; i < 3000000; i++) fputs("0 0 0\n", file);
    fputs("3 0 1 2\n", file);
    fclose(file);
    assert_int_not_equal(tks_mesh_load(path, &options, &mesh, &err), TKS_OK);
    if (!strstr(err.text, "MiB") && !strstr(err.text, "crashed")) fail_msg("%s", err.text);
    unlink(path);
}

/* ------------------------------------------------------------------ shut in */

static int try_everything(void)
{
    reader_limits limits = {(size_t)1 << 40, 1000, 100};
    if (!reader_shut_in(&limits)) return 1;
    if (socket(AF_INET, SOCK_STREAM, 0) >= 0 || errno != EPERM) return 2;
    if (open("/tmp/tankside-shut-in", O_WRONLY | O_CREAT, 0600) >= 0 || errno != EPERM) return 3;
    if (fork() >= 0 || errno != EPERM) return 4;
    if (execl("/bin/true", "true", NULL) >= 0 || errno != EPERM) return 5;
    if (unlink("/tmp/tankside-shut-in") >= 0 || errno != EPERM) return 6;
    if (kill(getppid(), 0) >= 0 || errno != EPERM) return 7;
    if (open("/proc/self/status", O_RDONLY) < 0) return 8;
    int terminal = open("/dev/null", O_RDONLY); /* TIOCSTI types into a terminal */
    if (ioctl(terminal, TIOCSTI, "x") >= 0 || errno != EPERM) return 9;
    if (syscall(SYS_tgkill, getppid(), getppid(), 0) >= 0 || errno != EPERM) return 10;
    if (syscall(SYS_tgkill, getpid(), getpid(), 0) < 0) return 11;
    return 0;
}

static void test_shut_in(void **state)
{
    (void)state;
    int status = 0;
    pid_t child = fork();
    if (child == 0) _exit(try_everything());
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_true(WIFEXITED(status));
    assert_int_equal(WEXITSTATUS(status), 0);
}

static int use_own_reader(void **state)
{
    (void)state;
    return setenv("TANKSIDE_READER", own_reader(), 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_every_format), cmocka_unit_test(test_damaged),
        cmocka_unit_test(test_cut),          cmocka_unit_test(test_gone_wrong),
        cmocka_unit_test(test_closed_input), cmocka_unit_test(test_bomb),
        cmocka_unit_test(test_shut_in),
    };
    return cmocka_run_group_tests_name("mesh: contained reading", tests, use_own_reader, NULL);
}
