/* Sizes of fasteners. "copy" in a source: read from a secondary copy of the standard. Sizes are
 * nominal or greatest; heads of older DIN bolts are 17, 19, 22 and 32 mm across flats at M10, M12,
 * M14 and M22. British and BA rows are of the old, not the unified, sizes. */
#include "tankside/fastener_size.h"

#include "base/names.h"

#include <math.h>

#define MM   1e-3
#define INCH 25.4e-3

static const char iso_4014[] = "ISO 4014, secondary copy";
static const char iso_4014_m[] = "ISO 4014, from memory";
static const char b18_2_1[] = "ASME B18.2.1, secondary copy";
static const char b18_6_3_m[] = "ASME B18.6.3, from memory";
static const char bs_1083[] = "BS 1083 table 1, secondary copy";
static const char bs_57_m[] = "BS 57, from memory";
static const char iso_4032[] = "ISO 4032, secondary copy";
static const char iso_4032_m[] = "ISO 4032, from memory";
static const char b18_2_2[] = "ASME B18.2.2, secondary copy";
static const char b18_2_2_m[] = "ASME B18.2.2, from memory";
static const char iso_4035[] = "ISO 4035, secondary copy";
static const char iso_4035_m[] = "ISO 4035, from memory";
static const char din_985[] = "DIN 985, secondary copy";
static const char iso_4762[] = "ISO 4762, secondary copy";
static const char iso_4762_m[] = "ISO 4762 or DIN 912, from memory";
static const char b18_16_6[] =
    "ASME B18.16.6, style NE, greatest height and least hexagon, two secondary copies";
static const char light_insert[] =
    "prevailing-torque nuts, light series with top insert, one secondary copy of a trade table";
static const char b18_3[] = "ASME B18.3, secondary copy";
static const char b18_3_m[] = "ASME B18.3, from memory";
static const char iso_7380[] = "ISO 7380-1, secondary copy";
static const char iso_7380_m[] = "ISO 7380-1, from memory";
static const char iso_10642[] = "ISO 10642, width least of BS 4168, secondary copies";
static const char iso_10642_m[] = "ISO 10642, from memory";
static const char iso_4026[] = "ISO 4026, secondary copy";
static const char iso_7089[] = "ISO 7089, secondary copy";
static const char iso_7089_m[] = "ISO 7089, from memory";
static const char b18_21_1[] = "ASME B18.21.1, secondary copy";
static const char b18_21_1_m[] = "ASME B18.21.1, from memory";
static const char din_127[] = "DIN 127, secondary copy";

static const tks_fastener_row hexagon_bolts[] = {
    {TKS_FASTENERS_METRIC, 1.6, {3.2, 1.1}, iso_4014_m},
    {TKS_FASTENERS_METRIC, 2, {4, 1.4}, iso_4014_m},
    {TKS_FASTENERS_METRIC, 2.5, {5, 1.7}, iso_4014_m},
    {TKS_FASTENERS_METRIC, 3, {5.5, 2}, iso_4014},
    {TKS_FASTENERS_METRIC, 3.5, {6, 2.4}, iso_4014_m},
    {TKS_FASTENERS_METRIC, 4, {7, 2.8}, iso_4014},
    {TKS_FASTENERS_METRIC, 5, {8, 3.5}, iso_4014},
    {TKS_FASTENERS_METRIC, 6, {10, 4}, iso_4014},
    {TKS_FASTENERS_METRIC, 8, {13, 5.3}, iso_4014},
    {TKS_FASTENERS_METRIC, 10, {16, 6.4}, iso_4014},
    {TKS_FASTENERS_METRIC, 12, {18, 7.5}, iso_4014},
    {TKS_FASTENERS_METRIC, 14, {21, 8.8}, iso_4014},
    {TKS_FASTENERS_METRIC, 16, {24, 10}, iso_4014},
    {TKS_FASTENERS_METRIC, 18, {27, 11.5}, iso_4014_m},
    {TKS_FASTENERS_METRIC, 20, {30, 12.5}, iso_4014},
    {TKS_FASTENERS_METRIC, 22, {34, 14}, iso_4014_m},
    {TKS_FASTENERS_METRIC, 24, {36, 15}, iso_4014_m},
    {TKS_FASTENERS_METRIC, 27, {41, 17}, iso_4014_m},
    {TKS_FASTENERS_METRIC, 30, {46, 18.7}, iso_4014_m},
    {TKS_FASTENERS_METRIC, 33, {50, 21}, iso_4014_m},
    {TKS_FASTENERS_METRIC, 36, {55, 22.5}, iso_4014_m},
    {TKS_FASTENERS_UNIFIED, 0.112, {0.188, 0.06}, b18_6_3_m},
    {TKS_FASTENERS_UNIFIED, 0.125, {0.188, 0.07}, b18_6_3_m},
    {TKS_FASTENERS_UNIFIED, 0.138, {0.25, 0.093}, b18_6_3_m},
    {TKS_FASTENERS_UNIFIED, 0.164, {0.25, 0.11}, b18_6_3_m},
    {TKS_FASTENERS_UNIFIED, 0.19, {0.312, 0.12}, b18_6_3_m},
    {TKS_FASTENERS_UNIFIED, 0.216, {0.312, 0.155}, b18_6_3_m},
    {TKS_FASTENERS_UNIFIED, 0.25, {0.4375, 0.15625}, b18_2_1},
    {TKS_FASTENERS_UNIFIED, 0.3125, {0.5, 0.203125}, b18_2_1},
    {TKS_FASTENERS_UNIFIED, 0.375, {0.5625, 0.234375}, b18_2_1},
    {TKS_FASTENERS_UNIFIED, 0.4375, {0.625, 0.28125}, b18_2_1},
    {TKS_FASTENERS_UNIFIED, 0.5, {0.75, 0.3125}, b18_2_1},
    {TKS_FASTENERS_UNIFIED, 0.5625, {0.8125, 0.359375}, b18_2_1},
    {TKS_FASTENERS_UNIFIED, 0.625, {0.9375, 0.390625}, b18_2_1},
    {TKS_FASTENERS_UNIFIED, 0.75, {1.125, 0.46875}, b18_2_1},
    {TKS_FASTENERS_UNIFIED, 0.875, {1.3125, 0.546875}, b18_2_1},
    {TKS_FASTENERS_UNIFIED, 1, {1.5, 0.609375}, b18_2_1},
    {TKS_FASTENERS_BRITISH, 0.25, {0.445, 0.176}, bs_1083},
    {TKS_FASTENERS_BRITISH, 0.3125, {0.525, 0.218}, bs_1083},
    {TKS_FASTENERS_BRITISH, 0.375, {0.6, 0.26}, bs_1083},
    {TKS_FASTENERS_BRITISH, 0.4375, {0.71, 0.302}, bs_1083},
    {TKS_FASTENERS_BRITISH, 0.5, {0.82, 0.343}, bs_1083},
    {TKS_FASTENERS_BRITISH, 0.5625, {0.92, 0.375}, bs_1083},
    {TKS_FASTENERS_BRITISH, 0.625, {1.01, 0.417}, bs_1083},
    {TKS_FASTENERS_BRITISH, 0.75, {1.2, 0.5}, bs_1083},
    {TKS_FASTENERS_BRITISH, 0.875, {1.3, 0.583}, bs_1083},
    {TKS_FASTENERS_BRITISH, 1, {1.48, 0.666}, bs_1083},
    {TKS_FASTENERS_BA, 6, {10.5, 4.5}, bs_57_m},
    {TKS_FASTENERS_BA, 5.3, {9.3, 3.975}, bs_57_m},
    {TKS_FASTENERS_BA, 4.7, {8.2, 3.525}, bs_57_m},
    {TKS_FASTENERS_BA, 4.1, {7.2, 3.075}, bs_57_m},
    {TKS_FASTENERS_BA, 3.6, {6.3, 2.7}, bs_57_m},
    {TKS_FASTENERS_BA, 3.2, {5.6, 2.4}, bs_57_m},
    {TKS_FASTENERS_BA, 2.8, {4.9, 2.1}, bs_57_m},
    {TKS_FASTENERS_BA, 2.5, {4.4, 1.875}, bs_57_m},
    {TKS_FASTENERS_BA, 2.2, {3.85, 1.65}, bs_57_m},
    {TKS_FASTENERS_BA, 1.9, {3.3, 1.425}, bs_57_m},
    {TKS_FASTENERS_BA, 1.7, {3, 1.275}, bs_57_m},
};

