package stats

import (
	"fmt"
	"math"
)

// UpperTolerance returns the limit that, with confidence conf, at least the
// share content of all future values of the group stays below, for normal
// values: mean + k·SD with k from [ToleranceFactor].
func UpperTolerance(s Summary, content, conf float64) (float64, error) {
	if err := s.check(2); err != nil {
		return 0, err
	}
	if s.SD == 0 {
		return 0, fmt.Errorf("%w: all values are equal; finer readings or more values needed", ErrNoSpread)
	}
	k, err := ToleranceFactor(s.N, content, conf)
	if err != nil {
		return 0, err
	}
	return s.Mean + k*s.SD, nil
}

// ToleranceFactor returns the factor k of a one-sided tolerance limit from n
// normal values: t'/√n, with t' the conf-quantile of noncentral t on n-1
// degrees of freedom about z·√n, and z the content-quantile of the normal
// distribution. n is at least 2; content and conf are at least 0.5 and less
// than 1.
//
// Source: ISO 16269-6:2014, Determination of statistical tolerance intervals,
// one-sided, unknown standard deviation; Natrella 1963, Experimental
// Statistics, NBS Handbook 91, sec. 2-5.3.
func ToleranceFactor(n int, content, conf float64) (float64, error) {
	if n < 2 {
		return 0, fmt.Errorf("%w: %d, at least 2 needed", ErrTooFew, n)
	}
	if !(content >= 0.5 && content < 1 && conf >= 0.5 && conf < 1) {
		return 0, fmt.Errorf("%w: content %g and confidence %g, expected 0.5 or more and less than 1", ErrOutOfRange, content, conf)
	}
	rootN, nu := math.Sqrt(float64(n)), float64(n-1)
	delta := normalQuantile(content) * rootN
	missing := func(k float64) float64 { return noncentralTail(k*rootN, nu, delta) - (1 - conf) }
	high := 1.0
	for missing(high) > 0 {
		high *= 2
	}
	return root(missing, 0, high), nil
}
