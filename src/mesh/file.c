#include "mesh/file.h"

#include "base/alloc.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <unistd.h>

enum { HEAD = 512, COPY_BLOCK = 1 << 16 };

static const struct {
    const char *name, *ending;
} formats[] = {
    {"binary STL", "stl"}, {"ASCII STL", "stl"}, {"OBJ", "obj"},  {"PLY", "ply"},
    {"OFF", "off"},        {"3MF", "3mf"},       {"glTF", "glb"}, {"glTF", "gltf"},
};

const char *mesh_format_name(mesh_format format)
{
    return formats[format].name;
}

const char *mesh_format_ending(mesh_format format)
{
    return formats[format].ending;
}

tks_place mesh_file_place(const mesh_file *file)
{
    return (tks_place){file->path, 0, 0};
}

tks_status mesh_too_many(const mesh_file *file, tks_error *err)
{
    return tks_fail(err, TKS_ELIMIT, mesh_file_place(file),
                    "more than %zu triangles, which is the cap; raise it with "
                    "TANKSIDE_MESH_FACETS=%zu in the environment",
                    file->limits.facets, file->limits.facets * 2);
}

tks_status mesh_no_memory(const mesh_file *file, tks_error *err)
{
    return tks_fail(err, TKS_EMEMORY, mesh_file_place(file), "not enough memory for this mesh");
}

bool mesh_file_read(const mesh_file *file, size_t offset, void *bytes, size_t length)
{
    char *to = bytes;
    while (length) {
        ssize_t got = pread(file->descriptor, to, length, (off_t)offset);
        if (got < 0 && errno == EINTR) continue;
        if (got <= 0) return false;
        to += got;
        offset += (size_t)got;
        length -= (size_t)got;
    }
    return true;
}

static tks_status too_large(const mesh_file *file, tks_error *err)
{
    return tks_fail(err, TKS_ELIMIT, mesh_file_place(file),
                    "larger than %zu bytes, which is the cap; raise it with "
                    "TANKSIDE_MESH_BYTES=%zu in the environment",
                    file->limits.bytes, file->limits.bytes * 2);
}

static tks_status too_much_piped(const mesh_file *file, tks_error *err)
{
    return tks_fail(err, TKS_ELIMIT, mesh_file_place(file),
                    "a pipe is kept in memory, and this one holds more than %zu MiB, which is the "
                    "cap; raise it with TANKSIDE_MESH_MEMORY=%zu in the environment, or write it "
                    "to a file first",
                    file->limits.memory >> 20, file->limits.memory * 2);
}

static bool write_all(int to, const char *bytes, size_t length)
{
    while (length) {
        ssize_t done = write(to, bytes, length);
        if (done < 0 && errno == EINTR) continue;
        if (done <= 0) return false;
        bytes += done;
        length -= (size_t)done;
    }
    return true;
}

/* Copies a pipe into a file in memory, and puts that in its place. */
static tks_status gather_pipe(mesh_file *file, tks_error *err)
{
    char block[COPY_BLOCK];
    int memory = memfd_create("mesh", MFD_CLOEXEC);
    if (memory < 0) return mesh_no_memory(file, err);
    tks_status status = TKS_OK;
    for (file->size = 0; status == TKS_OK;) {
        ssize_t got = read(file->descriptor, block, sizeof block);
        if (got < 0 && errno == EINTR) continue;
        if (got < 0)
            status =
                tks_fail(err, TKS_EREAD, mesh_file_place(file), "cannot read: %s", strerror(errno));
        if (got <= 0) break;
        file->size += (size_t)got;
        if (file->size > file->limits.bytes)
            status = too_large(file, err);
        else if (file->size > file->limits.memory)
            status = too_much_piped(file, err);
        else if (!write_all(memory, block, (size_t)got))
            status = mesh_no_memory(file, err);
    }
    if (file->descriptor != STDIN_FILENO) close(file->descriptor);
    file->descriptor = memory;
    return status;
}

/* Of a device only what is typed at a terminal can end; /dev/null has ended. */
static bool is_endless(int descriptor)
{
    char byte;
    return !isatty(descriptor) && read(descriptor, &byte, 1) > 0;
}

static tks_status open_bytes(const char *path, mesh_file *file, tks_error *err)
{
    bool standard = !strcmp(path, "-");
    file->path = standard ? "standard input" : path;
    file->descriptor = standard ? STDIN_FILENO : open(path, O_RDONLY | O_CLOEXEC);
    struct stat about;
    if (file->descriptor < 0 || fstat(file->descriptor, &about))
        return tks_fail(err, TKS_EOPEN, mesh_file_place(file), "cannot open the mesh: %s",
                        strerror(errno));
    if (S_ISDIR(about.st_mode))
        return tks_fail(err, TKS_EOPEN, mesh_file_place(file), "this is a folder, not a mesh");
    if (S_ISBLK(about.st_mode) || (S_ISCHR(about.st_mode) && is_endless(file->descriptor)))
        return tks_fail(err, TKS_EOPEN, mesh_file_place(file), "this is a device, not a mesh");
    if (!S_ISREG(about.st_mode)) return gather_pipe(file, err);
    file->size = (size_t)about.st_size;
    return file->size > file->limits.bytes ? too_large(file, err) : TKS_OK;
}