static const tks_fastener_row hexagon_nuts[] = {
    {TKS_FASTENERS_METRIC, 1.6, {3.2, 1.3}, iso_4032_m},
    {TKS_FASTENERS_METRIC, 2, {4, 1.6}, iso_4032_m},
    {TKS_FASTENERS_METRIC, 2.5, {5, 2}, iso_4032_m},
    {TKS_FASTENERS_METRIC, 3, {5.5, 2.4}, iso_4032},
    {TKS_FASTENERS_METRIC, 3.5, {6, 2.8}, iso_4032_m},
    {TKS_FASTENERS_METRIC, 4, {7, 3.2}, iso_4032},
    {TKS_FASTENERS_METRIC, 5, {8, 4.7}, iso_4032},
    {TKS_FASTENERS_METRIC, 6, {10, 5.2}, iso_4032},
    {TKS_FASTENERS_METRIC, 8, {13, 6.8}, iso_4032},
    {TKS_FASTENERS_METRIC, 10, {16, 8.4}, iso_4032},
    {TKS_FASTENERS_METRIC, 12, {18, 10.8}, iso_4032},
    {TKS_FASTENERS_METRIC, 14, {21, 12.8}, iso_4032_m},
    {TKS_FASTENERS_METRIC, 16, {24, 14.8}, iso_4032},
    {TKS_FASTENERS_METRIC, 18, {27, 15.8}, iso_4032_m},
    {TKS_FASTENERS_METRIC, 20, {30, 18}, iso_4032},
    {TKS_FASTENERS_METRIC, 22, {34, 19.4}, iso_4032_m},
    {TKS_FASTENERS_METRIC, 24, {36, 21.5}, iso_4032_m},
    {TKS_FASTENERS_METRIC, 27, {41, 23.8}, iso_4032_m},
    {TKS_FASTENERS_METRIC, 30, {46, 25.6}, iso_4032_m},
    {TKS_FASTENERS_METRIC, 33, {50, 28.7}, iso_4032_m},
    {TKS_FASTENERS_METRIC, 36, {55, 31}, iso_4032_m},
    {TKS_FASTENERS_UNIFIED, 0.112, {0.25, 0.098}, b18_2_2},
    {TKS_FASTENERS_UNIFIED, 0.125, {0.312, 0.114}, b18_2_2},
    {TKS_FASTENERS_UNIFIED, 0.138, {0.312, 0.114}, b18_2_2},
    {TKS_FASTENERS_UNIFIED, 0.164, {0.344, 0.13}, b18_2_2},
    {TKS_FASTENERS_UNIFIED, 0.19, {0.375, 0.13}, b18_2_2},
    {TKS_FASTENERS_UNIFIED, 0.216, {0.438, 0.161}, b18_2_2},
    {TKS_FASTENERS_UNIFIED, 0.25, {0.4375, 0.21875}, b18_2_2},
    {TKS_FASTENERS_UNIFIED, 0.3125, {0.5, 0.265625}, b18_2_2},
    {TKS_FASTENERS_UNIFIED, 0.375, {0.5625, 0.328125}, b18_2_2},
    {TKS_FASTENERS_UNIFIED, 0.4375, {0.6875, 0.375}, b18_2_2},
    {TKS_FASTENERS_UNIFIED, 0.5, {0.75, 0.4375}, b18_2_2},
    {TKS_FASTENERS_UNIFIED, 0.5625, {0.875, 0.484375}, b18_2_2_m},
    {TKS_FASTENERS_UNIFIED, 0.625, {0.9375, 0.546875}, b18_2_2},
    {TKS_FASTENERS_UNIFIED, 0.75, {1.125, 0.640625}, b18_2_2},
    {TKS_FASTENERS_UNIFIED, 0.875, {1.3125, 0.75}, b18_2_2_m},
    {TKS_FASTENERS_UNIFIED, 1, {1.5, 0.859375}, b18_2_2_m},
    {TKS_FASTENERS_BRITISH, 0.25, {0.445, 0.2}, bs_1083},
    {TKS_FASTENERS_BRITISH, 0.3125, {0.525, 0.25}, bs_1083},
    {TKS_FASTENERS_BRITISH, 0.375, {0.6, 0.312}, bs_1083},
    {TKS_FASTENERS_BRITISH, 0.4375, {0.71, 0.375}, bs_1083},
    {TKS_FASTENERS_BRITISH, 0.5, {0.82, 0.437}, bs_1083},
    {TKS_FASTENERS_BRITISH, 0.5625, {0.92, 0.5}, bs_1083},
    {TKS_FASTENERS_BRITISH, 0.625, {1.01, 0.562}, bs_1083},
    {TKS_FASTENERS_BRITISH, 0.75, {1.2, 0.687}, bs_1083},
    {TKS_FASTENERS_BRITISH, 0.875, {1.3, 0.75}, bs_1083},
    {TKS_FASTENERS_BRITISH, 1, {1.48, 0.875}, bs_1083},
    {TKS_FASTENERS_BA, 6, {10.5, 6}, bs_57_m},
    {TKS_FASTENERS_BA, 5.3, {9.3, 5.3}, bs_57_m},
    {TKS_FASTENERS_BA, 4.7, {8.2, 4.7}, bs_57_m},
    {TKS_FASTENERS_BA, 4.1, {7.2, 4.1}, bs_57_m},
    {TKS_FASTENERS_BA, 3.6, {6.3, 3.6}, bs_57_m},
    {TKS_FASTENERS_BA, 3.2, {5.6, 3.2}, bs_57_m},
    {TKS_FASTENERS_BA, 2.8, {4.9, 2.8}, bs_57_m},
    {TKS_FASTENERS_BA, 2.5, {4.4, 2.5}, bs_57_m},
    {TKS_FASTENERS_BA, 2.2, {3.85, 2.2}, bs_57_m},
    {TKS_FASTENERS_BA, 1.9, {3.3, 1.9}, bs_57_m},
    {TKS_FASTENERS_BA, 1.7, {3, 1.7}, bs_57_m},
};

