package burn

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"time"

	"fairburn/finding"
	"fairburn/quantity"
)

// Check says what the record alone shows to be missing, impossible or out of order.
func (r Record) Check() []finding.Finding {
	_, found := r.Usable()
	return found
}

// Usable returns the record without the readings that cannot be used, and what
// was found. A reading goes when it is not a number or below zero; all stages
// of the fuel go when one is heavier than a stage before it, since nothing says
// which is wrong; water left goes when it is more than there was, the highest
// temperature when it lies below the start, and marks of bloom and simmer when
// they are out of order. Other marks stay: see InOrder.
func (r Record) Usable() (Record, []finding.Finding) {
	c := checker{Record: r}
	if !r.Unlit() {
		c.beforeLighting()
		c.ending()
	}
	c.numbers()
	c.markOrder()
	c.fuelStages()
	c.water()
	return c.Record, c.found
}

// checker takes from the record what it finds unusable.
type checker struct {
	Record
	found []finding.Finding
}

func (c *checker) say(code string, sev finding.Severity, field, sentence, remedy string) {
	p := c.Where
	p.Subject, p.Field = "burn "+c.ID, field
	c.found = append(c.found, finding.Finding{Code: code, Severity: sev, Where: p, Sentence: sentence, Remedy: remedy})
}

// beforeLighting lists what should be known before the match is struck.
func (c *checker) beforeLighting() {
	if !c.Water.Mass.Given && !c.Water.Volume.Given {
		c.say("water_missing", finding.Caution, "water.mass", "the water was neither weighed nor measured", "weigh the water before lighting; nothing can be corrected without it")
	}
	if !c.Water.Start.Given {
		c.say("start_temperature_missing", finding.Caution, "water.start", "the start temperature of the water was not read", "stir and read it before lighting; a kelvin is more than a per cent of the boil")
	}
	if !c.Fuel.Poured.Given && !c.Fuel.DoseMass.Given && !c.Fuel.DoseVolume.Given {
		c.say("dose_missing", finding.Caution, "fuel.poured", "neither the fuel's mass nor the dose is written down", "weigh burner and fuel before lighting")
	} else if !c.Fuel.Poured.Given && !c.Fuel.DoseMass.Given {
		c.say("fuel_not_weighed", finding.Note, "fuel.poured", "the dose was measured by volume and not weighed", "weigh burner and fuel before lighting and again at the end")
	}
}

// numbers drops readings that are not numbers, or below what can be.
func (c *checker) numbers() {
	f, w := &c.Fuel, &c.Water
	amount(c, "fuel.dose", &f.DoseVolume)
	amount(c, "fuel.dose", &f.DoseMass)
	temperature(c, "fuel.temperature", &f.Temperature)
	mass(c, "fuel.poured", &f.Poured)
	mass(c, "fuel.at_pot_on", &f.AtPotOn)
	mass(c, "fuel.at_boil", &f.AtBoil)
	mass(c, "fuel.left", &f.Left)
	amount(c, "water.mass", &w.Mass)
	amount(c, "water.volume", &w.Volume)
	mass(c, "water.end", &w.End)
	temperature(c, "water.start", &w.Start)
	temperature(c, "water.peak", &w.Peak)
	temperature(c, "water.boiling", &w.Boiling)
	mass(c, "simmer.fuel_start", &c.Simmer.FuelStart)
	mass(c, "simmer.fuel_end", &c.Simmer.FuelEnd)
	mass(c, "simmer.water_start", &c.Simmer.WaterStart)
	mass(c, "simmer.water_end", &c.Simmer.WaterEnd)
}

// amount is a mass or volume of something that was there.
func amount[T quantity.Mass | quantity.Volume](c *checker, field string, r *quantity.Reading[T]) {
	if r.Given && r.Value == 0 {
		c.say("nothing_there", finding.Fault, field, fmt.Sprintf("%s was read where something is expected", shown(*r)), "write the reading, or leave the key out if nothing was read")
		*r = quantity.Reading[T]{}
		return
	}
	mass(c, field, r)
}

// mass is a mass or volume that may be nothing.
func mass[T quantity.Mass | quantity.Volume](c *checker, field string, r *quantity.Reading[T]) {
	number(c, field, r, float64(r.Value))
	if r.Given && r.Value < 0 {
		c.say("below_zero", finding.Fault, field, fmt.Sprintf("%s is below zero", shown(*r)), "weigh with the same tare at every stage")
		*r = quantity.Reading[T]{}
	}
}

func temperature(c *checker, field string, r *quantity.Reading[quantity.Temperature]) {
	number(c, field, r, r.Value.Kelvin())
}

func number[T any](c *checker, field string, r *quantity.Reading[T], value float64) {
	if !r.Given || value-value == 0 && r.Step-r.Step == 0 && r.Tolerance-r.Tolerance == 0 {
		return
	}
	c.say("not_a_number", finding.Fault, field, "the reading is not a number", "write it as read, with its unit, such as 14.9 g or 18.3 °C")
	*r = quantity.Reading[T]{}
}

// shown is a reading as written, or in metric units when it did not come from text.
func shown[T quantity.Printable](r quantity.Reading[T]) string {
	return cmp.Or(r.Text, quantity.Format(r.Value, quantity.Metric))
}

// order lists pairs of marks of which the second cannot come before the first.
// Boil may follow the end of the flame.
var order = [...][2]Mark{
	{Light, Bloom}, {Light, PotOn}, {Light, NotBoiling}, {Light, Boil}, {Light, SimmerStart}, {Light, SimmerEnd},
	{Light, PotOff}, {Light, Out}, {Light, Snuffed},
	{PotOn, NotBoiling}, {PotOn, Boil}, {PotOn, PotOff}, {PotOn, Out}, {PotOn, Snuffed},
	{NotBoiling, Boil}, {Boil, PotOff},
	{Bloom, Out}, {Bloom, Snuffed}, {SimmerStart, SimmerEnd}, {SimmerEnd, Out}, {SimmerEnd, Snuffed},
}