static size_t facets_promised(const unsigned char *head)
{
    return head[80] | (size_t)head[81] << 8 | (size_t)head[82] << 16 | (size_t)head[83] << 24;
}

static bool has_ending(const char *path, const char *ending)
{
    size_t n = strlen(path), m = strlen(ending);
    return n > m && path[n - m - 1] == '.' && !strcasecmp(path + n - m, ending);
}

static bool ending_format(const char *path, mesh_format *format)
{
    for (size_t i = 0; i < sizeof formats / sizeof *formats; i++)
        if (has_ending(path, formats[i].ending)) {
            *format = (mesh_format)i;
            return true;
        }
    return false;
}

/* What the content alone tells. The name `solid` proves nothing: many programs begin their binary
 * files with it, so a size that fits comes first. */
static bool content_format(mesh_file *file, const unsigned char *head, size_t length)
{
    static const struct {
        const char *mark;
        mesh_format format;
    } marks[] = {
        {"PK\3\4", MESH_3MF}, {"glTF", MESH_GLB},  {"ply", MESH_PLY},
        {"OFF", MESH_OFF},    {"COFF", MESH_OFF},  {"NOFF", MESH_OFF},
        {"CNOFF", MESH_OFF},  {"STOFF", MESH_OFF}, {"solid", MESH_ASCII_STL},
    };
    if (length >= 84 && file->size == 84 + 50 * facets_promised(head)) {
        file->format = MESH_BINARY_STL;
        return true;
    }
    size_t blank = 0;
    while (blank < length && (head[blank] <= ' ' && head[blank])) blank++;
    for (size_t i = 0; i < sizeof marks / sizeof *marks; i++) {
        size_t n = strlen(marks[i].mark);
        if (length - blank < n || strncasecmp((const char *)head + blank, marks[i].mark, n))
            continue;
        file->format = marks[i].format;
        return file->format != MESH_ASCII_STL || !memchr(head, '\0', length);
    }
    return false;
}

static tks_status binary_facets(mesh_file *file, const unsigned char *head, size_t length,
                                tks_error *err)
{
    if (length < 84)
        return tks_fail(err, TKS_EREAD, mesh_file_place(file),
                        "a binary STL has at least 84 bytes, this has %zu", file->size);
    file->facets = facets_promised(head);
    if (file->size < 84 + 50 * file->facets)
        return tks_fail(err, TKS_EREAD, mesh_file_place(file),
                        "cut short: promises %zu triangles, holds %zu", file->facets,
                        (file->size - 84) / 50);
    return file->facets > file->limits.facets ? mesh_too_many(file, err) : TKS_OK;
}

static tks_status tell_format(mesh_file *file, tks_error *err)
{
    unsigned char head[HEAD] = {0};
    size_t length = file->size < HEAD ? file->size : HEAD;
    if (!length) return tks_fail(err, TKS_EREAD, mesh_file_place(file), "the file is empty");
    if (!mesh_file_read(file, 0, head, length))
        return tks_fail(err, TKS_EREAD, mesh_file_place(file), "cannot read: %s", strerror(errno));
    bool told = content_format(file, head, length) || ending_format(file->path, &file->format);
    if (!told && memchr(head, '\0', length))
        return tks_fail(err, TKS_EUNKNOWN, mesh_file_place(file),
                        "this is not a mesh: STL, OBJ, PLY, OFF, 3MF and glTF can be read");
    if (!told) file->format = MESH_OBJ;
    return file->format == MESH_BINARY_STL ? binary_facets(file, head, length, err) : TKS_OK;
}

tks_status mesh_file_open(const char *path, const tks_mesh_limits *limits, mesh_file *file,
                          tks_error *err)
{
    *file = (mesh_file){.descriptor = -1};
    file->limits = limits ? *limits : tks_mesh_limits_default();
    if (file->limits.facets > MESH_MOST_FACETS) file->limits.facets = MESH_MOST_FACETS;
    tks_status status = open_bytes(path, file, err);
    if (status == TKS_OK) status = tell_format(file, err);
    if (status != TKS_OK) mesh_file_close(file);
    return status;
}

void mesh_file_close(mesh_file *file)
{
    if (file->descriptor > STDIN_FILENO) close(file->descriptor);
    file->descriptor = -1;
}

static double cap(const char *name, double usual, double most)
{
    const char *text = getenv(name);
    char *end = NULL;
    double value = text ? strtod(text, &end) : 0;
    if (!text || end == text || *end || !(value >= 1)) return usual;
    return value < most ? value : most;
}

tks_mesh_limits tks_mesh_limits_default(void)
{
    return (tks_mesh_limits){(size_t)cap("TANKSIDE_MESH_BYTES", 0x1p33, 0x1p46),
                             (size_t)cap("TANKSIDE_MESH_FACETS", 200e6, MESH_MOST_FACETS),
                             (size_t)cap("TANKSIDE_MESH_MEMORY", 0x1p32, 0x1p46),
                             cap("TANKSIDE_MESH_SECONDS", 120, 1e6)};
}
