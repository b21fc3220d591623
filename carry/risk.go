package carry

import (
	"slices"

	"fairburn/quantity"
)

// Risk is one point of a kit's risk curve: with so much fuel on the first stretch,
// and on the others in proportion, so many of the draws run dry on some stretch.
type Risk struct {
	Fuel quantity.Mass `json:"fuel_kg"`
	Dry  float64       `json:"dry"`
}

// riskShares are the chances at which the curve is told: close where a person
// decides.
var riskShares = []float64{
	0.99, 0.95, 0.9, 0.8, 0.7, 0.6, 0.5, 0.4, 0.3, 0.25, 0.2, 0.15, 0.12,
	0.1, 0.08, 0.06, 0.05, 0.04, 0.03, 0.025, 0.02, 0.015, 0.01, 0.005, 0.002, 0.001,
}

// risk is the curve through the loads. A draw runs dry when all loads are cut to a
// share f of what they are and f is below the greatest of need over load, so the
// curve is the distribution of that greatest ratio.
func (s *sampled) risk(loads []float64) []Risk {
	if len(loads) == 0 || loads[0] <= 0 {
		return nil
	}
	worst := make([]float64, len(s.stretches[0].use.x))
	for k, load := range loads {
		for i, need := range s.stretches[k].use.x {
			if need > 0 {
				worst[i] = max(worst[i], need/load)
			}
		}
	}
	slices.Sort(worst)
	all := draws{x: worst, ordered: worst}
	curve := make([]Risk, len(riskShares))
	for i, p := range riskShares {
		curve[i] = Risk{quantity.Mass(all.quantile(1-p) * loads[0]), p}
	}
	return curve
}
