/* SPDX-License-Identifier: MIT */
/* Player and link together (gait_robot.c), on a host: each case ends the program
   with its line where something is not as it must be. The arguments are two
   tables of one robot, a walk that loops and a move with a cool-down, and one
   of other units. */

#include "gait_robot.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define WANT(x) do { if (!(x)) { printf("together.c:%d: %s\n", __LINE__, #x); exit(1); } } while (0)

#define MOST 3
static uint8_t *bytes[MOST];
static uint32_t length[MOST];

static void copy(int i, uint32_t at, uint8_t *to, uint8_t n)
{
	WANT(at <= length[i] && n <= length[i] - at);
	memcpy(to, bytes[i] + at, n);
}

static void read_0(uint32_t at, uint8_t *to, uint8_t n) { copy(0, at, to, n); }
static void read_1(uint32_t at, uint8_t *to, uint8_t n) { copy(1, at, to, n); }
static void read_2(uint32_t at, uint8_t *to, uint8_t n) { copy(2, at, to, n); }

static struct gait_table walk = {read_0, 0}, strike = {read_1, 0}, foreign = {read_2, 0};
static const struct gait_table *const tables[2] = {&walk, &strike};

static struct gait_robot robot;
static uint32_t now;
static uint16_t pulse[1000]; /* of each output, 0 for none */
static unsigned moved, ends;

static void servo(void *user, uint16_t output, uint16_t eighths)
{
	WANT(user == &ends && output < 1000);
	pulse[output] = eighths;
	moved++;
}

static void load(int i, struct gait_table *t, const char *path)
{
	FILE *f = fopen(path, "rb");
	long n;
	WANT(f && !fseek(f, 0, SEEK_END) && (n = ftell(f)) > 0 && !fseek(f, 0, SEEK_SET));
	bytes[i] = malloc((size_t)n);
	WANT(bytes[i] && fread(bytes[i], 1, (size_t)n, f) == (size_t)n);
	fclose(f);
	length[i] = t->size = (uint32_t)n;
}

static void begin(void)
{
	memset(&robot, 0, sizeof robot);
	robot.user = &ends;
	robot.servo = servo;
	WANT(gait_robot_init(&robot, tables, 2) == GAIT_OK);
}

static void ticks(unsigned n)
{
	while (n--) {
		now += 20000;
		robot.link.alive = robot.link.present = robot.link.now; /* the program is there */
		gait_robot_tick(&robot, now);
	}
}

/* As after ask, arm, a pose, and the way to it. */
static void follows(void)
{
	begin();
	ticks(1);
	robot.link.state = GAIT_LINK_FOLLOW;
	robot.link.woken = robot.link.channels;
	robot.link.limp = 1000;
	ticks(1);
}

/* What the link does for a frame of kind play. */
static uint8_t asked(uint8_t table, uint16_t speed, uint8_t times)
{
	uint8_t ok = robot.config.play(&robot, table, speed, times);
	if (ok) {
		robot.link.table = table;
		robot.link.state = GAIT_LINK_PLAY;
	}
	return ok;
}

static unsigned until(uint8_t state)
{
	unsigned n;
	for (n = 0; robot.link.state != state; n++) {
		WANT(n < 5000);
		ticks(1);
	}
	return n;
}

