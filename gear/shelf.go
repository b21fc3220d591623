package gear

import (
	"errors"
	"fmt"

	"fairburn/finding"
)

// Shelf is all the gear that a trial names, in the order in which it was listed.
type Shelf struct {
	Burners []Burner
	Pots    []Pot
	Lids    []Lid
	Screens []Screen
	Stands  []Stand
	Batches []FuelBatch
	Tools   Tools
}

// Tools are the instruments on the bench. Pick finds the one that a reading meant.
type Tools struct {
	Scales       []Scale
	Thermometers []Thermometer
	Barometers   []Barometer
	Measures     []Measure
}

// Named is anything on the shelf.
type Named interface{ name() string }

func (b Burner) name() string      { return b.Name }
func (p Pot) name() string         { return p.Name }
func (l Lid) name() string         { return l.Name }
func (s Screen) name() string      { return s.Name }
func (s Stand) name() string       { return s.Name }
func (b FuelBatch) name() string   { return b.Name }
func (s Scale) name() string       { return s.Name }
func (t Thermometer) name() string { return t.Name }
func (b Barometer) name() string   { return b.Name }
func (m Measure) name() string     { return m.Name }

// Find returns the thing of that name, and false when the list has none.
func Find[T Named](list []T, name string) (T, bool) {
	for _, x := range list {
		if x.name() == name {
			return x, true
		}
	}
	var none T
	return none, false
}

// instrument is a tool that may serve one use only.
type instrument interface {
	Named
	use() Use
}

func (s Scale) use() Use       { return s.For }
func (t Thermometer) use() Use { return t.For }
func (m Measure) use() Use     { return m.For }

// Pick returns the instrument that a reading meant: the one it names; if it
// names none, the first kept for that use, else the first kept for everything.
// It is false when there is none.
func Pick[T instrument](list []T, name string, use Use) (T, bool) {
	if name != "" {
		return Find(list, name)
	}
	for _, wanted := range []Use{use, ForAll} {
		for _, x := range list {
			if x.use() == wanted {
				return x, true
			}
		}
	}
	var none T
	return none, false
}

// Check says what is wrong with the shelf alone: names missing or used twice,
// parents that do not exist or run in a circle, fuels whose composition cannot
// be read.
func (s Shelf) Check() []finding.Finding {
	var fs []finding.Finding
	fs = append(fs, doubles("burner", namesOf(s.Burners))...)
	fs = append(fs, doubles("pot", namesOf(s.Pots))...)
	fs = append(fs, doubles("lid", namesOf(s.Lids))...)
	fs = append(fs, doubles("screen", namesOf(s.Screens))...)
	fs = append(fs, doubles("stand", namesOf(s.Stands))...)
	fs = append(fs, doubles("fuel", namesOf(s.Batches))...)
	fs = append(fs, doubles("scale", namesOf(s.Tools.Scales))...)
	fs = append(fs, doubles("thermometer", namesOf(s.Tools.Thermometers))...)
	fs = append(fs, doubles("barometer", namesOf(s.Tools.Barometers))...)
	fs = append(fs, doubles("measure", namesOf(s.Tools.Measures))...)
	for _, b := range s.Burners {
		fs = append(fs, s.checkParent(b)...)
	}
	for _, b := range s.Batches {
		if _, err := b.Blend(); err != nil && !errors.Is(err, ErrNoComposition) {
			fs = append(fs, finding.Finding{
				Code: "fuel_impossible", Severity: finding.Fault, Where: finding.Place{Subject: "fuel " + b.Name},
				Sentence: err.Error(), Remedy: "copy the strength or the components from the label or the safety data sheet",
			})
		}
	}
	return fs
}

func namesOf[T Named](list []T) []string {
	var ns []string
	for _, x := range list {
		ns = append(ns, x.name())
	}
	return ns
}

func doubles(kind string, names []string) []finding.Finding {
	var fs []finding.Finding
	seen := map[string]bool{}
	for i, n := range names {
		switch {
		case n == "":
			fs = append(fs, finding.Finding{
				Code: "name_missing", Severity: finding.Fault, Where: finding.Place{Subject: kind},
				Sentence: fmt.Sprintf("%s number %d has no name", kind, i+1), Remedy: "give it a name of its own",
			})
		case seen[n]:
			fs = append(fs, finding.Finding{
				Code: "name_twice", Severity: finding.Fault, Where: finding.Place{Subject: kind + " " + n},
				Sentence: fmt.Sprintf("two %ss are named %q", kind, n), Remedy: "rename one, and the entries that mean it",
			})
		}
		seen[n] = true
	}
	return fs
}

func (s Shelf) checkParent(b Burner) []finding.Finding {
	where := finding.Place{Subject: "burner " + b.Name, Field: "parent"}
	seen := map[string]bool{}
	for at := b; at.Parent != ""; {
		next, ok := Find(s.Burners, at.Parent)
		if !ok {
			return []finding.Finding{{
				Code: "parent_unknown", Severity: finding.Caution, Where: where,
				Sentence: fmt.Sprintf("parent %q is not on the shelf", at.Parent), Remedy: "list the parent or leave the key out",
			}}
		}
		if next.Name == b.Name {
			return []finding.Finding{{
				Code: "parent_circle", Severity: finding.Fault, Where: where,
				Sentence: fmt.Sprintf("%q descends from itself through %q", b.Name, at.Name), Remedy: "a parent must have been built earlier",
			}}
		}
		if seen[next.Name] {
			return nil // a circle above this burner: those in it are told
		}
		seen[next.Name] = true
		at = next
	}
	return nil
}
