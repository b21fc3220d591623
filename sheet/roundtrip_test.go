package sheet

import (
	"bytes"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"fairburn/burn"
	"fairburn/gear"
	"fairburn/matter/fuel"
	"fairburn/quantity"
	"fairburn/reduce"
	"fairburn/trial"
)

var same = cmp.Options{
	cmpopts.EquateEmpty(),
	cmpopts.IgnoreFields(burn.Record{}, "Where"),
	cmp.Comparer(func(a, b quantity.Temperature) bool { return a == b }),
}

// draw makes a trial of texts that people write.
type draw struct {
	*rapid.T
	system quantity.System
	light  clock
	plain  bool // texts that a form can show
}

// given is a reading of one of the texts, or a missing one.
func given[Q comparable](d draw, s *spell[Q], texts ...string) quantity.Reading[Q] {
	text := rapid.SampledFrom(append(texts, "")).Draw(d.T, "text")
	if text == "" {
		return quantity.Reading[Q]{}
	}
	r, err := s.parse(text, d.system)
	if err != nil {
		d.Fatal(err)
	}
	r.Instrument = d.pick("", "", "kitchen scale", `the "old" one`)
	return r
}

func (d draw) pick(texts ...string) string { return rapid.SampledFrom(texts).Draw(d.T, "pick") }

func (d draw) words() string { return d.text(false) }

// notes is a text that may run over lines.
func (d draw) notes() string { return d.text(true) }

func (d draw) text(lines bool) string {
	s := d.pick("", "Fern", "7", "007", "a \"quoted\" word", "back\\slash", "two\nlines\n", "über 5 °C", "'single'", "\ttab\x01\u007f", "# no comment", "x = 1", `"""`, "\r\nold\rlines", "2024-05-03", "=SUM(A1)")
	if d.plain {
		return sayable(s, lines)
	}
	return s
}

func (d draw) names() []string {
	ns := several(d, d.words)
	if d.plain {
		ns = slices.DeleteFunc(ns, func(s string) bool { return s == "" })
	}
	return ns
}

func (d draw) whole(most int) int { return rapid.IntRange(0, most).Draw(d.T, "whole") }
func (d draw) yes() bool          { return rapid.Bool().Draw(d.T, "yes") }

func several[U any](d draw, make func() U) []U {
	var us []U
	for range d.whole(2) {
		us = append(us, make())
	}
	return us
}

func (d draw) mass() quantity.Reading[quantity.Mass] {
	return given(d, masses, "25.20 g", "7/8 oz", "1 lb 3 oz", "0 g", "0.5 kg ± 1 g", "14.9g")
}

func (d draw) length() quantity.Reading[quantity.Length] {
	return given(d, lengths, "24 mm", `2-3/8"`, "1/16 in", "5' 3''", "1¾ in")
}

func (d draw) volume() quantity.Reading[quantity.Volume] {
	return given(d, volumes, "500 mL", "2 cups", "1 US fl oz", "½ L")
}

func (d draw) temperature() quantity.Reading[quantity.Temperature] {
	return given(d, temperatures, "18.3 °C", "58 F", "-5 °C", "291.5 K", "18.3 °C ± 0.5 K")
}

func (d draw) time() quantity.Reading[time.Duration] {
	texts := []string{"7:12", "7:12.5", "1:02:33", "90 s", "7.2 min", "7:12 ± 2 s"}
	if d.light.set {
		texts = []string{"7:12", "14:05:20", "00:01:02.5", "90 s", "23:59:59"}
	}
	return given(d, plain(d.light.mark, showSpan), texts...)
}

func (d draw) strength() quantity.Reading[quantity.Strength] {
	return given(d, strengths, "95 % vol", "94 ± 1 % by mass", "190 proof")
}

func (d draw) ratio(least float64) quantity.Ratio {
	return quantity.Ratio(rapid.Float64Range(least, 0.999).Draw(d.T, "ratio"))
}

func (d draw) site() burn.Site {
	return burn.Site{
		Name: d.words(), Station: given(d, pressures, "985 hPa", "29.92 inHg"), Altimeter: given(d, pressures, "1013.2 hPa"),
		Elevation: given(d, elevations, "2100 m", "-282 ft"), Air: d.temperature(), Humidity: given(d, ratios, "55 %", "0.5"),
		Wind: given(d, speeds, "3 m/s", "5 mph"), WindWord: d.pick("", "still", "draught, then a gust"),
	}
}

