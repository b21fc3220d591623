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
	}
	if label, ok := b.label(); ok {
		return strength(label)
	}
	if b.byVolume() {
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
	share, half := r.Value.Value, r.Tolerance
	if !finite(share + half) {
		return fuel.Blend{}, errNoNumber
	}
	if half == 0 {
		half = unstatedStrength
	}
	u := half / math.Sqrt(3)
	switch r.Value.Basis {
	case quantity.ByVolume:
		return fuel.FromStrength(fuel.Strength(share), fuel.Strength(u))
	case quantity.ByProof:
		return fuel.FromProof(fuel.Proof(200*share), fuel.Proof(200*u))
	case quantity.ByMass:
		return fuel.ByMass(
			fuel.Part[quantity.MassFraction]{Substance: fuel.Ethanol, Share: quantity.MassFraction(share), HalfWidth: quantity.MassFraction(half)},
			fuel.Rest[quantity.MassFraction](fuel.Water))
	}
	return fuel.Blend{}, fmt.Errorf("strength %q does not say what it counts: write %% vol, %% by mass or proof", r.Text)
}

// finite tells a number from NaN and the infinities.
func finite(x float64) bool { return x-x == 0 }

var errNoNumber = errors.New("the strength is not a number")

// label finds the strength in components that are a label's "ethanol 95 % vol,
// water the rest" in other words: that volume is counted after mixing, where
// components by volume are otherwise volumes poured together.
func (b FuelBatch) label() (quantity.Reading[quantity.Strength], bool) {
	if len(b.Components) != 2 {
		return quantity.Reading[quantity.Strength]{}, false
	}
	spirit, water := b.Components[0], b.Components[1]
	if spirit.Rest {
		spirit, water = water, spirit
	}
	is := spirit.Substance == fuel.Ethanol && spirit.Low.Given && !spirit.High.Given && spirit.Low.Value.Basis == quantity.ByVolume &&
		water.Substance == fuel.Water && water.Rest && !water.Low.Given && !water.High.Given
	return spirit.Low, is
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
		p, err := part[F](c, basis)
		if err != nil {
			return nil, err
		}
		ps = append(ps, p)
	}
	return ps, nil
}

func part[F quantity.MassFraction | quantity.VolumeFraction](c Component, basis quantity.Basis) (fuel.Part[F], error) {
	low, high := c.Low.Value, c.High.Value
	switch {
	case c.Rest && (c.Low.Given || c.High.Given):
		return fuel.Part[F]{}, fmt.Errorf("%v is marked as the rest and has a share of its own: give one of the two", c.Substance)
	case c.Rest:
		return fuel.Rest[F](c.Substance), nil
	case !c.Low.Given:
		return fuel.Part[F]{}, fmt.Errorf("%v has no share: write one, or mark it as the rest", c.Substance)
	case low.Basis == quantity.ByProof || c.High.Given && high.Basis == quantity.ByProof:
		return fuel.Part[F]{}, fmt.Errorf("%v is stated in proof (%s), which is for spirit and water alone: state components by mass or by volume", c.Substance, c.Low.Text)
	case low.Basis != basis || c.High.Given && high.Basis != basis:
		return fuel.Part[F]{}, fmt.Errorf("%v is stated on another basis (%s) than the first component: state all by mass or all by volume", c.Substance, c.Low.Text)
	case !finite(low.Value + high.Value + c.Low.Tolerance):
		return fuel.Part[F]{}, fmt.Errorf("%v: %w", c.Substance, errNoNumber)
	case c.High.Given && high.Value < low.Value:
		return fuel.Part[F]{}, fmt.Errorf("%v ranges from %s down to %s: write the lower end first", c.Substance, c.Low.Text, c.High.Text)
	case c.High.Given:
		return fuel.Between(c.Substance, F(low.Value), F(high.Value)), nil
	}
	half := c.Low.Tolerance
	if half == 0 { // never past 0 or 1, so a component stated as 100 % is exactly that
		half = max(0, min(unstatedStrength, low.Value, 1-low.Value))
	}
	return fuel.Part[F]{Substance: c.Substance, Share: F(low.Value), HalfWidth: F(half)}, nil
}
