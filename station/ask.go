package station

import (
	"fairburn/burn"
	"fairburn/gear"
	"fairburn/trial"
)

// Need says what becomes of a burn without the reading.
type Need string

// The needs.
const (
	Must   Need = "must"   // it cannot be compared fairly
	Should Need = "should" // a figure or correction is missing or much less sure
	May    Need = "may"    // good to have
)

// Ask is one thing that is still missing.
type Ask struct {
	Section string // of the sheet: "[[burn]]", or "[[entry]]" for gear that the entry does not name
	Key     string // in that section
	Words   string // what to weigh, read or choose
	Example string // as it may be written; "" where it depends on the trial
	Why     string // what it is for
	Need    Need
}

const (
	ofBurn  = "[[burn]]"
	ofEntry = "[[entry]]"
)

// asks holds everything that is asked, in the order in which it is done. A need
// left out depends on the trial. Why and how much a reading matters is common
// practice, no source.
var asks = [...]Ask{
	{ofEntry, "burner", "the burner, listed on the shelf and named by the entry", "", "its family says which marks to expect", Should},
	{ofEntry, "pot", "the pot, listed on the shelf and named by the entry", "", "it is heated with the water", Should},
	{ofEntry, "fuel", "the fuel batch, listed on the shelf and named by the entry", "", "its strength says how much heat a gram gives", Should},
	{ofBurn, "levels", "the level of what is varied on purpose", "", "the plan compares burns of like levels", Must},
	{ofBurn, "air", "temperature of the air, in shade", "14 °C", "the full pot loses heat to it", Should},
	{ofBurn, "station_pressure", "what a barometer reads here, or the elevation from a map", "985 hPa", "it decides at which temperature the water boils", Should},
	{ofBurn, "elevation", "height above the sea, from a map", "420 m", "an altimeter setting says nothing without it", Should},
	{ofBurn, "wind", "the wind: a speed, or a word for what is felt", "still", "it can change a burn more than the burner does", Should},
	{ofBurn, "water", "mass of the water, or its volume", "500 g", "every correction needs it", Must},
	{ofBurn, "start", "temperature of the stirred water", "18.3 °C", "a kelvin is more than a per cent of the way to the boil", Must},
	{ofBurn, "dose", "fuel measured out, by volume or by mass", "30 mL", "entries are compared at doses that are known", Must},
	{ofBurn, "fuel_temperature", "temperature of the fuel when it was measured out", "16 °C", "a millilitre of warm fuel weighs less", May},
	{ofBurn, "poured", "mass of the burner with its dose in it", "52.4 g", "less what is left, it is what burned", ""},
	{ofBurn, "weighed", "what stood on the scale", "burner and fuel", "the same things must stand on it at the end", Should},
	{ofBurn, "burner_temperature", "temperature of the burner's body, not yet rested for the cool-down", "31 °C", "a warm burner blooms and boils sooner", Should},
	{ofBurn, "boil_by", "the rule by which the boil is called", "rolling", "first bubbles and a rolling boil differ by many seconds", Should},

	{ofBurn, "at_boil", "mass that the scale showed at the boil", "310.2 g", "it is how this burn's fuel to boil is known", Must},
	{ofBurn, "left", "mass at the end, weighed at once; or nothing seen, where it burned dry", "38.6 g", "what evaporates before it is weighed counts as burned", ""},
	{ofBurn, "water_end", "mass of the water at the end", "492 g", "steam took heat along", Should},
	{ofBurn, "peak", "highest temperature of the stirred water", "91.5 °C", "a burn that did not boil is a result", Must},
	{ofBurn, "peak_at", "when it was highest, from light", "8:20", "heating ended then", May},
	{ofBurn, "boiling", "temperature read at the boil", "98.6 °C", "it checks thermometer and pressure", May},
	{ofBurn, "simmer_fuel_start", "mass as the low-power phase began", "44.1 g", "its power is the mass that went in it", Should},
	{ofBurn, "simmer_fuel_end", "mass as the low-power phase ended", "40.9 g", "its power is the mass that went in it", Should},
	{ofBurn, "simmer_water_start", "water as the low-power phase began", "495 g", "it says what stayed hot", May},
	{ofBurn, "simmer_water_end", "water as the low-power phase ended", "480 g", "it says what went as steam", May},
	{ofBurn, "failures", "in which ways it failed, written down before looking at the time", "uneven", "builders learn most from it", May},
	{ofBurn, "notes", "anything else that was seen", "flame leaned to one side", "nobody remembers it next week", May},
}

// open tells which of the asks a burn leaves open.
type open struct {
	*trial.Trial
	burn.Record
	site  burn.Site
	entry trial.Entry
	still map[string]Need // by key
}

