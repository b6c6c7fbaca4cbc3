/* SPDX-License-Identifier: MIT */
/*
 * A simulated microcontroller for the tests, on libsimavr:
 *
 *   part MCU HZ ELF LOG
 *
 * Everything that happens is written to LOG, a line each, with the cycle in
 * which it happened:
 *
 *   e CYCLE PIN LEVEL    a servo's pin has changed
 *   i CYCLE BYTE         a byte was handed to the UART
 *   o CYCLE BYTE         the UART has sent a byte
 *   p CYCLE BYTE         the program has sent a byte, before any damage
 *   m CYCLE VALUE        the firmware has written to GPIOR0
 *   v VECTOR CYCLES      at the end: the longest run of an interrupt
 *
 * Commands come on standard input, one a line; each is answered by a line that
 * begins with a dot and the cycle:
 *
 *   run MS               lets the part run, as fast as it goes
 *   live MS              the same, no faster than real time, and never more
 *                        than 60 ms beyond the last byte from the terminal: so
 *                        a slow or busy machine slows the part's time down too,
 *                        and no silence comes of it. Gives up after a second
 *                        in which nothing came
 *   ahead MS             another number than 60
 *   pty                  makes a pseudo-terminal for the UART; the answer ends in its name
 *   spoil LOSE FLIP SEED from now on so many of a thousand bytes get lost, and so many of a
 *                        thousand bits are wrong, between the terminal and the UART
 *   pin PORT BIT LEVEL   sets an input
 *   quit
 */
#define _GNU_SOURCE

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <termios.h>
#include <time.h>
#include <unistd.h>

#include <simavr/sim_avr.h>
#include <simavr/sim_elf.h>
#include <simavr/avr_ioport.h>
#include <simavr/avr_uart.h>

#define PINS 18
#define BAUD 115200UL
#define GPIOR0 0x3e

static avr_t *avr;
static FILE *told;
static int terminal = -1;
static unsigned char waiting[1 << 16]; /* bytes on their way to the UART */
static unsigned first, count;
static avr_cycle_count_t heard; /* the last byte from the terminal */
static unsigned long ahead = 60; /* ms of simulated time after that, in `live` */
static unsigned lose, flip, dice; /* of a thousand; the last of a row of numbers */

/* The pins of the AVR examples, channel by channel. */
static const char *const pins = "AAAAAAAACCCCCCCCLL";

static void die(const char *what)
{
	fprintf(stderr, "part: %s: %s\n", what, errno ? strerror(errno) : "not possible");
	exit(2);
}

static void edge(struct avr_irq_t *irq, uint32_t value, void *param)
{
	static int level[PINS];
	int pin = (int)(long)param;
	(void)irq;
	if (level[pin] == (value != 0))
		return;
	level[pin] = value != 0;
	fprintf(told, "e %llu %d %d\n", (unsigned long long)avr->cycle, pin, level[pin]);
}

/* 1 in `of` of a thousand cases. */
static int happens(unsigned of)
{
	dice = dice * 1664525U + 1013904223U; /* Numerical Recipes, 2nd ed., 7.1 */
	return (dice >> 8) % 1000 < of;
}

/* What a bad line makes of bytes; fewer may be left. */
static unsigned spoil(unsigned char *b, unsigned n)
{
	unsigned i, j, left = 0;
	for (i = 0; i < n; i++) {
		unsigned char x = b[i];
		if (lose && happens(lose))
			continue;
		for (j = 0; flip && j < 8; j++)
			if (happens(flip))
				x ^= (unsigned char)(1U << j);
		b[left++] = x;
	}
	return left;
}

static void sent(struct avr_irq_t *irq, uint32_t value, void *param)
{
	unsigned char b = (unsigned char)value;
	(void)irq;
	(void)param;
	fprintf(told, "o %llu %u\n", (unsigned long long)avr->cycle, b);
	if (terminal >= 0 && spoil(&b, 1) && write(terminal, &b, 1) != 1 && errno != EAGAIN && errno != EIO)
		die("terminal");
}

static void marked(struct avr_t *a, avr_io_addr_t addr, uint8_t v, void *param)
{
	(void)param;
	a->data[addr] = v;
	fprintf(told, "m %llu %u\n", (unsigned long long)a->cycle, v);
}

