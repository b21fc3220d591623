package reduce

import (
	"fmt"
	"math"
	"time"

	"fairburn/burn"
	"fairburn/finding"
	"fairburn/matter/fuel"
	"fairburn/quantity"
)

// Figures that rest on fuel to boil, on any weighing of fuel, and on the
// correction to reference.
var (
	ofFuelToBoil = [...]Metric{FuelToBoil, RefFuel, RefFuelBatch, RefFuelVolume, FuelPerWater, EnergyPerWater, EnergyIn, HeatingPower, BurnRate, TurnDown}
	ofEfficiency = [...]Metric{EtaWater, EtaWaterEvap, EtaWaterPot, EtaAll}
	ofFuel       = [...]Metric{FuelTotal, FuelPrime, MeanPower, SimmerPower, FuelToBoilLow, FuelExtrapolated}
	ofSteam      = [...]Metric{HeatSteam, EtaWaterEvap, EtaAll, CookingPower}
	ofReference  = [...]Metric{Correction, RefTime, RefFuel, RefFuelBatch, RefFuelVolume}
	estimates    = [...]Metric{FuelToBoil, RefFuel, RefFuelBatch, RefFuelVolume, FuelExtrapolated}
)

// mark sets what the statuses and ranges say of each figure: bounds where a
// weighing is missing, estimates of burns that did not boil, corrected figures
// outside the range of the correction.
func (r *Result) mark(b *bench) {
	if b.steamLate {
		r.bound(AtMost, ofSteam[:])
	}
	if b.fuel.bound {
		r.bound(AtMost, ofFuelToBoil[:])
		r.bound(AtLeast, ofEfficiency[:])
		if b.steamLate { // neither side is known
			r.drop(EtaWaterEvap, EtaAll)
		}
	}
	if r.Outcome.Snuffed {
		r.figures[BurnTime].Bound = AtLeast // it might have burned on
	}
	if w := (&weighings{Record: &b.burn}); w.happened(burn.Relit, burn.BlownOut) {
		r.figures[BurnTime].Bound, r.figures[MeanPower].Bound = AtMost, AtLeast // the clock ran on while nothing burned
	}
	if !r.Status.HasBoil() {
		for _, m := range estimates {
			r.figures[m].Estimated = true
		}
	}
	if !b.inRange() {
		for _, m := range ofReference {
			r.figures[m].OutOfRange = true
		}
	}
}

func (r *Result) bound(side Bound, metrics []Metric) {
	for _, m := range metrics {
		r.figures[m].Bound = side
	}
}

// drop makes figures missing.
func (r *Result) drop(metrics ...Metric) {
	for _, m := range metrics {
		r.figures[m] = Figure{Value: nan}
	}
}

// judge says what looks wrong or limits the figures of the burn.
func (r *Result) judge(b *bench) {
	r.judgeStatus(b)
	r.judgeWater(b)
	r.judgeFuel(b)
	r.judgeDose(b)
	r.judgeEfficiency(b)
	r.judgeEstimate(b)
	_, timed := r.Figure(RefTime)
	_, fuelled := r.Figure(RefFuel)
	if (timed || fuelled) && !b.inRange() {
		ref, rules, sys := b.setup.Reference, b.setup.Rules, b.setup.Units
		b.say("outside_correction_range", finding.Caution, "water",
			fmt.Sprintf("warming %s by %s to %s lies outside the range in which the correction holds (rise and water within %.0f %% of %s and %s, boiling at %s or more); the burn is shown raw",
				quantity.FormatBrief(quantity.Mass(b.water), sys), quantity.Format(quantity.TempDiff(b.tb-b.cold.celsius), sys), b.degrees(b.tb),
				float64(rules.Range)*100, quantity.FormatBrief(ref.To.Sub(ref.From), sys), quantity.FormatBrief(ref.Water, sys), quantity.FormatBrief(rules.LowestBoil, sys)),
			"compare such burns with each other, or set the trial's reference nearer to them")
	}
}

