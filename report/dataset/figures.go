package dataset

import (
	"encoding/json"
	"fmt"

	"fairburn/reduce"
	"fairburn/trial"
)

// result is a burn with its figures as reduce writes them.
type result struct {
	*trial.Burned
	json map[string]any
}

func newResult(b *trial.Burned) (result, error) {
	r := result{Burned: b}
	written, err := json.Marshal(b.Result)
	if err == nil {
		err = json.Unmarshal(written, &r.json)
	}
	if err != nil {
		return result{}, fmt.Errorf("burn %s cannot be written: %w", b.ID, err)
	}
	return r, nil
}

// word is the text under a key, "" when there is none.
func (r result) word(key string) string {
	s, _ := r.json[key].(string)
	return s
}

// figure is the number under a key, nil when there is none.
func (r result) figure(key string) any {
	x, ok := r.json[key].(float64)
	if !ok {
		return nil
	}
	return x
}

// under is what stands under a key of one of the groups: "u", "basis", "at_most".
func (r result) under(group, key string) any {
	g, _ := r.json[group].(map[string]any)
	return g[key]
}

// atPeak ends the key of an efficiency of a burn that did not boil.
const atPeak = "_at_peak"

// keys are the keys under which a metric may stand.
func keys(m reduce.Metric) []string {
	key := m.Info().Key
	if m.Info().Kind == reduce.Share && m != reduce.RiseFraction {
		return []string{key, key + atPeak}
	}
	return []string{key}
}

// measured are the figures that are plainly measured, each with its standard
// uncertainty.
func measured() []column[result] {
	var cs []column[result]
	for _, m := range reduce.Metrics() {
		key, name := m.Info().Key, m.Info().Name
		cs = append(cs,
			col(key, decimal, name+", "+unitOf(m), func(b result) any { return b.figure(key) }),
			col("u_"+key, decimal, "standard uncertainty of "+key+", "+unitOf(m), func(b result) any { return b.under("u", key) }))
	}
	return cs
}

// unitOf is the unit of a metric's key, in words that stand behind a comma.
func unitOf(m reduce.Metric) string {
	switch m.Info().Kind {
	case reduce.Time:
		return "s"
	case reduce.Mass:
		return "g"
	case reduce.Volume:
		return "mL"
	case reduce.MassPerMass:
		return "g/kg"
	case reduce.EnergyPerMass:
		if m.Info().Scale == 1e6 {
			return "MJ/kg"
		}
		return "kJ/kg"
	case reduce.Energy:
		return "kJ"
	case reduce.Power:
		return "W"
	case reduce.MassPerTime:
		return "g/min"
	case reduce.Temperature:
		return "°C"
	}
	return "1"
}

// one is one figure of one burn, whatever may be said of it.
type one struct {
	burn, key, kind string
	value, u, basis any
}

// figures has a row for each figure of each burn, bounds and estimates too.
func (s *source) figures() table {
	var all []one
	for _, b := range s.results {
		for _, m := range reduce.Metrics() {
			for _, key := range keys(m) {
				if value := b.figure(key); value != nil {
					all = append(all, one{b.ID, key, plainly, value, b.under("u", key), b.under("basis", key)})
				}
				for _, kind := range figureKinds.codes[1:] {
					apart, ok := b.under(kind.code, key).(map[string]any)
					if ok {
						all = append(all, one{b.ID, key, kind.code, apart["value"], apart["u"], nil})
					}
				}
			}
		}
	}
	return fill(table{
		name: "figures", title: "Figures of the burns", key: []string{"burn", "metric"},
		refs: []reference{{"burn", "burns", "burn"}, {"metric", "metrics", "metric"}},
		says: "A row for each figure of each burn with its standard uncertainty and what may be said of it. Only figures of the kind measured are measured.",
	}, all, []column[one]{
		col("burn", text, "id of the burn", func(o one) any { return words(o.burn) }),
		col("metric", text, "what it is; its unit stands in the table metrics", func(o one) any { return words(o.key) }),
		col("value", decimal, "the figure, in the unit of its metric", func(o one) any { return o.value }),
		col("u", decimal, "standard uncertainty, in the unit of its metric", func(o one) any { return o.u }),
		coded("kind", figureKinds, "what may be said of it", func(o one) string { return o.kind }),
		{field{name: "basis", kind: text, says: "what an efficiency counts", of: bases}, func(o one) any { return o.basis }},
	})
}

// cause is a row of a budget.
type cause struct {
	burn, key, name, shared string
	contribution, share     any
}

// budgeted returns the key under which reduce writes the metric's budget as JSON,
// and false where it writes none.
func (r result) budgeted(m reduce.Metric) (string, bool) {
	for _, key := range keys(m) {
		if r.under("budget", key) != nil {
			return key, true
		}
	}
	return "", false
}

// budgets has a row for each cause in the budget of each leading figure.
func (s *source) budgets() table {
	var all []cause
	for _, b := range s.results {
		for _, m := range reduce.Metrics() {
			key, ok := b.budgeted(m)
			if !ok {
				continue
			}
			budget, _ := b.Result.Budget(m)
			for _, c := range budget.Causes() {
				if c.Contribution == 0 && c.Share == 0 {
					continue // an input of other figures
				}
				all = append(all, cause{b.ID, key, c.Name, c.Key, inUnit(m, c.Contribution), number(c.Share)})
			}
		}
	}
	return fill(table{
		name: "budgets", title: "Uncertainty budgets",
		refs: []reference{{"burn", "burns", "burn"}, {"metric", "metrics", "metric"}},
		says: "A row for each cause of uncertainty of each leading figure. The contributions of one figure, squared and added, are the square of its standard uncertainty where no causes are correlated; the shares add to 1.",
	}, all, []column[cause]{
		col("burn", text, "id of the burn", func(c cause) any { return words(c.burn) }),
		col("metric", text, "figure that is uncertain", func(c cause) any { return words(c.key) }),
		col("cause", text, "what it is uncertain by", func(c cause) any { return words(c.name) }),
		col("shared_through", text, "what other burns share this error through; repeats do not shrink it", func(c cause) any { return words(c.shared) }),
		col("contribution", decimal, "what one standard uncertainty of the cause moves the figure, in the unit of its metric", func(c cause) any { return c.contribution }),
		col("share", decimal, "share of the variance of the figure; below 0 where an error takes back what another brought", func(c cause) any { return c.share }),
	})
}

// described is a metric under one of its keys.
type described struct {
	reduce.Metric
	key string
}

// metrics has a row for each metric.
func metrics() table {
	var all []described
	for _, m := range reduce.Metrics() {
		for _, key := range keys(m) {
			all = append(all, described{m, key})
		}
	}
	better := map[int]string{+1: "lower", -1: "higher"}
	return fill(table{
		name: "metrics", title: "Metrics", key: []string{"metric"},
		says: "What each metric is and its unit. Times without a word are from light; heating is from pot-on.",
	}, all, []column[described]{
		col("metric", text, "its key, the same in every table", func(d described) any { return words(d.key) }),
		col("name", text, "its name", func(d described) any {
			if d.key != d.Info().Key {
				return words(d.Info().Name + ", of a burn that did not boil, at its hottest")
			}
			return words(d.Info().Name)
		}),
		col("unit", text, "its unit; 1 is a plain number", func(d described) any { return words(unitOf(d.Metric)) }),
		coded("better", betters, "which way is better; none: neither", func(d described) string { return better[d.Info().LowerIsBetter] }),
	})
}
