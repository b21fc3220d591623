package uncertainty

import (
	"fmt"
	"math"
	"slices"
)

// Shape is the form of the distribution of an input's error. The first-order
// law needs only the standard uncertainty; the shape counts in MonteCarlo.
type Shape int

const (
	// ShapeNormal is the Gaussian: scatter, certificates, many small causes.
	ShapeNormal Shape = iota
	// ShapeRectangular is equally likely between limits: all that is known is ±a.
	ShapeRectangular
	// ShapeTriangular falls evenly from the middle to the limits: the
	// difference of two equal rectangles.
	ShapeTriangular
	// ShapeArcsine is U-shaped, most likely at the limits: a quantity that
	// swings like a sine between them, read at a moment unrelated to the swing.
	ShapeArcsine
)

var shapeNames = [...]string{"normal", "rectangular", "triangular", "arcsine"}

// String returns "normal", "rectangular", "triangular" or "arcsine".
func (s Shape) String() string {
	if s < ShapeNormal || s > ShapeArcsine {
		return fmt.Sprintf("shape(%d)", int(s))
	}
	return shapeNames[s]
}

// MarshalText writes the shape as its word, for JSON.
func (s Shape) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads the word that MarshalText writes.
func (s *Shape) UnmarshalText(text []byte) error {
	i := slices.Index(shapeNames[:], string(text))
	if i < 0 {
		return fmt.Errorf("shape %q: expected normal, rectangular, triangular or arcsine", text)
	}
	*s = Shape(i)
	return nil
}

// Input is one argument of a model and what is known about its error.
//
// A quantity with several causes of error (a probe's calibration, its display,
// layers in the water) enters the model as its value plus one input of value 0
// for each further cause: each then stands in the budget by itself, and a cause
// that acts in two places is one input used twice.
type Input struct {
	Name  string  `json:"name"`
	Value float64 `json:"value"`
	// U is the standard uncertainty, in the unit of Value; 0 is exactly known.
	U float64 `json:"u"`
	// DF is the degrees of freedom of U, at least 1. 0 means infinite: U itself
	// is not in doubt, the usual case outside a handful of repeats. +Inf is
	// taken as 0. The same convention holds for every field of this package.
	DF    float64 `json:"df,omitempty"`
	Shape Shape   `json:"shape"`
	// Shared names what this error is shared through, such as "scale: kitchen"
	// or "fuel: bottle 2"; "" is an error of this run alone. Inputs of one key
	// have one and the same error, each times its own U: a full correlation,
	// which no shorter word is allowed to mean. An instrument whose error at
	// one end of its range says nothing about the other end needs two keys.
	Shared string `json:"shared,omitempty"`
}

// Normal returns an input with standard uncertainty u, of normal shape.
func Normal(name string, value, u float64) Input {
	return Input{Name: name, Value: value, U: u}
}

// Certificate returns an input whose certificate states expanded uncertainty
// expanded with coverage factor k: u = U/k.
//
// Source: JCGM 100:2008, 4.3.3.
func Certificate(name string, value, expanded, k float64) Input {
	return Normal(name, value, expanded/k)
}

// Rectangular returns an input known only to lie within value ± a: u = a/√3.
//
// Source: JCGM 100:2008, 4.3.7, equation (7).
func Rectangular(name string, value, a float64) Input {
	return Input{Name: name, Value: value, U: a / math.Sqrt(3), Shape: ShapeRectangular}
}

// Triangular returns an input within value ± a, likelier in the middle: u = a/√6.
//
// Source: JCGM 100:2008, 4.3.9, equation (9b).
func Triangular(name string, value, a float64) Input {
	return Input{Name: name, Value: value, U: a / math.Sqrt(6), Shape: ShapeTriangular}
}

// Arcsine returns an input that swings between value − a and value + a: u = a/√2.
//
// Source: JCGM 101:2008, 6.4.6 (arc sine, U-shaped distribution).
func Arcsine(name string, value, a float64) Input {
	return Input{Name: name, Value: value, U: a / math.Sqrt2, Shape: ShapeArcsine}
}

// Resolution returns an input read from a display of step d: u = d/√12.
//
// Source: JCGM 100:2008, F.2.2.1.
func Resolution(name string, value, d float64) Input {
	return Rectangular(name, value, d/2)
}

// ResolutionOfDifference returns an input that is the difference of two
// readings of one display of step d, such as a mass before less a mass after:
// u = √2·d/√12 = d/√6. Two equal rectangles make a triangle.
//
// Source: JCGM 100:2008, F.2.2.1, applied to both readings.
func ResolutionOfDifference(name string, value, d float64) Input {
	return Triangular(name, value, d)
}

// Via returns the input with its error shared through key.
func (in Input) Via(key string) Input {
	in.Shared = key
	return in
}

// check refuses an input that has no meaning.
func (in *Input) check() error {
	switch {
	case in.Name == "":
		return fmt.Errorf("input of value %g has no name: name every input", in.Value)
	case !finite(in.Value):
		return fmt.Errorf("input %q: value is %g, expected a finite number", in.Name, in.Value)
	case !finite(in.U) || in.U < 0:
		return fmt.Errorf("input %q: standard uncertainty is %g, expected a finite number, 0 or more", in.Name, in.U)
	case !(in.DF == 0 || in.DF >= 1):
		return fmt.Errorf("input %q: degrees of freedom are %g, expected 1 or more, or 0 for infinite", in.Name, in.DF)
	case in.Shape < ShapeNormal || in.Shape > ShapeArcsine:
		return fmt.Errorf("input %q: %v is unknown, expected normal, rectangular, triangular or arcsine", in.Name, in.Shape)
	}
	return nil
}
