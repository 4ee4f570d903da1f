#include "reader/reader.h"
#include "tankside/status.h"

#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

int reader_refuse(unsigned status, const char *text)
{
    size_t length = strnlen(text, MESH_WIRE_MESSAGE);
    mesh_wire wire = {.mark = MESH_WIRE_MARK, .status = status, .message = (uint32_t)length};
    fwrite(&wire, sizeof wire, 1, stdout);
    fwrite(text, 1, length, stdout);
    return fflush(stdout) ? 1 : 0;
}

bool reader_get(size_t offset, void *bytes, size_t length)
{
    char *to = bytes;
    while (length) {
        ssize_t got = pread(STDIN_FILENO, to, length, (off_t)offset);
        if (got <= 0) return false;
        to += got;
        offset += (size_t)got;
        length -= (size_t)got;
    }
    return true;
}

size_t reader_input_size(void)
{
    struct stat about;
    return fstat(STDIN_FILENO, &about) || about.st_size < 0 ? 0 : (size_t)about.st_size;
}

/* tankside-reader read MEMORY FACETS SECONDS ENDING NAME */
int main(int argc, char **argv)
{
    if (argc < 7 || strcmp(argv[1], "read") != 0) {
        fputs("tankside-reader is started by tankside, not by hand\n", stderr);
        return 64;
    }
    reader_limits limits = {strtoull(argv[2], NULL, 10), strtoull(argv[3], NULL, 10),
                            strtoul(argv[4], NULL, 10)};
    if (!reader_shut_in(&limits))
        return reader_refuse(TKS_EREAD, "the system has no filter for system calls, without which "
                                        "this format is not read");
    return reader_read(argv[5], argv[6], &limits);
}
