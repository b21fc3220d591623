package sheet

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"

	"fairburn/trial"
)

// Whatever is read without a finding is written and read back as it was.
func FuzzRead(f *testing.F) {
	for _, pattern := range []string{"testdata/faults/*.toml", "../docs/examples/*.toml"} {
		files, _ := filepath.Glob(pattern)
		for _, file := range files {
			data, err := os.ReadFile(file)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(data)
		}
	}
	f.Add([]byte("fairburn=1\n[[burn]]\nlight=\"1:02:03\"\nboil=\"1:0:3\"\nlevels.a=\"\"\n[burn.poured]\nread=\"1 g\"\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		first, fs, err := Read("x.toml", data)
		if err != nil || len(fs) > 0 {
			return
		}
		text, err := Write(first)
		if err != nil {
			t.Fatal(err)
		}
		second, fs, err := Read("x.toml", text)
		if err != nil || len(fs) > 0 {
			t.Fatalf("%v %v\n%s", err, fs, text)
		}
		if d := cmp.Diff(first, second, same); d != "" {
			t.Fatalf("%s\n%s", d, text)
		}
	})
}

func FuzzTable(f *testing.F) {
	f.Add("entry,water_g,start_C,boil\nFern,500,18.3,7:12\n")
	f.Add("entry;water [g];levels.wind;poured;poured.with\nFern;500,5;low;14.9 g;scale\n;;;;\n\"x\n")
	f.Add("\ufeffid\tfaults\n1\tspill at 3:20; relit\n")
	f.Fuzz(func(t *testing.T, text string) {
		got, _, err := ReadTable("x.csv", []byte(text), nil)
		if err != nil {
			return
		}
		if _, err := WriteTable(got); err != nil {
			t.Fatal(err)
		}
	})
}

func FuzzWorkbook(f *testing.F) {
	f.Add(book(f, [][]any{{"entry", "boil", "date"}, {"Fern", "7:12", 45000}}, nil))
	f.Add(book(f, nil, nil))
	f.Fuzz(func(t *testing.T, data []byte) {
		_, _, _ = ReadTable("x.xlsx", data, &trial.Trial{})
	})
}

func BenchmarkRead(b *testing.B) {
	data := []byte("fairburn = 1\n[settings]\nunits = \"us\"\n")
	for range 96 {
		data = append(data, "[[burn]]\nid = 1\nentry = \"Fern\"\nblock = 2\nweighed = \"burner and fuel\"\npoured = \"25.8 g\"\nleft = \"9.8 g\"\nwater = \"500 g\"\nstart = \"18.3 °C\"\npot_on = \"1:02\"\nboil = \"7:12\"\nout = \"9:50\"\nboil_by = \"rolling\"\n"...)
	}
	for b.Loop() {
		if _, fs, err := Read("x.toml", data); err != nil || len(fs) > 0 {
			b.Fatal(fs, err)
		}
	}
}
