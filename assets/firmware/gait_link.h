/* SPDX-License-Identifier: MIT
 *
 * The robot's end of the live link: it takes poses from the program over a
 * serial line and lets the servos follow, never faster than allowed, and never
 * without a fresh sign of life. PROTOCOL.md describes the line.
 *
 * C99, no allocation, no floating point, no other file needed. You write a
 * function that moves a servo, one that cuts the pulses, and one that sends
 * bytes; feed received bytes to gait_link_byte, and call gait_link_tick every
 * few milliseconds. All calls come from one place, such as the main loop; none
 * from an interrupt.
 *
 * CAUTION: an armed robot moves by itself. First trials on a stand with the
 * feet in the air, a switch for the servos' power in reach, hands, hair, face,
 * people and animals away. The rules of the place and qualified people go
 * first.
 */
#ifndef GAIT_LINK_H
#define GAIT_LINK_H

#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

/* The most channels that are driven. A smaller number saves 6 bytes each. */
#ifndef GAIT_LINK_CHANNELS
#define GAIT_LINK_CHANNELS 24
#endif

#define GAIT_LINK_VERSION 1
#define GAIT_LINK_BODY 112        /* longest body of a frame, bytes */
#define GAIT_LINK_SILENCE 200     /* ms without a sign of life after which the robot holds */
#define GAIT_LINK_KEY_TIME 10000  /* ms for which a key may be used to arm */
#define GAIT_LINK_STATUS_TIME 50  /* ms between two reports */
#define GAIT_LINK_UNKNOWN 0xFFFFu /* position that the servo does not report */

enum gait_link_state {
    GAIT_LINK_OFF = 0,      /* no pulses */
    GAIT_LINK_ARMED = 1,    /* waits for a first pose; still no pulses */
    GAIT_LINK_WAKING = 2,   /* channels get their pulses one after another */
    GAIT_LINK_APPROACH = 3, /* goes slowly to the first pose */
    GAIT_LINK_FOLLOW = 4,   /* follows poses */
    GAIT_LINK_PLAY = 5,     /* plays a table of its own */
    GAIT_LINK_HOLD = 6,     /* the line is silent: stands still, then goes limp */
    GAIT_LINK_STOPPED = 7   /* stopped by the program: stands still until armed anew */
};

enum gait_link_fault {
    GAIT_LINK_FINE = 0,
    GAIT_LINK_BAD_RANGE = 1, /* a pose outside the pulse range of a channel was refused */
    GAIT_LINK_BAD_COUNT = 2, /* a pose for another number of channels was refused */
    GAIT_LINK_BAD_TABLE = 3, /* there is no such table, or it cannot be played now */
    GAIT_LINK_BAD_STATE = 4  /* a frame that does not fit the state was refused */
};

/* Pulse widths are in eighths of a microsecond: 1500 us is 12000. */
struct gait_link_config {
    uint8_t channels;         /* how many, at most GAIT_LINK_CHANNELS */
    const uint16_t *least;    /* of each channel: the pulse range of its servo */
    const uint16_t *greatest;
    const uint16_t *rest;     /* of each channel: the pose in which the robot is put before it is first armed */
    uint16_t speed;           /* the most that a pulse changes in a millisecond, eighths of us;
                                 a servo of 10 us/deg that turns 60 deg in 0.15 s does 4 us/ms: 32 */
    uint16_t approach;        /* the same on the way to the first pose; an eighth of speed is a good choice */
    uint16_t wake;            /* ms from one channel to the next while they get their pulses; 100 */

    void (*set)(void *context, uint8_t channel, uint16_t eighths);  /* move a servo */
    void (*off)(void *context);                                     /* cut all pulses */
    void (*send)(void *context, const uint8_t *bytes, uint8_t n);   /* to the line, all of it */

    /* The rest may be null. */
    uint16_t (*seed)(void *context);                                /* some number that differs from call to call */
    uint16_t (*switches)(void *context);                            /* foot switches, bit 0: the first leg */
    uint16_t (*position)(void *context, uint8_t channel);           /* where a servo says it is, eighths of us */
    uint8_t (*play)(void *context, uint8_t table, uint16_t speed, uint8_t times); /* begin a table; speed in 1/256,
                                                                       times 0: until halted; 0 when it cannot */
    uint8_t (*playing)(void *context, uint16_t *frame);             /* is it still going, and where */
    void (*halt)(void *context);                                    /* let it hold where it is */
    void *context;
};

struct gait_link {
    const struct gait_link_config *config;
    uint8_t state, fault, woken, number, own, table, ticket;
    uint8_t greeted;   /* the program is there */
    uint8_t heard;     /* there has been a tick */
    uint16_t key, limp, good, bad, log;
    uint32_t now, alive, present, since, asked, told, seen;
    uint16_t at[GAIT_LINK_CHANNELS];
    uint16_t goal[GAIT_LINK_CHANNELS];
    uint8_t n, lost;
    uint8_t in[GAIT_LINK_BODY + 8];
};

/* Begins with the pulses cut. */
void gait_link_init(struct gait_link *link, const struct gait_link_config *config);

/* A byte has come from the line. */
void gait_link_byte(struct gait_link *link, uint8_t byte);

/* Time has gone on: `now` counts milliseconds and may wrap. */
void gait_link_tick(struct gait_link *link, uint32_t now);

/* A table that is being played has moved a servo. Call it from the function that
 * the player moves servos with, so that the link knows where they are. */
void gait_link_note(struct gait_link *link, uint8_t channel, uint16_t eighths);

/* Stands still at once, as the program's stop does: for a button on the robot. */
void gait_link_stop(struct gait_link *link);

/* Cuts all pulses at once. */
void gait_link_limp(struct gait_link *link);

#ifdef __cplusplus
}
#endif
#endif
