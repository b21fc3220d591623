package reduce

import (
	"fmt"
	"math"

	"fairburn/burn"
	"fairburn/finding"
)

// mark sets what the statuses and ranges say of each figure: bounds where a
// weighing is missing, estimates of burns that did not boil, corrected figures
// outside the range of the correction.
func (r *Result) mark(b *bench) {
	if b.fuel.boilBound && r.Status.HasBoil() {
		for _, m := range []Metric{FuelToBoil, RefFuel, RefFuelBatch, RefFuelVolume, FuelPerWater, EnergyPerWater, EnergyIn, HeatingPower, BurnRate} {
			r.figures[m].Bound = AtMost
		}
		for _, m := range []Metric{EtaWater, EtaWaterEvap, EtaWaterPot, EtaAll} {
			r.figures[m].Bound = AtLeast
		}
	}
	if r.Outcome.Snuffed {
		r.figures[BurnTime].Bound = AtLeast // R10
	}
	if !r.Status.HasBoil() {
		for _, m := range []Metric{FuelToBoil, RefFuel, RefFuelBatch, RefFuelVolume, FuelExtrapolated} {
			r.figures[m].Estimated = true
		}
	}
	if !b.inRange() {
		for _, m := range []Metric{RefTime, RefFuel, RefFuelBatch, RefFuelVolume} {
			r.figures[m].OutOfRange = true
		}
	}
}

// inRange reports whether the correction to reference conditions holds for the
// burn: rise and water near the reference, boiling point not too low.
func (b *bench) inRange() bool {
	ref, rules := b.setup.Reference, b.setup.Rules
	near := func(value, reference float64) bool {
		return math.Abs(value/reference-1) <= float64(rules.Range)
	}
	rise := b.tb - b.cold.celsius
	if math.IsNaN(rise) || !b.burn.Water.Start.Given || b.water == 0 {
		return true // there is no corrected figure to mark
	}
	return near(rise, float64(ref.To.Sub(ref.From))) && near(b.water, float64(ref.Water)) && b.tb >= rules.LowestBoil.Celsius()
}

// judge says what looks wrong or limits the figures of the burn.
func (r *Result) judge(b *bench) []finding.Finding {
	j := &bench{burn: b.burn} // collects findings at the burn's place
	j.judgeStatus(r, b)
	j.judgeWater(r, b)
	j.judgeFuel(r, b)
	j.judgeEfficiency(r)
	if r.figures[RefTime].OutOfRange || r.figures[RefFuel].OutOfRange {
		j.say("outside_correction_range", finding.Caution, "water",
			fmt.Sprintf("rise %.1f K of %.0f g to %.1f °C lies outside the range in which the correction holds (rise and water within %.0f %% of %.0f K and %.0f g, boiling at %.0f °C or more); the burn is shown raw",
				b.tb-b.cold.celsius, b.water*1e3, b.tb, float64(b.setup.Rules.Range)*100,
				float64(b.setup.Reference.To.Sub(b.setup.Reference.From)), float64(b.setup.Reference.Water)*1e3, b.setup.Rules.LowestBoil.Celsius()),
			"compare such burns with each other, or set the trial's reference nearer to them")
	}
	return j.found
}

func (b *bench) judgeStatus(r *Result, from *bench) {
	o := from.outcome
	if o.late {
		boil, _ := b.burn.At(burn.Boil)
		b.say("boil_mark_rejected_late", finding.Caution, "marks.boil",
			fmt.Sprintf("the boil is marked %.0f s after flame-out: expected within %.0f s, so the burn counts as not boiled", (boil-o.end).Seconds(), from.setup.Rules.Grace.Seconds()),
			"check the mark, or raise the grace if the water really boiled")
	}
	if o.fault.Kind != "" {
		b.say("fault_before_boil", finding.Caution, "faults",
			fmt.Sprintf("%s before the boil: boil time and efficiency do not count", burn.Mark(o.fault.Kind).Label()), "burn it again; burn time and mean power still count")
	}
	if r.Status == Invalid && o.fault.Kind == "" {
		b.say("outcome_unknown", finding.Caution, "marks", "neither a boil nor an end of the flame is marked, so nothing says how the burn ended", "mark boil, flame-out or snuffing")
	}
	if r.Status == Interval {
		b.say("boil_interval", finding.Note, "marks.not_boiling",
			fmt.Sprintf("the boil is only known to lie between %s and %s; its middle is used", clockText(o.notBefore), clockText(o.boil)), "")
	}
}

