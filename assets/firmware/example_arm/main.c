/* SPDX-License-Identifier: MIT */
/*
 * Plays every table of gait_tables.h once, on a 32-bit Arm part with a
 * Cortex-M0+ core, without any library:
 *
 *   arm-none-eabi-gcc -mcpu=cortex-m0plus -mthumb -Os -std=c99 -ffreestanding -nostdlib -I. \
 *     -T example_arm/part.ld -o robot.elf example_arm/main.c example_arm/startup.c gait_player.c NAME_*.c -lgcc
 *
 * CAUTION. Put the robot on a stand, its feet in the air, and into the first
 * pose by hand; keep hands and face away from the legs; have a switch within
 * reach that cuts the servos' power. Servos that are first told anything go
 * there at full force.
 *
 * The core's own timer (SysTick, Armv6-M) gives the time. The pulses are made
 * by the part's PWM timers, which are not the same on any two parts: fill in
 * CLOCK and pulse_to(), and set the timers up for a period of 20 ms and a
 * count of 1 µs before the loop. Compare registers that take a new value at
 * the end of their period make every edge in hardware.
 */

#include "gait_player.h"
#include "gait_tables.h"

#define CLOCK 48000000UL /* Hz, of the core */
#define TICK_US 5000UL

#define SYST_CSR (*(volatile uint32_t *)0xe000e010UL)
#define SYST_RVR (*(volatile uint32_t *)0xe000e014UL)
#define SYST_CVR (*(volatile uint32_t *)0xe000e018UL)

/* Compare registers of the PWM timers, one a channel: where your part has
   them. */
#define COMPARE ((volatile uint32_t *)0x40050000UL)
#define CHANNELS 36

static void pulse_to(uint16_t channel, uint32_t us)
{
	COMPARE[channel] = us;
}

static struct gait_player player;
static volatile uint32_t now; /* µs */

void systick(void);
void systick(void)
{
	now += TICK_US;
}

static void servo(void *user, uint16_t channel, int32_t value)
{
	if (channel >= CHANNELS || value < 1 || value > 20000)
		gait_fault(user, GAIT_FAULT_USER);
	else
		pulse_to(channel, (uint32_t)value);
}

static const struct gait_table *const tables[GAIT_TABLE_COUNT] = {GAIT_TABLES};

int main(void)
{
	uint32_t done = 0;
	unsigned i, next = 0;

	gait_init(&player, servo, &player);
	for (i = 0; i < GAIT_TABLE_COUNT; i++)
		if (gait_check(tables[i]))
			gait_fault(&player, GAIT_FAULT_TABLE);
	gait_stands(&player, tables[0]); /* on your word: see above */

	SYST_RVR = CLOCK / 1000000UL * TICK_US - 1;
	SYST_CVR = 0;
	SYST_CSR = 7;

	for (;;) {
		uint32_t time = now;
		if (time == done)
			continue;
		done = time;
		if (gait_tick(&player, time) == GAIT_IDLE && next < GAIT_TABLE_COUNT && gait_play(&player, tables[next]) == GAIT_OK) {
			gait_finish(&player); /* of a walk one cycle */
			next++;
		}
	}
}
