/* SPDX-License-Identifier: MIT */
/*
 * The robot's end of the live link: it takes poses from the program over a
 * serial line and lets the servos follow, never faster than allowed, and never
 * without a fresh sign of life. PROTOCOL.md describes the line.
 *
 * C99, no allocation, no floating point, no other file needed. You write a
 * function that moves a servo, one that cuts the pulses, and one that sends
 * bytes; you hand received bytes to gait_link_byte(), and call
 * gait_link_tick() every few milliseconds, at least every 50. Where tables are
 * to be played as well, gait_robot.h joins this and the player, and you write
 * the function that moves a servo alone.
 *
 * CAUTION. An armed robot moves by itself. First trials on a stand with the
 * feet in the air, a switch for the servos' power in reach, hands, hair, face,
 * people and animals away. The rules of the place and qualified people go
 * first.
 *
 * Interrupts: call all functions of one link from the same place, the main
 * loop or one interrupt, never from both. An interrupt that receives bytes
 * puts them into a buffer, and the main loop hands them on. The callbacks run
 * inside gait_link_byte() and gait_link_tick().
 */
#ifndef GAIT_LINK_H
#define GAIT_LINK_H

#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

/* The most channels that are driven, to 51. Each takes 4 bytes of memory, and
   2 of the stack while a report goes out. */
#ifndef GAIT_LINK_CHANNELS
#define GAIT_LINK_CHANNELS 36
#endif

#define GAIT_LINK_VERSION 1
#define GAIT_LINK_BODY 112        /* longest body of a frame, bytes */
#define GAIT_LINK_SILENCE 200     /* ms without a sign of life after which the robot holds */
#define GAIT_LINK_KEY_TIME 10000  /* ms for which a key may be used to arm */
#define GAIT_LINK_STATUS_TIME 50  /* ms between two reports */
#define GAIT_LINK_MOST_TICK 50    /* ms that count of a tick that came later: nothing leaps */
#define GAIT_LINK_UNKNOWN 0xffffU /* position that the servo does not report */

enum gait_link_state {
	GAIT_LINK_OFF,      /* no pulses */
	GAIT_LINK_ARMED,    /* waits for a first pose; still no pulses */
	GAIT_LINK_WAKING,   /* channels get their pulses one after another */
	GAIT_LINK_APPROACH, /* goes slowly to the first pose */
	GAIT_LINK_FOLLOW,   /* follows poses */
	GAIT_LINK_PLAY,     /* plays a table of its own */
	GAIT_LINK_HOLD,     /* the line is silent: stands still, then goes limp */
	GAIT_LINK_STOPPED   /* stopped by the program: stands still until armed anew */
};

enum gait_link_fault {
	GAIT_LINK_FINE,
	GAIT_LINK_BAD_RANGE, /* a pose outside the pulse range of a channel was refused */
	GAIT_LINK_BAD_COUNT, /* a pose for another number of channels was refused */
	GAIT_LINK_BAD_TABLE, /* there is no such table, or it cannot be played now */
	GAIT_LINK_BAD_STATE, /* a frame that does not fit the state was refused */
	GAIT_LINK_BAD_PLAY   /* the player held the robot while it played a table */
};

/* Pulse widths are in eighths of a microsecond: 1500 µs is 12000. */
struct gait_link_config {
	uint8_t channels; /* how many, at most GAIT_LINK_CHANNELS */
	/* Of each channel: the pulse range of its servo, and the pose into which
	   the robot is put before it is first armed. */
	const uint16_t *least, *greatest, *rest;
	/* The most that a pulse changes in a millisecond, from 1: a servo of
	   10 µs a degree that turns 60 degrees in 0.15 s does 4 µs: 32. */
	uint16_t speed;
	uint16_t approach; /* the same on the way to the first pose, from 1; an eighth of speed is a good choice */
	uint16_t wake;     /* ms from one channel to the next while they get their pulses; 100 */

	void (*set)(void *context, uint8_t channel, uint16_t eighths); /* moves a servo */
	void (*off)(void *context);                                    /* cuts all pulses */
	void (*send)(void *context, const uint8_t *bytes, uint8_t n);  /* to the line, all of it */

	/* The rest may be 0. */
	uint16_t (*seed)(void *context);                      /* some number that differs from call to call */
	uint16_t (*switches)(void *context);                  /* foot switches, bit 0 the first leg */
	uint16_t (*position)(void *context, uint8_t channel); /* where a servo says it is, eighths of µs */
	/* Begins a table, at a speed in 1/256; times 0: until halted. Answers 0
	   when it cannot. */
	uint8_t (*play)(void *context, uint8_t table, uint16_t speed, uint8_t times);
	uint8_t (*playing)(void *context, uint16_t *frame); /* is it still going, and where */
	/* Lets it hold where it is. Also for a stop that comes while nothing plays
	   for the link: your own program may be playing. */
	void (*halt)(void *context);
	void *context;
};

/* To be read; only the functions below write. */
struct gait_link {
	const struct gait_link_config *config;
	uint8_t state, fault; /* enum gait_link_state, enum gait_link_fault */
	uint8_t table;        /* that plays, or was played last before another pose; 255 for none */

	/* For the link's own use. */
	uint8_t channels; /* 0 for a config that does not fit */
	uint8_t woken, number, own, ticket;
	uint8_t away;    /* the servos may be far from the poses that come: the next one is approached */
	uint8_t greeted; /* the program is there */
	uint8_t ticking; /* there has been a tick */
	uint16_t key, limp, good, bad, log;
	uint32_t now, alive, present, since, asked, told, seen;
	uint16_t at[GAIT_LINK_CHANNELS], goal[GAIT_LINK_CHANNELS]; /* eighths of µs */
	uint8_t n, lost;
	uint8_t in[GAIT_LINK_BODY + 8];
};

/* Begins, with the pulses cut. Answers 0 when the config does not fit: more
   channels than GAIT_LINK_CHANNELS or none, a rest pose outside a range, a
   speed of 0. Then the link is there, and never arms. */
uint8_t gait_link_init(struct gait_link *, const struct gait_link_config *);

/* A byte has come from the line. */
void gait_link_byte(struct gait_link *, uint8_t byte);

/* Lets the time go on to now (ms, may wrap round). */
void gait_link_tick(struct gait_link *, uint32_t now);

/* A table that plays has moved a servo. Call it from the function that the
   player moves servos with, so that the link knows where they are. */
void gait_link_note(struct gait_link *, uint8_t channel, uint16_t eighths);

/* Stands still at once, as the program's stop does: for a button on the robot. */
void gait_link_stop(struct gait_link *);

/* Cuts all pulses at once. */
void gait_link_limp(struct gait_link *);

#ifdef __cplusplus
}
#endif

#endif
