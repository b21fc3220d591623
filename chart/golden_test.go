package chart

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"fairburn/draw"
)

var (
	update = flag.Bool("update", false, "rewrite the golden files")
	look   = flag.String("look", "", "folder to draw the samples into, as SVG and PNG in light and dark")
)

func TestGolden(t *testing.T) {
	for _, width := range []float64{360, 720} {
		for name, c := range samples(width) {
			file := fmt.Sprintf("%s-%g", name, width)
			t.Run(file, func(t *testing.T) { golden(t, file, c) })
		}
	}
}

func golden(t *testing.T, file string, c scener) {
	s, err := c.Scene()
	if err != nil {
		t.Fatal(err)
	}
	var got bytes.Buffer
	if err := draw.SVG(&got, s, "chart"); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join("testdata", file+".svg")
	if *update {
		if err := os.WriteFile(path, got.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got.Bytes(), want) {
		t.Errorf("%s differs from what is drawn now; look at it and run go test -update", path)
	}
}

func TestLook(t *testing.T) {
	if *look == "" {
		t.Skip("no folder given with -look")
	}
	for _, width := range []float64{360, 720} {
		for name, c := range samples(width) {
			s, err := c.Scene()
			if err != nil {
				t.Fatal(err)
			}
			base := filepath.Join(*look, fmt.Sprintf("%s-%g", name, width))
			save(t, base+".svg", func(b *bytes.Buffer) error { return draw.StandaloneSVG(b, s) })
			save(t, base+"-light.png", func(b *bytes.Buffer) error { return draw.PNG(b, s, 2, draw.Paper) })
			save(t, base+"-dark.png", func(b *bytes.Buffer) error { return draw.PNG(b, s, 2, draw.Night) })
		}
	}
}

func save(t *testing.T, path string, write func(*bytes.Buffer) error) {
	var b bytes.Buffer
	if err := write(&b); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
}
