package reduce

import (
	"encoding/json"
	"math"

	"fairburn/burn"
)

// headline lists the figures whose budgets go into JSON.
var headline = [...]Metric{BoilTime, RefTime, FuelToBoil, RefFuel, EtaWater, EtaAll, MeanPower, HeatingPower}

// leastShare is the part of a variance below which a cause is left out of JSON.
const leastShare = 0.001

// share is one cause in a budget as JSON has it.
type share struct {
	Cause  string  `json:"cause"`
	Share  float64 `json:"share"`
	Shared bool    `json:"shared,omitempty"` // with other burns: repeats do not shrink it
}

// apart is a figure that must not be taken for a measured one.
type apart struct {
	Value float64  `json:"value"`
	U     *float64 `json:"u,omitempty"`
}

// MarshalJSON writes the burn as one flat object: every figure under its key
// in the key's unit, its standard uncertainty under the same key in "u". Of a
// burn that did not boil the keys of efficiency end in "_at_peak". A figure
// that is not there has no key. What is only a bound, only estimated, or
// outside the range of the correction stands under its key in "at_most",
// "at_least", "estimated" or "out_of_range" instead, so that nobody takes it
// for measured. Event and censoring times are from pot-on.
func (r Result) MarshalJSON() ([]byte, error) {
	o := map[string]any{"burn": r.Burn, "entry": r.Entry, "status": r.Status}
	r.writeOutcome(o)
	u, basis, budgets := map[string]float64{}, map[string]string{}, map[string][]share{}
	for m := range metricCount {
		f, ok := r.Figure(m)
		if !ok {
			continue
		}
		key := r.key(m)
		value, spread := f.Value/infos[m].Scale, f.U/infos[m].Scale
		if group := f.group(m); group != "" {
			put(o, group, key, value, spread)
			continue
		}
		o[key] = value
		if finite(spread) {
			u[key] = spread
		}
		if code := r.basisCode(m); code != "" {
			basis[key] = code
		}
	}
	for _, m := range headline {
		if shares := r.shares(m); len(shares) > 0 {
			budgets[r.key(m)] = shares
		}
	}
	if fuel, ok := o[infos[FuelToBoil].Key]; ok && r.FuelBy == burn.Prorated {
		o["m_f_boil_prorated_g"] = fuel
	}
	o["u"], o["basis"], o["budget"] = u, basis, budgets
	return json.Marshal(o)
}

// writeOutcome writes how the burn ended and what was found.
func (r Result) writeOutcome(o map[string]any) {
	fromPot := func(seconds float64) float64 { return seconds - r.Outcome.PotOn.Seconds() }
	switch {
	case r.Status == Interval:
		o["event_interval_s"] = [2]float64{fromPot(r.Outcome.NotBefore.Seconds()), fromPot(r.Outcome.Boil.Seconds())}
		o["event_time_s"] = r.figures[HeatTime].Value
	case r.Status.HasBoil():
		o["event_time_s"] = fromPot(r.Outcome.Boil.Seconds())
	case r.Status != Invalid:
		o["censor_time_s"] = fromPot(r.Outcome.Censor.Seconds())
	}
	if r.Outcome.FlameOut {
		o["competing"] = "flame_out"
	}
	if r.Block != "" {
		o["block"] = r.Block
	}
	if r.Void != "" {
		o["void"] = r.Void
	}
	if r.FuelBy != burn.NotMeasured {
		o["fuel_to_boil_by"] = r.FuelBy
	}
	flags := []string{}
	for _, f := range r.Findings {
		flags = append(flags, f.Code)
	}
	o["flags"] = flags
	if len(r.Findings) > 0 {
		o["findings"] = r.Findings
	}
}

// put writes a figure into one of the groups that stand apart.
func put(o map[string]any, group, key string, value, u float64) {
	figures, ok := o[group].(map[string]apart)
	if !ok {
		figures = map[string]apart{}
		o[group] = figures
	}
	a := apart{Value: value}
	if finite(u) {
		a.U = &u
	}
	figures[key] = a
}

// group is where a figure stands that is not plainly measured. What the
// protocols call extrapolated or lower says so in its own key.
func (f Figure) group(m Metric) string {
	switch {
	case m == FuelExtrapolated || m == FuelToBoilLow:
		return ""
	case f.OutOfRange:
		return "out_of_range"
	case f.Estimated:
		return "estimated"
	}
	return string(f.Bound)
}

func (r Result) key(m Metric) string {
	if m >= EtaWater && m <= EtaAll && !r.Status.HasBoil() {
		return infos[m].Key + "_at_peak"
	}
	return infos[m].Key
}

// basisCode is Basis as data files keep it: heating value, what is counted,
// end point.
func (r Result) basisCode(m Metric) string {
	if m < EtaWater || m > EtaAll {
		return ""
	}
	counts := [...]string{"water", "water+evap", "water+pot", "water+pot+evap"}[m-EtaWater]
	if r.Status.HasBoil() {
		return "net " + counts + " boil"
	}
	return "net " + counts + " peak"
}

// shares is the budget of a figure in brief, largest cause first.
func (r Result) shares(m Metric) []share {
	b, ok := r.Budget(m)
	if !ok {
		return nil
	}
	var shares []share
	for _, c := range b.Causes() {
		if math.Abs(c.Share) >= leastShare {
			shares = append(shares, share{c.Name, c.Share, c.Key != ""})
		}
	}
	return shares
}
