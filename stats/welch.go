package stats

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"
)

// Welch compares two groups whose standard deviations may differ: the
// difference of means a minus b (I = 0, J = 1), its standard error, the
// Satterthwaite degrees of freedom, the two-sided p and the interval at
// confidence conf for this one comparison:
//
//	se² = s_a²/n_a + s_b²/n_b + extraVar
//	ν = (se²)² / ((s_a²/n_a)²/(n_a-1) + (s_b²/n_b)²/(n_b-1))
//
// extraVar is a variance of the difference that the scatter of the values
// cannot show, such as a calibration that the two groups do not share; it
// counts as known exactly (infinite degrees of freedom) and is 0 when there is
// none. Each group needs two values, and one of them some spread: without it
// the repeatability is unknown, whatever extraVar is.
//
// Source: Welch 1947, The generalization of "Student's" problem, Biometrika
// 34:28; Satterthwaite 1946, Biometrics Bulletin 2:110, for ν.
func Welch(a, b Summary, extraVar, conf float64) (Difference, error) {
	if err := checkProbability("confidence", conf); err != nil {
		return Difference{}, err
	}
	d, err := welchDifference([]Summary{a, b}, 0, 1, extraVar)
	if err != nil {
		return Difference{}, err
	}
	d.P = 2 * tailT(math.Abs(d.Estimate)/d.SE, d.DF)
	d.Interval = around(d.Estimate, upperT((1-conf)/2, d.DF)*d.SE)
	return d, nil
}

// welchDifference returns estimate, standard error and degrees of freedom of
// group i minus group j; p and interval are left to the caller.
func welchDifference(g []Summary, i, j int, extraVar float64) (Difference, error) {
	for _, at := range [...]int{i, j} {
		if err := g[at].check(2); err != nil {
			return Difference{}, fmt.Errorf("group %d: %w", at+1, err)
		}
	}
	if err := checkExtraVar(extraVar); err != nil {
		return Difference{}, err
	}
	va, vb := g[i].meanVar(), g[j].meanVar()
	if va == 0 && vb == 0 {
		return Difference{}, fmt.Errorf("groups %d and %d: %w: all values of each group are equal; finer readings or more values needed", i+1, j+1, ErrNoSpread)
	}
	total := va + vb + extraVar
	// Shares of the total, so that no square of a tiny variance underflows.
	wa, wb := va/total, vb/total
	nu := 1 / (wa*wa/float64(g[i].N-1) + wb*wb/float64(g[j].N-1))
	return Difference{I: i, J: j, Estimate: g[i].Mean - g[j].Mean, SE: math.Sqrt(total), DF: nu}, nil
}

func checkExtraVar(v float64) error {
	if v >= 0 && finite(v) {
		return nil
	}
	return fmt.Errorf("%w: extra variance %g, expected 0 or more", ErrOutOfRange, v)
}

// around returns the interval of the half width about the middle.
func around(middle, half float64) Interval { return Interval{middle - half, middle + half} }

// FTest is a ratio of two mean squares with its degrees of freedom and the
// probability P of a ratio at least as large when all means are equal.
type FTest struct{ F, DF1, DF2, P float64 }

func newFTest(f, df1, df2 float64) FTest {
	if ratio := df1 * f / df2; ratio < 1 { // where 1 less a number near 1 has no digits
		return FTest{f, df1, df2, 1 - mathext.RegIncBeta(df1/2, df2/2, ratio/(1+ratio))}
	}
	return FTest{f, df1, df2, mathext.RegIncBeta(df2/2, df1/2, df2/(df2+df1*f))}
}

// WelchOneWay tests whether the means of several groups are equal when their
// standard deviations may differ. With weights w = n/s², W = Σw and the
// weighted mean m̃ of k groups:
//
//	A = Σw(m-m̃)²/(k-1),  B = Σ(1-w/W)²/(n-1)
//	F = A / (1 + 2(k-2)B/(k²-1)),  df = k-1 and (k²-1)/(3B)
//
// It needs two groups, two values and some spread in every one.
//
// Source: Welch 1951, On the comparison of several mean values: an alternative
// approach, Biometrika 38:330.
func WelchOneWay(groups []Summary) (FTest, error) {
	k := float64(len(groups))
	if k < 2 {
		return FTest{}, fmt.Errorf("%w: %d groups, at least 2 needed", ErrTooFew, len(groups))
	}
	sumW, sumWM := 0.0, 0.0
	for i, g := range groups {
		if err := g.check(2); err != nil {
			return FTest{}, fmt.Errorf("group %d: %w", i+1, err)
		}
		if g.SD == 0 {
			return FTest{}, fmt.Errorf("group %d: %w: all values are equal", i+1, ErrNoSpread)
		}
		sumW += 1 / g.meanVar()
		sumWM += (g.Mean - groups[0].Mean) / g.meanVar() // from one mean, so a common offset costs no digits
	}
	a, b := 0.0, 0.0
	for _, g := range groups {
		w, d := 1/g.meanVar(), g.Mean-groups[0].Mean-sumWM/sumW
		a += w * d * d / (k - 1)
		b += (1 - w/sumW) * (1 - w/sumW) / float64(g.N-1)
	}
	return newFTest(a/(1+2*(k-2)*b/(k*k-1)), k-1, (k*k-1)/(3*b)), nil
}

// Equivalence returns the p of the two one-sided tests that the difference lies
// outside the margin: below alpha, the groups are equal in practice at error
// rate alpha. Equivalently the interval of confidence 1-2·alpha lies inside the
// margin. It allows for this one comparison; for all pairs together ask whether
// the simultaneous interval is [Interval.Inside] the margin. The margin holds 0
// strictly inside; on a log scale ±5 % is log(0.95) to log(1.05).
//
// Source: Schuirmann 1987, A comparison of the two one-sided tests procedure
// and the power approach, J. Pharmacokinetics and Biopharmaceutics 15:657.
func Equivalence(d Difference, margin Interval) (float64, error) {
	if !(margin.Lo < 0 && margin.Hi > 0) {
		return 0, fmt.Errorf("%w: margin from %g to %g, expected 0 between its ends", ErrOutOfRange, margin.Lo, margin.Hi)
	}
	if !(d.SE > 0 && d.DF > 0) || !finite(d.Estimate) {
		return 0, fmt.Errorf("%w: difference %g with standard error %g on %g degrees of freedom", ErrNotFinite, d.Estimate, d.SE, d.DF)
	}
	low := tailT((d.Estimate-margin.Lo)/d.SE, d.DF)
	high := tailT((margin.Hi-d.Estimate)/d.SE, d.DF)
	return max(low, high), nil
}