static const tks_fastener_row thin_nuts[] = {
    {TKS_FASTENERS_METRIC, 1.6, {3.2, 1}, iso_4035},
    {TKS_FASTENERS_METRIC, 2, {4, 1.2}, iso_4035},
    {TKS_FASTENERS_METRIC, 2.5, {5, 1.6}, iso_4035},
    {TKS_FASTENERS_METRIC, 3, {5.5, 1.8}, iso_4035},
    {TKS_FASTENERS_METRIC, 3.5, {6, 2}, iso_4035},
    {TKS_FASTENERS_METRIC, 4, {7, 2.2}, iso_4035},
    {TKS_FASTENERS_METRIC, 5, {8, 2.7}, iso_4035},
    {TKS_FASTENERS_METRIC, 6, {10, 3.2}, iso_4035},
    {TKS_FASTENERS_METRIC, 8, {13, 4}, iso_4035},
    {TKS_FASTENERS_METRIC, 10, {16, 5}, iso_4035},
    {TKS_FASTENERS_METRIC, 12, {18, 6}, iso_4035},
    {TKS_FASTENERS_METRIC, 14, {21, 7}, iso_4035},
    {TKS_FASTENERS_METRIC, 16, {24, 8}, iso_4035_m},
    {TKS_FASTENERS_METRIC, 18, {27, 9}, iso_4035},
    {TKS_FASTENERS_METRIC, 20, {30, 10}, iso_4035_m},
    {TKS_FASTENERS_METRIC, 22, {34, 11}, iso_4035},
    {TKS_FASTENERS_METRIC, 24, {36, 12}, iso_4035_m},
    {TKS_FASTENERS_METRIC, 27, {41, 13.5}, iso_4035},
    {TKS_FASTENERS_METRIC, 30, {46, 15}, iso_4035_m},
    {TKS_FASTENERS_METRIC, 33, {50, 16.5}, iso_4035},
    {TKS_FASTENERS_METRIC, 36, {55, 18}, iso_4035_m},
    {TKS_FASTENERS_UNIFIED, 0.25, {0.4375, 0.15625}, b18_2_2_m},
    {TKS_FASTENERS_UNIFIED, 0.3125, {0.5, 0.1875}, b18_2_2_m},
    {TKS_FASTENERS_UNIFIED, 0.375, {0.5625, 0.21875}, b18_2_2_m},
    {TKS_FASTENERS_UNIFIED, 0.4375, {0.6875, 0.25}, b18_2_2_m},
    {TKS_FASTENERS_UNIFIED, 0.5, {0.75, 0.3125}, b18_2_2_m},
    {TKS_FASTENERS_UNIFIED, 0.5625, {0.875, 0.3125}, b18_2_2_m},
    {TKS_FASTENERS_UNIFIED, 0.625, {0.9375, 0.375}, b18_2_2_m},
    {TKS_FASTENERS_UNIFIED, 0.75, {1.125, 0.421875}, b18_2_2_m},
    {TKS_FASTENERS_UNIFIED, 0.875, {1.3125, 0.484375}, b18_2_2_m},
    {TKS_FASTENERS_UNIFIED, 1, {1.5, 0.546875}, b18_2_2_m},
    {TKS_FASTENERS_BRITISH, 0.25, {0.445, 0.185}, bs_1083},
    {TKS_FASTENERS_BRITISH, 0.3125, {0.525, 0.21}, bs_1083},
    {TKS_FASTENERS_BRITISH, 0.375, {0.6, 0.26}, bs_1083},
    {TKS_FASTENERS_BRITISH, 0.4375, {0.71, 0.275}, bs_1083},
    {TKS_FASTENERS_BRITISH, 0.5, {0.82, 0.3}, bs_1083},
    {TKS_FASTENERS_BRITISH, 0.5625, {0.92, 0.333}, bs_1083},
    {TKS_FASTENERS_BRITISH, 0.625, {1.01, 0.375}, bs_1083},
    {TKS_FASTENERS_BRITISH, 0.75, {1.2, 0.458}, bs_1083},
    {TKS_FASTENERS_BRITISH, 0.875, {1.3, 0.5}, bs_1083},
    {TKS_FASTENERS_BRITISH, 1, {1.48, 0.583}, bs_1083},
    {TKS_FASTENERS_BA, 6, {10.5, 4}, bs_57_m},
    {TKS_FASTENERS_BA, 5.3, {9.3, 3.53}, bs_57_m},
    {TKS_FASTENERS_BA, 4.7, {8.2, 3.13}, bs_57_m},
    {TKS_FASTENERS_BA, 4.1, {7.2, 2.73}, bs_57_m},
    {TKS_FASTENERS_BA, 3.6, {6.3, 2.4}, bs_57_m},
    {TKS_FASTENERS_BA, 3.2, {5.6, 2.13}, bs_57_m},
    {TKS_FASTENERS_BA, 2.8, {4.9, 1.87}, bs_57_m},
    {TKS_FASTENERS_BA, 2.5, {4.4, 1.67}, bs_57_m},
    {TKS_FASTENERS_BA, 2.2, {3.85, 1.47}, bs_57_m},
    {TKS_FASTENERS_BA, 1.9, {3.3, 1.27}, bs_57_m},
    {TKS_FASTENERS_BA, 1.7, {3, 1.13}, bs_57_m},
};

