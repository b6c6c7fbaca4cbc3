/* SPDX-License-Identifier: MIT */
/* Reads a table as FORMAT.md says and prints what is in it, in whole units,
   with nothing taken from the player. For the tests alone. */

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

static unsigned char *table;
static unsigned long size;

static unsigned long number(unsigned long at, int bytes)
{
	unsigned long v = 0;
	int i;
	for (i = bytes - 1; i >= 0; i--) {
		if (at + (unsigned long)i >= size) {
			fprintf(stderr, "byte %lu of %lu\n", at, size);
			exit(2);
		}
		v = v * 256 + table[at + (unsigned long)i];
	}
	return v;
}

/* Bit by bit, as the definition of a CRC has it. */
static unsigned long crc(unsigned long from, unsigned long to)
{
	unsigned long reg = 0xffff, bit;
	for (bit = from * 8; bit < to * 8; bit++) {
		unsigned long in = (unsigned long)table[bit / 8] >> (7 - bit % 8) & 1;
		unsigned long out = reg >> 15 & 1;
		reg = reg << 1 & 0xffff;
		if (in ^ out)
			reg ^= 0x1021;
	}
	return reg;
}

int main(int argc, char **argv)
{
	FILE *f = argc == 2 ? fopen(argv[1], "rb") : NULL;
	unsigned long head, channels, frames, rows, c, r, at, block, packing, contacts, marks, blocks, lead;
	int loop, negative;
	double unit;
	long *last, *before;
	if (!f)
		return 1;
	table = malloc(1 << 22);
	if (!table)
		return 1;
	size = fread(table, 1, 1 << 22, f);
	fclose(f);
	if (number(0, 3) != 'G' + 256UL * 'W' + 65536UL * 'T' || number(3, 1) != 2 || number(8, 4) != size)
		return 2;
	head = number(12, 2);
	if (crc(6, head) != number(4, 2) || crc(head, size) != number(6, 2))
		return 2;
	channels = number(14, 1);
	frames = number(16, 2);
	loop = (int)(number(27, 1) & 1);
	negative = (int)(number(27, 1) & 2);
	packing = number(28, 1);
	block = number(29, 1);
	contacts = number(38, 2);
	marks = number(40, 2);
	blocks = number(30, 2);
	unit = ldexp(1, -(int)number(25, 1));
	lead = number(26, 1) == 2 && !loop; /* a frame before the first and one after the last */
	rows = frames + 2 * lead;
	printf("head %lu %lu %lu %lu %lu %lu %d %lu %lu\n", number(15, 1), channels, frames, number(18, 4), number(22, 2), number(26, 1), loop, number(32, 4), number(36, 2));
	for (c = 0; c < channels; c++) {
		at = 44 + 14 * c;
		printf("channel %lu %lu %lu %lu %lu\n", number(at, 2), number(at + 2, 2), number(at + 4, 2), number(at + 6, 4), number(at + 10, 4));
	}
	at = 44 + 14 * channels;
	for (c = 0; c < contacts; c++, at += 5)
		printf("contact %.9g %lx\n", (double)number(at, 2) + (double)number(at + 2, 1) / 256, number(at + 3, 2));
	for (c = 0; c < marks; c++, at += 3)
		printf("mark %.9g\n", (double)number(at, 2) + (double)number(at + 2, 1) / 256);
	if (at + 4 * blocks != head)
		return 2;
	last = calloc(channels, sizeof *last);
	before = calloc(channels, sizeof *before);
	if (!last || !before)
		return 1;
	at = head;
	for (r = 0; r < rows; r++) {
		unsigned long in = packing ? r % block : 0;
		if (packing && in == 0 && at != head + number(head - 4 * blocks + 4 * (r / block), 4))
			return 2;
		if (r >= lead && r - lead < frames)
			printf("frame");
		for (c = 0; c < channels; c++) {
			long v;
			if (!packing || in == 0) {
				v = (long)number(at, 2);
				at += 2;
			} else if (number(at, 1) == 0x80) {
				v = (long)number(at + 1, 2);
				at += 3;
			} else {
				long d = (long)number(at, 1);
				if (d > 127)
					d -= 256;
				v = last[c] + d;
				if (packing == 2 && in >= 2)
					v += last[c] - before[c];
				v = (v % 65536 + 65536) % 65536;
				at++;
			}
			before[c] = last[c];
			last[c] = v;
			if (negative && v > 32767)
				v -= 65536;
			if (r >= lead && r - lead < frames)
				printf(" %.9g", (double)v * unit);
		}
		if (r >= lead && r - lead < frames)
			printf("\n");
	}
	free(last);
	free(before);
	free(table);
	return at == size ? 0 : 2;
}
