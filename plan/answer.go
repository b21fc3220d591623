package plan

import (
	"fmt"
	"math"

	"fairburn/quantity"
	"fairburn/stats"
	"fairburn/trial"
)

// Answer is one question and what the planned burns can say to it.
type Answer struct {
	About    string `json:"about"` // "time to boil", "fuel to boil", "burn time", "boils or not", "least dose"
	Burns    int    `json:"burns"` // of each entry, at each level, that count for it
	Answered bool   `json:"answered"`
	Sentence string `json:"sentence"`
}

// fewestForDose is the number of burns under which nothing is said of the
// least dose: the tolerance limit it rests on is too far out.
const fewestForDose = 5

// answers says what each question gets. Every burn times the boil; only a
// snuffed one weighs the fuel up to it.
func (c comparison) answers(t *trial.Trial, w Wish, n Needed) ([]Answer, error) {
	all := w.Blocks + w.Snuffed
	found, err := c.finds(all, n)
	if err != nil {
		return nil, err
	}
	as := []Answer{{"time to boil", all, all >= fewest, found}}
	fuel, err := c.fuel(w.Snuffed, n, t.Settings.Rules.Proration)
	if err != nil {
		return nil, err
	}
	as = append(as, fuel)
	lasts := Answer{"burn time", w.Blocks, w.Blocks >= fewest, fmt.Sprintf("%s to flame-out: how long the dose burns, and whether the flame outlasts the boil", burns(w.Blocks))}
	if w.Blocks == 0 {
		lasts.Sentence = "no burn runs to flame-out, so nothing says how long the dose burns"
	}
	sure, err := boils(all, t.Settings.Level)
	if err != nil {
		return nil, err
	}
	return append(as, lasts, sure, leastDose(w.Snuffed)), nil
}

// burns counts burns of each entry in words.
func burns(n int) string { return counted(n, "burn") + " of each entry" }

func counted(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

// finds says which difference n burns show.
func (c comparison) finds(n int, need Needed) (string, error) {
	if n < fewest {
		return fmt.Sprintf("%s: too few for any verdict, which needs %d", burns(n), fewest), nil
	}
	low, err := c.shown(n, logSD(float64(need.Low)))
	if err != nil {
		return "", err
	}
	high, err := c.shown(n, logSD(float64(need.High)))
	if err != nil {
		return "", err
	}
	allowing := ""
	switch {
	case c.entries == 1:
		allowing = " from a figure that stands"
	case c.entries > 2:
		allowing = fmt.Sprintf(", allowing for all %d pairs", c.pairs())
	}
	return fmt.Sprintf("%s will show a difference of %s in %s trials%s, where burns of one entry scatter by %s",
		burns(n), upTo(low, high), chance(c.power), allowing, need.scatter()), nil
}

// upTo prints a range of differences in whole per cent, rounded up so as not to
// promise more than the burns keep.
func upTo(low, high quantity.Ratio) string {
	l, h := math.Ceil(100*float64(low)), math.Ceil(100*float64(high))
	if l == h {
		return fmt.Sprintf("%.0f %%", l)
	}
	return fmt.Sprintf("%.0f to %.0f %%", l, h)
}

// chance prints a probability as a count, rounded down: "8 of 10".
func chance(p float64) string {
	const slack = 1e-9 // 0.8 is not quite 80/100
	hundredths := math.Floor(100*p + slack)
	if math.Mod(hundredths, 10) == 0 {
		return fmt.Sprintf("%.0f of 10", hundredths/10)
	}
	return fmt.Sprintf("%.0f of 100", hundredths)
}

func (c comparison) fuel(snuffed int, need Needed, proration quantity.Ratio) (Answer, error) {
	a := Answer{About: "fuel to boil", Burns: snuffed, Answered: snuffed >= fewest}
	if snuffed == 0 {
		a.Sentence = fmt.Sprintf("fuel to boil is not measured: prorated from the total it carries one error of up to %s for each entry, "+
			"which neither shrinks with more burns nor cancels in a difference; snuff burns at the boil and weigh them, or burn on a scale", percent(proration))
		return a, nil
	}
	found, err := c.finds(snuffed, need)
	a.Sentence = found + "; only burns snuffed at the boil and weighed count"
	return a, err
}

func boils(n int, level quantity.Ratio) (Answer, error) {
	a := Answer{About: "boils or not", Burns: n, Answered: n >= fewest}
	iv, err := stats.Proportion{S: n, N: n}.Jeffreys(float64(level))
	a.Sentence = fmt.Sprintf("if %d of %d boil, an entry may still fail to boil as often as %s burns (%s interval)", n, n, chance(1-iv.Lo), percent(level))
	return a, err
}

func leastDose(snuffed int) Answer {
	a := Answer{About: "least dose", Burns: snuffed, Answered: snuffed >= fewestForDose}
	a.Sentence = fmt.Sprintf("%s, snuffed at the boil and weighed: enough to say which dose boils", burns(snuffed))
	if !a.Answered {
		a.Sentence = fmt.Sprintf("the dose that boils needs %s, snuffed at the boil and weighed; %d planned", burns(fewestForDose), snuffed)
	}
	return a
}
