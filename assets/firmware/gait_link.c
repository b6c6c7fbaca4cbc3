/* SPDX-License-Identifier: MIT */
/* See gait_link.h. */

#include "gait_link.h"

/* A report of all positions is one frame. */
typedef char gait_link_channels_fit[10 + 2 * GAIT_LINK_CHANNELS <= GAIT_LINK_BODY ? 1 : -1];

/* Kinds of frames, as in PROTOCOL.md. */
enum {
	HELLO = 0x01,
	ASK,
	STOP,
	LOG,
	BEAT = 0x10,
	ARM,
	POSE,
	PLAY,
	INFO = 0x81,
	KEY,
	STATUS,
	SEEN
};

/* ---- numbers ---- */

/* CRC-16/IBM-3740: 0x29b1 for "123456789". Without a loop over the bits, which
   takes an 8-bit part four times as long. */
static uint16_t check(const uint8_t *p, uint8_t n)
{
	uint16_t c = 0xffff;
	while (n--) {
		uint8_t x = (uint8_t)((uint8_t)(c >> 8) ^ *p++);
		x = (uint8_t)(x ^ x >> 4);
		c = (uint16_t)((uint16_t)(c << 8) ^ (uint16_t)((uint16_t)x << 12) ^ (uint16_t)((uint16_t)x << 5) ^ x);
	}
	return c;
}

/* CRC-16/ARC, begun with c: 0xbb3d for "123456789" when begun with 0. Eight
   steps of it add up to shifts of the byte and, where an odd number of its bits
   is set, 0xc001. */
static uint16_t keyed(uint16_t c, const uint8_t *p, uint8_t n)
{
	while (n--) {
		uint8_t x = (uint8_t)((uint8_t)c ^ *p++), odd = (uint8_t)(x ^ x >> 4);
		odd = (uint8_t)(odd ^ odd >> 2);
		odd = (uint8_t)((odd ^ odd >> 1) & 1);
		c = (uint16_t)(c >> 8 ^ (uint16_t)((uint16_t)x << 6) ^ (uint16_t)((uint16_t)x << 7) ^ (odd ? 0xc001 : 0));
	}
	return c;
}

static uint16_t word(const uint8_t *p)
{
	return (uint16_t)(p[0] | (uint16_t)((uint16_t)p[1] << 8));
}

static void put(uint8_t *p, uint16_t v)
{
	p[0] = (uint8_t)v;
	p[1] = (uint8_t)(v >> 8);
}

static void put_long(uint8_t *p, uint32_t v)
{
	put(p, (uint16_t)v);
	put(p + 2, (uint16_t)(v >> 16));
}

/* ---- what is sent ---- */

/* Sends a frame. p has room for what comes before the body, 3 bytes, and for
   3 behind its n bytes. */
static void transmit(struct gait_link *l, uint8_t kind, uint8_t *p, uint8_t n)
{
	uint8_t i, code = 0, end = (uint8_t)(n + 5);
	p[1] = kind;
	p[2] = l->own++;
	put(p + 3 + n, check(p + 1, (uint8_t)(n + 2)));
	for (i = 1; i < end; i++) { /* stuffed in place: each zero becomes the way to the next */
		if (p[i] == 0) {
			p[code] = (uint8_t)(i - code);
			code = i;
		}
	}
	p[code] = (uint8_t)(end - code);
	p[end] = 0;
	l->config->send(l->config->context, p, (uint8_t)(end + 1));
}

static uint16_t switches(const struct gait_link *l)
{
	return l->config->switches ? l->config->switches(l->config->context) : 0;
}

static void tell_info(struct gait_link *l)
{
	const struct gait_link_config *c = l->config;
	uint8_t p[3 + 7 + 3];
	p[3] = GAIT_LINK_VERSION;
	p[4] = l->channels;
	p[5] = (uint8_t)((c->switches ? 1 : 0) | (c->position ? 2 : 0) | (c->play ? 4 : 0));
	put(p + 6, c->speed);
	put(p + 8, c->approach);
	transmit(l, INFO, p, 7);
}

static void tell_key(struct gait_link *l)
{
	uint8_t p[3 + 2 + 3];
	put(p + 3, l->key);
	transmit(l, KEY, p, 2);
}

