/* SPDX-License-Identifier: MIT */
/* Vectors and start of a Cortex-M0+ part (Armv6-M Architecture Reference
   Manual, B1.5), and the two functions that a C compiler takes for granted. */

#include <stddef.h>
#include <stdint.h>

extern uint32_t stack_top[], data_from[], data_begin[], data_end[], bss_begin[], bss_end[];

int main(void);
void systick(void);
void reset(void);
void stuck(void);
void *memset(void *, int, size_t);
void *memcpy(void *, const void *, size_t);

void stuck(void)
{
	for (;;)
		;
}

void reset(void)
{
	uint32_t *to, *from = data_from;
	for (to = data_begin; to < data_end; to++)
		*to = *from++;
	for (to = bss_begin; to < bss_end; to++)
		*to = 0;
	main();
	stuck();
}

__attribute__((section(".vectors"), used)) static const struct {
	uint32_t *stack;
	void (*handlers[15])(void);
} vectors = {
	stack_top, {reset, stuck, stuck, 0, 0, 0, 0, 0, 0, 0, stuck, 0, 0, stuck, systick},
};

__attribute__((optimize("no-tree-loop-distribute-patterns"))) void *memset(void *at, int v, size_t n)
{
	unsigned char *b = at;
	while (n--)
		*b++ = (unsigned char)v;
	return at;
}

__attribute__((optimize("no-tree-loop-distribute-patterns"))) void *memcpy(void *to, const void *from, size_t n)
{
	unsigned char *b = to;
	const unsigned char *a = from;
	while (n--)
		*b++ = *a++;
	return to;
}
