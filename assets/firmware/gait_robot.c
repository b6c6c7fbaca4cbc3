/* SPDX-License-Identifier: MIT */
/* See gait_robot.h. */

#include "gait_robot.h"

typedef char gait_robot_channels_fit[GAIT_LINK_CHANNELS >= GAIT_CHANNELS ? 1 : -1];

#define BITS 3 /* eighths of a microsecond */

/* ---- for the player ---- */

static void move(void *user, uint16_t output, int32_t value)
{
	struct gait_robot *r = user;
	uint8_t i;
	for (i = 0; i < r->link.channels; i++)
		if (r->output[i] == output)
			break;
	gait_link_note(&r->link, i, (uint16_t)value); /* it is within the range */
	r->servo(r->user, output, (uint16_t)value);
}

static uint8_t foot_down(void *user, uint8_t leg)
{
	struct gait_robot *r = user;
	return r->foot_down(r->user, leg);
}

static enum gait_answer foot(void *user, uint8_t leg, enum gait_foot_event event, uint16_t ms)
{
	struct gait_robot *r = user;
	return r->foot(r->user, leg, event, ms);
}

/* Once more, or it was enough. */
static void ended(void *user, const struct gait_table *t)
{
	struct gait_robot *r = user;
	if (r->left == 1 || t != r->playing)
		return;
	if (r->left)
		r->left--;
	(void)gait_next(&r->player, t);
}

/* ---- for the link ---- */

static void set(void *context, uint8_t i, uint16_t eighths)
{
	struct gait_robot *r = context;
	r->servo(r->user, r->output[i], eighths);
}

static void off(void *context)
{
	struct gait_robot *r = context;
	uint8_t i;
	for (i = 0; i < r->config.channels; i++)
		r->servo(r->user, r->output[i], 0);
}

static void transmit(void *context, const uint8_t *bytes, uint8_t n)
{
	struct gait_robot *r = context;
	if (r->send)
		r->send(r->user, bytes, n);
}

static uint16_t seed(void *context)
{
	struct gait_robot *r = context;
	return r->seed(r->user);
}

static uint16_t switches(void *context)
{
	struct gait_robot *r = context;
	uint16_t set = 0;
	uint8_t i;
	for (i = 0; i < r->legs; i++)
		if (r->foot_down(r->user, i))
			set |= (uint16_t)(1U << i);
	return set;
}

static uint16_t position(void *context, uint8_t i)
{
	struct gait_robot *r = context;
	return r->position(r->user, r->output[i]);
}

/* Begins a table from where the servos are. */
static enum gait_result begin(struct gait_robot *r, uint8_t table, uint16_t speed, uint8_t times)
{
	int32_t pose[GAIT_CHANNELS];
	enum gait_result a;
	uint8_t i;
	if (table >= r->count)
		return GAIT_NO_TABLE;
	if (!speed)
		return GAIT_FIELD;
	if (r->player.state == GAIT_FAULT)
		gait_clear(&r->player); /* of the table before */
	for (i = 0; i < r->link.channels; i++)
		pose[r->channel[i]] = (r->link.at[i] + 4) >> BITS;
	a = gait_stands_at(&r->player, r->tables[table], pose);
	if (!a)
		a = gait_set_speed(&r->player, speed);
	if (!a)
		a = gait_play(&r->player, r->tables[table]);
	if (!a) {
		r->playing = r->tables[table];
		r->left = times;
	}
	return a;
}

static uint8_t play(void *context, uint8_t table, uint16_t speed, uint8_t times)
{
	return begin(context, table, speed, times) == GAIT_OK;
}

/* A table is over when its cool-down is. */
static uint8_t playing(void *context, uint16_t *frame)
{
	struct gait_robot *r = context;
	*frame = r->player.state == GAIT_PLAY ? r->player.cursor[r->player.now].frame : 0;
	return r->player.state != GAIT_IDLE && r->player.state != GAIT_FAULT;
}

static void halt(void *context)
{
	struct gait_robot *r = context;
	r->own = 0;
	gait_stop(&r->player);
}

/* ---- the robot ---- */

/* A value of a table in eighths, rounded down, or up. */
static uint16_t eighths(uint16_t v, uint8_t bits, uint8_t up)
{
	uint32_t x;
	if (bits <= BITS)
		x = (uint32_t)v << (BITS - bits);
	else
		x = (v + (up ? ((uint32_t)1 << (bits - BITS)) - 1 : 0)) >> (bits - BITS);
	return (uint16_t)(x > 0xffff ? 0xffff : x);
}

