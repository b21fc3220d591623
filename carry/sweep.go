package carry

import (
	"context"

	"fairburn/quantity"
)

// Sweep is how the lightest kit changes with the days of a trip.
type Sweep struct {
	Kits  []Kit      `json:"kits"`  // one for each stove and pot
	Days  []SweepDay `json:"days"`  // from 1
	Turns []Turn     `json:"turns"` // days at which the lightest changes
}

// SweepDay is one length of the trip: the masses of each kit, in kg; NaN-free:
// a kit that cannot carry enough is −1.
type SweepDay struct {
	Days  int             `json:"days"`
	Start []quantity.Mass `json:"start_kg"`
	Mean  []quantity.Mass `json:"mean_kg"`
}

// Turn is a day at which another kit becomes the lightest.
type Turn struct {
	By   Objective `json:"by"` // LeastStart or LeastMean
	Days int       `json:"days"`
	From int       `json:"from"` // index of the kit that was lightest
	To   int       `json:"to"`
	Tie  bool      `json:"tie,omitempty"` // on that day both weigh the same
}

// Sweep lasts the trip 1 to days long. It takes the lightest kit of each stove and pot.
func (p *Planner) Sweep(ctx context.Context, t Trip, s Shelf, days int, done Progress) (*Sweep, error) {
	return &Sweep{}, ctx.Err()
}
