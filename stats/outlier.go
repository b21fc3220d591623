package stats

import (
	"fmt"
	"math"
	"slices"
)

// normalMAD turns a median absolute deviation into a standard deviation of
// normal values, 1/Φ⁻¹(3/4).
const normalMAD = 1.4826

// ownScale is how many values a group needs for a scale of its own.
const ownScale = 6

// Suspicion is what the robust rule says of each value. It removes nothing: it
// names the values with and without which a result should be shown.
type Suspicion struct {
	Scores    []float64 // |residual| / scale of each value
	Threshold float64   // for these numbers of values; +Inf where the rule cannot speak
	Suspects  []int     // indices of the values with a score above the threshold
}

// Suspects scores each value by its distance from what the medians of its group
// and block let expect (data.Block may be nil: no blocks).
//
// residual = value less group median, or MedianResiduals with blocks;
// scale = 1.4826·MAD, the larger of the pooled one and, in groups of 6 values
// or more, the group's own, but at least resolution/√12, the standard deviation
// of rounding. Medians force p of the N residuals to zero (p = groups + blocks −
// connected sets; p divided by the groups for a group's own scale), so the MAD
// is the median of the largest N−p+1. A group's own MAD alone has no power: at 6
// values in each of 8 groups only a value 16 scales off could be called suspect
// without calling clean trials suspect; the pooled one alone calls groups
// suspect that merely scatter more. The larger of both does neither.
//
// The threshold is 4.1 + 21/ν + 80/ν², ν = N − p, and none below ν = 3. It was set
// by simulation (seed and table in docs/suspect-burns.md, rerun by
// TestCleanTrialsAreRarelySuspect) so that at most 2 % of clean normal trials of
// 1 to 10 groups of 3 to 12 values have any suspect value.
//
// Two groups in blocks split every misfit evenly, so that no value stands out:
// score their differences within blocks ([Blocked.Within]) as one group instead.
//
// Errors: as for MedianResiduals; a resolution that is negative or not finite;
// ErrNoSpread where more than half of the values agree and no resolution is
// given.
//
// Source: modified z: B. Iglewicz and D. C. Hoaglin, 1993, How to Detect and
// Handle Outliers (with a fixed 3.5); median of the N−p+1 largest: W. DuMouchel
// and F. O'Brien, 1989, Integrating a robust option into a multiple regression
// computing environment, Proceedings of the 21st Symposium on the Interface.
func Suspects(data Blocked, resolution float64) (Suspicion, error) {
	if !(resolution >= 0) || math.IsInf(resolution, 0) {
		return Suspicion{}, fmt.Errorf("%w: resolution %v, expected 0 or more", ErrOutOfRange, resolution)
	}
	if data.Block == nil {
		data.Block = make([]int, len(data.Values))
	}
	residuals, err := MedianResiduals(data)
	if err != nil {
		return Suspicion{}, err
	}
	groups, blocks := data.size()
	if blocks == 1 { // the polish would go on to centre the block
		residuals = slices.Clone(data.Values)
		sweep(residuals, data.Group, groups)
	}
	fitted := groups + blocks - len(data.sets())
	s := Suspicion{Scores: make([]float64, len(residuals)), Threshold: suspectThreshold(len(residuals) - fitted)}
	scales := scalesOf(residuals, data.Group, fitted)
	for i, r := range residuals {
		scale := max(scales[data.Group[i]], resolution/math.Sqrt(12))
		if scale == 0 {
			return Suspicion{}, fmt.Errorf("suspect values: %w: more than half of the values agree, expected the resolution of the readings", ErrNoSpread)
		}
		s.Scores[i] = math.Abs(r) / scale
		if s.Scores[i] > s.Threshold {
			s.Suspects = append(s.Suspects, i)
		}
	}
	return s, nil
}

// suspectThreshold is the score that a clean trial with nu residual degrees of
// freedom exceeds at most once in fifty.
func suspectThreshold(nu int) float64 {
	if nu < 3 {
		return math.Inf(1)
	}
	v := float64(nu)
	return 4.1 + 21/v + 80/(v*v)
}

// scalesOf returns the scale of each group.
func scalesOf(residuals []float64, group []int, fitted int) []float64 {
	own := make([][]float64, slices.Max(group)+1)
	for i, r := range residuals {
		own[group[i]] = append(own[group[i]], r)
	}
	pooled := correctedMAD(residuals, fitted)
	each := max(1, int(math.Round(float64(fitted)/float64(len(own)))))
	scales := make([]float64, len(own))
	for g, of := range own {
		scales[g] = pooled
		if len(of) >= ownScale {
			scales[g] = max(pooled, correctedMAD(of, each))
		}
	}
	return scales
}

// correctedMAD is 1.4826 times the median of the n−p+1 largest |residuals|.
func correctedMAD(residuals []float64, p int) float64 {
	sizes := make([]float64, len(residuals))
	for i, r := range residuals {
		sizes[i] = math.Abs(r)
	}
	slices.Sort(sizes)
	return normalMAD * medianOfSorted(sizes[min(p, len(sizes))-1:])
}

// Grubbs is the classic test of the one value farthest from the mean, shown
// beside the robust rule. Two bad values hide each other from it.
type Grubbs struct {
	Index int     // of the farthest value
	G     float64 // |x − mean| / SD
	P     float64 // two-sided, Bonferroni bound
}

// GrubbsTest tests whether the value farthest from the mean belongs to a normal
// sample: p = min(1, 2n·P(t_{n−2} > √(n(n−2)G²/((n−1)²−nG²)))).
//
// Errors: fewer than 3 values, a value that is not finite, no spread.
//
// Source: F. E. Grubbs, 1969, Procedures for detecting outlying observations in
// samples, Technometrics 11:1; NIST/SEMATECH e-Handbook, section 1.3.5.17.1.
func GrubbsTest(x []float64) (Grubbs, error) {
	s := Summarize(x)
	if err := s.check(3); err != nil {
		return Grubbs{}, fmt.Errorf("Grubbs test: %w", err)
	}
	if s.SD == 0 {
		return Grubbs{}, fmt.Errorf("Grubbs test: %w: all %d values are %g", ErrNoSpread, s.N, s.Mean)
	}
	var g Grubbs
	for i, v := range x {
		if d := math.Abs(v-s.Mean) / s.SD; d > g.G {
			g.Index, g.G = i, d
		}
	}
	n := float64(s.N)
	left := (n-1)*(n-1) - n*g.G*g.G
	if left <= 0 { // all other values agree
		return g, nil
	}
	g.P = min(1, 2*n*tailT(math.Sqrt(n*(n-2)*g.G*g.G/left), n-2))
	return g, nil
}

// GrubbsCritical is the G that a normal sample of n values exceeds with
// probability alpha, two-sided; the one-sided value is that of 2·alpha.
//
// G = (n−1)/√n·√(t²/(n−2+t²)), t = t_{n−2, 1−α/(2n)}.
//
// Errors: n below 3, alpha outside (0, 1).
//
// Source: as for GrubbsTest.
func GrubbsCritical(n int, alpha float64) (float64, error) {
	if n < 3 {
		return 0, fmt.Errorf("Grubbs test: %w: %d, at least 3 needed", ErrTooFew, n)
	}
	if err := checkProbability("alpha", alpha); err != nil {
		return 0, err
	}
	v := float64(n)
	t := upperT(alpha/(2*v), v-2)
	return (v - 1) / math.Sqrt(v) * math.Sqrt(t*t/(v-2+t*t)), nil
}
