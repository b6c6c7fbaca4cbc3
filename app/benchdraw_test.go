// SPDX-License-Identifier: MIT

//go:build !headless

package app

import (
	"image"
	"os"
	"runtime"
	"testing"
	"time"

	"gioui.org/gpu/headless"

	"gaitwright/assets"
)

// Frames of the playing demo drawn at 1280 by 800 on the software rasteriser,
// read back so that each is finished. Wanted: 20 frames/s and more on two
// cores.
func BenchmarkDrawPlaying(b *testing.B) {
	if runtime.GOOS == "linux" {
		b.Setenv("EGL_PLATFORM", "surfaceless") // no graphics card, no display
		if os.Getenv("LIBGL_ALWAYS_SOFTWARE") == "" {
			b.Setenv("LIBGL_ALWAYS_SOFTWARE", "1")
		}
	}
	for name, from := range map[string]float64{"walk": 1, "strike": 8.5} {
		b.Run(name, func(b *testing.B) {
			r := open(b, assets.Demo)
			r.at.GoTo(r.doc, from)
			w, err := headless.NewWindow(normal.X, normal.Y)
			if err != nil {
				b.Fatal(err)
			}
			defer w.Release()
			pixel := image.NewRGBA(image.Rect(0, 0, 1, 1))
			r.TogglePlay()
			n := 0
			b.ReportAllocs()
			for b.Loop() {
				if n++; n%60 == 0 {
					r.at.GoTo(r.doc, from)
				}
				r.Now = r.Now.Add(time.Second / 30)
				r.Frame()
				if err := w.Frame(r.Ops()); err != nil {
					b.Fatal(err)
				}
				if err := w.Screenshot(pixel); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "frames/s")
		})
	}
}
