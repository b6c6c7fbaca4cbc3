/* SPDX-License-Identifier: MIT */

#include "gait_link.h"

#include <string.h>

enum { /* kinds of frames, as in PROTOCOL.md */
    HELLO = 0x01, ASK = 0x02, STOP = 0x03, LOG = 0x04,
    BEAT = 0x10, ARM = 0x11, POSE = 0x12, PLAY = 0x13,
    INFO = 0x81, KEY = 0x82, STATUS = 0x83, SEEN = 0x84
};

/* CRC-16/IBM-3740: 0x29B1 for "123456789". */
static uint16_t check(const uint8_t *p, uint8_t n)
{
    uint16_t c = 0xFFFFu;
    while (n--) {
        c ^= (uint16_t)((uint16_t)*p++ << 8);
        for (uint8_t i = 0; i < 8; i++)
            c = (uint16_t)(c & 0x8000u ? (uint16_t)(c << 1) ^ 0x1021u : (uint16_t)(c << 1));
    }
    return c;
}

/* CRC-16/ARC, begun with the key of the session. */
static uint16_t keyed(uint16_t c, const uint8_t *p, uint8_t n)
{
    while (n--) {
        c ^= *p++;
        for (uint8_t i = 0; i < 8; i++)
            c = (uint16_t)(c & 1u ? (c >> 1) ^ 0xA001u : c >> 1);
    }
    return c;
}

static uint16_t word(const uint8_t *p) { return (uint16_t)(p[0] | (uint16_t)((uint16_t)p[1] << 8)); }

static void put(uint8_t *p, uint16_t v)
{
    p[0] = (uint8_t)v;
    p[1] = (uint8_t)(v >> 8);
}

/* Sends a frame whose payload begins at p[1] with room for kind and number,
 * with n bytes of body. p[0] and the two bytes behind the body are free. */
static void transmit(struct gait_link *l, uint8_t kind, uint8_t *p, uint8_t n)
{
    uint8_t code = 0, end;
    p[1] = kind;
    p[2] = l->own++;
    put(p + 3 + n, check(p + 1, (uint8_t)(n + 2)));
    end = (uint8_t)(n + 5);
    for (uint8_t i = 1; i < end; i++) { /* stuffed in place: each zero becomes the way to the next */
        if (p[i] == 0) {
            p[code] = (uint8_t)(i - code);
            code = i;
        }
    }
    p[code] = (uint8_t)(end - code);
    p[end] = 0;
    l->config->send(l->config->context, p, (uint8_t)(end + 1));
}

static void enter(struct gait_link *l, uint8_t state)
{
    if (l->state == GAIT_LINK_PLAY && state != GAIT_LINK_PLAY && l->config->halt)
        l->config->halt(l->config->context);
    l->state = state;
    l->since = l->now;
    l->told = l->now - GAIT_LINK_STATUS_TIME; /* tell at once */
}

void gait_link_init(struct gait_link *l, const struct gait_link_config *config)
{
    memset(l, 0, sizeof *l);
    l->config = config;
    l->table = 0xFF;
    for (uint8_t i = 0; i < config->channels && i < GAIT_LINK_CHANNELS; i++)
        l->at[i] = l->goal[i] = config->rest[i];
    config->off(config->context);
}

void gait_link_limp(struct gait_link *l)
{
    enter(l, GAIT_LINK_OFF);
    l->key = 0;
    l->config->off(l->config->context);
}

