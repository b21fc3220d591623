package station

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"fairburn/burn"
	"fairburn/finding"
	"fairburn/quantity"
	"fairburn/sheet"
	"fairburn/trial"
)

func TestEveryKeyIsOneOfTheSheet(t *testing.T) {
	known := map[string]bool{}
	for _, k := range sheet.Keys() {
		known[k.Section+" "+k.Name] = true
	}
	seen := map[string]bool{}
	for _, a := range asks {
		if !known[a.Section+" "+a.Key] {
			t.Errorf("%s has no key %q", a.Section, a.Key)
		}
		if seen[a.Key] {
			t.Errorf("%q is asked twice", a.Key)
		}
		seen[a.Key] = true
		if a.Words == "" || a.Why == "" || (a.Example == "") != (a.Section != ofBurn || a.Key == "levels") {
			t.Errorf("%q: %+v", a.Key, a)
		}
	}
}

// written is a sheet with one burn that holds these lines.
func written(t *testing.T, lines ...string) *trial.Trial {
	t.Helper()
	text := `fairburn = 1
invented = true
[[burner]]
name = "cat"
family = "side jets"
[[pot]]
name = "mug"
[[fuel]]
name = "blue"
strength = "90 % vol"
[[entry]]
name = "cat"
burner = "cat"
pot = "mug"
fuel = "blue"
[[burn]]
id = "1"
entry = "cat"
` + strings.Join(lines, "\n") + "\n"
	tr, found, err := sheet.Read("one.toml", []byte(text))
	if err != nil || len(found) > 0 {
		t.Fatalf("%v\n%v\n%s", err, found, text)
	}
	return tr
}

// answered are the lines that give every one of the keys its example.
func answered(keys []string) (lines []string) {
	for _, a := range asks {
		if slices.Contains(keys, a.Key) {
			lines = append(lines, fmt.Sprintf("%s = %q", a.Key, a.Example))
		}
	}
	return lines
}

func keys(list []Ask) (ks []string) {
	for _, a := range list {
		ks = append(ks, a.Key)
	}
	return ks
}

func without(list []string, s string) []string {
	return slices.DeleteFunc(slices.Clone(list), func(x string) bool { return x == s })
}

// Each key is asked for when it alone is missing, and not when it is there, by
// way of a sheet that gives every example: so the examples can be read too.
func TestBeforeAsksForWhatIsMissing(t *testing.T) {
	all := []string{"air", "station_pressure", "wind", "water", "start", "dose", "fuel_temperature", "poured", "weighed", "burner_temperature", "boil_by"}
	before := func(tr *trial.Trial) []string { return keys(Before(tr, tr.Burns[0], trial.Slot{}, true)) }
	if got := before(written(t, answered(all)...)); len(got) > 0 {
		t.Errorf("asked for %v though it is all there", got)
	}
	for _, key := range all {
		if got := before(written(t, answered(without(all, key))...)); !slices.Equal(got, []string{key}) {
			t.Errorf("without %s: asked for %v", key, got)
		}
	}
	if got, want := before(written(t)), without(all, "fuel_temperature"); !slices.Equal(got, want) {
		t.Errorf("an empty burn: asked for %v, expected %v", got, want)
	}
}

func TestBeforeAsksByWhatIsThere(t *testing.T) {
	base := answered([]string{"air", "station_pressure", "wind", "water", "start", "dose", "fuel_temperature", "poured", "weighed", "boil_by"})
	swap := func(key string, lines ...string) []string {
		kept := slices.DeleteFunc(slices.Clone(base), func(l string) bool { return strings.HasPrefix(l, key+" =") })
		return append(kept, lines...)
	}
	for _, c := range []struct {
		name  string
		lines []string
		want  string
	}{
		{"complete, cold", base, ""},
		{"water by volume", swap("water", `water = "500 mL"`), ""},
		{"wind measured", swap("wind", `wind = "2 m/s"`), ""},
		{"elevation alone", swap("station_pressure", `elevation = "420 m"`), ""},
		{"altimeter setting alone", swap("station_pressure", `altimeter_setting = "1013 hPa"`), "elevation"},
		{"altimeter setting and elevation", swap("station_pressure", `altimeter_setting = "1013 hPa"`, `elevation = "420 m"`), ""},
		{"dose by mass", swap("dose", `dose = "24 g"`), ""},
		{"dose by both", swap("fuel_temperature", `dose_mass = "24 g"`), ""},
		{"fuel weighed alone", append(swap("weighed", `weighed = "fuel"`), `# dose`), ""},
	} {
		tr := written(t, c.lines...)
		if got := strings.Join(keys(Before(tr, tr.Burns[0], trial.Slot{}, false)), " "); got != c.want {
			t.Errorf("%s: asked for %q, expected %q", c.name, got, c.want)
		}
	}
}

