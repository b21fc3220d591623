package draw

import (
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"
)

func TestMissing(t *testing.T) {
	s := Scene{Nodes: []Node{
		Text{Text: "Ø 6.5 mm ± 0.1, η ≥ 30 %, √2, 20 °C, m², ←→…—−"},
		Group{Nodes: []Node{Target{Nodes: []Node{Text{Text: "⌀ ∅ 火 火", Bold: true}}}}},
	}}
	if got := string(s.Missing()); got != "⌀∅火" {
		t.Errorf("missing %q, expected ⌀∅火", got)
	}
	if got := boxed(Text{Text: "a火\nb\xff"}); strings.ContainsAny(got, "火\n") || !utf8.ValidString(got) || !strings.ContainsRune(got, box) {
		t.Errorf("set as %q, expected a box for what the font lacks", got)
	}
	if s := (Scene{Nodes: []Node{Text{Text: string(box)}}}); len(s.Missing()) > 0 {
		t.Error("the font lacks the box itself")
	}
}

func TestTabularFigures(t *testing.T) {
	for _, bold := range []bool{false, true} {
		for d := '1'; d <= '9'; d++ {
			if TextWidth(string(d), 16, bold) != TextWidth("0", 16, bold) {
				t.Errorf("figure %c has not the width of 0", d)
			}
		}
	}
}

func TestFit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.String().Draw(t, "text")
		width := rapid.Float64Range(0, 400).Draw(t, "width")
		got, cut := Fit(text, width, 13, false)
		if !cut && got != text {
			t.Fatalf("%q became %q and was not called cut", text, got)
		}
		if cut && got != "…" && Room(got, 13, false) > width {
			t.Fatalf("%q takes %g, more than %g", got, Room(got, 13, false), width)
		}
		if cut && !strings.HasPrefix(text, strings.TrimSuffix(got, "…")) && strings.ToValidUTF8(text, "") == text {
			t.Fatalf("%q is no beginning of %q", got, text)
		}
	})
	if got, _ := Fit("e\u0301e\u0301e\u0301e\u0301", 40, 13, false); strings.HasSuffix(strings.TrimSuffix(got, "…"), "e") {
		t.Errorf("%q lost an accent", got)
	}
	at := Room("Burner", 13, false)
	if _, cut := Fit("Burner", at, 13, false); cut {
		t.Error("a text was cut though it has its room")
	}
	if _, cut := Fit("Burner", math.Nextafter(at, 0), 13, false); !cut {
		t.Error("a text was not cut though it lacks room")
	}
}
