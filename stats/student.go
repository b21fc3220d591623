package stats

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// StudentsT is Student's t distribution with Nu degrees of freedom about Mu, with
// scale Sigma.
type StudentsT struct{ Mu, Sigma, Nu float64 }

// Prob returns the density at x.
func (d StudentsT) Prob(x float64) float64 {
	up, _ := math.Lgamma((d.Nu + 1) / 2)
	down, _ := math.Lgamma(d.Nu / 2)
	z := (x - d.Mu) / d.Sigma
	return math.Exp(up-down-math.Log(d.Nu*math.Pi)/2-(d.Nu+1)/2*math.Log1p(z*z/d.Nu)) / d.Sigma
}

// CDF returns the probability of a value up to x.
func (d StudentsT) CDF(x float64) float64 { return tailT((d.Mu-x)/d.Sigma, d.Nu) }

// Survival returns the probability of a value above x.
func (d StudentsT) Survival(x float64) float64 { return tailT((x-d.Mu)/d.Sigma, d.Nu) }

// Quantile returns the x that is not exceeded with probability p.
func (d StudentsT) Quantile(p float64) float64 {
	if p > 0.5 {
		return d.Mu + d.Sigma*upperT(1-p, d.Nu)
	}
	return d.Mu - d.Sigma*upperT(p, d.Nu)
}

// manyNu is where Student's t is taken by its expansion about the normal, whose
// next term is below 1e-13 there; the incomplete beta function loses digits as
// the degrees of freedom grow.
const manyNu = 1e4

// upperT returns the value that Student's t with nu degrees of freedom exceeds
// with probability tail, with full digits for small tails.
//
// Source: Abramowitz, Stegun 1964, Handbook of Mathematical Functions, eq.
// 26.7.5, beyond manyNu, 26.5.27 for t by the incomplete beta function.
func upperT(tail, nu float64) float64 {
	if tail > 0.5 {
		return -upperT(1-tail, nu)
	}
	if nu <= manyNu {
		share := mathext.InvRegIncBeta(nu/2, 0.5, 2*tail)
		t := math.Sqrt(nu * (1 - share) / share)
		for range 2 { // Newton's steps, since the inverse beta function stops early
			t += (tailT(t, nu) - tail) / StudentsT{0, 1, nu}.Prob(t)
		}
		return t
	}
	z := -mathext.NormalQuantile(tail)
	y := z * z
	g1 := z * (y + 1) / 4
	g2 := z * ((5*y+16)*y + 3) / 96
	g3 := z * (((3*y+19)*y+17)*y - 15) / 384
	return z + (g1+(g2+g3/nu)/nu)/nu
}

// tailT returns the probability that Student's t with nu degrees of freedom
// exceeds t, with full digits for large t.
//
// Source: Hill 1970, Algorithm 395: Student's t-distribution, Communications of
// the ACM 13:617, beyond manyNu; Abramowitz, Stegun 1964, 26.5.27.
func tailT(t, nu float64) float64 {
	switch {
	case math.IsInf(nu, 1):
		return normalCDF(-t)
	case nu > manyNu:
		a := nu - 0.5
		w := math.Copysign(math.Sqrt(a*math.Log1p(t*t/nu)), t)
		return normalCDF(-w - w*(w*w+3)/(48*a*a))
	case math.Abs(t) < 1: // about the middle, where 1 less a number near 1 has no digits
		return 0.5 - math.Copysign(mathext.RegIncBeta(0.5, nu/2, t*t/(nu+t*t))/2, t)
	case t < 0:
		return 1 - tailT(-t, nu)
	}
	return mathext.RegIncBeta(nu/2, 0.5, nu/(nu+t*t)) / 2
}

// normalCDF returns the standard normal distribution function; unlike
// 1-CDF(x) it keeps its digits far out in the lower tail.
func normalCDF(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }
