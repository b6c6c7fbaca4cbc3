/* SPDX-License-Identifier: MIT */
/*
 * A robot that the program leads over UART 0, and that plays its tables: on an
 * ATmega2560 at 16 MHz, with servos on up to 18 pins (pulses.h) and nothing but
 * avr-libc:
 *
 *   avr-gcc -mmcu=atmega2560 -Os -std=c99 -I. -o robot.elf example_avr/link.c example_avr/pulses.c \
 *     gait_robot.c gait_link.c gait_player.c NAME_*.c
 *
 * A button from PB7 to ground stops it, whoever moves it. With -DFOOT_SWITCHES
 * it reports foot switches: that of leg n closes to ground on PKn, legs from
 * the eighth on on PFn.
 *
 * The line has 115200 bit/s. Of 16 MHz that is 117647, 2.1 % too fast (table
 * 22-12 of the datasheet), which is within what 8 bits without parity bear when
 * the other end is right; at 250000 bit/s (-DBAUD=250000, --baud 250000) there
 * is no error.
 *
 * CAUTION. Put the robot on a stand, its feet in the air, and into the first
 * pose of the first table by hand; keep hands and face away from the legs; have
 * a switch within reach that cuts the servos' power. Servos that are first told
 * anything go there at full force.
 */

#include "gait_robot.h"
#include "gait_tables.h"
#include "pulses.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/sleep.h>

#ifndef F_CPU
#define F_CPU 16000000UL
#endif
#ifndef BAUD
#define BAUD 115200UL
#endif

static struct gait_robot robot;

/* ---- the line ---- */

/* What has come, and what is to go: the interrupts move one index, the main
   loop the other one. Indices of a byte wrap by themselves. Of what comes in
   the 20 ms between two looks, 230 bytes at the most find room at 115200. */
static volatile uint8_t in[256], out[128];
static volatile uint8_t in_to, in_from, out_to, out_from;

ISR(USART0_RX_vect)
{
	uint8_t b = UDR0, to = in_to;
	in[to++] = b;
	if (to != in_from) /* full: the byte is lost, and the frame's check says so */
		in_to = to;
}

ISR(USART0_UDRE_vect)
{
	uint8_t from = out_from;
	if (from == out_to) {
		UCSR0B &= (uint8_t)~_BV(UDRIE0);
		return;
	}
	UDR0 = out[from];
	out_from = (uint8_t)((from + 1) % sizeof out);
}

static void send(void *user, const uint8_t *bytes, uint8_t n)
{
	(void)user;
	while (n--) {
		uint8_t next = (uint8_t)((out_to + 1) % sizeof out);
		while (next == out_from)
			;
		out[out_to] = *bytes++;
		out_to = next;
		UCSR0B |= _BV(UDRIE0);
	}
}

static void line_begin(void)
{
	UCSR0A = _BV(U2X0);
	UBRR0 = (uint16_t)((F_CPU / 4 / BAUD - 1) / 2);
	UCSR0C = _BV(UCSZ01) | _BV(UCSZ00);
	UCSR0B = _BV(RXCIE0) | _BV(RXEN0) | _BV(TXEN0);
}

/* ---- the robot ---- */

/* Eighths to half microseconds, rounded. */
static void servo(void *user, uint16_t output, uint16_t eighths)
{
	(void)user;
	if (!pulses_set(output, (uint16_t)((eighths + 2U) / 4U)) && eighths)
		gait_robot_stop(&robot); /* there is no such output, or pulse */
}

static uint16_t seed(void *user)
{
	(void)user;
	return TCNT1; /* when the program asked */
}

#ifdef FOOT_SWITCHES
static uint8_t foot_down(void *user, uint8_t leg)
{
	(void)user;
	return !((leg < 8 ? PINK : PINF) & _BV(leg % 8));
}
#endif

static const struct gait_table *const tables[GAIT_TABLE_COUNT] = {GAIT_TABLES};

int main(void)
{
	uint32_t time = 0;

	PORTB |= _BV(PB7); /* pull-up of the button */
#ifdef FOOT_SWITCHES
	PORTK = 0xff;
	PORTF = 0xff;
	robot.foot_down = foot_down;
#endif
	robot.servo = servo;
	robot.send = send;
	robot.seed = seed;
	gait_robot_init(&robot, tables, GAIT_TABLE_COUNT); /* what does not fit never moves: the program says so */
	line_begin();
	pulses_begin();
	sei();

	for (;;) {
		uint8_t frames;
		while (in_from != in_to)
			gait_robot_byte(&robot, in[in_from++]);
		if (!(PINB & _BV(PB7)))
			gait_robot_stop(&robot);
		frames = pulses_due();
		if (!frames) {
			sleep_mode(); /* until the next edge, in 10 ms at the latest, or byte */
			continue;
		}
		time += PULSES_FRAME_US * frames;
		gait_robot_tick(&robot, time);
		pulses_lay();
	}
}
