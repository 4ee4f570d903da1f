/* The spread of the deposit, for the bench, for machines, and for viewers. */
#ifndef REPORT_DEPOSIT_H
#define REPORT_DEPOSIT_H

#include "report/report.h"
#include "tankside/deposit.h"

/* What each part gets, where it is thin and thick, and what would spread it better. */
void report_deposit_text(base_buffer *out, const tks_deposit *deposit, tks_system units);

/* `{"current_A",...,"parts":[...],"advice":[...],"cautions":[...]}` and a line end; keys are in the
 * manual page. */
void report_deposit_json(base_buffer *out, const tks_deposit *deposit,
                         const tks_cautions *cautions);

/* The kinds of file that elements can be written to, by the end of its name. */
typedef enum report_element_file {
    REPORT_CSV,
    REPORT_VTU,
    REPORT_PLY,
    REPORT_NO_FILE
} report_element_file;

report_element_file report_element_file_of(const char *path);

/* One row for each element of a part: corners [mm], area, density, thickness. VTU and PLY carry the
 * thickness as data of the cells; PLY has it as colour too, dark to light, thin to thick. */
void report_deposit_elements(base_buffer *out, const tks_deposit *deposit,
                             report_element_file kind);

#endif
