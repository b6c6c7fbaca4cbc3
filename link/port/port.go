// SPDX-License-Identifier: MIT

// Package port opens serial ports for a link.
package port

import (
	"errors"
	"fmt"
	"io"
	"slices"

	"go.bug.st/serial"
)

// Baud is the speed that both ends have unless told otherwise, bit/s.
const Baud = 115200

// Open opens a serial port with 8 data bits, no parity and 1 stop bit. The
// error says what to look at.
func Open(name string, baud int) (io.ReadWriteCloser, error) {
	p, err := serial.Open(name, &serial.Mode{BaudRate: baud, DataBits: 8, Parity: serial.NoParity, StopBits: serial.OneStopBit})
	if err == nil {
		return p, nil
	}
	remedy := "is the name right, and the cable in?"
	var code *serial.PortError
	if errors.As(err, &code) {
		switch code.Code() {
		case serial.PortBusy:
			remedy = "another program has it open: close that first"
		case serial.PermissionDenied:
			remedy = "you may not use it: on Linux, add yourself to the group that owns it (often dialout) and log in anew"
		case serial.InvalidSpeed:
			remedy = "it does not know this speed: try 115200"
		case serial.PortNotFound, serial.InvalidSerialPort:
			remedy = "there is no such port: " + list()
		}
	}
	return nil, fmt.Errorf("cannot open port %s: %w; %s", name, err, remedy)
}

// List gives the names of the ports of this machine.
func List() ([]string, error) {
	names, err := serial.GetPortsList()
	if err != nil {
		return nil, fmt.Errorf("cannot list the serial ports: %w", err)
	}
	slices.Sort(names)
	return names, nil
}

// list names the ports that there are, for an error.
func list() string {
	names, err := List()
	switch {
	case err != nil:
		return err.Error()
	case len(names) == 0:
		return "this machine has none; is the cable in?"
	}
	return fmt.Sprintf("there are %v", names)
}
