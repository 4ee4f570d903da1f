/* Loads: what hangs in the tank together, read from one or more files. */
#include "part/reading.h"

#include "base/names.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

static const char *const load_keys[] = {"load",  "tank",    "thickness", "density",
                                        "parts", "hangers", "note"};
static const char *const entry_keys[] = {"part", "count", "at", "axis", "turn", "x axis", "note"};
static const char *const hanger_keys[] = {"wire", "wetted length", "count"};
enum {
    LOAD_KEYS = sizeof load_keys / sizeof load_keys[0],
    ENTRY_KEYS = sizeof entry_keys / sizeof entry_keys[0],
    HANGER_KEYS = sizeof hanger_keys / sizeof hanger_keys[0]
};

static const double PI = 3.1415926535897932384626433832795;

/* ------------------------------------------------------------------ what is asked */

static tks_status read_thickness(const part_document *d, const tks_node *node, tks_load *load)
{
    static const char *const keys[] = {"minimum", "mean"};
    if (!node) return TKS_OK;
    const tks_node *value = node;
    load->aim = TKS_AIM_MEAN;
    if (node->kind == TKS_MAP) {
        tks_status status = tks_node_known(node, d->file, "a thickness", keys, 2, d->err);
        if (!status && node->count != 1)
            status = part_fail(d, TKS_ESYNTAX, node,
                               "give the minimum or the mean, as in {minimum: 8 um}");
        if (status) return status;
        load->aim = tks_node_get(node, "minimum") ? TKS_AIM_MINIMUM : TKS_AIM_MEAN;
        value = node->first;
    }
    tks_status status =
        tks_node_quantity(value, d->file, TKS_LENGTH, "thickness", &load->thickness, d->err);
    if (!status && !(load->thickness > 0 && load->thickness <= 1e-3))
        status =
            part_fail(d, TKS_EDOMAIN, value,
                      "thickness is '%.40s'; it must be above zero and at most 1 mm", value->text);
    return status;
}

static tks_status read_density(const part_document *d, const tks_node *node, tks_load *load)
{
    if (!node) return TKS_OK;
    tks_status status =
        tks_node_quantity(node, d->file, TKS_CURRENT_DENSITY, "density", &load->density, d->err);
    if (!status && !(load->density > 0))
        status = part_fail(d, TKS_EDOMAIN, node, "density is '%.40s'; it must be above zero",
                           node->text);
    return status;
}

/* A length above zero and at most most [m]. */
static tks_status read_size(const part_document *d, const tks_node *node, const char *what,
                            double most, double *value)
{
    tks_status status = tks_node_quantity(node, d->file, TKS_LENGTH, what, value, d->err);
    if (status || (*value > 0 && *value <= most)) return status;
    return part_fail(d, TKS_EDOMAIN, node, "%s is '%.40s'; it must be above zero and at most %g m",
                     what, node->text, most);
}

/* One hanger for each part, unless the file says how many. The wire's cut end is left out: it is as
 * small as the wire's own tolerance. */
static tks_status read_hangers(const part_document *d, const tks_node *node, tks_load *load)
{
    if (!node) return TKS_OK;
    const tks_node *wire = tks_node_get(node, "wire"),
                   *length = tks_node_get(node, "wetted length");
    const tks_node *count = tks_node_get(node, "count");
    tks_status status = tks_node_expect(node, d->file, TKS_MAP, "a map of the hangers", d->err);
    if (!status)
        status = tks_node_known(node, d->file, "hangers", hanger_keys, HANGER_KEYS, d->err);
    if (!status && (!wire || !length))
        status = part_fail(d, TKS_EMISSING, node,
                           "hangers need both: {wire: 0.9 mm, wetted length: 60 mm}");
    if (!status) status = read_size(d, wire, "wire", 0.1, &load->hanger_wire);
    if (!status) status = read_size(d, length, "wetted length", 100, &load->hanger_length);
    if (!status && count)
        status = tks_node_count(count, d->file, "count", 1, 1000000, &load->hanger_count, d->err);
    return status;
}

/* ------------------------------------------------------------------ parts of a load */

static tks_status read_documents(part_document *d, tks_reader *reader, bool parts_only,
                                 tks_load *load);

/* Parts and pieces point at their file, and outlive its reader. */
static tks_status keep_file(part_document *d, const char *file)
{
    d->file = tks_arena_text(d->reading->arena, file, strlen(file));
    return d->file ? TKS_OK : tks_fail(d->err, TKS_EMEMORY, tks_nowhere(), "out of memory");
}

