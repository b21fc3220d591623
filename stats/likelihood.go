package stats

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"

	"fairburn/linear"
)

// likelihood holds what the log likelihood of right-censored times needs.
type likelihood struct {
	model  Lifetime
	x      [][]float64 // rows of the design
	y      []float64   // log t, or t for Normal
	event  []bool
	events int
	jacob  float64 // Σ log t over events: from the density of log t to that of t
}

// point is the log likelihood with its derivatives at theta = (β, log σ).
type point struct {
	theta       []float64
	value       float64
	gradient    []float64
	information [][]float64 // negative second derivatives
}

func newLikelihood(values []Observed, design [][]float64, model Lifetime) (*likelihood, error) {
	if err := checkObserved(values); err != nil {
		return nil, fmt.Errorf("lifetime fit: %w", err)
	}
	if len(design) != len(values) {
		return nil, fmt.Errorf("lifetime fit: %w: %d times, %d rows of the design, expected as many", ErrOutOfRange, len(values), len(design))
	}
	columns := len(design[0])
	l := &likelihood{model: model}
	var ended, running [][]float64
	for i, v := range values {
		y := v.Time
		if model != Normal {
			if v.Time == 0 {
				return nil, fmt.Errorf("lifetime fit: %w: time %d is 0, expected above 0", ErrOutOfRange, i+1)
			}
			y = math.Log(v.Time)
		}
		row := design[i]
		if len(row) != columns {
			return nil, fmt.Errorf("lifetime fit: %w: row %d of the design has %d columns, expected %d as in row 1", ErrOutOfRange, i+1, len(row), columns)
		}
		l.x, l.y, l.event = append(l.x, row), append(l.y, y), append(l.event, v.Event)
		if !v.Event {
			running = append(running, row)
			continue
		}
		ended = append(ended, row)
		l.events++
		if model != Normal {
			l.jacob += y
		}
	}
	if l.events == 0 {
		return nil, fmt.Errorf("lifetime fit: %w among %d times", ErrNoEvent, len(values))
	}
	if len(nullSpace(l.x, columns)) > 0 {
		return nil, fmt.Errorf("lifetime fit: %w: the columns of the design are not independent", ErrOutOfRange)
	}
	return l, checkBounded(nullSpace(ended, columns), running)
}

// checkBounded refuses designs whose likelihood grows without end along a
// direction that moves no event: with one such direction, if it moves no
// censored time down (or none up); with more, always, since telling would need a
// linear programme and so few events settle little.
func checkBounded(free, running [][]float64) error {
	if len(free) == 0 {
		return nil
	}
	up, down := false, false
	for _, row := range running {
		along := 0.0
		for j, v := range row {
			along += v * free[0][j]
		}
		up, down = up || along > 1e-9, down || along < -1e-9
	}
	if len(free) == 1 && up && down {
		return nil
	}
	return fmt.Errorf("lifetime fit: %w to settle %d of the coefficients", ErrNoEvent, len(free))
}

// nullSpace returns a basis of the directions that no row moves. Columns are
// brought to one length first, so that units do not matter.
func nullSpace(rows [][]float64, columns int) [][]float64 {
	length := make([]float64, columns)
	for _, r := range rows {
		for j, v := range r {
			length[j] = math.Hypot(length[j], v)
		}
	}
	gram := linear.Square(columns)
	for _, r := range rows {
		scaled := make([]float64, columns)
		for j, v := range r {
			if length[j] > 0 {
				scaled[j] = v / length[j]
			}
		}
		for j, v := range scaled {
			floats.AddScaled(gram[j], v, scaled)
		}
	}
	var basis [][]float64
	values, vectors := linear.Eigen(gram)
	for k, v := range values {
		if v > 1e-13 {
			continue
		}
		direction := vectors[k]
		for j := range direction {
			if length[j] > 0 {
				direction[j] /= length[j]
			}
		}
		basis = append(basis, direction)
	}
	return basis
}

// start fits all times, censored or not, by least squares.
func (l *likelihood) start() ([]float64, error) {
	fit, err := LeastSquares(l.x, l.y)
	if err != nil {
		return nil, fmt.Errorf("lifetime fit: %w", err)
	}
	if l.model == Exponential {
		return fit.Coefficients, nil
	}
	if fit.RSS <= 1e-26*floats.Dot(l.y, l.y) {
		return nil, fmt.Errorf("lifetime fit: %w about the fitted values", ErrNoSpread)
	}
	return append(fit.Coefficients, math.Log(fit.RSS/float64(len(l.y)))/2), nil
}