int main(int argc, char **argv)
{
	const struct gait_table *const wrong[2] = {&walk, &foreign};
	unsigned once, thrice;
	uint8_t i;
	WANT(argc == 4);
	load(0, &walk, argv[1]);
	load(1, &strike, argv[2]);
	load(2, &foreign, argv[3]);

	/* Outputs in order of their numbers, whatever the tables' order; the rest
	   pose is the first table's. */
	follows();
	for (i = 1; i < robot.link.channels; i++)
		WANT(robot.output[i] > robot.output[i - 1] && robot.rest[i] >= robot.least[i] && robot.rest[i] <= robot.greatest[i]);
	for (i = 0; i < robot.link.channels; i++)
		WANT(pulse[robot.output[i]] == robot.rest[i]);

	/* Once, three times, without end; no table; too fast; a cool-down counts. */
	WANT(!asked(2, 256, 1) && !asked(0, 0, 1) && !asked(0, 65535, 1));
	WANT(asked(0, 256, 1));
	once = until(GAIT_LINK_FOLLOW);
	WANT(asked(0, 256, 3));
	thrice = until(GAIT_LINK_FOLLOW);
	WANT(once > 20 && thrice > 3 * once - 9 && thrice < 3 * once + 9);
	WANT(asked(0, 256, 0));
	ticks(5 * once);
	WANT(robot.link.state == GAIT_LINK_PLAY && robot.player.state == GAIT_PLAY);
	gait_robot_stop(&robot);
	moved = 0;
	ticks(20);
	WANT(robot.link.state == GAIT_LINK_STOPPED && moved == 0 && robot.player.state == GAIT_IDLE);
	follows();
	WANT(asked(1, 256, 1));
	once = until(GAIT_LINK_FOLLOW);
	WANT(robot.player.state == GAIT_IDLE && robot.player.cool_left == 0);
	WANT(asked(1, 256, 2));
	thrice = until(GAIT_LINK_FOLLOW);
	WANT(thrice > 2 * once - 100 && thrice < 2 * once + 400); /* with the way back to the first pose */

	/* The link knows where the table has left the servos. */
	for (i = 0; i < robot.link.channels; i++)
		WANT(robot.link.at[i] == pulse[robot.output[i]] && robot.link.goal[i] == robot.link.at[i]);

	/* Silence while a table plays holds the player; it plays again afterwards. */
	WANT(asked(0, 256, 0));
	ticks(300);
	moved = 0;
	for (i = 0; i < 15; i++) {
		now += 20000;
		gait_robot_tick(&robot, now);
	}
	WANT(robot.link.state == GAIT_LINK_HOLD && robot.player.state == GAIT_FAULT && robot.player.fault == GAIT_FAULT_LINK);
	moved = 0;
	ticks(10);
	WANT(moved == 0);
	robot.link.state = GAIT_LINK_FOLLOW;
	WANT(asked(0, 256, 1) && robot.player.state != GAIT_FAULT);

	/* A fault of the player ends the table, and the program is told. */
	ticks(2);
	gait_fault(&robot.player, GAIT_FAULT_FOOT);
	ticks(2);
	WANT(robot.link.state == GAIT_LINK_FOLLOW && robot.link.fault == GAIT_LINK_BAD_PLAY);

	/* Limp while it plays: all pulses are cut. */
	WANT(asked(0, 256, 0));
	ticks(5);
	gait_robot_limp(&robot);
	ticks(5);
	for (i = 0; i < robot.link.channels; i++)
		WANT(pulse[robot.output[i]] == 0);

	/* On its own, without the program; which stops it when it arms, or stops. */
	begin();
	ticks(1);
	WANT(gait_robot_play(&robot, 0, 256, 0) == GAIT_OK && gait_robot_play(&robot, 0, 256, 0) == GAIT_BUSY);
	ticks(100);
	WANT(robot.player.state == GAIT_PLAY && pulse[robot.output[0]]);
	robot.link.state = GAIT_LINK_ARMED;
	gait_robot_byte(&robot, 0);
	moved = 0;
	ticks(5);
	WANT(robot.player.state == GAIT_IDLE && moved == 0);
	WANT(gait_robot_play(&robot, 0, 256, 1) == GAIT_BUSY);
	begin();
	ticks(1);
	WANT(gait_robot_play(&robot, 0, 256, 0) == GAIT_OK);
	ticks(100);
	gait_robot_stop(&robot);
	moved = 0;
	ticks(5);
	WANT(moved == 0 && robot.link.state == GAIT_LINK_OFF);

	/* Tables that do not fit one another never move anything. */
	memset(&robot, 0, sizeof robot);
	robot.user = &ends;
	robot.servo = servo;
	WANT(gait_robot_init(&robot, wrong, 2) == GAIT_OTHER_ROBOT && robot.link.channels == 0);
	WANT(gait_robot_play(&robot, 0, 256, 1) == GAIT_NO_TABLE);
	WANT(gait_robot_init(&robot, tables, 0) == GAIT_NO_TABLE);
	for (i = 0; i < MOST; i++)
		free(bytes[i]);
	puts("fine");
	return 0;
}
