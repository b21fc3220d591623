package stats

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/integrate/quad"
)

// MeanInterval returns Student's interval of the mean, mean ± t·SD/√N. It needs
// two values and some spread.
//
// Source: Student 1908, The probable error of a mean, Biometrika 6:1.
func MeanInterval(s Summary, conf float64) (Interval, error) {
	return studentInterval(s, conf, 1/float64(s.N))
}

// NextInterval returns the interval in which the next single value is expected
// with confidence conf, mean ± t·SD·√(1+1/N). It needs two values and some
// spread; with three the factor of SD is 4.97 at 95 %.
//
// Source: Hahn, Meeker 1991, Statistical Intervals, sec. 4.7.
func NextInterval(s Summary, conf float64) (Interval, error) {
	return studentInterval(s, conf, 1+1/float64(s.N))
}

// studentInterval is the interval of a quantity whose variance about the mean
// is SD² times ratio.
func studentInterval(s Summary, conf, ratio float64) (Interval, error) {
	if err := checkProbability("confidence", conf); err != nil {
		return Interval{}, err
	}
	d, err := believed(s, 2, ratio)
	if err != nil {
		return Interval{}, err
	}
	return around(d.Mu, upperT((1-conf)/2, d.Nu)*d.Sigma), nil
}

// believed returns Student's t about the mean of s with scale SD·√ratio.
func believed(s Summary, need int, ratio float64) (StudentsT, error) {
	if err := s.check(need); err != nil {
		return StudentsT{}, err
	}
	if s.SD == 0 {
		return StudentsT{}, fmt.Errorf("%w: all values are equal; finer readings or more values needed", ErrNoSpread)
	}
	return StudentsT{Mu: s.Mean, Sigma: s.SD * math.Sqrt(ratio), Nu: float64(s.N - 1)}, nil
}

// NextValue returns what is believed of the next value of a group when nothing
// but its values is known: Student's t about the mean with scale SD·√(1+1/N) and
// N-1 degrees of freedom. It needs three values: two say too little to be put
// into a probability.
//
// Source: Gelman et al. 2013, Bayesian Data Analysis, 3rd ed., sec. 3.2 (prior
// flat in mean and log standard deviation).
func NextValue(s Summary) (StudentsT, error) {
	return believed(s, 3, 1+1/float64(s.N))
}

// TrueMean returns what is believed of the long-run mean of a group: as
// [NextValue], with scale SD/√N.
func TrueMean(s Summary) (StudentsT, error) {
	return believed(s, 3, 1/float64(s.N))
}

// NextLess returns the probability that the next value of a is less than the
// next of b when both have one standard deviation: with the pooled s on
// ν = n_a+n_b-2 degrees of freedom, F_t(ν)((m_b-m_a)/(s·√(2+1/n_a+1/n_b))). For
// standard deviations of their own, use [Least] on each group's [NextValue].
// It is no p-value: 0.8 may stand beside "no difference shown".
//
// Source: Gelman et al. 2013, Bayesian Data Analysis, 3rd ed., sec. 3.2.
func NextLess(a, b Summary) (float64, error) {
	for i, s := range [...]Summary{a, b} {
		if err := s.check(3); err != nil {
			return 0, fmt.Errorf("group %d: %w", i+1, err)
		}
	}
	sd, nu, err := Pooled([]Summary{a, b})
	if err != nil {
		return 0, err
	}
	return tailT((a.Mean-b.Mean)/(sd*math.Sqrt(2+1/float64(a.N)+1/float64(b.N))), nu), nil
}

// Least returns, for each of several independent quantities, the probability
// that it is the least of them: ∫ f_i(x) Π_(j≠i) (1-F_j(x)) dx. With next
// values it answers "which is best next time", with true means "which is best
// in the long run". The probabilities add up to 1 within 1e-9. Scales and
// degrees of freedom must be positive, as [NextValue] and [TrueMean] give them.
func Least(d []StudentsT) []float64 {
	p := make([]float64, len(d))
	above := make([]float64, len(d))
	beliefs := make([]belief, len(d))
	for i, t := range d {
		beliefs[i] = newBelief(t)
	}
	ends := panels(d)
	const nodes = 10
	x, w := make([]float64, nodes), make([]float64, nodes)
	for e := 1; e < len(ends); e++ {
		quad.Legendre{}.FixedLocations(x, w, ends[e-1], ends[e])
		for n := range x {
			for i, b := range beliefs {
				above[i] = b.above(x[n])
			}
			for i, b := range beliefs {
				p[i] += w[n] * b.density(x[n]) * productWithout(above, i)
			}
		}
	}
	return p
}

// belief is a t distribution made ready for many evaluations.
type belief struct {
	StudentsT
	norm float64 // density at the centre
}

func newBelief(t StudentsT) belief { return belief{t, t.Prob(t.Mu)} }

func (b belief) density(x float64) float64 {
	z := (x - b.Mu) / b.Sigma
	return b.norm * math.Exp(-(b.Nu+1)/2*math.Log1p(z*z/b.Nu))
}

// above returns the probability of a value above x, to 1e-14. Whole degrees of
// freedom, which are all that a group of values has, have a finite sum that
// costs a twentieth of the incomplete beta function:
//
//	2·P − 1 = (2/π)·{θ + sin θ·[cos θ + (2/3)cos³θ + … to cos^(ν−2)]}, ν odd
//	2·P − 1 = sin θ·{1 + (1/2)cos²θ + (1·3)/(2·4)·cos⁴θ + … to cos^(ν−2)}, ν even
//
// with θ = arctan(t/√ν), P the distribution function.
//
// Source: Abramowitz, Stegun 1964, Handbook of Mathematical Functions, 26.7.3
// and 26.7.4.
func (b belief) above(x float64) float64 {
	t := (x - b.Mu) / b.Sigma
	nu := int(b.Nu)
	if float64(nu) != b.Nu || nu > 200 {
		return tailT(t, b.Nu)
	}
	cosSquared := b.Nu / (b.Nu + t*t)
	sum, term := 0.0, 1.0
	for i := 1 + nu%2; i < nu; i += 2 { // term i multiplies cos^(i−1)
		sum += term
		term *= cosSquared * float64(i) / float64(i+1)
	}
	sin := t / math.Sqrt(b.Nu+t*t)
	if nu%2 == 0 {
		return max(0, (1-sin*sum)/2) // far out the difference can round below zero
	}
	return max(0, 0.5-(math.Atan(t/math.Sqrt(b.Nu))+sin*math.Sqrt(cosSquared)*sum)/math.Pi)
}

func productWithout(x []float64, skip int) float64 {
	product := 1.0
	for i, v := range x {
		if i != skip {
			product *= v
		}
	}
	return product
}

// panels returns sorted points between which every density is smooth enough for
// a rule of fixed order: around each centre at 0, 1/2, 1, 2, 4, … scales, out
// to where each tail holds less than 1e-13.
func panels(d []StudentsT) []float64 {
	var ends []float64
	for _, t := range d {
		far := upperT(1e-13, t.Nu)
		ends = append(ends, t.Mu)
		for step := 0.5; step < 2*far; step *= 2 {
			ends = append(ends, t.Mu-step*t.Sigma, t.Mu+step*t.Sigma)
		}
	}
	slices.SortFunc(ends, cmp.Compare[float64])
	return slices.Compact(ends)
}
