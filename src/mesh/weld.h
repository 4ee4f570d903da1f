/* Joining corners at the same place to one vertex. */
#ifndef MESH_WELD_H
#define MESH_WELD_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* A hash table with a secret seed, so that no file can be made to collide; vertices are numbered by
 * first appearance, so the result does not depend on the seed. */
typedef struct mesh_weld {
    double *xyz; /* count x 3 */
    size_t count, room;
    uint64_t *slots; /* index + 1 below, 32 bits of the hash above; 0: free */
    size_t slot_count;
    uint64_t seed[3];
} mesh_weld;

/* Ready for about the expected number of vertices; false: no memory. */
bool mesh_weld_start(mesh_weld *weld, size_t expected);

/* Finds or adds count points (count x 3, finite, no negative zero); ids get their vertices.
 * False: no memory, or 2^32 - 2 vertices. */
bool mesh_weld_points(mesh_weld *weld, const double *xyz, size_t count, uint32_t *ids);

/* Frees the table, and xyz unless the caller took it (and set it NULL). */
void mesh_weld_free(mesh_weld *weld);

/* 64 bits that no file can know. */
uint64_t mesh_secret(void);

#endif
