/* SPDX-License-Identifier: MIT */
/*
 * Plays tables made by Gaitwright on a microcontroller.
 *
 * C99, no allocation, no floating point, no library but <stdint.h>. All state
 * is in struct gait_player: several players may run beside one another, and
 * nothing here is static. What a table holds is written in FORMAT.md, how to
 * use this in README.md.
 *
 * CAUTION. Legs pinch, and servos start at full force. Try on a stand first,
 * feet in the air, hands and face away, with a switch within reach that cuts
 * the servos' power. The bounds in here are those of the tables: they do not
 * know your machine.
 *
 * Interrupts: call all functions of one player from the same place, the main
 * loop or one interrupt, never from both. The callbacks run inside
 * gait_tick() (servo, mark, ended, feet) and inside gait_play() and the like
 * (read, of the table). From a callback you may call gait_stop(),
 * gait_fault(), gait_finish(), gait_next() and gait_set_speed(); call the
 * others after gait_tick() has come back.
 */
#ifndef GAIT_PLAYER_H
#define GAIT_PLAYER_H

#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

/* The most channels of a table: three a leg. It sets how much memory a player
   takes. Change it here, so that every file sees the same number. */
#ifndef GAIT_CHANNELS
#define GAIT_CHANNELS 36
#endif

/* The most legs of a table. */
#define GAIT_LEGS 12

/* A tick that comes later than this after the one before holds the robot:
   its joints would have to jump, µs. */
#ifndef GAIT_MOST_TICK
#define GAIT_MOST_TICK 100000UL
#endif

/* The version of the format that is read. */
#define GAIT_VERSION 2

/* Speed factor 1. */
#define GAIT_SPEED_1 256

/* What a function answers. */
enum gait_result {
	GAIT_OK,
	GAIT_NO_TABLE,     /* these bytes are no table */
	GAIT_OTHER_VERSION, /* of the format */
	GAIT_LENGTH,       /* lengths in it do not fit together */
	GAIT_DAMAGED,      /* a check sum is wrong */
	GAIT_FIELD,        /* a number in it is out of range */
	GAIT_TOO_LARGE,    /* more channels than GAIT_CHANNELS */
	GAIT_NO_POSE,      /* say first where the joints are: gait_stands() or gait_stands_at() */
	GAIT_COOLING,      /* the cool-down is not over */
	GAIT_HELD,         /* a fault holds the robot: gait_clear() */
	GAIT_BUSY,         /* a changeover is under way */
	GAIT_NOT_WALKING,  /* no walk plays, or the table is none */
	GAIT_OTHER_ROBOT,  /* the tables' channels or units differ */
	GAIT_TOO_FAST,     /* a servo could not follow */
	GAIT_RANGE         /* a pose outside a servo's range */
};

/* What a player does. */
enum gait_state {
	GAIT_IDLE,     /* holds the last pose */
	GAIT_APPROACH, /* goes to the first pose of a table, or to a pose, at a bounded speed */
	GAIT_PLAY,
	GAIT_CHANGE,   /* from one walk to another, at their shared phase */
	GAIT_COOL,     /* holds the last pose until the cool-down is over */
	GAIT_FAULT     /* holds: no servo is told anything until gait_clear() */
};

/* Why it holds. Codes from GAIT_FAULT_USER on are yours. */
enum gait_fault_code {
	GAIT_FAULT_NONE,
	GAIT_FAULT_TABLE, /* the table changed, or cannot be read */
	GAIT_FAULT_RANGE, /* a value outside the servo's range: nothing is clamped */
	GAIT_FAULT_TICK,  /* a tick came too late */
	GAIT_FAULT_FOOT,  /* your answer to a foot, or a foot that was waited for too long */
	GAIT_FAULT_LINK,  /* kept for a link */
	GAIT_FAULT_USER = 16
};

/* What a foot switch tells. */
enum gait_foot_event {
	GAIT_FOOT_EARLY, /* closed while the table has the foot in the air */
	GAIT_FOOT_LATE   /* open, though the table has the foot on the ground */
};

