/* A curve that crosses a cell as a graph w(t), and the integral of what lies below it. room:
 * geometry
 */
#ifndef GEOMETRY_UNION_CURVE_H
#define GEOMETRY_UNION_CURVE_H

#include "geometry/union.h"

/* The points of a face with one parameter held: a straight line base + x along, or a circle
 * base + cos x along + sin x across. */
typedef struct union_trace {
    bool straight;
    tks_vec3 base, along, across;
    double x; /* where f was asked last, and its cosine and sine */
    union_turn turn;
} union_trace;

union_trace union_trace_at(const union_face *f, bool along_u, double held);

/* f at x, and its derivative. */
double union_trace_value(union_trace *trace, const union_surface *s, double x, double *slope);

typedef struct union_curve {
    const union_face *f;
    const union_surface *s;
    int which; /* of the crossers it is */
    bool coaxial;
    bool swapped;      /* t is v and w is u; else t is u and w is v */
    bool rising;       /* f grows with w */
    double low, high;  /* edges of the cell in w */
    double allowed;    /* error per stretch [m^2] */
    double size;       /* farthest point of the face from the origin [m] */
    double guess;      /* the last root */
    union_share below; /* of what has been integrated, from the low edge to the curve */
    double area_slack, volume_slack;
} union_curve;

/* A jet with u and v exchanged. */
union_jet union_jet_swapped(const union_jet *j);

/* The jet at (t, w), with t for u and w for v, and bounds that hold within rt of t at this w. */
union_jet union_curve_bound(const union_curve *c, double t, double w, double rt);

/* w on the curve at the t of a trace up the cell, where f has opposite signs on the two edges. */
double union_curve_root(union_curve *c, union_trace *trace);

/* Up the cell at t. */
union_trace union_curve_trace(const union_curve *c, double t);

/* Adds what lies below the curve between a and b, where it runs inside the cell; at their middle at
 * w. */
void union_curve_integrate(union_curve *c, double a, double b, double w);

/* ------------------------------------------------------------------ cells that curves cross */

enum { UNION_BANDS = 64, UNION_CUTS = 40 };

typedef struct union_crosser {
    const union_face *face; /* that lies on the surface */
    bool coaxial;
    const union_jet *jet; /* over the cell */
} union_crosser;

/* A part of the cell, between two cuts and two curves, that no surface crosses. */
typedef struct union_band {
    double u, v;           /* a point amid it */
    double from;           /* w of the curve or edge below that point */
    bool slight;           /* too thin for the point to tell */
    unsigned char pattern; /* bit i: f of surface i is above zero */
    int cut;               /* the first of its two cuts */
    int below;             /* the curve that bounds it below; -1: the cell's edge */
} union_band;

typedef struct union_crossing {
    const union_crosser *by;
    int by_count;
    union_curve frame; /* for the edges alone */
    union_curve curves[UNION_SURFACES];
    union_jet jets[UNION_SURFACES];
    int lines[UNION_SURFACES]; /* surfaces that are a line t = const each */
    int count, line_count;
    double cuts[UNION_CUTS + 1];
    int cut_count, spans;
    union_band bands[UNION_BANDS];
    int band_count;
    bool failed;
} union_crossing;

/* Cuts a cell of f into bands that none of the surfaces crosses. False when it cannot be shown how
 * the curves run; then split.
 *   allowed  error per stretch of a curve [m^2]; slack: rounding of f [m] */
bool union_cross(const union_face *f, const union_crosser *by, int count, const union_cell *cell,
                 double allowed, double slack, union_crossing *x);

/* Area of the bands of weight not zero, and the sum of the volumes times the weights (-1, 0, 1);
 * adds what both may be wrong by. parts: NULL, or takes the same of each pattern, where a column of
 * bands of one weight counts for one of them. */
union_share union_cross_measure(union_crossing *x, const int *weights, union_share *parts,
                                double *area_slack, double *volume_slack);

/* Records a leaf for a crossed cell in the item's map: the verdicts on its bands, the parts by
 * their patterns, and how far these may be wrong in all [m^2]. False when memory is short. */
bool union_record_crossed(const union_model *m, union_item *item, uint32_t node,
                          const union_crossing *x, const union_cell *cell, const int *verdicts,
                          const union_share *parts, double slack);

#endif
