/* The limit: the same turns as a permutation of 48 bytes each, and nothing else.

   Input, native byte order: 18 tables of 48 bytes; then for each run an uint32 length and its turns,
   a byte each. Argument: how often to turn all of them. Output: seconds of processor time for one
   round, and a sum over all ends, so that no work can be left out. */
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { STICKERS = 48, TURNS = 18 };

static uint32_t turn_all(const uint8_t *runs, const uint8_t *end, uint8_t tables[TURNS][STICKERS]) {
    uint32_t sum = 0;
    while (runs < end) {
        uint32_t n;
        uint8_t places[STICKERS];
        memcpy(&n, runs, sizeof n);
        runs += sizeof n;
        for (int i = 0; i < STICKERS; i++) places[i] = (uint8_t)i;
        for (uint32_t t = 0; t < n; t++) {
            const uint8_t *table = tables[runs[t]];
            for (int i = 0; i < STICKERS; i++) places[i] = table[places[i]];
        }
        runs += n;
        for (int i = 0; i < STICKERS; i++) sum = sum * 31 + places[i];
    }
    return sum;
}

int main(int argc, char **argv) {
    static uint8_t tables[TURNS][STICKERS];
    static uint8_t runs[64 << 20];
    if (argc != 2 || fread(tables, 1, sizeof tables, stdin) != sizeof tables) return 1;
    const size_t size = fread(runs, 1, sizeof runs, stdin);
    const int rounds = atoi(argv[1]);
    uint32_t sum = 0;
    const clock_t began = clock();
    for (int round = 0; round < rounds; round++) sum = turn_all(runs, runs + size, tables);
    printf("%.9f %u\n", (double)(clock() - began) / CLOCKS_PER_SEC / rounds, sum);
    return 0;
}
