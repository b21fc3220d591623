package draw

import (
	"bytes"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"
)

// TestPrintIsTrueToScale draws a bar of 100 mm, has poppler render the PDF at
// 254 dots an inch, where a dot is 0.1 mm, and counts the dots. Poppler is the
// second opinion on scale.
func TestPrintIsTrueToScale(t *testing.T) {
	pdftoppm, err := exec.LookPath("pdftoppm")
	if err != nil {
		t.Skip("NOT TESTED: pdftoppm is not installed (package poppler-utils)")
	}
	scene := Scene{Width: 400, Height: 100, Title: "bar", Description: "a bar of 100 mm", Nodes: []Node{
		Rect{X: 20, Y: 40, Width: 200, Height: 10, Style: Style{Fill: Body}},
	}}
	var pdf bytes.Buffer
	if err := PDF(&pdf, scene, 0.5, time.Unix(0, 0).UTC()); err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	name := filepath.Join(dir, "bar.pdf")
	if err := os.WriteFile(name, pdf.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command(pdftoppm, "-png", "-gray", "-r", "254", "-singlefile", name, filepath.Join(dir, "bar")).CombinedOutput(); err != nil {
		t.Fatalf("pdftoppm: %v: %s", err, out)
	}
	f, err := os.Open(filepath.Join(dir, "bar.png"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	longest := 0
	for y := img.Bounds().Min.Y; y < img.Bounds().Max.Y; y++ {
		run := 0
		for x := img.Bounds().Min.X; x < img.Bounds().Max.X; x++ {
			run++
			if r, _, _, _ := img.At(x, y).RGBA(); r > 0x8000 {
				run = 0
			}
			longest = max(longest, run)
		}
	}
	if longest < 999 || longest > 1001 {
		t.Errorf("the bar of 100 mm is %.1f mm long in print", float64(longest)/10)
	}
}
