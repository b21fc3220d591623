// Package repeat says whether what one tester found holds for others who built
// the burners anew and burned the same trial.
//
// The testers are the sample: two dozen burns of one pair of hands are one
// tester. Each tester's burns are judged alone, on the terms of the trial that
// is repeated (reference boil, margin, level), and whose burns are whose is
// always shown. Entries are matched by name and compared as built; what differs
// clearly is said and never merged in silence.
//
// It refuses to average what testers disagree about, to speak of testers in
// general from one, and to compare figures as measured: benches differ in
// pressure, water and air, so only figures at reference conditions are set side
// by side. With two or three testers everything between testers is indicative.
//
// Read repeat.go (what it says), part.go (whose burns are whose), built.go (what
// was built), compare.go (the path), spread.go (one entry over testers), pair.go
// (two entries over testers), conclude.go (what may be said in words).
package repeat

import (
	"fairburn/finding"
	"fairburn/reduce"
	"fairburn/trial"
	"fairburn/verdict"
)

// Class is what a comparison over testers amounts to.
type Class string

// The classes.
const (
	ForEvery   Class = "holds for every tester" // each alone shows it
	Across     Class = "holds across testers"   // their mean shows it, with the testers as the unit
	Depends    Class = "depends on the tester"
	NotSettled Class = "not settled across testers"
	TooFew     Class = "too few testers"
)

// Comparison is what several testers' burns of one trial say together.
type Comparison struct {
	Title    string        `json:"title"` // of the trial that is repeated
	Invented bool          `json:"invented,omitempty"`
	JudgeBy  trial.JudgeBy `json:"judge_by"`
	Level    float64       `json:"level"`
	Margin   float64       `json:"margin"` // as a share
	// Class and Sentence are the answer; Because what stands behind it.
	Class    Class    `json:"class"`
	Sentence string   `json:"sentence"`
	Because  []string `json:"because,omitempty"`

	Testers []Tester `json:"testers"` // the one whose trial is repeated first
	Entries []Entry  `json:"entries"` // that at least two testers burned
	Alone   []Alone  `json:"alone,omitempty"`
	Axes    []Axis   `json:"axes"` // the one that judges first

	Findings []finding.Finding `json:"findings,omitempty"`
}

// Indicative reports whether there are too few testers to say how much testers
// differ: two or three.
func (c *Comparison) Indicative() bool { return len(c.Testers) < fewTesters }

// fewTesters is the number of testers from which their spread is stated with an
// interval (common practice, no source).
const fewTesters = 4

// Tester is one tester's part.
type Tester struct {
	Name     string        `json:"name"`
	Named    bool          `json:"named"` // false: nobody wrote the name down
	Title    string        `json:"title"` // of the trial that the burns are from
	Burns    []string      `json:"burns"` // ids of those that count
	Void     []string      `json:"void,omitempty"`
	Class    verdict.Class `json:"class"` // of the tester's own verdict
	Sentence string        `json:"sentence"`
	Best     []string      `json:"could_be_best"` // on the axis that judges
	// Cautions counts the cautions and faults that stand beside the tester's own
	// verdict.
	Cautions int `json:"cautions"`
}

// Entry is one entry that at least two testers burned.
type Entry struct {
	Name    string   `json:"name"`
	Marker  int      `json:"marker"`
	Testers []string `json:"testers"`
	// Built lists in what figures a tester's is clearly another thing than the
	// first one's; Unstated what cannot be compared, since one did not write it.
	Built    []Difference `json:"built_differently,omitempty"`
	Unstated []string     `json:"not_stated,omitempty"`
	Boils    []Boils      `json:"boils"` // by tester
}

// Difference is one figure in which two testers' things of one name differ.
type Difference struct {
	Tester string `json:"tester"`
	Figure string `json:"figure"` // such as "jets" or "mass of the pot"
	Has    string `json:"has"`
	First  string `json:"first"` // whose thing it is compared with
	Had    string `json:"first_has"`
}

// Boils is how often one tester's burns of an entry boiled.
type Boils struct {
	Tester string `json:"tester"`
	Tried  int    `json:"tried"` // burns that count and were not stopped or faulty
	Boils  int    `json:"boils"`
}

// Alone is an entry that one tester alone burned.
type Alone struct {
	Entry  string `json:"entry"`
	Tester string `json:"tester"`
}

// Axis is one metric compared over testers. Values are SI.
type Axis struct {
	Metric  reduce.Metric `json:"-"`
	Key     string        `json:"key"`
	Name    string        `json:"name"`
	Judges  bool          `json:"judges"`
	Entries []Spread      `json:"entries"`
	Pairs   []Pair        `json:"pairs"`
	Notes   []string      `json:"notes,omitempty"`
}

// Spread is one entry over testers.
type Spread struct {
	Entry     string     `json:"entry"`
	Marker    int        `json:"marker"`
	Means     []Mean     `json:"means"` // one a tester who burned it
	Apart     []Apart    `json:"apart"` // every two testers whose means can be compared
	Precision *Precision `json:"precision"`
	Why       string     `json:"why,omitempty"` // there is no precision
}

