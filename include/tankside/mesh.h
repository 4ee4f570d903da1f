/* Scanned and drawn parts: reading meshes, judging their health, and measuring them. All lengths
 * [m], areas [m^2], volumes [m^3] once a mesh has been read. room: mesh
 *
 * Binary and ASCII STL, OBJ and OFF are read by this library itself. PLY, 3MF and glTF are read by
 * the helper program tankside-reader: a child process with limits on memory, time and files and
 * without a network, so that a crash, a hang or a bomb in a format reader becomes a TKS_EREAD. The
 * program is looked for at the environment's TANKSIDE_READER, then beside the running program, then
 * in the folder for such programs of the installation. */
#ifndef TANKSIDE_MESH_H
#define TANKSIDE_MESH_H

#include "tankside/caution.h"
#include "tankside/geometry.h"
#include "tankside/status.h"
#include "tankside/vec.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

/* ------------------------------------------------------------------ reading */

/* Caps, checked before memory is taken. */
typedef struct tks_mesh_limits {
    size_t bytes;   /* of a file; default 8 GiB, environment TANKSIDE_MESH_BYTES */
    size_t facets;  /* triangles; default 200 million, TANKSIDE_MESH_FACETS; at most 350 million */
    size_t memory;  /* of the helper program, and of a mesh from a pipe [bytes]; default 4 GiB,
                       TANKSIDE_MESH_MEMORY */
    double seconds; /* of the helper program, both of the clock and of the processor; default 120,
                       TANKSIDE_MESH_SECONDS */
} tks_mesh_limits;

/* The defaults, or what the environment gives in their place. */
tks_mesh_limits tks_mesh_limits_default(void);

typedef enum tks_unit_source {
    TKS_UNIT_GIVEN,  /* by the user */
    TKS_UNIT_OWN,    /* stands in the file, or follows from its format (glTF: metres) */
    TKS_UNIT_GUESSED /* from the size of the part */
} tks_unit_source;

/* How the numbers of a file became lengths. */
typedef struct tks_mesh_unit {
    double metres;    /* one unit of the file */
    const char *name; /* "mm", "in", "m" ...; "" for an odd one */
    tks_unit_source source;
    double other; /* of a guess: the next likely unit [m]; otherwise 0 */
    const char *other_name;
} tks_mesh_unit;

typedef struct tks_mesh_options {
    double unit;                   /* one unit of the file [m]; 0: the file's own, or a guess */
    double scale;                  /* enlarges all lengths; 0 is read as 1 */
    const tks_mesh_limits *limits; /* NULL: the defaults */
} tks_mesh_options;

/* Triangles with shared corners. Corners at the very same place are one vertex, whatever the file
 * said; nothing else is mended. */
typedef struct tks_mesh {
    double *xyz; /* vertex_count x 3, row-major */
    size_t vertex_count;
    uint32_t *corners; /* count x 3, anticlockwise seen from outside where the file is right */
    size_t count;
    size_t dropped;     /* facets left out because a coordinate is not finite */
    const char *format; /* "binary STL" ...: a literal */
    tks_mesh_unit unit;
} tks_mesh;

/* Reads a mesh ("-": standard input). options may be NULL. The format is told from the content
 * first, then from the name. A file over 1 MiB is read by two threads, with the same result.
 * Errors: TKS_EOPEN; TKS_EREAD (damaged, cut short, or the helper crashed); TKS_ESYNTAX (a line of
 * text that cannot be read, with its number); TKS_ELIMIT (names the cap and how to raise it);
 * TKS_EUNKNOWN (not a mesh); TKS_EMEMORY. On TKS_OK the caller owns *mesh. */
tks_status tks_mesh_load(const char *path, const tks_mesh_options *options, tks_mesh *mesh,
                         tks_error *err);

/* Frees what a mesh holds; NULL and an empty mesh are allowed. */
void tks_mesh_free(tks_mesh *mesh);