static void tell_status(struct gait_link *l)
{
	uint8_t p[3 + 13 + 3];
	p[3] = l->state;
	p[4] = l->fault;
	p[5] = l->number;
	put(p + 6, switches(l));
	put(p + 8, l->good);
	put(p + 10, l->bad);
	put_long(p + 12, l->now);
	transmit(l, STATUS, p, 13);
}

static void tell_seen(struct gait_link *l)
{
	const struct gait_link_config *c = l->config;
	uint8_t p[3 + 10 + 2 * GAIT_LINK_CHANNELS + 3];
	uint8_t i, n = c->position ? l->channels : 0, plays = l->state == GAIT_LINK_PLAY;
	uint16_t frame = 0;
	if (plays && c->playing)
		(void)c->playing(c->context, &frame);
	put_long(p + 3, l->now);
	put(p + 7, switches(l));
	p[9] = plays ? l->table : 0xff;
	put(p + 10, frame);
	p[12] = n;
	for (i = 0; i < n; i++)
		put(p + 13 + 2 * i, c->position(c->context, i));
	transmit(l, SEEN, p, (uint8_t)(10 + 2 * n));
}

/* ---- states ---- */

static void enter(struct gait_link *l, uint8_t state)
{
	if (l->state == GAIT_LINK_PLAY && state != GAIT_LINK_PLAY && l->config->halt)
		l->config->halt(l->config->context);
	l->state = state;
	l->since = l->now;
	l->told = l->now - GAIT_LINK_STATUS_TIME; /* tell at once */
}

/* The goal is where the servos are. */
static void stay(struct gait_link *l)
{
	uint8_t i;
	for (i = 0; i < l->channels; i++)
		l->goal[i] = l->at[i];
	l->away = 1;
}

uint8_t gait_link_init(struct gait_link *l, const struct gait_link_config *c)
{
	uint8_t i, *b = (uint8_t *)l;
	uint16_t n;
	for (n = 0; n < sizeof *l; n++)
		b[n] = 0;
	l->config = c;
	l->table = 0xff;
	c->off(c->context);
	if (!c->channels || c->channels > GAIT_LINK_CHANNELS || !c->speed || !c->approach)
		return 0;
	for (i = 0; i < c->channels; i++) {
		if (c->rest[i] < c->least[i] || c->rest[i] > c->greatest[i])
			return 0;
		l->at[i] = l->goal[i] = c->rest[i];
	}
	l->channels = c->channels;
	return 1;
}

/* Halts what plays without the link. */
static void halt_other(struct gait_link *l)
{
	if (l->state != GAIT_LINK_PLAY && l->config->halt)
		l->config->halt(l->config->context);
}

void gait_link_limp(struct gait_link *l)
{
	halt_other(l);
	enter(l, GAIT_LINK_OFF);
	l->key = 0;
	l->config->off(l->config->context);
}

void gait_link_stop(struct gait_link *l)
{
	switch (l->state) {
	case GAIT_LINK_OFF:
		halt_other(l);
		break;
	case GAIT_LINK_STOPPED:
		break;
	case GAIT_LINK_ARMED: /* nothing was moved yet */
		gait_link_limp(l);
		break;
	default:
		l->key = 0;
		enter(l, GAIT_LINK_STOPPED);
	}
}

void gait_link_note(struct gait_link *l, uint8_t channel, uint16_t eighths)
{
	if (channel < l->channels)
		l->at[channel] = l->goal[channel] = eighths;
}

/* ---- what comes ---- */

/* A pose is taken whole or not at all, and only inside the pulse ranges. */
static void pose(struct gait_link *l, const uint8_t *body, uint8_t n)
{
	const struct gait_link_config *c = l->config;
	uint8_t i;
	if (n != 2 * l->channels) {
		l->fault = GAIT_LINK_BAD_COUNT;
		return;
	}
	for (i = 0; i < l->channels; i++) {
		uint16_t v = word(body + 2 * i);
		if (v < c->least[i] || v > c->greatest[i]) {
			l->fault = GAIT_LINK_BAD_RANGE;
			return;
		}
	}
	switch (l->state) {
	case GAIT_LINK_ARMED:
		l->woken = 0;
		enter(l, GAIT_LINK_WAKING);
		break;
	case GAIT_LINK_HOLD: /* the line is back: go on, slowly at first */
		enter(l, l->woken < l->channels ? GAIT_LINK_WAKING : GAIT_LINK_APPROACH);
		break;
	case GAIT_LINK_PLAY: /* the table is left where it is */
		enter(l, GAIT_LINK_APPROACH);
		break;
	case GAIT_LINK_FOLLOW:
		if (l->away)
			enter(l, GAIT_LINK_APPROACH);
		break;
	case GAIT_LINK_WAKING:
	case GAIT_LINK_APPROACH:
		break;
	default:
		l->fault = GAIT_LINK_BAD_STATE;
		return;
	}
	l->table = 0xff;
	l->away = 0;
	for (i = 0; i < l->channels; i++)
		l->goal[i] = word(body + 2 * i);
}

