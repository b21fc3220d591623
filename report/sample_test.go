package report

import (
	"fmt"
	"math/rand/v2"
	"sync"
	"time"

	"fairburn/burn"
	"fairburn/gear"
	"fairburn/quantity"
	"fairburn/trial"
	"fairburn/verdict"
)

// The trial here is invented; nobody burned anything for it.

func grams(g float64) quantity.Reading[quantity.Mass] {
	return quantity.Reading[quantity.Mass]{Value: quantity.Mass(g) * quantity.Gram, Step: 1e-4, Text: fmt.Sprintf("%.1f g", g), Unit: "g", Given: true}
}

func celsius(c float64) quantity.Reading[quantity.Temperature] {
	return quantity.Reading[quantity.Temperature]{Value: quantity.Celsius(c), Step: 0.1, Text: fmt.Sprintf("%.1f °C", c), Unit: "°C", Given: true}
}

func seconds(s float64) quantity.Reading[time.Duration] {
	return quantity.Given(time.Duration(s * float64(time.Second)).Round(time.Second))
}

func byVolume(share float64, text string) quantity.Reading[quantity.Strength] {
	return quantity.Reading[quantity.Strength]{Value: quantity.Strength{Basis: quantity.ByVolume, Value: share}, Text: text, Given: true}
}

func shelf() gear.Shelf {
	return gear.Shelf{
		Burners: []gear.Burner{
			{Name: "Tall can, 16 jets", Family: gear.SideJets, DryMass: grams(14.3), Traits: []gear.Trait{
				{Kind: gear.Simmers, Holds: false, ShownBy: []string{"1", "4"}, Note: "goes out when choked"},
				{Kind: gear.StandsAlone, Holds: true, ShownBy: []string{"1"}},
			}},
			{Name: "Short can, felt wick", Family: gear.Wick, DryMass: grams(11.8), Parent: "Tall can, 16 jets", Changed: "felt in place of the inner wall", Traits: []gear.Trait{
				{Kind: gear.StoresFuel, Holds: true, Note: "the felt keeps about 3 g"},
			}},
			{Name: "Brass yardstick", Family: gear.LowPressure, ShopMade: true, DryMass: grams(112.4)},
		},
		Pots:    []gear.Pot{{Name: "Wide pot 900", Mass: grams(142.6), Material: "aluminium"}},
		Lids:    []gear.Lid{{Name: "Foil lid", Mass: grams(6.1), Material: "aluminium"}},
		Screens: []gear.Screen{{Name: "Foil screen", Mass: grams(21.5)}},
		Stands:  []gear.Stand{{Name: "Wire stand", Mass: grams(18.2)}},
		Batches: []gear.FuelBatch{{Name: "Bottle 4", Product: "spirit for burners", Strength: byVolume(0.94, "94 % vol"), KnownBy: "label"}},
		Tools: gear.Tools{
			Scales:       []gear.Scale{{Name: "pocket scale", Step: grams(0.1), Linearity: grams(0.2)}},
			Thermometers: []gear.Thermometer{{Name: "probe", Step: quantity.Given(quantity.TempDiff(0.1)), Limit: quantity.Given(quantity.TempDiff(0.5))}},
			Barometers:   []gear.Barometer{{Name: "weather box", Limit: quantity.Given(1 * quantity.Hectopascal)}},
		},
	}
}

// behaviour is how an invented entry burns.
type behaviour struct {
	name          string
	boil, rate    float64 // s from light, g/s to the boil
	dose, scatter float64
	bloom, potOn  float64
	failsInBlock  []int
}

var behaviours = []behaviour{
	{name: "Tall can", boil: 392, rate: 0.0335, dose: 16, scatter: 0.025, bloom: 24, potOn: 32},
	{name: "Short can", boil: 497, rate: 0.0242, dose: 14, scatter: 0.05, bloom: 0, potOn: 15, failsInBlock: []int{4}},
	{name: "Yardstick", boil: 441, rate: 0.0309, dose: 17, scatter: 0.02, bloom: 41, potOn: 50},
}