static const tks_fastener_row lock_nuts[] = {
    {TKS_FASTENERS_METRIC, 3, {5.5, 4, 2.4}, din_985},
    {TKS_FASTENERS_METRIC, 4, {7, 5, 2.9}, din_985},
    {TKS_FASTENERS_METRIC, 5, {8, 5, 3.2}, din_985},
    {TKS_FASTENERS_METRIC, 6, {10, 6, 3.4}, din_985},
    {TKS_FASTENERS_METRIC, 8, {13, 8, 4.7}, din_985},
    {TKS_FASTENERS_METRIC, 10, {17, 10, 6}, din_985},
    {TKS_FASTENERS_METRIC, 12, {19, 12, 7.6}, din_985},
    {TKS_FASTENERS_METRIC, 14, {22, 14, 9.5}, din_985},
    {TKS_FASTENERS_METRIC, 16, {24, 16, 10.5}, din_985},
    {TKS_FASTENERS_METRIC, 18, {27, 18.5, 13}, din_985},
    {TKS_FASTENERS_METRIC, 20, {30, 20, 14}, din_985},
    {TKS_FASTENERS_METRIC, 22, {32, 22, 15}, din_985},
    {TKS_FASTENERS_METRIC, 24, {36, 24, 15}, din_985},
    {TKS_FASTENERS_METRIC, 27, {41, 27, 17}, din_985},
    {TKS_FASTENERS_METRIC, 30, {46, 30, 19}, din_985},
    {TKS_FASTENERS_METRIC, 33, {50, 33, 22}, din_985},
    {TKS_FASTENERS_METRIC, 36, {55, 36, 25}, din_985},
    {TKS_FASTENERS_UNIFIED, 0.112, {0.25, 0.163, 0.087}, light_insert},
    {TKS_FASTENERS_UNIFIED, 0.138, {0.312, 0.188, 0.102}, light_insert},
    {TKS_FASTENERS_UNIFIED, 0.164, {0.344, 0.239, 0.117}, light_insert},
    {TKS_FASTENERS_UNIFIED, 0.19, {0.375, 0.249, 0.117}, light_insert},
    {TKS_FASTENERS_UNIFIED, 0.25, {0.438, 0.328, 0.225}, b18_16_6},
    {TKS_FASTENERS_UNIFIED, 0.3125, {0.5, 0.359, 0.25}, b18_16_6},
    {TKS_FASTENERS_UNIFIED, 0.375, {0.562, 0.468, 0.335}, b18_16_6},
    {TKS_FASTENERS_UNIFIED, 0.4375, {0.625, 0.468, 0.324}, b18_16_6},
    {TKS_FASTENERS_UNIFIED, 0.5, {0.75, 0.609, 0.464}, b18_16_6},
    {TKS_FASTENERS_UNIFIED, 0.5625, {0.875, 0.656, 0.469}, b18_16_6},
    {TKS_FASTENERS_UNIFIED, 0.625, {0.938, 0.765, 0.593}, b18_16_6},
    {TKS_FASTENERS_UNIFIED, 0.75, {1.062, 0.89, 0.742}, b18_16_6},
    {TKS_FASTENERS_UNIFIED, 0.875, {1.25, 0.999, 0.79}, b18_16_6},
    {TKS_FASTENERS_UNIFIED, 1, {1.438, 1.078, 0.825}, b18_16_6},
};

