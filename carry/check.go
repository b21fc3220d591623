package carry

import (
	"fmt"
	"slices"

	"fairburn/finding"
	"fairburn/quantity"
)

// Limits of what is answered: longer trips and more draws are refused, not cut.
const (
	mostDays   = 365
	mostLegs   = 100
	mostPeople = 100
	mostBoils  = 20_000
	leastDraw  = 100
	mostDraws  = 1_000_000
	// manyResupplies is more than anyone plans; it is asked about, not refused.
	manyResupplies = 12
)

func fault(code, subject, field, sentence, remedy string) finding.Finding {
	return finding.Finding{Code: code, Severity: finding.Fault, Where: finding.Place{Subject: subject, Field: field}, Sentence: sentence, Remedy: remedy}
}

func (t *Trip) legName(i int) string {
	if t.Legs[i].Name != "" {
		return "leg " + t.Legs[i].Name
	}
	return fmt.Sprintf("leg %d", i+1)
}

// checker gathers findings.
type checker struct{ found []finding.Finding }

func (c *checker) say(sev finding.Severity, code, subject, field, sentence, remedy string) {
	f := fault(code, subject, field, sentence, remedy)
	f.Severity = sev
	c.found = append(c.found, f)
}

// Check says what is wrong with the question. A fault means that no answer can be
// given; a caution or note asks whether something is meant.
func (t *Trip) Check() []finding.Finding {
	c := &checker{}
	days, resupplies, boils := t.days(), 0, 0
	for i := range t.Legs {
		boils += c.leg(t, i)
		if len(t.Legs[i].Resupply) > 0 {
			resupplies++
		}
	}
	c.size(t, days, boils)
	if resupplies > manyResupplies {
		c.say(finding.Caution, "many_resupplies", "trip", "legs", fmt.Sprintf("%d resupplies on %d days, more than %d expected", resupplies, days, manyResupplies), "check that each leg ends where fuel is really to be had")
	}
	c.reserve(t.Reserve.orDefault())
	for _, p := range t.Past {
		if why := p.unusable(); why != "" {
			c.say(finding.Caution, "past_left_out", "past trip "+p.Trip, "past", why, "correct it or leave it out")
		}
	}
	if o := t.Choose; o != "" && !slices.Contains(Objectives(), o) {
		c.say(finding.Fault, "objective_unknown", "trip", "choose", fmt.Sprintf("%q is not something to have least of", o), "choose start mass, mean carried mass, chance of running dry, waiting or cost")
	}
	if t.Choose == LeastDry && !t.Limits.Start.Given {
		c.say(finding.Fault, "no_greatest_mass", "trip", "limits.start", "the least chance of running dry has no answer without a greatest mass: more fuel is always surer", "give the greatest mass at the start")
	}
	return c.found
}

func (c *checker) size(t *Trip, days, boils int) {
	if days == 0 {
		c.say(finding.Fault, "trip_without_days", "trip", "legs", "the trip lasts 0 days, expected 1 or more", "write the days of each leg")
	}
	if days > mostDays || len(t.Legs) > mostLegs {
		c.say(finding.Fault, "trip_too_long", "trip", "legs", fmt.Sprintf("%d days in %d legs, expected at most %d days in %d legs", days, len(t.Legs), mostDays, mostLegs), "plan it in parts")
	}
	if t.People < 1 || t.People > mostPeople {
		c.say(finding.Fault, "people_out_of_range", "trip", "people", fmt.Sprintf("%d people, expected 1 to %d", t.People, mostPeople), "write how many share the kit")
	}
	if boils > mostBoils {
		c.say(finding.Fault, "too_many_boils", "trip", "legs", fmt.Sprintf("%d boils over the whole trip, expected at most %d", boils, mostBoils), "check days, people and boils a day, or plan it in parts")
	}
	if n := t.draws(); n < leastDraw || n > mostDraws {
		c.say(finding.Fault, "draws_out_of_range", "trip", "draws", fmt.Sprintf("%d draws, expected %d to %d", n, leastDraw, mostDraws), "10000 are enough for most")
	}
	if boils == 0 && days > 0 {
		c.say(finding.Caution, "nothing_boiled", "trip", "legs", "no leg boils any water, so every kit needs no fuel", "write the boils of each day, such as 500 mL twice")
	}
}

