// Package verdict says what a trial showed: which entry is better, how sure
// that is, what it does not say, and what would settle the rest.
//
// It follows one path. The estimand comes first: a burn that does not boil is
// an outcome and is never dropped. Times and fuel are compared as ratios on
// the log scale, all pairs at once; blocks are used when the trial has them. A
// method that assumes less is run beside the main one, every verdict is
// computed with and without burns that look suspect, and "too few burns" and
// "not settled" are verdicts.
//
// Read verdict.go (what it says), judge.go (the path), sample.go (what a burn
// counts as), axis.go, pairs.go and best.go (one metric compared), depend.go and
// check.go (what the answer hangs on), boil.go (burns that may not boil), dose.go
// (the least dose), entries.go (each entry by itself), sentence.go (what may be
// said in words).
package verdict

import (
	"fairburn/finding"
	"fairburn/reduce"
	"fairburn/trial"
)

// Class is what a comparison of two entries amounts to.
type Class string

// The classes.
const (
	WorthHaving     Class = "different and worth having" // the interval excludes the margin
	Different       Class = "different"                  // the interval excludes no difference
	EqualInPractice Class = "equal in practice"          // the interval lies inside the margin
	NotSettled      Class = "not settled"
	TooFew          Class = "too few burns"
)

// Decided reports whether the class settles the pair.
func (c Class) Decided() bool { return c == WorthHaving || c == Different || c == EqualInPractice }

// Verdict is what a trial says.
type Verdict struct {
	Title    string        `json:"title"`
	Question string        `json:"question,omitempty"`
	Invented bool          `json:"invented,omitempty"`
	JudgeBy  trial.JudgeBy `json:"judge_by"`
	// Sentence is the answer in one plain sentence; Because what stands behind
	// it, and Next what would settle what is open.
	Sentence string   `json:"sentence"`
	Class    Class    `json:"class"`
	Because  []string `json:"because,omitempty"`
	Next     []string `json:"next,omitempty"`
	// NotTested lists what the verdict says nothing about.
	NotTested []string `json:"not_tested"`

	Entries []Entry `json:"entries"` // in the order of the trial
	Axes    []Axis  `json:"axes"`    // speed and fuel, the one that judges first
	Boils   []Boils `json:"boils,omitempty"`
	Level   float64 `json:"level"`
	Margin  float64 `json:"margin"` // as a share
	Seed    uint64  `json:"seed"`

	Findings []finding.Finding `json:"findings,omitempty"`
}

// Axis is one metric compared over all entries. Values are SI.
type Axis struct {
	Metric  reduce.Metric `json:"-"`
	Key     string        `json:"key"`
	Name    string        `json:"name"`
	Judges  bool          `json:"judges"` // it carries the error rate of the verdict
	Raw     bool          `json:"raw"`    // compared as measured: the correction was not to be had
	Groups  []Group       `json:"groups"`
	Pairs   []Pair        `json:"pairs"`
	Method  string        `json:"method"` // of the intervals
	Why     string        `json:"why"`    // why this method
	Blocked bool          `json:"blocked"`
	// CouldBeBest lists the entries that cannot be ruled out as best; one
	// member is the best at the level of the verdict.
	CouldBeBest []string `json:"could_be_best"`
	// AsGood lists the entries that lie within the margin of the best for sure,
	// whichever that is.
	AsGood []string `json:"as_good,omitempty"`
	// Notes say what stands beside the axis: burns left out and why.
	Notes []string `json:"notes,omitempty"`
}

// Group is one entry's values on an axis.
type Group struct {
	Entry  string  `json:"entry"`
	Marker int     `json:"marker"`
	Points []Point `json:"points"`
	N      int     `json:"n"`       // values that enter the figures
	NoBoil int     `json:"no_boil"` // burns that count and did not boil
	// Center is the geometric mean; Lo and Hi its interval as an absolute
	// statement, scatter and shared inputs together. 0 when there is none, as
	// for one value or values that all read alike.
	Center float64 `json:"center"`
	Lo     float64 `json:"lo"`
	Hi     float64 `json:"hi"`
	CV     float64 `json:"cv"` // of one burn
	// Shared is the relative standard uncertainty that all values have in common,
	// such as that of a scale; Lo and Hi hold it.
	Shared float64 `json:"-"`
	// NextLo and NextHi bound the next burn (prediction interval).
	NextLo float64 `json:"next_lo"`
	NextHi float64 `json:"next_hi"`
	// BestShare is the probability that the entry's mean is the best (weak prior).
	BestShare float64 `json:"best_share"`
	// Drift is the change a burn with the entry's own burn number, as a share;
	// DriftP its p-value; 0 burns to judge by gives DriftP 1.
	Drift  float64 `json:"drift"`
	DriftP float64 `json:"drift_p"`
}

// Point is one burn on an axis.
type Point struct {
	Burn      string        `json:"burn"`
	Status    reduce.Status `json:"status"`
	Value     float64       `json:"value"` // +Inf for a burn that did not boil, on a time axis
	Estimated bool          `json:"estimated,omitempty"`
	Suspect   bool          `json:"suspect,omitempty"`
}

