/* General-purpose mesh libraries asked for the same figures, to compare ours with. */
#ifndef PEERS_PEERS_H
#define PEERS_PEERS_H

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

typedef struct peer_figures {
    double area, volume; /* in the file's unit */
    size_t vertices, facets, open_edges;
} peer_figures;

/* Read a file and measure it; 0 on success. assimp joins no vertices and counts no edges. */
int peer_openmesh(const char *path, peer_figures *figures);
int peer_assimp(const char *path, peer_figures *figures);

#ifdef __cplusplus
}
#endif
#endif
