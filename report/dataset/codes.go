package dataset

import (
	"fairburn/burn"
	"fairburn/finding"
	"fairburn/gear"
	"fairburn/quantity"
	"fairburn/reduce"
	"fairburn/trial"
	"fairburn/verdict"
)

// vocabulary is the codes that a field may hold, with what they mean.
type vocabulary struct {
	name  string
	codes []code
}

type code struct{ code, meaning string }

// words of our own tables.
const (
	plainly  = "measured"
	compared = "compared"
	beside   = "beside"
)

// The vocabularies, in the order of the table codes.
var (
	statuses = &vocabulary{"status", []code{
		{string(reduce.Boiled), "it boiled before the flame ended"},
		{string(reduce.BoiledPostFlame), "it boiled within the grace after the flame's end"},
		{string(reduce.NoBoil), "the flame went out first; an outcome, never dropped"},
		{string(reduce.RightCensored), "the tester stopped it before a boil"},
		{string(reduce.Interval), "the boil is only known between two looks"},
		{string(reduce.Invalid), "a fault before the boil, or marks that cannot be"},
	}}
	figureKinds = &vocabulary{"figure kind", []code{
		{plainly, "measured; the only kind to average"},
		{string(reduce.AtMost), "an upper bound: a reading that it needs was not made"},
		{string(reduce.AtLeast), "a lower bound: a reading that it needs was not made"},
		{"estimated", "carried to the boil by the closed form, of a burn that did not boil"},
		{"out_of_range", "corrected outside the range in which the correction holds"},
	}}
	bases = &vocabulary{"basis", []code{
		{"net water boil", "net heating value; heat in the water; to the boil"},
		{"net water+evap boil", "net heating value; heat in water and steam; to the boil"},
		{"net water+pot boil", "net heating value; heat in water, pot and lid; to the boil"},
		{"net water+pot+evap boil", "net heating value; heat in water, pot, lid and steam; to the boil"},
		{"net water peak", "net heating value; heat in the water; to the highest temperature of a burn that did not boil"},
		{"net water+evap peak", "net heating value; heat in water and steam; to the highest temperature of a burn that did not boil"},
		{"net water+pot peak", "net heating value; heat in water, pot and lid; to the highest temperature of a burn that did not boil"},
		{"net water+pot+evap peak", "net heating value; heat in water, pot, lid and steam; to the highest temperature of a burn that did not boil"},
	}}
	toBoilBys = &vocabulary{"fuel to boil by", []code{
		{string(burn.AllBurned), "the boil came just after flame-out, so it is all that burned"},
		{string(burn.SnuffedAtBoil), "the burner was put out at the boil and weighed"},
		{string(burn.ScaleBurner), "a scale under the burner was read at the boil"},
		{string(burn.ScaleStack), "a scale under burner, pot and water was read at the boil; it lost steam too"},
		{string(burn.Prorated), "prorated from all that burned, by time"},
	}}
	competings = &vocabulary{"competing", []code{{"flame_out", "the flame ended before a boil"}}}
	boilKinds  = &vocabulary{"boil by", []code{
		{string(burn.Rolling), "by eye, a rolling boil"},
		{string(burn.Bubbles), "by eye, first bubbles from the base"},
		{string(burn.Threshold), "a thermometer passed a set temperature"},
		{string(burn.Plateau), "a thermometer stopped rising"},
	}}
	weighed = &vocabulary{"weighed", []code{
		{string(burn.FuelOnly), "the fuel alone"},
		{string(burn.BurnerAndFuel), "burner and fuel"},
		{string(burn.Stack), "burner, stand, pot and water: the loss holds steam too"},
	}}
	markCodes = &vocabulary{"mark", []code{
		{string(burn.Light), "the fuel is lit; the beginning of all times"},
		{string(burn.Bloom), "the jets take over from the open pool"},
		{string(burn.PotOn), "the pot goes on"},
		{string(burn.NotBoiling), "the last look at which the water did not boil yet"},
		{string(burn.Boil), "the boil, by the rule of the burn"},
		{string(burn.SimmerStart), "simmering begins"},
		{string(burn.SimmerEnd), "simmering ends"},
		{string(burn.PotOff), "the pot comes off"},
		{string(burn.Out), "the flame ended by itself"},
		{string(burn.Snuffed), "the tester put it out"},
	}}
	faultCodes = &vocabulary{"fault", []code{
		{string(burn.Spill), "water or fuel was spilled"},
		{string(burn.BoilOver), "the pot boiled over"},
		{string(burn.Refilled), "fuel was poured again"},
		{string(burn.Relit), "the burner was lit again"},
		{string(burn.LidChanged), "the lid was changed"},
		{string(burn.PotSwapped), "another pot went on"},
		{string(burn.PotLifted), "the pot was lifted off and put on again"},
		{string(burn.BlownOut), "wind blew the flame out"},
		{string(burn.SeamLeak), "failure: fuel leaks at a seam"},
		{string(burn.Burst), "failure: a wall or seam gave way"},
		{string(burn.NoBloom), "failure: the jets never took over"},
		{string(burn.Uneven), "failure: jets burn unevenly"},
		{string(burn.Starved), "failure: the jets get too little fuel"},
		{string(burn.Spitting), "failure: it spits burning fuel"},
		{string(burn.Runaway), "failure: it burns ever faster"},
		{string(burn.FlamePastPot), "failure: the flame goes past the pot"},
		{string(burn.ScreenMelt), "failure: the screen melts"},
		{string(burn.WouldNotLight), "failure: it would not light"},
		{string(burn.StuckPot), "failure: the pot sticks to the burner"},
	}}
	severities = &vocabulary{"severity", []code{
		{finding.Note.String(), "worth knowing; changes nothing"},
		{finding.Caution.String(), "could change the answer"},
		{finding.Fault.String(), "a reading could not be used at all; what depends on it is missing"},
	}}
	classes = &vocabulary{"class", []code{
		{string(verdict.WorthHaving), "the interval excludes the margin"},
		{string(verdict.Different), "the interval excludes no difference, and not the margin"},
		{string(verdict.EqualInPractice), "the interval lies inside the margin"},
		{string(verdict.NotSettled), "the interval settles nothing"},
		{string(verdict.TooFew), "too few burns for an interval"},
	}}
	judges = &vocabulary{"judged by", []code{
		{string(trial.Fastest), "time to boil from light"},
		{string(trial.LeastFuel), "energy to boil"},
		{string(trial.Surest), "share of burns that boiled"},
		{string(trial.Lightest), "mass of the whole entry"},
	}}
	betters   = &vocabulary{"better", []code{{"lower", "less is better"}, {"higher", "more is better"}}}
	meanKinds = &vocabulary{"mean", []code{
		{compared, "geometric mean, as it was compared; interval as an absolute statement, shared errors in it"},
		{beside, "mean of the burns that have the figure, shown beside; not compared"},
	}}
	strengths = &vocabulary{"strength basis", []code{
		{string(quantity.ByMass), "kilograms of spirit a kilogram of mixture"},
		{string(quantity.ByVolume), "litres of spirit, measured alone at 20 °C, a litre of mixture at 20 °C"},
		{string(quantity.ByProof), "US proof over 200: the same at 60 °F"},
	}}
	toolKinds = &vocabulary{"instrument", []code{
		{"scale", "weighs"}, {"thermometer", "reads temperatures"}, {"barometer", "reads station pressure"}, {"measure", "measures a dose by volume"},
	}}
	families = &vocabulary{"family", []code{
		{string(gear.OpenCup), "a pool burns from its surface"},
		{string(gear.CapillaryRim), "a snug strip lifts fuel to the rim"},
		{string(gear.NotchedRings), "metal rings carry heat into the fuel"},
		{string(gear.RimHoles), "the pot closes the top, flame leaves by side holes"},
		{string(gear.AirJacket), "a vented outer can warms the air"},
		{string(gear.SideJets), "double wall, open centre, jets in the wall"},
		{string(gear.TopJets), "closed top, jets round the fill hole"},
		{string(gear.SlitSeam), "folds or slits are the channels"},
		{string(gear.Wick), "felt or fibre holds the fuel"},
		{string(gear.LowPressure), "shop-made double wall with wick and screw cap"},
	}}
)

// vocabularies lists them all.
func vocabularies() []*vocabulary {
	return []*vocabulary{statuses, figureKinds, bases, toBoilBys, competings, boilKinds, weighed, markCodes, faultCodes,
		severities, classes, judges, betters, meanKinds, strengths, toolKinds, families, findingCodes}
}

// explained is a code with its vocabulary.
type explained struct {
	of string
	code
}

// codes has a row for each code that any field may hold.
func codes() table {
	var all []explained
	for _, v := range vocabularies() {
		for _, c := range v.codes {
			all = append(all, explained{v.name, c})
		}
	}
	return fill(table{
		name: "codes", title: "Codes", key: []string{"of", "code"},
		says: "What every code means. A finding that is not among them was made in reading the sheet and says in its sentence what it is.",
	}, all, []column[explained]{
		col("of", text, "what the code is of", func(e explained) any { return words(e.of) }),
		col("code", text, "the code", func(e explained) any { return words(e.code.code) }),
		col("meaning", text, "what it means", func(e explained) any { return words(e.meaning) }),
	})
}
