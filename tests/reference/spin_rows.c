/* Prints each network state once, however many values of clocks it is reached with.
 *
 * A table with open addressing keeps every row whole, so that nothing is lost to hashing.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define FIRST_ROOM 65536UL /* rows; doubled whenever the table is half full */

static unsigned char *rows;
static char *used;
static unsigned long room, held;

static unsigned long place_of(const unsigned char *row, int columns)
{
    unsigned long hash = 1469598103934665603UL;

    for (int column = 0; column < columns; column++)
        hash = (hash ^ row[column]) * 1099511628211UL;
    hash = (hash ^ (hash >> 32)) % room;
    while (used[hash] && memcmp(rows + hash * columns, row, columns) != 0)
        hash = (hash + 1) % room;
    return hash;
}

static void keep(const unsigned char *row, int columns)
{
    unsigned long place = place_of(row, columns);

    used[place] = 1;
    memcpy(rows + place * columns, row, columns);
}

static void grow(int columns)
{
    unsigned char *rows_before = rows;
    char *used_before = used;
    unsigned long room_before = room;

    room = room ? room * 2 : FIRST_ROOM;
    rows = malloc(room * columns);
    used = calloc(room, 1);
    if (!rows || !used) {
        fprintf(stderr, "no memory for %lu rows\n", room);
        exit(3);
    }
    for (unsigned long place = 0; place < room_before; place++)
        if (used_before[place])
            keep(rows_before + place * columns, columns);
    free(rows_before);
    free(used_before);
}

void show_row(const unsigned char *row, int columns)
{
    if (2 * held >= room)
        grow(columns);
    if (used[place_of(row, columns)])
        return;
    keep(row, columns);
    held++;
    putchar('S');
    for (int column = 0; column < columns; column++)
        printf(" %d", row[column]);
    putchar('\n');
}