func (d draw) burner() gear.Burner {
	return gear.Burner{
		Name: d.words(), Family: gear.Family(d.pick("", "side jets", "wick")), ShopMade: d.yes(), Can: d.length(), Height: d.length(), WallGap: d.length(),
		InnerWall: gear.InnerWall{Height: d.length(), Notches: d.whole(3), Spliced: d.yes()}, FillHole: d.length(),
		Jets: several(d, func() gear.JetRing {
			return gear.JetRing{Count: 1 + d.whole(30), Diameter: d.length(), Tool: d.words(), Height: d.length(), Direction: d.pick("", "up")}
		}),
		Wicking: gear.WickFill{Material: d.words(), Mass: d.mass(), Height: d.length()}, Seam: gear.Seam{Kind: d.words(), Cure: d.words()},
		DryMass: d.mass(), Holds: d.volume(), Parent: d.words(), Changed: d.notes(),
		Traits: several(d, func() gear.Trait {
			return gear.Trait{Kind: gear.Soots, Holds: d.yes(), ShownBy: d.names(), Note: d.notes()}
		}),
		Marker: d.whole(9), Notes: d.notes(),
	}
}

func (d draw) batch() gear.FuelBatch {
	return gear.FuelBatch{
		Name: d.words(), Product: d.words(), Strength: d.strength(), KnownBy: d.words(), Notes: d.notes(),
		Components: several(d, func() gear.Component {
			c := gear.Component{Substance: rapid.SampledFrom(fuel.Substances()).Draw(d.T, "substance"), Low: d.strength(), Rest: d.yes()}
			if c.Low.Given {
				c.High = d.strength()
			}
			return c
		}),
	}
}

func (d draw) shelf() gear.Shelf {
	s := gear.Shelf{Burners: several(d, d.burner), Batches: several(d, d.batch)}
	s.Pots = several(d, func() gear.Pot {
		return gear.Pot{Name: d.words(), Mass: d.mass(), Material: d.words(), Diameter: d.length(), Holds: d.volume(), Loss: given(d, losses, "1.2 ± 0.3 W/K"), Notes: d.notes()}
	})
	s.Lids = several(d, func() gear.Lid {
		return gear.Lid{Name: d.words(), Mass: d.mass(), Material: d.words(), Notes: d.notes()}
	})
	s.Screens = several(d, func() gear.Screen {
		return gear.Screen{Name: d.words(), Mass: d.mass(), Gap: d.length(), Notes: d.notes()}
	})
	s.Stands = several(d, func() gear.Stand {
		return gear.Stand{Name: d.words(), Mass: d.mass(), Height: d.length(), Notes: d.notes()}
	})
	use := func() gear.Use { return gear.Use(d.pick("", "fuel", "water")) }
	s.Tools.Scales = several(d, func() gear.Scale {
		return gear.Scale{Name: d.words(), For: use(), Step: d.mass(), Linearity: d.mass()}
	})
	s.Tools.Thermometers = several(d, func() gear.Thermometer {
		return gear.Thermometer{Name: d.words(), For: use(), Step: given(d, differences, "0.1 K", "1 °F"), Limit: given(d, differences, "0.5 K")}
	})
	s.Tools.Barometers = several(d, func() gear.Barometer {
		return gear.Barometer{Name: d.words(), Limit: given(d, pressures, "1.5 hPa")}
	})
	s.Tools.Measures = several(d, func() gear.Measure {
		return gear.Measure{Name: d.words(), For: use(), Tolerance: given(d, ratios, "4 %")}
	})
	return s
}

func (d draw) burn(id int) burn.Record {
	b := burn.Record{
		ID: fmt.Sprint(d.pick("", "x"), id), Entry: d.words(), Block: d.words(), Order: d.whole(5), Tester: d.words(), Date: d.words(), Station: d.whole(3),
		Site: d.site(), Burner: d.temperature(), BoilBy: burn.BoilKind(d.pick("", "rolling", "plateau")), Void: d.words(), Notes: d.notes(),
		Simmer: burn.Simmer{FuelStart: d.mass(), FuelEnd: d.mass(), WaterStart: d.mass(), WaterEnd: d.mass()},
		Fuel: burn.Fuel{
			Temperature: d.temperature(), Weighed: burn.Weighed(d.pick("", "fuel", "burner and fuel")), Poured: d.mass(), AtPotOn: d.mass(), AtBoil: d.mass(),
			ToBoilBy: burn.ToBoilBy(d.pick("", "prorated", "scale under the stack")),
		},
		Water: burn.Water{End: d.mass(), Start: d.temperature(), Peak: d.temperature(), Boiling: d.temperature()},
	}
	if d.yes() {
		b.Marks = map[burn.Mark]quantity.Reading[time.Duration]{burn.Light: {}}
		at, _ := quantity.ParseClock("14:03:20")
		d.light = clock{true, at.Value}
		b.Marks[burn.Light], _ = d.light.light("14:03:20")
	}
	for _, m := range burn.Marks()[1:] {
		if r := d.time(); r.Given {
			if b.Marks == nil {
				b.Marks = map[burn.Mark]quantity.Reading[time.Duration]{}
			}
			b.Marks[m] = r
		}
	}
	b.Water.PeakAt = d.time()
	b.Faults = several(d, func() burn.Fault { return burn.Fault{Kind: burn.Spill, At: d.time()} })
	b.Failures = several(d, func() burn.Failure { return burn.Uneven })
	b.Levels = map[string]string{"wind": d.words(), `odd "key"`: d.words()}
	if d.plain {
		maps.DeleteFunc(b.Levels, func(_, level string) bool { return level == "" }) // a field left empty
	}
	if b.Fuel.LeftNothing = d.yes(); !b.Fuel.LeftNothing {
		b.Fuel.Left = d.mass()
	}
	b.Fuel.DoseVolume, b.Water.Volume = d.volume(), d.volume()
	weighed := func() quantity.Reading[quantity.Mass] { return given(d, masses, "23.7 g", "0.8 oz mass") }
	b.Fuel.DoseMass, b.Water.Mass = weighed(), weighed()
	return b
}

