package stats

import (
	"fmt"
	"math"
	"math/bits"
	"math/rand/v2"
	"slices"
)

// MinBootstrap is the smallest sample for which a bootstrap interval may be a
// main result. Below it the bootstrap standard error is too small by
// √((n−1)/n) and the interval too short.
const MinBootstrap = 8

// BCa is a bias-corrected and accelerated bootstrap interval.
type BCa struct {
	Estimate float64 // the statistic of the values themselves
	Interval
	Level float64
	SE    float64 // standard deviation of the resampled statistics
	Z0    float64 // bias correction Φ⁻¹(share of θ* < θ̂, ties half)
	A     float64 // acceleration, from the jackknife
	Draws int
	// TooFew says that a sample has fewer than MinBootstrap values: the interval
	// is then too short and may only stand beside another.
	TooFew bool
}

// Bootstrap gives the BCa interval of any statistic of one or more samples,
// resampling within each. The statistic must not keep or change its argument.
//
// z0 = Φ⁻¹(#{θ* < θ̂}/B), ties counting half; a = Σ(l_ij/n_i)³ /
// (6·(Σ(l_ij/n_i)²)^{3/2}) with l_ij = (n_i−1)(θ̄_(i·) − θ_(ij)) from leaving
// out value j of sample i; the limits are the resampled statistics at
// α′ = Φ(z0 + (z0+z)/(1 − a(z0+z))), interpolated on the normal scale.
//
// Errors: fewer than 2 values in a sample, a value that is not finite, level
// outside (0, 1), fewer than 100 draws, a statistic that does not vary or is
// not finite, a limit beyond what the draws can show.
//
// Source: B. Efron, 1987, Better bootstrap confidence intervals, Journal of the
// American Statistical Association 82:171; A. C. Davison and D. V. Hinkley,
// 1997, Bootstrap Methods and their Application, sections 5.3.2 and 5.2.1
// (interpolation, equation 5.8).
func Bootstrap(samples [][]float64, statistic func([][]float64) float64, level float64, how Resampling) (BCa, error) {
	if err := checkResampling(samples, how); err != nil {
		return BCa{}, err
	}
	estimate := statistic(samples)
	shape := jackknife(samples, statistic)
	pickers := newPickers(samples, how.Seed)
	resample := make([][]float64, len(samples))
	for i, s := range samples {
		resample[i] = make([]float64, len(s))
	}
	deviations := make([]float64, how.Draws)
	for d := range deviations {
		for i, s := range samples {
			pickers[i].fill(resample[i], s)
		}
		deviations[d] = statistic(resample) - estimate
	}
	return shape.interval(estimate, deviations, level)
}

// Resampled is one sample with the means of its resamples, drawn once and used
// in every comparison of the sample.
type Resampled struct {
	mean       float64
	shape      influence // of the mean
	deviations []float64 // mean of each resample less mean of the sample
}

// ResampleMeans draws the bootstrap means of several samples, each from its own
// stream of the seed. Differences between the results are what resampling the
// whole trial how.Draws times and taking every pair's difference from the same
// resampled trial would give: each pair has a bootstrap of its own kind, and
// the pairs share their Monte Carlo error as they share their values.
//
// Errors: as for Bootstrap.
func ResampleMeans(samples [][]float64, how Resampling) ([]Resampled, error) {
	if err := checkResampling(samples, how); err != nil {
		return nil, err
	}
	pickers := newPickers(samples, how.Seed)
	drawn := make([]Resampled, len(samples))
	for i, s := range samples {
		n := float64(len(s))
		r := Resampled{mean: Summarize(s).Mean, deviations: make([]float64, how.Draws)}
		centred := make([]float64, len(s))
		for j, v := range s {
			centred[j] = v - r.mean
			r.shape.add(centred[j] / n)
		}
		r.shape.tooFew = len(s) < MinBootstrap
		for d := range r.deviations {
			r.deviations[d] = pickers[i].sum(centred) / n
		}
		drawn[i] = r
	}
	return drawn, nil
}

