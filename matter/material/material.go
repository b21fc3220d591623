// Package material holds what pots are made of: the specific heat that makes a
// pot's share of the heat, and the density.
//
// The share is small, 2 to 7 % of the heat in the water, so the handbook figure
// for the metal will do; which alloy a pot is made of is seldom known and is
// what the uncertainty stands for. Take the specific heat at the middle of the
// rise: it grows by 1 to 4 % from a cold start to there.
//
// The package refuses materials that it has no source for, and temperatures
// below 0 °C or over 400 K, the handbooks' second column. A pot of two materials
// is two masses, each with its own.
//
// Read material.go, then table.go.
package material

import (
	"errors"
	"fmt"
	"strings"

	"fairburn/quantity"
)

var (
	// ErrUnknown is wrapped when a name stands for no material of the table.
	ErrUnknown = errors.New("unknown material")
	// ErrRange is wrapped when a temperature lies outside the table's columns.
	ErrRange = errors.New("out of range")
)

// Material is one row of the table.
type Material struct {
	Name    string
	Others  []string // further names by which Find knows it
	Density quantity.Density

	// At300 and At400 are the handbook's specific heats at 300 and 400 K. At400
	// is 0 where the source gives one figure alone.
	At300, At400 quantity.SpecificHeat

	// Uncertainty is the relative standard uncertainty of SpecificHeat for a pot
	// sold under this name.
	Uncertainty quantity.Ratio

	Source string // of the specific heats and, unless it says otherwise, the density
	Note   string // what a reader should know: a choice made, a value from memory
}

// Find returns the material that a maker's label names: case, hyphens and
// spaces do not count, "aluminum" is "aluminium". It wraps ErrUnknown and lists
// the names it knows when it finds none.
func Find(name string) (Material, error) {
	want := plain(name)
	for _, m := range table {
		if plain(m.Name) == want {
			return m, nil
		}
		for _, other := range m.Others {
			if plain(other) == want {
				return m, nil
			}
		}
	}
	return Material{}, fmt.Errorf("%w %q: expected one of %s", ErrUnknown, name, strings.Join(Names(), ", "))
}

// Names returns the first name of each material in the order of the table,
// commonest pots first.
func Names() []string {
	var names []string
	for _, m := range table {
		names = append(names, m.Name)
	}
	return names
}

// SpecificHeat returns the specific heat at t, 273.15 to 400 K (0 to 126.85 °C),
// on the straight line through the two columns. From 300 K down to 0 °C the line
// is carried on, for water that never got warm: it reads at most 2 % high at
// 0 °C by the 200 K column of the same textbook (from memory), less than one
// Uncertainty or about it. Where the source gives one figure alone it is
// returned as it is, and the growth left out is part of Uncertainty.
func (m Material) SpecificHeat(t quantity.Temperature) (quantity.SpecificHeat, error) {
	k := t.Kelvin()
	if !(k >= 273.15 && k <= 400) {
		return 0, fmt.Errorf("specific heat of %s at %.6g °C: expected 0 to 126.85 °C, the reach of %s: %w",
			m.Name, t.Celsius(), m.Source, ErrRange)
	}
	if m.At400 == 0 {
		return m.At300, nil
	}
	return m.At300 + (m.At400-m.At300)*quantity.SpecificHeat((k-300)/100), nil
}

// plain strips a name of case, spaces, hyphens and the American spelling.
func plain(name string) string {
	name = strings.NewReplacer(" ", "", "-", "", "_", "").Replace(strings.ToLower(name))
	return strings.ReplaceAll(name, "aluminum", "aluminium")
}
