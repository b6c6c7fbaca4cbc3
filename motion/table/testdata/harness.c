/* SPDX-License-Identifier: MIT */
/* Drives the player on a host: commands from standard input, one a line, what
   happens to standard output. For the tests alone. */

#include "gait_player.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define MOST 16

static uint8_t *bytes[MOST];
static uint32_t lengths[MOST];
static long over; /* bytes read past an end */

static void copy(int i, uint32_t at, uint8_t *to, uint8_t n)
{
	if (at > lengths[i] || n > lengths[i] - at) {
		over++;
		memset(to, 0, n);
		return;
	}
	memcpy(to, bytes[i] + at, n);
}

#define READ(i) static void read_##i(uint32_t at, uint8_t *to, uint8_t n) { copy(i, at, to, n); }
READ(0) READ(1) READ(2) READ(3) READ(4) READ(5) READ(6) READ(7)
READ(8) READ(9) READ(10) READ(11) READ(12) READ(13) READ(14) READ(15)

static struct gait_table tables[MOST] = {
	{read_0, 0}, {read_1, 0}, {read_2, 0}, {read_3, 0}, {read_4, 0}, {read_5, 0}, {read_6, 0}, {read_7, 0},
	{read_8, 0}, {read_9, 0}, {read_10, 0}, {read_11, 0}, {read_12, 0}, {read_13, 0}, {read_14, 0}, {read_15, 0},
};

static struct gait_player player;
static uint8_t down[GAIT_LEGS];
static int moved, answer;
static int32_t value[GAIT_CHANNELS];
static uint16_t channel[GAIT_CHANNELS];

static void servo(void *user, uint16_t c, int32_t v)
{
	if (user != &player)
		abort();
	channel[moved] = c;
	value[moved++] = v;
}

static void mark(void *user, uint16_t i)
{
	(void)user;
	printf("mark %u\n", i);
}

static void ended(void *user, const struct gait_table *t)
{
	(void)user;
	printf("ended %d\n", (int)(t - tables));
}

static uint8_t foot_down(void *user, uint8_t leg)
{
	(void)user;
	return down[leg];
}

static enum gait_answer foot(void *user, uint8_t leg, enum gait_foot_event e, uint16_t ms)
{
	(void)user;
	printf("foot %u %s %u\n", leg, e == GAIT_FOOT_EARLY ? "early" : "late", ms);
	return (enum gait_answer)answer;
}

static void load(int i, const char *path)
{
	FILE *f = fopen(path, "rb");
	long n;
	if (!f || fseek(f, 0, SEEK_END) || (n = ftell(f)) < 0 || fseek(f, 0, SEEK_SET))
		exit(3);
	free(bytes[i]);
	bytes[i] = malloc((size_t)n + 1);
	if (!bytes[i] || fread(bytes[i], 1, (size_t)n, f) != (size_t)n)
		exit(3);
	fclose(f);
	lengths[i] = tables[i].size = (uint32_t)n;
}

static void tick(unsigned long now)
{
	int i;
	moved = 0;
	gait_tick(&player, (uint32_t)now);
	printf("tick %lu %d %u %lu %u %d", now, (int)player.state, player.fault, (unsigned long)player.weight, (unsigned)gait_phase(&player), moved);
	for (i = 0; i < moved; i++)
		printf(" %ld", (long)player.pose[i]);
	for (i = 0; i < moved; i++)
		printf(" %u %ld", channel[i], (long)value[i]);
	printf("\n");
}

int main(void)
{
	static char line[4096], text[4096];
	unsigned long now = 0xfffff000UL; /* so that it wraps round */
	gait_init(&player, servo, &player);
	player.mark = mark;
	player.ended = ended;
	while (fgets(line, sizeof line, stdin)) {
		long a = 0, b = 0, c;
		char word[32];
		if (sscanf(line, "%31s", word) != 1)
			continue;
		sscanf(line, "%*s %ld %ld", &a, &b);
		if (!strcmp(word, "load") && sscanf(line, "%*s %ld %4095s", &a, text) == 2) {
			load((int)a, text);
		} else if (!strcmp(word, "check")) {
			printf("check %d\n", (int)gait_check(&tables[a]));
		} else if (!strcmp(word, "stands")) {
			printf("stands %d\n", (int)gait_stands(&player, &tables[a]));
		} else if (!strcmp(word, "at") || !strcmp(word, "go")) { /* every channel b more than in the first pose */
			static uint16_t first[GAIT_CHANNELS];
			static int32_t pose[GAIT_CHANNELS];
			struct gait_head h;
			int i, r = (int)gait_pose(&player, &tables[a], 0, first);
			if (!r)
				r = (int)gait_head(&tables[a], &h);
			for (i = 0; !r && i < h.channels; i++)
				pose[i] = (h.flags & GAIT_SIGNED ? (int16_t)first[i] : first[i]) / (1 << h.bits) + (int32_t)b * (i % 3 - 1);
			if (!r)
				r = (int)(word[0] == 'a' ? gait_stands_at(&player, &tables[a], pose) : gait_go(&player, &tables[a], pose));
			printf("%s %d\n", word, r);
		} else if (!strcmp(word, "play")) {
			printf("play %d\n", (int)gait_play(&player, &tables[a]));
		} else if (!strcmp(word, "next")) {
			printf("next %d\n", (int)gait_next(&player, &tables[a]));
		} else if (!strcmp(word, "change")) {
			printf("change %d\n", (int)gait_change(&player, &tables[a], (uint16_t)b));
		} else if (!strcmp(word, "speed")) {
			printf("speed %d\n", (int)gait_set_speed(&player, (uint16_t)a));
		} else if (!strcmp(word, "finish")) {
			gait_finish(&player);
		} else if (!strcmp(word, "stop")) {
			gait_stop(&player);
		} else if (!strcmp(word, "fault")) {
			gait_fault(&player, (uint8_t)a);
		} else if (!strcmp(word, "clear")) {
			gait_clear(&player);
		} else if (!strcmp(word, "bits")) {
			player.bits = (uint8_t)a;
		} else if (!strcmp(word, "approach")) {
			player.approach = (uint32_t)a;
		} else if (!strcmp(word, "feet")) {
			player.foot_down = foot_down;
			player.foot = foot;
			answer = (int)a;
		} else if (!strcmp(word, "down")) {
			down[a] = (uint8_t)b;
		} else if (!strcmp(word, "pose")) {
			static uint16_t pose[GAIT_CHANNELS];
			struct gait_head h;
			int i, r = (int)gait_pose(&player, &tables[a], (uint8_t)b, pose);
			printf("pose %d", r);
			if (!r && !gait_head(&tables[a], &h))
				for (i = 0; i < h.channels; i++)
					printf(" %u", pose[i]);
			printf("\n");
		} else if (!strcmp(word, "ticks")) { /* a ticks, b µs apart */
			for (c = 0; c < a; c++) {
				now = (now + (unsigned long)b) & 0xffffffffUL;
				tick(now);
			}
		} else if (!strcmp(word, "break")) { /* the table loses bytes */
			tables[a].size = lengths[a] = (uint32_t)b;
		} else if (!strcmp(word, "crc")) {
			uint16_t crc = 0xffff;
			const char *s;
			for (s = "123456789"; *s; s++)
				crc = gait_crc(crc, (uint8_t)*s);
			printf("crc %x\n", crc);
		} else {
			return 4;
		}
	}
	for (over = over ? 1 : 0; over; over = 0)
		printf("over\n");
	for (moved = 0; moved < MOST; moved++)
		free(bytes[moved]);
	return 0;
}
