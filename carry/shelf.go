package carry

import (
	"fmt"
	"slices"
	"sync"

	"fairburn/gear"
	"fairburn/matter/fuel"
	"fairburn/quantity"
	"fairburn/trial"
)

// Kind is what a kit burns.
type Kind string

// The kinds. NoStove is a kit of its own: its owner eats cold and needs no fuel.
const (
	Spirit  Kind = "spirit"
	Gas     Kind = "gas"
	Tablets Kind = "tablets"
	NoStove Kind = "none"
)

// Slot is a place in a kit that one thing fills.
type Slot string

// The slots beside the stove. A kit that heats has a pot, and a lighter where the
// shelf holds one; the others may stay empty unless the stove needs them.
const (
	Pot     Slot = "pot"
	Lid     Slot = "lid"
	Screen  Slot = "screen"
	Stand   Slot = "stand"
	Primer  Slot = "primer"
	Lighter Slot = "lighter"
)

// Slots lists them in the order in which a kit names its parts.
func Slots() []Slot { return []Slot{Pot, Lid, Screen, Stand, Primer, Lighter} }

// Part is a thing that fills a slot. Without a mass it is left out of every
// choice: unweighed things would always be lightest.
type Part struct {
	Name  string
	Slot  Slot
	Mass  quantity.Reading[quantity.Mass]
	Price quantity.Reading[Money]
	With  []string // stoves or pots that it fits; empty: all
	// Of a pot:
	Material string
	Holds    quantity.Reading[quantity.Volume]
	Loss     quantity.Reading[quantity.Conductance]
}

// Vessel is what fuel is carried in, or is: a bottle (Holds, Mass empty), a gas
// cartridge (Fuel, Mass full), a tablet (Fuel and Mass alike). The metal of a
// cartridge stays to the end of the stretch.
type Vessel struct {
	Name  string
	For   Kind
	Holds quantity.Reading[quantity.Volume]
	Fuel  quantity.Reading[quantity.Mass]
	Mass  quantity.Reading[quantity.Mass]
	Price quantity.Reading[Money]
	Count int // how many there are; 0: as many as wanted
}

// Fuel is what is carried.
type Fuel struct {
	Name    string
	LHV     quantity.SpecificEnergy
	Density quantity.Density        // at 20 °C; 0 for what is not poured
	Price   quantity.Reading[Money] // a litre, poured; not given counts as nothing
}

// FuelOf returns a batch as a fuel to carry.
func FuelOf(b gear.FuelBatch) (Fuel, error) {
	blend, err := b.Blend()
	if err != nil {
		return Fuel{}, fmt.Errorf("fuel %q: %w", b.Name, err)
	}
	lhv, _ := blend.LHV()
	rho, _, err := blend.Density(quantity.Celsius(20))
	if err != nil {
		return Fuel{}, fmt.Errorf("fuel %q: %w", b.Name, err)
	}
	return Fuel{Name: b.Name, LHV: lhv, Density: rho}, nil
}

// Stove is what burns the fuel. Needs names slots that must be filled beside pot
// and lighter. PerLitre is the owner's own figure, with its half-width, for the
// fuel that brings a litre of water from 20 to 100 °C; it stands only where there
// are no burns. Power is the useful power by which waiting is reckoned without
// burns.
type Stove struct {
	Name     string
	Kind     Kind
	Mass     quantity.Reading[quantity.Mass]
	Price    quantity.Reading[Money]
	Needs    []Slot
	Fuel     Fuel // zero: 96 % vol ethanol, or the kind's own
	PerLitre quantity.Reading[quantity.Mass]
	Power    quantity.Reading[quantity.Power]
	Evidence []Evidence
}

// Shelf is what there is to take.
type Shelf struct {
	Stoves  []Stove
	Parts   []Part
	Vessels []Vessel
}

// Learn adds the gear of a trial, with what its burns say, to what the shelf
// already holds; a thing of a name that it holds stays as it is, and only what
// burns say is added.
func (s *Shelf) Learn(r *trial.Reduced) {
	for _, b := range r.Shelf.Burners {
		i := slices.IndexFunc(s.Stoves, func(v Stove) bool { return v.Name == b.Name })
		if i < 0 {
			i = len(s.Stoves)
			s.Stoves = append(s.Stoves, stoveOf(b))
		}
		s.Stoves[i].learn(r)
	}
	for _, p := range partsOf(r.Shelf) {
		if !slices.ContainsFunc(s.Parts, func(q Part) bool { return q.Slot == p.Slot && q.Name == p.Name }) {
			s.Parts = append(s.Parts, p)
		}
	}
}

func stoveOf(b gear.Burner) Stove {
	v := Stove{Name: b.Name, Kind: Spirit, Mass: b.DryMass}
	for _, trait := range b.Traits {
		if trait.Kind == gear.StandsAlone && !trait.Holds {
			v.Needs = append(v.Needs, Stand)
		}
		if trait.Kind == gear.NeedsPriming && trait.Holds {
			v.Needs = append(v.Needs, Primer)
		}
	}
	return v
}

// learn adds what a trial's burns say of the stove, and takes the fuel that was
// burned for the one to carry when none was chosen.
func (v *Stove) learn(r *trial.Reduced) {
	for _, e := range r.Entries {
		if e.Burner != v.Name {
			continue
		}
		seen, ok := Observe(r, e.Name)
		if !ok {
			continue
		}
		v.Evidence = append(v.Evidence, seen)
		batch, _ := gear.Find(r.Shelf.Batches, e.Fuel)
		if f, err := FuelOf(batch); err == nil && v.Fuel == (Fuel{}) {
			v.Fuel = f
		}
	}
}

func partsOf(s gear.Shelf) []Part {
	var ps []Part
	for _, p := range s.Pots {
		ps = append(ps, Part{Name: p.Name, Slot: Pot, Mass: p.Mass, Material: p.Material, Holds: p.Holds, Loss: p.Loss})
	}
	for _, l := range s.Lids {
		ps = append(ps, Part{Name: l.Name, Slot: Lid, Mass: l.Mass, Material: l.Material})
	}
	for _, x := range s.Screens {
		ps = append(ps, Part{Name: x.Name, Slot: Screen, Mass: x.Mass})
	}
	for _, x := range s.Stands {
		ps = append(ps, Part{Name: x.Name, Slot: Stand, Mass: x.Mass})
	}
	return ps
}

// fuel is what the stove carries. Net heat of gas: between that of propane and the
// butanes as gas; of tablets: hexamine.
//
// Source: formation enthalpies of CRC (gas 46.35, 45.57, 45.72 MJ/kg); of hexamine
// from memory, 28.09 MJ/kg.
func (v *Stove) fuel() Fuel {
	if v.Fuel != (Fuel{}) {
		return v.Fuel
	}
	switch v.Kind {
	case Gas:
		return Fuel{Name: "gas", LHV: 45.6 * quantity.MegajoulePerKilogram}
	case Tablets:
		return Fuel{Name: "tablets", LHV: 28.09 * quantity.MegajoulePerKilogram}
	}
	return ethanol96()
}

// ethanol96 is what a spirit stove carries when nobody said.
var ethanol96 = sync.OnceValue(func() Fuel {
	blend, _ := fuel.FromStrength(0.96, 0) // always inside the table
	lhv, _ := blend.LHV()
	rho, _, _ := blend.Density(quantity.Celsius(20))
	return Fuel{Name: "ethanol, 96 % vol", LHV: lhv, Density: rho}
})
