/* SPDX-License-Identifier: MIT */
/* See gait_player.h. */

#include "gait_player.h"

/* Shifting a negative number right is left to the compiler in C99: here it
   must keep the sign, as every compiler for these parts does. */
typedef char gait_shift_keeps_sign[(-2 >> 1) == -1 ? 1 : -1];

#define ONE ((uint32_t)1 << 16)
#define HEAD 44 /* bytes of a head without its lists */
#define CHANNEL 14
#define CONTACT 5
#define MARK 3
#define MOST_STEP ((uint32_t)1 << 30)
#define CHUNK 16384U /* µs of a table's time that are added at once */

/* ---- numbers ---- */

uint16_t gait_crc(uint16_t crc, uint8_t byte)
{
	uint16_t x = (uint16_t)(crc >> 8) ^ byte;
	x = x ^ (x >> 4);
	return (uint16_t)((uint16_t)(crc << 8) ^ (uint16_t)(x << 12) ^ (uint16_t)(x << 5) ^ x);
}

static uint16_t u16(const uint8_t *b)
{
	return (uint16_t)(b[0] | (uint16_t)((uint16_t)b[1] << 8));
}

static uint32_t u32(const uint8_t *b)
{
	return u16(b) | (uint32_t)u16(b + 2) << 16;
}

/* a·t/65536, rounded down, for t of 0 to 65535. Products of 16 by 16 bits, which
   an 8-bit part is quickest at. */
static int32_t part(int32_t a, uint16_t t)
{
	return (int32_t)(int16_t)(a >> 16) * (int32_t)t + (int32_t)((uint32_t)(uint16_t)a * t >> 16);
}

static uint32_t upart(uint32_t a, uint16_t t)
{
	return (uint32_t)(uint16_t)(a >> 16) * t + ((uint32_t)(uint16_t)a * t >> 16);
}

/* 65536·a/b, rounded down, for a < b; else 65535. */
static uint16_t share(uint32_t a, uint32_t b)
{
	while (b > 0xffff) {
		a >>= 1;
		b >>= 1;
	}
	a = b ? (a << 16) / b : ONE;
	return (uint16_t)(a > 0xffff ? 0xffff : a);
}

/* 3x²−2x³ of a share. */
static uint32_t eased(uint32_t x)
{
	uint16_t square;
	if (x >= ONE)
		return ONE;
	square = (uint16_t)(x * x >> 16);
	return upart(3 * ONE - 2 * x, square);
}

static int32_t mixed(int32_t a, int32_t b, uint32_t w)
{
	return w >= ONE ? b : a + part(b - a, (uint16_t)w);
}

static uint32_t apart(int32_t a, int32_t b)
{
	return a > b ? (uint32_t)a - (uint32_t)b : (uint32_t)b - (uint32_t)a;
}

/* ---- the head ---- */

static uint16_t stored(const struct gait_head *h)
{
	return (uint16_t)(h->interpolation == GAIT_CUBIC && !(h->flags & GAIT_LOOPS) ? h->frames + 2 : h->frames);
}

static uint16_t intervals(const struct gait_head *h)
{
	return (uint16_t)(h->flags & GAIT_LOOPS ? h->frames : h->frames - 1);
}

static uint32_t lists(const struct gait_head *h) /* where contacts begin */
{
	return HEAD + (uint32_t)CHANNEL * h->channels;
}

static uint16_t sum(const struct gait_table *t, uint32_t from, uint32_t to)
{
	uint8_t b[16];
	uint16_t crc = 0xffff;
	while (from < to) {
		uint8_t i, n = (uint8_t)(to - from < sizeof b ? to - from : sizeof b);
		t->read(from, b, n);
		for (i = 0; i < n; i++)
			crc = gait_crc(crc, b[i]);
		from += n;
	}
	return crc;
}