// Pair is one comparison: A against B. Ratio is A over B, with its
// simultaneous interval; below 1, A is better on every axis here.
type Pair struct {
	A     string  `json:"a"`
	B     string  `json:"b"`
	Ratio float64 `json:"ratio"` // 0 when there is none
	Lo    float64 `json:"lo"`    // 0 and 0 when there is no interval
	Hi    float64 `json:"hi"`
	P     float64 `json:"p"` // adjusted for all pairs
	// SE is the standard error of the log of Ratio and DF its degrees of freedom,
	// for this pair alone; 0 where there is no interval.
	SE, DF float64 `json:"-"`
	Class  Class   `json:"class"`
	// Sentence says the pair in words.
	Sentence string `json:"sentence"`
	// NextWin, NextLose and NextNeither are the probabilities that A does better
	// than B on the next burn, that B does, and that neither boils; they add to
	// 1. NextKnown is false under three values each.
	NextWin     float64 `json:"next_win"`
	NextLose    float64 `json:"next_lose"`
	NextNeither float64 `json:"next_neither,omitempty"`
	NextKnown   bool    `json:"next_known"`
	// Ranked: a burn of the pair did not boil, so the pair is compared by
	// worst ranks; Beats is P(A beats B) + half of P(tie), and Ratio with its
	// interval is that of geometric mean times, such a burn at the cap.
	Ranked bool    `json:"ranked,omitempty"`
	Beats  float64 `json:"beats,omitempty"`
	// DependsOn names what the class turns on, such as "burn 7".
	DependsOn []string `json:"depends_on,omitempty"`
	// MoreThanBurner lists in what else the entries differ.
	MoreThanBurner []string `json:"more_than_burner,omitempty"`
	// Check is what the method that assumes less says.
	Check string `json:"check,omitempty"`
	// MoreFrom and MoreTo bound how many more burns each would show a difference
	// of MoreFor (a share: the margin, or what was seen if larger) with the
	// trial's power; 0 when unknown or not needed. Planned: from the usual
	// scatter, not these burns'.
	MoreFrom int     `json:"more_from,omitempty"`
	MoreTo   int     `json:"more_to,omitempty"`
	MoreFor  float64 `json:"more_for,omitempty"`
	Planned  bool    `json:"more_from_usual_scatter,omitempty"`

	i, j               int    // A and B among the entries of the sample
	why                string // why there is no answer, where burns alone do not bring one
	remedy             string // and what would
	reading, otherwise Class  // the class as it stands and under the first thing it depends on
	worthOn            string // on what it depends that a difference is worth having
}

// Boils is how surely an entry boils on this fuel load.
type Boils struct {
	Entry string `json:"entry"`
	Tried int    `json:"tried"` // burns that count and were not stopped or faulty
	Boils int    `json:"boils"`
	// Share is (s+½)/(n+1), the chance that the next burn boils; Lo and Hi the
	// Jeffreys interval of the boil rate.
	Share float64 `json:"share"`
	Lo    float64 `json:"lo"`
	Hi    float64 `json:"hi"`
	// CappedMean is the mean boil time with a burn that did not boil counting
	// as the cap, s; Median counts such a burn as never (+Inf when half or more).
	CappedMean float64 `json:"capped_mean_s"`
	CappedLo   float64 `json:"capped_lo_s"`
	CappedHi   float64 `json:"capped_hi_s"`
	Median     float64 `json:"median_s"`
	// FuelLasted is the median had the fuel lasted (Kaplan–Meier); it is only
	// given when at least half boiled and Warn says so under four fifths.
	FuelLasted float64 `json:"fuel_lasted_median_s,omitempty"`
	Warn       string  `json:"warn,omitempty"`
}

// Entry is what else is known of an entry, beside the axes.
type Entry struct {
	Name       string         `json:"name"`
	Marker     int            `json:"marker"`
	Fuel       string         `json:"fuel,omitempty"` // the batch it burned
	ShopMade   bool           `json:"shop_made,omitempty"`
	SystemMass float64        `json:"system_mass_kg"` // of the parts weighed
	Unweighed  []string       `json:"unweighed,omitempty"`
	BurnerMass float64        `json:"burner_mass_kg,omitempty"`
	Counts     map[string]int `json:"counts"` // burns by status, void ones under "void"
	Traits     []Trait        `json:"traits,omitempty"`
	Figures    []Mean         `json:"figures"` // means of other metrics over the burns that have them
	LeastDose  LeastDose      `json:"least_dose"`
}

// Mean is one metric averaged over an entry's burns, scatter and shared
// inputs in its interval. SI.
type Mean struct {
	Metric reduce.Metric `json:"-"`
	Key    string        `json:"key"`
	Basis  string        `json:"basis,omitempty"`
	N      int           `json:"n"`
	Value  float64       `json:"value"`
	Lo     float64       `json:"lo"` // 0 and 0 when n is 1 and only the budget speaks
	Hi     float64       `json:"hi"`
	// Largest names the largest cause of uncertainty in the first burn's budget.
	Largest string `json:"largest_cause,omitempty"`
}

// Trait is a claim that no figure shows, with what shows it.
type Trait struct {
	Name    string   `json:"name"`
	Holds   bool     `json:"holds"`
	ShownBy []string `json:"shown_by,omitempty"`
	Note    string   `json:"note,omitempty"`
}

// LeastDose is the dose of the fuel burned that boils the reference water in
// the wanted share of burns. Why says why there is none.
type LeastDose struct {
	Known  bool    `json:"known"`
	Mass   float64 `json:"mass_kg,omitempty"`
	Volume float64 `json:"volume_m3,omitempty"`
	Share  float64 `json:"share"` // of burns that boil on it
	N      int     `json:"n"`
	Why    string  `json:"why,omitempty"`
	Approx bool    `json:"approximate,omitempty"` // some fuel to boil is prorated, or some burns did not boil and entered as needing more
	// Residue is the part of the mass that stays in the burner, by the burns
	// that ran out and were weighed; ResidueUnknown: none was, and it counts as
	// nothing.
	Residue        float64 `json:"residue_kg,omitempty"`
	ResidueUnknown bool    `json:"residue_unknown,omitempty"`
}
