package dataset

import (
	"slices"
	"time"

	"fairburn/burn"
	"fairburn/finding"
	"fairburn/quantity"
)

type (
	mass   = quantity.Reading[quantity.Mass]
	volume = quantity.Reading[quantity.Volume]
	point  = quantity.Reading[quantity.Temperature]
	span   = quantity.Reading[time.Duration]
	length = quantity.Reading[quantity.Length]
	press  = quantity.Reading[quantity.Pressure]
)

// burns has a row for each burn, void ones too: who, when, what was read, what
// came of it. Figures that are not plainly measured stand in the table figures alone.
func (s *source) burns() table {
	t := table{
		name: "burns", title: "Burns", key: []string{"burn"}, refs: []reference{{"entry", "entries", "entry"}},
		says: "A row for each burn, void ones too: readings as typed and in one unit, and what was measured with its standard uncertainty. " +
			"Bounds, estimates and figures outside the range of the correction are left out here and stand in the table figures.",
	}
	return fill(t, s.results, s.about(), readings(), s.outcome(), measured())
}

// about says which burn it is.
func (s *source) about() []column[result] {
	return []column[result]{
		col("burn", text, "id of the burn", func(b result) any { return words(b.ID) }),
		col("entry", text, "what was compared", func(b result) any { return words(b.Entry) }),
		col("block", text, "day or session in which every entry burns once", func(b result) any { return words(b.Block) }),
		col("order", integer, "place in the order of burning over the whole trial, from 1", func(b result) any { return unless(0, b.Order) }),
		col("station", integer, "place on the bench", func(b result) any { return unless(0, b.Station) }),
		col("date", text, "date as written", func(b result) any { return words(b.Date) }),
		col("tester", text, "who burned it, by name only where the tester said so", func(b result) any { return words(s.testers[b.Tester]) }),
		col("levels", text, "levels of the factors that were varied on purpose", func(b result) any { return words(levels(b.Levels)) }),
		col("void", text, "the tester's reason for leaving the burn out; none: it counts", func(b result) any { return words(b.Void) }),
		col("place", text, "where, by name only where the tester said so", func(b result) any { return words(s.places[s.r.Site.Over(b.Site).Name]) }),
		col("wind_word", text, "wind as seen", func(b result) any { return words(s.r.Site.Over(b.Site).WindWord) }),
		coded("weighed", weighed, "what stood on the scale", func(b result) string { return string(b.Fuel.Weighed) }),
		col("left_nothing", boolean, "the burner was seen dry after flame-out and not weighed", func(b result) any { return b.Fuel.LeftNothing }),
		coded("boil_by", boilKinds, "rule by which the boil was called", func(b result) string { return string(b.BoilBy) }),
		col("notes", text, "notes, only where names and places may be published", func(b result) any { return s.notes(b.Notes) }),
	}
}

// readings are what was read, of the site what holds for the burn.
func readings() []column[result] {
	return slices.Concat(
		reading("dose_volume", millilitres, "fuel poured by measure", func(b result) volume { return b.Fuel.DoseVolume }),
		reading("dose_mass", grams, "fuel poured by mass", func(b result) mass { return b.Fuel.DoseMass }),
		reading("fuel_temperature", celsius, "fuel when measured out", func(b result) point { return b.Fuel.Temperature }),
		reading("poured", grams, "on the scale after pouring", func(b result) mass { return b.Fuel.Poured }),
		reading("at_pot_on", grams, "on the scale when the pot went on", func(b result) mass { return b.Fuel.AtPotOn }),
		reading("at_boil", grams, "on the scale at the boil", func(b result) mass { return b.Fuel.AtBoil }),
		reading("left", grams, "on the scale at the end", func(b result) mass { return b.Fuel.Left }),
		reading("burner_temperature", celsius, "the burner at light", func(b result) point { return b.Burner }),
		reading("water_mass", grams, "water in the pot by mass", func(b result) mass { return b.Water.Mass }),
		reading("water_volume", millilitres, "water in the pot by volume", func(b result) volume { return b.Water.Volume }),
		reading("water_end", grams, "water left at the boil or when the pot came off", func(b result) mass { return b.Water.End }),
		reading("water_start", celsius, "water at the start", func(b result) point { return b.Water.Start }),
		reading("water_peak", celsius, "water at its hottest when it did not boil", func(b result) point { return b.Water.Peak }),
		reading("water_peak_at", seconds, "when it was hottest, from light", func(b result) span { return b.Water.PeakAt }),
		reading("water_boiling", celsius, "water as read at the boil", func(b result) point { return b.Water.Boiling }),
		reading("simmer_fuel_start", grams, "on the scale when simmering began", func(b result) mass { return b.Simmer.FuelStart }),
		reading("simmer_fuel_end", grams, "on the scale when simmering ended", func(b result) mass { return b.Simmer.FuelEnd }),
		reading("simmer_water_start", grams, "water when simmering began", func(b result) mass { return b.Simmer.WaterStart }),
		reading("simmer_water_end", grams, "water when simmering ended", func(b result) mass { return b.Simmer.WaterEnd }),
	)
}

