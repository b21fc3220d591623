package repeat

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"fairburn/burn"
	"fairburn/gear"
	"fairburn/matter/fuel"
	"fairburn/quantity"
	"fairburn/trial"
)

// Everything here is invented; nobody burned anything for it.

func grams(g float64) quantity.Reading[quantity.Mass] {
	return quantity.Reading[quantity.Mass]{Value: quantity.Mass(g) * quantity.Gram, Step: 1e-4, Given: true}
}

func millimetres(x float64) quantity.Reading[quantity.Length] {
	return quantity.Given(quantity.Length(x) * quantity.Millimetre)
}

func seconds(s float64) quantity.Reading[time.Duration] {
	return quantity.Given(time.Duration(s * float64(time.Second)))
}

// empty is a trial of the named entries without burns.
func empty(title string, names ...string) *trial.Trial {
	t := &trial.Trial{Title: title, Invented: true, Settings: trial.DefaultSettings(),
		Site: burn.Site{Station: quantity.Given(985 * quantity.Hectopascal), Air: quantity.Given(quantity.Celsius(16))},
		Shelf: gear.Shelf{
			Pots:    []gear.Pot{{Name: "pot", Material: "titanium", Mass: grams(110), Diameter: millimetres(115)}},
			Lids:    []gear.Lid{{Name: "lid", Material: "titanium", Mass: grams(30)}},
			Screens: []gear.Screen{{Name: "foil", Gap: millimetres(10)}},
			Stands:  []gear.Stand{{Name: "wire", Mass: grams(15), Height: millimetres(35)}},
			Batches: []gear.FuelBatch{{Name: "bottle", Components: []gear.Component{
				{Substance: fuel.Ethanol, Low: quantity.Given(quantity.Strength{Basis: quantity.ByMass, Value: 0.94})}, {Substance: fuel.Water, Rest: true},
			}}},
		}}
	for _, n := range names {
		t.Shelf.Burners = append(t.Shelf.Burners, gear.Burner{Name: n, Family: gear.SideJets, DryMass: grams(12), Can: millimetres(53),
			Jets: []gear.JetRing{{Count: 24, Diameter: millimetres(1)}}, Seam: gear.Seam{Kind: "interference"}})
		t.Entries = append(t.Entries, trial.Entry{Name: n, Burner: n, Pot: "pot", Lid: "lid", Screen: "foil", Stand: "wire", Fuel: "bottle"})
	}
	return t
}

// burn adds a burn by a tester.
func add(t *trial.Trial, tester, entry string, boil, used float64) {
	t.Burns = append(t.Burns, burn.Record{
		ID: fmt.Sprint(len(t.Burns) + 1), Entry: entry, Tester: tester, BoilBy: burn.Rolling,
		Fuel:  burn.Fuel{Weighed: burn.BurnerAndFuel, ToBoilBy: burn.SnuffedAtBoil, Poured: grams(60), Left: grams(60 - used)},
		Water: burn.Water{Mass: grams(500), Start: quantity.Given(quantity.Celsius(18))},
		Marks: map[burn.Mark]quantity.Reading[time.Duration]{burn.PotOn: seconds(30), burn.Boil: seconds(boil), burn.Snuffed: seconds(boil + 1)},
	})
}

// fail adds a burn that ran out before the boil.
func fail(t *trial.Trial, tester, entry string) {
	add(t, tester, entry, 500, 16)
	b := &t.Burns[len(t.Burns)-1]
	delete(b.Marks, burn.Boil)
	delete(b.Marks, burn.Snuffed)
	b.Marks[burn.Out] = seconds(480)
	b.Water.Peak = quantity.Given(quantity.Celsius(92))
}

// bench is one tester's burns: n of each entry with the given boil times.
type bench struct {
	title, tester string
	n             int
	boil          map[string]float64
	scatter       float64
}

func (b bench) trial(seed uint64, names ...string) *trial.Trial {
	t := empty(b.title, names...)
	r := rand.New(rand.NewPCG(seed, 1))
	for range b.n {
		for _, name := range names {
			z := b.scatter * r.NormFloat64()
			add(t, b.tester, name, b.boil[name]*math.Exp(z), b.boil[name]/32*math.Exp(z/2))
		}
	}
	return t
}

// judged compares trials of one tester each.
func judged(t *testing.T, trials ...*trial.Trial) *Comparison {
	t.Helper()
	var sources []Source
	for _, x := range trials {
		sources = append(sources, Source{Trial: x})
	}
	c, err := Judge(sources...)
	if err != nil {
		t.Fatal(err)
	}
	return c
}