/* Your answer to it. */
enum gait_answer {
	GAIT_GO_ON,
	GAIT_WAIT, /* late: the clock stands still until the switch closes, or a fault after wait_ms; early: as GAIT_GO_ON */
	GAIT_STOP  /* hold: GAIT_FAULT_FOOT */
};

enum gait_kind { GAIT_PULSE_US, GAIT_PWM_COUNT, GAIT_TENTH_DEGREE, GAIT_SERVO_STEP };
enum gait_interpolation { GAIT_STEP, GAIT_LINEAR, GAIT_CUBIC };

#define GAIT_LOOPS 1  /* flag: the last frame is followed by the first */
#define GAIT_SIGNED 2 /* flag: values are signed */

/* A table, wherever it is: `read` copies n bytes from `at` on, at + n never
   past `size`. The exported sources define these. */
struct gait_table {
	void (*read)(uint32_t at, uint8_t *to, uint8_t n);
	uint32_t size; /* bytes */
};

/* The head of a table, FORMAT.md. */
struct gait_head {
	uint32_t step; /* time of `den` frames, µs */
	uint32_t cool; /* ms */
	uint16_t head, frames, den, blocks, fastest, contacts, marks;
	uint8_t channels, legs, kind, bits, interpolation, flags, packing, block, prescale;
};

/* One channel of a table. */
struct gait_channel {
	uint16_t number;
	uint16_t least, most; /* in the table's units */
	uint32_t peak;        /* greatest speed in this table, whole units a second */
	uint32_t bound;       /* what its servo does, whole units a second */
};

/* A place in a table. For the player's own use. */
struct gait_cursor {
	const struct gait_table *table;
	struct gait_head h;
	uint32_t over; /* past the frame, 1/den µs */
	uint32_t at;   /* of the byte to be read next */
	uint16_t frame;
	uint16_t row;     /* to be read next */
	uint16_t contact; /* to come next */
	uint16_t mark;
	uint16_t planted; /* a bit a leg */
	uint8_t ring;     /* oldest of the rows */
	uint8_t ended, bad;
	uint8_t have, used;
	uint8_t buffer[16];
	uint16_t rows[4][GAIT_CHANNELS];
};

struct gait_player {
	/* Yours to set after gait_init(). */
	void *user; /* handed to the callbacks */
	/* Moves a servo. The value is in whole units of the table (µs, counts,
	   tenths of a degree, steps) times 2^bits, rounded. */
	void (*servo)(void *user, uint16_t channel, int32_t value);
	uint8_t bits;      /* fraction bits of that value, 0 to 8; 0 */
	uint32_t approach; /* greatest speed of an approach, units a second; 0: an eighth of what each servo does */
	uint16_t agree;    /* poses this near count as one where tables are joined, units; 2 */
	void (*mark)(void *user, uint16_t index);            /* a mark is passed; 0: nobody minds */
	void (*ended)(void *user, const struct gait_table *); /* a table has come to its end; 0 */
	uint8_t (*foot_down)(void *user, uint8_t leg);       /* 1: the switch is closed; 0: there are none */
	/* Early: ms before the table puts the foot down; late: ms after. */
	enum gait_answer (*foot)(void *user, uint8_t leg, enum gait_foot_event, uint16_t ms);
	uint16_t early_ms; /* how long before touchdown a closed switch is told; 150 */
	uint16_t late_ms;  /* how long after touchdown an open one is; 40 */
	uint16_t wait_ms;  /* how long a late foot is waited for; 300 */

	/* To be read. */
	enum gait_state state;
	uint8_t fault;      /* enum gait_fault_code, or yours */
	uint16_t speed;     /* factor, 256 is 1 */
	uint32_t cool_left; /* µs */

