/* Whether a text is JSON: the grammar of RFC 8259, section 2 to 7, and nothing else. */
#ifndef SUPPORT_JSON_H
#define SUPPORT_JSON_H

#include <stdbool.h>

/* One value and white space around it, to the end of the text. */
bool json_is_value(const char *text);

/* White space and values, as many as there are, at least one. */
bool json_are_values(const char *text);

#endif
