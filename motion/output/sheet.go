// SPDX-License-Identifier: MIT

package output

import (
	"bytes"
	"fmt"
	"html/template"
	"io"
	"math"
	"text/tabwriter"

	"gaitwright/kin"
	"gaitwright/motion/workfile"
)

// angles of the check sheet, deg: enough to see direction, middle and scale.
func angles() []float64 { return []float64{-45, -30, 0, 30, 45} }

// Sheet is a check sheet: what to send to each servo, one after another, to see
// whether channel, direction, middle and scale are right.
type Sheet struct {
	Robot  string
	Angles []float64 // deg
	Rows   []SheetRow
}

// SheetRow is one servo of a sheet.
type SheetRow struct {
	Line
	Turns  string       // which way the joint goes as the pulse grows
	Pulses []SheetPulse // one for each angle
}

// SheetPulse is what a servo is told at an angle.
type SheetPulse struct {
	Us   float64
	Past string // why it is not to be sent: "travel" or "servo"; "" when it may
}

// NewSheet makes the check sheet of a robot.
func NewSheet(b *workfile.Built) (*Sheet, error) {
	lines, err := Lines(b)
	if err != nil {
		return nil, err
	}
	s := &Sheet{Robot: b.Robot.Name, Angles: angles()}
	for _, l := range lines {
		row := SheetRow{Line: l, Turns: turns(&l)}
		for _, a := range s.Angles {
			q := a * math.Pi / 180
			p := SheetPulse{Us: l.Pulse(q)}
			switch {
			case b.Robot.Legs[l.Leg].Limits[l.Joint].Outside(q) > 1e-9:
				p.Past = "travel"
			case l.Outside(p.Us):
				p.Past = "servo"
			}
			row.Pulses = append(row.Pulses, p)
		}
		s.Rows = append(s.Rows, row)
	}
	return s, nil
}

// turns says which way a joint goes as its pulse grows.
func turns(l *Line) string {
	up := l.Sign > 0
	switch {
	case l.Joint == kin.Coxa && up:
		return "counter-clockwise"
	case l.Joint == kin.Coxa:
		return "clockwise"
	case up:
		return "up"
	}
	return "down"
}

// String writes a pulse as the sheet shows it.
func (p SheetPulse) String() string {
	switch p.Past {
	case "travel":
		return "past travel"
	case "servo":
		return "past servo"
	}
	return fmt.Sprintf("%.0f", p.Us)
}

// Notes are what to do with the sheet, and how to keep one's fingers.
func (s *Sheet) Notes() []string {
	return []string{
		"Put the robot on a stand with its feet in the air, and switch the servos' power by a switch in reach. Keep hands, hair and face away from the legs: a servo starts without warning.",
		"Connect one servo at a time. Send the pulse for 0 degrees first, then the others, slowly, and measure the joint's angle.",
		"Coxa: 0 is along the leg's heading, positive counter-clockwise seen from above. Femur: 0 is level, positive raises the knee. Tibia: 0 is in line with the femur, negative bends the foot down.",
		"If it turns the other way, set reversed. If it is off by the same angle everywhere, move the horn by a tooth, and the rest with trim_deg. If it is off more the farther it goes, set us_per_deg, or give two measured points: measured_deg and measured_us.",
		"“Past travel” is outside the joint's range_deg, “past servo” outside its range_us: do not send it.",
	}
}

// Text writes the sheet in columns.
func (s *Sheet) Text(w io.Writer) error {
	var b bytes.Buffer
	fmt.Fprintf(&b, "Check sheet of %s: pulse widths in us\n\n", s.Robot)
	t := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
	fmt.Fprint(t, "channel\tjoint\tlonger pulse turns")
	for _, a := range s.Angles {
		fmt.Fprintf(t, "\t%+.0f deg", a)
	}
	fmt.Fprint(t, "\trange\n")
	for _, r := range s.Rows {
		fmt.Fprintf(t, "%d\t%s\t%s", r.Number, r.Name, r.Turns)
		for _, p := range r.Pulses {
			fmt.Fprintf(t, "\t%v", p)
		}
		fmt.Fprintf(t, "\t%.0f to %.0f\n", r.Min, r.Max)
	}
	t.Flush()
	b.WriteByte('\n')
	for _, n := range s.Notes() {
		fmt.Fprintf(&b, "%s\n", n)
	}
	_, err := w.Write(b.Bytes())
	return err
}

// HTML writes the sheet as a page to print, with room for what was measured.
func (s *Sheet) HTML(w io.Writer) error {
	t, err := template.New("sheet").Parse(page)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := t.Execute(&b, s); err != nil {
		return err
	}
	_, err = w.Write(b.Bytes())
	return err
}

const page = `<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<title>Check sheet of {{.Robot}}</title>
<style>
body { font: 11pt/1.4 sans-serif; margin: 15mm; color: #000; background: #fff }
h1 { font-size: 14pt; margin: 0 0 4mm }
table { border-collapse: collapse; width: 100%; font-variant-numeric: tabular-nums }
th, td { border-bottom: 1px solid #888; padding: 1.2mm 2mm; text-align: right; white-space: nowrap }
th:nth-child(-n+3), td:nth-child(-n+3) { text-align: left }
.past { color: #555; font-style: italic }
.measured { width: 22mm; border-left: 1px solid #888 }
p { margin: 3mm 0 0 }
tr { break-inside: avoid }
@page { size: A4 landscape; margin: 12mm }
</style>
</head>
<body>
<h1>Check sheet of {{.Robot}}: pulse widths in µs</h1>
<table>
<thead><tr><th>channel</th><th>joint</th><th>longer pulse turns</th>{{range .Angles}}<th>{{printf "%+.0f" .}}°</th>{{end}}<th>range</th><th class="measured">measured</th></tr></thead>
<tbody>
{{range .Rows}}<tr><td>{{.Number}}</td><td>{{.Name}}</td><td>{{.Turns}}</td>{{range .Pulses}}<td{{if .Past}} class="past"{{end}}>{{.}}</td>{{end}}<td>{{printf "%.0f" .Min}} to {{printf "%.0f" .Max}}</td><td class="measured"></td></tr>
{{end}}</tbody>
</table>
{{range .Notes}}<p>{{.}}</p>
{{end}}</body>
</html>
`