func newOpen(t *trial.Trial, r burn.Record) open {
	e, _ := t.Entry(r.Entry)
	return open{t, r, t.Site.Over(r.Site), e, map[string]Need{}}
}

// ask asks for a key where it is missing, with the need that stands in asks.
func (o *open) ask(key string, missing bool) { o.askFor(key, missing, "") }

func (o *open) askFor(key string, missing bool, need Need) {
	if missing {
		o.still[key] = need
	}
}

// list is what is still open, in the order of asks.
func (o *open) list() (list []Ask) {
	for _, a := range asks {
		need, missing := o.still[a.Key]
		if !missing {
			continue
		}
		if need != "" {
			a.Need = need
		}
		list = append(list, a)
	}
	return list
}

// Before lists what is missing to light the burn fairly, in the order in which
// it is done. slot is the burn's place in the plan, zero without one; warm says
// that its burner has not rested for the cool-down (see [Rest]). What the trial
// says of its site counts for the burn.
func Before(t *trial.Trial, r burn.Record, slot trial.Slot, warm bool) []Ask {
	o := newOpen(t, r)
	o.gear()
	o.place()
	o.ask("levels", t.Plan.Factor.Name != "" && r.Levels[t.Plan.Factor.Name] == "")
	o.ask("water", !r.Water.Mass.Given && !r.Water.Volume.Given)
	o.ask("start", !r.Water.Start.Given)
	o.fuel(slot)
	o.ask("burner_temperature", warm && !r.Burner.Given)
	o.ask("boil_by", r.BoilBy == "")
	return o.list()
}

func (o *open) gear() {
	_, burner := o.Trial.Burner(o.entry)
	_, pot := gear.Find(o.Shelf.Pots, o.entry.Pot)
	_, batch := gear.Find(o.Shelf.Batches, o.entry.Fuel)
	o.ask("burner", !burner)
	o.ask("pot", !pot)
	o.ask("fuel", !batch)
}

func (o *open) place() {
	s := o.site
	o.ask("air", !s.Air.Given)
	o.ask("station_pressure", !s.Station.Given && !s.Altimeter.Given && !s.Elevation.Given)
	o.ask("elevation", !s.Station.Given && s.Altimeter.Given && !s.Elevation.Given)
	o.ask("wind", !s.Wind.Given && s.WindWord == "")
}

// fuel asks for the dose and its weighing. Fuel weighed alone is dose and
// first weighing in one. A snuffed burn has no figure but by two weighings.
func (o *open) fuel(slot trial.Slot) {
	f := o.Fuel
	alone := f.Weighed == burn.FuelOnly
	o.ask("dose", !f.DoseVolume.Given && !f.DoseMass.Given && !(alone && f.Poured.Given))
	o.ask("fuel_temperature", f.DoseVolume.Given && !f.DoseMass.Given && !f.Temperature.Given)
	o.askFor("poured", !f.Poured.Given && !(alone && f.DoseMass.Given), o.weighing(slot.Snuff))
	o.ask("weighed", f.Weighed == "")
}

// weighing is the need of the two weighings of the fuel.
func (o *open) weighing(snuffed bool) Need {
	if snuffed || o.Settings.JudgeBy == trial.LeastFuel {
		return Must
	}
	return Should
}

// After lists what to weigh and write down once the flame has ended.
func After(t *trial.Trial, r burn.Record) []Ask {
	o := newOpen(t, r)
	boiled, snuffed := has(r, burn.Boil), has(r, burn.Snuffed)
	f := r.Fuel
	// A scale under the stack shows water and fuel together: what it shows at
	// the end says nothing of the fuel alone.
	stack := f.Weighed == burn.Stack || f.ToBoilBy == burn.ScaleStack
	o.ask("at_boil", boiled && !f.AtBoil.Given && (stack || f.ToBoilBy == burn.ScaleBurner))
	o.askFor("left", !stack && !f.Left.Given && (snuffed || !f.LeftNothing), o.weighing(snuffed))
	o.ask("water_end", !r.Water.End.Given)
	o.ask("peak", !boiled && !r.Water.Peak.Given)
	o.ask("peak_at", !boiled && !r.Water.PeakAt.Given)
	o.ask("boil_by", boiled && r.BoilBy == "")
	o.ask("boiling", boiled && !r.Water.Boiling.Given)
	if has(r, burn.SimmerStart) {
		o.simmer()
	}
	o.ask("failures", len(r.Failures) == 0)
	o.ask("notes", r.Notes == "")
	return o.list()
}

func (o *open) simmer() {
	s := o.Simmer
	o.ask("simmer_fuel_start", !s.FuelStart.Given)
	o.ask("simmer_fuel_end", !s.FuelEnd.Given)
	o.ask("simmer_water_start", !s.WaterStart.Given)
	o.ask("simmer_water_end", !s.WaterEnd.Given)
}
