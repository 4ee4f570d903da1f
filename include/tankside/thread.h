/* Screw threads: profile, true helicoid area, volume, distance. room: geometry
 *
 * A thread is a profile in the half-plane (x = radius, y = height) turned about the axis while it
 * advances one pitch per turn. Because every turn of the profile is the same, the area, volume and
 * end sections of a thread, also of one that is chamfered or runs out, are integrals over the
 * radius alone: closed forms for straight flanks, crests and roots, 8-point Gauss for arcs
 * (relative error under 1e-14 for pitches up to half the diameter). All lengths [m], areas [m^2].
 *
 * These are the standards' basic and design forms, without tolerance. A real thread lies a little
 * below: an M8-6g bolt is 0.028 to 0.146 mm smaller in pitch diameter and 0.028 to 0.240 mm over
 * its crests (ISO 965-2, from memory), which makes its area 0.4 to 4.9 % less, 2.7 % in the middle.
 */
#ifndef TANKSIDE_THREAD_H
#define TANKSIDE_THREAD_H

#include "tankside/geometry.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef enum tks_thread_form {
    TKS_THREAD_METRIC,    /* 60 deg, ISO 68-1 */
    TKS_THREAD_UNIFIED,   /* 60 deg, ASME B1.1 */
    TKS_THREAD_WHITWORTH, /* 55 deg, crests and roots rounded, BS 84 */
    TKS_THREAD_BA,        /* 47.5 deg, crests and roots rounded, BS 93 */
    TKS_THREAD_FORM_COUNT
} tks_thread_form;

/* "metric", "unified", "whitworth", "BA". */
const char *tks_thread_form_name(tks_thread_form form);

/* Half of the angle between the flanks [rad]. */
double tks_thread_half_angle(tks_thread_form form);

typedef struct tks_thread {
    tks_thread_form form;
    double diameter, pitch; /* major diameter; advance per turn, above zero */
    bool internal;          /* of a nut or tapped hole: the profile bounds the hole */
    bool left;              /* left hand */
    bool basic; /* 60 deg external: the flat root of the basic profile instead of the root
                   of radius P/8 that real bolts have. Internal 60 deg threads are always
                   basic, round forms always round. */
} tks_thread;

/* One pitch of a thread in the half-plane, its crest at height 0. half: from the middle of the root
 * at height -pitch/2 to the middle of the crest: root, flank, crest; the other half is its mirror
 * image. Radii: outer and inner (of the metal's crest and root if external), effective: where
 * tooth and gap are equally wide on the basic profile. */
typedef struct tks_thread_profile {
    tks_thread thread; /* as it was described */
    double pitch;
    double advance; /* along z per radian; negative for a left-hand thread */
    double outer, effective, inner;
    bool internal;
    tks_segment half[3];
} tks_thread_profile;

/* Works out the profile. Errors, TKS_EGEOMETRY: diameter or pitch not above zero or not finite; a
 * pitch so coarse that the core is thinner than half the diameter (no standard thread comes near;
 * the message names the coarsest that would fit). Memory: none. */
tks_status tks_thread_profile_of(const tks_thread *thread, tks_thread_profile *profile,
                                 tks_error *err);

/* Whether a patch is part of a thread's helicoid; if so which thread. */
bool tks_patch_thread(const tks_patch *patch, tks_thread *thread);

/* Area of the helicoid over one pitch of length [m^2]. With profile curve (r, z) of length s and
 * advance p per radian: 2 pi times the integral of sqrt(r^2 + p^2 (dr/ds)^2) ds, from the cross
 * product of the two tangents. For a straight flank, k = p dr/ds, that is
 * pi [r sqrt(r^2 + k^2) + k^2 asinh(r / k)] / (dr/ds). A length that is no whole number of pitches
 * has its share exactly. Memory: none. */
double tks_thread_area_per_pitch(const tks_thread_profile *profile);

/* Area of a section square to the axis: of the metal of an external thread, of the hole of an
 * internal one; times the length it is the volume. */
double tks_thread_section_area(const tks_thread_profile *profile);

/* How a thread begins or ends, seen from its end plane. */
typedef enum tks_thread_end_kind {
    TKS_THREAD_SQUARE,  /* cut off by the plane */
    TKS_THREAD_CHAMFER, /* less what lies outside a cone that narrows to the end plane */
    TKS_THREAD_RUNOUT   /* with a cone that widens to the end plane: on a bolt the run-out to the
                           shank, in a nut the countersink */
} tks_thread_end_kind;

typedef struct tks_thread_end {
    tks_thread_end_kind kind;
    double radius; /* of the cone at the end plane */
    double angle;  /* between the cone and the axis [rad], 0 < angle < pi/2 */
} tks_thread_end;

/* Usual ends. A chamfer at 45 deg that ends just below the root (ISO 4753, chamfered end, from
 * memory); a run-out that climbs from the root to a shank of this radius over this length; a
 * countersink of 120 deg as far as 1.05 times the diameter (as of ISO 4032 nuts, from memory). */
tks_thread_end tks_thread_chamfer(const tks_thread_profile *profile);
tks_thread_end tks_thread_runout(const tks_thread_profile *profile, double shank_radius,
                                 double length);
tks_thread_end tks_thread_countersink(const tks_thread_profile *profile);

/* Height to which an end reaches into the thread. */
double tks_thread_end_height(const tks_thread_profile *profile, const tks_thread_end *end);

/* Of a stretch of thread from plane to plane. An internal thread is measured as the plug that fills
 * its hole: the surfaces are the same. */
typedef struct tks_thread_measures {
    double helicoid; /* crest, flanks and root */
    double cones[2]; /* exposed cone of each end */
    double faces[2]; /* section in each end plane */
    double volume;
} tks_thread_measures;

/* Measures a stretch of thread. ends: 2, at height 0 and at height length. Exact to 1e-13 relative.
 * Errors, TKS_EGEOMETRY: a thread shorter than its ends reach; an end's angle or radius out of
 * range. Memory: none. */
tks_status tks_thread_measure(const tks_thread_profile *profile, double length,
                              const tks_thread_end ends[2], tks_thread_measures *measures,
                              tks_error *err);

/* The same for the part of it between two planes, 0 <= from <= to <= length: a length that is
 * masked, or covered by a nut. A face is counted only where the part reaches its end. */
tks_status tks_thread_measure_part(const tks_thread_profile *profile, double length,
                                   const tks_thread_end ends[2], double from, double to,
                                   tks_thread_measures *measures, tks_error *err);

/* Signed distance bound of such a stretch (of the plug, for an internal thread), whose axis is z:
 * negative inside, of the right sign, in size at most the true distance, 1-Lipschitz. Near the
 * thread it is within p^2 / (2 r^2), about 1 %, of the distance to the endless thread; deep inside
 * it stops at about half the core radius. */
double tks_thread_distance(const tks_thread_profile *profile, double length,
                           const tks_thread_end ends[2], tks_vec3 point);

#ifdef __cplusplus
}
#endif
#endif