	/* For the player's own use. */
	uint32_t last, clock, took, whole, phase, rate[2];
	uint32_t down_at[GAIT_LEGS];
	uint32_t weight; /* of the walk to come, 65536 is all */
	const struct gait_table *queued;
	uint16_t opened, told; /* a bit a leg */
	uint16_t waiting;
	uint8_t now;   /* which cursor */
	uint8_t rest;  /* of the speed factor's product */
	uint8_t known, ticking, pending, finish, count;
	struct gait_cursor cursor[2];
	uint16_t number[GAIT_CHANNELS];
	uint16_t least[GAIT_CHANNELS], most[GAIT_CHANNELS];
	uint8_t unit;                /* fraction bits of least and most */
	int32_t pose[GAIT_CHANNELS]; /* 1/256 units */
	int32_t from[GAIT_CHANNELS], goal[GAIT_CHANNELS];
};

/* Looks through a whole table: lengths, numbers, check sums. Do it once for
   each at the start; 1 KB takes about 8 ms at 16 MHz on an 8-bit part. */
enum gait_result gait_check(const struct gait_table *);

/* Reads a table's head and checks it, not what follows. */
enum gait_result gait_head(const struct gait_table *, struct gait_head *);

/* Reads channel i of a table whose head is known. */
void gait_channel(const struct gait_table *, const struct gait_head *, uint8_t i, struct gait_channel *);

/* Gives the first pose of a table, or (end) its last one: a value a channel,
   in the table's own fixed point. */
enum gait_result gait_pose(struct gait_player *, const struct gait_table *, uint8_t end, uint16_t *pose);

/* Sets a player up. `user` is handed to the callback. */
void gait_init(struct gait_player *, void (*servo)(void *user, uint16_t channel, int32_t value), void *user);

/* Tells where the joints are: as in a table's first pose, or as given, in
   whole units of the table. Nothing moves. A servo that does not tell where
   it is goes to the first pose at full force when it is first told anything:
   put the robot into that pose by hand, on a stand, before. */
enum gait_result gait_stands(struct gait_player *, const struct gait_table *);
enum gait_result gait_stands_at(struct gait_player *, const struct gait_table *, const int32_t *pose);

/* Goes to the table's first pose at a bounded speed, then plays it. A walk
   that plays is left at once; a table with a cool-down must have been stopped
   or have ended. */
enum gait_result gait_play(struct gait_player *, const struct gait_table *);

/* Goes to a pose (whole units) at a bounded speed and stays there. The table
   tells channels, ranges and speeds. */
enum gait_result gait_go(struct gait_player *, const struct gait_table *, const int32_t *pose);

/* Plays a table when the present one is at its end, or the present cycle of a
   walk is, without a pause where they fit together. */
enum gait_result gait_next(struct gait_player *, const struct gait_table *);

/* Goes over from the walk that plays to another one, at the phase that both
   share, within over_ms, or as long as the servos' speeds ask for. */
enum gait_result gait_change(struct gait_player *, const struct gait_table *, uint16_t over_ms);

/* Ends a walk when its cycle is over. */
void gait_finish(struct gait_player *);

/* Stays where it is, at once. A cool-down begins. */
void gait_stop(struct gait_player *);

/* Sets the speed factor: 256 is 1, 0 stands still. */
enum gait_result gait_set_speed(struct gait_player *, uint16_t factor);

/* Holds: no servo is told anything any more until gait_clear(). Then the
   player is idle, in the pose it held. */
void gait_fault(struct gait_player *, uint8_t code);
void gait_clear(struct gait_player *);

/* Gives the way done of the table that plays, 65536 is all of it; of walks the
   phase of their clock. */
uint32_t gait_phase(const struct gait_player *);

/* Lets the time go on to now (µs, may wrap round) and moves the servos. */
enum gait_state gait_tick(struct gait_player *, uint32_t now);

/* CRC-16 with the polynomial 0x1021, most significant bit first; begin with
   0xffff. Of "123456789" it is 0x29b1. */
uint16_t gait_crc(uint16_t crc, uint8_t byte);

#ifdef __cplusplus
}
#endif

#endif
