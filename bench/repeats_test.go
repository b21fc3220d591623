package bench

import (
	"fmt"
	"slices"
	"testing"

	"fairburn/journal/journaltest"
)

func titled(title, repeats string) string {
	return fmt.Sprintf("fairburn = 1\ntitle = %q\nrepeats = %q\n[[entry]]\nname = \"A\"\n[[burn]]\nid = 1\nentry = \"A\"\nboil = \"6:00\"\n", title, repeats)
}

func TestRepeatedTrialsAreFound(t *testing.T) {
	b := open(t, journaltest.NewMemory(), tester(1, "Fern"))
	for title, repeats := range map[string]string{
		"original": "", "second": "original", "third": " original ", "of the second": "second", "alone": "", "of a stranger": "not here",
		"another of a stranger": "not here", "one way": "round", "round": "one way", "itself": "itself",
	} {
		take(t, b, titled(title, repeats), Refuse)
	}
	for title, want := range map[string][]string{
		"original":              {"original", "of the second", "second", "third"},
		"third":                 {"original", "third", "of the second", "second"},
		"of the second":         {"original", "of the second", "second", "third"},
		"alone":                 {"alone"},
		"of a stranger":         {"of a stranger", "another of a stranger"},
		"another of a stranger": {"another of a stranger", "of a stranger"},
		"one way":               {"one way", "round"},
		"round":                 {"one way", "round"},
		"itself":                {"itself"},
		"nowhere":               {"nowhere"},
	} {
		if got := b.Repeated(title); !slices.Equal(got, want) {
			t.Errorf("%s: %q, want %q", title, got, want)
		}
	}
}

func TestWhoSignedABurnIsKnown(t *testing.T) {
	_, rowan := two(t)
	take(t, rowan, ring+"[[burn]]\nid = 3\nentry = \"Heron\"\nboil = \"6:50\"\n", Refuse)
	if got := fmt.Sprint(rowan.Signed("Ring")); got != "map[1:Fern 2:Fern 3:Rowan]" {
		t.Error(got)
	}
	nobody := tester(3, "tester")
	b := open(t, journaltest.NewMemory(), nobody)
	take(t, b, ring, Refuse)
	if got, want := b.Signed("Ring")["1"], fmt.Sprintf("tester %.8v", nobody.Key.Author()); got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if got := b.Signed("gone"); len(got) > 0 {
		t.Error(got)
	}
}