static void arm(struct gait_link *l)
{
	if (!l->channels || (l->state != GAIT_LINK_OFF && l->state != GAIT_LINK_STOPPED) || l->now - l->asked > GAIT_LINK_KEY_TIME) {
		l->fault = GAIT_LINK_BAD_STATE;
		return;
	}
	l->fault = GAIT_LINK_FINE;
	if (l->state == GAIT_LINK_STOPPED && l->woken == l->channels) { /* the servos hold already */
		stay(l);
		enter(l, GAIT_LINK_APPROACH);
	} else {
		enter(l, GAIT_LINK_ARMED);
	}
}

static void play(struct gait_link *l, const uint8_t *body, uint8_t n)
{
	const struct gait_link_config *c = l->config;
	if (n == 5 && body[4] == l->ticket)
		return; /* sent again, since it might have been lost */
	if (n != 5 || l->state != GAIT_LINK_FOLLOW) {
		l->fault = GAIT_LINK_BAD_STATE;
		return;
	}
	l->ticket = body[4];
	if (!c->play || !c->play(c->context, body[0], word(body + 1), body[3])) {
		l->fault = GAIT_LINK_BAD_TABLE;
		return;
	}
	l->table = body[0];
	l->away = 1;
	enter(l, GAIT_LINK_PLAY);
}

/* Frames with the second check: the session is the one that was armed. */
static void command(struct gait_link *l, uint8_t kind, const uint8_t *body, uint8_t n)
{
	switch (kind) {
	case ARM:
		arm(l);
		break;
	case POSE:
		pose(l, body, n);
		break;
	case PLAY:
		play(l, body, n);
		break;
	default: /* a sign of life */
		if (l->state == GAIT_LINK_HOLD && l->woken == l->channels) {
			stay(l); /* until a pose comes */
			enter(l, GAIT_LINK_APPROACH);
		}
	}
}

/* The first of the two acts that arm. */
static void ask(struct gait_link *l, uint8_t number, const uint8_t *body, uint8_t n)
{
	const struct gait_link_config *c = l->config;
	uint8_t b[6];
	if (n != 2 || (l->state != GAIT_LINK_OFF && l->state != GAIT_LINK_STOPPED)) {
		l->fault = GAIT_LINK_BAD_STATE;
		return;
	}
	put_long(b, l->now);
	put(b + 4, l->good);
	l->key = keyed(c->seed ? c->seed(c->context) : 0, b, sizeof b);
	if (!l->key)
		l->key = 1;
	l->limp = word(body);
	l->asked = l->now;
	l->number = number;
	l->ticket = 0;
	tell_key(l);
}

/* Takes what lies between two zeros. Answers 0 for what is damaged. */
static uint8_t take(struct gait_link *l)
{
	uint8_t n = 0, i = 0, k, kind, ahead, *p = l->in;
	while (i < l->n) { /* unstuffed in place */
		k = p[i++];
		if ((uint16_t)i + k - 1 > l->n)
			return 0;
		while (--k)
			p[n++] = p[i++];
		if (i < l->n)
			p[n++] = 0;
	}
	if (n < 4 || check(p, (uint8_t)(n - 2)) != word(p + n - 2))
		return 0;
	n = (uint8_t)(n - 4); /* of the body */
	kind = p[0];
	if (kind >= BEAT && kind < BEAT + 16) {
		if (n < 2 || l->key == 0 || keyed(l->key, p, n) != word(p + n))
			return 0;
		ahead = (uint8_t)(p[1] - l->number);
		if (kind > PLAY || ahead == 0 || ahead > 127)
			return 1; /* of a newer version; or came twice, or late */
		l->number = p[1];
		l->good++;
		l->alive = l->present = l->now;
		command(l, kind, p + 2, (uint8_t)(n - 2));
		return 1;
	}
	l->good++;
	l->present = l->now;
	switch (kind) {
	case HELLO:
		l->greeted = 1;
		tell_info(l);
		break;
	case ASK:
		ask(l, p[1], p + 2, n);
		break;
	case STOP:
		if (n == 1 && p[2] == 1)
			gait_link_limp(l);
		else
			gait_link_stop(l);
		break;
	case LOG:
		if (n == 2)
			l->log = word(p + 2);
		break;
	default: /* of a newer version: left alone */
		break;
	}
	return 1;
}

