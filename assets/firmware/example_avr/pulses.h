/* SPDX-License-Identifier: MIT */
/*
 * Pulses for up to 18 servos on the pins of an ATmega2560 at 16 MHz.
 *
 * Output n is on the n-th pin of: PA0 to PA7, PC0 to PC7, PL0, PL1. The bits
 * of these ports that are no servo's are left alone; change them in an
 * interrupt or with interrupts off.
 *
 * A frame has 20 ms; within it every output has one pulse. They begin 1 ms
 * after one another, so that few servos draw their starting current at once.
 *
 * Timer 1 runs freely at 0.5 µs, and its compare interrupt A makes all edges,
 * each at its own time: where two would come within 7 µs of one another, a
 * pulse is begun a little later, which changes no width. The interrupt comes
 * 20 µs early and waits for the time of the edge, so what held it up meanwhile
 * (other interrupts of up to some 15 µs) does not show. Rise and fall take the
 * same way through the code. What is left is the 5 cycles of the waiting loop:
 * a width is right to 0.32 µs. Do not switch interrupts off for longer than
 * 15 µs; pulses_late() counts the edges that came late.
 */
#ifndef PULSES_H
#define PULSES_H

#include <stdint.h>

#define PULSES_OUTPUTS 18
#define PULSES_FRAME_US 20000UL
#define PULSES_WIDEST 5400 /* half microseconds */

/* Makes pins outputs and starts the timer, without pulses. Interrupts must be
   switched on afterwards. */
void pulses_begin(void);

/* Sets the pulse of an output from the next frame that is laid on, in half
   microseconds; 0 for none. Answers 0 for what cannot be. */
uint8_t pulses_set(uint16_t output, uint16_t half_us);

/* Tells how many frames have begun since it was last asked; when it is not 0,
   the next one is to be laid, in less than 20 ms. */
uint8_t pulses_due(void);

/* Lays the next frame. One that is not laid in time is as the one before. */
void pulses_lay(void);

uint16_t pulses_late(void);

#endif