enum gait_result gait_head(const struct gait_table *t, struct gait_head *h)
{
	uint8_t b[HEAD];
	uint32_t rows;
	if (!t || !t->read || t->size < HEAD)
		return GAIT_NO_TABLE;
	t->read(0, b, HEAD);
	if (b[0] != 'G' || b[1] != 'W' || b[2] != 'T')
		return GAIT_NO_TABLE;
	if (b[3] != GAIT_VERSION)
		return GAIT_OTHER_VERSION;
	h->head = u16(b + 12);
	if (u32(b + 8) != t->size || h->head < HEAD || h->head > t->size)
		return GAIT_LENGTH;
	if (sum(t, 6, h->head) != u16(b + 4))
		return GAIT_DAMAGED;
	h->channels = b[14];
	h->legs = b[15];
	h->frames = u16(b + 16);
	h->step = u32(b + 18);
	h->den = u16(b + 22);
	h->kind = b[24];
	h->bits = b[25];
	h->interpolation = b[26];
	h->flags = b[27];
	h->packing = b[28];
	h->block = b[29];
	h->blocks = u16(b + 30);
	h->cool = u32(b + 32);
	h->fastest = u16(b + 36);
	h->contacts = u16(b + 38);
	h->marks = u16(b + 40);
	h->prescale = b[42];
	if (h->channels > GAIT_CHANNELS || h->legs > GAIT_LEGS)
		return GAIT_TOO_LARGE;
	if (!h->channels || h->frames < 2 || h->frames > 65533U || !h->den || h->step >= MOST_STEP ||
	    h->step / h->den < 250 || h->step / h->den >= 1UL << 24 || h->kind > GAIT_SERVO_STEP || h->bits > 7 ||
	    h->interpolation > GAIT_CUBIC || h->flags > 3 || h->packing > 2 || !h->packing != !h->block ||
	    h->cool > 4000000UL || h->fastest < GAIT_SPEED_1 || (h->legs && !h->contacts) || b[43])
		return GAIT_FIELD;
	rows = stored(h);
	if (h->blocks != (h->packing ? (rows + h->block - 1) / h->block : 0))
		return GAIT_FIELD;
	if (h->head != lists(h) + (uint32_t)CONTACT * h->contacts + (uint32_t)MARK * h->marks + 4UL * h->blocks)
		return GAIT_LENGTH;
	rows *= h->channels; /* the least that they take */
	if (h->packing ? t->size - h->head < rows : t->size - h->head != 2 * rows)
		return GAIT_LENGTH;
	return GAIT_OK;
}

void gait_channel(const struct gait_table *t, const struct gait_head *h, uint8_t i, struct gait_channel *c)
{
	uint8_t b[CHANNEL];
	(void)h;
	t->read(HEAD + (uint32_t)CHANNEL * i, b, CHANNEL);
	c->number = u16(b);
	c->least = u16(b + 2);
	c->most = u16(b + 4);
	c->peak = u32(b + 6);
	c->bound = u32(b + 10);
}

static int32_t value(const struct gait_head *h, uint16_t v)
{
	return h->flags & GAIT_SIGNED ? (int32_t)v - (v & 0x8000 ? 65536 : 0) : (int32_t)v;
}

/* The same in 1/256 units: scale is 256 >> bits. */
static int32_t wide(uint16_t v, uint16_t scale, uint8_t negative)
{
	int32_t x = (int32_t)((uint32_t)v * scale);
	if (negative && v & 0x8000)
		x -= (int32_t)((uint32_t)scale << 16);
	return x;
}

/* Reads entry i of the contacts or marks: when it is, in 1/256 frames. */
static uint32_t entry(const struct gait_table *t, uint32_t list, uint8_t each, uint16_t i, uint16_t *planted)
{
	uint8_t b[CONTACT];
	t->read(list + (uint32_t)each * i, b, each);
	if (planted)
		*planted = u16(b + 3);
	return (uint32_t)u16(b) << 8 | b[2];
}

static uint32_t contact(const struct gait_cursor *c, uint16_t i, uint16_t *planted)
{
	return entry(c->table, lists(&c->h), CONTACT, i, planted);
}

static uint32_t mark(const struct gait_cursor *c, uint16_t i)
{
	return entry(c->table, lists(&c->h) + (uint32_t)CONTACT * c->h.contacts, MARK, i, 0);
}

/* ---- rows ---- */

static uint8_t window(const struct gait_head *h)
{
	return h->interpolation == GAIT_CUBIC ? 4 : 2;
}

static uint8_t byte(struct gait_cursor *c)
{
	if (c->used == c->have) {
		uint32_t left = c->table->size - c->at;
		if (!left) { /* more is asked for than the table has */
			c->bad = 1;
			return 0;
		}
		c->have = (uint8_t)(left < sizeof c->buffer ? left : sizeof c->buffer);
		c->used = 0;
		c->table->read(c->at, c->buffer, c->have);
		c->at += c->have;
	}
	return c->buffer[c->used++];
}

static void jump(struct gait_cursor *c, uint32_t at)
{
	c->have = c->used = 0;
	c->at = at;
	if (at > c->table->size) {
		c->at = c->table->size;
		c->bad = 1;
	}
}

/* Goes to a row that begins a block, or to any in a plain table. */
static void begin(struct gait_cursor *c, uint16_t row)
{
	uint8_t b[4];
	c->row = row;
	if (!c->h.packing) {
		jump(c, c->h.head + (uint32_t)2 * c->h.channels * row);
		return;
	}
	c->table->read(c->h.head - 4 * (uint32_t)(c->h.blocks - row / c->h.block), b, 4);
	jump(c, u32(b) > c->table->size ? c->table->size + 1 : c->h.head + u32(b));
}

