package reduce

import (
	"math"
	"testing"
	"time"

	"fairburn/burn"
	"fairburn/finding"
	"fairburn/matter/fuel"
	"fairburn/matter/water"
	"fairburn/quantity"
)

// Heating tests that others published, with what they printed.
func TestPublishedHeating(t *testing.T) {
	for _, row := range []struct {
		name, source                string
		water, perKelvin, rise      float64 // g, J/(g K), K
		fuel, molar, perMole        float64 // g, g/mol, kJ/mol
		printedPerMole, ofPrinted   float64 // kJ/mol and its last digit
		printedShare, ofShareDigits float64
	}{
		{"ethanol", "public school notes, calorimetry with a spirit burner: 200 g, 20.0 to 45.5 °C, 1.50 g burned, printed 656 kJ/mol", 200, 4.18, 25.5, 1.50, 46.1, 1367, 656, 1, 0, 0},
		{"methanol", "public school notes: 500 g heated 31.2 K by 10.0 g, printed 208.6 kJ/mol and 28.7 %", 500, 4.18, 31.2, 10.0, 32.0, 726, 208.6, 0.1, 0.287, 0.0005},
	} {
		heat := row.water * row.perKelvin * row.rise // J
		within(t, row.name+" kJ/mol", heat/1e3*row.molar/row.fuel, row.printedPerMole, row.ofPrinted)
		c := Claim{
			Heat: quantity.Energy(heat), Fuel: quantity.Mass(row.fuel) * quantity.Gram,
			HeatingValue: quantity.SpecificEnergy(row.perMole / row.molar * 1e6), Stated: quantity.Ratio(row.printedShare),
		}
		eta, found := c.Efficiency()
		if row.printedShare > 0 {
			within(t, row.name+" share", float64(eta), row.printedShare, row.ofShareDigits)
		}
		if len(found) > 0 {
			t.Errorf("%s: %v", row.name, found)
		}
	}
	for _, row := range []struct {
		source            string
		water, rise, fuel float64 // g, K, g; 4.2 J/(g K) and 30 MJ/kg
	}{
		{"public school notes: 100 g by 60 K on 4.2 g at 30 MJ/kg, printed 20 %", 100, 60, 4.2},
		{"public school notes: 2 kg from 20 to 70 °C on 70 g at 30 MJ/kg, printed 20 %", 2000, 50, 70},
	} {
		eta, found := Claim{quantity.Energy(row.water * 4.2 * row.rise), quantity.Mass(row.fuel * 1e-3), 30 * quantity.MegajoulePerKilogram, 0.20}.Efficiency()
		if math.Abs(float64(eta)-0.20) > 1e-9 || len(found) > 0 {
			t.Errorf("%s: %.4f %v", row.source, eta, found)
		}
	}
	// Public school notes: 2 kg by 50 K at 29.7 MJ/kg without loss needs 14 g.
	lossless := heating{capacity: 2000 * 4.2, from: 20, to: 70}
	within(t, "fuel without loss, g", lossless.heat()/29.7e6*1e3, 14, 0.5)
	// A thesis on a drink-can burner for bioethanol gel, chapter 4, variant 1:
	// equivalent fuel 21.4476 g, 0.67847.
	eta, found := Claim{quantity.Energy(4.186*400*67 + 2260*58), 21.4476 * quantity.Gram, 16717.36905e3, 0.67847}.Efficiency()
	within(t, "gel burner on equivalent fuel", float64(eta), 0.67847, 1e-5)
	if len(found) > 0 {
		t.Error(found)
	}
	// A mailing-list note on the Indian test: 3500 g at 0.91 J/(g K) are worth
	// 761 g of water, and with 20 000 g the heated mass is 20 761 g. It takes the
	// calorie of 4.186 J; water between 25 and 95 °C is within 0.1 % of it.
	from, errFrom := water.Enthalpy(quantity.Celsius(25), quantity.StandardAtmosphere)
	to, errTo := water.Enthalpy(quantity.Celsius(95), quantity.StandardAtmosphere)
	if errFrom != nil || errTo != nil {
		t.Fatal(errFrom, errTo)
	}
	within(t, "pot in water, g", 3500*0.91/(float64(to-from)/70/1e3), 761, 1)
}

// Fires whose mass and power were both measured: flux, area and heating value
// must give the power within its band. Source: MaCFP/NIST compilation of pool
// fires, tables 1.1 and 3.2; heating values of propane and methane from memory.
// The gel stove: committee note of 2007 for SANS 666, 75.9 g in 30 minutes at
// 24.89 MJ/kg, printed 1.05 kW.
func TestPublishedPower(t *testing.T) {
	area := func(cm float64) float64 { return math.Pi / 4 * cm * cm * 1e-4 }
	for _, row := range []struct {
		name         string
		rate, lhv    float64 // kg/s, J/kg
		power, halfK float64 // kW
	}{
		{"methanol, 30.1 cm", 13.1e-3 * area(30.1), float64(fuel.Methanol.LHV()), 19.2, 1.7},
		{"propane, 37.0 cm", 6.9e-3 * area(37.0), 46.35e6, 34.4, 1.2},
		{"methane, 37.0 cm", 6.4e-3 * area(37.0), 50.0e6, 34.5, 0.5},
		{"gel stove", 75.9e-3 / 1800, 24.89e6, 1.05, 0.005},
	} {
		within(t, row.name, row.rate*row.lhv/1e3, row.power, row.halfK)
	}
}