void gait_link_stop(struct gait_link *l)
{
    switch (l->state) {
    case GAIT_LINK_OFF:
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
    if (channel < GAIT_LINK_CHANNELS)
        l->at[channel] = l->goal[channel] = eighths;
}

static uint8_t fresh(const struct gait_link *l, uint8_t number)
{
    uint8_t ahead = (uint8_t)(number - l->number);
    return ahead >= 1 && ahead < 128;
}

static void tell_info(struct gait_link *l)
{
    uint8_t p[16];
    const struct gait_link_config *c = l->config;
    p[3] = GAIT_LINK_VERSION;
    p[4] = c->channels;
    p[5] = (uint8_t)((c->switches ? 1 : 0) | (c->position ? 2 : 0) | (c->play ? 4 : 0));
    put(p + 6, c->speed);
    put(p + 8, c->approach);
    transmit(l, INFO, p, 7);
}

static void tell_status(struct gait_link *l)
{
    uint8_t p[24];
    const struct gait_link_config *c = l->config;
    p[3] = l->state;
    p[4] = l->fault;
    p[5] = l->number;
    put(p + 6, c->switches ? c->switches(c->context) : 0);
    put(p + 8, l->good);
    put(p + 10, l->bad);
    put(p + 12, (uint16_t)l->now);
    put(p + 14, (uint16_t)(l->now >> 16));
    transmit(l, STATUS, p, 13);
}

static void tell_seen(struct gait_link *l)
{
    uint8_t p[3 + 11 + 2 * GAIT_LINK_CHANNELS + 3];
    const struct gait_link_config *c = l->config;
    uint16_t frame = 0;
    uint8_t n = c->position ? c->channels : 0;
    if (l->state == GAIT_LINK_PLAY && c->playing)
        (void)c->playing(c->context, &frame);
    put(p + 3, (uint16_t)l->now);
    put(p + 5, (uint16_t)(l->now >> 16));
    put(p + 7, c->switches ? c->switches(c->context) : 0);
    p[9] = l->state == GAIT_LINK_PLAY ? l->table : 0xFF;
    put(p + 10, frame);
    p[12] = n;
    for (uint8_t i = 0; i < n; i++)
        put(p + 13 + 2 * i, c->position(c->context, i));
    transmit(l, SEEN, p, (uint8_t)(10 + 2 * n));
}

/* A pose is taken whole or not at all, and only inside the pulse ranges. */
static void pose(struct gait_link *l, const uint8_t *body, uint8_t n)
{
    const struct gait_link_config *c = l->config;
    if (n != 2 * c->channels) {
        l->fault = GAIT_LINK_BAD_COUNT;
        return;
    }
    for (uint8_t i = 0; i < c->channels; i++) {
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
        enter(l, l->woken < c->channels ? GAIT_LINK_WAKING : GAIT_LINK_APPROACH);
        break;
    case GAIT_LINK_PLAY: /* the table is left where it is */
        enter(l, GAIT_LINK_APPROACH);
        break;
    case GAIT_LINK_FOLLOW:
        if (l->table != 0xFF) /* a table has moved the servos meanwhile */
            enter(l, GAIT_LINK_APPROACH);
        break;
    case GAIT_LINK_WAKING:
    case GAIT_LINK_APPROACH:
        break;
    default:
        l->fault = GAIT_LINK_BAD_STATE;
        return;
    }
    l->table = 0xFF;
    for (uint8_t i = 0; i < c->channels; i++)
        l->goal[i] = word(body + 2 * i);
}

/* Frames with the second check: the session is the one that was armed. */
static void command(struct gait_link *l, uint8_t kind, const uint8_t *body, uint8_t n)
{
    const struct gait_link_config *c = l->config;
    switch (kind) {
    case ARM:
        if ((l->state == GAIT_LINK_OFF || l->state == GAIT_LINK_STOPPED) && l->now - l->asked <= GAIT_LINK_KEY_TIME) {
            l->fault = GAIT_LINK_FINE;
            if (l->state == GAIT_LINK_STOPPED && l->woken == c->channels) { /* the servos hold already */
                memcpy(l->goal, l->at, sizeof l->goal);
                enter(l, GAIT_LINK_APPROACH);
            } else {
                enter(l, GAIT_LINK_ARMED);
            }
        } else {
            l->fault = GAIT_LINK_BAD_STATE;
        }
        break;
    case POSE:
        pose(l, body, n);
        break;
    case PLAY:
        if (n == 5 && body[4] == l->ticket)
            break; /* sent again, since it might have been lost */
        if (n != 5 || l->state != GAIT_LINK_FOLLOW) {
            l->fault = GAIT_LINK_BAD_STATE;
            break;
        }
        l->ticket = body[4];
        if (!c->play || !c->play(c->context, body[0], word(body + 1), body[3])) {
            l->fault = GAIT_LINK_BAD_TABLE;
        } else {
            l->table = body[0];
            enter(l, GAIT_LINK_PLAY);
        }
        break;
    default: /* a sign of life */
        break;
    }
    if (l->state == GAIT_LINK_HOLD && kind == BEAT && l->woken == c->channels) {
        memcpy(l->goal, l->at, sizeof l->goal); /* stay, until a pose comes */
        enter(l, GAIT_LINK_APPROACH);
    }
}

static void take(struct gait_link *l)
{
    uint8_t n = 0, i = 0;
    uint8_t *p = l->in;
    while (i < l->n) { /* unstuffed in place */
        uint8_t k = p[i++];
        uint8_t more = k < 0xFF;
        if (k == 0 || (uint16_t)i + k - 1 > l->n) {
            l->bad++;
            return;
        }
        while (--k)
            p[n++] = p[i++];
        if (more && i < l->n)
            p[n++] = 0;
    }
    if (n < 4 || check(p, (uint8_t)(n - 2)) != word(p + n - 2)) {
        l->bad++;
        return;
    }
    n = (uint8_t)(n - 2);
    if (p[0] >= BEAT && p[0] <= PLAY) {
        if (n < 4 || l->key == 0 || keyed(l->key, p, (uint8_t)(n - 2)) != word(p + n - 2)) {
            l->bad++;
            return;
        }
        if (!fresh(l, p[1]))
            return; /* came twice, or late */
        l->number = p[1];
        l->alive = l->present = l->now;
        l->good++;
        command(l, p[0], p + 2, (uint8_t)(n - 4));
        return;
    }
    l->good++;
    l->present = l->now;
    switch (p[0]) {
    case HELLO:
        l->greeted = 1;
        tell_info(l);
        break;
    case ASK:
        if (n == 4 && (l->state == GAIT_LINK_OFF || l->state == GAIT_LINK_STOPPED)) {
            uint8_t out[10];
            uint16_t key = l->config->seed ? l->config->seed(l->config->context) : 0;
            key = keyed(key, (const uint8_t *)&l->now, sizeof l->now);
            key = keyed(key, (const uint8_t *)&l->good, sizeof l->good);
            l->key = key ? key : 1;
            l->limp = word(p + 2);
            l->asked = l->now;
            l->number = p[1];
            l->ticket = 0;
            put(out + 3, l->key);
            transmit(l, KEY, out, 2);
        } else {
            l->fault = GAIT_LINK_BAD_STATE;
        }
        break;
    case STOP:
        if (n == 3 && p[2] == 1)
            gait_link_limp(l);
        else
            gait_link_stop(l);
        break;
    case LOG:
        if (n == 4)
            l->log = word(p + 2);
        break;
    default: /* of a newer version: left alone */
        break;
    }
}

void gait_link_byte(struct gait_link *l, uint8_t byte)
{
    if (byte != 0) {
        if (l->n < sizeof l->in)
            l->in[l->n++] = byte;
        else
            l->lost = 1;
        return;
    }
    if (l->lost)
        l->bad++;
    else if (l->n > 0)
        take(l);
    l->n = 0;
    l->lost = 0;
}

/* Brings all channels nearer to the goal in step with each other, the one that
 * has farthest to go by at most `most`. True when they are there. */
static uint8_t approach(struct gait_link *l, uint32_t most)
{
    uint8_t n = l->config->channels;
    int32_t far = 0;
    for (uint8_t i = 0; i < n; i++) {
        int32_t d = (int32_t)l->goal[i] - l->at[i];
        if (d < 0)
            d = -d;
        if (d > far)
            far = d;
    }
    for (uint8_t i = 0; i < n; i++) {
        int32_t d = (int32_t)l->goal[i] - l->at[i];
        if (far > (int32_t)most)
            d = d * (int32_t)most / far;
        l->at[i] = (uint16_t)(l->at[i] + d);
        l->config->set(l->config->context, i, l->at[i]);
    }
    return far <= (int32_t)most;
}

void gait_link_tick(struct gait_link *l, uint32_t now)
{
    const struct gait_link_config *c = l->config;
    uint32_t dt = l->heard ? now - l->now : 0;
    l->heard = 1;
    l->now = now;
    if (dt > 50)
        dt = 50; /* a loop that hung must not make a leap of it */

    if (l->state >= GAIT_LINK_ARMED && l->state <= GAIT_LINK_PLAY && now - l->alive > GAIT_LINK_SILENCE) {
        if (l->state == GAIT_LINK_ARMED)
            gait_link_limp(l);
        else
            enter(l, GAIT_LINK_HOLD);
    }
    switch (l->state) {
    case GAIT_LINK_WAKING: {
        uint16_t wake = c->wake ? c->wake : 1;
        while (l->woken < c->channels && now - l->since >= (uint32_t)wake * l->woken) {
            c->set(c->context, l->woken, l->at[l->woken]);
            l->woken++;
        }
        if (l->woken == c->channels && now - l->since >= (uint32_t)wake * l->woken)
            enter(l, GAIT_LINK_APPROACH);
        break;
    }
    case GAIT_LINK_APPROACH:
        if (approach(l, (uint32_t)c->approach * dt) && memcmp(l->goal, l->at, 2u * c->channels) == 0)
            enter(l, GAIT_LINK_FOLLOW);
        break;
    case GAIT_LINK_FOLLOW:
        (void)approach(l, (uint32_t)c->speed * dt);
        break;
    case GAIT_LINK_PLAY: {
        uint16_t frame;
        if (c->playing && !c->playing(c->context, &frame))
            enter(l, GAIT_LINK_FOLLOW);
        break;
    }
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