// invented is a trial of three entries in six blocks, half of them snuffed at
// the boil; one entry runs dry before the boil once.
func invented() *trial.Trial {
	t := &trial.Trial{
		Title: "Three burners for a wide pot", Question: "Which of my two cans should I carry, and does either beat the shop-made one?",
		Invented: true, Settings: trial.DefaultSettings(), Shelf: shelf(),
		Site: burn.Site{
			Name: "garage", WindWord: "still",
			Station: quantity.Reading[quantity.Pressure]{Value: 951 * quantity.Hectopascal, Text: "951 hPa", Instrument: "weather box", Given: true},
			Air:     celsius(16.5),
		},
	}
	for i, b := range []string{"Tall can, 16 jets", "Short can, felt wick", "Brass yardstick"} {
		t.Entries = append(t.Entries, trial.Entry{
			Name: behaviours[i].name, Burner: b, Pot: "Wide pot 900", Lid: "Foil lid", Screen: "Foil screen", Stand: "Wire stand", Fuel: "Bottle 4",
		})
	}
	random := rand.New(rand.NewPCG(7, 11))
	for block := 1; block <= 6; block++ {
		for place, i := range random.Perm(3) {
			id := 3*(block-1) + place + 1
			t.Burns = append(t.Burns, behaviours[i].burn(id, block, random))
		}
	}
	return t
}

func (e behaviour) burn(id, block int, random *rand.Rand) burn.Record {
	start := 14.5 + 0.4*float64(block) + 0.3*random.NormFloat64()
	boil := e.boil * (98.2 - start) / 80 * (1 + e.scatter*random.NormFloat64())
	rate := e.rate * (1 + e.scatter/2*random.NormFloat64())
	r := burn.Record{
		ID: fmt.Sprint(id), Entry: e.name, Block: fmt.Sprintf("day %d", block), Order: id, BoilBy: burn.Rolling,
		Water: burn.Water{Mass: grams(500), Start: celsius(start)},
		Fuel:  burn.Fuel{Weighed: burn.BurnerAndFuel, Poured: grams(100 + e.dose), DoseMass: grams(e.dose)},
		Marks: map[burn.Mark]quantity.Reading[time.Duration]{burn.PotOn: seconds(e.potOn)},
	}
	if e.bloom > 0 {
		r.Marks[burn.Bloom] = seconds(e.bloom)
	}
	switch {
	case len(e.failsInBlock) > 0 && e.failsInBlock[0] == block:
		r.Marks[burn.Out] = seconds(boil * 0.93)
		r.Fuel.Left, r.Water.Peak = grams(100.4), celsius(91.5)
	case block%2 == 0:
		r.Marks[burn.Boil], r.Marks[burn.Snuffed] = seconds(boil), seconds(boil+3)
		r.Fuel.Left = grams(100 + e.dose - rate*boil)
	default:
		r.Marks[burn.Boil] = seconds(boil)
		r.Marks[burn.Out] = seconds(boil + (e.dose-rate*boil-0.3)/rate)
		r.Fuel.Left = grams(100.3)
	}
	return r
}

// judged is the trial with its verdict.
func judged(t *trial.Trial) (*verdict.Verdict, *trial.Reduced) {
	r := t.Reduce()
	return verdict.Judge(r), r
}

// sample is the invented trial judged, once for all tests that only read it.
var sample = sync.OnceValues(func() (*verdict.Verdict, *trial.Reduced) { return judged(invented()) })

const hostile = `<script>alert("x")</script> & <b>bold</b> 'Ωμέγα' {{.Seed}} javascript:alert(1)`

// trouble is the trial with everything that can be wrong with a burn, and text
// that is markup wherever people write text.
func trouble() *trial.Trial {
	t := invented()
	t.Title, t.Question, t.Site.Name = hostile, hostile, hostile
	t.Entries[0].Name, t.Entries[0].Notes = hostile, hostile
	t.Shelf.Burners[0].Notes, t.Shelf.Burners[0].Changed = hostile, hostile
	t.Shelf.Burners[0].Traits[0].Note = hostile
	t.Shelf.Batches[0].Product, t.Shelf.Batches[0].KnownBy = hostile, hostile
	for i := range t.Burns {
		if t.Burns[i].Entry == "Tall can" {
			t.Burns[i].Entry = hostile
		}
	}
	t.Burns[2].Void = hostile
	t.Burns[5].Faults = []burn.Fault{{Kind: burn.Refilled, At: seconds(200)}}
	t.Burns[6].Failures, t.Burns[6].Notes = burn.Failures(), hostile
	t.Burns[8].Water.Start = celsius(45)
	t.Burns[9].Fuel.Left = quantity.Reading[quantity.Mass]{}
	t.Burns[10].Water.Start = quantity.Reading[quantity.Temperature]{}
	return t
}

var troubled = sync.OnceValues(func() (*verdict.Verdict, *trial.Reduced) { return judged(trouble()) })