/* A mesh from triangles in memory: xyz count x 9, row-major [m], copied; equal corners are joined.
 * Errors: TKS_EMEMORY, TKS_ELIMIT. */
tks_status tks_mesh_from_triangles(const double *xyz, size_t count, tks_mesh *mesh, tks_error *err);

/* ------------------------------------------------------------------ size */

typedef struct tks_mesh_size {
    double area;
    double volume; /* signed, by the divergence theorem; means something for a closed mesh */
    tks_vec3 low, high;
    size_t facets, dropped;
    const char *format;
    tks_mesh_unit unit;
} tks_mesh_size;

/* Area, volume and bounds of a mesh in memory. Sums in double in blocks of 4096 facets, the blocks
 * with compensation: the rounding of the sums is below 5e-13 at worst and 1e-15 as a rule,
 * whatever the number of facets. */
tks_mesh_size tks_mesh_sum(const tks_mesh *mesh);

/* The same straight from a file, without keeping it: STL in constant memory, about as fast as the
 * file can be read. threads: 1 or 2; the result does not depend on it. Errors as tks_mesh_load. */
tks_status tks_mesh_size_read(const char *path, const tks_mesh_options *options, int threads,
                              tks_mesh_size *size, tks_error *err);

/* ------------------------------------------------------------------ health */

/* A rim of open edges. Any surface that fills it adds at least fill_low (the length of the rim's
 * vector area: equal to the area for a flat rim); a fan from the rim's centre adds fill_high.
 * Of a ring that stood on a table the outline and the bore are open in one plane: the bore is then
 * inner, and the sums over all holes take its fill off, not on. */
typedef struct tks_mesh_hole {
    double rim; /* length */
    double fill_low, fill_high;
    size_t edges;
    tks_vec3 centre;
    bool closed; /* false: the rim does not run back to its start, as when facets are flipped */
    bool inner;  /* within a larger rim in the same plane, of which it is the bore */
} tks_mesh_hole;

typedef enum tks_shell_kind {
    TKS_SHELL_PART,  /* a body of its own */
    TKS_SHELL_SPECK, /* under a thousandth of the largest shell's area */
    TKS_SHELL_VOID,  /* a closed hollow within another closed shell: sealed, never wetted */
    TKS_SHELL_BURIED /* a closed solid within another closed shell: never wetted either */
} tks_shell_kind;

/* Facets that hang together by edges. */
typedef struct tks_mesh_shell {
    size_t facets, open_edges;
    double area, volume;
    tks_vec3 low, high;
    uint32_t first; /* its first facet */
    tks_shell_kind kind;
} tks_mesh_shell;

typedef enum tks_mesh_verdict {
    TKS_BELIEVE,
    TKS_BELIEVE_AFTER,
    TKS_DO_NOT_BELIEVE
} tks_mesh_verdict;

typedef struct tks_mesh_health {
    tks_mesh_size size; /* its volume with the holes closed by fans */
    size_t vertices, edges;
    size_t open_edges;
    size_t odd_edges;     /* non-manifold: more than two facets meet */
    size_t flipped_edges; /* the two facets run the same way along it */
    size_t odd_vertices;  /* surfaces touch at a point only */
    size_t duplicates;    /* facets that lie on another facet, corner on corner */
    double duplicate_area;
    size_t degenerate;    /* facets of no area: height below 1e-7 of the longest side */
    bool inside_out;      /* closed, but with a negative volume */
    tks_mesh_hole *holes; /* the largest, by rim; at most 64 */
    size_t holes_listed, hole_count;
    double rim, fill_low, fill_high; /* sums over all holes; inner ones among those listed */
    tks_mesh_shell *shells;          /* the largest, by area; at most 64 */
    size_t shells_listed, shell_count;
    size_t parts, specks, voids, buried; /* voids and buried are looked for among those listed */
    double speck_area, void_area, buried_area;
    /* Sharpness of sampling: the area that flat facets miss of a curved surface, to second order
     * from the turns across edges below 40 deg; t^2/24 of a cylinder whose facets turn by t. */
    double missed_area;
    double facets_per_turn; /* 360 deg over the mean turn across curved edges; 0: none */
    /* Self-intersection; -1 when it was not looked for. */
    long crossings;       /* pairs of facets that cut or overlie each other, at most 10,000 */
    double crossing_area; /* of the facets in those pairs */
    bool crossings_cut;   /* the count stopped at that or at its bound of work */
    /* Scan roughness (see tks_mesh_check). */
    bool rough_judged;
    double noise;        /* standard deviation of the vertices about the smooth surface [m] */
    double smooth_area;  /* estimate of the area without the noise */
    double smooth_error; /* standard error of smooth_area from sampling */
    double rough_share;  /* of the area: where a smooth surface could be fitted */
    tks_mesh_verdict verdict;
    char reasons[8][200]; /* the verdict's reasons, most weighty first */
    size_t reason_count;
} tks_mesh_health;

