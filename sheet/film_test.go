package sheet

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"fairburn/burn"
	"fairburn/film"
	"fairburn/finding"
	"fairburn/quantity"
)

// filmed are what two readings of one film may differ in: their places.
var filmed = cmp.Options{cmpopts.EquateEmpty(), cmpopts.IgnoreTypes(finding.Place{})}

func (d draw) stamp() quantity.Reading[film.Stamp] {
	r := given(d, stamps, "7:12", "7:12.04", "1:02:33", "90 s", "7:12 ± 2 s", "00:07:12:01", "00:07:12;01", "00;07;12;01")
	r.Instrument = ""
	return r
}

func (d draw) lasting() quantity.Reading[time.Duration] {
	r := given(d, spans, "0:05", "1:30.5", "90 s")
	r.Instrument = ""
	return r
}

func (d draw) rate() film.Rate {
	return rapid.SampledFrom([]film.Rate{{}, {Num: 25, Den: 1}, {Num: 30000, Den: 1001}, {Num: 25, Den: 2}}).Draw(d.T, "rate")
}

func (d draw) faster() film.Speed {
	return film.Speed(rapid.SampledFrom([]float64{0, 8, 0.5, 1.0 / 3, 1000}).Draw(d.T, "speed"))
}

func (d draw) span() film.Span { return film.Span{From: d.stamp(), To: d.stamp()} }

func (d draw) film() *film.Film {
	f := &film.Film{Title: d.words(), Trial: d.words(), Invented: d.yes(), Rate: d.rate(), Description: d.notes(), Picture: d.words(), Notes: d.notes(), Of: d.words()}
	f.Cuts = several(d, d.span)
	f.Speeds = several(d, func() film.Change { return film.Change{Span: d.span(), Speed: d.faster()} })
	f.Clips = several(d, func() film.Clip {
		return film.Clip{Name: d.words(), File: d.words(), Rate: d.rate(), Start: d.stamp(), Length: d.stamp(), Syncs: several(d, func() film.Sync {
			return film.Sync{At: d.stamp(), Burn: d.words(), Mark: burn.Mark(d.pick("", "light", "boil", "flash")), Time: d.lasting()}
		})}
	})
	f.Shots = several(d, func() film.Shot {
		return film.Shot{Clip: d.words(), Span: d.span(), Speed: d.faster(), At: d.lasting(), Title: d.words(), Length: d.lasting()}
	})
	f.Timed = several(d, func() film.Timed {
		t := film.Timed{Clip: d.words(), Burn: d.words(), Marks: map[burn.Mark]quantity.Reading[film.Stamp]{}}
		for _, m := range burn.Marks() {
			if r := d.stamp(); r.Given {
				t.Marks[m] = r
			}
		}
		return t
	})
	f.Chapters = several(d, func() film.Chapter { return film.Chapter{At: d.lasting(), Title: d.words()} })
	return f
}

func TestAFilmWrittenAndReadBackIsTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := draw{T: t}
		want := d.film()
		text, err := WriteFilm(want)
		if err != nil {
			t.Fatal(err)
		}
		got, fs, err := ReadFilm("x.toml", text)
		if err != nil || len(fs) > 0 {
			t.Fatalf("%v\n%v\n%s", err, fs, text)
		}
		if d := cmp.Diff(want, got, filmed); d != "" {
			t.Fatalf("%s\n%s", d, text)
		}
	})
}

// Every film of testdata/films says what stands beside it in a .txt file.
func TestFaultsOfFilmsAndTheirMessages(t *testing.T) {
	faultsBeside(t, "testdata/films/*.toml", func(name string, data []byte) ([]finding.Finding, error) {
		_, fs, err := ReadFilm(name, data)
		return fs, err
	})
}

func TestASheetOfAFilmIsNoTrial(t *testing.T) {
	_, _, err := Read("x.toml", []byte("fairburn = 1\ntitle = \"A film\"\n[[clip]]\nname = \"A\"\n"))
	want := "x.toml:3:3: the file cannot be used: it is the sheet of a film, which holds clip, and a trial's was expected; fairburn film reads it"
	if err == nil || err.Error() != want || !errors.Is(err, ErrUnusable) {
		t.Errorf("got %v", err)
	}
	_, _, err = ReadFilm("x.toml", []byte("fairburn = 1\n[[burn]]\nid = 7\n"))
	want = "x.toml:2:3: the file cannot be used: it holds burn, and the sheet of a film was expected, with a [[clip]]; name a trial's sheet with --sheet"
	if err == nil || err.Error() != want || !errors.Is(err, ErrUnusable) {
		t.Errorf("got %v", err)
	}
	f, fs, err := ReadFilm("x.toml", []byte("fairburn = 1\n\n[[clip]]\nname = \"A\"\n[[clip]]\nname = \"B\"\n"))
	if err != nil || len(fs) > 0 || f.Clips[1].Where.Line != 5 || f.Clips[1].Where.File != "x.toml" {
		t.Errorf("%v %v %+v", err, fs, f)
	}
}

func FuzzReadFilm(f *testing.F) {
	for _, pattern := range []string{"testdata/films/*.toml", "../docs/examples/film*.toml"} {
		files, _ := filepath.Glob(pattern)
		for _, file := range files {
			data, err := os.ReadFile(file)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(data)
		}
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		first, fs, err := ReadFilm("x.toml", data)
		if err != nil {
			return
		}
		film.Make(first, film.Filmed{Burns: []burn.Record{{ID: "3"}, {ID: "4"}}})
		first.Time([]burn.Record{{ID: "3"}, {ID: "4"}})
		if len(fs) > 0 {
			return
		}
		text, err := WriteFilm(first)
		if err != nil {
			t.Fatal(err)
		}
		second, fs, err := ReadFilm("x.toml", text)
		if err != nil || len(fs) > 0 {
			t.Fatalf("%v %v\n%s", err, fs, text)
		}
		if d := cmp.Diff(first, second, filmed); d != "" {
			t.Fatalf("%s\n%s", d, text)
		}
	})
}