// at evaluates the log likelihood and its derivatives.
func (l *likelihood) at(theta []float64) point {
	size := len(theta)
	pt := point{theta: theta, value: -l.jacob, gradient: make([]float64, size), information: linear.Square(size)}
	for i := range l.y {
		l.add(&pt, i)
	}
	return pt
}

// add adds observation i. Its term g(z) − log σ (the latter only of an event)
// enters by the chain rule, with ∂z/∂β = −x/σ and ∂z/∂log σ = −z.
func (l *likelihood) add(pt *point, i int) {
	p, size := len(l.x[i]), len(pt.theta)
	logSigma := 0.0
	if size > p {
		logSigma = pt.theta[p]
	}
	sigma := math.Exp(logSigma)
	z := l.y[i]
	slope := make([]float64, p, size) // −∂z/∂theta
	for j, v := range l.x[i] {
		z -= v * pt.theta[j]
		slope[j] = v / sigma
	}
	z /= sigma
	g, g1, g2 := l.model.term(z, l.event[i])
	pt.value += g
	if l.event[i] {
		pt.value -= logSigma
	}
	if size > p {
		slope = append(slope, z)
		if l.event[i] {
			pt.gradient[p]--
		}
	}
	for j := range slope {
		pt.gradient[j] -= g1 * slope[j]
		for k := j; k < size; k++ { // the lower half, which is all that is read
			second := g2 * slope[j] * slope[k]
			if k == p { // ∂slope_j/∂log σ = −slope_j
				second += g1 * slope[j]
			}
			pt.information[k][j] -= second
		}
	}
}

// term is log f(z) of an event or log S(z) of a censored time, with its first
// and second derivative.
func (m Lifetime) term(z float64, event bool) (g, g1, g2 float64) {
	if m == Weibull || m == Exponential {
		e := math.Exp(z)
		if event {
			return z - e, 1 - e, -e
		}
		return -e, -e, -e
	}
	logDensity := -z*z/2 - math.Log(2*math.Pi)/2
	if event {
		return logDensity, -z, -1
	}
	h := normalHazard(z)
	if z < 0 { // h may vanish, but 1−Φ(z) is near 1
		return math.Log(normalCDF(-z)), -h, -h * (h - z)
	}
	return logDensity - math.Log(h), -h, -h * (h - z)
}

// normalHazard is φ(z)/(1−Φ(z)), the inverse Mills ratio; far out by its
// continued fraction z + 1/(z + 2/(z + 3/(z + …))), where the tail underflows.
//
// Source: M. Abramowitz and I. A. Stegun, 1964, Handbook of Mathematical
// Functions, 26.2.14.
func normalHazard(z float64) float64 {
	if z < 6 {
		return math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) / normalCDF(-z)
	}
	h := z
	for k := 60.0; k >= 1; k-- {
		h = z + k/h
	}
	return h
}

// climb goes up to the top of the likelihood by Newton's method. Where the
// information is not positive definite it is made so by adding to its diagonal;
// a step that does not go up is halved. Once a step promises less than the digits
// of the likelihood can show, one more whole step, which doubles the correct
// digits, ends the climb.
func (l *likelihood) climb(theta []float64) (point, error) {
	const steps, enough = 200, 1e-12
	p := len(l.x[0])
	here := l.at(theta)
	for range steps {
		step, gain := ascent(here)
		if gain <= enough*(1+math.Abs(here.value)) {
			return l.at(moved(here.theta, step, 1)), nil
		}
		share := 1.0
		next := l.at(moved(here.theta, step, share))
		for ; !(next.value > here.value) && share > 1e-12; share /= 2 {
			next = l.at(moved(here.theta, step, share/2))
		}
		here = next
		if len(theta) > p && here.theta[p] < theta[p]-20 {
			return point{}, fmt.Errorf("lifetime fit: %w: σ runs to zero, expected events that differ from what the design fits exactly", ErrNoSpread)
		}
	}
	return point{}, fmt.Errorf("lifetime fit: %w: the likelihood found no top in %d steps", ErrOutOfRange, steps)
}

// moved is theta and a share of the step.
func moved(theta []float64, step []float64, share float64) []float64 {
	to := make([]float64, len(theta))
	for i := range to {
		to[i] = theta[i] + share*step[i]
	}
	return to
}

// ascent is Newton's step and the growth it promises, twice.
func ascent(at point) ([]float64, float64) {
	for ridge := 0.0; ; ridge = max(10*ridge, 1e-3) {
		a := linear.Square(len(at.theta))
		for i, row := range at.information {
			copy(a[i], row)
			a[i][i] += ridge * (1 + math.Abs(row[i]))
		}
		if chol, ok := linear.Factor(a); ok {
			step := chol.Solve(at.gradient)
			return step, floats.Dot(step, at.gradient)
		}
	}
}
