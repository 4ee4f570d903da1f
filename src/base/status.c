#include "tankside/status.h"

#include "base/show.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

const char *tks_status_text(tks_status code)
{
    static const char *const texts[] = {
#define TEXT_ROW(name, text) text,
        TKS_STATUS_LIST(TEXT_ROW)
#undef TEXT_ROW
    };
    return (unsigned)code < TKS_STATUS_COUNT ? texts[code] : "unknown status";
}

const char *tks_status_name(tks_status code)
{
    static const char *const names[] = {
#define NAME_ROW(name, text) #name,
        TKS_STATUS_LIST(NAME_ROW)
#undef NAME_ROW
    };
    return (unsigned)code < TKS_STATUS_COUNT ? names[code] : "TKS_UNKNOWN";
}

tks_place tks_nowhere(void)
{
    return (tks_place){NULL, 0, 0};
}

/* The end of a long path tells more than its beginning. */
static void keep_file_name(char *to, size_t size, const char *from)
{
    size_t length = strlen(from);
    if (length < size)
        memcpy(to, from, length + 1);
    else
        snprintf(to, size, "...%s", from + length - (size - 4));
}

tks_status tks_fail(tks_error *err, tks_status code, tks_place at, const char *format, ...)
{
    if (!err) return code;
    err->code = code;
    err->line = at.line;
    err->column = at.column;
    err->file[0] = '\0';
    if (at.file) keep_file_name(err->file, sizeof err->file, at.file);
    va_list args;
    va_start(args, format);
    int written = vsnprintf(err->text, sizeof err->text, format, args);
    va_end(args);
    if (written >= (int)sizeof err->text) memcpy(err->text + sizeof err->text - 4, "...", 4);
    base_show_in_place(err->file);
    base_show_in_place(err->text);
    return code;
}
