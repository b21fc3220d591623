package report

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"regexp"
	"strings"
	"sync"
	"testing"
	"unicode/utf8"

	"golang.org/x/net/html"

	"fairburn/burn"
	"fairburn/quantity"
	"fairburn/repeat"
	"fairburn/trial"
)

// by is the invented trial as another tester would have burned it: everything
// takes a share longer, each entry some more of its own.
func by(tester, title string, longer float64, own ...float64) *trial.Trial {
	t := invented()
	t.Title = title
	for i := range t.Burns {
		b := &t.Burns[i]
		b.Tester = tester
		factor := longer
		for e := range t.Entries {
			if t.Entries[e].Name == b.Entry && e < len(own) {
				factor *= own[e]
			}
		}
		for m, at := range b.Marks {
			if m == burn.Boil || m == burn.Snuffed || m == burn.Out {
				b.Marks[m] = seconds(at.Value.Seconds() * factor * (1 + 0.004*math.Sin(float64(7*i)+longer)))
			}
		}
	}
	return t
}

// compared is a comparison of invented testers.
func compared(t testing.TB, trials ...*trial.Trial) *repeat.Comparison {
	t.Helper()
	var sources []repeat.Source
	for _, x := range trials {
		sources = append(sources, repeat.Source{Trial: x})
	}
	c, err := repeat.Judge(sources...)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

var (
	threeTesters = sync.OnceValue(func() *repeat.Comparison { return threeWith("Birgit") })
	threeStrange = sync.OnceValue(func() *repeat.Comparison { return threeWith("Birgit " + hostile) })
)

// threeWith is a comparison of three testers, one of whom burned two entries only
// and one of whom built with other things.
func threeWith(name string) *repeat.Comparison {
	other := by(name, "Three burners, built again", 1.04, 1, 1.01, 0.98)
	other.Shelf.Burners[0].DryMass = grams(19.9)
	other.Shelf.Pots[0].Material = "titanium"
	third := by("Cor", "Wide pot, third time", 0.97, 1.02, 0.99, 1)
	third.Entries = third.Entries[:2]
	third.Burns = third.Burns[:12]
	var own []burn.Record
	for _, b := range third.Burns {
		if b.Entry != "Yardstick" {
			own = append(own, b)
		}
	}
	third.Burns = own
	return compared(&testing.T{}, by("Anna", "Three burners for a wide pot", 1), other, third)
}

func TestRepeatFitsTheTerminal(t *testing.T) {
	v, r := sample()
	for _, sys := range []quantity.System{quantity.Metric, quantity.US} {
		text := written(t, func(w io.Writer) error { return Terminal(w, v, r, Options{System: sys, Repeat: threeTesters()}) })
		for line := range strings.Lines(text) {
			if n := utf8.RuneCountInString(strings.TrimRight(line, "\n")); n > lineWidth {
				t.Errorf("%d wide: %s", n, line)
			}
		}
		flat := strings.Join(strings.Fields(text), " ")
		for _, want := range []string{"2 other testers repeated this. " + strings.Join(strings.Fields(threeTesters().Sentence), " "), "TESTER BY TESTER", "Whose burns are whose", "(indicative)", "Do the means agree?", "FOUND BETWEEN TESTERS"} {
			if !strings.Contains(flat, want) {
				t.Errorf("%v does not say %q:\n%s", sys, want, text)
			}
		}
	}
}

// testersBody is the part of a page that compares testers.
func testersBody(t *testing.T, c *repeat.Comparison) string {
	t.Helper()
	p, err := newRepeatPage(c, c.Title, quantity.Metric)
	if err != nil {
		t.Fatal(err)
	}
	return written(t, func(w io.Writer) error { return fill(w, "repeat", c.Title, p) })
}

// Words of more than the burns carry are not said.
func TestRepeatClaimsNothing(t *testing.T) {
	body := testersBody(t, threeStrange())
	page, err := html.Parse(strings.NewReader(framed(body)))
	if err != nil {
		t.Fatal(err)
	}
	text := strings.ToLower(textOf(find(page, "main")[0]))
	if m := regexp.MustCompile(`\b(significant|proven|proves|confirmed|replicated|safe|legal|outlier removed|no difference)\b`).FindString(text); m != "" {
		t.Errorf("says %q", m)
	}
}

func TestRepeatIsWellMade(t *testing.T) {
	for name, c := range map[string]*repeat.Comparison{
		"three": threeStrange(),
		"two":   compared(t, by("Anna", "one", 1), by("Bo", "two", 1.2, 1.4, 0.7)),
		"one":   compared(t, by("Anna", hostile, 1)),
	} {
		t.Run(name, func(t *testing.T) {
			body := testersBody(t, c)
			page, err := html.Parse(strings.NewReader(framed(body)))
			if err != nil {
				t.Fatal(err)
			}
			main := find(page, "main")[0]
			checkBalanced(t, body)
			checkHeadings(t, page)
			checkTables(t, main)
			checkNothingInline(t, main)
			checkReferences(t, find(page, "body")[0])
			for _, word := range []string{"NaN", "Inf", "%!", "<nil>"} {
				if strings.Contains(textOf(main), word) {
					t.Errorf("the fragment says %q", word)
				}
			}
		})
	}
}

// The whole page with and without testers has every id once, and its links lead
// somewhere.
func TestReportWithTesters(t *testing.T) {
	v, r := sample()
	body := written(t, func(w io.Writer) error { return HTML(w, v, r, Options{Repeat: threeStrange()}) })
	page, err := html.Parse(strings.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	checkHeadings(t, page)
	checkReferences(t, find(page, "body")[0])
	if !strings.Contains(body, `href="#testers"`) || !strings.Contains(body, `id="testers"`) {
		t.Error("the report does not lead to the testers")
	}
	if alone := written(t, func(w io.Writer) error { return HTML(w, v, r, Options{}) }); strings.Contains(alone, "#testers") {
		t.Error("a report of one tester leads to testers")
	}
}

func TestRepeatJSON(t *testing.T) {
	v, r := sample()
	var b bytes.Buffer
	if err := RepeatJSON(&b, v, r, threeTesters()); err != nil {
		t.Fatal(err)
	}
	var read struct {
		Verdict struct{ Title string }
		Testers struct {
			Class, Sentence string
			Testers         []struct {
				Name  string
				Burns []string
			}
			Axes []struct {
				Entries []struct {
					Means []struct{ H, K *float64 }
				}
			}
		}
	}
	if err := json.Unmarshal(b.Bytes(), &read); err != nil {
		t.Fatal(err)
	}
	if x := read.Testers; x.Class != string(threeTesters().Class) || len(x.Testers) != 3 || len(x.Testers[0].Burns) != 18 || x.Axes[0].Entries[0].Means[0].H == nil {
		t.Errorf("%+v", x)
	}
	var plain, same bytes.Buffer
	if err := JSON(&plain, v, r); err != nil {
		t.Fatal(err)
	}
	if err := RepeatJSON(&same, v, r, nil); err != nil || plain.String() != same.String() || strings.Contains(plain.String(), `"testers"`) {
		t.Error("a verdict without testers is written otherwise than before", err)
	}
}

func TestRepeatCharts(t *testing.T) {
	for _, at := range []Layout{{Width: phoneWidth}, {Width: deskWidth}, {Width: deskWidth, Alone: true}} {
		all, err := RepeatCharts(threeTesters(), quantity.Metric, at)
		if err != nil {
			t.Fatal(err)
		}
		var ids []string
		for _, c := range all {
			ids = append(ids, c.ID)
			if c.Scene.Width > at.Width {
				t.Errorf("%s is %g wide, expected %g", c.ID, c.Scene.Width, at.Width)
			}
		}
		if got := fmt.Sprint(ids); got != "[testers-t_ref_s testers-f_ref_g over-t_ref_s]" {
			t.Errorf("charts %s", got)
		}
	}
}