// outcome says how the burn ended, as reduce has it.
func (s *source) outcome() []column[result] {
	site := func(b result) burn.Site { return s.r.Site.Over(b.Site) }
	return slices.Concat(
		reading("station_pressure", hectopascal, "station pressure", func(b result) press { return site(b).Station }),
		reading("altimeter_setting", hectopascal, "altimeter setting", func(b result) press { return site(b).Altimeter }),
		reading("elevation", metres, "elevation above the sea", func(b result) length { return site(b).Elevation }),
		reading("air", celsius, "air", func(b result) point { return site(b).Air }),
		reading("humidity", shares, "relative humidity", func(b result) quantity.Reading[quantity.Ratio] { return site(b).Humidity }),
		reading("wind", perSecond, "wind", func(b result) quantity.Reading[quantity.Speed] { return site(b).Wind }),
		[]column[result]{
			coded("status", statuses, "what the burn's boil counts as", func(b result) string { return b.word("status") }),
			coded("fuel_to_boil_by", toBoilBys, "how fuel to boil is known", func(b result) string { return b.word("fuel_to_boil_by") }),
			coded("competing", competings, "what ended the burn before a boil", func(b result) string { return b.word("competing") }),
			col("event_time_s", decimal, "boil, from pot-on, seconds; of an interval its middle", func(b result) any { return b.figure("event_time_s") }),
			col("censor_time_s", decimal, "end of watching without a boil, from pot-on, seconds", func(b result) any { return b.figure("censor_time_s") }),
		},
	)
}

// at is one moment of a burn.
type at struct {
	burn, code string
	when       span
}

// marks has a row for each mark that was made.
func (s *source) marks() table {
	var all []at
	for _, b := range s.results {
		for _, m := range burn.Marks() {
			if when := b.Marks[m]; when.Given {
				all = append(all, at{b.ID, string(m), when})
			}
		}
	}
	return fill(table{
		name: "marks", title: "Marks", key: []string{"burn", "mark"}, refs: []reference{{"burn", "burns", "burn"}},
		says: "A row for each moment that was marked, in time from light.",
	}, all, []column[at]{
		col("burn", text, "id of the burn", func(a at) any { return words(a.burn) }),
		coded("mark", markCodes, "the moment", func(a at) string { return a.code }),
	}, reading("at", seconds, "time from light", func(a at) span { return a.when }))
}

// faults has a row for each fault and each way of failing that was seen.
func (s *source) faults() table {
	var all []at
	for _, b := range s.results {
		for _, f := range b.Faults {
			all = append(all, at{b.ID, string(f.Kind), f.At})
		}
		for _, f := range b.Failures {
			all = append(all, at{b.ID, string(f), span{}})
		}
	}
	return fill(table{
		name: "faults", title: "Faults and failures", refs: []reference{{"burn", "burns", "burn"}},
		says: "A row for each thing that went wrong and each way in which a burner failed.",
	}, all, []column[at]{
		col("burn", text, "id of the burn", func(a at) any { return words(a.burn) }),
		coded("fault", faultCodes, "what went wrong, or how the burner failed", func(a at) string { return a.code }),
	}, reading("at", seconds, "time from light, where it is known", func(a at) span { return a.when }))
}

// said is a finding with the burn that it is of.
type said struct {
	burn string
	finding.Finding
}

// findings has a row for each finding, without the file that it was read from.
func (s *source) findings() table {
	var all []said
	of := map[finding.Finding]bool{} // those of burns stand in the verdict too
	for _, b := range s.results {
		for _, f := range b.Result.Findings {
			all = append(all, said{b.ID, f})
			of[f] = true
		}
	}
	for _, f := range slices.Concat(s.r.Findings, s.v.Findings) {
		if !of[f] {
			all = append(all, said{"", f})
			of[f] = true
		}
	}
	return fill(table{
		name: "findings", title: "Findings", refs: []reference{{"burn", "burns", "burn"}},
		says: "What looks wrong or limits a figure, burn by burn, then of the trial as a whole.",
	}, all, []column[said]{
		col("burn", text, "id of the burn; none: of the trial", func(f said) any { return words(f.burn) }),
		col("finding", text, "code of the finding, explained in the table codes", func(f said) any { return words(f.Code) }),
		coded("severity", severities, "how much it matters", func(f said) string { return f.Severity.String() }),
		col("subject", text, "what it is about", func(f said) any { return words(f.Where.Subject) }),
		col("key", text, "key of the sheet", func(f said) any { return words(f.Where.Field) }),
		col("sentence", text, "what was read and what was expected", func(f said) any { return words(f.Sentence) }),
		col("remedy", text, "what to do", func(f said) any { return words(f.Remedy) }),
	})
}