/* All parts of a file; a count or place in the load's entry is that of each of them. */
static tks_status read_part_file(const part_document *d, const tks_node *name, tks_load *load)
{
    char path[PART_LONGEST_PATH];
    tks_reader *reader = NULL;
    tks_error inner;
    tks_status status = part_path_beside(d, name, path);
    if (status) return status;
    status = tks_reader_open(path, NULL, &reader, &inner);
    if (status) return part_fail(d, status, name, "%.200s: %s", path, inner.text);
    part_document other = *d;
    status = keep_file(&other, tks_reader_name(reader));
    if (!status) status = read_documents(&other, reader, true, load);
    tks_reader_close(reader);
    return status;
}

/* The entry's own count and place stand in for those of the parts from first on. */
static tks_status apply_entry(const part_document *d, const tks_node *entry, tks_part *first)
{
    const tks_node *count = tks_node_get(entry, "count");
    long many = 0;
    bool placed = false;
    tks_frame frame;
    tks_status status =
        count ? tks_node_count(count, d->file, "count", 1, 1000000, &many, d->err) : TKS_OK;
    if (!status) status = part_place_read(d, entry, &placed, &frame);
    for (tks_part *p = first; p && !status; p = p->next) {
        if (many) p->item.count = (size_t)many;
        if (placed) p->frame = frame;
        p->placed = p->placed || placed;
    }
    return status;
}

static tks_status read_entry(const part_document *d, const tks_node *node, tks_load *load)
{
    tks_part *last = load->last, *part = NULL;
    if (node->kind == TKS_SCALAR) return read_part_file(d, node, load);
    tks_status status = tks_node_expect(node, d->file, TKS_MAP, "a part", d->err);
    if (status) return status;
    if (tks_node_get(node, "pieces") || tks_node_get(node, "shape") || tks_node_get(node, "mesh") ||
        tks_node_get(node, "sheet"))
        return part_read(d, node, load, &part);
    const tks_node *name = tks_node_get(node, "part");
    if (!name)
        return part_fail(d, TKS_EMISSING, node,
                         "expected `part: FILE`, a part with its pieces, or a shape");
    status = tks_node_known(node, d->file, "a part of a load", entry_keys, ENTRY_KEYS, d->err);
    if (!status) status = read_part_file(d, name, load);
    return status ? status : apply_entry(d, node, last ? last->next : load->first);
}

static tks_status read_tank(const part_document *d, const tks_node *node, tks_load *load)
{
    if (!node) return TKS_OK;
    if (node->kind == TKS_MAP) {
        load->tank_node = node;
        return TKS_OK;
    }
    char path[PART_LONGEST_PATH];
    tks_status status =
        tks_node_expect(node, d->file, TKS_SCALAR, "the name of a tank file", d->err);
    if (!status) status = part_path_beside(d, node, path);
    if (status) return status;
    load->tank = tks_arena_text(d->reading->arena, path, strlen(path));
    return load->tank ? TKS_OK : part_fail(d, TKS_EMEMORY, node, "out of memory");
}

static tks_status read_load(const part_document *d, const tks_node *root, tks_load *load)
{
    const tks_node *name = tks_node_get(root, "load"), *parts = tks_node_get(root, "parts");
    tks_status status = tks_node_known(root, d->file, "a load", load_keys, LOAD_KEYS, d->err);
    if (!status)
        status = parts ? tks_node_expect(parts, d->file, TKS_LIST, "a list of parts", d->err)
                       : part_fail(d, TKS_EMISSING, root, "a load needs its parts");
    if (!status && !parts->count)
        status = part_fail(d, TKS_EMISSING, parts, "a load needs at least one part");
    if (!status) status = read_tank(d, tks_node_get(root, "tank"), load);
    if (!status) status = read_thickness(d, tks_node_get(root, "thickness"), load);
    if (!status) status = read_density(d, tks_node_get(root, "density"), load);
    if (!status) status = read_hangers(d, tks_node_get(root, "hangers"), load);
    if (status) return status;
    load->name = tks_arena_text(d->reading->arena, name->text, name->length);
    load->file = d->file;
    if (!load->name) return part_fail(d, TKS_EMEMORY, root, "out of memory");
    for (const tks_node *entry = parts->first; entry && !status; entry = entry->next)
        status = read_entry(d, entry, load);
    return status;
}

/* ------------------------------------------------------------------ documents and files */

