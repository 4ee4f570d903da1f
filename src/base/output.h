/* Whole-or-nothing writing: a temporary file beside the target, then rename. */
#ifndef BASE_OUTPUT_H
#define BASE_OUTPUT_H

#include "tankside/status.h"

#include <stddef.h>

/* Writes length bytes to the file path. On any failure the old file, if there was one, is untouched
 * and no temporary file is left. A symbolic link stays, and what it points at is replaced; a device
 * or a pipe takes the bytes as they come. Returns TKS_EWRITE with the system's reason, or
 * TKS_EMEMORY. */
tks_status base_output_write(const char *path, const char *bytes, size_t length, tks_error *err);

#endif
