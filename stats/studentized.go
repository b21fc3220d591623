package stats

import "math"

// StudentizedRange is the distribution of the range of K independent standard
// normal values divided by an independent estimate of their standard deviation
// with Nu degrees of freedom:
//
//	P(q) = ∫ f(s) R(q·s) ds,  R(w) = K ∫ φ(z) [Φ(z)-Φ(z-w)]^(K-1) dz
//
// with f the density of √(χ²/Nu). K is 2 or more and Nu positive, +Inf for a
// known standard deviation; any other gives NaN. For K up to 10 and Nu from 1 the
// distribution function is right to 1e-11 and quantiles to 1e-10 relative; for K
// up to 20 to 1e-9.
//
// Source: Tukey 1953, The problem of multiple comparisons; Harter 1960, Tables
// of range and studentized range, Annals of Mathematical Statistics 31:1122.
type StudentizedRange struct {
	K  int
	Nu float64
}

// CDF returns the probability of a studentized range of at most q.
func (d StudentizedRange) CDF(q float64) float64 { return 1 - d.Survival(q) }

// Survival returns the probability of a studentized range above q. It is
// computed as a tail, so that a small p keeps its digits down to about 1e-12.
func (d StudentizedRange) Survival(q float64) float64 {
	if !d.valid() || math.IsNaN(q) {
		return math.NaN()
	}
	return newNormalRange(d.K).survival(d.Nu, q)
}

// Quantile returns the q that the studentized range does not exceed with
// probability p, for 0 < p < 1; any other p gives NaN.
func (d StudentizedRange) Quantile(p float64) float64 {
	if !d.valid() || !(p > 0 && p < 1) {
		return math.NaN()
	}
	return newNormalRange(d.K).quantile(d.Nu, 1-p)
}

func (d StudentizedRange) valid() bool { return d.K >= 2 && d.Nu > 0 }

// normalRange is the range of k standard normal values, made once and used for
// many degrees of freedom. It holds the Chebyshev coefficients of log(1-R(w))
// for w from 0 to widestRange; beyond that 1-R is below 1e-30.
type normalRange struct {
	k       int
	logTail []float64
}

const widestRange = 18

// newNormalRange tabulates the tail of the range of k standard normal values.
func newNormalRange(k int) normalRange {
	const degree = 80
	var cos [2 * degree]float64
	for j := range cos {
		cos[j] = math.Cos(math.Pi * float64(j) / degree)
	}
	var at [degree + 1]float64 // log tail at the Chebyshev points
	tail := rangeTail(k)
	for j := range at {
		at[j] = math.Log(tail(widestRange * (1 + cos[j]) / 2))
	}
	at[0] /= 2
	at[degree] /= 2
	c := make([]float64, degree+1)
	for i := range c {
		for j, v := range at {
			c[i] += v * cos[i*j%len(cos)]
		}
		c[i] *= 2.0 / degree
	}
	c[0] /= 2
	c[degree] /= 2
	return normalRange{k, c}
}

// tail returns 1-R(w), by Clenshaw's sum.
func (r normalRange) tail(w float64) float64 {
	if w > widestRange {
		return 0
	}
	x := 2*w/widestRange - 1
	b1, b2 := 0.0, 0.0
	for i := len(r.logTail) - 1; i > 0; i-- {
		b1, b2 = r.logTail[i]+2*x*b1-b2, b1
	}
	return math.Exp(r.logTail[0] + x*b1 - b2)
}

// survival returns the probability that the range over an estimate of the
// standard deviation with nu degrees of freedom exceeds q.
func (r normalRange) survival(nu, q float64) float64 {
	if q <= 0 {
		return 1
	}
	// On the scale of log q the range of k normal values steps from certain to
	// impossible within about its standard deviation over its mean.
	width := 1 / (2 + math.Log(float64(r.k)))
	return overScale(nu, width, func(s float64) float64 { return r.tail(q * s) })
}