/* Reads the next row over the oldest one. */
static void pull(struct gait_cursor *c)
{
	const struct gait_head *h = &c->h;
	uint8_t n = window(h), i, in = (uint8_t)(h->packing ? c->row % h->block : 0);
	uint16_t *to = c->rows[c->ring];
	const uint16_t *one = c->rows[(c->ring + n - 1) % n], *two = c->rows[(c->ring + n - 2) % n];
	for (i = 0; i < h->channels; i++) {
		uint8_t low = byte(c);
		if (!h->packing || in == 0) {
			to[i] = (uint16_t)(low | (uint16_t)byte(c) << 8);
		} else if (low == 0x80) {
			low = byte(c);
			to[i] = (uint16_t)(low | (uint16_t)byte(c) << 8);
		} else {
			uint16_t near = one[i];
			if (h->packing == 2 && in >= 2)
				near = (uint16_t)(2 * near - two[i]);
			to[i] = (uint16_t)(near + low - (low & 0x80 ? 256 : 0));
		}
	}
	c->ring = (uint8_t)((c->ring + 1) % n);
	if (++c->row == stored(h)) {
		c->row = 0;
		if (h->flags & GAIT_LOOPS)
			jump(c, h->head);
	} else if (h->packing && c->row % h->block == 0) {
		begin(c, c->row);
	}
}

/* Puts the rows for an interval into the ring. */
static void seek(struct gait_cursor *c, uint16_t frame)
{
	const struct gait_head *h = &c->h;
	uint16_t row = frame, n;
	if (h->interpolation == GAIT_CUBIC && h->flags & GAIT_LOOPS)
		row = (uint16_t)(frame ? frame - 1 : h->frames - 1);
	c->frame = frame;
	c->ring = 0;
	n = (uint16_t)(h->packing ? row % h->block : 0);
	begin(c, (uint16_t)(row - n));
	for (n = (uint16_t)(n + window(h)); n; n--)
		pull(c);
}

static void rewind_lists(struct gait_cursor *c)
{
	c->contact = c->mark = 0;
	if (c->h.contacts) {
		contact(c, 0, &c->planted);
		c->contact = 1;
	} else {
		c->planted = 0;
	}
}

static enum gait_result open(struct gait_cursor *c, const struct gait_table *t)
{
	enum gait_result r = gait_head(t, &c->h);
	c->table = 0;
	if (r)
		return r;
	c->table = t;
	c->over = 0;
	c->ended = c->bad = 0;
	seek(c, 0);
	rewind_lists(c);
	if (c->bad) {
		c->table = 0;
		return GAIT_LENGTH;
	}
	return GAIT_OK;
}

/* Where every channel is at a share t of the interval, 65536 for its end, in
   1/256 units. The cubic is that of Catmull and Rom. */
static void values(const struct gait_cursor *c, uint32_t at, int32_t *to)
{
	const struct gait_head *h = &c->h;
	uint8_t i = c->ring, n = window(h), left = h->channels, negative = h->flags & GAIT_SIGNED;
	uint16_t scale = (uint16_t)(256 >> h->bits), t = (uint16_t)at;
	const uint16_t *r0 = c->rows[i], *r1 = r0, *r2, *r3;
	if (n == 4) {
		i = (uint8_t)((i + 1) & 3);
		r1 = c->rows[i];
	}
	i = (uint8_t)((i + 1) & (n - 1));
	r2 = c->rows[i];
	r3 = c->rows[(i + 1) & (n - 1)];
	if (at >= ONE) { /* at its end */
		r1 = r2;
		t = 0;
	}
	for (; left; left--, r0++, r1++, r2++, r3++) {
		int32_t p1 = wide(*r1, scale, negative);
		if (t && h->interpolation != GAIT_STEP) {
			int32_t p2 = wide(*r2, scale, negative), d = p2 - p1;
			if (n == 4) {
				int32_t p0 = wide(*r0, scale, negative), p3 = wide(*r3, scale, negative), e = p1 - p0, f = p3 - p2;
				int32_t v = part(e + f - 2 * d, t);
				v = part(3 * d - 2 * e - f + v, t);
				v = part(d + e + v, t);
				p1 += v >> 1;
			} else {
				p1 += part(d, t);
			}
		}
		*to++ = p1;
	}
}

static uint32_t inside(const struct gait_cursor *c) /* share of the interval */
{
	return c->over >= c->h.step ? ONE : share(c->over, c->h.step);
}

static uint32_t place(const struct gait_cursor *c) /* 1/256 frames */
{
	return ((uint32_t)c->frame << 8) + (inside(c) >> 8);
}

/* ---- the player ---- */

static struct gait_cursor *current(struct gait_player *p)
{
	return &p->cursor[p->now];
}

static struct gait_cursor *other(struct gait_player *p)
{
	return &p->cursor[!p->now];
}

void gait_init(struct gait_player *p, void (*servo)(void *, uint16_t, int32_t), void *user)
{
	uint8_t *b = (uint8_t *)p;
	uint16_t n;
	for (n = 0; n < sizeof *p; n++)
		b[n] = 0;
	p->servo = servo;
	p->user = user;
	p->speed = GAIT_SPEED_1;
	p->agree = 2;
	p->early_ms = 150;
	p->late_ms = 40;
	p->wait_ms = 300;
}

/* Takes over channels and ranges of a table. */
static void wire(struct gait_player *p, const struct gait_cursor *c)
{
	struct gait_channel k;
	uint8_t i;
	p->count = c->h.channels;
	p->unit = c->h.bits;
	for (i = 0; i < p->count; i++) {
		gait_channel(c->table, &c->h, i, &k);
		p->number[i] = k.number;
		p->least[i] = k.least;
		p->most[i] = k.most;
	}
}