func (c *checker) reserve(r Reserve) {
	bad := ""
	switch {
	case r.Rule == ByDays && !(r.Days >= 0 && r.Days <= 30):
		bad = fmt.Sprintf("a reserve of %g days, expected 0 to 30", r.Days)
	case r.Rule == ByShare && !(r.Share >= 0 && r.Share <= 5):
		bad = fmt.Sprintf("a reserve of %g of the need, expected 0 to 5", float64(r.Share))
	case r.Rule == ByChance && !(r.Chance > 0 && r.Chance <= 0.5):
		bad = fmt.Sprintf("a chance of running dry of %g, expected above 0 and at most 0.5", float64(r.Chance))
	case r.Rule != ByDays && r.Rule != ByShare && r.Rule != ByChance:
		bad = fmt.Sprintf("a reserve by %q, expected days, share or chance", r.Rule)
	}
	if bad != "" {
		c.say(finding.Fault, "reserve_out_of_range", "trip", "reserve", bad, "the usual reserve is one extra day")
	}
}

// leg checks one leg and returns how many boils it has.
func (c *checker) leg(t *Trip, i int) int {
	l, name := &t.Legs[i], t.legName(i)
	if l.Days < 0 {
		c.say(finding.Fault, "days_negative", name, "days", fmt.Sprintf("%d days, expected 0 or more", l.Days), "write how many days it lasts")
	}
	if !slices.Contains(append(Winds(), ""), l.Wind) {
		c.say(finding.Fault, "wind_unknown", name, "wind", fmt.Sprintf("wind %q, expected still, breeze, wind or gale", l.Wind), "choose one")
	}
	boils := 0
	for _, b := range l.Boils {
		boils += max(0, t.count(l, b))
		c.boil(name, b)
	}
	c.snow(l, name)
	return boils
}

func (c *checker) boil(leg string, b Boil) {
	kg := b.kilograms()
	switch {
	case !b.Mass.Given && !b.Volume.Given:
		c.say(finding.Fault, "water_missing", leg, "boil.water", fmt.Sprintf("boil %q does not say how much water", b.Name), "write it, such as 500 mL")
	case !(kg > 0 && kg <= 20):
		c.say(finding.Fault, "water_out_of_range", leg, "boil.water", fmt.Sprintf("a boil of %.3g kg of water, expected above 0 and at most 20 kg", kg), "check the unit")
	}
	if b.PerDay < 0 || b.PerDay > 50 {
		c.say(finding.Fault, "boils_out_of_range", leg, "boil.per_day", fmt.Sprintf("%d boils a day, expected 0 to 50", b.PerDay), "write how often a day")
	}
	if m := b.Simmer; m.Given && !(m.Value >= 0 && m.Value.Hours() <= 6) {
		c.say(finding.Fault, "simmer_out_of_range", leg, "boil.simmer", fmt.Sprintf("simmering for %s, expected 0 to 6 h", m.Value), "write the minutes after each boil")
	}
}

// snow asks about snow where none is likely: in warm air, or low down with nobody
// saying how cold it is (common practice, no source).
func (c *checker) snow(l *Leg, leg string) {
	if !l.SnowShare.Given || l.SnowShare.Value == 0 {
		return
	}
	warm := l.Air.Given && l.Air.Value.Celsius() > 12
	low := !l.Air.Given && l.Elevation.Value < 1000
	if !warm && !low {
		return
	}
	where := quantity.FormatElevation(l.Elevation.Value, quantity.Metric)
	if warm {
		where += fmt.Sprintf(" in air of %.0f °C", l.Air.Value.Celsius())
	}
	c.say(finding.Note, "snow_unlikely", leg, "snow", fmt.Sprintf("%.0f %% of the water from snow at %s: is there snow?", float64(l.SnowShare.Value)*100, where), "give the air temperature, or leave snow out; melting more than doubles the fuel")
}

// unusable says why a part cannot be chosen, "" when it can.
func (p Part) unusable() string { return unweighed(p.Mass) }

func unweighed(m quantity.Reading[quantity.Mass]) string {
	switch {
	case !m.Given:
		return "was not weighed, and would always be lightest"
	case !(m.Value >= 0 && m.Value < 100):
		return fmt.Sprintf("weighs %g g, expected 0 to 100 kg", float64(m.Value)*1e3)
	}
	return ""
}

func (v *Stove) unusable() string {
	if v.Kind == NoStove {
		return ""
	}
	if !slices.Contains([]Kind{Spirit, Gas, Tablets}, v.Kind) {
		return fmt.Sprintf("burns %q, expected spirit, gas, tablets or none", v.Kind)
	}
	if r := v.PerLitre; r.Given && len(v.Evidence) == 0 {
		low, high := float64(r.Value)-r.Tolerance, float64(r.Value)+r.Tolerance
		if !(low > 0) || efficiency(low, v.fuel().LHV) > 1 {
			return fmt.Sprintf("is said to boil a litre on %.3g g, %.0f %% of the heat of its fuel; expected at most 100 %%", low*1e3, 100*efficiency(low, v.fuel().LHV))
		}
		if efficiency(high, v.fuel().LHV) < 0.05 {
			return fmt.Sprintf("is said to boil a litre on %.3g g, %.1f %% of the heat of its fuel; expected at least 5 %%", high*1e3, 100*efficiency(high, v.fuel().LHV))
		}
	}
	return unweighed(v.Mass)
}

