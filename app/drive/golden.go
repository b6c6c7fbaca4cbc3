// SPDX-License-Identifier: MIT

package drive

import (
	"flag"
	"fmt"
	"image"
	"image/png"
	"os"
	"path/filepath"
)

// UpdateFlag registers the -update flag, by which a test rewrites its golden
// pictures.
func UpdateFlag(fs *flag.FlagSet) *bool {
	return fs.Bool("update", false, "rewrite the golden pictures in testdata")
}

// Differences of pictures that count as equal. Two rasterisers of one drawing
// were measured to stay below the first; the second lets a few edge pixels of
// glyphs differ between versions of one rasteriser.
const (
	tolerance = 48    // sum over red, green and blue of a pixel, 8 bit
	mayDiffer = 0.002 // share of the pixels
)

// Compare returns the number of pixels that differ beyond the tolerance.
func Compare(got, want image.Image) (int, error) {
	if got.Bounds().Size() != want.Bounds().Size() {
		return 0, fmt.Errorf("drive: picture is %v, want %v", got.Bounds().Size(), want.Bounds().Size())
	}
	n := 0
	g, w := got.Bounds().Min, want.Bounds().Min
	for y := range got.Bounds().Dy() {
		for x := range got.Bounds().Dx() {
			r0, g0, b0, _ := got.At(g.X+x, g.Y+y).RGBA()
			r1, g1, b1, _ := want.At(w.X+x, w.Y+y).RGBA()
			if apart(r0, r1)+apart(g0, g1)+apart(b0, b1) > tolerance {
				n++
			}
		}
	}
	return n, nil
}

func apart(a, b uint32) int {
	d := int(a>>8) - int(b>>8)
	return max(d, -d)
}

// Golden compares img with the picture in the file, or rewrites the file when
// update is set. On a difference it leaves what it got beside the file, with
// ".got.png" as its ending.
func Golden(t TB, file string, img image.Image, update bool) {
	t.Helper()
	if update {
		if err := WritePNG(file, img); err != nil {
			t.Fatalf("%v", err)
		}
		return
	}
	want, err := ReadPNG(file)
	if err != nil {
		t.Fatalf("%v (run the test with -update to make it)", err)
	}
	n, err := Compare(img, want)
	if err == nil {
		size := img.Bounds().Size()
		t.Logf("%s: %d of %d pixels differ", file, n, size.X*size.Y)
		if float64(n) > mayDiffer*float64(size.X*size.Y) {
			err = fmt.Errorf("drive: %d of %d pixels differ from %s", n, size.X*size.Y, file)
		}
	}
	if err != nil {
		got := file[:len(file)-len(filepath.Ext(file))] + ".got.png"
		if werr := WritePNG(got, img); werr != nil {
			t.Errorf("%v", werr)
		}
		t.Errorf("%v; see %s", err, got)
	}
}

// WritePNG writes a picture and makes its folder.
func WritePNG(file string, img image.Image) (err error) {
	if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
		return err
	}
	f, err := os.Create(file)
	if err != nil {
		return err
	}
	defer func() {
		if cerr := f.Close(); err == nil {
			err = cerr
		}
	}()
	return png.Encode(f, img)
}

// ReadPNG reads a picture.
func ReadPNG(file string) (image.Image, error) {
	f, err := os.Open(file)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	img, err := png.Decode(f)
	if err != nil {
		return nil, fmt.Errorf("drive: %s: %w", file, err)
	}
	return img, nil
}