/* Tells whether a table moves the same servos, in the same units. */
static uint8_t alike(const struct gait_player *p, const struct gait_cursor *c)
{
	struct gait_channel k;
	const struct gait_head *h = &p->cursor[p->now].h;
	uint8_t i;
	if (c->h.channels != p->count || c->h.kind != h->kind || c->h.prescale != h->prescale ||
	    (c->h.flags & GAIT_SIGNED) != (h->flags & GAIT_SIGNED))
		return 0;
	for (i = 0; i < p->count; i++) {
		gait_channel(c->table, &c->h, i, &k);
		if (k.number != p->number[i])
			return 0;
	}
	return 1;
}

static void cool(struct gait_player *p, const struct gait_cursor *c)
{
	if (c->table && c->h.cool && p->cool_left < c->h.cool * 1000UL)
		p->cool_left = c->h.cool * 1000UL;
}

/* Leaves what plays; its cool-down begins. */
static void leave(struct gait_player *p)
{
	if (p->state == GAIT_PLAY || p->state == GAIT_CHANGE)
		cool(p, current(p));
	p->queued = 0;
	p->finish = p->pending = 0;
	p->waiting = 0;
	p->state = p->cool_left ? GAIT_COOL : GAIT_IDLE;
}

void gait_fault(struct gait_player *p, uint8_t code)
{
	if (p->state == GAIT_FAULT)
		return;
	leave(p);
	p->fault = code ? code : (uint8_t)GAIT_FAULT_USER;
	p->state = GAIT_FAULT;
}

void gait_clear(struct gait_player *p)
{
	if (p->state != GAIT_FAULT)
		return;
	p->fault = GAIT_FAULT_NONE;
	p->state = p->cool_left ? GAIT_COOL : GAIT_IDLE;
	p->ticking = 0;
}

void gait_stop(struct gait_player *p)
{
	if (p->state != GAIT_FAULT)
		leave(p);
}

/* Opens a table on the cursor that is free and makes it the present one. */
static enum gait_result take(struct gait_player *p, const struct gait_table *t)
{
	enum gait_result r = open(other(p), t);
	if (r)
		return r;
	if (p->known && !alike(p, other(p)))
		return GAIT_OTHER_ROBOT;
	p->now = !p->now;
	wire(p, current(p));
	return GAIT_OK;
}

static uint8_t inside_ranges(const struct gait_player *p, const int32_t *pose)
{
	const struct gait_head *h = &p->cursor[p->now].h;
	uint16_t scale = (uint16_t)(256 >> h->bits);
	uint8_t i, negative = h->flags & GAIT_SIGNED;
	for (i = 0; i < p->count; i++)
		if (pose[i] < wide(p->least[i], scale, negative) || pose[i] > wide(p->most[i], scale, negative))
			return 0;
	return 1;
}

/* Puts a pose in whole units, or the table's first one, into `to`. */
static enum gait_result aim(struct gait_player *p, const int32_t *pose, int32_t *to)
{
	uint8_t i;
	if (!pose)
		values(current(p), 0, to);
	for (i = 0; i < p->count; i++) {
		if (pose && (pose[i] < -65536 || pose[i] > 65536))
			return GAIT_RANGE;
		if (pose)
			to[i] = pose[i] * 256;
	}
	return inside_ranges(p, to) ? GAIT_OK : GAIT_RANGE;
}

enum gait_result gait_stands_at(struct gait_player *p, const struct gait_table *t, const int32_t *pose)
{
	enum gait_result r = p->state == GAIT_FAULT ? GAIT_HELD : GAIT_OK;
	if (r)
		return r;
	if (p->state != GAIT_IDLE && p->state != GAIT_COOL)
		return GAIT_BUSY;
	p->known = 0;
	r = take(p, t);
	if (!r)
		r = aim(p, pose, p->pose);
	p->known = !r;
	return r;
}

enum gait_result gait_stands(struct gait_player *p, const struct gait_table *t)
{
	return gait_stands_at(p, t, 0);
}

/* Begins an approach to the goal: all joints arrive together, and the fastest
   is never faster than the bound. Along 3x²−2x³ the greatest speed is one and a
   half times the mean. */
static void depart(struct gait_player *p)
{
	struct gait_channel k;
	const struct gait_cursor *c = current(p);
	uint32_t most = 0;
	uint8_t i;
	for (i = 0; i < p->count; i++) {
		uint32_t speed, ms, way = apart(p->goal[i], p->pose[i]);
		gait_channel(c->table, &c->h, i, &k);
		speed = p->approach ? p->approach : k.bound / 8;
		if (speed > k.bound)
			speed = k.bound;
		if (!speed)
			speed = 1;
		/* 1.5·way/256/speed seconds: 5.86·way/speed ms, and some for rounding */
		ms = way ? way * 6 / speed + way / speed / 8 + 2 : 0;
		if (ms > 4000000UL)
			ms = 4000000UL;
		if (ms > most)
			most = ms;
		p->from[i] = p->pose[i];
	}
	p->whole = most * 1000UL;
	p->took = 0;
	p->state = GAIT_APPROACH;
}