func (v Vessel) unusable() string {
	switch {
	case unweighed(v.Mass) != "":
		return unweighed(v.Mass)
	case v.Count < 0:
		return fmt.Sprintf("is there %d times, expected 0 for any number or more", v.Count)
	case v.For == Spirit && !(v.Holds.Given && v.Holds.Value > 0 && v.Holds.Value < 0.1):
		return "is a bottle and does not say what it holds, expected above 0 and under 100 L"
	case v.For != Spirit && !(v.Fuel.Given && v.Fuel.Value > 0 && v.Fuel.Value < 100):
		return "does not say how much fuel it holds, expected above 0 and under 100 kg"
	case v.For != Spirit && v.Fuel.Value > v.Mass.Value:
		return fmt.Sprintf("holds %g g of fuel and weighs %g g full", float64(v.Fuel.Value)*1e3, float64(v.Mass.Value)*1e3)
	}
	return ""
}

// unusable says why a past trip corrects nothing: a factor beyond 5 is a unit or
// another stove (common practice, no source).
func (p Past) unusable() string {
	planned, used := float64(p.Planned.Value)*1e3, float64(p.Used.Value)*1e3
	switch {
	case !p.Planned.Given || !p.Used.Given || !(planned > 0 && used > 0):
		return "does not say the fuel planned and used, both above 0"
	case used > 5*planned || planned > 5*used:
		return fmt.Sprintf("used %.3g g where %.3g g were planned, expected a fifth to five times", used, planned)
	}
	return ""
}

// Check says what cannot be taken and why.
func (s *Shelf) Check() []finding.Finding {
	c := &checker{}
	pots := 0
	for _, p := range s.Parts {
		if !slices.Contains(Slots(), p.Slot) {
			c.say(finding.Caution, "slot_unknown", p.Name, "slot", fmt.Sprintf("fills %q, which no kit has", p.Slot), "choose pot, lid, screen, stand, primer or lighter")
		}
		if why := p.unusable(); why != "" {
			c.say(finding.Caution, "left_out", string(p.Slot)+" "+p.Name, "mass", why, "weigh it")
		} else if p.Slot == Pot {
			pots++
		}
	}
	for i := range s.Stoves {
		c.stove(s, &s.Stoves[i], pots)
	}
	for _, v := range s.Vessels {
		if why := v.unusable(); why != "" {
			c.say(finding.Caution, "left_out", "vessel "+v.Name, "", why, "correct it or leave it out")
		}
	}
	return c.found
}

func (c *checker) stove(s *Shelf, v *Stove, pots int) {
	name := "stove " + v.Name
	if why := v.unusable(); why != "" {
		code, remedy := "left_out", "weigh it"
		if v.PerLitre.Given && unweighed(v.Mass) == "" {
			code, remedy = "efficiency_impossible", "check the unit: grams or millilitres of fuel for a litre of water from 20 to 100 °C"
		}
		c.say(finding.Caution, code, name, "", why, remedy)
		return
	}
	if v.Kind == NoStove {
		c.say(finding.Note, "eats_cold", name, "", "heats nothing: who takes it eats cold and needs no fuel", "")
		return
	}
	if pots == 0 {
		c.say(finding.Caution, "kit_without_pot", name, "pot", "there is no pot to put on it", "list a pot with its mass")
	}
	if !slices.ContainsFunc(s.Vessels, func(b Vessel) bool { return b.For == v.Kind && b.unusable() == "" }) {
		c.say(finding.Caution, "nothing_to_carry_fuel_in", name, "", fmt.Sprintf("the shelf has no bottle, cartridge or tablet for %s", v.Kind), "list them with what they hold and weigh")
	}
}

// say adds a finding about the choice once.
func (c *chooser) say(sev finding.Severity, code, subject, sentence, remedy string) {
	f := fault(code, subject, "", sentence, remedy)
	f.Severity = sev
	if !slices.Contains(c.found, f) {
		c.found = append(c.found, f)
	}
}

// judge says what a reader must know of a need before relying on it.
func (c *chooser) judge(s *sampled) {
	if s.stove.Kind == NoStove {
		return
	}
	name := s.stove.Name
	switch s.ground() {
	case Published, OwnFigure:
		c.say(finding.Note, "planning_figure", name, fmt.Sprintf("nobody here has burned it: %s", s.planning().Reason), "time and weigh a few boils, outdoors if it will be used there")
	case FewBurns:
		c.say(finding.Note, "few_burns", name, fmt.Sprintf("%d of its burns know their fuel to boil, expected %d or more; scatter from burn to burn is a planning figure", s.evidence.N, leastWeighed), "weigh more boils")
	}
	for i := range c.trip.Legs {
		c.judgeLeg(s, i)
	}
}