// The same gel through a reduction: mean power needs light, end and weighings.
func TestPublishedMeanPower(t *testing.T) {
	r, _ := exampleA()
	s := setupFor(1013, fuel.Ethanol, 0.96)
	r.Fuel.Poured, r.Fuel.AtPotOn, r.Fuel.AtBoil, r.Fuel.Left = grams(2145.9, 0.1), grams(2145.9, 0.1), grams(2100, 0.1), grams(2070.0, 0.1)
	r.Marks = marks(map[burn.Mark]float64{burn.PotOn: 0, burn.Boil: 900, burn.Out: 1800})
	got := Reduce(r, s)
	power, ok := got.Figure(MeanPower)
	lhv, okLHV := got.Figure(HeatingValue)
	if !ok || !okLHV {
		t.Fatal("mean power or heating value is missing")
	}
	within(t, "mean power at the note's heating value, kW", power.Value/lhv.Value*24.89e6/1e3, 1.05, 0.005)
}

// Results that were published and are wrong, each with what must catch it.
func TestPublishedWrong(t *testing.T) {
	for _, row := range []struct {
		source string
		Claim
		codes []string
	}{
		{"public notes: methanol 0.48 g heats 200 g by 13.4 K, \"-383 kJ/mol, 53 %\"",
			Claim{quantity.Energy(200 * 4.18 * 13.4), 0.48 * quantity.Gram, quantity.SpecificEnergy(726 / 32.04 * 1e6), 0.53},
			[]string{"eta_above_1", "published_eta_inconsistent"}},
		{"public notes: 300 g of spirit gives \"9 kJ\"",
			Claim{9 * quantity.Kilojoule, 300 * quantity.Gram, 30 * quantity.MegajoulePerKilogram, 0},
			[]string{"eta_below_0.02"}},
		{"draft of 2007 for SANS 666: power (M_i − M_f) 16/18 000 in kW, of 75.9 g in 30 min",
			Claim{quantity.Energy(75.9 * 16 / 18000 * 1e3 * 1800), 75.9 * quantity.Gram, 24.89 * quantity.MegajoulePerKilogram, 1},
			[]string{"published_eta_inconsistent"}},
		{"thesis on a drink-can gel burner: 0.678 on 25 g, with wood's moisture and char taken off the fuel",
			Claim{quantity.Energy(4.186*400*67 + 2260*58), 25 * quantity.Gram, 16717.36905e3, 0.67847},
			[]string{"published_eta_inconsistent"}},
	} {
		_, found := row.Efficiency()
		if len(found) != len(row.codes) {
			t.Errorf("%s: %v", row.source, found)
		}
		for _, code := range row.codes {
			if !finding.Has(found, code) {
				t.Errorf("%s: want %s, got %v", row.source, code, found)
			}
		}
	}
	// Public notes: 1 lb of water from 70 to 212 °F "needs 6.7 mL of ethanol or
	// 9 mL of methanol": 142 BTU were taken for 142 kJ. Units that are types
	// keep the two apart.
	for _, row := range []struct {
		fuel    fuel.Substance
		printed float64 // mL
	}{{fuel.Ethanol, 6.7}, {fuel.Methanol, 9}} {
		rho, err := row.fuel.Density(quantity.Celsius(20))
		if err != nil {
			t.Fatal(err)
		}
		perVolume := float64(row.fuel.LHV()) * float64(rho)
		within(t, "mL as printed", float64(142*quantity.Kilojoule)/perVolume*1e6, row.printed, 0.05)
		if mL := float64(142*quantity.BTU) / perVolume * 1e6; mL < row.printed*1.05 {
			t.Errorf("142 BTU take %.2f mL, 142 kJ %.1f mL: expected a BTU to be worth 1.055 kJ", mL, row.printed)
		}
	}
}

// TestTradeRules holds the trade's own rules of thumb against the physics.
// Common practice, no source: one fluid ounce of spirit is enough to boil two
// cups on a decent burner (efficiency 40 %); most jet burners bloom 20 to 60 s
// after light, and such marks pass without a word.
func TestTradeRules(t *testing.T) {
	blend, err := fuel.FromStrength(0.95, 0)
	if err != nil {
		t.Fatal(err)
	}
	ounce, _, err := blend.MassOf(quantity.USFluidOunce, quantity.Celsius(20))
	if err != nil {
		t.Fatal(err)
	}
	lhv, _ := blend.LHV()
	cups := ClaimedHeat(quantity.Mass(2*float64(quantity.USCup)*998), 80, 0)
	if need := float64(cups) / 0.40 / float64(lhv); need > float64(ounce) {
		t.Errorf("two cups at 40 %% take %.1f g, one fluid ounce is %.1f g", need*1e3, float64(ounce)*1e3)
	}
	for seconds, said := range map[float64]bool{2: true, 20: false, 60: false, 200: true} {
		r, s := exampleA()
		r.Marks[burn.Bloom] = quantity.Given(time.Duration(seconds * float64(time.Second)))
		if got := finding.Has(Reduce(r, s).Findings, "bloom_unusual"); got != said {
			t.Errorf("bloom at %g s: told %v", seconds, got)
		}
	}
}