// Fuel weighed by itself is dose and first weighing in one, whichever is written.
func TestFuelWeighedAloneIsAskedForOnce(t *testing.T) {
	for _, line := range []string{`poured = "24 g"`, `dose = "24 g"`} {
		tr := written(t, `weighed = "fuel"`, line)
		got := keys(Before(tr, tr.Burns[0], trial.Slot{}, false))
		if slices.Contains(got, "dose") || slices.Contains(got, "poured") {
			t.Errorf("with %s: asked for %v", line, got)
		}
		tr = written(t, `weighed = "burner and fuel"`, line)
		got = keys(Before(tr, tr.Burns[0], trial.Slot{}, false))
		if slices.Contains(got, "dose") == slices.Contains(got, "poured") {
			t.Errorf("with %s and the burner on the scale: asked for %v", line, got)
		}
	}
}

func need(list []Ask, key string) Need {
	i := slices.IndexFunc(list, func(a Ask) bool { return a.Key == key })
	if i < 0 {
		return ""
	}
	return list[i].Need
}

func TestWeighingIsNeededByTheQuestion(t *testing.T) {
	for _, c := range []struct {
		by    trial.JudgeBy
		snuff bool
		want  Need
	}{
		{trial.Fastest, false, Should}, {trial.Surest, false, Should}, {trial.Lightest, false, Should},
		{trial.LeastFuel, false, Must}, {trial.Fastest, true, Must},
	} {
		tr := written(t)
		tr.Settings.JudgeBy = c.by
		r := tr.Burns[0]
		if got := need(Before(tr, r, trial.Slot{Snuff: c.snuff}, false), "poured"); got != c.want {
			t.Errorf("%s, snuffed %v: the first weighing is %q, expected %q", c.by, c.snuff, got, c.want)
		}
		end := burn.Out
		if c.snuff {
			end = burn.Snuffed
		}
		r.Marks = marked(end)
		if got := need(After(tr, r), "left"); got != c.want {
			t.Errorf("%s, snuffed %v: the last weighing is %q, expected %q", c.by, c.snuff, got, c.want)
		}
	}
}

func TestEveryNeedIsOneOfThree(t *testing.T) {
	tr := written(t)
	r := tr.Burns[0]
	r.Marks = marked(burn.SimmerStart)
	for _, a := range append(Before(&trial.Trial{}, r, trial.Slot{}, true), After(tr, r)...) {
		if a.Need != Must && a.Need != Should && a.Need != May {
			t.Errorf("%s is needed %q", a.Key, a.Need)
		}
	}
}

func TestGearThatTheEntryLacksIsAskedFor(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*trial.Entry)
		want   string
	}{
		{"complete", func(*trial.Entry) {}, ""},
		{"burner not named", func(e *trial.Entry) { e.Burner = "" }, "burner"},
		{"burner not on the shelf", func(e *trial.Entry) { e.Burner = "dog" }, "burner"},
		{"pot not on the shelf", func(e *trial.Entry) { e.Pot = "tin" }, "pot"},
		{"fuel not named", func(e *trial.Entry) { e.Fuel = "" }, "fuel"},
		{"another entry", func(e *trial.Entry) { e.Name = "dog" }, "burner pot fuel"},
	} {
		tr := written(t)
		c.change(&tr.Entries[0])
		var got []string
		for _, a := range Before(tr, tr.Burns[0], trial.Slot{}, false) {
			if a.Section == ofEntry {
				got = append(got, a.Key)
			}
		}
		if strings.Join(got, " ") != c.want {
			t.Errorf("%s: asked for %v, expected %q", c.name, got, c.want)
		}
	}
}

func TestTheSiteOfTheTrialCounts(t *testing.T) {
	tr := written(t)
	tr.Site = burn.Site{Air: quantity.Given(quantity.Celsius(14)), Elevation: quantity.Given[quantity.Length](420), WindWord: "still"}
	for _, key := range []string{"air", "station_pressure", "elevation", "wind"} {
		if n := need(Before(tr, tr.Burns[0], trial.Slot{}, false), key); n != "" {
			t.Errorf("%s is asked for though the trial gives it", key)
		}
	}
}