void gait_link_byte(struct gait_link *l, uint8_t byte)
{
	if (byte) {
		if (l->n < sizeof l->in)
			l->in[l->n++] = byte;
		else
			l->lost = 1;
		return;
	}
	if (l->lost || (l->n && !take(l)))
		l->bad++;
	l->n = 0;
	l->lost = 0;
}

/* ---- time ---- */

/* Brings all channels nearer to the goal in step with each other, the one that
   has farthest to go by at most `most`. Tells whether they are there. */
static uint8_t nearer(struct gait_link *l, uint32_t most)
{
	uint16_t far = 0;
	uint8_t i;
	for (i = 0; i < l->channels; i++) {
		uint16_t d = (uint16_t)(l->goal[i] > l->at[i] ? l->goal[i] - l->at[i] : l->at[i] - l->goal[i]);
		if (d > far)
			far = d;
	}
	for (i = 0; i < l->channels; i++) {
		uint16_t to = l->goal[i], at = l->at[i];
		if (far > most && to != at) {
			if (to > at)
				to = (uint16_t)(at + (uint32_t)(uint16_t)(to - at) * most / far);
			else
				to = (uint16_t)(at - (uint32_t)(uint16_t)(at - to) * most / far);
		}
		l->at[i] = to;
		l->config->set(l->config->context, i, to);
	}
	return far <= most;
}

/* Gives the channels their pulses, one after another. */
static void wake(struct gait_link *l)
{
	const struct gait_link_config *c = l->config;
	uint16_t every = c->wake ? c->wake : 1;
	while (l->now - l->since >= (uint32_t)every * l->woken) {
		if (l->woken == l->channels) {
			enter(l, GAIT_LINK_APPROACH);
			return;
		}
		c->set(c->context, l->woken, l->at[l->woken]);
		l->woken++;
	}
}

void gait_link_tick(struct gait_link *l, uint32_t now)
{
	const struct gait_link_config *c = l->config;
	uint32_t dt = l->ticking ? now - l->now : 0;
	uint16_t frame;
	l->ticking = 1;
	l->now = now;
	if (dt > GAIT_LINK_MOST_TICK)
		dt = GAIT_LINK_MOST_TICK;
	if (l->state >= GAIT_LINK_ARMED && l->state <= GAIT_LINK_PLAY && now - l->alive > GAIT_LINK_SILENCE) {
		if (l->state == GAIT_LINK_ARMED)
			gait_link_limp(l);
		else
			enter(l, GAIT_LINK_HOLD);
	}
	switch (l->state) {
	case GAIT_LINK_OFF:
		if (l->key && now - l->asked > GAIT_LINK_KEY_TIME) /* not even when the clock wraps round */
			l->key = 0;
		break;
	case GAIT_LINK_WAKING:
		wake(l);
		break;
	case GAIT_LINK_APPROACH:
		if (nearer(l, c->approach * dt))
			enter(l, GAIT_LINK_FOLLOW);
		break;
	case GAIT_LINK_FOLLOW:
		(void)nearer(l, c->speed * dt);
		break;
	case GAIT_LINK_PLAY:
		if (c->playing && !c->playing(c->context, &frame))
			enter(l, GAIT_LINK_FOLLOW);
		break;
	case GAIT_LINK_HOLD:
		if (now - l->since >= l->limp)
			gait_link_limp(l);
		break;
	case GAIT_LINK_STOPPED: /* stands for as long as the program is there */
		if (now - l->present >= l->limp && now - l->since >= l->limp)
			gait_link_limp(l);
		break;
	default:
		break;
	}
	if (l->greeted && now - l->told >= GAIT_LINK_STATUS_TIME) {
		l->told = now;
		tell_status(l);
	}
	if (l->log && now - l->seen >= l->log) {
		l->seen = now;
		tell_seen(l);
	}
}
