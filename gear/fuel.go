package gear

import (
	"errors"
	"fmt"
	"math"

	"fairburn/matter/fuel"
	"fairburn/quantity"
)

// FuelBatch is one bottle or purchase of fuel. Burns from one batch share the
// error of its composition, whatever it is. State the strength of ethanol and
// water, or the components; nothing else tells what was burned.
type FuelBatch struct {
	Name       string
	Product    string // what the label calls it
	Strength   quantity.Reading[quantity.Strength]
	Components []Component
	KnownBy    string // "label", "safety data sheet", "density measured", "guess"
	Notes      string
}

// Component is one stated part of a batch. A single value has Low alone; a
// range has both ends; Rest fills up to 1.
type Component struct {
	Substance fuel.Substance
	Low, High quantity.Reading[quantity.Strength]
	Rest      bool
}

// unstatedStrength is the half-width of a strength or component whose own is
// not written down: one per cent (common practice, no source).
const unstatedStrength = 0.01

// ErrNoComposition is returned for a batch that states neither strength nor components.
var ErrNoComposition = errors.New("the composition of the fuel is not given")

// Blend returns the composition that the batch states.
func (b FuelBatch) Blend() (fuel.Blend, error) {
	blend, err := b.blend()
	if err != nil {
		return fuel.Blend{}, fmt.Errorf("fuel %q: %w", b.Name, err)
	}
	return blend, nil
}

func (b FuelBatch) blend() (fuel.Blend, error) {
	switch {
	case b.Strength.Given && len(b.Components) > 0:
		return fuel.Blend{}, errors.New("both a strength and components are given: keep one")
	case b.Strength.Given:
		return strength(b.Strength)
	case len(b.Components) == 0:
		return fuel.Blend{}, ErrNoComposition
	case b.byVolume():
		parts, err := parts[quantity.VolumeFraction](b.Components, quantity.ByVolume)
		if err != nil {
			return fuel.Blend{}, err
		}
		return fuel.ByVolume(parts...)
	}
	parts, err := parts[quantity.MassFraction](b.Components, quantity.ByMass)
	if err != nil {
		return fuel.Blend{}, err
	}
	return fuel.ByMass(parts...)
}

// strength is ethanol and water of the stated strength.
func strength(r quantity.Reading[quantity.Strength]) (fuel.Blend, error) {
	half := r.Tolerance
	if half == 0 {
		half = unstatedStrength
	}
	if q, ok := r.Value.VolumeFraction(); ok {
		return fuel.FromStrength(fuel.Strength(q), fuel.Strength(half/math.Sqrt(3)))
	}
	p, _ := r.Value.MassFraction()
	return fuel.ByMass(
		fuel.Part[quantity.MassFraction]{Substance: fuel.Ethanol, Share: p, HalfWidth: quantity.MassFraction(half)},
		fuel.Rest[quantity.MassFraction](fuel.Water))
}

func (b FuelBatch) byVolume() bool {
	for _, c := range b.Components {
		if c.Low.Given {
			return c.Low.Value.Basis == quantity.ByVolume
		}
	}
	return false
}

// parts turns stated components into parts on one basis and refuses a mixture of both.
func parts[F quantity.MassFraction | quantity.VolumeFraction](cs []Component, basis quantity.Basis) ([]fuel.Part[F], error) {
	var ps []fuel.Part[F]
	for _, c := range cs {
		if c.Rest {
			ps = append(ps, fuel.Rest[F](c.Substance))
			continue
		}
		if !c.Low.Given {
			return nil, fmt.Errorf("%v has no share: write one, or mark it as the rest", c.Substance)
		}
		if c.Low.Value.Basis != basis || c.High.Given && c.High.Value.Basis != basis {
			return nil, fmt.Errorf("%v is stated on another basis (%s) than the components before it: state all by mass or all by volume", c.Substance, c.Low.Text)
		}
		if c.High.Given {
			ps = append(ps, fuel.Between(c.Substance, F(c.Low.Value.Value), F(c.High.Value.Value)))
			continue
		}
		half := c.Low.Tolerance
		if half == 0 && c.Low.Value.Value < 1 {
			half = min(unstatedStrength, c.Low.Value.Value, 1-c.Low.Value.Value)
		}
		ps = append(ps, fuel.Part[F]{Substance: c.Substance, Share: F(c.Low.Value.Value), HalfWidth: F(half)})
	}
	return ps, nil
}
