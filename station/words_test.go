package station

import (
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"fairburn/burn"
)

func TestEveryMarkAndFaultIsAMoment(t *testing.T) {
	var marks []burn.Mark
	var faults []burn.FaultKind
	unseen := 0
	for _, m := range Moments() {
		switch {
		case m.Mark != "" && m.Fault == "" && !m.Unseen:
			marks = append(marks, m.Mark)
		case m.Fault != "" && m.Mark == "" && !m.Unseen:
			faults = append(faults, m.Fault)
		case m.Unseen && m.Mark == "" && m.Fault == "":
			unseen++
		default:
			t.Errorf("%q is not one thing: %+v", m.Label, m)
		}
		if m.AfterTest != (m.Mark == burn.Out) {
			t.Errorf("%q: offered after the snuffer test only is %v", m.Label, m.AfterTest)
		}
	}
	if !slices.Equal(marks, burn.Marks()) || unseen != 1 {
		t.Errorf("marks are %v, and %d times unseen", marks, unseen)
	}
	kinds := burn.FaultKinds()
	slices.Sort(kinds)
	slices.Sort(faults)
	if !slices.Equal(faults, kinds) {
		t.Errorf("faults are %v, expected %v", faults, kinds)
	}
}

func TestMomentsAreToldApart(t *testing.T) {
	keys, names, labels := map[string]bool{"u": true}, map[string]bool{}, map[string]bool{}
	for _, m := range Moments() {
		if len(m.Key) != 1 || !strings.Contains("abcdefghijklmnopqrstuvwxyz0123456789", m.Key) {
			t.Errorf("%q has the key %q, expected one letter or digit", m.Label, m.Key)
		}
		if keys[m.Key] || names[m.Name()] || labels[m.Label] {
			t.Errorf("%q, key %q, name %q: taken already", m.Label, m.Key, m.Name())
		}
		keys[m.Key], names[m.Name()], labels[m.Label] = true, true, true
		if n := len(strings.Fields(m.Label)); n < 1 || n > 2 {
			t.Errorf("label %q has %d words, expected one or two", m.Label, n)
		}
		if m.Means == "" || strings.Contains(m.Means, "\n") || len(m.Means) > 100 {
			t.Errorf("%q: %q is not one line", m.Label, m.Means)
		}
	}
	if !names["unseen"] || !names["spill"] || !names["pot_on"] {
		t.Errorf("names are %v", names)
	}
}

// said is everything this package says, but for the label of the one fault that
// names fuel added.
func said() []string {
	var all []string
	for _, m := range Moments() {
		if m.Fault != burn.Refilled {
			all = append(all, m.Label)
		}
		all = append(all, m.Means)
	}
	for _, k := range Ticks(6) {
		all = append(all, k.Words)
	}
	for _, a := range asks {
		all = append(all, a.Words, a.Why)
	}
	for _, s := range []Stage{SettingUp, Ready, Burning, Unseen, Ended} {
		all = append(all, string(s))
	}
	return append(all, SnufferTest()...)
}

// Nothing invites fuel into a burner, and nothing says that something is fit,
// lawful or harmless.
func TestWords(t *testing.T) {
	never := regexp.MustCompile(`(?i)\b(add|adding|pour|top up|refuel|refill|more fuel|fill|feed|squirt|` +
		`safe|safely|safety|unsafe|legal|legally|lawful|permitted|allowed|compliant|complies|compliance|certified|approved|` +
		`guarantee\w*|harmless|secure|ensures?)\b`)
	for _, s := range said() {
		if w := never.FindString(s); w != "" {
			t.Errorf("%q says %q", s, w)
		}
		if first, _ := utf8.DecodeRuneInString(s); !unicode.IsLower(first) || strings.HasSuffix(s, ".") {
			t.Errorf("%q: expected lower case and no full stop", s)
		}
	}
}

func TestTicks(t *testing.T) {
	one, three := Ticks(1), Ticks(3)
	if len(three) != len(one)+2 || !slices.Equal(three[:len(one)], one) {
		t.Errorf("with three stations: %v", three)
	}
	if got := three[len(one)].Words; got != "a pot and a scale for each of the 3 stations" {
		t.Errorf("with three stations: %q", got)
	}
	seen := map[string]bool{}
	for _, k := range three {
		if k.Key == "" || seen[k.Key] {
			t.Errorf("key %q is missing or there twice", k.Key)
		}
		seen[k.Key] = true
	}
	// The usual cautions (common practice, no source).
	for _, caution := range []string{"bottle closed", "moved away", "level", "cleared", "snuffer within reach", "tent", "water", "sleeves", "hair", "children", "local rules", "maker's instructions"} {
		if !slices.ContainsFunc(one, func(k Tick) bool { return strings.Contains(k.Words, caution) }) {
			t.Errorf("no tick names %q", caution)
		}
	}
}

func TestSnufferTestLooksTwiceAndKeepsTheHandAway(t *testing.T) {
	steps := strings.Join(SnufferTest(), "\n")
	for _, what := range []string{"touch nothing", "long tool", "from the side again", "no flame either time: mark out", "bottle stays closed"} {
		if !strings.Contains(steps, what) {
			t.Errorf("no step says %q", what)
		}
	}
	if strings.Index(steps, "mark out") < strings.LastIndex(steps, "look") {
		t.Error("out is marked before the last look")
	}
}
