/* SPDX-License-Identifier: MIT */
/* Walks by the first table, and from 2.3 s on by the second one. GPIOR0 is
   written when the change begins and when it is over. */

#include "gait_player.h"
#include "gait_tables.h"
#include "pulses.h"

#include <avr/interrupt.h>
#include <avr/io.h>

static struct gait_player player;

static void servo(void *user, uint16_t channel, int32_t value)
{
	if (!pulses_set(channel, (uint16_t)value))
		gait_fault(user, GAIT_FAULT_USER);
}

static const struct gait_table *const tables[GAIT_TABLE_COUNT] = {GAIT_TABLES};

int main(void)
{
	uint32_t time = 0;
	uint8_t was;

	gait_init(&player, servo, &player);
	player.bits = 1;
	gait_stands(&player, tables[0]);
	gait_play(&player, tables[0]);
	pulses_begin();
	sei();
	for (;;) {
		uint8_t frames = pulses_due();
		if (!frames)
			continue;
		time += PULSES_FRAME_US * frames;
		if (time == 2300000UL && gait_change(&player, tables[1], 800) == GAIT_OK)
			GPIOR0 = 1;
		was = player.state;
		gait_tick(&player, time);
		if (was == GAIT_CHANGE && player.state == GAIT_PLAY)
			GPIOR0 = 2;
		pulses_lay();
	}
}
