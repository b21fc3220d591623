package stats

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"
)

// Plan is a comparison of two groups that is still to be made.
type Plan struct {
	Difference  float64 // true difference that ought to be found; its sign does not matter
	SDA, SDB    float64 // standard deviations to be expected in the two groups
	Alpha       float64 // two-sided error rate of all comparisons together
	Comparisons int     // how many are made together (Bonferroni): 1, or k(k-1)/2 for all pairs of k groups
}

func (p Plan) check() error {
	if err := checkProbability("error rate", p.Alpha); err != nil {
		return err
	}
	switch {
	case p.Difference == 0 || !finite(p.Difference):
		return fmt.Errorf("%w: difference %g, expected a number other than 0", ErrOutOfRange, p.Difference)
	case !(p.SDA >= 0 && p.SDB >= 0 && p.SDA+p.SDB > 0) || math.IsInf(p.SDA+p.SDB, 1):
		return fmt.Errorf("%w: standard deviations %g and %g, expected 0 or more and not both 0", ErrOutOfRange, p.SDA, p.SDB)
	case p.Comparisons < 1:
		return fmt.Errorf("%w: %d comparisons, at least 1 needed", ErrOutOfRange, p.Comparisons)
	}
	return nil
}

// Power returns the chance that Welch's test finds the difference with nA and
// nB values. With t_c the two-sided Bonferroni limit on Satterthwaite's ν,
//
//	δ = |Δ|/√(s_A²/n_A + s_B²/n_B),  power = P(t'_ν(δ) > t_c) + P(t'_ν(δ) < -t_c)
//
// with t' noncentral t. For equal standard deviations and equal n this is
// Student's two-sample test exactly; otherwise it takes ν as if it were fixed.
//
// Source: Cohen 1988, Statistical Power Analysis for the Behavioral Sciences,
// ch. 2; Satterthwaite 1946, Biometrics Bulletin 2:110.
func (p Plan) Power(nA, nB int) (float64, error) {
	if err := p.check(); err != nil {
		return 0, err
	}
	if nA < 2 || nB < 2 {
		return 0, fmt.Errorf("%w: %d and %d, at least 2 needed in each group", ErrTooFew, nA, nB)
	}
	return p.power(float64(nA), float64(nB)), nil
}

func (p Plan) power(nA, nB float64) float64 {
	va, vb := p.SDA*p.SDA/nA, p.SDB*p.SDB/nB
	total := va + vb
	nu := 1 / (va/total*va/total/(nA-1) + vb/total*vb/total/(nB-1))
	delta := math.Abs(p.Difference) / math.Sqrt(total)
	limit := upperT(p.Alpha/2/float64(p.Comparisons), nu)
	return noncentralTail(limit, nu, delta) + noncentralTail(limit, nu, -delta)
}

// mostNeeded ends the search for a sample size: nobody makes more by hand.
const mostNeeded = 10000

// Needed returns the smallest number of values in each group, at least 2, whose
// power reaches the wanted one. It fails when more than 10000 would be needed.
func (p Plan) Needed(power float64) (int, error) {
	if err := p.check(); err != nil {
		return 0, err
	}
	if err := checkProbability("power", power); err != nil {
		return 0, err
	}
	reached := func(n int) bool { return p.power(float64(n), float64(n)) >= power }
	short, enough := 1, 2
	for !reached(enough) {
		if enough == mostNeeded {
			return 0, fmt.Errorf("%w: more than %d values in each group needed to find a difference of %g between standard deviations %g and %g",
				ErrOutOfRange, mostNeeded, p.Difference, p.SDA, p.SDB)
		}
		short, enough = enough, min(2*enough, mostNeeded)
	}
	for enough-short > 1 {
		if n := (short + enough) / 2; reached(n) {
			enough = n
		} else {
			short = n
		}
	}
	return enough, nil
}

// NeededRange returns the number of values in each group for the plan's
// standard deviations as they are, and for their 80 % upper limit when they
// were estimated with nu degrees of freedom (see [UpperSD]): few values know
// their own spread badly, and an honest answer is a range.
func (p Plan) NeededRange(power, nu float64) (least, most int, err error) {
	if least, err = p.Needed(power); err != nil {
		return 0, 0, err
	}
	factor, err := UpperSD(1, nu, 0.8)
	if err != nil {
		return 0, 0, err
	}
	p.SDA, p.SDB = factor*p.SDA, factor*p.SDB
	most, err = p.Needed(power)
	return least, most, err
}

// UpperSD returns the upper confidence limit of a standard deviation that was
// estimated as sd with nu degrees of freedom: sd·√(nu/χ²), with χ² exceeded by
// chi-squared on nu degrees of freedom with probability conf.
//
// Source: Snedecor, Cochran 1989, Statistical Methods, 8th ed., sec. 5.11.
func UpperSD(sd, nu, conf float64) (float64, error) {
	if err := checkProbability("confidence", conf); err != nil {
		return 0, err
	}
	if !(nu > 0) || !(sd >= 0) || !finite(nu) || !finite(sd) {
		return 0, fmt.Errorf("%w: standard deviation %g on %g degrees of freedom, expected 0 or more on more than 0", ErrOutOfRange, sd, nu)
	}
	return sd * math.Sqrt(nu/(2*mathext.GammaIncRegInv(nu/2, 1-conf))), nil
}

// noncentralTail returns the probability that noncentral t, (Z+delta)/s with Z
// standard normal and s = √(χ²/nu), exceeds t.
func noncentralTail(t, nu, delta float64) float64 {
	return overScale(nu, 1/(1+math.Abs(delta)), func(s float64) float64 { return normalCDF(delta - t*s) })
}