func (r *Result) judgeStatus(b *bench) {
	o := &b.outcome
	if o.late {
		boil, _ := b.burn.At(burn.Boil)
		b.say("boil_mark_rejected_late", finding.Caution, "marks.boil",
			fmt.Sprintf("the boil is marked %.0f s after the flame ended: expected within %.0f s, so the burn counts as not boiled", (boil-o.end).Seconds(), b.setup.Rules.Grace.Seconds()),
			"check the mark, or raise the grace if the water really boiled")
	}
	switch {
	case o.disordered:
		b.say("marks_impossible", finding.Fault, "marks", "the marks cannot all be right: the pot goes on before the boil and before the flame ends, and nothing comes before light", "check the marks against the film or the notebook")
	case o.fault.Kind != "":
		b.say("fault_before_boil", finding.Caution, "faults",
			fmt.Sprintf("%s before the boil: boil time and efficiency do not count", burn.Mark(o.fault.Kind).Label()), "burn it again; burn time and mean power still count if all the fuel was weighed")
	case r.Status == Invalid && !b.burn.Unlit():
		b.say("outcome_unknown", finding.Caution, "marks", "neither a boil nor an end of the flame is marked, so nothing says how the burn ended", "mark boil, flame-out or snuffing")
	case r.Status == Interval:
		b.say("boil_interval", finding.Note, "marks.not_boiling",
			fmt.Sprintf("the boil is only known to lie between %s and %s; its middle is used", quantity.FormatDuration(o.notBefore, 0), quantity.FormatDuration(o.boil, 0)), "look more often")
	}
	blooms := b.setup.Family.Blooms() || b.setup.Family == ""
	if bloom, ok := b.burn.At(burn.Bloom); ok && blooms && (bloom < earlyBloom || bloom > lateBloom) {
		b.say("bloom_unusual", finding.Note, "marks.bloom",
			fmt.Sprintf("bloom at %s from light: most jet burners bloom within 20 to 60 s, cold ones within 3 min", quantity.FormatDuration(bloom, 0)), "check the mark")
	}
}

// Blooms outside these are more often a slip than a burner (common practice,
// no source: most bloom in 20 to 60 s, some take two to three minutes).
const (
	earlyBloom = 5 * time.Second
	lateBloom  = 3 * time.Minute
)

// roughVolume is the place value of the last digit of a volume, as a share,
// above which the digits written make the figures rough.
const roughVolume = 0.05

func (r *Result) judgeWater(b *bench) {
	w, rules := &b.burn.Water, &b.setup.Rules
	if w.Boiling.Given && b.pressure.known {
		if d := w.Boiling.Value.Celsius() - b.tb; math.Abs(d) > 1 {
			b.say("thermometer_offset", finding.Caution, "water.boiling",
				fmt.Sprintf("the thermometer showed %s at the boil where %s is expected, %s off", b.degrees(w.Boiling.Value.Celsius()), b.degrees(b.tb), quantity.Format(quantity.TempDiff(math.Abs(d)), b.setup.Units)),
				"check the thermometer in boiling water, and the station pressure")
		}
	}
	if step := w.Volume.Step / float64(w.Volume.Value); !w.Mass.Given && w.Volume.Given && w.Volume.Tolerance == 0 && step > roughVolume {
		b.say("water_read_roughly", finding.Note, "water",
			fmt.Sprintf("%q claims the water no closer than %.0f %%, and time and fuel with it", w.Volume.Text, step*50),
			"weigh it, or write as many digits as you read, such as 2.00 cups")
	}
	if b.heated() && w.Peak.Value.Celsius() >= b.tb-1 {
		b.say("boil_not_marked", finding.Caution, "water.peak",
			fmt.Sprintf("the water reached %s and boils here at %s, but no boil is marked", b.degrees(w.Peak.Value.Celsius()), b.degrees(b.tb)), "mark the boil if it boiled, and check the thermometer")
	}
	if b.steamLate {
		b.say("steam_weighed_late", finding.Note, "water.end", "the pot came off well after the boil, so the water lost is at most what was lost to the boil", "weigh the water at the boil")
		return
	}
	if share := b.steam.value / b.water; b.steam.known && share > float64(rules.HighEvaporation) {
		b.say("high_evaporation", finding.Caution, "water.end",
			fmt.Sprintf("%.0f %% of the water went as steam before the boil: expected under %.0f %%", share*100, float64(rules.HighEvaporation)*100),
			"weigh the water at the boil, not after it, and use a lid")
	}
}

