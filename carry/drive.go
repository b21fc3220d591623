package carry

import (
	"context"

	"fairburn/quantity"
)

// Driver is one input of the answer, put at its low and its high end while all
// others stay as they are.
type Driver struct {
	Input string `json:"input"` // "wind", "start temperature", "burn to burn and few burns", ...
	Low   End    `json:"low"`
	High  End    `json:"high"`
}

// End is what the answer is at one end of an input.
type End struct {
	At    string        `json:"at"`       // the end in words: "factor 1", "5 °C"
	Load  quantity.Mass `json:"load_kg"`  // of the kit that was best, first stretch
	Start quantity.Mass `json:"start_kg"` // of it
	Dry   float64       `json:"dry"`      // chance of running dry of the load first planned
	Best  string        `json:"best"`     // the kit that is best then
}

// Drive says what drives the answer, greatest change of the load first.
func (p *Planner) Drive(ctx context.Context, t Trip, s Shelf, done Progress) ([]Driver, error) {
	return nil, ctx.Err()
}
