// Package trial holds a question, what is compared, and the burns that answer
// it, and reduces every burn against its entry's gear.
//
// It compares nothing: plan says what to burn, verdict says what it meant.
// Read trial.go, check.go (what is unfair or missing), reduced.go.
package trial

import (
	"cmp"
	"slices"
	"sort"
	"strconv"
	"time"

	"fairburn/burn"
	"fairburn/gear"
	"fairburn/quantity"
	"fairburn/reduce"
)

// Trial is one question with its entries and burns.
type Trial struct {
	Title    string
	Question string
	Notes    string
	Repeats  string // title of the trial that this one repeats; "" for none
	Invented bool   // the data are a made-up example and every face says so
	Settings Settings
	Site     burn.Site
	Shelf    gear.Shelf
	Entries  []Entry
	Plan     Plan
	Burns    []burn.Record
	Said     *quantity.System // units in which something is said of it, where not those of its settings; never kept
}

// Entry is what is compared: the whole system, not the burner alone. Each
// field but Name and Notes names a thing on the shelf; "" is none.
type Entry struct {
	Name   string
	Burner string
	Pot    string
	Lid    string
	Screen string
	Stand  string
	Fuel   string
	Notes  string
}

// In returns the trial with everything that is said of it in other units; how
// its own texts are read stays as it is.
func (t *Trial) In(sys quantity.System) *Trial {
	other := *t
	other.Said = &sys
	return &other
}

// Units are those in which something is said of the trial.
func (t *Trial) Units() quantity.System {
	if t.Said != nil {
		return *t.Said
	}
	return t.Settings.System
}

// JudgeBy is the one axis that carries the error rate of the verdict.
type JudgeBy string

// The axes.
const (
	Fastest   JudgeBy = "fastest"         // time to boil from light
	LeastFuel JudgeBy = "least fuel"      // energy to boil
	Surest    JudgeBy = "surest boil"     // share of burns that boiled
	Lightest  JudgeBy = "lightest system" // mass of the whole entry
)

// JudgeBys lists the axes.
func JudgeBys() []JudgeBy { return []JudgeBy{Fastest, LeastFuel, Surest, Lightest} }

// Settings decide how the trial is read. Every default is common practice, no source.
type Settings struct {
	JudgeBy    JudgeBy
	Margin     quantity.Ratio // a difference smaller than this is not worth having
	Cap        time.Duration  // the longest anyone would wait: a burn that did not boil counts as this
	Level      quantity.Ratio // confidence of the verdict
	Power      quantity.Ratio // wanted chance to see a difference of the margin's size
	DoseShare  quantity.Ratio // least dose: share of burns that must boil
	Seed       uint64         // of everything random
	System     quantity.System
	Reference  reduce.Reference
	NominalSet bool // the sheet names the reference water; else it is the trial's own nominal
	Rules      reduce.Rules
}

// DefaultSettings returns what a sheet starts from.
func DefaultSettings() Settings {
	return Settings{
		JudgeBy: Fastest, Margin: 0.05, Cap: 15 * time.Minute, Level: 0.95, Power: 0.8, DoseShare: 0.9,
		Seed: 1, Reference: reduce.DefaultReference(), Rules: reduce.DefaultRules(),
	}
}

// Plan is how the burns were laid out before the first was lit.
type Plan struct {
	Seed     uint64        `json:"seed"`
	CoolDown time.Duration `json:"cool_down_s"`
	Factor   Factor        `json:"factor"`
	Slots    []Slot        `json:"slots"`
}

// Factor is one more thing varied on purpose and crossed with the entries,
// such as wind, cold or dose. No name: none.
type Factor struct {
	Name   string   `json:"name"`
	Levels []string `json:"levels"`
}

// Slot is one burn to be made.
type Slot struct {
	Order int    `json:"order"` // from 1
	Block string `json:"block"`
	Entry string `json:"entry"`
	Level string `json:"level,omitempty"` // of the factor
	Snuff bool   `json:"snuff"`           // put it out at the boil and weigh, instead of running to flame-out
}

// Burner returns the entry's burner, and false when it is not on the shelf.
func (t *Trial) Burner(e Entry) (gear.Burner, bool) { return gear.Find(t.Shelf.Burners, e.Burner) }

// Entry returns the entry of that name.
func (t *Trial) Entry(name string) (Entry, bool) {
	i := slices.IndexFunc(t.Entries, func(e Entry) bool { return e.Name == name })
	if i < 0 {
		return Entry{}, false
	}
	return t.Entries[i], true
}

// SortBurns puts the burns in the order of their ids, numbers by size, so that
// nothing random depends on the order in a file.
func (t *Trial) SortBurns() {
	sort.SliceStable(t.Burns, func(i, j int) bool { return CompareIDs(t.Burns[i].ID, t.Burns[j].ID) < 0 })
}

// CompareIDs orders burn ids: "2" before "10", numbers before words.
func CompareIDs(a, b string) int {
	x, errX := strconv.Atoi(a)
	y, errY := strconv.Atoi(b)
	switch {
	case errX == nil && errY == nil:
		return cmp.Or(cmp.Compare(x, y), cmp.Compare(a, b)) // "01" is not "1"
	case errX == nil:
		return -1
	case errY == nil:
		return 1
	}
	return cmp.Compare(a, b)
}
