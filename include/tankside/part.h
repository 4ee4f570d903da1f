/* Parts and loads as users describe them: from parsed nodes to areas. room: part */
#ifndef TANKSIDE_PART_H
#define TANKSIDE_PART_H

#include "tankside/arena.h"
#include "tankside/caution.h"
#include "tankside/document.h"
#include "tankside/item.h"
#include "tankside/shape.h"
#include "tankside/status.h"

#ifdef __cplusplus
extern "C" {
#endif

/* One piece of a part. */
typedef struct tks_piece {
    const char *name; /* given, or that of its shape */
    long count;       /* of like pieces */
    tks_body *body;   /* in its own place when placed; NULL when bodies are not kept */
    double contact;   /* footprint hidden by a weld or joint [m^2]; taken off both faces */
    bool placed, cut;
    unsigned masked;  /* labels of a placed piece that are stopped off, bit by label */
    const char *mesh; /* a mesh in place of a body: its file; NULL: none, or bodies are not kept */
    double unit, scale; /* of the mesh, as tks_mesh_options has them */
    tks_place at;
} tks_piece;

/* One part, its numbers for one of it. */
typedef struct tks_part {
    tks_item item;                           /* what the plating rooms read */
    const char *material, *grade, *hardness; /* as written; "" when not */
    double area, area_low, area_high;        /* wetted [m^2]; low = high = area where it is exact */
    double by_label[TKS_LABEL_COUNT];        /* [m^2]; not wetted ones too */
    double volume;                           /* of metal [m^3] */
    const char *method; /* "exact", "union", "mesh", "weight", or some joined by '+' */
    const tks_piece *pieces;
    size_t piece_count;
    bool placed;     /* has a place in the tank */
    tks_frame frame; /* that place */
    tks_place at;    /* in its file */
    tks_place steel; /* of its hardness or grade, when one is written */
    struct tks_part *next;
} tks_part;

typedef enum tks_aim { TKS_AIM_NONE, TKS_AIM_MEAN, TKS_AIM_MINIMUM } tks_aim;

typedef struct tks_load {
    const char *name, *file;
    tks_part *first, *last;
    size_t part_count; /* rows, not pieces of metal */
    const char *tank;  /* path of the tank file as written, or NULL */
    const tks_node
        *tank_node; /* ... or the tank, written in place; lives in the document's arena */
    tks_aim aim;
    double thickness;                  /* asked [m] */
    double density;                    /* asked [A/m^2]; 0: the bath's usual */
    double hanger_wire, hanger_length; /* diameter and wetted length of one hanger [m]; 0: none */
    long hanger_count;
    double hanger_area; /* of all hangers [m^2] */
    double total;       /* wetted, of all parts with their counts and of the hangers [m^2] */
} tks_load;

/* What reading needs. Areas, names and texts go to arena. Bodies go there as well when keep_bodies
 * is set; otherwise to scratch, which is reset after each part so that a long list takes little
 * memory. */
typedef struct tks_part_reading {
    tks_shapes *shapes;
    tks_arena *arena, *scratch;
    tks_cautions *cautions;
    bool keep_bodies;
    bool sizes;       /* fill the items' bounding sizes, which only a plan needs */
    double tolerance; /* relative, of united areas; 0: the default */
    int threads;      /* for united areas; 0: one */
    /* Called now and then while a part is united, 0..1; may be NULL. */
    void (*progress)(void *context, const char *part, double fraction);
    void *progress_context;
} tks_part_reading;

/* Reads a document that is a part (`part:`), a load (`load:`), or a bare shape (`shape:`), and adds
 * what it finds to the load, which starts as {0} (or as an earlier document left it).
 * file: for messages, and the folder that shapes, part files and meshes are looked for beside.
 * Errors: all of what the rooms below say, with the place. */
tks_status tks_load_read(tks_part_reading *reading, const tks_node *root, const char *file,
                         tks_load *load, tks_error *err);

/* Opens a file ("-": standard input) and reads all its documents. reader, when not NULL, gets the
 * open reader of the file an error lies in (the caller closes it), so that the source line can be
 * shown. */
tks_status tks_load_open(tks_part_reading *reading, const char *path, tks_load *load,
                         tks_reader **reader, tks_error *err);

/* Density of a metal that parts are made of [kg/m^3], by name; 0 when it is not in the table. */
double tks_material_density(const char *name, size_t length);

#ifdef __cplusplus
}
#endif
#endif