// quantile returns the q that is exceeded with probability alpha.
func (r normalRange) quantile(nu, alpha float64) float64 {
	// One pair alone exceeds √2·t with the tail of t; all pairs together at most
	// as often as their number times that. So both ends are sure.
	pairs := float64(r.k * (r.k - 1) / 2)
	lo, hi := math.Sqrt2*upperT(alpha/2, nu), math.Sqrt2*upperT(alpha/2/pairs, nu)
	if r.k == 2 {
		return lo
	}
	x := root(func(x float64) float64 { return math.Log(r.survival(nu, math.Exp(x)) / alpha) }, math.Log(lo), math.Log(hi))
	return math.Exp(x)
}

// rangeTail returns the function 1-R(w) of the range of k standard normal
// values. The integrand dies like a normal density at both ends, where the
// trapezoidal rule converges faster than any power of the step.
func rangeTail(k int) func(w float64) float64 {
	const step, from, to = 0.25, -7.0, 10.0
	var z, cdf, weight []float64
	for x := from; x <= to; x += step {
		p := normalCDF(x)
		z = append(z, x)
		cdf = append(cdf, p)
		weight = append(weight, step*float64(k)*math.Exp(-x*x/2)/math.Sqrt(2*math.Pi)*math.Pow(p, float64(k-1)))
	}
	return func(w float64) float64 {
		sum := 0.0
		for i := range z {
			below := normalCDF(z[i]-w) / cdf[i]
			// 1-(1-below)^(k-1) without cancellation, as a geometric sum.
			geometric := 1.0
			for range k - 2 {
				geometric = 1 + (1-below)*geometric
			}
			sum += weight[i] * below * geometric
		}
		return sum
	}
}

// overScale returns the mean of f(s) over s = √(χ²/nu), the ratio of an
// estimated to the true standard deviation with nu degrees of freedom. width is
// the standard deviation, on the scale of log s, of the fastest step in f.
//
// With s = e^u the density is proportional to exp(nu·(u-(e^2u-1)/2)), which
// dies at both ends; the trapezoidal rule divided by the same rule for the
// density alone needs no gamma function and loses no digits at large nu.
func overScale(nu, width float64, f func(s float64) float64) float64 {
	if math.IsInf(nu, 1) {
		return f(1)
	}
	const widest, negligible = 0.125, -38
	step := min(widest, 0.6*width, 0.6/math.Sqrt(2*nu))
	sum, total := f(1), 1.0
	for _, h := range [...]float64{step, -step} {
		for j := 1.0; ; j++ {
			u := j * h
			logDensity := nu * (u - math.Expm1(2*u)/2)
			if logDensity < negligible {
				break
			}
			density := math.Exp(logDensity)
			total += density
			sum += density * f(math.Exp(u))
		}
	}
	return sum / total
}

// root returns x between lo and hi with f(x) = 0, for f of opposite sign at the
// two ends (an end where f is already zero to rounding is returned as it is).
//
// Source: Chandrupatla 1997, A new hybrid quadratic/bisection algorithm for
// finding the zero of a nonlinear function, Advances in Engineering Software
// 28:145.
func root(f func(float64) float64, lo, hi float64) float64 {
	const tolerance = 1e-13
	b, a := lo, hi
	fb, fa := f(b), f(a)
	if math.Signbit(fa) == math.Signbit(fb) {
		if math.Abs(fa) < math.Abs(fb) {
			return a
		}
		return b
	}
	t := 0.5
	for range 200 {
		x := a + t*(b-a)
		fx := f(x)
		c, fc := a, fa
		if math.Signbit(fx) != math.Signbit(fa) {
			c, fc, b, fb = b, fb, a, fa
		}
		a, fa = x, fx
		best, fbest := a, fa
		if math.Abs(fb) < math.Abs(fa) {
			best, fbest = b, fb
		}
		limit := tolerance * (1 + math.Abs(best)) / math.Abs(b-a)
		if fbest == 0 || limit > 0.5 {
			return best
		}
		t = 0.5
		xi, phi := (a-b)/(c-b), (fa-fb)/(fc-fb)
		if phi*phi < xi && (1-phi)*(1-phi) < 1-xi { // inverse quadratic step is safe
			t = fa/(fb-fa)*fc/(fb-fc) + (c-a)/(b-a)*fa/(fc-fa)*fb/(fc-fb)
		}
		t = min(max(t, limit), 1-limit)
	}
	return a
}
