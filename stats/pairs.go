package stats

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Method is a way to compare all pairs of groups at once, so that the chance of
// even one false difference stays at 1 minus the confidence.
type Method string

const (
	// GamesHowell takes Welch's standard error and degrees of freedom with the
	// studentized range: interval d ± q·se/√2, p = P(Q > √2·|d|/se).
	//
	// Source: Games, Howell 1976, Pairwise multiple comparison procedures with
	// unequal n's and/or variances, Journal of Educational Statistics 1:113.
	GamesHowell Method = "games-howell"
	// TukeyKramer takes one standard deviation pooled over all groups:
	// interval d ± q·s·√(½(1/n_i+1/n_j)). It is wrong when the standard
	// deviations differ, at any n.
	//
	// Source: Tukey 1953, The problem of multiple comparisons; Kramer 1956,
	// Biometrics 12:307.
	TukeyKramer Method = "tukey-kramer"
	// BonferroniWelch takes Welch's comparison of each pair: intervals at error
	// rate alpha over the number of pairs, p adjusted by [Holm]. So a p just
	// below alpha may stand beside an interval that just holds 0; the interval
	// decides.
	//
	// Source: Welch 1947, Biometrika 34:28; Holm 1979, Scandinavian Journal of
	// Statistics 6:65.
	BonferroniWelch Method = "bonferroni-welch"
)

// ExtraVar is the variance of the difference of groups i and j that their
// scatter cannot show, known exactly; nil means none. See [Welch].
type ExtraVar func(i, j int) float64

func (f ExtraVar) of(i, j int) float64 {
	if f == nil {
		return 0
	}
	return f(i, j)
}

// Pairs is the comparison of all pairs of groups, in the order (0,1), (0,2), …,
// (1,2), …, with P and Interval of every Difference allowing for all of them.
type Pairs struct {
	Method      Method
	Confidence  float64
	Differences []Difference
	Unjudged    []Unjudged // pairs that could not be compared; they still count in the allowance
}

// Unjudged is a pair that could not be compared, and why.
type Unjudged struct {
	I, J int
	Err  error
}

// AllPairs compares all pairs of groups at simultaneous confidence conf by the
// method that [ChooseMethod] names.
func AllPairs(groups []Summary, extra ExtraVar, conf float64) (Pairs, error) {
	return ChooseMethod(groups).Compare(groups, extra, conf)
}

// ChooseMethod returns GamesHowell when every group has at least max(5, number
// of groups) values, else BonferroniWelch. In simulations of normal values
// Games-Howell rejected up to 10 % instead of 5 % with three values in each of
// eight groups, while Bonferroni-Welch never rejected too often; Tukey's pooled
// standard deviation failed at every n when the standard deviations differed.
func ChooseMethod(groups []Summary) Method {
	need := max(5, len(groups))
	if slices.ContainsFunc(groups, func(s Summary) bool { return s.N < need }) {
		return BonferroniWelch
	}
	return GamesHowell
}

// Compare compares all pairs of groups at simultaneous confidence conf.
// A pair that cannot be compared (a group with fewer than two values, no spread
// in either, a value that is not finite) is listed as unjudged and stops no
// other. It fails for fewer than two groups, an unknown method, conf not
// between 0 and 1, and, by TukeyKramer, when the pooled spread is missing.
func (m Method) Compare(groups []Summary, extra ExtraVar, conf float64) (Pairs, error) {
	if len(groups) < 2 {
		return Pairs{}, fmt.Errorf("%w: %d groups, at least 2 needed", ErrTooFew, len(groups))
	}
	if err := checkProbability("confidence", conf); err != nil {
		return Pairs{}, err
	}
	difference, err := m.differences(groups)
	if err != nil {
		return Pairs{}, err
	}
	p := Pairs{Method: m, Confidence: conf}
	for i := range groups {
		for j := i + 1; j < len(groups); j++ {
			d, err := difference(i, j, extra.of(i, j))
			if err != nil {
				p.Unjudged = append(p.Unjudged, Unjudged{i, j, err})
				continue
			}
			p.Differences = append(p.Differences, d)
		}
	}
	if m == BonferroniWelch {
		p.allowByBonferroni()
	} else {
		p.allowByRange(len(groups))
	}
	return p, nil
}

