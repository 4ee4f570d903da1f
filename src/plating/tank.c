#include "tankside/tank.h"

#include <math.h>

/* From anode to rack where nothing is known: a tank 200 mm wide. */
#define USUAL_DISTANCE 0.1

/* What contacts, hooks and the overvoltage beyond its slope may take more. */
#define OVERVOLTAGE 0.3

tks_tank tks_tank_of(const tks_bath *bath)
{
    return (tks_tank){.name = "", .bath = *bath};
}

double tks_tank_volume(const tks_tank *tank)
{
    return tank->size[0] * tank->size[1] * tank->size[2];
}

static double logarithmic_mean(double a, double b)
{
    double ratio = log(a / b);
    return fabs(ratio) < 1e-6 ? (a + b) / 2 : (a - b) / ratio;
}

tks_spread tks_tank_voltage(const tks_tank *tank, double area, double effective, double density)
{
    const tks_figure *kappa = &tank->bath.conductivity;
    tks_figure slope = tks_bath_slope(&tank->bath, density);
    double anodes = tank->anode_area > 0 ? tank->anode_area : tank->bath.anode_ratio.usual * area;
    double distance = tank->anode_distance > 0 ? tank->anode_distance : USUAL_DISTANCE;
    double current = density * effective;
    double path = current * distance / logarithmic_mean(effective, anodes);
    double film = current * (1 / effective + 1 / anodes);
    return (tks_spread){path / kappa->high + film * slope.low,
                        path / kappa->usual + film * slope.usual,
                        path / kappa->low + film * slope.high + OVERVOLTAGE};
}