// judgeLeg says where a leg asks more of a kit than is known of it.
func (c *chooser) judgeLeg(s *sampled, i int) {
	l, where := &c.trip.Legs[i], c.trip.legName(i)
	if s.stove.Kind == Gas && l.Air.Given && l.Air.Value.Celsius() < 0 {
		c.say(finding.Caution, "gas_in_the_cold", where, fmt.Sprintf("gas at %.0f °C gives less the colder and emptier the cartridge; that is not in these figures", l.Air.Value.Celsius()), "keep cartridges warm, or plan with burns made in the cold")
	}
	for _, b := range l.Boils {
		kg := b.kilograms()
		if s.stove.Kind == Tablets && b.Simmer.Value > 0 {
			c.say(finding.Caution, "tablets_do_not_simmer", where, "tablets cannot be turned down, yet something is to simmer on them", "count the simmering as one more boil, or take another stove")
		}
		if h := s.pot.Holds; h.Given && kg > float64(h.Value)*1000 {
			c.say(finding.Caution, "pot_too_small", where, fmt.Sprintf("a boil of %.0f g of water in a pot that holds %.0f mL", kg*1e3, float64(h.Value)*1e6), "boil it in parts: write more boils of less water")
		}
		if e := s.evidence; e != nil && (kg > 2*e.Water || kg < e.Water/2) {
			c.say(finding.Caution, "far_from_tested", s.stove.Name, fmt.Sprintf("boils of %.0f g are reckoned from burns at %.0f g; half to double is what the reckoning is trusted for", kg*1e3, e.Water*1e3), "burn some with the water of the trip")
		}
		c.judgeBottles(s, where, kg)
	}
}

// judgeBottles asks about bottles that do not even hold the fuel of one boil.
func (c *chooser) judgeBottles(s *sampled, where string, kg float64) {
	ref, err := s.reference()
	if err != nil || s.stove.Kind != Spirit {
		return
	}
	f := s.stove.fuel()
	one := ref.energy / ref.heat * referenceRise * kg / float64(f.LHV) / float64(f.Density)
	for _, v := range c.shelf.Vessels {
		if v.For == Spirit && v.unusable() == "" && float64(v.Holds.Value) < one {
			c.say(finding.Caution, "bottle_smaller_than_a_dose", where, fmt.Sprintf("bottle %s holds %.0f mL and one boil takes about %.0f mL", v.Name, float64(v.Holds.Value)*1e6, one*1e6), "check the unit, or take a larger bottle")
		}
	}
}

// reasons say in words what a need rests on.
func (c *chooser) reasons(s *sampled) []string {
	if s.stove.Kind == NoStove {
		return []string{"nothing is heated"}
	}
	why := s.class.reasons()
	if s.need.Corrected != 1 {
		why = append(why, fmt.Sprintf("factor %.2f from what earlier trips used", s.need.Corrected))
	}
	tell := func(format string, args ...any) {
		if line := fmt.Sprintf(format, args...); !slices.Contains(why, line) {
			why = append(why, line)
		}
	}
	for i := range c.trip.Legs {
		l := &c.trip.Legs[i]
		if w := l.Wind.Factor(s.screened); w.High > 1 {
			tell("%s: factor %g to %g, %s", l.Wind, w.Low, w.High, w.Reason)
		}
		if r := primingFuel(l.Air); r.High > 0 && s.stove.Kind == Spirit {
			tell("%s", r.Reason)
		}
		if slices.ContainsFunc(l.Boils, func(b Boil) bool { return b.Simmer.Value > 0 }) {
			tell("simmering: %s", s.simmer().Reason)
		}
	}
	return why
}

// reasons are those of the fuel of one boil in still air.
func (c *class) reasons() []string {
	e := c.evidence
	if e == nil {
		return []string{c.planning().Reason}
	}
	why := []string{fmt.Sprintf("%d burns of %s", e.N, e.Entry.Name)}
	if e.Prorated > 0 {
		why = append(why, fmt.Sprintf("%d of them with fuel only prorated", e.Prorated))
	}
	if e.Estimated > 0 {
		why = append(why, fmt.Sprintf("%d of them did not boil and were carried to the boil", e.Estimated))
	}
	if e.Tried > 0 {
		why = append(why, fmt.Sprintf("%d of %d boiled; a boil that fails is done over with as much fuel again", e.Boiled, e.Tried))
	}
	if c.borrowed {
		why = append(why, fmt.Sprintf("factor %g to %g: %s", notAsTested.Low, notAsTested.High, notAsTested.Reason))
	}
	return why
}
