/* Which exposed places of all faces hang together. room: geometry */
#ifndef GEOMETRY_UNION_JOIN_H
#define GEOMETRY_UNION_JOIN_H

#include "geometry/union.h"

#define UNION_NOWHERE UINT32_MAX /* in place of a place: nothing is exposed there */

/* A place is what is exposed of one leaf of an item's map where the surfaces that cross it have one
 * pattern of signs. One more, behind all others, stands for what was not looked at. */
typedef struct union_joints {
    const union_model *m;
    const union_item *items;
    size_t item_count;
    uint32_t *item_of;  /* of each face; UNION_NOWHERE */
    uint32_t *first;    /* of each item: its first place */
    uint32_t *parent;   /* of each place: one that it hangs together with, or itself */
    uint32_t *near;     /* solids near each item, one after the other */
    size_t *near_first; /* item_count + 1 */
    size_t place_count;
    double reach; /* faces this near to a point go through it [m] */
} union_joints;

/* Joins all places that hang together; in doubt rather too many. Errors: TKS_EMEMORY. Free it in
 * any case; what it holds besides is in the model's arena. */
tks_status union_joints_find(const union_index *index, const union_item *items, size_t item_count,
                             base_team *team, union_joints *joints);
void union_joints_free(union_joints *joints);

/* The one place that stands for all that hang together with this one. */
uint32_t union_joints_root(union_joints *joints, uint32_t place);

/* The place of an item's leaf with a pattern; UNION_NOWHERE when it is hidden. */
uint32_t union_joints_place(const union_joints *joints, size_t item, size_t leaf, unsigned pattern);

#endif
