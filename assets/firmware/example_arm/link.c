/* SPDX-License-Identifier: MIT */
/*
 * A robot that the program leads over a serial line, and that plays its tables:
 * on a 32-bit Arm part with a Cortex-M0+ core, without any library:
 *
 *   arm-none-eabi-gcc -mcpu=cortex-m0plus -mthumb -Os -std=c99 -ffreestanding -nostdlib -I. \
 *     -T example_arm/part.ld -o robot.elf example_arm/link.c example_arm/startup.c \
 *     gait_robot.c gait_link.c gait_player.c NAME_*.c -lgcc
 *
 * CAUTION. Put the robot on a stand, its feet in the air, and into the first
 * pose of the first table by hand; keep hands and face away from the legs; have
 * a switch within reach that cuts the servos' power. Servos that are first told
 * anything go there at full force.
 *
 * The core's own timer (SysTick, Armv6-M) gives the time. PWM timers and serial
 * ports are not the same on any two parts: fill in CLOCK, pulse_to(), and the
 * registers of the port; set both up before the loop. Without an interrupt for
 * what comes, the loop must look at the port more often than every 80 µs.
 */

#include "gait_robot.h"
#include "gait_tables.h"

#define CLOCK 48000000UL /* Hz, of the core */
#define TICK_US 5000UL

#define SYST_CSR (*(volatile uint32_t *)0xe000e010UL)
#define SYST_RVR (*(volatile uint32_t *)0xe000e014UL)
#define SYST_CVR (*(volatile uint32_t *)0xe000e018UL)

/* Compare registers of the PWM timers, one an output, in eighths of a
   microsecond; and the serial port: where your part has them. */
#define COMPARE ((volatile uint32_t *)0x40050000UL)
#define OUTPUTS 36
#define PORT_DATA (*(volatile uint32_t *)0x40034000UL)
#define PORT_FLAGS (*(volatile uint32_t *)0x40034018UL)
#define PORT_EMPTY 0x10U /* nothing has come */
#define PORT_FULL 0x20U  /* no room for what is to go */

static struct gait_robot robot;
static volatile uint32_t now; /* µs */

void systick(void);
void systick(void)
{
	now += TICK_US;
}

static void pulse_to(void *user, uint16_t output, uint16_t eighths)
{
	(void)user;
	if (output < OUTPUTS)
		COMPARE[output] = eighths; /* 0: no pulse */
	else if (eighths)
		gait_robot_stop(&robot);
}

static void listen(void)
{
	while (!(PORT_FLAGS & PORT_EMPTY))
		gait_robot_byte(&robot, (uint8_t)PORT_DATA);
}

static void send(void *user, const uint8_t *bytes, uint8_t n)
{
	(void)user;
	while (n--) {
		while (PORT_FLAGS & PORT_FULL)
			;
		PORT_DATA = *bytes++;
	}
}

static uint16_t seed(void *user)
{
	(void)user;
	return (uint16_t)SYST_CVR; /* when the program asked */
}

static const struct gait_table *const tables[GAIT_TABLE_COUNT] = {GAIT_TABLES};

int main(void)
{
	uint32_t done = 0;

	robot.servo = pulse_to;
	robot.send = send;
	robot.seed = seed;
	gait_robot_init(&robot, tables, GAIT_TABLE_COUNT); /* what does not fit never moves: the program says so */

	SYST_RVR = CLOCK / 1000000UL * TICK_US - 1;
	SYST_CVR = 0;
	SYST_CSR = 7;

	for (;;) {
		uint32_t time = now;
		listen();
		if (time == done)
			continue;
		done = time;
		gait_robot_tick(&robot, time);
	}
}
