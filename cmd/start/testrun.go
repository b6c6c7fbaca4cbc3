// SPDX-License-Identifier: MIT

package main

import "errors"

// test readies the machine and runs every test. It fails if a test fails or is skipped, or if there
// was none.
func (m *machine) test() error {
	top, err := m.checkout()
	if err != nil {
		return err
	}
	if err := m.prepare(append(windowPackages(), testPackages()...)); err != nil {
		return err
	}
	argv := []string{"go", "test", "-json", "-count=1", "-timeout=20m", "./..."}
	m.say("Running: %s", shellLine(argv))
	m.say("Each package is listed when its tests are through; the first time this takes a few minutes.")
	t := &tally{out: m.stdout}
	env := append(m.cgo(), m.offScreen()...)
	if m.goos == "linux" {
		// One renderer for the compared pictures, whatever graphics card there is.
		env = append(env, "LIBGL_ALWAYS_SOFTWARE=1")
	}
	runErr := m.run(command{argv: argv, dir: top, env: env, stdout: t, stderr: m.stderr})
	t.close()
	if runErr != nil && t.failed == 0 {
		t.failed++
		m.say("%s: %v, though no test failed", shellLine(argv), runErr)
	}
	// The summary stays the last line: the reason for a failure is told before it.
	err = t.verdict()
	if err != nil {
		m.say("")
		for _, line := range t.culprits {
			m.say("%s", line)
		}
		m.say("%v", err)
	}
	m.say("%s", t.summary())
	if err != nil {
		return errTold
	}
	return nil
}

// errTold ends a run whose verdict has been told already.
var errTold = errors.New("start: the tests did not pass")
