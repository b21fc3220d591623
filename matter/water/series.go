package water

// term is n·a^i·b^j, one row of a coefficient table of the formulation.
type term struct {
	i, j int
	n    float64
}

// series is the sum Σ n·a^i·b^j that the formulation is written in, i ≥ 0.
// It is made once a table and derivative, by newSeries, byA and byB. Such a sum
// spends its time on powers, and raising each with math.Pow takes ten times as
// long as the rest; so the products that lead to every power in use are worked
// out beforehand.
type series struct {
	terms []term
	steps []product // each fills the next slot of the table of powers
	sum   []summand
}

// slots is the length of the table of powers. The first four hold 1, a, b and
// 1/b, the others products of earlier slots. A power of two lets the compiler
// leave out the bounds checks.
const slots = 64

type product struct{ x, y uint8 }

type summand struct {
	n    float64
	i, j uint8 // slots of a^i and b^j
}

func newSeries(terms []term) series {
	s := series{terms: terms}
	a := map[int]uint8{0: 0, 1: 1}
	b := map[int]uint8{0: 0, 1: 2}
	inverse := map[int]uint8{0: 0, 1: 3}
	for _, t := range terms {
		j := b
		if t.j < 0 {
			j = inverse
		}
		s.sum = append(s.sum, summand{t.n, s.slot(a, t.i), s.slot(j, max(t.j, -t.j))})
	}
	return s
}

// slot returns the slot of the e-th power of one base, adding the products that
// lead there. Of the ways to make e out of powers already known it takes the
// most even one, so chains stay short and with them the rounding.
func (s *series) slot(known map[int]uint8, e int) uint8 {
	if k, ok := known[e]; ok {
		return k
	}
	x := e / 2
	for d := range e / 2 {
		_, low := known[e/2-d]
		_, high := known[e-e/2+d]
		if low && high {
			x = e/2 - d
			break
		}
	}
	s.steps = append(s.steps, product{s.slot(known, x), s.slot(known, e-x)})
	k := 3 + len(s.steps)
	if k >= slots {
		panic("water: a series needs more powers than its table holds")
	}
	known[e] = uint8(k)
	return uint8(k)
}

// byA returns the derivative of s with respect to a, term by term.
func (s series) byA() series {
	var d []term
	for _, t := range s.terms {
		if t.i != 0 {
			d = append(d, term{t.i - 1, t.j, t.n * float64(t.i)})
		}
	}
	return newSeries(d)
}

// byB returns the derivative of s with respect to b, term by term.
func (s series) byB() series {
	var d []term
	for _, t := range s.terms {
		if t.j != 0 {
			d = append(d, term{t.i, t.j - 1, t.n * float64(t.j)})
		}
	}
	return newSeries(d)
}

// at evaluates the series; b must not be 0.
func (s *series) at(a, b float64) float64 {
	power := [slots]float64{1, a, b, 1 / b}
	for k, p := range s.steps {
		power[(k+4)%slots] = power[p.x%slots] * power[p.y%slots]
	}
	sum := 0.0
	for _, t := range s.sum {
		sum += t.n * power[t.i%slots] * power[t.j%slots]
	}
	return sum
}