static void feet_anew(struct gait_player *p)
{
	uint8_t i;
	p->opened = p->told = 0;
	for (i = 0; i < GAIT_LEGS; i++)
		p->down_at[i] = p->clock;
	p->told = current(p)->planted; /* feet that stand at the beginning are not late */
}

static void start(struct gait_player *p)
{
	p->state = GAIT_PLAY;
	p->pending = 0;
	p->waiting = 0;
	feet_anew(p);
}

/* Leaves what goes on for an approach to a table's first pose, or to a pose. */
static enum gait_result go(struct gait_player *p, const struct gait_table *t, const int32_t *pose)
{
	struct gait_head h;
	enum gait_result r = p->state == GAIT_FAULT ? GAIT_HELD : p->cool_left ? GAIT_COOLING : !p->known ? GAIT_NO_POSE : gait_head(t, &h);
	if (r)
		return r;
	if (p->state == GAIT_PLAY && current(p)->h.cool) /* it would have to cool down first */
		return GAIT_BUSY;
	if (!pose && p->speed > h.fastest)
		return GAIT_TOO_FAST;
	if (p->state == GAIT_IDLE)
		p->ticking = 0; /* nobody need have ticked */
	if (p->state == GAIT_CHANGE) /* both cursors are in use */
		leave(p);
	r = take(p, t);
	if (r)
		return r;
	p->state = GAIT_IDLE; /* what played has no cool-down */
	leave(p);
	r = aim(p, pose, p->goal);
	if (r)
		return r;
	depart(p);
	p->pending = !pose;
	return GAIT_OK;
}

enum gait_result gait_play(struct gait_player *p, const struct gait_table *t)
{
	return go(p, t, 0);
}

enum gait_result gait_go(struct gait_player *p, const struct gait_table *t, const int32_t *pose)
{
	return go(p, t, pose);
}

enum gait_result gait_next(struct gait_player *p, const struct gait_table *t)
{
	struct gait_head h;
	enum gait_result r;
	if (p->state == GAIT_IDLE || p->state == GAIT_FAULT)
		return go(p, t, 0);
	if (p->state == GAIT_CHANGE)
		return GAIT_BUSY;
	r = gait_head(t, &h);
	if (r)
		return r;
	if (p->speed > h.fastest)
		return GAIT_TOO_FAST;
	p->queued = t;
	return GAIT_OK;
}

void gait_finish(struct gait_player *p)
{
	p->finish = 1;
}

enum gait_result gait_set_speed(struct gait_player *p, uint16_t factor)
{
	struct gait_head h;
	if (factor > 16 * GAIT_SPEED_1)
		return GAIT_TOO_FAST;
	if ((p->state == GAIT_PLAY || p->state == GAIT_CHANGE || (p->state == GAIT_APPROACH && p->pending)) && factor > current(p)->h.fastest)
		return GAIT_TOO_FAST;
	if (p->state == GAIT_CHANGE && factor > other(p)->h.fastest)
		return GAIT_TOO_FAST;
	if (p->queued && (gait_head(p->queued, &h) || factor > h.fastest))
		return GAIT_TOO_FAST;
	p->speed = factor;
	return GAIT_OK;
}

uint32_t gait_phase(const struct gait_player *p)
{
	const struct gait_cursor *c = &p->cursor[p->now];
	uint32_t at, n;
	if (p->state == GAIT_CHANGE)
		return p->phase >> 16;
	if (p->state != GAIT_PLAY)
		return 0;
	n = intervals(&c->h);
	at = ((uint32_t)c->frame << 16) + inside(c);
	return at / n;
}

enum gait_result gait_change(struct gait_player *p, const struct gait_table *t, uint16_t over_ms)
{
	struct gait_cursor *a = current(p), *b = other(p);
	enum gait_result r;
	uint32_t at, q;
	uint16_t n;
	uint8_t i;
	if (p->state == GAIT_FAULT)
		return GAIT_HELD;
	if (p->state == GAIT_CHANGE)
		return GAIT_BUSY;
	if (p->state != GAIT_PLAY || !(a->h.flags & GAIT_LOOPS))
		return GAIT_NOT_WALKING;
	r = open(b, t);
	if (r)
		return r;
	if (!(b->h.flags & GAIT_LOOPS))
		return GAIT_NOT_WALKING;
	if (!alike(p, b) || b->h.bits != a->h.bits)
		return GAIT_OTHER_ROBOT;
	if (p->speed > b->h.fastest)
		return GAIT_TOO_FAST;
	n = a->h.frames;
	at = ((uint32_t)a->frame << 16) + inside(a);
	q = at / n;
	p->phase = (q << 16) + ((at - q * n) << 16) / n;
	for (i = 0; i < 2; i++) {
		/* cycles a µs, in 2^-32; a cycle lasts step·frames/den */
		const struct gait_head *h = &p->cursor[i].h;
		uint32_t cycle = h->step / h->den * h->frames + h->step % h->den * h->frames / h->den;
		p->rate[i] = 0xffffffffU / (cycle ? cycle : 1);
	}
	p->took = 0;
	p->whole = over_ms * 1000UL;
	p->weight = 0;
	p->queued = 0;
	p->finish = 0;
	p->waiting = 0;
	p->state = GAIT_CHANGE;
	return GAIT_OK;
}

