package gear

import "fairburn/quantity"

// Use says what an instrument is read for on this bench; "" is everything.
type Use string

// The uses.
const (
	ForAll   Use = ""
	ForFuel  Use = "fuel"
	ForWater Use = "water"
	ForAir   Use = "air"
)

// ParseUse reads a use.
func ParseUse(s string) (Use, error) {
	return quantity.ParseWord("use", s, quantity.Words(ForFuel, ForWater, ForAir))
}

// Scale weighs. Step is what its display resolves; Linearity the half-width
// of its error over the range used, which all readings of it share.
type Scale struct {
	Name      string
	For       Use
	Step      quantity.Reading[quantity.Mass]
	Linearity quantity.Reading[quantity.Mass]
}

// Thermometer reads water, air or fuel. Limit is the half-width of its class
// or certificate, shared by all readings of it.
type Thermometer struct {
	Name  string
	For   Use
	Step  quantity.Reading[quantity.TempDiff]
	Limit quantity.Reading[quantity.TempDiff]
}

// Barometer reads station pressure. Limit is its half-width.
type Barometer struct {
	Name  string
	Limit quantity.Reading[quantity.Pressure]
}

// Measure is a vessel or syringe that a dose is poured with. Tolerance is the
// half-width of its error as a share of the volume, shared by all its doses.
type Measure struct {
	Name      string
	For       Use
	Tolerance quantity.Reading[quantity.Ratio]
}