// Minus gives the BCa interval of the difference of means, a − b, from means
// resampled together by ResampleMeans. For logarithms, raise e to the estimate
// and limits: a ratio of geometric means.
//
// Errors: level outside (0, 1), numbers of draws that differ, both samples
// without spread, a limit beyond what the draws can show.
//
// Source: as for Bootstrap; l_ij = x_ij − x̄_i, of opposite sign in b.
func (a Resampled) Minus(b Resampled, level float64) (BCa, error) {
	if len(a.deviations) != len(b.deviations) {
		return BCa{}, fmt.Errorf("bootstrap: %w: %d draws against %d, expected means drawn together", ErrOutOfRange, len(a.deviations), len(b.deviations))
	}
	deviations := make([]float64, len(a.deviations))
	for i, d := range a.deviations {
		deviations[i] = d - b.deviations[i]
	}
	shape := influence{
		squares: a.shape.squares + b.shape.squares,
		cubes:   a.shape.cubes - b.shape.cubes,
		tooFew:  a.shape.tooFew || b.shape.tooFew,
	}
	return shape.interval(a.mean-b.mean, deviations, level)
}

// influence sums the powers of l_ij/n_i that the acceleration needs.
type influence struct {
	squares, cubes float64
	tooFew         bool
}

func (s *influence) add(l float64) {
	s.squares += l * l
	s.cubes += l * l * l
}

func jackknife(samples [][]float64, statistic func([][]float64) float64) influence {
	var shape influence
	without := slices.Clone(samples)
	for i, s := range samples {
		shape.tooFew = shape.tooFew || len(s) < MinBootstrap
		n := float64(len(s))
		left := make([]float64, len(s))
		mean := 0.0
		for j := range s {
			without[i] = slices.Concat(s[:j], s[j+1:])
			left[j] = statistic(without)
			mean += left[j] / n
		}
		without[i] = s
		for _, v := range left {
			shape.add((n - 1) * (mean - v) / n)
		}
	}
	return shape
}

// interval reads the BCa limits off the deviations θ* − θ̂.
func (s influence) interval(estimate float64, deviations []float64, level float64) (BCa, error) {
	if err := checkLevel(level); err != nil {
		return BCa{}, err
	}
	mean, se := meanSD(deviations)
	if !finite(se) {
		return BCa{}, fmt.Errorf("bootstrap: %w: the statistic of a resample, expected a number from every resample", ErrNotFinite)
	}
	if se == 0 || s.squares == 0 {
		return BCa{}, fmt.Errorf("bootstrap: %w: the statistic is the same for every resample, expected values that differ", ErrNoSpread)
	}
	r := BCa{
		Estimate: estimate, Level: level, SE: se, Draws: len(deviations), TooFew: s.tooFew,
		Z0: normalQuantile(shareBelow(deviations, 1e-10*se)),
		A:  s.cubes / (6 * math.Pow(s.squares, 1.5)),
	}
	z := normalQuantile((1 + level) / 2)
	near := func(p float64) float64 { return mean + se*normalQuantile(p) }
	for _, end := range []struct {
		z  float64
		to *float64
	}{{-z, &r.Lo}, {z, &r.Hi}} {
		p := r.adjusted(end.z)
		q, err := quantileNear(deviations, p, [2]float64{near(p) - se/4, near(p) + se/4})
		if err != nil {
			return BCa{}, err
		}
		*end.to = estimate + q
	}
	return r, nil
}

// shareBelow is the share of deviations below zero, those within tie of it half.
// Integer counters let the compiler do without branches that no processor can
// foresee.
func shareBelow(deviations []float64, tie float64) float64 {
	less, more := 0, 0
	for _, d := range deviations {
		if d < -tie {
			less++
		}
		if d > tie {
			more++
		}
	}
	return 0.5 + float64(less-more)/float64(2*len(deviations))
}