static const tks_fastener_row socket_cap_screws[] = {
    {TKS_FASTENERS_METRIC, 1.6, {3, 1.6, 1.5, 0.7}, iso_4762_m},
    {TKS_FASTENERS_METRIC, 2, {3.8, 2, 1.5, 1}, iso_4762_m},
    {TKS_FASTENERS_METRIC, 2.5, {4.5, 2.5, 2, 1.1}, iso_4762_m},
    {TKS_FASTENERS_METRIC, 3, {5.5, 3, 2.5, 1.3}, iso_4762},
    {TKS_FASTENERS_METRIC, 4, {7, 4, 3, 2}, iso_4762},
    {TKS_FASTENERS_METRIC, 5, {8.5, 5, 4, 2.5}, iso_4762},
    {TKS_FASTENERS_METRIC, 6, {10, 6, 5, 3}, iso_4762},
    {TKS_FASTENERS_METRIC, 8, {13, 8, 6, 4}, iso_4762},
    {TKS_FASTENERS_METRIC, 10, {16, 10, 8, 5}, iso_4762},
    {TKS_FASTENERS_METRIC, 12, {18, 12, 10, 6}, iso_4762},
    {TKS_FASTENERS_METRIC, 14, {21, 14, 12, 7}, iso_4762_m},
    {TKS_FASTENERS_METRIC, 16, {24, 16, 14, 8}, iso_4762},
    {TKS_FASTENERS_METRIC, 18, {27, 18, 14, 9}, iso_4762_m},
    {TKS_FASTENERS_METRIC, 20, {30, 20, 17, 10}, iso_4762},
    {TKS_FASTENERS_METRIC, 22, {33, 22, 17, 11}, iso_4762_m},
    {TKS_FASTENERS_METRIC, 24, {36, 24, 19, 12}, iso_4762_m},
    {TKS_FASTENERS_METRIC, 27, {40, 27, 19, 13.5}, iso_4762_m},
    {TKS_FASTENERS_METRIC, 30, {45, 30, 22, 15.5}, iso_4762_m},
    {TKS_FASTENERS_METRIC, 33, {50, 33, 24, 18}, iso_4762_m},
    {TKS_FASTENERS_METRIC, 36, {54, 36, 27, 19}, iso_4762_m},
    {TKS_FASTENERS_UNIFIED, 0.112, {0.183, 0.112, 0.09375, 0.051}, b18_3},
    {TKS_FASTENERS_UNIFIED, 0.125, {0.205, 0.125, 0.09375, 0.057}, b18_3},
    {TKS_FASTENERS_UNIFIED, 0.138, {0.226, 0.138, 0.109375, 0.064}, b18_3},
    {TKS_FASTENERS_UNIFIED, 0.164, {0.27, 0.164, 0.140625, 0.077}, b18_3},
    {TKS_FASTENERS_UNIFIED, 0.19, {0.312, 0.19, 0.15625, 0.09}, b18_3},
    {TKS_FASTENERS_UNIFIED, 0.25, {0.375, 0.25, 0.1875, 0.12}, b18_3},
    {TKS_FASTENERS_UNIFIED, 0.3125, {0.469, 0.312, 0.25, 0.151}, b18_3},
    {TKS_FASTENERS_UNIFIED, 0.375, {0.562, 0.375, 0.3125, 0.182}, b18_3},
    {TKS_FASTENERS_UNIFIED, 0.4375, {0.656, 0.438, 0.375, 0.213}, b18_3},
    {TKS_FASTENERS_UNIFIED, 0.5, {0.75, 0.5, 0.375, 0.245}, b18_3},
    {TKS_FASTENERS_UNIFIED, 0.625, {0.938, 0.625, 0.5, 0.307}, b18_3},
    {TKS_FASTENERS_UNIFIED, 0.75, {1.125, 0.75, 0.625, 0.37}, b18_3},
    {TKS_FASTENERS_UNIFIED, 0.875, {1.312, 0.875, 0.75, 0.432}, b18_3_m},
    {TKS_FASTENERS_UNIFIED, 1, {1.5, 1, 0.75, 0.495}, b18_3_m},
};

static const tks_fastener_row button_head_screws[] = {
    {TKS_FASTENERS_METRIC, 3, {5.7, 1.65, 2, 1.04}, iso_7380},
    {TKS_FASTENERS_METRIC, 4, {7.6, 2.2, 2.5, 1.3}, iso_7380},
    {TKS_FASTENERS_METRIC, 5, {9.5, 2.75, 3, 1.56}, iso_7380},
    {TKS_FASTENERS_METRIC, 6, {10.5, 3.3, 4, 2.08}, iso_7380},
    {TKS_FASTENERS_METRIC, 8, {14, 4.4, 5, 2.6}, iso_7380},
    {TKS_FASTENERS_METRIC, 10, {17.5, 5.5, 6, 3.12}, iso_7380},
    {TKS_FASTENERS_METRIC, 12, {21, 6.6, 8, 4.16}, iso_7380},
    {TKS_FASTENERS_METRIC, 16, {28, 8.8, 10, 5.2}, iso_7380_m},
    {TKS_FASTENERS_UNIFIED, 0.112, {0.213, 0.059, 0.0625, 0.035}, b18_3},
    {TKS_FASTENERS_UNIFIED, 0.125, {0.238, 0.066, 0.078125, 0.044}, b18_3},
    {TKS_FASTENERS_UNIFIED, 0.138, {0.262, 0.073, 0.078125, 0.044}, b18_3},
    {TKS_FASTENERS_UNIFIED, 0.164, {0.312, 0.087, 0.09375, 0.052}, b18_3},
    {TKS_FASTENERS_UNIFIED, 0.19, {0.361, 0.101, 0.125, 0.07}, b18_3},
    {TKS_FASTENERS_UNIFIED, 0.25, {0.437, 0.132, 0.15625, 0.087}, b18_3},
    {TKS_FASTENERS_UNIFIED, 0.3125, {0.547, 0.166, 0.1875, 0.105}, b18_3},
    {TKS_FASTENERS_UNIFIED, 0.375, {0.656, 0.199, 0.21875, 0.122}, b18_3},
    {TKS_FASTENERS_UNIFIED, 0.4375, {0.765, 0.231, 0.25, 0.14}, b18_3},
    {TKS_FASTENERS_UNIFIED, 0.5, {0.875, 0.265, 0.3125, 0.175}, b18_3},
    {TKS_FASTENERS_UNIFIED, 0.625, {1, 0.331, 0.375, 0.21}, b18_3},
    {TKS_FASTENERS_UNIFIED, 0.75, {1.125, 0.375, 0.4375, 0.245}, b18_3},
};