static tks_status read_root(const part_document *d, const tks_node *root, bool parts_only,
                            tks_load *load)
{
    tks_part *part = NULL;
    tks_status status = tks_node_expect(root, d->file, TKS_MAP, "a part or a load", d->err);
    if (status) return status;
    bool is_load = tks_node_get(root, "load");
    if (is_load && parts_only)
        return part_fail(d, TKS_EDOMAIN, root, "a load cannot hold another load");
    if (is_load) return read_load(d, root, load);
    if (tks_node_get(root, "part") || tks_node_get(root, "shape") || tks_node_get(root, "mesh"))
        return part_read(d, root, load, &part);
    return part_fail(d, TKS_ESYNTAX, root, "expected a file that begins with `part:` or `load:`");
}

static void total_up(tks_load *load)
{
    long parts = 0;
    load->total = 0;
    for (const tks_part *p = load->first; p; p = p->next) {
        load->total += p->area * (double)p->item.count;
        parts += (long)p->item.count;
    }
    long hangers = load->hanger_count ? load->hanger_count : load->hanger_wire > 0 ? parts : 0;
    load->hanger_area = PI * load->hanger_wire * load->hanger_length * (double)hangers;
    load->total += load->hanger_area;
}

static part_document document_of(tks_part_reading *reading, const char *file,
                                 char folder[PART_LONGEST_PATH], tks_error *err)
{
    const char *slash = strrchr(file, '/');
    size_t length = slash ? (size_t)(slash - file) : 0;
    if (length >= PART_LONGEST_PATH) length = 0;
    memcpy(folder, file, length);
    folder[length] = '\0';
    return (part_document){reading, file, folder, err};
}

tks_status tks_load_read(tks_part_reading *reading, const tks_node *root, const char *file,
                         tks_load *load, tks_error *err)
{
    char folder[PART_LONGEST_PATH];
    part_document d = document_of(reading, file, folder, err);
    tks_status status = keep_file(&d, file);
    if (!status) status = read_root(&d, root, false, load);
    if (!status) total_up(load);
    return status;
}

/* What the entries of a load are handed to as they are read. */
typedef struct entry_taking {
    const part_document *d;
    tks_load *load;
} entry_taking;

static tks_status take_entry(void *context, const tks_node *entry, tks_error *err)
{
    const entry_taking *taking = context;
    part_document d = *taking->d;
    d.err = err;
    return read_entry(&d, entry, taking->load);
}

/* The nodes of the first document stay, since a load's tank may stand in it; those of further ones
 * are forgotten one by one, so that a long list takes little memory. */
static tks_status read_documents(part_document *d, tks_reader *reader, bool parts_only,
                                 tks_load *load)
{
    tks_arena *nodes = tks_arena_new();
    const tks_node *root = NULL;
    entry_taking taking = {d, load};
    tks_status status =
        nodes ? TKS_OK : tks_fail(d->err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    for (bool first = true; !status; first = false) {
        tks_arena *arena = first ? d->reading->arena : nodes;
        status = parts_only ? tks_reader_next(reader, arena, &root, d->err)
                            : tks_reader_stream(reader, arena, "load", "parts", take_entry, &taking,
                                                &root, d->err);
        if (status || !root) break;
        status = read_root(d, root, parts_only, load);
        tks_arena_reset(nodes);
    }
    tks_arena_free(nodes);
    return status;
}

/* Scans and drawn parts are known by their names' ends. */
static bool is_mesh(const char *path)
{
    static const char *const ends[] = {".stl", ".obj", ".ply", ".off", ".3mf", ".gltf", ".glb"};
    const char *dot = strrchr(path, '.');
    for (size_t i = 0; dot && i < sizeof ends / sizeof *ends; i++)
        if (!strcasecmp(dot, ends[i])) return true;
    return false;
}

static tks_status open_mesh(tks_part_reading *reading, const char *path, tks_load *load,
                            tks_error *err)
{
    part_document d = {reading, path, "", err};
    tks_status status = part_read_mesh(&d, path, load);
    if (!status) total_up(load);
    return status;
}

tks_status tks_load_open(tks_part_reading *reading, const char *path, tks_load *load,
                         tks_reader **failed, tks_error *err)
{
    tks_reader *reader = NULL;
    char folder[PART_LONGEST_PATH];
    if (is_mesh(path)) return open_mesh(reading, path, load, err);
    tks_status status = tks_reader_open(path, NULL, &reader, err);
    if (status) return status;
    part_document d = document_of(reading, strcmp(path, "-") ? path : "", folder, err);
    status = keep_file(&d, tks_reader_name(reader));
    if (!status) status = read_documents(&d, reader, false, load);
    if (!status) total_up(load);
    if (status && failed)
        *failed = reader;
    else
        tks_reader_close(reader);
    return status;
}