// adjusted is α′, the share of resamples below the limit for normal quantile z;
// NaN where bias or acceleration leave no limit.
func (r BCa) adjusted(z float64) float64 {
	w := r.Z0 + z
	if math.IsInf(r.Z0, 0) || 1-r.A*w <= 0 {
		return math.NaN()
	}
	return normalCDF(r.Z0 + w/(1-r.A*w))
}

// quantileNear returns the quantile p of v, interpolated between neighbouring
// order statistics on the normal scale. It sorts only the tail up to the far
// side of the guess, and all of v where that does not hold the quantile.
//
// Source: Davison and Hinkley 1997, equation 5.8.
func quantileNear(v []float64, p float64, guess [2]float64) (float64, error) {
	n := len(v)
	at := p * float64(n+1)
	if !(at >= 1 && at <= float64(n)) {
		return 0, fmt.Errorf("bootstrap: %w: the limit lies at share %.3g of the resamples, expected between 1/%d and %d/%d: draw more or use a lower level", ErrOutOfRange, p, n+1, n, n+1)
	}
	k := min(int(at), n-1) // the quantile lies between order statistics k and k+1, from 1
	tail := make([]float64, 0, n/8)
	first := 1 // order statistic at tail[0]
	if p < 0.5 {
		for _, d := range v {
			if d <= guess[1] {
				tail = append(tail, d)
			}
		}
	} else {
		for _, d := range v {
			if d >= guess[0] {
				tail = append(tail, d)
			}
		}
		first = n - len(tail) + 1
	}
	if k < first || k+1 >= first+len(tail) {
		tail, first = slices.Clone(v), 1
	}
	slices.Sort(tail)
	lower, upper := tail[k-first], tail[k+1-first]
	below, above := normalQuantile(float64(k)/float64(n+1)), normalQuantile(float64(k+1)/float64(n+1))
	return lower + (normalQuantile(p)-below)/(above-below)*(upper-lower), nil
}

// picker draws values with replacement, several indices from each 64 random
// bits: the high word of bits×n is the index, the low word the bits left. With
// n^batch ≤ 2^32 no index is off its share by more than 2^-32.
//
// Source: N. Brackett-Rozinsky and D. Lemire, 2024, Batched ranged random
// integer generation, Software: Practice and Experience 55:155, without the
// rejection step, which that bound makes needless.
type picker struct {
	rng   *rand.PCG
	batch int
}

func newPickers(samples [][]float64, seed uint64) []picker {
	pickers := make([]picker, len(samples))
	for i, s := range samples {
		batch := 1
		for size := len(s); size*len(s) <= 1<<32; size *= len(s) {
			batch++
		}
		pickers[i] = picker{rng: rand.NewPCG(seed, uint64(i)), batch: batch}
	}
	return pickers
}

func (p picker) fill(into, from []float64) {
	for at := 0; at < len(into); at += p.batch {
		bitsLeft := p.rng.Uint64()
		for j := at; j < min(at+p.batch, len(into)); j++ {
			var index uint64
			index, bitsLeft = bits.Mul64(bitsLeft, uint64(len(from)))
			into[j] = from[index]
		}
	}
}

// sum adds up one resample of v without storing it.
func (p picker) sum(v []float64) float64 {
	total := 0.0
	for left := len(v); left > 0; left -= p.batch {
		bitsLeft := p.rng.Uint64()
		for range min(p.batch, left) {
			var index uint64
			index, bitsLeft = bits.Mul64(bitsLeft, uint64(len(v)))
			total += v[index]
		}
	}
	return total
}

func checkResampling(samples [][]float64, how Resampling) error {
	if len(samples) == 0 {
		return fmt.Errorf("bootstrap: %w: no sample, expected at least 1", ErrTooFew)
	}
	if how.Draws < 100 {
		return fmt.Errorf("bootstrap: %w: %d draws, expected at least 100", ErrOutOfRange, how.Draws)
	}
	for i, s := range samples {
		if err := checkFinite(fmt.Sprint(i+1), s); err != nil {
			return err
		}
	}
	return nil
}
