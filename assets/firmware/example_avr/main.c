/* SPDX-License-Identifier: MIT */
/*
 * Plays every table of gait_tables.h once, on an ATmega2560 at 16 MHz, with
 * servos on up to 18 pins and nothing but avr-libc:
 *
 *   avr-gcc -mmcu=atmega2560 -Os -std=c99 -I. -o robot.elf example_avr/main.c gait_player.c NAME_*.c
 *
 * CAUTION. Put the robot on a stand, its feet in the air, and into the first
 * pose by hand; keep hands and face away from the legs; have a switch within
 * reach that cuts the servos' power. Servos that are first told anything go
 * there at full force.
 *
 * Channel n is on the n-th pin of: PA0 to PA7, PC0 to PC7, PL0, PL1. The bits
 * of these ports that are no servo's are left alone; change them in the
 * interrupt or with interrupts off.
 *
 * How the pulses are made. Timer 1 runs freely at 0.5 µs. A frame has 20 ms;
 * within it every channel has one pulse. The pulses begin 1 ms after one
 * another, so that few servos draw their starting current at once. One
 * compare interrupt makes all edges, each at its own time: where two would
 * come within 7 µs of one another, a pulse is begun a little later, which
 * changes no width. The interrupt comes 20 µs early and waits for the time of
 * the edge, so what held it up meanwhile (other interrupts of up to some
 * 15 µs) does not show. Rise and fall take the same way through the code. What
 * is left is the 5 cycles of the waiting loop: a width is right to 0.32 µs and
 * the half tick of rounding. Do not switch interrupts off for longer than
 * 15 µs; `late` counts the edges that came late.
 */

#include "gait_player.h"
#include "gait_tables.h"

#include <avr/interrupt.h>
#include <avr/io.h>

#define TICKS_A_FRAME 40000U /* 20 ms */
#define FRAME_US 20000UL
#define CHANNELS 18
#define BETWEEN 2000U /* ticks from one pulse's begin to the next one's */
#define GAP 14U       /* least ticks between two edges */
#define LEAD 40U      /* ticks by which the interrupt comes early */
#define WIDEST 5400   /* ticks: 2.7 ms */

struct edge {
	uint16_t at; /* ticks since the frame began */
	volatile uint8_t *port;
	uint8_t set, keep;
};

struct list {
	uint8_t count;
	struct edge edges[2 * CHANNELS + 2];
};

static struct list lists[2];
static volatile uint8_t using_; /* the list that the interrupt is in */
static volatile uint8_t ready;  /* the other one is laid */
static volatile uint8_t taken = 1; /* the other one may be laid */
static volatile uint16_t late;
static uint16_t width[CHANNELS]; /* ticks, 0 for no pulse */
static struct gait_player player;

/* ---- the edges ---- */

static uint16_t base;      /* when the frame began */
static uint8_t edge_now;

static inline void wait_for(uint16_t at)
{
	int16_t left = (int16_t)(at - TCNT1);
	if (left > 2) {
		uint8_t low = (uint8_t)at;
		while (TCNT1L != low)
			;
	} else {
		if (left < 0)
			late++;
		while ((int16_t)(at - TCNT1) > 0)
			;
	}
}

ISR(TIMER1_COMPA_vect)
{
	const struct list *l = &lists[using_];
	const struct edge *e = &l->edges[edge_now];
	for (;;) {
		uint16_t next;
		volatile uint8_t *port = e->port;
		uint8_t set = e->set, keep = e->keep;
		wait_for(base + e->at);
		*port = (uint8_t)((*port & keep) | set);
		edge_now++;
		e++;
		if (edge_now == l->count) {
			base += TICKS_A_FRAME;
			edge_now = 0;
			if (ready) {
				using_ = !using_;
				ready = 0;
				taken = 1;
			}
			l = &lists[using_];
			e = l->edges;
		}
		next = base + e->at;
		if ((int16_t)(next - TCNT1) > (int16_t)(LEAD + 20)) {
			OCR1A = next - LEAD;
			TIFR1 = _BV(OCF1A);
			return;
		}
	}
}

/* ---- a frame ---- */

static volatile uint8_t *port_of(uint8_t i)
{
	return i < 8 ? &PORTA : i < 16 ? &PORTC : &PORTL;
}

static uint8_t free_at(const struct list *l, uint16_t at)
{
	uint8_t i;
	for (i = 0; i < l->count; i++) {
		uint16_t apart = l->edges[i].at > at ? l->edges[i].at - at : at - l->edges[i].at;
		if (apart < GAP)
			return 0;
	}
	return 1;
}

static void put(struct list *l, uint16_t at, volatile uint8_t *port, uint8_t set, uint8_t keep)
{
	uint8_t i = l->count++;
	for (; i && l->edges[i - 1].at > at; i--)
		l->edges[i] = l->edges[i - 1];
	l->edges[i].at = at;
	l->edges[i].port = port;
	l->edges[i].set = set;
	l->edges[i].keep = keep;
}

static void lay(struct list *l)
{
	uint8_t i;
	l->count = 0;
	/* Two edges that change nothing: no frame is without one, and none is
	   farther from the next than half of what the timer counts. */
	put(l, 0, &PORTA, 0, 0xff);
	put(l, TICKS_A_FRAME / 2, &PORTA, 0, 0xff);
	for (i = 0; i < CHANNELS; i++) {
		uint16_t at = 100 + BETWEEN * i, w = width[i];
		uint8_t bit = (uint8_t)_BV(i % 8);
		if (!w)
			continue;
		while (!free_at(l, at) || !free_at(l, at + w))
			at += GAP;
		put(l, at, port_of(i), bit, 0xff);
		put(l, at + w, port_of(i), 0, (uint8_t)~bit);
	}
}

/* ---- the robot ---- */

/* The value has one fraction bit: it is ticks of the timer. */
static void servo(void *user, uint16_t channel, int32_t value)
{
	if (channel >= CHANNELS || value > WIDEST || value < 2)
		gait_fault(user, GAIT_FAULT_USER);
	else
		width[channel] = (uint16_t)value;
}

static const struct gait_table *const tables[GAIT_TABLE_COUNT] = {GAIT_TABLES};

int main(void)
{
	uint8_t i, next = 0;
	uint32_t time = 0;

	DDRA = 0xff;
	DDRC = 0xff;
	DDRL |= 3;

	gait_init(&player, servo, &player);
	player.bits = 1;
	for (i = 0; i < GAIT_TABLE_COUNT; i++)
		if (gait_check(tables[i]))
			gait_fault(&player, GAIT_FAULT_TABLE);
	gait_stands(&player, tables[0]); /* on your word: see above */

	lay(&lists[0]);
	TCCR1A = 0;
	TCCR1B = _BV(CS11); /* 16 MHz / 8 */
	base = TCNT1 + 2000;
	OCR1A = base - LEAD;
	TIFR1 = _BV(OCF1A);
	TIMSK1 = _BV(OCIE1A);
	sei();

	for (;;) {
		if (!taken)
			continue;
		time += FRAME_US;
		if (gait_tick(&player, time) == GAIT_IDLE && next < GAIT_TABLE_COUNT && gait_play(&player, tables[next]) == GAIT_OK) {
			gait_finish(&player); /* of a walk one cycle */
			next++;
		}
		lay(&lists[!using_]);
		taken = 0;
		ready = 1;
	}
}