static const tks_fastener_row countersunk_screws[] = {
    {TKS_FASTENERS_METRIC, 3, {6.72, 5.82, 2, 1.1}, iso_10642},
    {TKS_FASTENERS_METRIC, 4, {8.96, 7.78, 2.5, 1.5}, iso_10642},
    {TKS_FASTENERS_METRIC, 5, {11.2, 9.78, 3, 1.9}, iso_10642},
    {TKS_FASTENERS_METRIC, 6, {13.44, 11.73, 4, 2.2}, iso_10642},
    {TKS_FASTENERS_METRIC, 8, {17.92, 15.73, 5, 3}, iso_10642},
    {TKS_FASTENERS_METRIC, 10, {22.4, 19.67, 6, 3.6}, iso_10642},
    {TKS_FASTENERS_METRIC, 12, {26.88, 23.67, 8, 4.3}, iso_10642},
    {TKS_FASTENERS_METRIC, 16, {33.6, 29.67, 10, 4.8}, iso_10642_m},
    {TKS_FASTENERS_METRIC, 20, {40.32, 35.61, 12, 5.6}, iso_10642_m},
    {TKS_FASTENERS_UNIFIED, 0.112, {0.255, 0.218, 0.0625, 0.055}, b18_3},
    {TKS_FASTENERS_UNIFIED, 0.125, {0.281, 0.24, 0.078125, 0.061}, b18_3},
    {TKS_FASTENERS_UNIFIED, 0.138, {0.307, 0.263, 0.078125, 0.066}, b18_3},
    {TKS_FASTENERS_UNIFIED, 0.164, {0.359, 0.311, 0.09375, 0.076}, b18_3},
    {TKS_FASTENERS_UNIFIED, 0.19, {0.411, 0.359, 0.125, 0.087}, b18_3},
    {TKS_FASTENERS_UNIFIED, 0.216, {0.45, 0.41, 0.125, 0.094}, b18_3},
    {TKS_FASTENERS_UNIFIED, 0.25, {0.531, 0.48, 0.15625, 0.111}, b18_3},
    {TKS_FASTENERS_UNIFIED, 0.3125, {0.656, 0.6, 0.1875, 0.135}, b18_3},
    {TKS_FASTENERS_UNIFIED, 0.375, {0.781, 0.72, 0.21875, 0.159}, b18_3},
    {TKS_FASTENERS_UNIFIED, 0.4375, {0.844, 0.781, 0.25, 0.159}, b18_3},
    {TKS_FASTENERS_UNIFIED, 0.5, {0.938, 0.872, 0.3125, 0.172}, b18_3},
    {TKS_FASTENERS_UNIFIED, 0.625, {1.188, 1.112, 0.375, 0.22}, b18_3},
    {TKS_FASTENERS_UNIFIED, 0.75, {1.438, 1.355, 0.5, 0.22}, b18_3},
};

static const tks_fastener_row set_screws[] = {
    {TKS_FASTENERS_METRIC, 1.6, {0.7, 1.5, 0.8}, iso_4026},
    {TKS_FASTENERS_METRIC, 2, {0.9, 1.7, 1}, iso_4026},
    {TKS_FASTENERS_METRIC, 2.5, {1.3, 2, 1.5}, iso_4026},
    {TKS_FASTENERS_METRIC, 3, {1.5, 2, 2}, iso_4026},
    {TKS_FASTENERS_METRIC, 4, {2, 2.5, 2.5}, iso_4026},
    {TKS_FASTENERS_METRIC, 5, {2.5, 3, 3.5}, iso_4026},
    {TKS_FASTENERS_METRIC, 6, {3, 3.5, 4}, iso_4026},
    {TKS_FASTENERS_METRIC, 8, {4, 5, 5.5}, iso_4026},
    {TKS_FASTENERS_METRIC, 10, {5, 6, 7}, iso_4026},
    {TKS_FASTENERS_METRIC, 12, {6, 8, 8.5}, iso_4026},
    {TKS_FASTENERS_METRIC, 16, {8, 10, 12}, iso_4026},
    {TKS_FASTENERS_METRIC, 20, {10, 12, 15}, iso_4026},
    {TKS_FASTENERS_METRIC, 24, {12, 15, 18}, iso_4026},
    {TKS_FASTENERS_UNIFIED, 0.112, {0.05, 0.075, 0.06}, b18_3_m},
    {TKS_FASTENERS_UNIFIED, 0.125, {0.0625, 0.075, 0.067}, b18_3_m},
    {TKS_FASTENERS_UNIFIED, 0.138, {0.0625, 0.075, 0.074}, b18_3_m},
    {TKS_FASTENERS_UNIFIED, 0.164, {0.078125, 0.075, 0.087}, b18_3_m},
    {TKS_FASTENERS_UNIFIED, 0.19, {0.09375, 0.105, 0.102}, b18_3_m},
    {TKS_FASTENERS_UNIFIED, 0.25, {0.125, 0.105, 0.132}, b18_3_m},
    {TKS_FASTENERS_UNIFIED, 0.3125, {0.15625, 0.14, 0.172}, b18_3_m},
    {TKS_FASTENERS_UNIFIED, 0.375, {0.1875, 0.14, 0.212}, b18_3_m},
    {TKS_FASTENERS_UNIFIED, 0.4375, {0.21875, 0.19, 0.252}, b18_3_m},
    {TKS_FASTENERS_UNIFIED, 0.5, {0.25, 0.21, 0.291}, b18_3_m},
    {TKS_FASTENERS_UNIFIED, 0.625, {0.3125, 0.265, 0.371}, b18_3_m},
    {TKS_FASTENERS_UNIFIED, 0.75, {0.375, 0.33, 0.45}, b18_3_m},
    {TKS_FASTENERS_UNIFIED, 0.875, {0.5, 0.45, 0.53}, b18_3_m},
    {TKS_FASTENERS_UNIFIED, 1, {0.5625, 0.55, 0.609}, b18_3_m},
};