func (b *bench) judgeWater(r *Result, from *bench) {
	w := b.burn.Water
	for _, t := range []struct {
		field string
		value float64
		given bool
	}{{"water.start", w.Start.Value.Celsius(), w.Start.Given}, {"water.peak", w.Peak.Value.Celsius(), w.Peak.Given}} {
		if t.given && t.value > from.tb+1.5 {
			b.say("hotter_than_boiling", finding.Fault, t.field,
				fmt.Sprintf("%.1f °C is above the boiling point here, %.1f °C", t.value, from.tb), "check the reading, its unit and the station pressure")
		}
	}
	if w.Boiling.Given && from.pressure.known {
		if d := w.Boiling.Value.Celsius() - from.tb; math.Abs(d) > 1 {
			b.say("thermometer_offset", finding.Caution, "water.boiling",
				fmt.Sprintf("the thermometer showed %.1f °C at the boil where %.1f °C is expected: %+.1f K", w.Boiling.Value.Celsius(), from.tb, d),
				"check the thermometer in boiling water, and the station pressure")
		}
	}
	if fault, ok := from.boiledOver(); ok && w.End.Given {
		b.say("steam_unknown", finding.Note, "water.end", fmt.Sprintf("%s: water lost is not all steam, so figures with steam are missing", burn.Mark(fault.Kind).Label()), "")
	}
	if !from.steamKnown || from.water == 0 {
		return
	}
	if share := 1 - float64(w.End.Value)/from.water; share > float64(from.setup.Rules.HighEvaporation) {
		b.say("high_evaporation", finding.Caution, "water.end",
			fmt.Sprintf("%.0f %% of the water went as steam before the boil: expected under %.0f %%", share*100, float64(from.setup.Rules.HighEvaporation)*100),
			"weigh the water at the boil, not after it, and use a lid")
	}
}

func (b *bench) judgeFuel(r *Result, from *bench) {
	f := from.fuel
	switch {
	case f.by == burn.Prorated:
		b.say("prorated", finding.Note, "fuel",
			fmt.Sprintf("fuel to boil is prorated from the whole burn, with a half-width of %.0f %% that repeats do not shrink", float64(from.setup.Rules.Proration)*100),
			"snuff some burns at the boil and weigh")
	case f.boilBound && b.burn.Fuel.Weighed == burn.Stack:
		b.say("steam_in_loss", finding.Note, "fuel.at_boil", "the scale under the stack lost steam too: fuel to boil is at most this", "weigh the water at the boil")
	case f.boilBound:
		b.say("fuel_to_boil_not_measured", finding.Note, "fuel", "fuel to boil was not weighed: all that is known is that it was at most the dose", "weigh burner and fuel before lighting and after snuffing at the boil")
	}
	if f.dry {
		b.say("residue_not_weighed", finding.Note, "fuel.left", "the burner was seen dry and not weighed; its residue is taken as nothing", "weigh it")
	}
	if f.total.known && f.dose > 0 && f.total.value > 1.1*f.dose {
		b.say("burned_above_dose", finding.Caution, "fuel.left",
			fmt.Sprintf("%.1f g burned of a dose of %.1f g", f.total.value*1e3, f.dose*1e3), "check the dose's unit (mass or volume) and what stood on the scale")
	}
	if from.lhvKnown && math.Abs(from.lhv/from.referenceLHV-1) > float64(from.setup.Rules.FuelRange) {
		b.say("fuel_far_from_reference", finding.Note, "fuel",
			fmt.Sprintf("this fuel holds %.1f MJ/kg where the reference, ethanol, holds %.1f: fuel as ethanol is energy said in grams, and a burner may run differently on another fuel",
				from.lhv/1e6, from.referenceLHV/1e6), "carry by the fuel burned; compare burners on one fuel")
	}
}

// judgeEfficiency catches units mixed up and weighings that cannot be.
func (b *bench) judgeEfficiency(r *Result) {
	for _, m := range []Metric{EtaAll, EtaWaterEvap, EtaWater} {
		f, ok := r.Figure(m)
		if !ok {
			continue
		}
		for _, x := range checkEfficiency(f.Value) {
			b.say(x.Code, x.Severity, "fuel", fmt.Sprintf("%s (%s)", x.Sentence, r.Basis(m)), x.Remedy)
		}
		return
	}
}

// clockText writes seconds from light as m:ss.
func clockText(d interface{ Seconds() float64 }) string {
	s := int(math.Round(d.Seconds()))
	return fmt.Sprintf("%d:%02d", s/60, s%60)
}