// Mean is what one tester's burns of an entry come to.
type Mean struct {
	Tester string          `json:"tester"`
	Points []verdict.Point `json:"points"`
	N      int             `json:"n"`       // values that enter
	NoBoil int             `json:"no_boil"` // burns that count and did not boil
	Center float64         `json:"center"`  // geometric mean; 0 without values
	Lo     float64         `json:"lo"`      // 0 and 0 where there is no interval
	Hi     float64         `json:"hi"`
	// H and K are Mandel's: the tester's mean against the others', and the
	// tester's scatter against that of all. Past says which limit each is past:
	// "5 %", "1 %" or "".
	H     float64 `json:"h"` // NaN where there is none
	K     float64 `json:"k"`
	HPast string  `json:"h_past,omitempty"`
	KPast string  `json:"k_past,omitempty"`

	shared float64 // relative uncertainty that the tester's values have in common
}

// Apart compares the means of two testers for one entry. Ratio is A's over B's.
type Apart struct {
	A     string  `json:"a"`
	B     string  `json:"b"`
	Ratio float64 `json:"ratio"`
	Lo    float64 `json:"lo"` // 0 and 0 where there is no interval
	Hi    float64 `json:"hi"`
	Says  string  `json:"says"` // one of the Says…
}

// What two testers' means say of each other.
const (
	SaysDiffer = "differ"
	SaysAgree  = "agree within the margin"
	SaysOpen   = "not settled"
	SaysTooFew = "too few burns to say"
)

// Precision is repeatability and reproducibility of one entry's figure by ISO
// 5725-2, on the log scale, as shares.
type Precision struct {
	Testers int     `json:"testers"`
	Within  float64 `json:"within"`  // s_r, of one burn of one tester
	Between float64 `json:"between"` // s_L, between testers
	Total   float64 `json:"total"`   // s_R, of one burn of any tester
	// Repeatability is r: two burns of one tester differ by more in about 5 % of
	// cases; Reproducibility is R, the same of single burns of two testers. Each
	// is a share of the smaller.
	Repeatability     float64 `json:"repeatability_limit"`
	RepeatabilityLo   float64 `json:"repeatability_limit_lo"`
	RepeatabilityHi   float64 `json:"repeatability_limit_hi"`
	Reproducibility   float64 `json:"reproducibility_limit"`
	ReproducibilityLo float64 `json:"reproducibility_limit_lo,omitempty"` // 0 and 0 where Indicative
	ReproducibilityHi float64 `json:"reproducibility_limit_hi,omitempty"`
	Indicative        bool    `json:"indicative,omitempty"` // of two or three testers
	Clamped           bool    `json:"clamped,omitempty"`    // testers differ by no more than their scatter explains, so s_L is 0 and R is r
	// Critical is the critical difference of the means of CriticalN burns each of
	// one of these testers and a further one.
	Critical  float64 `json:"critical_difference"`
	CriticalN int     `json:"critical_difference_n"`
	// Cochran is C, the share of the largest variance in all; CochranPast says
	// past which limit it is, for the tester Widest.
	Cochran     float64 `json:"cochran"`
	CochranPast string  `json:"cochran_past,omitempty"`
	Widest      string  `json:"widest"`
	// HLimit and KLimit are the limits of h and k at 5 and at 1 %; 0 where there is
	// none: h needs four testers, one k for all needs equally many burns.
	HLimit [2]float64 `json:"h_limits"`
	KLimit [2]float64 `json:"k_limits"`
}

// Pair is two entries over testers: A against B. Below 1 A does better.
type Pair struct {
	A     string `json:"a"`
	B     string `json:"b"`
	Sides []Side `json:"testers"`
	// Ratio is the mean over testers of A over B, with its interval for all pairs
	// at once and the testers as the unit; 0 where fewer than two have an estimate.
	Ratio float64 `json:"ratio"`
	Lo    float64 `json:"lo"`
	Hi    float64 `json:"hi"`
	Among int     `json:"among"` // testers in the mean
	// Between is τ as a share: by how much testers would differ without scatter.
	Between  float64 `json:"between"`
	Class    Class   `json:"class"`
	Better   string  `json:"better,omitempty"` // the entry that does better, where the class is ForEvery or Across; "" there: equal in practice
	Sentence string  `json:"sentence"`
}

// Side is what one tester alone found of a pair.
type Side struct {
	Tester    string        `json:"tester"`
	Ratio     float64       `json:"ratio"`
	Lo        float64       `json:"lo"`
	Hi        float64       `json:"hi"`
	Class     verdict.Class `json:"class"`
	Ahead     string        `json:"ahead,omitempty"` // the entry that did better, decided or not
	Ranked    bool          `json:"ranked,omitempty"`
	DependsOn []string      `json:"depends_on,omitempty"`

	se, df float64
}
