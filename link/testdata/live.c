/* SPDX-License-Identifier: MIT
 *
 * A robot for tests that lives in real time: the line is standard input and
 * output; what its servos are told goes to the file that is its argument, one
 * line "MS CHANNEL EIGHTHS" each time.
 */
#define _POSIX_C_SOURCE 200112L

#include "../../assets/firmware/gait_link.h"

#include <poll.h>
#include <stdio.h>
#include <time.h>
#include <unistd.h>

#define N 18

static FILE *log_file;
static uint32_t now;
static uint16_t placed[N];

static void set(void *context, uint8_t channel, uint16_t eighths)
{
    (void)context;
    if (placed[channel] != eighths)
        fprintf(log_file, "%lu %u %u\n", (unsigned long)now, channel, eighths);
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
    (void)context;
    return 5;
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
        .channels = N, .least = least, .greatest = greatest, .rest = rest, .speed = 80, .approach = 16, .wake = 10,
        .set = set, .off = off, .send = transmit, .switches = switches, .position = position,
    };
    struct pollfd in = {.fd = 0, .events = POLLIN};
    uint32_t start = clock_ms();
    if (argc != 2 || !(log_file = fopen(argv[1], "w")))
        return 2;
    for (int i = 0; i < N; i++) {
        least[i] = 500 * 8;
        greatest[i] = 2900 * 8;
        rest[i] = 1500 * 8;
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
