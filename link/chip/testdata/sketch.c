/* SPDX-License-Identifier: MIT */
/* What somebody's own firmware has already: servos, a clock, and a main program
   that calls setup() and loop(). */

#include "pulses.h"

#include <avr/interrupt.h>

void my_servo(uint16_t channel, int32_t us);
uint32_t my_clock(void);
void setup(void);
void loop(void);

static uint32_t time;

void my_servo(uint16_t channel, int32_t us)
{
	pulses_set(channel, (uint16_t)(2 * us));
}

uint32_t my_clock(void)
{
	return time;
}

int main(void)
{
	setup();
	pulses_begin();
	sei();
	for (;;) {
		uint8_t frames = pulses_due();
		if (!frames)
			continue;
		loop();
		time += PULSES_FRAME_US * frames;
		pulses_lay();
	}
}