/* How long interrupts run. */
#define VECTORS 64
static struct {
	avr_cycle_count_t from, most;
} vector[VECTORS];

static void interrupt(struct avr_irq_t *irq, uint32_t value, void *param)
{
	long v = (long)param;
	(void)irq;
	if (value) {
		vector[v].from = avr->cycle;
	} else if (vector[v].from) {
		avr_cycle_count_t n = avr->cycle - vector[v].from;
		if (n > vector[v].most)
			vector[v].most = n;
		vector[v].from = 0;
	}
}

static void queue(const unsigned char *b, unsigned n)
{
	while (n--) {
		if (count == sizeof waiting)
			die("too many bytes on their way");
		waiting[(first + count++) % sizeof waiting] = *b++;
	}
}

/* The simulated receiver has 64 bytes and counts a byte's time from when the one
   before was read. Where the part's time is slow and the line never empty it
   would overflow, as the real one does not. */
static int full;

static void receiver(struct avr_irq_t *irq, uint32_t value, void *param)
{
	(void)irq;
	(void)value;
	full = param != 0;
}

/* Hands on a byte, not faster than the line. */
static avr_cycle_count_t feed(struct avr_t *a, avr_cycle_count_t when, void *param)
{
	avr_irq_t *in = param;
	if (count && !full) {
		unsigned char b = waiting[first];
		first = (first + 1) % sizeof waiting;
		count--;
		fprintf(told, "i %llu %u\n", (unsigned long long)a->cycle, b);
		avr_raise_irq(in, b);
	}
	return when + a->frequency * 10 / BAUD;
}

static void listen_to_terminal(void)
{
	unsigned char b[512];
	ssize_t n;
	if (terminal < 0)
		return;
	if (count > 256) { /* it is the part that is slow, not the program */
		heard = avr->cycle;
		return;
	}
	n = read(terminal, b, sizeof b);
	if (n > 0) {
		ssize_t i;
		for (i = 0; i < n; i++)
			fprintf(told, "p %llu %u\n", (unsigned long long)avr->cycle, b[i]);
		queue(b, spoil(b, (unsigned)n));
		heard = avr->cycle;
	} else if (n < 0 && errno != EAGAIN && errno != EIO) { /* EIO: nobody has it open */
		die("terminal");
	}
}

static void step(avr_cycle_count_t end)
{
	while (avr->cycle < end) {
		int state = avr_run(avr);
		if (state == cpu_Done || state == cpu_Crashed) {
			errno = 0;
			die("the firmware has crashed or stopped");
		}
	}
}

