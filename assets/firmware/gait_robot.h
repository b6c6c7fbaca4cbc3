/* SPDX-License-Identifier: MIT */
/*
 * The player and the live link in one: a robot that plays its tables, and that
 * the program can lead over a serial line. You write the function that moves a
 * servo; where there is a line, the one that sends bytes as well.
 *
 * Outputs, pulse ranges, bounds of speed and the rest pose are taken from the
 * tables, which must be of pulse widths and all of one robot. The rest pose is
 * the first pose of the first table: put the robot into it by hand before
 * anything moves.
 *
 * The servos have one master. While the link is on, it is the link: it goes to
 * poses, or lets the player play. While it is off, gait_robot_play() plays, and
 * stops where it is when the program arms. When the line goes silent while a
 * table plays for the program, the player holds with GAIT_FAULT_LINK.
 *
 * C99, no allocation, no floating point, no other files needed than those of
 * the player and the link. Nothing here is static.
 *
 * CAUTION and Interrupts: as in gait_player.h and gait_link.h. Call all
 * functions of one robot from one place.
 */
#ifndef GAIT_ROBOT_H
#define GAIT_ROBOT_H

#include "gait_player.h"

#include "gait_link.h"

#ifdef __cplusplus
extern "C" {
#endif

struct gait_robot {
	/* Yours to set before gait_robot_init(). */
	void *user; /* handed to the callbacks */
	/* Moves a servo: the number of its output, and its pulse in eighths of a
	   microsecond. 0 cuts the pulse. */
	void (*servo)(void *user, uint16_t output, uint16_t eighths);
	/* The rest may be 0. */
	void (*send)(void *user, const uint8_t *bytes, uint8_t n); /* to the line, all of it */
	uint16_t (*seed)(void *user);                              /* some number that differs from call to call */
	uint16_t (*position)(void *user, uint16_t output);         /* where a servo says it is, eighths; or GAIT_LINK_UNKNOWN */
	uint8_t (*foot_down)(void *user, uint8_t leg);             /* as in the player */
	enum gait_answer (*foot)(void *user, uint8_t leg, enum gait_foot_event, uint16_t ms);
	uint32_t approach; /* greatest speed on the way to a pose, µs of pulse a second; 0: an eighth of what each servo does */

	/* To be read. */
	struct gait_player player;
	struct gait_link link;

	/* For the robot's own use. */
	struct gait_link_config config;
	const struct gait_table *const *tables;
	const struct gait_table *playing;
	uint32_t last, ms;
	uint16_t over; /* past the millisecond, µs */
	uint8_t count, legs, ticking;
	uint8_t left; /* how often the table is still to be played, this time too; 0: again and again */
	uint8_t own;  /* it plays without the program */
	/* In order of the outputs' numbers, as in a pose of the link. */
	uint8_t channel[GAIT_CHANNELS]; /* in the tables */
	uint16_t output[GAIT_CHANNELS];
	uint16_t least[GAIT_CHANNELS], greatest[GAIT_CHANNELS], rest[GAIT_CHANNELS];
};

/* Checks all tables and begins, with the pulses cut. What is wrong is answered
   (GAIT_OTHER_ROBOT: a table of another robot, or not of pulse widths); then
   nothing ever moves. */
enum gait_result gait_robot_init(struct gait_robot *, const struct gait_table *const *tables, uint8_t count);

/* A byte has come from the line. */
void gait_robot_byte(struct gait_robot *, uint8_t byte);

/* Lets the time go on to now (µs, may wrap round) and moves the servos. Call it
   as often as your servos take a new pulse, at least every 50 ms. */
void gait_robot_tick(struct gait_robot *, uint32_t now);

/* Goes to the first pose of table i and plays it, at a speed in 1/256, so many
   times (0: again and again). For a robot on its own: while the link is on, it
   answers GAIT_BUSY, and while another table plays. */
enum gait_result gait_robot_play(struct gait_robot *, uint8_t i, uint16_t speed, uint8_t times);

/* Stands still at once, whoever moves it: for a button. The link is disarmed. */
void gait_robot_stop(struct gait_robot *);

/* Cuts all pulses at once, and disarms the link. */
void gait_robot_limp(struct gait_robot *);

#ifdef __cplusplus
}
#endif

#endif