/* Takes over outputs, ranges, rest pose and bounds of the first table. */
static enum gait_result wire(struct gait_robot *r)
{
	struct gait_link_config *c = &r->config;
	struct gait_head h;
	struct gait_channel k;
	uint16_t pose[GAIT_CHANNELS];
	uint32_t speed = 0xffffffffU, approach;
	uint8_t i, j;
	enum gait_result a = gait_head(r->tables[0], &h);
	if (!a)
		a = gait_pose(&r->player, r->tables[0], 0, pose);
	if (a)
		return a;
	for (i = 0; i < h.channels; i++) {
		gait_channel(r->tables[0], &h, i, &k);
		for (j = i; j && r->output[j - 1] > k.number; j--) { /* room for it */
			r->output[j] = r->output[j - 1];
			r->channel[j] = r->channel[j - 1];
			r->least[j] = r->least[j - 1];
			r->greatest[j] = r->greatest[j - 1];
			r->rest[j] = r->rest[j - 1];
		}
		r->output[j] = k.number;
		r->channel[j] = i;
		r->least[j] = eighths(k.least, h.bits, 1);
		r->greatest[j] = eighths(k.most, h.bits, 0);
		r->rest[j] = eighths(pose[i], h.bits, 0);
		if (k.bound < speed)
			speed = k.bound;
	}
	approach = r->approach && r->approach < speed ? r->approach : speed / 8;
	speed = speed / 125; /* eighths of µs a millisecond */
	approach = approach / 125;
	c->speed = (uint16_t)(speed > 0xffff ? 0xffff : speed ? speed : 1);
	c->approach = (uint16_t)(approach > 0xffff ? 0xffff : approach ? approach : 1);
	c->channels = h.channels;
	r->legs = h.legs;
	return GAIT_OK;
}

/* Tells whether a table moves the same servos by pulse widths. */
static enum gait_result fits(struct gait_robot *r, const struct gait_table *t)
{
	struct gait_head h;
	struct gait_channel k;
	uint8_t i;
	enum gait_result a = gait_check(t);
	if (!a)
		a = gait_head(t, &h);
	if (a)
		return a;
	if (h.kind != GAIT_PULSE_US || h.channels != r->config.channels)
		return GAIT_OTHER_ROBOT;
	for (i = 0; i < h.channels; i++) {
		gait_channel(t, &h, r->channel[i], &k);
		if (k.number != r->output[i] || eighths(k.most, h.bits, 0) == 0xffff)
			return GAIT_OTHER_ROBOT;
	}
	return GAIT_OK;
}

enum gait_result gait_robot_init(struct gait_robot *r, const struct gait_table *const *tables, uint8_t count)
{
	struct gait_link_config *c = &r->config;
	enum gait_result a = count ? GAIT_OK : GAIT_NO_TABLE;
	uint8_t i;
	gait_init(&r->player, move, r);
	r->player.bits = BITS;
	r->player.approach = r->approach;
	r->player.ended = ended;
	if (r->foot_down && r->foot) {
		r->player.foot_down = foot_down;
		r->player.foot = foot;
	}
	r->tables = tables;
	r->count = count;
	r->last = r->ms = 0;
	r->over = 0;
	r->ticking = r->own = 0;
	r->legs = 0;
	c->channels = 0;
	c->speed = c->approach = 1;
	c->least = r->least;
	c->greatest = r->greatest;
	c->rest = r->rest;
	c->wake = 100;
	c->set = set;
	c->off = off;
	c->send = transmit;
	c->seed = r->seed ? seed : 0;
	c->switches = r->foot_down ? switches : 0;
	c->position = r->position ? position : 0;
	c->play = play;
	c->playing = playing;
	c->halt = halt;
	c->context = r;
	if (!a)
		a = wire(r);
	for (i = 0; i < count && !a; i++)
		a = fits(r, tables[i]);
	if (a) {
		c->channels = 0;
		r->count = 0;
	}
	if (!gait_link_init(&r->link, c) && !a) {
		r->count = 0;
		a = GAIT_RANGE; /* the rest pose is outside a range */
	}
	return a;
}

void gait_robot_byte(struct gait_robot *r, uint8_t byte)
{
	gait_link_byte(&r->link, byte);
	if (r->own && r->link.state != GAIT_LINK_OFF) /* the program has armed: it is the master now */
		halt(r);
}

void gait_robot_tick(struct gait_robot *r, uint32_t now)
{
	uint32_t us = (r->ticking ? now - r->last : 0) + r->over;
	uint8_t was = r->link.state;
	r->ticking = 1;
	r->last = now;
	r->ms += us / 1000;
	r->over = (uint16_t)(us % 1000);
	gait_link_tick(&r->link, r->ms);
	if (was == GAIT_LINK_PLAY && r->link.state == GAIT_LINK_HOLD)
		gait_fault(&r->player, GAIT_FAULT_LINK);
	else if (was == GAIT_LINK_PLAY && r->player.state == GAIT_FAULT)
		r->link.fault = GAIT_LINK_BAD_PLAY;
	if (r->left)
		gait_finish(&r->player); /* a walk ends with its cycle: ended() begins the next */
	(void)gait_tick(&r->player, now);
}

enum gait_result gait_robot_play(struct gait_robot *r, uint8_t i, uint16_t speed, uint8_t times)
{
	enum gait_result a;
	if (r->link.state != GAIT_LINK_OFF)
		return GAIT_BUSY;
	a = begin(r, i, speed, times);
	if (!a)
		r->own = 1;
	return a;
}

void gait_robot_stop(struct gait_robot *r)
{
	gait_link_stop(&r->link);
}

void gait_robot_limp(struct gait_robot *r)
{
	gait_link_limp(&r->link);
}