func (d draw) trial() *trial.Trial {
	t := &trial.Trial{Title: d.words(), Question: d.notes(), Notes: d.notes(), Invented: d.yes(), Settings: trial.DefaultSettings(), Site: d.site(), Shelf: d.shelf()}
	s := &t.Settings
	s.JudgeBy, s.System = rapid.SampledFrom(trial.JudgeBys()).Draw(d.T, "judge by"), d.system
	s.Margin, s.Level, s.Power, s.DoseShare = d.ratio(1e-9), d.ratio(0.5), d.ratio(0.5), 0.9
	s.Cap = time.Duration(1 + rapid.Int64Range(0, int64(2*time.Hour)).Draw(d.T, "cap"))
	s.Seed = rapid.Uint64().Draw(d.T, "seed")
	s.Reference.From = quantity.Celsius(rapid.Float64Range(-5, 60).Draw(d.T, "from"))
	if s.NominalSet = d.yes(); s.NominalSet {
		s.Reference.Water = quantity.Mass(rapid.Float64Range(0.1, 2).Draw(d.T, "water"))
	}
	if d.yes() {
		s.Rules = reduce.Rules{Grace: 30 * time.Second, Proration: 0.2, LowestBoil: quantity.Fahrenheit(199), Pressure: 0.1, Loss: quantity.Conductance(d.ratio(1e-9)), BoilCall: quantity.TempDiff(d.ratio(1e-9))}
	}
	t.Entries = several(d, func() trial.Entry {
		return trial.Entry{Name: d.words(), Burner: d.words(), Pot: d.words(), Lid: d.words(), Screen: d.words(), Stand: d.words(), Fuel: d.words(), Notes: d.notes()}
	})
	t.Plan = trial.Plan{Seed: s.Seed / 2, CoolDown: time.Duration(d.whole(3)) * time.Minute, Factor: trial.Factor{Name: d.words(), Levels: several(d, d.words)}}
	t.Plan.Slots = several(d, func() trial.Slot {
		return trial.Slot{Order: 1 + d.whole(9), Block: d.words(), Entry: d.words(), Level: d.words(), Snuff: d.yes()}
	})
	for i := range d.whole(3) {
		t.Burns = append(t.Burns, d.burn(i))
	}
	t.SortBurns()
	return t
}

func drawTrial(t *rapid.T) *trial.Trial {
	return draw{T: t, system: rapid.SampledFrom([]quantity.System{quantity.Metric, quantity.US, quantity.Imperial}).Draw(t, "system")}.trial()
}

func TestWrittenAndReadBackIsTheSameTrial(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := drawTrial(t)
		text, err := Write(want)
		if err != nil {
			t.Fatal(err)
		}
		got, fs, err := Read("x.toml", text)
		if err != nil || len(fs) > 0 {
			t.Fatalf("%v\n%v\n%s", err, fs, text)
		}
		if d := cmp.Diff(want, got, same); d != "" {
			t.Fatalf("%s\n%s", d, text)
		}
		if again, err := Write(got); err != nil || !bytes.Equal(again, text) {
			t.Fatalf("written twice, it differs: %v\n%s\n%s", err, text, again)
		}
	})
}

func TestThingsWrittenAloneAreTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		from := drawTrial(t)
		text, err := WriteThings(from)
		if err != nil {
			t.Fatal(err)
		}
		got, fs, err := Read("x.toml", text)
		if err != nil || len(fs) > 0 {
			t.Fatalf("%v\n%v\n%s", err, fs, text)
		}
		want := &trial.Trial{Settings: trial.DefaultSettings(), Shelf: from.Shelf, Burns: from.Burns}
		want.Settings.System = from.Settings.System
		if d := cmp.Diff(want, got, same); d != "" {
			t.Fatalf("%s\n%s", d, text)
		}
	})
}

func TestBurnsOfATableAreTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := drawTrial(t)
		for i := range want.Burns {
			trimmed(&want.Burns[i])
		}
		text, err := WriteTable(want)
		if err != nil || len(want.Burns) == 0 {
			return
		}
		into := &trial.Trial{Settings: want.Settings, Entries: want.Entries}
		got, fs, err := ReadTable("x.csv", text, into)
		if err != nil || len(fs) > 0 {
			t.Fatalf("%v\n%v\n%s", err, fs, text)
		}
		if d := cmp.Diff(want.Burns, got.Burns, same); d != "" {
			t.Fatalf("%s\n%s", d, text)
		}
	})
}

// trimmed takes from a burn what no cell can hold: space at the ends of a text,
// carriage returns, texts that stand for a missing one, instruments of faults.
func trimmed(b *burn.Record) {
	trim := func(s *string) { *s = strings.TrimSpace(strings.ReplaceAll(*s, "\r", "")) }
	for _, s := range []*string{&b.Entry, &b.Block, &b.Tester, &b.Date, &b.Void, &b.Notes, &b.Site.Name} {
		trim(s)
	}
	for k, v := range b.Levels {
		if trim(&v); v == "" {
			delete(b.Levels, k)
			continue
		}
		b.Levels[k] = v
	}
	for i := range b.Faults {
		b.Faults[i].At.Instrument = ""
	}
}

func TestTheOrderOfBurnsInTheFileChangesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ids := rapid.Permutation([]string{"1", "2", "10", "a", "b"}).Draw(t, "ids")
		text := "fairburn = 1\n"
		for _, id := range ids {
			text += fmt.Sprintf("[[burn]]\nid = %q\nnotes = \"burn %s\"\n", id, id)
		}
		got, _, err := Read("x.toml", []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		order := slices.Collect(func(yield func(string) bool) {
			for _, b := range got.Burns {
				yield(b.ID + b.Notes)
			}
		})
		if strings.Join(order, ",") != "1burn 1,2burn 2,10burn 10,aburn a,bburn b" {
			t.Fatal(order)
		}
	})
}

// Values that came from an instrument and never were a text get one.
func TestValuesWithoutText(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(1e-6, 10).Draw(t, "x")
		b := burn.Record{ID: "1", Marks: map[burn.Mark]quantity.Reading[time.Duration]{burn.Boil: quantity.Given(time.Duration(1e9 * x))}}
		b.Fuel.Poured = quantity.Given(quantity.Mass(x))
		b.Water.Start = quantity.Given(quantity.Celsius(x))
		b.Water.Volume = quantity.Given(quantity.Volume(x))
		text, err := Write(&trial.Trial{Settings: trial.DefaultSettings(), Burns: []burn.Record{b}})
		if err != nil {
			t.Fatal(err)
		}
		got, fs, err := Read("x.toml", text)
		if err != nil || len(fs) > 0 {
			t.Fatal(err, fs)
		}
		g := got.Burns[0]
		if g.Fuel.Poured.Value != b.Fuel.Poured.Value || g.Water.Start.Value != b.Water.Start.Value || g.Marks[burn.Boil].Value != b.Marks[burn.Boil].Value || math.Abs(float64(g.Water.Volume.Value/b.Water.Volume.Value)-1) > 3e-16 {
			t.Fatalf("%s", text)
		}
	})
}

func TestWhatCannotBeWritten(t *testing.T) {
	for _, row := range []struct {
		burn burn.Record
		want string
	}{
		{burn.Record{Fuel: burn.Fuel{Poured: quantity.Given(quantity.Mass(math.NaN()))}}, "burn number 1: poured: no text says the value NaN: mend the reading"},
		{burn.Record{Fuel: burn.Fuel{Left: quantity.Given(quantity.Mass(-1))}}, "burn number 1: left: no text says the value -1: mend the reading"},
		{burn.Record{Notes: "caf\xe9"}, `burn number 1: the text "caf\xe9" is no UTF-8: write it again`},
	} {
		_, err := Write(&trial.Trial{Settings: trial.DefaultSettings(), Burns: []burn.Record{row.burn}})
		if err == nil || err.Error() != row.want {
			t.Errorf("got %v, want %s", err, row.want)
		}
	}
}
