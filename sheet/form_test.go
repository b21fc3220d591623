package sheet

import (
	"bytes"
	"strings"
	"testing"
	"unicode"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"fairburn/burn"
	"fairburn/gear"
	"fairburn/quantity"
	"fairburn/trial"
)

// formKinds are the kinds of things that forms know.
var formKinds = []string{"trial", "site", "entry", "burn", "burner", "pot", "lid", "screen", "stand", "fuel", "scale", "thermometer", "barometer", "measure"}

// alone returns each of a list by itself.
func alone[T any](t *trial.Trial, list func(*trial.Trial) *[]T) []*trial.Trial {
	var all []*trial.Trial
	for _, x := range *list(t) {
		one := &trial.Trial{Settings: trial.DefaultSettings()}
		one.Settings.System = t.Settings.System
		*list(one) = []T{x}
		all = append(all, one)
	}
	return all
}

// parted takes a trial apart into the things that forms show.
func parted(t *trial.Trial) map[string][]*trial.Trial {
	head := &trial.Trial{Title: t.Title, Question: t.Question, Notes: t.Notes, Invented: t.Invented, Settings: t.Settings}
	site := &trial.Trial{Settings: trial.DefaultSettings(), Site: t.Site}
	site.Settings.System = t.Settings.System
	return map[string][]*trial.Trial{
		"trial": {head}, "site": {site},
		"entry":       alone(t, func(t *trial.Trial) *[]trial.Entry { return &t.Entries }),
		"burn":        alone(t, func(t *trial.Trial) *[]burn.Record { return &t.Burns }),
		"burner":      alone(t, func(t *trial.Trial) *[]gear.Burner { return &t.Shelf.Burners }),
		"pot":         alone(t, func(t *trial.Trial) *[]gear.Pot { return &t.Shelf.Pots }),
		"lid":         alone(t, func(t *trial.Trial) *[]gear.Lid { return &t.Shelf.Lids }),
		"screen":      alone(t, func(t *trial.Trial) *[]gear.Screen { return &t.Shelf.Screens }),
		"stand":       alone(t, func(t *trial.Trial) *[]gear.Stand { return &t.Shelf.Stands }),
		"fuel":        alone(t, func(t *trial.Trial) *[]gear.FuelBatch { return &t.Shelf.Batches }),
		"scale":       alone(t, func(t *trial.Trial) *[]gear.Scale { return &t.Shelf.Tools.Scales }),
		"thermometer": alone(t, func(t *trial.Trial) *[]gear.Thermometer { return &t.Shelf.Tools.Thermometers }),
		"barometer":   alone(t, func(t *trial.Trial) *[]gear.Barometer { return &t.Shelf.Tools.Barometers }),
		"measure":     alone(t, func(t *trial.Trial) *[]gear.Measure { return &t.Shelf.Tools.Measures }),
	}
}

// sayable makes a text one that a form can show: notes keep their lines, the
// rest has none, and neither has control characters or space at its ends.
func sayable(s string, lines bool) string {
	s = strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(s)
	return strings.TrimSpace(strings.Map(func(c rune) rune {
		if unicode.IsControl(c) && !(lines && (c == '\n' || c == '\t')) {
			return -1
		}
		return c
	}, s))
}

// What a form shows of a thing makes the same thing again.
func TestFormsGiveBackWhatTheyShow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := draw{T: t, plain: true, system: rapid.SampledFrom([]quantity.System{quantity.Metric, quantity.US, quantity.Imperial}).Draw(t, "system")}
		for kind, things := range parted(d.trial()) {
			for _, x := range things {
				values, err := FormOf(kind, x)
				if err != nil {
					t.Fatalf("%v\n%+v", err, x)
				}
				got, fs := ReadForm(kind, values, x.Settings.System)
				if len(fs) > 0 {
					t.Fatal(kind, fs, values)
				}
				want, err := Write(x)
				if err != nil {
					t.Fatal(err)
				}
				again, err := Write(got)
				if err != nil || !bytes.Equal(want, again) {
					t.Fatalf("%s %v\n%s", kind, err, cmp.Diff(string(want), string(again)))
				}
			}
		}
	})
}
