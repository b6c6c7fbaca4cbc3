// SPDX-License-Identifier: MIT

//go:build !headless

package filedialog

import (
	"flag"
	"testing"

	"gaitwright/app/drive"
	"gaitwright/app/snapshot"
)

var update = drive.UpdateFlag(flag.CommandLine)

func TestPictures(t *testing.T) {
	for _, tc := range []struct {
		name string
		dark bool
		r    Request
	}{
		{"open-light", false, Request{Filter: workfiles, Dir: "/home/ada/robots"}},
		{"save-dark", true, Request{Save: true, Suggested: "strike", Filter: workfiles, Dir: "/home/ada/robots"}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			k, d := open(t, tc.r)
			k.th.SetDark(tc.dark)
			if !tc.r.Save {
				d.Click("drummer.toml")
			}
			d.Settle()
			img, err := snapshot.Draw(d.Size, d.Ops())
			if err != nil {
				t.Fatal(err)
			}
			drive.Golden(t, "testdata/"+tc.name+".png", img, *update)
		})
	}
}