func (r *Result) judgeFuel(b *bench) {
	f := &b.fuel
	if f.disputed {
		b.say("to_boil_by_contradicted", finding.Caution, "fuel.to_boil_by",
			fmt.Sprintf("fuel to boil is said to be known by %q, which marks and weighings do not bear out", b.burn.Fuel.ToBoilBy), "check how it was weighed")
	}
	switch {
	case f.by == burn.Prorated:
		b.say("prorated", finding.Note, "fuel",
			fmt.Sprintf("fuel to boil is prorated from the whole burn, with a half-width of %.0f %% that repeats do not shrink", float64(b.setup.Rules.Proration)*100),
			"snuff some burns at the boil and weigh")
	case f.bound && f.by == burn.ScaleStack:
		b.say("steam_in_loss", finding.Note, "fuel.at_boil", "the scale under the stack lost steam too: fuel to boil is at most this", "weigh the water at the boil")
	case f.bound && f.total.known:
		b.say("fuel_to_boil_not_measured", finding.Note, "fuel", "fuel to boil was not weighed: all that is known is that it was at most what burned", "weigh burner and fuel before lighting and after snuffing at the boil")
	case f.bound && f.boil.known:
		b.say("fuel_to_boil_not_measured", finding.Note, "fuel", "fuel to boil was not weighed: all that is known is that it was at most the dose", "weigh burner and fuel before lighting and after snuffing at the boil")
	}
	if f.dry {
		b.say("residue_not_weighed", finding.Note, "fuel.left", "the burner was seen dry and not weighed; its residue is taken as nothing", "weigh it")
	}
	if (&weighings{Record: &b.burn}).happened(burn.Refilled) {
		b.say("refill_not_weighed", finding.Note, "fuel", "fuel was poured again, so the weighings before and after do not tell what burned", "burn one dose at a time")
	}
}

// judgeDose holds the dose against what burned and against itself.
func (r *Result) judgeDose(b *bench) {
	f, dose := &b.burn.Fuel, &b.fuel.dose
	if b.fuel.total.known && dose.known && b.fuel.total.value > 1.1*dose.value {
		b.say("burned_above_dose", finding.Caution, "fuel.left",
			fmt.Sprintf("%s burned of a dose of %s", quantity.Format(quantity.Mass(b.fuel.total.value), b.setup.Units), quantity.Format(quantity.Mass(dose.value), b.setup.Units)), "check the dose's unit (mass or volume) and what stood on the scale")
	}
	if !f.DoseVolume.Given || !dose.known || dose.poured {
		return
	}
	found, err := fuel.CheckDensity(quantity.Density(dose.value/float64(f.DoseVolume.Value)), b.doseTemperature())
	if err != nil {
		b.say("dose_out_of_range", finding.Caution, "fuel.dose", err.Error(), "check the fuel's temperature")
	}
	for _, x := range found {
		if x.Severity > finding.Note { // that density does not find methanol is no news of this dose
			b.say(x.Code, x.Severity, "fuel.dose", "the dose by mass over the dose by volume: "+x.Sentence, x.Remedy)
		}
	}
}

// judgeEfficiency catches units mixed up and weighings that cannot be. Above 1
// nothing that rests on the fuel is shown.
func (r *Result) judgeEfficiency(b *bench) {
	for _, m := range [...]Metric{EtaAll, EtaWaterEvap, EtaWaterPot, EtaWater} {
		f, ok := r.Figure(m)
		if !ok {
			continue
		}
		for _, x := range checkEfficiency(f.Value) {
			if f.Bound == AtLeast && x.Severity < finding.Fault && f.Value < 0.02 {
				continue // a low bound says nothing
			}
			b.say(x.Code, x.Severity, "fuel", fmt.Sprintf("%s (%s)", x.Sentence, r.Basis(m)), x.Remedy)
		}
		if f.Value > 1 {
			r.drop(ofFuelToBoil[:]...)
			r.drop(ofEfficiency[:]...)
			r.drop(ofFuel[:]...)
		}
		return
	}
}

// judgeEstimate says when a burn without boil had no power to reach one.
func (r *Result) judgeEstimate(b *bench) {
	_, fuelled := r.Figure(FuelExtrapolated)
	_, reached := r.Figure(FuelToBoil)
	if fuelled && !reached && !r.Status.HasBoil() {
		b.say("boil_out_of_reach", finding.Note, "water.peak", "with the power it had and the heat that a pot loses, this burn would not have come to the boil on any dose", "shelter it, use a lid, or less water")
	}
}