enum gait_result gait_pose(struct gait_player *p, const struct gait_table *t, uint8_t end, uint16_t *pose)
{
	struct gait_cursor *c = other(p);
	enum gait_result r;
	uint8_t i, n, a;
	if (p->state == GAIT_CHANGE)
		return GAIT_BUSY;
	r = open(c, t);
	if (r)
		return r;
	if (end && !(c->h.flags & GAIT_LOOPS)) /* the last frame of a loop is its first */
		seek(c, (uint16_t)(c->h.frames - 2));
	else
		end = 0;
	n = window(&c->h);
	a = (uint8_t)((n == 4 ? c->ring + 1 : c->ring) + (end ? 1 : 0));
	for (i = 0; i < c->h.channels; i++)
		pose[i] = c->rows[a % n][i];
	return c->bad ? GAIT_LENGTH : GAIT_OK;
}

/* ---- the whole of a table ---- */

enum gait_result gait_check(const struct gait_table *t)
{
	struct gait_head h;
	enum gait_result r = gait_head(t, &h);
	uint8_t b[CHANNEL];
	uint32_t before = 0, end;
	uint16_t i, planted;
	if (r)
		return r;
	t->read(6, b, 2);
	if (sum(t, h.head, t->size) != u16(b))
		return GAIT_DAMAGED;
	for (i = 0; i < h.channels; i++) {
		struct gait_channel k;
		gait_channel(t, &h, (uint8_t)i, &k);
		if (value(&h, k.least) > value(&h, k.most))
			return GAIT_FIELD;
	}
	end = (uint32_t)intervals(&h) << 8;
	for (i = 0; i < h.contacts; i++) {
		uint32_t at = entry(t, lists(&h), CONTACT, i, &planted);
		if ((i ? at <= before : at) || at > end || planted >> h.legs)
			return GAIT_FIELD;
		before = at;
	}
	before = 0;
	for (i = 0; i < h.marks; i++) {
		uint32_t at = entry(t, lists(&h) + (uint32_t)CONTACT * h.contacts, MARK, i, 0);
		if (at < before || at > end)
			return GAIT_FIELD;
		before = at;
	}
	before = 0;
	for (i = 0; i < h.blocks; i++) {
		t->read(h.head - 4 * (uint32_t)(h.blocks - i), b, 4);
		if ((i ? u32(b) <= before : u32(b)) || u32(b) >= t->size - h.head)
			return GAIT_FIELD;
		before = u32(b);
	}
	return GAIT_OK;
}

/* ---- time ---- */

/* Microseconds of the table's time that dt of the real one is. */
static uint32_t scaled(struct gait_player *p, uint32_t dt)
{
	uint32_t high = (dt >> 8) * p->speed, low = (dt & 0xff) * p->speed + p->rest;
	p->rest = (uint8_t)low;
	return high + (low >> 8);
}

/* Goes through contacts and marks up to where the cursor is. */
static void passed(struct gait_player *p, struct gait_cursor *c)
{
	uint32_t at = place(c);
	while (c->contact < c->h.contacts) {
		uint16_t planted, i;
		if (contact(c, c->contact, &planted) > at)
			break;
		for (i = 0; i < c->h.legs; i++)
			if (planted & ~c->planted & (1U << i))
				p->down_at[i] = p->clock;
		p->opened &= (uint16_t)~(planted ^ c->planted);
		p->told &= (uint16_t)~(planted ^ c->planted);
		c->planted = planted;
		c->contact++;
	}
	while (c->mark < c->h.marks && mark(c, c->mark) <= at) {
		c->mark++;
		if (p->mark)
			p->mark(p->user, (uint16_t)(c->mark - 1));
	}
}

/* Lets a table go on by us. What is left over at its end is returned. */
static uint32_t advance(struct gait_player *p, struct gait_cursor *c, uint32_t us)
{
	uint16_t n = intervals(&c->h);
	while (us) {
		uint32_t now = us < CHUNK ? us : CHUNK;
		us -= now;
		c->over += now * c->h.den;
		while (c->over >= c->h.step) {
			if (c->frame + 1U == n) {
				if (!(c->h.flags & GAIT_LOOPS) || p->queued || p->finish) {
					uint32_t rest = us + (c->over - c->h.step) / c->h.den;
					c->over = c->h.step;
					c->ended = 1;
					passed(p, c);
					return rest;
				}
				c->over -= c->h.step;
				c->frame = (uint16_t)(n - 1);
				{ /* what lies in the last interval is passed before the loop begins anew */
					uint32_t over = c->over;
					c->over = c->h.step;
					passed(p, c);
					c->over = over;
				}
				c->contact = c->mark = 0;
				c->frame = 0;
			} else {
				c->over -= c->h.step;
				c->frame++;
			}
			pull(c);
		}
	}
	passed(p, c);
	return 0;
}

