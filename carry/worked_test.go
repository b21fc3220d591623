package carry

import (
	"math"
	"testing"

	"fairburn/quantity"
)

// multiple is the heat of a boil on a leg against the reference's.
func multiple(t *testing.T, l Leg) float64 {
	t.Helper()
	c, err := newClimate(&l)
	if err != nil {
		t.Fatal(err)
	}
	k, err := c.curveOf(boil{water: 1}, referenceRise)
	if err != nil {
		t.Fatal(err)
	}
	return k.at(0.5)
}

// Computed from (boiling point − start)/80 in the standard atmosphere.
func TestWorkedRiseFactors(t *testing.T) {
	for _, row := range []struct{ start, metres, want float64 }{{5, 2000, 1.10}, {20, 3000, 0.875}, {10, 0, 1.125}, {5, 0, 1.19}} {
		if got := multiple(t, Leg{WaterStart: celsius(row.start, 0), Elevation: metres(row.metres)}); math.Abs(got-row.want) > 0.005 {
			t.Errorf("from %g °C at %g m: %.4f, worked %g", row.start, row.metres, got, row.want)
		}
	}
}

// Computed from the heat of melting and the enthalpies of water and ice.
func TestWorkedSnowFactors(t *testing.T) {
	for _, row := range []struct{ snow, want float64 }{{0, 2.25}, {-10, 2.31}} {
		l := Leg{SnowShare: quantity.Given(quantity.Ratio(1)), SnowTemperature: celsius(row.snow, 0)}
		if got := multiple(t, l); math.Abs(got-row.want) > 0.006 {
			t.Errorf("snow at %g °C: %.4f, worked %g", row.snow, got, row.want)
		}
	}
}

// One builder's log: 500 g of snow at −8.2 °C melted in 390 s and boiled 518 s later;
// useful powers of 449 W and 404 W were computed from it.
func TestWorkedSnowPowers(t *testing.T) {
	c, err := newClimate(&Leg{SnowShare: quantity.Given(quantity.Ratio(1)), SnowTemperature: celsius(-8.2, 0)})
	if err != nil {
		t.Fatal(err)
	}
	all, err := c.cost(boil{water: 0.5}, 0)
	if err != nil {
		t.Fatal(err)
	}
	melt := 0.5 * (meltingHeat + 8.2*iceHeat)
	for _, row := range []struct{ joules, seconds, want float64 }{{melt, 390, 449}, {all - melt, 518, 404}} {
		if got := row.joules / row.seconds; math.Abs(got-row.want) > 1 {
			t.Errorf("%.1f W, worked %g", got, row.want)
		}
	}
}

// Computed: spirit 14.25 oz at the start and 3 oz a day, gas 14.0 and 0.75, 4 days:
// gas starts 0.25 oz lighter, the mean of start and end is 8.25 against 12.5 oz.
func TestWorkedMetricFlip(t *testing.T) {
	const oz = quantity.Ounce
	s := Shelf{
		Stoves:  []Stove{exact("spirit", Spirit, 2.25*oz, 3*oz, quantity.Density(float64(3*oz)/1e-4)), exact("gas", Gas, 6*oz, 0.75*oz, 0)},
		Parts:   []Part{weightless},
		Vessels: []Vessel{{For: Spirit, Holds: mL(5e3), Mass: g(0)}, {For: Gas, Fuel: quantity.Given(4 * oz), Mass: quantity.Given(8 * oz)}},
	}
	a := choose(t, litreADay(4), s)
	want := map[string][2]float64{"spirit": {14.25, 8.25}, "gas": {14, 12.5}}
	for _, k := range a.Kits {
		w := want[k.Kit.Stove]
		if start, mean := float64(k.Start/oz), float64((k.Start+k.End)/2/oz); math.Abs(start-w[0]) > 1e-6 || math.Abs(mean-w[1]) > 0.01 {
			t.Errorf("%s: start %.3f, mean of ends %.3f oz, worked %v", k.Kit.Stove, start, mean, w)
		}
	}
	trip := litreADay(4)
	trip.Choose = LeastMean
	if lightest, least := a.Best.Kit.Stove, choose(t, trip, s).Best.Kit.Stove; lightest != "gas" || least != "spirit" {
		t.Errorf("lightest at the start %s, on average %s", lightest, least)
	}
}

// Computed from the kit table: mass at the start of each day, averaged.
func TestWorkedMeanCarried(t *testing.T) {
	s := Shelf{Stoves: []Stove{exact("spirit", Spirit, 0.060, 0.040, 800)}, Parts: []Part{weightless}}
	for _, b := range [][2]float64{{100, 18}, {250, 32}, {550, 45}, {700, 63}} {
		s.Vessels = append(s.Vessels, Vessel{For: Spirit, Holds: mL(b[0]), Mass: g(b[1])})
	}
	for days, want := range map[int]float64{3: 172, 5: 212, 7: 265, 10: 325, 14: 423} {
		if got := float64(choose(t, litreADay(days), s).Best.Mean) * 1e3; math.Abs(got-want) > 0.2 {
			t.Errorf("%d days: %.2f g, worked %g", days, got, want)
		}
	}
}
