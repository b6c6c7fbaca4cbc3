/* SPDX-License-Identifier: MIT */
/* What the player and the link take of an AVR's time and stack, without
   interrupts: GPIOR0 is written before and after each piece of work. At the end
   two bytes of GPIOR0 tell how much of the stack was used. */

#include "gait_link.c" /* its static functions make the frame */
#include "gait_player.h"
#include "gait_tables.h"
#include "pulses.h"

#include <avr/io.h>

#define N 18

static struct gait_player player;
static struct gait_link other;
static uint16_t least[N], greatest[N], rest[N];
static uint8_t sent[64], length;
static const struct gait_table *const tables[GAIT_TABLE_COUNT] = {GAIT_TABLES};

static void servo(void *user, uint16_t channel, int32_t value)
{
	(void)user;
	pulses_set(channel, (uint16_t)value);
}

static void place(void *user, uint8_t channel, uint16_t eighths)
{
	(void)user;
	pulses_set(channel, eighths / 4);
}

static void off(void *user)
{
	(void)user;
}

static void keep(void *user, const uint8_t *bytes, uint8_t n)
{
	(void)user;
	for (length = 0; length < n && length < sizeof sent; length++)
		sent[length] = bytes[length];
}

static uint16_t where(void *user, uint8_t channel)
{
	(void)user;
	return rest[channel];
}

static const struct gait_link_config config = {
	.channels = N, .least = least, .greatest = greatest, .rest = rest, .speed = 32, .approach = 4, .wake = 1,
	.set = place, .off = off, .send = keep, .position = where,
};

extern uint8_t __bss_end;
#define PAINT 0xa5

int main(void)
{
	static uint8_t frame[64];
	uint8_t p[64], i, n, *s;
	uint16_t used;
	uint32_t time = 0;

	for (s = &__bss_end + 1; s < (uint8_t *)SP - 16; s++)
		*s = PAINT;
	for (i = 0; i < N; i++) {
		least[i] = 4000;
		greatest[i] = 20000;
		rest[i] = 12000;
	}
	gait_link_init(&other, &config);
	other.key = 0x1234;
	other.state = GAIT_LINK_FOLLOW;
	for (i = 0; i < N; i++)
		put(p + 3 + 2 * i, (uint16_t)(13000 + 77 * i));
	p[1] = POSE;
	p[2] = other.own = 1;
	put(p + 3 + 2 * N, keyed(other.key, p + 1, 2 + 2 * N));
	transmit(&other, POSE, p, 2 * N + 2);
	for (n = 0; n < length; n++)
		frame[n] = sent[n];

	GPIOR0 = 1; /* a pose comes in */
	for (i = 0; i < n; i++)
		gait_link_byte(&other, frame[i]);
	GPIOR0 = 2;
	if (other.good != 1 || other.goal[17] != 13000 + 77 * 17)
		GPIOR0 = 99;
	gait_link_tick(&other, 1);
	GPIOR0 = 3; /* a tick on the way to it */
	gait_link_tick(&other, 3);
	GPIOR0 = 4;
	other.alive = 1000;
	gait_link_tick(&other, 1000);
	gait_link_tick(&other, 1050);
	GPIOR0 = 5; /* a tick when it is there */
	gait_link_tick(&other, 1060);
	GPIOR0 = 6;
	tell_status(&other);
	GPIOR0 = 7;
	tell_seen(&other);
	GPIOR0 = 8;

	gait_init(&player, servo, &player);
	player.bits = 1;
	gait_stands(&player, tables[0]);
	GPIOR0 = 10; /* a table begins */
	gait_play(&player, tables[0]);
	GPIOR0 = 11;
	do { /* pairs of 20 and 21 */
		GPIOR0 = 20;
		gait_tick(&player, time);
		GPIOR0 = 21;
		time += 20000;
	} while (player.state != GAIT_COOL);
	GPIOR0 = 30;
	pulses_lay();
	GPIOR0 = 31;

	for (s = &__bss_end + 1; *s == PAINT; s++)
		;
	used = (uint16_t)(RAMEND - (uint16_t)s + 1);
	GPIOR0 = 40;
	GPIOR0 = (uint8_t)used;
	GPIOR0 = (uint8_t)(used >> 8);
	for (;;)
		;
}
