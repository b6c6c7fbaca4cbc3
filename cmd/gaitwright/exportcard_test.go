// SPDX-License-Identifier: MIT

package main

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"gaitwright/app/export"
	"gaitwright/assets"
	"gaitwright/motion/rehearsal"
	"gaitwright/motion/table"
	"gaitwright/motion/workfile"
)

// The card in the window and the command line that it shows write the same
// files to the last byte.
func TestCardAndCommandAgree(t *testing.T) {
	f, err := workfile.Read("demo.toml", assets.Demo)
	if err != nil {
		t.Fatal(err)
	}
	r, err := rehearsal.Run(f, rehearsal.Options{})
	if err != nil {
		t.Fatal(err)
	}
	path := place(t, "demo.toml", assets.Demo)
	for name, change := range map[string]func(*export.Choices){
		"usual":  func(*export.Choices) {},
		"avr":    func(c *export.Choices) { c.Format = export.AVR },
		"c":      func(c *export.Choices) { c.Format, c.What, c.Part = export.C, export.Whole, "rp2040" },
		"csv":    func(c *export.Choices) { c.Format, c.Rate = export.CSV, 12.5 },
		"json":   func(c *export.Choices) { c.Format, c.Packed = export.JSON, true },
		"binary": func(c *export.Choices) { c.Format, c.What, c.Part = export.Binary, export.MovesAndWalks, "" },
		"lowest": func(c *export.Choices) {
			c.Lowest, c.Between, c.Packed, c.WithPlayer = true, table.Cubic, true, false
		},
		"within mm": func(c *export.Choices) { c.Lowest, c.WithinUs, c.WithinMM = true, 0, 1 },
		"hold":      func(c *export.Choices) { c.Between = table.Hold },
		"counts": func(c *export.Choices) {
			c.Kind, c.PWM = table.PWMCount, table.PWM{Rate: 60, Oscillator: 25.5e6}
		},
		"angles": func(c *export.Choices) { c.Kind = table.TenthDegree },
		"steps": func(c *export.Choices) {
			c.Kind, c.Steps = table.ServoStep, table.Steps{Most: 4095, Range: 360, Centre: 2048}
		},
		"whole": func(c *export.Choices) { c.What, c.Part = export.Whole, "esp32" },
	} {
		t.Run(name, func(t *testing.T) {
			c := export.Usual()
			change(&c)
			o := export.Make(export.Given{Rehearsal: r, Name: "demo.toml", Text: assets.Demo}, c)
			if o.Err != nil {
				t.Fatal(o.Err)
			}
			dir := filepath.Join(t.TempDir(), "tables")
			args := c.Args(path, dir, false)
			fine(t, args...)
			n := 0
			err := filepath.WalkDir(dir, func(_ string, d os.DirEntry, err error) error {
				if err == nil && !d.IsDir() {
					n++
				}
				return err
			})
			if err != nil || n != len(o.Files) {
				t.Fatalf("%v: %d files by the command line, %d by the card", err, n, len(o.Files))
			}
			for _, f := range o.Files {
				got, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(f.Name)))
				if err != nil || !bytes.Equal(got, f.Data) {
					t.Errorf("%v: %s differs from the card's", err, f.Name)
				}
			}
		})
	}
}