// places is order by place in marks, so that each mark is looked up once.
var places = func() (at [len(order)][2]int) {
	for i, pair := range order {
		at[i] = [2]int{slices.Index(marks[:], pair[0]), slices.Index(marks[:], pair[1])}
	}
	return at
}()

// aside reports a mark that says nothing of how the burn ended.
func (m Mark) aside() bool { return m == Bloom || m == SimmerStart || m == SimmerEnd }

// reversed lists the pairs of order that the record's marks turn round.
func (r *Record) reversed() (pairs [][2]Mark) {
	var at [len(marks)]time.Duration
	var known [len(marks)]bool
	for i, m := range marks {
		at[i], known[i] = r.At(m)
	}
	for i, p := range places {
		if known[p[0]] && known[p[1]] && at[p[1]] < at[p[0]] {
			pairs = append(pairs, order[i])
		}
	}
	return pairs
}

// InOrder reports whether the marks that say how the burn ended can be: none
// before light, none before one that it must follow.
func (r Record) InOrder() bool {
	return !slices.ContainsFunc(r.reversed(), func(p [2]Mark) bool { return !p[0].aside() && !p[1].aside() })
}

// markOrder says which marks come before one that they must follow, and takes
// marks of bloom and simmer out of the record that do.
func (c *checker) markOrder() {
	wrong := c.reversed()
	for _, pair := range wrong {
		first, _ := c.At(pair[0])
		second, _ := c.At(pair[1])
		c.say("mark_order", finding.Fault, "marks."+string(pair[1]),
			fmt.Sprintf("%s at %s lies before %s at %s", pair[1].Label(), quantity.FormatDuration(second, 0), pair[0].Label(), quantity.FormatDuration(first, 0)),
			"check both marks against the film or the notebook")
	}
	for _, pair := range wrong {
		c.setAside(pair)
	}
}

// setAside takes marks of bloom and simmer out of the record.
func (c *checker) setAside(pair [2]Mark) {
	c.Marks = maps.Clone(c.Marks) // the caller keeps his
	maps.DeleteFunc(c.Marks, func(m Mark, _ quantity.Reading[time.Duration]) bool {
		return m.aside() && (m == pair[0] || m == pair[1])
	})
}

func (c *checker) ending() {
	_, out := c.At(Out)
	_, snuffed := c.At(Snuffed)
	if out && snuffed {
		c.say("out_and_snuffed", finding.Fault, "marks.snuffed", "the burn both ended by itself and was put out", "keep the one that happened first")
	}
	if !out && !snuffed {
		c.say("end_missing", finding.Caution, "marks.out", "no mark says when the flame ended", "mark flame-out by the snuffer test, or when it was put out")
	}
}

// stage is one weighing of the fuel.
type stage struct {
	field string
	mass  quantity.Reading[quantity.Mass]
}

// fuelStages checks that fuel only ever got less, and that some of it did.
func (c *checker) fuelStages() {
	f := &c.Fuel
	first := stage{"fuel.poured", f.Poured}
	if !first.mass.Given && f.Weighed == FuelOnly {
		first = stage{"fuel.dose", f.DoseMass}
	}
	last := first
	grew := false
	for _, s := range [...]stage{{"fuel.at_pot_on", f.AtPotOn}, {"fuel.at_boil", f.AtBoil}, {"fuel.left", f.Left}} {
		if !s.mass.Given {
			continue
		}
		if last.mass.Given && s.mass.Value > last.mass.Value {
			grew = true
			c.say("fuel_grew", finding.Fault, s.field,
				fmt.Sprintf("%s is heavier than %s at the stage before", shown(s.mass), shown(last.mass)),
				"check the two readings and that the same things stood on the scale")
		}
		last = s
	}
	none := quantity.Reading[quantity.Mass]{}
	if grew {
		f.Poured, f.AtPotOn, f.AtBoil, f.Left = none, none, none, none
	}
	if first.mass.Given && f.Left.Given && f.Left.Value == first.mass.Value {
		c.say("nothing_burned", finding.Fault, "fuel.left", fmt.Sprintf("%s at the end is what there was at the start", shown(f.Left)), "weigh again, with a finer scale")
		f.AtBoil, f.Left = none, none
	}
	if f.Weighed == FuelOnly && f.Poured.Given && f.DoseMass.Given && f.Poured.Value > 1.05*f.DoseMass.Value {
		c.say("poured_above_dose", finding.Caution, "fuel.poured",
			fmt.Sprintf("%s was weighed where the dose was %s", shown(f.Poured), shown(f.DoseMass)), "say what stood on the scale")
	}
}

// water checks the water's own readings against each other.
func (c *checker) water() {
	w := &c.Water
	if w.End.Given && w.Mass.Given && w.End.Value > w.Mass.Value {
		c.say("water_grew", finding.Fault, "water.end",
			fmt.Sprintf("%s at the end is more than %s at the start", shown(w.End), shown(w.Mass)), "check the two readings and the pot's own mass")
		w.End = quantity.Reading[quantity.Mass]{}
	}
	if w.Peak.Given && w.Start.Given && w.Peak.Value.Sub(w.Start.Value) < 0 {
		c.say("water_cooled", finding.Fault, "water.peak",
			fmt.Sprintf("the highest temperature %s lies below the start %s", shown(w.Peak), shown(w.Start)), "check the two readings")
		w.Peak = quantity.Reading[quantity.Temperature]{}
	}
}