// differences returns the function that gives the method's estimate, standard
// error and degrees of freedom of one pair.
func (m Method) differences(groups []Summary) (func(i, j int, extraVar float64) (Difference, error), error) {
	switch m {
	case GamesHowell, BonferroniWelch:
		return func(i, j int, extraVar float64) (Difference, error) {
			return welchDifference(groups, i, j, extraVar)
		}, nil
	case TukeyKramer:
		sd, nu, err := Pooled(groups)
		if err != nil {
			return nil, err
		}
		return func(i, j int, extraVar float64) (Difference, error) {
			return pooledDifference(groups, i, j, pool{sd, nu, extraVar})
		}, nil
	}
	return nil, fmt.Errorf("%w: method %q, expected %s, %s or %s", ErrOutOfRange, string(m), GamesHowell, TukeyKramer, BonferroniWelch)
}

// Pooled returns the standard deviation within groups, √(Σ(n-1)s²/Σ(n-1)), and
// its degrees of freedom Σ(n-1). Groups of one value add nothing to it. It
// fails without a degree of freedom and when no group has any spread.
func Pooled(groups []Summary) (sd, nu float64, err error) {
	squares := 0.0
	for i, g := range groups {
		if g.N < 2 {
			continue
		}
		if err := g.check(2); err != nil {
			return 0, 0, fmt.Errorf("group %d: %w", i+1, err)
		}
		nu += float64(g.N - 1)
		squares += float64(g.N-1) * g.SD * g.SD
	}
	if nu == 0 {
		return 0, 0, fmt.Errorf("%w: no group has two values", ErrTooFew)
	}
	if squares == 0 {
		return 0, 0, fmt.Errorf("%w: all values of each group are equal; finer readings or more values needed", ErrNoSpread)
	}
	return math.Sqrt(squares / nu), nu, nil
}

// pool is a pooled standard deviation, its degrees of freedom, and the extra
// variance of one difference.
type pool struct{ sd, nu, extraVar float64 }

func pooledDifference(g []Summary, i, j int, p pool) (Difference, error) {
	for _, at := range [...]int{i, j} {
		if g[at].N < 1 || !finite(g[at].Mean) {
			return Difference{}, fmt.Errorf("group %d: %w: %d with mean %g, at least 1 needed", at+1, ErrTooFew, g[at].N, g[at].Mean)
		}
	}
	if err := checkExtraVar(p.extraVar); err != nil {
		return Difference{}, err
	}
	scatter := p.sd * p.sd * (1/float64(g[i].N) + 1/float64(g[j].N))
	total := scatter + p.extraVar
	share := scatter / total
	return Difference{I: i, J: j, Estimate: g[i].Mean - g[j].Mean, SE: math.Sqrt(total), DF: p.nu / (share * share)}, nil
}

// allowByRange fills in p and intervals from the studentized range of k groups.
func (p *Pairs) allowByRange(k int) {
	r := newNormalRange(k)
	quantile := map[float64]float64{} // pairs of one pooled spread share their degrees of freedom
	for i := range p.Differences {
		d := &p.Differences[i]
		q, known := quantile[d.DF]
		if !known {
			q = r.quantile(d.DF, 1-p.Confidence)
			quantile[d.DF] = q
		}
		d.P = min(1, r.survival(d.DF, math.Sqrt2*math.Abs(d.Estimate)/d.SE))
		d.Interval = around(d.Estimate, q*d.SE/math.Sqrt2)
	}
}

// allowByBonferroni fills in intervals and Holm's p over all pairs, the
// unjudged ones counted as if each had p = 1.
func (p *Pairs) allowByBonferroni() {
	all := len(p.Differences) + len(p.Unjudged)
	ps := make([]float64, all)
	for i := range ps {
		ps[i] = 1
	}
	for i := range p.Differences {
		d := &p.Differences[i]
		ps[i] = 2 * tailT(math.Abs(d.Estimate)/d.SE, d.DF)
		d.Interval = around(d.Estimate, upperT((1-p.Confidence)/2/float64(all), d.DF)*d.SE)
	}
	for i, adjusted := range Holm(ps)[:len(p.Differences)] {
		p.Differences[i].P = adjusted
	}
}

// Holm returns the p-values adjusted for all of them together: sorted upwards
// the i-th of m (from 0) is multiplied by m-i, and none may be smaller than the
// one before it nor larger than 1. The order of the result is that of p. A NaN
// stands for a test that could not be done: it stays NaN and still counts in m.
//
// Source: Holm 1979, A simple sequentially rejective multiple test procedure,
// Scandinavian Journal of Statistics 6:65.
func Holm(p []float64) []float64 {
	order := make([]int, 0, len(p))
	for i, v := range p {
		if !math.IsNaN(v) {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(p[a], p[b]) })
	adjusted := slices.Clone(p)
	least := 0.0
	for rank, i := range order {
		least = max(least, min(1, float64(len(p)-rank)*p[i]))
		adjusted[i] = least
	}
	return adjusted
}