/* The feet. Tells whether the clock may go on. */
static uint8_t feet(struct gait_player *p, struct gait_cursor *c, uint32_t dt)
{
	uint8_t i;
	if (!p->foot_down || !p->foot)
		return 1;
	for (i = 0; i < c->h.legs; i++) {
		uint16_t bit = (uint16_t)(1U << i);
		uint8_t down = p->foot_down(p->user, i);
		enum gait_answer a = GAIT_GO_ON;
		if (c->planted & bit) {
			uint32_t since = (p->clock - p->down_at[i]) / 1000;
			if (down) {
				p->told |= bit; /* it came */
			} else if (!(p->told & bit) && since >= p->late_ms) {
				p->told |= bit;
				a = p->foot(p->user, i, GAIT_FOOT_LATE, (uint16_t)(since > 65535UL ? 65535UL : since));
				if (a == GAIT_WAIT) {
					p->waiting |= bit;
					p->took = 0;
				}
			}
			if (down)
				p->waiting &= (uint16_t)~bit;
		} else {
			p->waiting &= (uint16_t)~bit;
			if (!down) {
				p->opened |= bit;
			} else if (p->opened & bit && !(p->told & bit) && p->speed) {
				/* closed again: how long before its touchdown? */
				uint32_t at = place(c), n = (uint32_t)intervals(&c->h) << 8, us;
				uint16_t k, planted = 0, look = c->h.contacts;
				uint32_t ahead = 0xffff;
				for (k = c->contact; look; look--, k++) {
					if (k >= c->h.contacts) {
						if (!(c->h.flags & GAIT_LOOPS))
							break;
						k = 0;
					}
					ahead = contact(c, k, &planted);
					ahead = ahead > at ? ahead - at : ahead + n - at;
					if (planted & bit)
						break;
					ahead = 0xffff;
				}
				if (ahead > 0xffff)
					ahead = 0xffff;
				us = c->h.step / c->h.den;
				us = (us >> 8) * ahead + ((us & 0xff) * ahead >> 8);
				us /= p->speed; /* real time, 256 µs */
				us = us < 1000000UL ? us * GAIT_SPEED_1 / 1000 : 0xffff; /* ms */
				if (ahead != 0xffff && us <= p->early_ms) {
					p->told |= bit;
					a = p->foot(p->user, i, GAIT_FOOT_EARLY, (uint16_t)us);
				}
			}
		}
		if (a == GAIT_STOP) {
			gait_fault(p, GAIT_FAULT_FOOT);
			return 0;
		}
	}
	if (!p->waiting)
		return 1;
	p->took += dt;
	if (p->took >= p->wait_ms * 1000UL)
		gait_fault(p, GAIT_FAULT_FOOT);
	return 0;
}

/* Puts a walk's cursor to the shared phase. */
static void follow(struct gait_cursor *c, uint32_t phase)
{
	uint16_t n = c->h.frames, frame;
	uint32_t at = (phase >> 16) * n + ((phase & 0xffff) * n >> 16);
	frame = (uint16_t)(at >> 16);
	/* Frames to go, round the end; so that 16 bits hold it for any n. */
	if ((uint16_t)(frame >= c->frame ? frame - c->frame : n - c->frame + frame) > 8) {
		seek(c, frame);
	} else {
		while (c->frame != frame && !c->bad) {
			c->frame = (uint16_t)(c->frame + 1U == n ? 0 : c->frame + 1);
			pull(c);
		}
	}
	c->over = upart(c->h.step, (uint16_t)at);
}

/* Takes over the goal as the pose. A value outside a range holds the robot
   instead, before any servo has been told. */
static uint8_t settle(struct gait_player *p)
{
	uint8_t i;
	if (!inside_ranges(p, p->goal)) {
		gait_fault(p, GAIT_FAULT_RANGE);
		return 0;
	}
	for (i = 0; i < p->count; i++)
		p->pose[i] = p->goal[i];
	return 1;
}

/* Gives the greatest step of the weight with which no joint exceeds what its
   servo does within dt, and puts the pose there. */
static void mix(struct gait_player *p, uint32_t dt)
{
	struct gait_cursor *b = other(p);
	struct gait_channel k;
	uint32_t want = p->took >= p->whole ? ONE : eased(share(p->took, p->whole)), by = want > p->weight ? want - p->weight : 0;
	uint8_t i;
	values(current(p), inside(current(p)), p->goal);
	values(b, inside(b), p->from);
	for (i = 0; i < p->count && by; i++) {
		uint32_t room, gone, far = apart(p->goal[i], p->from[i]);
		gait_channel(b->table, &b->h, i, &k);
		if (k.bound > (uint32_t)1 << 20)
			k.bound = (uint32_t)1 << 20;
		room = (k.bound >> 4) * (dt >> 4) >> 4; /* 1/256 units; 5 % less than exact */
		gone = apart(mixed(p->goal[i], p->from[i], p->weight), p->pose[i]) + 2;
		room = room > gone ? room - gone : 0;
		if (upart(far, (uint16_t)(by > 0xffff ? 0xffff : by)) + 1 > room) {
			uint32_t most = far > room ? share(room, far) : ONE;
			if (by > most)
				by = most;
		}
	}
	p->weight += by;
	for (i = 0; i < p->count; i++)
		p->goal[i] = mixed(p->goal[i], p->from[i], p->weight);
	settle(p);
}

