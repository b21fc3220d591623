package sheet

import (
	"bytes"
	"fmt"
	"slices"
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

// Every key of a kind is a field, and every field says what it wants.
func TestEveryKeyIsAField(t *testing.T) {
	section := map[string]string{"site": "[site]"}
	for _, kind := range formKinds[2:] {
		section[kind] = "[[" + kind + "]]"
	}
	for _, kind := range formKinds {
		fields, ok := Fields(kind, map[string]string{"levels.wind": ""}, quantity.Metric)
		if !ok {
			t.Fatal(kind)
		}
		names, labels := map[string]bool{}, map[string]bool{}
		for _, f := range fields {
			if names[f.Name] || f.Label == "" || len(f.Label) > 64 || labels[f.Group+f.Label] || strings.ContainsAny(f.Holds+f.Label, "[]{}_") {
				t.Errorf("%s: twice, or not in words: %+v", kind, f)
			}
			if (f.Kind == Choice || f.Kind == ManyChoice) != (len(f.Choices) > 0) || (f.Kind == Reading) != (f.Example != "") {
				t.Errorf("%s: choices or example: %+v", kind, f)
			}
			names[f.Name], labels[f.Group+f.Label] = true, true
		}
		for _, k := range Keys() {
			name := k.Name
			switch {
			case kind == "trial" && (k.Section == "" && name != "fairburn"):
			case kind == "trial" && slices.Contains([]string{"[settings]", "[reference]", "[rules]"}, k.Section):
				name = strings.Trim(k.Section, "[]") + "." + name
			case kind == "trial" || k.Section != section[kind]:
				continue
			}
			if !names[name] && !slices.ContainsFunc(fields, func(f Field) bool { return strings.HasPrefix(f.Name, name+".") }) {
				t.Errorf("%s: no field for %s", kind, name)
			}
		}
	}
	for _, kind := range []string{"", "settings", "plan", "rules", "Burner"} {
		if fields, ok := Fields(kind, nil, quantity.Metric); ok || len(fields) > 0 {
			t.Errorf("%q is no kind", kind)
		}
	}
}

// Every example and every choice is read without a word and leaves something.
func TestEveryExampleAndChoiceIsRead(t *testing.T) {
	for _, sys := range []quantity.System{quantity.Metric, quantity.US, quantity.Imperial} {
		for _, kind := range formKinds {
			empty := writtenForm(t, kind, nil, sys)
			fields, _ := Fields(kind, nil, sys)
			for _, f := range fields {
				for _, value := range append(f.Choices, f.Example) {
					got := writtenForm(t, kind, map[string]string{f.Name: value}, sys)
					usual := kind == "trial" || f.Key == "holds" && value == "yes" // the default, which leaves nothing
					if value != "" && !usual && got == empty {
						t.Errorf("%s %s %q left nothing", kind, f.Name, value)
					}
				}
			}
		}
	}
}

// writtenForm is the sheet of what a form says, which raises no finding.
func writtenForm(t *testing.T, kind string, values map[string]string, sys quantity.System) string {
	t.Helper()
	x, fs := ReadForm(kind, values, sys)
	if len(fs) > 0 {
		t.Errorf("%s %v: %v", kind, values, fs)
	}
	text, err := Write(x)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// The choices are the words that the parser says it knows.
func TestChoicesAreTheWholeVocabulary(t *testing.T) {
	for _, kind := range formKinds {
		fields, _ := Fields(kind, nil, quantity.Metric)
		for _, f := range fields {
			if len(f.Choices) == 0 || f.Key == "holds" || f.Key == "units" {
				continue
			}
			_, fs := ReadForm(kind, map[string]string{f.Name: "?"}, quantity.Metric)
			if len(fs) != 1 || !strings.HasSuffix(fs[0].Sentence, "expected one of "+strings.Join(f.Choices, ", ")) {
				t.Errorf("%s %s: %v are not in %v", kind, f.Name, f.Choices, fs)
			}
		}
	}
}

func TestWhatAFormSays(t *testing.T) {
	long := func(n int) string { return strings.Repeat("é", n) }
	for _, row := range []struct {
		name, kind string
		values     map[string]string
		want       []string
	}{
		{"nothing", "burner", nil, nil},
		{"empty", "burner", map[string]string{"name": " ", "dry_mass": "", "jets.0.count": "\t", "jets.90.count": "", "no_such": " "}, nil},
		{"no unit", "burner", map[string]string{"name": "Fern", "dry_mass": "12.4"}, []string{`burner Fern: dry_mass: fault: read "12.4", expected a mass in g, kg, mg, oz or lb; add the unit, such as 12.4 g`}},
		{"row", "burner", map[string]string{"jets.0.count": "8", "jets.2.diameter": "1 g"}, []string{`jets.2.diameter: fault: read "1 g", expected a length in mm, cm, m, in or ft; g belongs to a mass`}},
		{"count", "burner", map[string]string{"inner_wall.notches": "-4"}, []string{`inner_wall.notches: fault: read "-4", expected a whole number of 0 or more; write it without point or unit, such as 4`}},
		{"yes", "burner", map[string]string{"shop_made": "on"}, []string{`shop_made: fault: read "on", expected yes or no; choose one of the two`}},
		{"instrument alone", "burn", map[string]string{"poured.with": "scale"}, []string{`poured: fault: an instrument is named and no reading of it; write what was read, or leave the instrument out`}},
		{"with instrument", "burn", map[string]string{"id": "7", "poured": "12", "poured.with": "scale"}, []string{`burn 7: poured: fault: read "12", expected a mass in g, kg, mg, oz or lb; add the unit, such as 12 g`}},
		{"mark", "burn", map[string]string{"boil": "14:10:32"}, []string{`boil: fault: read "14:10:32", expected a time from light, as minutes:seconds; for times of day write light as one too, such as 14:03:20`}},
		{"given twice", "burn", map[string]string{"dose": "20 g", "dose_mass": "21 g"}, []string{`dose_mass: fault: read "21 g" where "20 g" was given under another key; keep one of them; the first was read`}},
		{"share", "trial", map[string]string{"settings.margin": "0 %"}, []string{`settings.margin: fault: read "0 %", expected a share above 0 % and below 100 %; mend it, or leave the field empty for the default`}},
		{"failures", "burn", map[string]string{"failures": "uneven; nothing"}, []string{`failures: fault: failure "nothing" is not known: expected one of seam_leak, burst, no_bloom, uneven, starved, spitting, runaway, flame_past_pot, screen_melt, would_not_light, stuck_pot; write one of these words`}},
		{"two, in the order of the form", "pot", map[string]string{"mass": "?", "diameter": "?", "x": "?"}, []string{
			`x: fault: the field "x" is not known here; load the page again: it may be older than the program`,
			`mass: fault: read "?", expected a mass in g, kg, mg, oz or lb; a number must come first, in digits`,
			`diameter: fault: read "?", expected a length in mm, cm, m, in or ft; a number must come first, in digits`,
		}},
		{"unknown", "burner", map[string]string{"jets.01.count": "1", "jets.100.count": "1", "fairburn": "2", "dry_mass.x": "1"}, []string{
			`dry_mass.x: fault: the field "dry_mass.x" is not known here; load the page again: it may be older than the program`,
			`fairburn: fault: the field "fairburn" is not known here; load the page again: it may be older than the program`,
			`jets.01.count: fault: the field "jets.01.count" is not known here; load the page again: it may be older than the program`,
			`jets.100.count: fault: the field "jets.100.count" is not known here; load the page again: it may be older than the program`,
		}},
		{"last row", "burner", map[string]string{"jets.99.count": "1"}, nil},
		{"longest", "pot", map[string]string{"name": long(2000), "notes": long(10_000)}, nil},
		{"too long", "lid", map[string]string{"material": long(2001), "notes": " " + long(10_001)}, []string{
			"material: fault: read 2001 characters, expected at most 2000; say it shorter",
			"notes: fault: read 10001 characters, expected at most 10000; say it shorter",
		}},
		{"lines", "lid", map[string]string{"material": "a\nb", "notes": "a\r\nb\tc"}, []string{"material: fault: read a line break, expected one line of text; take it out"}},
		{"tab", "lid", map[string]string{"material": "a\tb", "notes": "a\x00b"}, []string{
			"material: fault: read a tab, expected one line of text; take it out",
			"notes: fault: read the invisible sign U+0000, expected text; take it out",
		}},
		{"bytes", "lid", map[string]string{"material": "caf\xe9"}, []string{"material: fault: read bytes that are no UTF-8, expected one line of text; take it out"}},
		{"factor", "burn", map[string]string{"levels.a\nb": "low", "levels.": "x"}, []string{
			`"levels.a\nb": fault: a field has a name that cannot be kept; load the page again`,
			`levels.: fault: the field "levels." is not known here; load the page again: it may be older than the program`,
		}},
		{"kind", "plan", map[string]string{"seed": "1"}, []string{`fault: no form is known for the kind "plan"; load the page again`}},
	} {
		_, fs := ReadForm(row.kind, row.values, quantity.Metric)
		var got []string
		for _, f := range fs {
			got = append(got, f.String())
		}
		if d := cmp.Diff(row.want, got); d != "" {
			t.Errorf("%s: %s", row.name, d)
		}
	}
}

func TestTooManyFields(t *testing.T) {
	values := map[string]string{}
	for i := range 5000 {
		values[fmt.Sprint("levels.", i)] = ""
	}
	if _, fs := ReadForm("burn", values, quantity.Metric); len(fs) > 0 {
		t.Error(fs)
	}
	values["id"] = "1"
	if _, fs := ReadForm("burn", values, quantity.Metric); len(fs) != 1 || fs[0].String() != "fault: the form has 5001 fields, and at most 5000 are read; load the page again and fill in less of it" {
		t.Error(fs)
	}
}

// Words that mean something in a sheet are words in a form.
func TestHostileWordsStayWords(t *testing.T) {
	for _, s := range []string{`"`, `"""`, `'''`, `\`, `" }`, "\"\"\"\nname = 1", "x\n[[burner]]\nname = \"y\"", `]`, `# no comment`, `{{.}}`, "<script>", "\u202e", "1979-05-27", "true", "-0", "1_000"} {
		got, fs := ReadForm("burner", map[string]string{"name": "Fern", "notes": s, "seam.kind": strings.ReplaceAll(s, "\n", " "), "parent": strings.ReplaceAll(s, "\n", " ")}, quantity.Metric)
		text, err := WriteThings(got)
		if err != nil || len(fs) > 0 {
			t.Fatal(err, fs)
		}
		back, fs, err := Read("x.toml", text)
		if err != nil || len(fs) > 0 || len(back.Shelf.Burners) != 1 {
			t.Fatalf("%v %v\n%s", err, fs, text)
		}
		if b := back.Shelf.Burners[0]; b.Notes != s || b.Parent != strings.ReplaceAll(s, "\n", " ") || b.Seam.Kind != b.Parent || b.Name != "Fern" {
			t.Errorf("%q became %+v", s, b)
		}
	}
}

func TestFormsGrowWithWhatIsFilled(t *testing.T) {
	rows := func(values map[string]string) (n int) {
		fields, _ := Fields("burner", values, quantity.Metric)
		for _, f := range fields {
			if f.Key == "count" {
				n++
				if f.Name != fmt.Sprintf("jets.%d.count", n-1) || f.Group != fmt.Sprintf("jet ring %d", n) {
					t.Errorf("%+v", f)
				}
			}
		}
		return n
	}
	for _, row := range []struct {
		values map[string]string
		want   int
	}{
		{nil, 2},
		{map[string]string{"jets.0.count": "8", "jets.1.count": "", "jets.1.tool": " "}, 3},
		{map[string]string{"jets.3.tool": "pin"}, 6},
		{map[string]string{"jets.x.tool": "pin", "jets.-1.tool": "pin", "jets.100.tool": "pin", "jets": "pin"}, 2},
	} {
		if got := rows(row.values); got != row.want {
			t.Errorf("%v: %d rows, expected %d", row.values, got, row.want)
		}
	}
	fields, _ := Fields("burn", map[string]string{"levels.wind": "", "levels.a.b": "x"}, quantity.Metric)
	var levels []string
	for _, f := range fields {
		if f.Group == "levels" {
			levels = append(levels, f.Name+" "+f.Label)
		}
	}
	if strings.Join(levels, ",") != "levels.a.b a.b,levels.wind wind" {
		t.Error(levels)
	}
}

func TestWhatNoFormCanShow(t *testing.T) {
	burners := func(bs ...gear.Burner) *trial.Trial {
		return &trial.Trial{Settings: trial.DefaultSettings(), Shelf: gear.Shelf{Burners: bs}}
	}
	trait := gear.Burner{Traits: []gear.Trait{{Kind: gear.Soots, Holds: true, ShownBy: []string{"a; b"}}}}
	for _, row := range []struct {
		kind  string
		trial *trial.Trial
		want  string
	}{
		{"burner", burners(gear.Burner{Name: " Fern"}), `no form can show the burner: name: " Fern" would become "Fern"`},
		{"burner", burners(gear.Burner{Name: "a\tb"}), `no form can show the burner: name: read a tab, expected one line of text`},
		{"burner", burners(trait), `no form can show the burner: traits.0.shown_by: "a; b" holds the semicolon that stands between names`},
		{"burner", burners(), "expected one burner, found none"},
		{"burner", burners(gear.Burner{}, gear.Burner{}), "expected one burner, found 2"},
		{"burner", burners(gear.Burner{Notes: "caf\xe9"}), `burner number 1: the text "caf\xe9" is no UTF-8: write it again`},
		{"plan", burners(), `no form is known for the kind "plan"`},
		{"site", burners(), ""},
		{"burner", burners(gear.Burner{Jets: []gear.JetRing{{}, {Count: 8}, {}}}), ""},
		{"burner", burners(gear.Burner{Notes: " a\r\nb\n"}), ""}, // as a form sends it
	} {
		if _, err := FormOf(row.kind, row.trial); (err == nil) != (row.want == "") || err != nil && err.Error() != row.want {
			t.Errorf("got %v, expected %s", err, row.want)
		}
	}
}

// A list whose rows say nothing is still a list when it is written.
func TestEmptyRowsAreWritten(t *testing.T) {
	got, fs, err := Read("x.toml", []byte("fairburn = 1\n[[burner]]\nname = \"Fern\"\njets = [{}, {}]\n"))
	if err != nil || len(fs) > 0 {
		t.Fatal(err, fs)
	}
	text, err := Write(got)
	if err != nil {
		t.Fatal(err)
	}
	if back, fs, err := Read("x.toml", text); err != nil || len(fs) > 0 || len(back.Shelf.Burners[0].Jets) != 2 {
		t.Fatalf("%v %v\n%s", err, fs, text)
	}
}

// Whatever is sent, nothing breaks; what is read without a finding is shown
// again as it was, and written.
func FuzzForm(f *testing.F) {
	f.Add("burner", "name", "Fern", "jets.0.count", "8", 0)
	f.Add("burn", "light", "14:03:20", "boil", "14:10:32", 1)
	f.Add("burn", "levels.wind.x", "low", "left", "nothing seen", 2)
	f.Add("burn", "dose", "1 fl oz", "dose_mass", "0.8 oz mass", 1)
	f.Add("burn", "failures", ";uneven;", "wind", "still", 1)
	f.Add("fuel", "components.1.from", "20 % vol", "components.1.to", "30 % vol", 0)
	f.Add("trial", "settings.units", "us", "rules.grace", "90 s", 0)
	f.Add("site", "air", "18.3 °C", "air.with", "old one", 0)
	f.Fuzz(func(t *testing.T, kind, a, x, b, y string, sys int) {
		system := quantity.System((sys%3 + 3) % 3)
		got, fs := ReadForm(kind, map[string]string{a: x, b: y}, system)
		Fields(kind, map[string]string{a: x, b: y}, system)
		if len(fs) > 0 {
			return
		}
		if _, err := Write(got); err != nil {
			t.Fatal(err)
		}
		values, err := FormOf(kind, got)
		if err != nil {
			t.Fatal(err)
		}
		again, fs := ReadForm(kind, values, got.Settings.System)
		if d := cmp.Diff(got, again, same); len(fs) > 0 || d != "" {
			t.Fatalf("%v\n%s", fs, d)
		}
	})
}
