package gear

import "fairburn/quantity"

// Pot is a pot without its lid.
type Pot struct {
	Name     string
	Mass     quantity.Reading[quantity.Mass]
	Material string // a name that matter/material knows
	Diameter quantity.Reading[quantity.Length]
	Holds    quantity.Reading[quantity.Volume]
	// Loss is the heat-loss coefficient of the full pot, from a cooling tail:
	// U = −C (dT/dt)/(T − T_air). Missing: a planning value with wide limits is used.
	Loss  quantity.Reading[quantity.Conductance]
	Notes string
}

// Lid is a lid.
type Lid struct {
	Name     string
	Mass     quantity.Reading[quantity.Mass]
	Material string
	Notes    string
}

// Screen is a wind screen.
type Screen struct {
	Name  string
	Mass  quantity.Reading[quantity.Mass]
	Gap   quantity.Reading[quantity.Length] // between pot wall and screen
	Notes string
}

// Stand is a pot stand.
type Stand struct {
	Name   string
	Mass   quantity.Reading[quantity.Mass]
	Height quantity.Reading[quantity.Length] // of the pot's base above the burner's base
	Notes  string
}
