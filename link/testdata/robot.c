/* SPDX-License-Identifier: MIT
 *
 * A robot for tests: commands on standard input, one a line, what happens on
 * standard output, a line with a dot after each command.
 *
 *   t MS     time has gone on to MS
 *   b HEX    bytes have come
 *   w N      foot switches
 *   s        the button on the robot
 */
#include "../../assets/firmware/gait_link.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define N 18

static uint16_t least[N], greatest[N], rest[N], placed[N], foot, seeds = 77;
static unsigned played, frames;

static void set(void *context, uint8_t channel, uint16_t eighths)
{
    (void)context;
    placed[channel] = eighths;
    printf("set %u %u\n", channel, eighths);
}

static void off(void *context)
{
    (void)context;
    puts("off");
}

static void transmit(void *context, const uint8_t *bytes, uint8_t n)
{
    (void)context;
    fputs("send ", stdout);
    while (n--)
        printf("%02x", *bytes++);
    putchar('\n');
}

static uint16_t seed(void *context)
{
    (void)context;
    return seeds = (uint16_t)(seeds * 25173u + 13849u);
}

static uint16_t switches(void *context)
{
    (void)context;
    return foot;
}

static uint16_t position(void *context, uint8_t channel)
{
    (void)context;
    return channel == 3 ? GAIT_LINK_UNKNOWN : placed[channel];
}

static uint8_t play(void *context, uint8_t table, uint16_t speed, uint8_t times)
{
    (void)context;
    if (table > 1)
        return 0;
    printf("play %u %u %u\n", table, speed, times);
    played++;
    frames = 100;
    return 1;
}

static uint8_t playing(void *context, uint16_t *frame)
{
    (void)context;
    *frame = (uint16_t)(100 - frames);
    return frames > 0;
}

static void halt(void *context)
{
    (void)context;
    puts("halt");
    frames = 0;
}

int main(void)
{
    static char line[4096];
    static struct gait_link link;
    struct gait_link_config config = {
        .channels = N, .least = least, .greatest = greatest, .rest = rest, .speed = 32, .approach = 4, .wake = 20,
        .set = set, .off = off, .send = transmit, .seed = seed, .switches = switches, .position = position,
        .play = play, .playing = playing, .halt = halt, .context = 0,
    };
    for (int i = 0; i < N; i++) {
        least[i] = 500 * 8;
        greatest[i] = 2500 * 8;
        rest[i] = 1500 * 8;
    }
    setvbuf(stdout, NULL, _IOFBF, 1 << 16);
    gait_link_init(&link, &config);
    while (fgets(line, sizeof line, stdin)) {
        switch (line[0]) {
        case 't':
            if (link.state == GAIT_LINK_PLAY && frames > 0)
                frames--;
            gait_link_tick(&link, (uint32_t)strtoul(line + 2, NULL, 10));
            break;
        case 'b':
            for (const char *p = line + 2; p[0] > ' ' && p[1] > ' '; p += 2) {
                char hex[3] = {p[0], p[1], 0};
                uint16_t before[N];
                memcpy(before, link.goal, sizeof before);
                gait_link_byte(&link, (uint8_t)strtoul(hex, NULL, 16));
                if (link.state >= GAIT_LINK_WAKING && link.state <= GAIT_LINK_FOLLOW && memcmp(before, link.goal, sizeof before)
                    && memcmp(link.at, link.goal, sizeof before)) { /* not only: stay */
                    fputs("goal", stdout);
                    for (int i = 0; i < N; i++)
                        printf(" %u", link.goal[i]);
                    putchar('\n');
                }
            }
            break;
        case 'w':
            foot = (uint16_t)strtoul(line + 2, NULL, 10);
            break;
        case 's':
            gait_link_stop(&link);
            break;
        }
        puts(".");
        fflush(stdout);
    }
    return 0;
}
