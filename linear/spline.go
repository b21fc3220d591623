package linear

import "slices"

// Spline is the natural cubic spline through points: twice continuously
// differentiable, without curvature at its ends.
type Spline struct {
	x, y   []float64
	second []float64 // second derivative at each point
}

// NewSpline returns the spline through the points (x, y), two or more, x rising.
// Its second derivatives m follow from
//
//	h₋·m₋ + 2(h₋+h)·m + h·m₊ = 6·((y₊−y)/h − (y−y₋)/h₋)
//
// at each inner point, h and h₋ the distances to its neighbours.
//
// Source: W. H. Press, S. A. Teukolsky, W. T. Vetterling and B. P. Flannery, 2007,
// Numerical Recipes, 3rd edition, section 3.3.
func NewSpline(x, y []float64) Spline {
	n := len(x)
	s := Spline{x: x, y: y, second: make([]float64, n)}
	above := make([]float64, n) // what elimination leaves above the diagonal
	for i := 1; i < n-1; i++ {
		before, after := x[i]-x[i-1], x[i+1]-x[i]
		pivot := 2*(before+after) - before*above[i-1]
		bend := 6 * ((y[i+1]-y[i])/after - (y[i]-y[i-1])/before)
		s.second[i] = (bend - before*s.second[i-1]) / pivot
		above[i] = after / pivot
	}
	for i := n - 2; i > 0; i-- {
		s.second[i] -= above[i] * s.second[i+1]
	}
	return s
}

// At returns the spline at x, which lies between the first and the last point.
func (s Spline) At(x float64) float64 {
	i, _ := slices.BinarySearch(s.x, x)
	i = min(max(i, 1), len(s.x)-1)
	h := s.x[i] - s.x[i-1]
	a, b := (s.x[i]-x)/h, (x-s.x[i-1])/h
	return a*s.y[i-1] + b*s.y[i] + ((a*a*a-a)*s.second[i-1]+(b*b*b-b)*s.second[i])*h*h/6
}
