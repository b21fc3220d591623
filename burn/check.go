package burn

import (
	"fmt"
	"math"
	"time"

	"fairburn/finding"
	"fairburn/quantity"
)

// Check says what the record alone shows to be missing, impossible or out of
// order. Findings marked before_lighting in the code could have been seen
// before the burner was lit.
func (r Record) Check() []finding.Finding {
	c := checker{place: r.place()}
	c.beforeLighting(r)
	c.markOrder(r)
	c.fuelStages(r)
	c.water(r)
	return c.found
}

// place is where the record came from, with the burn named.
func (r Record) place() finding.Place {
	p := r.Where
	p.Subject = "burn " + r.ID
	return p
}

type checker struct {
	place finding.Place
	found []finding.Finding
}

func (c *checker) say(code string, sev finding.Severity, field, sentence, remedy string) {
	p := c.place
	p.Field = field
	c.found = append(c.found, finding.Finding{Code: code, Severity: sev, Where: p, Sentence: sentence, Remedy: remedy})
}

// beforeLighting lists what should be known before the match is struck.
func (c *checker) beforeLighting(r Record) {
	if !r.Water.Mass.Given && !r.Water.Volume.Given {
		c.say("water_missing", finding.Caution, "water.mass", "the water was neither weighed nor measured", "weigh the water before lighting; nothing can be corrected without it")
	}
	if !r.Water.Start.Given {
		c.say("start_temperature_missing", finding.Caution, "water.start", "the start temperature of the water was not read", "stir and read it before lighting; a kelvin is more than a per cent of the boil")
	}
	if !r.Fuel.Poured.Given && !r.Fuel.DoseMass.Given && !r.Fuel.DoseVolume.Given {
		c.say("dose_missing", finding.Caution, "fuel.poured", "neither the fuel's mass nor the dose is written down", "weigh burner and fuel before lighting")
	} else if !r.Fuel.Poured.Given && !r.Fuel.DoseMass.Given {
		c.say("fuel_not_weighed", finding.Note, "fuel.poured", "the dose was measured by volume and not weighed", "weigh burner and fuel before lighting and again at the end")
	}
}

// markOrder checks that no mark comes before one that it must follow.
func (c *checker) markOrder(r Record) {
	for _, pair := range [][2]Mark{
		{Light, Bloom}, {Light, PotOn}, {Light, Boil}, {Light, Out}, {Light, Snuffed}, {Light, PotOff},
		{PotOn, Boil}, {PotOn, PotOff}, {PotOn, NotBoiling}, {NotBoiling, Boil}, {Bloom, Out}, {Bloom, Snuffed},
		{PotOn, Out}, {PotOn, Snuffed}, {SimmerStart, SimmerEnd}, {Boil, PotOff},
	} {
		first, okFirst := r.At(pair[0])
		second, okSecond := r.At(pair[1])
		if okFirst && okSecond && second < first {
			c.say("mark_order", finding.Fault, "marks."+string(pair[1]),
				fmt.Sprintf("%s at %s lies before %s at %s", pair[1].Label(), clock(second), pair[0].Label(), clock(first)),
				"check both marks against the film or the notebook")
		}
	}
	_, out := r.At(Out)
	_, snuffed := r.At(Snuffed)
	if out && snuffed {
		c.say("out_and_snuffed", finding.Fault, "marks.snuffed", "the burn both ended by itself and was put out", "keep the one that happened first")
	}
	if !out && !snuffed {
		c.say("end_missing", finding.Caution, "marks.out", "no mark says when the flame ended", "mark flame-out by the snuffer test, or when it was put out")
	}
}

// fuelStages checks that fuel only ever got less.
func (c *checker) fuelStages(r Record) {
	stages := []struct {
		field string
		mass  quantity.Reading[quantity.Mass]
	}{
		{"fuel.poured", r.Fuel.Poured}, {"fuel.at_pot_on", r.Fuel.AtPotOn},
		{"fuel.at_boil", r.Fuel.AtBoil}, {"fuel.left", r.Fuel.Left},
	}
	var last int = -1
	for i, s := range stages {
		if !s.mass.Given {
			continue
		}
		if math.IsNaN(float64(s.mass.Value)) || math.IsInf(float64(s.mass.Value), 0) {
			c.say("not_a_number", finding.Fault, s.field, "the mass is not a number", "write the mass as read, such as 14.9 g")
			continue
		}
		if last >= 0 && s.mass.Value > stages[last].mass.Value {
			c.say("fuel_grew", finding.Fault, s.field,
				fmt.Sprintf("%s is heavier than %s at the stage before, by %.2f g", s.mass.Text, stages[last].mass.Text,
					float64((s.mass.Value-stages[last].mass.Value)/quantity.Gram)),
				"check the two readings and that the same things stood on the scale")
		}
		last = i
	}
	if r.Fuel.Weighed == FuelOnly && r.Fuel.Poured.Given && r.Fuel.DoseMass.Given && r.Fuel.Poured.Value > 1.05*r.Fuel.DoseMass.Value {
		c.say("poured_above_dose", finding.Caution, "fuel.poured",
			fmt.Sprintf("%s was weighed where the dose was %s", r.Fuel.Poured.Text, r.Fuel.DoseMass.Text), "say what stood on the scale")
	}
}

// water checks the water's own readings against each other.
func (c *checker) water(r Record) {
	w := r.Water
	if w.End.Given && w.Mass.Given && w.End.Value > w.Mass.Value {
		c.say("water_grew", finding.Fault, "water.end",
			fmt.Sprintf("%s at the end is more than %s at the start", w.End.Text, w.Mass.Text), "check the two readings and the pot's own mass")
	}
	if w.Peak.Given && w.Start.Given && w.Peak.Value.Sub(w.Start.Value) < 0 {
		c.say("water_cooled", finding.Fault, "water.peak",
			fmt.Sprintf("the highest temperature %s lies below the start %s", w.Peak.Text, w.Start.Text), "check the two readings")
	}
}

// clock writes a time from light as m:ss, with its sign.
func clock(d time.Duration) string {
	sign := ""
	if d < 0 {
		sign, d = "-", -d
	}
	s := int(d.Round(time.Second) / time.Second)
	return fmt.Sprintf("%s%d:%02d", sign, s/60, s%60)
}
