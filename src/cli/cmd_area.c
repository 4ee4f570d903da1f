/* tankside area: the wetted area of each part and of the load. */
#include "cli/loading.h"
#include "report/load.h"

#include <unistd.h>

extern const cli_command command_area;

static int run_area(const cli_call *call)
{
    cli_loaded loaded;
    base_buffer out = {0};
    int code = CLI_OK;
    if (cli_load(call, CLI_AREAS, &loaded, &code)) {
        if (call->json) {
            report_load_json(&out, &loaded.load, &loaded.cautions);
        } else {
            report_load_text(&out, &loaded.load, call->units);
            report_put_cautions(&out, &loaded.cautions, call->quiet, cli_colour(STDOUT_FILENO));
        }
        code = cli_print(&out);
    }
    cli_loaded_free(&loaded);
    return code;
}

static const cli_option options[] = {
    {"tolerance", "E", "relative tolerance of united areas (1e-6)"},
    {NULL, NULL, NULL},
};

const cli_command command_area = {
    .name = "area",
    .about = "wetted area of each part and of the whole load",
    .usage = "FILE... | SHAPE parameter=value ...",
    .details = "FILE is a part file or a load file; - is standard input. A shape with its\n"
               "parameters can stand right on the command line; `tankside shapes` lists\n"
               "them. All surfaces that the bath touches are counted: outside, ends, the\n"
               "insides of open tubes, the walls of holes, threads, and hanging wires.\n"
               "Pieces with a place are united and cut first: see tankside(5).",
    .example = "  tankside area cylinder diameter=8mm length=170mm\n"
               "  tankside area tube outside=22mm wall=1.5mm length=180mm --units inch",
    .takes_shapes = true,
    .options = options,
    .run = run_area,
};
