/* SPDX-License-Identifier: MIT
 *
 * A robot for tests that lives in real time, with foot switches: the line is
 * standard input and output. Its second argument is a file of poses, a line
 * each: the pulse of every channel in eighths of µs, then the feet that stand in
 * that pose, bit 0 the first leg. The switches are those of the pose nearest to
 * where the servos are. What the servos are told goes to the first argument.
 */
#define _POSIX_C_SOURCE 200112L

#include "../../../assets/firmware/gait_link.h"

#include <poll.h>
#include <stdio.h>
#include <time.h>
#include <unistd.h>

#define N 18
#define MOST 4000
#define BACK 20
#define AHEAD 80

static FILE *log_file;
static uint32_t now;
static uint16_t placed[N];
static int poses[MOST][N + 1];
static int count, near;

static void set(void *context, uint8_t channel, uint16_t eighths)
{
    (void)context;
    placed[channel] = eighths;
}

static void off(void *context)
{
    (void)context;
    fprintf(log_file, "%lu off\n", (unsigned long)now);
}

static void transmit(void *context, const uint8_t *bytes, uint8_t n)
{
    (void)context;
    if (write(1, bytes, n) != n)
        _exit(1);
}

static uint16_t switches(void *context)
{
    long best = -1;
    int from = near - BACK > 0 ? near - BACK : 0;
    int to = near + AHEAD < count ? near + AHEAD : count;
    (void)context;
    for (int i = 0; i < N; i++)
        if (!placed[i]) /* not awake yet */
            return (uint16_t)poses[0][N];
    for (int k = from; k < to; k++) {
        long far = 0;
        for (int i = 0; i < N; i++) {
            long d = poses[k][i] - placed[i];
            far += d * d;
        }
        if (best < 0 || far < best) {
            best = far;
            near = k;
        }
    }
    return (uint16_t)poses[near][N];
}

static uint16_t position(void *context, uint8_t channel)
{
    (void)context;
    return placed[channel];
}

static uint32_t clock_ms(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (uint32_t)(t.tv_sec * 1000 + t.tv_nsec / 1000000);
}

int main(int argc, char **argv)
{
    static struct gait_link link;
    static uint16_t least[N], greatest[N], rest[N];
    const struct gait_link_config config = {
        .channels = N, .least = least, .greatest = greatest, .rest = rest, .speed = 80, .approach = 40, .wake = 5,
        .set = set, .off = off, .send = transmit, .switches = switches, .position = position,
    };
    struct pollfd in = {.fd = 0, .events = POLLIN};
    uint32_t start = clock_ms();
    FILE *table;
    if (argc != 3 || !(log_file = fopen(argv[1], "w")) || !(table = fopen(argv[2], "r")))
        return 2;
    for (; count < MOST; count++) {
        int i = 0;
        while (i < N + 1 && fscanf(table, "%d", &poses[count][i]) == 1)
            i++;
        if (i < N + 1)
            break;
    }
    if (fclose(table) || !count)
        return 2;
    for (int i = 0; i < N; i++) {
        least[i] = 500 * 8;
        greatest[i] = 2900 * 8;
        rest[i] = (uint16_t)poses[0][i];
    }
    gait_link_init(&link, &config);
    for (;;) {
        uint8_t b[256];
        if (poll(&in, 1, 1) > 0) {
            ssize_t n = read(0, b, sizeof b);
            if (n <= 0)
                break;
            for (ssize_t i = 0; i < n; i++)
                gait_link_byte(&link, b[i]);
        }
        now = clock_ms() - start;
        gait_link_tick(&link, now);
    }
    return fclose(log_file);
}