func TestTheLevelIsAskedForWhereOneVaries(t *testing.T) {
	tr := written(t)
	r := tr.Burns[0]
	if n := need(Before(tr, r, trial.Slot{}, false), "levels"); n != "" {
		t.Error("a level is asked for where nothing varies")
	}
	tr.Plan.Factor = trial.Factor{Name: "wind", Levels: []string{"still", "fan low"}}
	if n := need(Before(tr, r, trial.Slot{}, false), "levels"); n != Must {
		t.Errorf("the level is needed %q, expected %q", n, Must)
	}
	r.Levels = map[string]string{"wind": "fan low"}
	if n := need(Before(tr, r, trial.Slot{}, false), "levels"); n != "" {
		t.Error("the level is asked for though it is there")
	}
}

func marked(marks ...burn.Mark) map[burn.Mark]quantity.Reading[time.Duration] {
	all := map[burn.Mark]quantity.Reading[time.Duration]{}
	for i, m := range marks {
		all[m] = quantity.Given(time.Duration(i+1) * time.Minute)
	}
	return all
}

func TestAfterAsksForWhatIsMissing(t *testing.T) {
	boiled := []string{`boil = "7:12"`, `out = "9:00"`}
	for _, c := range []struct {
		name  string
		lines []string
		all   []string
	}{
		{"boiled", boiled, []string{"boil_by", "left", "water_end", "boiling", "failures", "notes"}},
		{"did not boil", []string{`out = "9:00"`}, []string{"left", "water_end", "peak", "peak_at", "failures", "notes"}},
		{"simmered", append(boiled, `simmer_start = "7:30"`, `simmer_end = "8:30"`), []string{"boil_by", "left", "water_end", "boiling",
			"simmer_fuel_start", "simmer_fuel_end", "simmer_water_start", "simmer_water_end", "failures", "notes"}},
		{"scale under the burner", append(boiled, `to_boil_by = "scale under the burner"`), []string{"boil_by", "at_boil", "left", "water_end", "boiling", "failures", "notes"}},
		{"scale under the stack", append(boiled, `weighed = "stack"`), []string{"boil_by", "at_boil", "water_end", "boiling", "failures", "notes"}},
		{"scale under the stack, no boil", []string{`out = "9:00"`, `to_boil_by = "scale under the stack"`}, []string{"water_end", "peak", "peak_at", "failures", "notes"}},
	} {
		after := func(lines []string) []string {
			for i, l := range lines { // a list in the sheet
				if rest, ok := strings.CutPrefix(l, "failures = "); ok {
					lines[i] = "failures = [" + rest + "]"
				}
			}
			tr := written(t, append(lines, c.lines...)...)
			return keys(After(tr, tr.Burns[0]))
		}
		if got := after(nil); !slices.Equal(got, c.all) {
			t.Errorf("%s: asked for %v, expected %v", c.name, got, c.all)
		}
		for _, key := range c.all {
			if got := after(answered(without(c.all, key))); !slices.Equal(got, []string{key}) {
				t.Errorf("%s, without %s: asked for %v", c.name, key, got)
			}
		}
	}
}

// Seen dry is an answer for a burner that burned out, not for one put out.
func TestNothingLeftIsAnAnswerAfterFlameOut(t *testing.T) {
	for _, c := range []struct {
		end  string
		want Need
	}{{`out = "9:00"`, ""}, {`snuffed = "9:00"`, Must}} {
		tr := written(t, `left = "nothing seen"`, c.end)
		if got := need(After(tr, tr.Burns[0]), "left"); got != c.want {
			t.Errorf("%s: what is left is %q, expected %q", c.end, got, c.want)
		}
	}
}

// A burn of which nothing is asked any more before the light is one in which
// its own check finds nothing to be read before the light.
func TestBeforeKnowsWhatTheRecordMisses(t *testing.T) {
	all := []string{"water", "start", "dose", "poured"}
	for _, left := range append(all, "") {
		tr := written(t, answered(without(all, left))...)
		found := tr.Burns[0].Check()
		asked := need(Before(tr, tr.Burns[0], trial.Slot{}, false), left)
		misses := finding.Has(found, "water_missing") || finding.Has(found, "start_temperature_missing") || finding.Has(found, "fuel_not_weighed")
		if misses && asked == "" {
			t.Errorf("without %s: the record misses something that was not asked for: %v", left, found)
		}
	}
}
