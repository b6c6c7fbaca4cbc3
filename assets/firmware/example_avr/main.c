/* SPDX-License-Identifier: MIT */
/*
 * Plays every table of gait_tables.h once, on an ATmega2560 at 16 MHz, with
 * servos on up to 18 pins (pulses.h) and nothing but avr-libc:
 *
 *   avr-gcc -mmcu=atmega2560 -Os -std=c99 -I. -o robot.elf example_avr/main.c example_avr/pulses.c gait_player.c NAME_*.c
 *
 * With -DFOOT_SWITCHES it looks at foot switches: that of leg n closes to
 * ground on PKn, legs from the eighth on on PFn. A foot that does not come down
 * is waited for, and if it does not come at all the robot holds.
 *
 * CAUTION. Put the robot on a stand, its feet in the air, and into the first
 * pose by hand; keep hands and face away from the legs; have a switch within
 * reach that cuts the servos' power. Servos that are first told anything go
 * there at full force.
 */

#include "gait_player.h"
#include "gait_tables.h"
#include "pulses.h"

#include <avr/interrupt.h>
#include <avr/io.h>

static struct gait_player player;

/* The value has one fraction bit: it is half microseconds. */
static void servo(void *user, uint16_t channel, int32_t value)
{
	if (value < 0 || value > PULSES_WIDEST || !pulses_set(channel, (uint16_t)value))
		gait_fault(user, GAIT_FAULT_USER);
}

#ifdef FOOT_SWITCHES
static uint8_t foot_down(void *user, uint8_t leg)
{
	(void)user;
	return !((leg < 8 ? PINK : PINF) & _BV(leg % 8));
}

static enum gait_answer foot(void *user, uint8_t leg, enum gait_foot_event event, uint16_t ms)
{
	(void)user;
	(void)leg;
	(void)ms;
	return event == GAIT_FOOT_LATE ? GAIT_WAIT : GAIT_GO_ON;
}
#endif

static const struct gait_table *const tables[GAIT_TABLE_COUNT] = {GAIT_TABLES};

int main(void)
{
	uint8_t i, next = 0;
	uint32_t time = 0;

	gait_init(&player, servo, &player);
	player.bits = 1;
#ifdef FOOT_SWITCHES
	PORTK = 0xff; /* pull-ups */
	PORTF = 0xff;
	player.foot_down = foot_down;
	player.foot = foot;
#endif
	for (i = 0; i < GAIT_TABLE_COUNT; i++)
		if (gait_check(tables[i]))
			gait_fault(&player, GAIT_FAULT_TABLE);
	gait_stands(&player, tables[0]); /* on your word: see above */
	pulses_begin();
	sei();

	for (;;) {
		uint8_t frames = pulses_due();
		if (!frames)
			continue;
		time += PULSES_FRAME_US * frames;
		if (gait_tick(&player, time) == GAIT_IDLE && next < GAIT_TABLE_COUNT && gait_play(&player, tables[next]) == GAIT_OK) {
			gait_finish(&player); /* of a walk one cycle */
			next++;
		}
		pulses_lay();
	}
}
