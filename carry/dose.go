package carry

import "fairburn/quantity"

// Dose is the fuel of one boil, with what is simmered after it: with every range
// in its middle, and with all at their mild and at their hard ends. What one boil
// scatters about that comes on top.
type Dose struct {
	Leg    string          `json:"leg"`
	Boil   string          `json:"boil"`
	Low    quantity.Mass   `json:"low_kg"`
	Middle quantity.Mass   `json:"middle_kg"`
	High   quantity.Mass   `json:"high_kg"`
	Poured quantity.Volume `json:"middle_m3,omitempty"` // at 20 °C; 0 for what is not poured
	Least  quantity.Volume `json:"low_m3,omitempty"`
	Most   quantity.Volume `json:"high_m3,omitempty"`
}

// doses lists every boil of the trip; none without a stove.
func (c *chooser) doses(s *sampled) []Dose {
	if s.stove.Kind == NoStove {
		return nil
	}
	ref, err := s.reference()
	if err != nil {
		return nil // it was drawn, so there is one
	}
	rho := float64(s.stove.fuel().Density)
	var all []Dose
	for leg := range c.trip.Legs {
		for _, b := range c.trip.Legs[leg].Boils {
			var kg [3]float64
			for i, share := range [...]float64{0, 0.5, 1} {
				kg[i], _, err = c.boiled(s.class, ref, oneBoil{leg, b, share})
				if err != nil {
					return nil
				}
				kg[i] *= s.need.Corrected
			}
			d := Dose{Leg: c.trip.legName(leg), Boil: b.Name, Low: quantity.Mass(kg[0]), Middle: quantity.Mass(kg[1]), High: quantity.Mass(kg[2])}
			if s.stove.Kind == Spirit && rho > 0 {
				d.Least, d.Poured, d.Most = quantity.Volume(kg[0]/rho), quantity.Volume(kg[1]/rho), quantity.Volume(kg[2]/rho)
			}
			all = append(all, d)
		}
	}
	return all
}

// oneBoil is a boil on a leg with every range at a share of the way to its hard end.
type oneBoil struct {
	leg  int
	boil Boil
	hard float64
}

// boiled is the fuel of a boil, kg, and its time, s, without scatter.
func (d *drawer) boiled(c *class, ref reference, at oneBoil) (fuel, wait float64, err error) {
	l, carried := &d.trip.Legs[at.leg], c.stove.fuel()
	k, err := c.boilOf(d.climates[at.leg], at.boil, ref)
	if err != nil {
		return 0, 0, err
	}
	energy, priming := ref.energy, 0.0
	if c.evidence == nil {
		energy = c.planning().at(at.hard) * float64(carried.LHV)
	}
	if c.borrowed {
		energy *= notAsTested.at(at.hard)
	}
	if c.stove.Kind == Spirit {
		priming = primingFuel(l.Air).at(at.hard) * float64(carried.Density)
	}
	times, simmer := k.at(1-at.hard)*l.Wind.Factor(c.screened).at(at.hard), at.boil.Simmer.Value.Seconds()
	fuel = energy/float64(carried.LHV)*(ref.prime+(1-ref.prime)*times) + priming + simmer*c.simmer().at(at.hard)/float64(carried.LHV)
	return fuel, ref.potOn + (ref.wait-ref.potOn)*times + simmer, nil
}