typedef struct tks_check_options {
    bool crossings;                                     /* look for self-intersection */
    bool roughness;                                     /* estimate noise */
    void (*progress)(void *context, const char *stage); /* may be NULL */
    void *context;
} tks_check_options;

/* Examines a mesh. options may be NULL: everything is looked for.
 *
 * Scan roughness: noise makes the sum of the triangles too large. At each vertex a quadric is
 * fitted by least squares to the heights of its two rings of neighbours over their own plane; the
 * residuals give the noise s (median over the vertices, so that sharp edges do not count). Where
 * the fit agrees with that noise the vertex is moved onto the quadric. Moving is linear in the
 * noise: if S is the map, E[area] = true area + s^2 Q(S) with Q(S) = 1/2 sum over facets of
 * A |grad S z|^2 for unit white z; Q is estimated with one vector of random signs (Hutchinson,
 * Comm. Statist. Simul. 18 (1989) 1059) and taken off. Where neighbours lie off the quadric
 * alike it is shape, not noise, and rough_judged is false; so noise that is alike over more than
 * about two edges is not seen. Good to 0.6 % of the area up to a noise of a fifth of the facets'
 * sides, 1 % on thin plates and bars, of which much is edge. Large meshes are sampled.
 *
 * Work is O(n log n); memory about 40 bytes a facet. On TKS_OK the caller owns *health. */
tks_status tks_mesh_check(const tks_mesh *mesh, const tks_check_options *options,
                          tks_mesh_health *health, tks_error *err);
void tks_mesh_health_free(tks_mesh_health *health);

/* "believe", "believe after", "do not believe". */
const char *tks_mesh_verdict_name(tks_mesh_verdict verdict);

/* ------------------------------------------------------------------ labels and measuring */

/* Openness of a place on the surface: the cosine-weighted share of the directions above it in which
 * nothing of the same mesh stands: 1 on any convex body, 1/2 at the mouth of a bore, and
 * (X^2 + 1/2) / sqrt(X^2 + 1) - X at X diameters from the one mouth of a deep one (view factor of a
 * cylinder's wall to its end; Siegel and Howell, Thermal Radiation Heat Transfer, configuration
 * factors). Where it is below the cut-off the surface is labelled inside: in a bore open at one
 * mouth that is from 0.33 diameters inward. */
#define TKS_MESH_OPENNESS 0.25

/* Labels each facet TKS_OUTSIDE, TKS_INSIDE or TKS_SEALED (of a closed hollow inside, or within
 * another closed body of the file).
 *   cut     openness below which a facet is inside; 0: TKS_MESH_OPENNESS
 *   labels  out: mesh->count bytes, of the caller
 * Facets near each other that face alike are judged together, by 64 rays or, near the cut-off,
 * 448; about 20,000 such groups. Where facets face both ways, the more open side of each counts.
 * Deterministic. Errors: TKS_EMEMORY. */