/* Joins the table that waits to what has ended. */
static void join(struct gait_player *p)
{
	const struct gait_table *t = p->queued;
	uint8_t i, far = 0;
	p->queued = 0;
	p->finish = 0;
	if (take(p, t) || aim(p, 0, p->goal)) {
		gait_fault(p, GAIT_FAULT_TABLE);
		return;
	}
	for (i = 0; i < p->count; i++)
		if (apart(p->goal[i], p->pose[i]) > (uint32_t)p->agree << 8)
			far = 1;
	if (far) {
		depart(p);
		p->pending = 1;
	} else {
		start(p);
	}
}

static void play(struct gait_player *p, uint32_t us)
{
	for (;;) {
		struct gait_cursor *c = current(p);
		const struct gait_table *queued;
		us = advance(p, c, us);
		values(c, inside(c), p->goal);
		if (c->bad || p->state == GAIT_FAULT || !settle(p) || !c->ended)
			return;
		if (p->ended)
			p->ended(p->user, c->table);
		if (p->state != GAIT_PLAY) /* the callback stopped it */
			return;
		queued = p->queued;
		if (!queued || c->h.cool) {
			leave(p);
			p->queued = queued; /* after the cool-down */
			return;
		}
		join(p);
		if (p->state != GAIT_PLAY)
			return;
	}
}

static void tell(struct gait_player *p)
{
	uint8_t i, up = (uint8_t)(8 - p->bits);
	int32_t half = up ? (int32_t)1 << ((up - 1) & 15) : 0;
	if (up > 8) { /* more fraction bits than there are */
		gait_fault(p, GAIT_FAULT_RANGE);
		return;
	}
	for (i = 0; i < p->count && p->state != GAIT_FAULT; i++)
		p->servo(p->user, p->number[i], (p->pose[i] + half) >> up);
}

enum gait_state gait_tick(struct gait_player *p, uint32_t now)
{
	uint32_t dt = p->ticking ? now - p->last : 0;
	uint8_t i;
	p->last = now;
	p->ticking = 1;
	p->clock += dt;
	p->cool_left -= dt < p->cool_left ? dt : p->cool_left;
	switch (p->state) {
	case GAIT_IDLE:
	case GAIT_FAULT:
		return p->state;
	case GAIT_COOL:
		if (p->cool_left)
			return p->state;
		p->state = GAIT_IDLE;
		if (p->queued) {
			const struct gait_table *t = p->queued;
			p->queued = 0;
			if (go(p, t, 0))
				gait_fault(p, GAIT_FAULT_TABLE);
		}
		return p->state;
	default:
		break;
	}
	if (dt > GAIT_MOST_TICK) {
		gait_fault(p, GAIT_FAULT_TICK);
		return p->state;
	}
	switch (p->state) {
	case GAIT_APPROACH: {
		uint32_t w = ONE;
		p->took += dt;
		if (p->took < p->whole)
			w = eased(share(p->took, p->whole));
		for (i = 0; i < p->count; i++)
			p->pose[i] = mixed(p->from[i], p->goal[i], w);
		if (w == ONE && p->pending) {
			start(p);
			play(p, scaled(p, p->took - p->whole));
		} else if (w == ONE) {
			p->state = GAIT_IDLE;
		}
		break;
	}
	case GAIT_PLAY:
		if (feet(p, current(p), dt))
			play(p, scaled(p, dt));
		break;
	case GAIT_CHANGE: {
		uint32_t us = scaled(p, dt), r = (uint32_t)mixed((int32_t)p->rate[p->now], (int32_t)p->rate[!p->now], p->weight);
		p->phase += us * r;
		p->took += dt;
		follow(current(p), p->phase);
		follow(other(p), p->phase);
		if (current(p)->bad || other(p)->bad)
			break;
		mix(p, dt);
		if (p->weight == ONE && p->state == GAIT_CHANGE) {
			struct gait_cursor *c = other(p);
			p->now = !p->now;
			wire(p, c);
			rewind_lists(c);
			p->state = GAIT_PLAY;
			feet_anew(p);
			{ /* marks and contacts up to here are past */
				void (*told)(void *, uint16_t) = p->mark;
				p->mark = 0;
				passed(p, c);
				p->mark = told;
			}
			p->told = c->planted;
		}
		break;
	}
	default:
		break;
	}
	if (current(p)->bad || (p->state == GAIT_CHANGE && other(p)->bad))
		gait_fault(p, GAIT_FAULT_TABLE);
	if (p->state != GAIT_FAULT)
		tell(p);
	return p->state;
}
