package sheet

import (
	"strings"

	"fairburn/trial"
)

// Fact is one thing known of a thing, in words.
type Fact struct{ Name, Text string }

// Facts lists what is known of the one thing in alone, as typed, in the order of the
// sheet; what belongs together, such as a ring of jets, is one fact. Name and marker
// are left out. The error is that of FormOf.
func Facts(kind string, alone *trial.Trial) ([]Fact, error) {
	values, err := FormOf(kind, alone)
	if err != nil {
		return nil, err
	}
	fields, _ := Fields(kind, values, alone.Settings.System)
	var all []Fact
	for _, f := range fields {
		text := values[f.Name]
		if text == "" || f.Name == "name" || f.Name == "marker" {
			continue
		}
		if f.Kind == Choice {
			text = strings.ReplaceAll(text, "_", " ")
		}
		switch last := len(all) - 1; {
		case f.Group == "":
			all = append(all, Fact{f.Label, text})
		case last >= 0 && all[last].Name == f.Group:
			all[last].Text += joint(f) + text
		default:
			all = append(all, Fact{f.Group, strings.TrimPrefix(joint(f), " · ") + text})
		}
	}
	return all, nil
}

// joint leads to a value from those before it in its group; what says itself what
// it is goes without its key.
func joint(f Field) string {
	switch f.Key {
	case "what", "kind", "material", "note", "tool", "substance":
		return " · "
	case "holds": // of a trait
		return ": "
	}
	return " · " + f.Label + ": "
}