tks_status tks_mesh_label(const tks_mesh *mesh, double cut, uint8_t *labels, tks_error *err);

/* The same, and the area of each label [m^2]. */
tks_status tks_mesh_label_areas(const tks_mesh *mesh, double cut, uint8_t *labels,
                                double area[TKS_LABEL_COUNT], tks_error *err);

/* A box, parallel to the axes of the mesh (after unit and scale), in which the part is masked. */
typedef struct tks_mesh_box {
    tks_vec3 low, high;
} tks_mesh_box;

typedef struct tks_measure_options {
    tks_mesh_options read;
    const tks_mesh_box *masked; /* boxes; the facets are cut exactly at their faces */
    size_t masked_count;
    bool masked_labels[TKS_LABEL_COUNT]; /* labels that are stopped off as a whole */
    bool fill_holes; /* count the least area that closes the holes as outside, as for a scan whose
                        bottom stood on the table */
    double cut;      /* openness; 0: TKS_MESH_OPENNESS */
} tks_measure_options;

typedef struct tks_measured {
    double area[TKS_LABEL_COUNT]; /* by label; holes filled count as outside */
    double wetted;                /* sum of the wetted ones */
    double low, high;             /* where the wetted area lies in view of what the check found */
    double volume;                /* of metal, sealed voids taken off */
    tks_vec3 bounds_low, bounds_high;
    size_t facets;
    tks_mesh_unit unit;
    tks_mesh_verdict verdict;
} tks_measured;

/* Measures a mesh as one piece of a part: reads it, checks it (for self-intersection only where
 * there are several bodies), labels it and masks it. Cautions are added under the name `what`:
 * "mesh-doubtful" for each reason of a verdict other than believe (a guessed unit is one),
 * "mesh-open", "mesh-sealed". cautions may be NULL. Errors as tks_mesh_load. */
tks_status tks_mesh_measure(const char *path, const tks_measure_options *options, const char *what,
                            tks_measured *result, tks_cautions *cautions, tks_error *err);

/* ------------------------------------------------------------------ fewer triangles */

/* Makes a mesh of at most budget >= 4 facets by collapsing edges: its vertices are some of the
 * mesh's own, holes keep their rims, and shells stay apart.
 *   area_error  out: area of the result less that of the mesh, over that of the mesh
 * The result has more facets than the budget where its shells allow no fewer.
 * Errors: TKS_EDOMAIN (no facets, a smaller budget), TKS_EMEMORY. On TKS_OK the caller owns
 * *simple. */
tks_status tks_mesh_simplify(const tks_mesh *mesh, size_t budget, tks_mesh *simple,
                             double *area_error, tks_error *err);

/* ------------------------------------------------------------------ writing */

/* Writes a mesh whole or not at all, in millimetres; the format follows from the name's end: .stl
 * (binary), .obj, .ply (binary), .off. Errors: TKS_EWRITE, TKS_EUNKNOWN (another ending),
 * TKS_EMEMORY. STL keeps coordinates as float: 6e-8 of the largest. */
tks_status tks_mesh_write(const tks_mesh *mesh, const char *path, tks_error *err);

/* A mesh of a body's triangles, for tks_mesh_write. */
tks_status tks_mesh_from_body(const tks_triangles *triangles, tks_mesh *mesh, tks_error *err);

/* ------------------------------------------------------------------ practice scans */

/* Moves each vertex by normal noise of the standard deviation [m] in x, y and z; the same for the
 * same seed. Makes a practice scan of a clean mesh. */
void tks_mesh_roughen(tks_mesh *mesh, double noise, uint64_t seed);

/* Drops the facets whose centre is within the radius of a point [m], as where a scanner could not
 * look. */
void tks_mesh_pierce(tks_mesh *mesh, tks_vec3 centre, double radius);

#ifdef __cplusplus
}
#endif
#endif
