/* A bar on standard error for work that lasts, or its stage; on terminals only. */
#ifndef CLI_PROGRESS_H
#define CLI_PROGRESS_H

/* Tells how far the work is, 0..1; what names it ("uniting bracket"). The first call starts the
 * clock. A bar is not drawn in the first second, nor more than ten times a second; a fraction below
 * zero shows only the words, at once: nobody knows how long that stage lasts. */
void cli_progress(const char *what, double fraction);

/* Wipes the bar, so that the result stands alone. Harmless when none was drawn. */
void cli_progress_end(void);

#endif
