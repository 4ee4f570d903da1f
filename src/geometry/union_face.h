/* Bounded faces: their points and derivatives, how far a point is, areas and volumes. room:
 * geometry */
#ifndef GEOMETRY_UNION_FACE_H
#define GEOMETRY_UNION_FACE_H

#include "geometry/union_surface.h"

#include "tankside/geometry.h"

#include <stdint.h>

/* A bounded face over a rectangle of parameters: a flat one, q = origin + u x + v y; or one turned
 * about z by the angle u: a line (v its length) or an arc (v the angle about its centre). */
typedef struct union_face {
    union_surface surface;
    bool turned, arc;
    bool free; /* its own area is found from points only: trimmed faces, helicoids, coils */
    tks_frame frame;
    double x, y, dx, dy; /* line: start and direction (radius, height) */
    double radius;       /* arc: of it; x, y: its centre */
    double side;         /* +1 when the solid is on the left of growing v (flat: faces z) */
    double low[2], high[2];
    const tks_outline *window; /* flat: the outlines that bound it; NULL: the rectangle */
    size_t window_count;
    uint32_t edge_first, edge_count; /* the faces that stand on the window's outlines */
    tks_vec3 centre;                 /* of a ball about the face */
    double ball;
    double area;
    uint32_t solid;         /* that it bounds */
    const tks_patch *patch; /* that it was made from */
    uint32_t sheet;         /* alike for faces that count as on one surface */
    double apart;           /* how far it was from that surface, before it was moved [m] */
    double shell[4];        /* free: least and greatest distance from z, and height along it */
    bool follows;           /* free: the solid's first free face stands for this one as well */
    tks_label label;        /* that its area counts under */
    size_t report;          /* index of the patch in the result */
} union_face;

/* Surface through the segment of a face, once its frame and sizes are set. */
void union_face_surface(union_face *f);

/* Ball about a face, and corners of a box that holds it. */
void union_face_ball(union_face *f);
void union_face_box(const union_face *f, tks_vec3 *low, tks_vec3 *high);

/* A lower bound of the distance from q to the bounded face (exact for whole turns). */
double union_face_distance(const union_face *f, tks_vec3 q);

/* Parameters of the point of the (unbounded) face nearest to q. */
void union_face_locate(const union_face *f, tks_vec3 q, double *u, double *v);

/* Point of a face and its first derivatives. */
typedef struct union_spot {
    tks_vec3 at, du, dv;
} union_spot;

/* Cosine and sine of an angle. */
typedef struct union_turn {
    double cosine, sine;
} union_turn;

union_turn union_turn_of(double angle);

void union_spot_at(const union_face *f, double u, double v, union_spot *spot);
tks_vec3 union_point(const union_face *f, double u, double v);
/* Unit normal that points out of the face's own solid. */
tks_vec3 union_normal(const union_face *f, double u, double v);

/* The same and the second derivatives. */
typedef struct union_site {
    union_spot spot;
    tks_vec3 duu, duv, dvv;
    double radius; /* from the axis of a turned face */
} union_site;

void union_site_at(const union_face *f, double u, double v, union_site *site);

/* Bounds of the second derivatives of a point within ru, rv of one at a radius. The third ones are
 * within the same: uuu within uu, uuv within uv, uvv and vvv within vv. */
typedef struct union_bend {
    double uu, uv, vv;
} union_bend;

union_bend union_bend_at(const union_face *f, double radius, double ru, double rv, bool real);

/* Bounds of second derivatives. */
typedef struct union_second {
    double uu, uv, vv;
} union_second;

/* Another surface's f over a face: value and first derivatives at the middle of a cell, and bounds
 * of the second ones in it:
 *   value  as they count in |f(d) - f - f' d| <= 1/2 (uu du^2 + 2 uv du dv + vv dv^2),
 *   slope  as they count in |f_u(d) - f_u| <= uu du + uv dv and the like for f_v,
 *   whole  of themselves.
 * As integrals of f'' from the middle to d with the weights 2 (1 - t) and 1, the first two feel but
 * a third and a half of what f'' may change by. */
typedef struct union_jet {
    double f, fu, fv;
    union_second value, slope, whole;
} union_jet;

typedef struct union_range {
    double ru, rv;
    bool real, coaxial;
} union_range;

/* The jet within ru, rv of a site. coaxial: f is known not to depend on u. */
void union_jet_at(const union_face *f, const union_surface *s, const union_site *site,
                  const union_range *range, union_jet *jet);

/* Area and three times the volume under a face (divergence theorem) are integrals of
 *   dA = j(v) du dv,  3 dV = (a(v) + b(v) (ox cos u + oy sin u)) du dv.
 * j, a, b and their integrals over v. */
typedef struct union_measure {
    double j, a, b;
} union_measure;

union_measure union_density(const union_face *f, double v);
union_measure union_integral(const union_face *f, double v);

/* The share of an area and a volume, exact for a rectangle of parameters. */
typedef struct union_share {
    double area, volume;
} union_share;

union_share union_rectangle(const union_face *f, double u0, double u1, double v0, double v1);

#endif