static const tks_fastener_row plain_washers[] = {
    {TKS_FASTENERS_METRIC, 1.6, {1.7, 4, 0.3}, iso_7089_m},
    {TKS_FASTENERS_METRIC, 2, {2.2, 5, 0.3}, iso_7089_m},
    {TKS_FASTENERS_METRIC, 2.5, {2.7, 6, 0.5}, iso_7089_m},
    {TKS_FASTENERS_METRIC, 3, {3.2, 7, 0.5}, iso_7089},
    {TKS_FASTENERS_METRIC, 3.5, {3.7, 8, 0.5}, iso_7089_m},
    {TKS_FASTENERS_METRIC, 4, {4.3, 9, 0.8}, iso_7089},
    {TKS_FASTENERS_METRIC, 5, {5.3, 10, 1}, iso_7089},
    {TKS_FASTENERS_METRIC, 6, {6.4, 12, 1.6}, iso_7089},
    {TKS_FASTENERS_METRIC, 8, {8.4, 16, 1.6}, iso_7089},
    {TKS_FASTENERS_METRIC, 10, {10.5, 20, 2}, iso_7089},
    {TKS_FASTENERS_METRIC, 12, {13, 24, 2.5}, iso_7089},
    {TKS_FASTENERS_METRIC, 14, {15, 28, 2.5}, iso_7089_m},
    {TKS_FASTENERS_METRIC, 16, {17, 30, 3}, iso_7089},
    {TKS_FASTENERS_METRIC, 18, {19, 34, 3}, iso_7089_m},
    {TKS_FASTENERS_METRIC, 20, {21, 37, 3}, iso_7089},
    {TKS_FASTENERS_METRIC, 22, {23, 39, 3}, iso_7089_m},
    {TKS_FASTENERS_METRIC, 24, {25, 44, 4}, iso_7089_m},
    {TKS_FASTENERS_METRIC, 27, {28, 50, 4}, iso_7089_m},
    {TKS_FASTENERS_METRIC, 30, {31, 56, 4}, iso_7089_m},
    {TKS_FASTENERS_METRIC, 33, {34, 60, 5}, iso_7089_m},
    {TKS_FASTENERS_METRIC, 36, {37, 66, 5}, iso_7089_m},
    {TKS_FASTENERS_UNIFIED, 0.112, {0.125, 0.312, 0.032}, b18_21_1},
    {TKS_FASTENERS_UNIFIED, 0.138, {0.156, 0.375, 0.049}, b18_21_1},
    {TKS_FASTENERS_UNIFIED, 0.164, {0.188, 0.438, 0.049}, b18_21_1},
    {TKS_FASTENERS_UNIFIED, 0.19, {0.219, 0.5, 0.049}, b18_21_1},
    {TKS_FASTENERS_UNIFIED, 0.216, {0.25, 0.562, 0.065}, b18_21_1},
    {TKS_FASTENERS_UNIFIED, 0.25, {0.281, 0.625, 0.065}, b18_21_1},
    {TKS_FASTENERS_UNIFIED, 0.3125, {0.344, 0.688, 0.065}, b18_21_1},
    {TKS_FASTENERS_UNIFIED, 0.375, {0.406, 0.812, 0.065}, b18_21_1},
    {TKS_FASTENERS_UNIFIED, 0.4375, {0.469, 0.922, 0.065}, b18_21_1},
    {TKS_FASTENERS_UNIFIED, 0.5, {0.531, 1.062, 0.095}, b18_21_1},
    {TKS_FASTENERS_UNIFIED, 0.5625, {0.594, 1.156, 0.095}, b18_21_1},
    {TKS_FASTENERS_UNIFIED, 0.625, {0.656, 1.312, 0.095}, b18_21_1},
    {TKS_FASTENERS_UNIFIED, 0.75, {0.812, 1.469, 0.134}, b18_21_1},
    {TKS_FASTENERS_UNIFIED, 0.875, {0.938, 1.75, 0.134}, b18_21_1_m},
    {TKS_FASTENERS_UNIFIED, 1, {1.062, 2, 0.134}, b18_21_1_m},
};

static const tks_fastener_row spring_washers[] = {
    {TKS_FASTENERS_METRIC, 2, {2.1, 0.9, 0.5}, din_127},
    {TKS_FASTENERS_METRIC, 2.2, {2.3, 1, 0.6}, din_127},
    {TKS_FASTENERS_METRIC, 2.5, {2.6, 1, 0.6}, din_127},
    {TKS_FASTENERS_METRIC, 3, {3.1, 1.3, 0.8}, din_127},
    {TKS_FASTENERS_METRIC, 3.5, {3.6, 1.3, 0.8}, din_127},
    {TKS_FASTENERS_METRIC, 4, {4.1, 1.5, 0.9}, din_127},
    {TKS_FASTENERS_METRIC, 5, {5.1, 1.8, 1.2}, din_127},
    {TKS_FASTENERS_METRIC, 6, {6.1, 2.5, 1.6}, din_127},
    {TKS_FASTENERS_METRIC, 7, {7.1, 2.5, 1.6}, din_127},
    {TKS_FASTENERS_METRIC, 8, {8.1, 3, 2}, din_127},
    {TKS_FASTENERS_METRIC, 10, {10.2, 3.5, 2.2}, din_127},
    {TKS_FASTENERS_METRIC, 12, {12.2, 4, 2.5}, din_127},
    {TKS_FASTENERS_METRIC, 14, {14.2, 4.5, 3}, din_127},
    {TKS_FASTENERS_METRIC, 16, {16.2, 5, 3.5}, din_127},
    {TKS_FASTENERS_METRIC, 18, {18.2, 5, 3.5}, din_127},
    {TKS_FASTENERS_METRIC, 20, {20.2, 6, 4}, din_127},
    {TKS_FASTENERS_METRIC, 22, {22.5, 6, 4}, din_127},
    {TKS_FASTENERS_METRIC, 24, {24.5, 7, 5}, din_127},
    {TKS_FASTENERS_METRIC, 27, {27.5, 7, 5}, din_127},
    {TKS_FASTENERS_METRIC, 30, {30.5, 8, 6}, din_127},
    {TKS_FASTENERS_METRIC, 36, {36.5, 10, 6}, din_127},
    {TKS_FASTENERS_UNIFIED, 0.112, {0.114, 0.04, 0.025}, b18_21_1},
    {TKS_FASTENERS_UNIFIED, 0.125, {0.127, 0.047, 0.031}, b18_21_1},
    {TKS_FASTENERS_UNIFIED, 0.138, {0.141, 0.047, 0.031}, b18_21_1},
    {TKS_FASTENERS_UNIFIED, 0.164, {0.167, 0.055, 0.04}, b18_21_1},
    {TKS_FASTENERS_UNIFIED, 0.19, {0.193, 0.062, 0.047}, b18_21_1},
    {TKS_FASTENERS_UNIFIED, 0.216, {0.22, 0.07, 0.056}, b18_21_1},
    {TKS_FASTENERS_UNIFIED, 0.25, {0.252, 0.109, 0.062}, b18_21_1},
    {TKS_FASTENERS_UNIFIED, 0.3125, {0.314, 0.125, 0.078}, b18_21_1},
    {TKS_FASTENERS_UNIFIED, 0.375, {0.377, 0.141, 0.094}, b18_21_1},
    {TKS_FASTENERS_UNIFIED, 0.4375, {0.44, 0.156, 0.109}, b18_21_1},
    {TKS_FASTENERS_UNIFIED, 0.5, {0.502, 0.171, 0.125}, b18_21_1},
    {TKS_FASTENERS_UNIFIED, 0.5625, {0.564, 0.188, 0.141}, b18_21_1},
    {TKS_FASTENERS_UNIFIED, 0.625, {0.628, 0.203, 0.156}, b18_21_1},
    {TKS_FASTENERS_UNIFIED, 0.75, {0.753, 0.234, 0.188}, b18_21_1},
    {TKS_FASTENERS_UNIFIED, 0.875, {0.878, 0.266, 0.219}, b18_21_1},
    {TKS_FASTENERS_UNIFIED, 1, {1.003, 0.297, 0.25}, b18_21_1},
};