static double seconds(void)
{
	struct timespec t;
	clock_gettime(CLOCK_MONOTONIC, &t);
	return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static void nap(double s)
{
	struct timespec t = {0, (long)(s * 1e9)};
	if (s > 0)
		nanosleep(&t, 0);
}

static void live(avr_cycle_count_t end)
{
	const avr_cycle_count_t ms = avr->frequency / 1000;
	double due = seconds(), waits = due;
	while (avr->cycle < end) {
		double now = seconds();
		listen_to_terminal();
		if (avr->cycle > heard + ahead * ms) {
			nap(0.001);
			due = seconds();
			if (due - waits > 1)
				return;
			continue;
		}
		waits = now;
		if (now < due) {
			nap(due - now);
			continue;
		}
		due += 0.001;
		if (due < now - 0.05) /* what was missed beyond that is not made up for */
			due = now;
		step(avr->cycle + ms);
	}
}

static void open_terminal(void)
{
	struct termios t;
	int other;
	terminal = posix_openpt(O_RDWR | O_NOCTTY | O_NONBLOCK);
	if (terminal < 0 || grantpt(terminal) || unlockpt(terminal))
		die("pseudo-terminal");
	other = open(ptsname(terminal), O_RDWR | O_NOCTTY); /* stays open, so that the line is there */
	if (other < 0 || tcgetattr(other, &t))
		die("pseudo-terminal");
	cfmakeraw(&t);
	if (tcsetattr(other, TCSANOW, &t))
		die("pseudo-terminal");
}

static void quiet(struct avr_t *a, const int level, const char *format, va_list ap)
{
	(void)a;
	if (level > LOG_OUTPUT && level <= LOG_ERROR)
		vfprintf(stderr, format, ap);
}

/* Between two instructions nobody waits for real time. */
static void no_sleep(avr_t *a, avr_cycle_count_t n)
{
	(void)a;
	(void)n;
}

int main(int argc, char **argv)
{
	static char line[8192];
	elf_firmware_t f;
	avr_irq_t *in;
	uint32_t flags = 0;
	int used[26] = {0};
	long i;
	if (argc != 5)
		die("usage: part MCU HZ ELF LOG");
	memset(&f, 0, sizeof f);
	avr_global_logger_set(quiet);
	told = fopen(argv[4], "w");
	if (!told)
		die(argv[4]);
	setvbuf(told, 0, _IOFBF, 1 << 16);
	if (elf_read_firmware(argv[3], &f))
		die(argv[3]);
	avr = avr_make_mcu_by_name(argv[1]);
	if (!avr)
		die(argv[1]);
	avr_init(avr);
	f.frequency = (uint32_t)strtoul(argv[2], 0, 10);
	avr_load_firmware(avr, &f);
	avr->frequency = f.frequency;
	avr->sleep = no_sleep;
	for (i = 0; i < PINS; i++)
		avr_irq_register_notify(avr_io_getirq(avr, AVR_IOCTL_IOPORT_GETIRQ(pins[i]), used[pins[i] - 'A']++), edge, (void *)i);
	avr_ioctl(avr, AVR_IOCTL_UART_SET_FLAGS('0'), &flags);
	in = avr_io_getirq(avr, AVR_IOCTL_UART_GETIRQ('0'), UART_IRQ_INPUT);
	avr_irq_register_notify(avr_io_getirq(avr, AVR_IOCTL_UART_GETIRQ('0'), UART_IRQ_OUTPUT), sent, 0);
	avr_irq_register_notify(avr_io_getirq(avr, AVR_IOCTL_UART_GETIRQ('0'), UART_IRQ_OUT_XON), receiver, 0);
	avr_irq_register_notify(avr_io_getirq(avr, AVR_IOCTL_UART_GETIRQ('0'), UART_IRQ_OUT_XOFF), receiver, (void *)1);
	avr_register_io_write(avr, GPIOR0, marked, 0);
	for (i = 1; i < VECTORS; i++) {
		avr_irq_t *irq = avr_get_interrupt_irq(avr, (uint8_t)i);
		if (irq)
			avr_irq_register_notify(irq + AVR_INT_IRQ_RUNNING, interrupt, (void *)i);
	}
	avr_cycle_timer_register(avr, 1, feed, in);
	while (fgets(line, sizeof line, stdin)) {
		const char *more = "";
		char port;
		int bit, level;
		unsigned long ms;
		if (sscanf(line, "run %lu", &ms) == 1) {
			step(avr->cycle + (avr_cycle_count_t)ms * (avr->frequency / 1000));
		} else if (sscanf(line, "live %lu", &ms) == 1) {
			live(avr->cycle + (avr_cycle_count_t)ms * (avr->frequency / 1000));
		} else if (sscanf(line, "ahead %lu", &ms) == 1) {
			ahead = ms;
		} else if (!strncmp(line, "pty", 3)) {
			open_terminal();
			more = ptsname(terminal);
		} else if (sscanf(line, "spoil %u %u %u", &lose, &flip, &dice) == 3) {
		} else if (sscanf(line, "pin %c %d %d", &port, &bit, &level) == 3) {
			avr_raise_irq(avr_io_getirq(avr, AVR_IOCTL_IOPORT_GETIRQ(port), bit), (uint32_t)level);
		} else if (!strncmp(line, "quit", 4)) {
			break;
		} else {
			errno = 0;
			die(line);
		}
		fflush(told);
		printf(". %llu %s\n", (unsigned long long)avr->cycle, more);
		fflush(stdout);
	}
	for (i = 1; i < VECTORS; i++)
		if (vector[i].most)
			fprintf(told, "v %ld %llu\n", i, (unsigned long long)vector[i].most);
	return fclose(told) != 0;
}
