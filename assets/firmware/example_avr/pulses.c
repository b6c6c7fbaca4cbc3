/* SPDX-License-Identifier: MIT */
/* See pulses.h. */

#include "pulses.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/atomic.h>

#define TICKS_A_FRAME 40000U /* of 0.5 µs */
#define BETWEEN 2000U /* ticks from one pulse's begin to the next one's */
#define GAP 14U       /* least ticks between two edges */
#define LEAD 40U      /* ticks by which the interrupt comes early */

struct edge {
	uint16_t at; /* ticks since the frame began */
	volatile uint8_t *port;
	uint8_t set, keep;
};

struct list {
	uint8_t count;
	struct edge edges[2 * PULSES_OUTPUTS + 2];
};

static struct list lists[2];
static volatile uint8_t using_; /* the list that the interrupt is in */
static volatile uint8_t ready;  /* the other one is laid */
static volatile uint8_t begun;  /* frames since they were asked for */
static volatile uint16_t late;
static uint16_t width[PULSES_OUTPUTS]; /* ticks, 0 for no pulse */

/* ---- the edges ---- */

static uint16_t base; /* when the frame began */
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
			begun++;
			if (ready) {
				using_ = !using_;
				ready = 0;
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

static void fill(struct list *l)
{
	uint8_t i;
	l->count = 0;
	/* Two edges that change nothing: no frame is without one, and none is
	   farther from the next than half of what the timer counts. */
	put(l, 0, &PORTA, 0, 0xff);
	put(l, TICKS_A_FRAME / 2, &PORTA, 0, 0xff);
	for (i = 0; i < PULSES_OUTPUTS; i++) {
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

void pulses_begin(void)
{
	DDRA = 0xff;
	DDRC = 0xff;
	DDRL |= _BV(PL0) | _BV(PL1);
	fill(&lists[0]);
	TCCR1A = 0;
	TCCR1B = _BV(CS11); /* 16 MHz / 8 */
	base = TCNT1 + 2000;
	OCR1A = base - LEAD;
	TIFR1 = _BV(OCF1A);
	TIMSK1 = _BV(OCIE1A);
	begun = 1;
}

uint8_t pulses_set(uint16_t output, uint16_t half_us)
{
	if (output >= PULSES_OUTPUTS || half_us > PULSES_WIDEST || half_us == 1)
		return 0;
	width[output] = half_us;
	return 1;
}

uint8_t pulses_due(void)
{
	uint8_t n;
	ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
	{
		n = ready ? 0 : begun;
		begun = (uint8_t)(begun - n);
	}
	return n;
}

void pulses_lay(void)
{
	if (ready) /* the one that was laid is not taken yet */
		return;
	fill(&lists[!using_]);
	ready = 1;
}

uint16_t pulses_late(void)
{
	uint16_t n;
	ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
		n = late;
	return n;
}