static const tks_fastener_table tables[] = {
    {"hexagon bolt",
     2,
     sizeof hexagon_bolts / sizeof hexagon_bolts[0],
     {"across flats", "head height"},
     hexagon_bolts},
    {"hexagon nut",
     2,
     sizeof hexagon_nuts / sizeof hexagon_nuts[0],
     {"across flats", "height"},
     hexagon_nuts},
    {"thin nut", 2, sizeof thin_nuts / sizeof thin_nuts[0], {"across flats", "height"}, thin_nuts},
    {"lock nut",
     3,
     sizeof lock_nuts / sizeof lock_nuts[0],
     {"across flats", "height", "metal height"},
     lock_nuts},
    {"socket cap screw",
     4,
     sizeof socket_cap_screws / sizeof socket_cap_screws[0],
     {"head diameter", "head height", "socket", "socket depth"},
     socket_cap_screws},
    {"button head screw",
     4,
     sizeof button_head_screws / sizeof button_head_screws[0],
     {"head diameter", "head height", "socket", "socket depth"},
     button_head_screws},
    {"countersunk screw",
     4,
     sizeof countersunk_screws / sizeof countersunk_screws[0],
     {"sharp diameter", "least diameter", "socket", "socket depth"},
     countersunk_screws},
    {"set screw",
     3,
     sizeof set_screws / sizeof set_screws[0],
     {"socket", "socket depth", "point diameter"},
     set_screws},
    {"plain washer",
     3,
     sizeof plain_washers / sizeof plain_washers[0],
     {"inside", "outside", "thickness"},
     plain_washers},
    {"spring washer",
     3,
     sizeof spring_washers / sizeof spring_washers[0],
     {"inside", "width", "thickness"},
     spring_washers},
};

enum { TABLES = sizeof tables / sizeof tables[0] };

const tks_fastener_table *tks_fastener_table_at(size_t i)
{
    return i < TABLES ? &tables[i] : NULL;
}

const tks_fastener_table *tks_fastener_table_find(const char *name, size_t length)
{
    for (size_t i = 0; i < TABLES; i++)
        if (base_name_is(name, length, tables[i].name)) return &tables[i];
    return NULL;
}

int tks_fastener_column(const tks_fastener_table *table, const char *name, size_t length)
{
    for (size_t i = 0; i < table->column_count; i++)
        if (base_name_is(name, length, table->columns[i])) return (int)i;
    return -1;
}

static tks_fastener_group group_of(tks_thread_series series)
{
    switch (series) {
    case TKS_SERIES_UNC:
    case TKS_SERIES_UNF: return TKS_FASTENERS_UNIFIED;
    case TKS_SERIES_BSW:
    case TKS_SERIES_BSF: return TKS_FASTENERS_BRITISH;
    case TKS_SERIES_BA: return TKS_FASTENERS_BA;
    default: return TKS_FASTENERS_METRIC;
    }
}

/* The row of the group whose diameter is nearest, another one than `but`. */
static const tks_fastener_row *nearest_row(const tks_fastener_table *table,
                                           tks_fastener_group group, double diameter,
                                           const tks_fastener_row *but)
{
    const tks_fastener_row *best = NULL;
    for (size_t i = 0; i < table->row_count; i++) {
        const tks_fastener_row *row = &table->rows[i];
        if (row->group != group || row == but) continue;
        if (!best || fabs(row->diameter - diameter) < fabs(best->diameter - diameter)) best = row;
    }
    return best;
}

/* Name of the first thread size of this diameter in the same series, or of its group. */
static const char *size_name(const tks_fastener_row *row, tks_thread_series series)
{
    size_t count;
    const tks_thread_size *sizes = tks_thread_sizes(&count);
    const char *other = "?";
    for (size_t i = count; i-- > 0;) {
        if (group_of(sizes[i].series) != row->group || sizes[i].diameter != row->diameter) continue;
        if (sizes[i].series == series) return sizes[i].name;
        other = sizes[i].name;
    }
    return other;
}

tks_status tks_fastener_row_find(const tks_fastener_table *table, const tks_thread_size *thread,
                                 tks_place at, const tks_fastener_row **row, tks_error *err)
{
    tks_fastener_group group = group_of(thread->series);
    const tks_fastener_row *best = nearest_row(table, group, thread->diameter, NULL);
    if (best && best->diameter == thread->diameter) {
        *row = best;
        return TKS_OK;
    }
    const tks_fastener_row *second =
        best ? nearest_row(table, group, thread->diameter, best) : NULL;
    if (!second)
        return tks_fail(err, TKS_EUNKNOWN, at,
                        "no sizes of a %s are known for %s threads; give its sizes", table->name,
                        tks_thread_series_name(thread->series));
    return tks_fail(err, TKS_EUNKNOWN, at,
                    "no %s is known for %s; the nearest are %s and %s, or give its sizes",
                    table->name, thread->name, size_name(best, thread->series),
                    size_name(second, thread->series));
}

double tks_fastener_value(const tks_fastener_row *row, size_t column)
{
    bool inch = row->group == TKS_FASTENERS_UNIFIED || row->group == TKS_FASTENERS_BRITISH;
    return row->values[column] * (inch ? INCH : MM);
}
