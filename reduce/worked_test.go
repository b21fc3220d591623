package reduce

import (
	"math"
	"slices"
	"testing"
	"time"

	"fairburn/burn"
	"fairburn/finding"
	"fairburn/gear"
	"fairburn/matter/fuel"
	"fairburn/matter/water"
	"fairburn/quantity"
	"fairburn/uncertainty"
)

// exampleA is a burn worked by hand: 500 g of water in an aluminium pot at
// 985 hPa on ethanol of 96 % by mass. Computed by ourselves, outside this
// package, from the definitions; U = 0 so that the correction is the plain
// ratio of rises.
func exampleA() (burn.Record, Setup) {
	r := burn.Record{
		ID: "A", Entry: "A",
		Fuel: burn.Fuel{
			Weighed: burn.BurnerAndFuel, ToBoilBy: burn.ScaleBurner,
			Poured: grams(100, 0.1), AtPotOn: grams(100-1.10, 0.1), AtBoil: grams(100-12.60, 0.1), Left: grams(100-15.20, 0.1),
		},
		Water: burn.Water{Mass: grams(500, 0.1), End: grams(493.5, 0.1), Start: celsius(18.3, 0.1)},
		Marks: marks(map[burn.Mark]float64{burn.PotOn: 45, burn.Boil: 432, burn.Out: 520}),
	}
	return r, setupFor(985, fuel.Ethanol, 0.96)
}

func exampleA2() (burn.Record, Setup) {
	r := burn.Record{
		ID: "A2", Entry: "A2",
		Fuel: burn.Fuel{
			Weighed: burn.BurnerAndFuel, ToBoilBy: burn.ScaleBurner,
			Poured: grams(100, 0.1), AtPotOn: grams(100-0.80, 0.1), AtBoil: grams(100-13.85, 0.1), Left: grams(100-16.02, 0.1),
		},
		Water: burn.Water{Mass: grams(350, 0.1), End: grams(347.8, 0.1), Start: celsius(9.4, 0.1)},
		Marks: marks(map[burn.Mark]float64{burn.PotOn: 30, burn.Boil: 348, burn.Out: 401}),
	}
	s := setupFor(795, fuel.Methanol, 1)
	s.Reference.Water = 0.350
	return r, s
}

func grams(g, step float64) quantity.Reading[quantity.Mass] {
	return quantity.Reading[quantity.Mass]{Value: quantity.Mass(g * 1e-3), Step: step * 1e-3, Given: true}
}

func celsius(c, step float64) quantity.Reading[quantity.Temperature] {
	return quantity.Reading[quantity.Temperature]{Value: quantity.Celsius(c), Step: step, Given: true}
}

func marks(s map[burn.Mark]float64) map[burn.Mark]quantity.Reading[time.Duration] {
	m := map[burn.Mark]quantity.Reading[time.Duration]{}
	for k, v := range s {
		m[k] = quantity.Given(time.Duration(v * float64(time.Second)))
	}
	return m
}

// setupFor is a bench at a pressure, with the instruments of the worked budget.
func setupFor(hPa float64, s fuel.Substance, share float64) Setup {
	strength := quantity.Reading[quantity.Strength]{Value: quantity.Strength{Basis: quantity.ByMass, Value: share}, Given: true}
	batch := gear.FuelBatch{Name: "bottle", Components: []gear.Component{{Substance: s, Low: strength}}}
	if share < 1 {
		batch.Components = append(batch.Components, gear.Component{Substance: fuel.Water, Rest: true})
	}
	rules := DefaultRules()
	rules.Loss, rules.LossHalf = 0, 0
	return Setup{
		Batch: batch,
		Tools: gear.Tools{
			Scales: []gear.Scale{
				{Name: "kitchen", For: gear.ForWater, Step: quantity.Given(0.1 * quantity.Gram), Linearity: quantity.Given(0.5 * quantity.Gram)},
				{Name: "pocket", For: gear.ForFuel, Step: quantity.Given(0.1 * quantity.Gram), Linearity: quantity.Given(0.1 * quantity.Gram)},
			},
			Thermometers: []gear.Thermometer{{Name: "probe", Step: quantity.Given(quantity.TempDiff(0.1)), Limit: quantity.Given(quantity.TempDiff(0.5))}},
		},
		Site:      burn.Site{Station: quantity.Given(quantity.Pressure(hPa * 100)), Air: quantity.Given(quantity.Celsius(20))},
		Reference: DefaultReference(), Rules: rules,
	}
}

// aluminium60 is the specific heat that the pot's material has at 60 °C; the
// examples state the heat capacity of the pot, not its mass.
const aluminium60 = 918.249 // J/(kg K), on the line from 903 at 300 K to 949 at 400 K

func potOf(capacity float64) gear.Pot {
	return gear.Pot{Name: "pot", Material: "aluminium", Mass: grams(capacity/aluminium60*1e3, 0.1)}
}

// The examples A and A2: computed by ourselves, outside this package, from the
// definitions with the enthalpies of IAPWS-IF97 and formation enthalpies of the
// fuels. Tolerance 0.2 %, the boiling point 0.01 K.
var (
	workedA = map[string]float64{
		"LHV_MJ_kg": 25.635, "T_b_C": 99.184, "Q_w_kJ": 169.38, "Q_pot_kJ": 11.752, "Q_ev_kJ": 14.681, "E_in_kJ": 323.00,
		"eta_water": 0.52439, "eta_water_evap": 0.56985, "eta_water_pot": 0.56078, "eta_all": 0.60623,
		"P_mean_W": 749.33, "P_heat_W": 761.77, "burn_rate_g_min": 1.7829, "P_cook_W": 475.61, "t_raw_s": 432,
		"K": 0.98907, "t_ref_s": 427.77, "t75_s": 358.85, "f_L_g": 25.2, "f_ref_g": 11.930, "E_spec_kJ_kg": 646.00,
	}
	workedA2 = map[string]float64{
		"LHV_MJ_kg": 19.910, "T_b_C": 93.317, "Q_w_kJ": 122.97, "Q_pot_kJ": 4.2126, "Q_ev_kJ": 5.0028, "E_in_kJ": 275.75,
		"eta_water": 0.44595, "eta_water_evap": 0.46409, "eta_water_pot": 0.46123, "eta_all": 0.47937,
		"P_mean_W": 795.41, "P_heat_W": 817.06, "burn_rate_g_min": 2.4623, "P_cook_W": 402.44, "t_raw_s": 348,
		"K": 0.95333, "t_ref_s": 333.16, "t75_s": 284.21, "f_L_g": 39.571, "f_ref_g": 9.8350, "E_spec_kJ_kg": 787.87,
	}
)

func TestWorkedReductions(t *testing.T) {
	a, setA := exampleA()
	a2, setA2 := exampleA2()
	setA.Pot, setA2.Pot = potOf(145.3), potOf(50.2)
	check(t, "A", Reduce(a, setA), workedA)
	check(t, "A2", Reduce(a2, setA2), workedA2)
}

func check(t *testing.T, name string, got Result, want map[string]float64) {
	t.Helper()
	for key, w := range want {
		m, ok := metricOf(key)
		if !ok {
			t.Errorf("%s: no metric has the key %s", name, key)
			continue
		}
		f, ok := got.Figure(m)
		v := f.Value / m.Info().Scale
		switch {
		case !ok:
			t.Errorf("%s: %s is missing", name, key)
		case m == BoilingPoint && math.Abs(v-w) > 0.01:
			t.Errorf("%s: %s = %.4f, worked by hand %.4f", name, key, v, w)
		case m != BoilingPoint && math.Abs(v/w-1) > 0.002:
			t.Errorf("%s: %s = %.6g, worked by hand %.6g", name, key, v, w)
		}
	}
}

func metricOf(key string) (Metric, bool) {
	for _, m := range Metrics() {
		if m.Info().Key == key {
			return m, true
		}
	}
	return 0, false
}

// The cases of burns that may not boil, computed by ourselves as the examples.
func TestWorkedStatuses(t *testing.T) {
	burned := func(total, water float64, at map[burn.Mark]float64) (burn.Record, Setup) {
		s := setupFor(1000, fuel.Ethanol, 0.96)
		p, err := pressureAt(99.5)
		if err != nil {
			t.Fatal(err)
		}
		s.Site.Station = quantity.Given(p)
		return burn.Record{
			ID: "c", Entry: "c", Marks: marks(at),
			Fuel:  burn.Fuel{Weighed: burn.BurnerAndFuel, Poured: grams(60, 0.01), Left: grams(60-total, 0.01)},
			Water: burn.Water{Mass: grams(water, 1)},
		}, s
	}
	t.Run("no boil", func(t *testing.T) {
		r, s := burned(14.0, 600, map[burn.Mark]float64{burn.PotOn: 20, burn.Out: 540})
		r.Water.Start, r.Water.Peak, r.Water.PeakAt = celsius(15, 0.1), celsius(93.1, 0.1), quantity.Given(548*time.Second)
		got := Reduce(r, s)
		check(t, "no boil", got, map[string]float64{
			"rise_fraction": 0.9243, "eta_water": 0.5466, "fuel_to_boil_g_per_L_lower": 23.33, "extrapolated_fuel_g": 15.15,
		})
		if o := got.Outcome; got.Status != NoBoil || !o.FlameOut || o.Censor-o.PotOn != 520*time.Second {
			t.Errorf("status %s, outcome %+v, want no_boil censored 520 s from pot-on by flame-out", got.Status, o)
		}
	})
	t.Run("prorated", func(t *testing.T) {
		r, s := burned(15.2, 500, map[burn.Mark]float64{burn.PotOn: 45, burn.Boil: 432, burn.Out: 520})
		got := Reduce(r, s)
		check(t, "prorated", got, map[string]float64{"m_f_boil_g": 12.63, "t_heat_from_pot_s": 387})
		if got.Status != Boiled || got.FuelBy != burn.Prorated || !finding.Has(got.Findings, "prorated") {
			t.Errorf("status %s by %q, findings %v", got.Status, got.FuelBy, got.Findings)
		}
	})
	t.Run("after flame-out", func(t *testing.T) {
		r, s := burned(13.3, 500, map[burn.Mark]float64{burn.PotOn: 40, burn.Boil: 500, burn.Out: 470})
		got := Reduce(r, s)
		check(t, "after flame-out", got, map[string]float64{"m_f_boil_g": 13.3, "t_heat_from_pot_s": 460})
		if got.Status != BoiledPostFlame || got.FuelBy != burn.AllBurned || finding.Has(got.Findings, "prorated") {
			t.Errorf("status %s by %q, findings %v", got.Status, got.FuelBy, got.Findings)
		}
	})
	t.Run("pot taken off", func(t *testing.T) {
		r, s := burned(12.4, 500, map[burn.Mark]float64{burn.PotOn: 40, burn.PotOff: 300, burn.Out: 420})
		got := Reduce(r, s)
		if o := got.Outcome; got.Status != RightCensored || o.FlameOut || o.Censor-o.PotOn != 260*time.Second {
			t.Errorf("status %s, outcome %+v, want right_censored 260 s from pot-on and no competing event", got.Status, o)
		}
		for _, m := range []Metric{FuelToBoil, FuelToBoilLow, FuelExtrapolated, EtaWater} {
			if _, ok := got.Figure(m); ok {
				t.Errorf("%s is given though the burner went on without the pot", m.Info().Key)
			}
		}
	})
}

func pressureAt(celsius float64) (quantity.Pressure, error) {
	return water.SaturationPressure(quantity.Celsius(celsius))
}

// The budget of eta_water of example A, computed by ourselves by hand and by
// 400,000 draws outside this package. The heating value there has a data part
// of 0.05 MJ/kg and a strength of ±1 % by mass: u = 0.1761 MJ/kg.
func TestWorkedBudget(t *testing.T) {
	r, s := exampleA()
	p := workedProblem(r, s)
	budget := propagated(t, p, EtaWater)
	near(t, "u_c", budget.U, 0.005899, 0.005)
	for group, want := range map[string]struct {
		percent float64
		inputs  []string
	}{
		"m_w":               {0.0306, []string{"linearity of the scale, water", "water mass"}},
		"T_0":               {0.2191, []string{"start temperature", "thermometer: probe"}},
		"T_1":               {0.1884, []string{"station pressure", "temperature at which the boil is called"}},
		"m_f,boil weighing": {0.2943, []string{"linearity of the scale, fuel", "fuel at light", "fuel at the boil"}},
		"m_f,boil mark":     {0.2142, []string{"boil mark"}},
		"LHV":               {0.3602, []string{"heating value of the fuel"}},
		"c_w":               {0.0361, []string{"specific heat of water"}},
	} {
		var square float64
		for _, row := range budget.Rows() {
			if slices.Contains(want.inputs, row.Name) {
				square += row.Contribution * row.Contribution
			}
		}
		// The table takes one mean specific heat; a kelvin at 99 °C weighs 0.65 % more.
		near(t, group, 100*math.Sqrt(square), want.percent, 0.007)
	}
	samples, err := p.MonteCarlo(uncertainty.Draws{N: 20_000, Seed: 1, Level: 0.95})
	if err != nil {
		t.Fatal(err)
	}
	mc := samples[EtaWater]
	near(t, "Monte Carlo u", mc.SD, 0.00590, 0.02)
	near(t, "Monte Carlo low", mc.Symmetric.Low, 0.5131, 0.001)
	near(t, "Monte Carlo high", mc.Symmetric.High, 0.5360, 0.001)
}

// One thermometer for both ends, which the burn says by reading it at the boil
// where no pressure is known: its error cancels.
func TestWorkedBudgetSameProbe(t *testing.T) {
	r, s := exampleA()
	s.Site.Station = quantity.Reading[quantity.Pressure]{}
	r.Water.Boiling = celsius(99.184, 0.1)
	budget := propagated(t, workedProblem(r, s), EtaWater)
	near(t, "eta_water", budget.Value, 0.52439, 0.002)
	near(t, "u_c", budget.U, 0.005594, 0.005)
	// What is left is that a kelvin of water weighs 0.7 % more at 99 °C than at
	// 18 °C: 0.289 K of 500 g times 31 J/(kg K) over 323 kJ.
	if part := budget.Shared()["thermometer: probe"]; math.Abs(part) > 1.5e-5 {
		t.Errorf("the probe brings %.6f, want next to nothing", part)
	}
	// Two thermometers do not cancel.
	r.Water.Boiling.Instrument = "another"
	if other := propagated(t, workedProblem(r, s), EtaWater); other.U <= budget.U {
		t.Errorf("two thermometers give u %.6f, one gives %.6f", other.U, budget.U)
	}
}

func workedProblem(r burn.Record, s Setup) uncertainty.Problem {
	b := newBench(r, s)
	in := gather(b)
	in.list[in.heatingValue-1].U = 0.1761e6
	return model{in, b}.problem()
}

func propagated(t *testing.T, p uncertainty.Problem, m Metric) uncertainty.Budget {
	t.Helper()
	budgets, err := p.Propagate()
	if err != nil {
		t.Fatal(err)
	}
	return budgets[m]
}

func near(t *testing.T, what string, got, want, relative float64) {
	t.Helper()
	if !(math.Abs(got/want-1) <= relative) {
		t.Errorf("%s = %.6g, want %.6g within %.2g", what, got, want, relative)
	}
}

// The error of the plain ratio of rises against the closed form, for a boil
// corrected to a start at 20 °C in air of 20 °C, in per cent: computed by
// ourselves outside this package. Capacity does not count.
func TestWorkedHeating(t *testing.T) {
	starts := []float64{5, 10, 15, 25, 30}
	for _, row := range []struct {
		power, loss float64
		want        [5]float64
	}{
		{480, 0.8, [5]float64{-1.26, -0.84, -0.42, 0.43, 0.86}},
		{480, 1.5, [5]float64{-2.38, -1.60, -0.81, 0.83, 1.67}},
		{300, 1.5, [5]float64{-3.87, -2.62, -1.33, 1.38, 2.81}},
		{220, 1.5, [5]float64{-5.39, -3.68, -1.88, 1.97, 4.05}},
	} {
		ref := heating{capacity: 2240, loss: row.loss, from: 20, to: 100, surrounded: 20}
		for i, from := range starts {
			own := ref
			own.from = from
			plain := own.seconds(row.power) * 80 / (100 - from)
			got := 100 * (plain/ref.seconds(row.power) - 1)
			if math.Abs(got-row.want[i]) > 0.0051 {
				t.Errorf("%g W, %g W/K from %g °C: plain ratio errs by %.3f %%, worked %.2f %%", row.power, row.loss, from, got, row.want[i])
			}
			near(t, "power back from its time", own.power(own.seconds(row.power)), row.power, 1e-12)
		}
		low := ref
		low.to = 95
		warm := ref
		warm.surrounded = 30
		short := 100 * (low.seconds(row.power)*80/75/ref.seconds(row.power) - 1)
		air := 100 * (1 - warm.seconds(row.power)/ref.seconds(row.power))
		switch {
		case row.power == 480 && row.loss == 0.8:
			within(t, "95 °C boil carried to 100", short, -0.5, 0.05)
			within(t, "air 10 K warmer shortens", air, 1.8, 0.05)
		case row.power == 300:
			within(t, "95 °C boil carried to 100", short, -1.9, 0.05)
			within(t, "air 10 K warmer shortens", air, 6.1, 0.05)
		}
	}
}

func within(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.6g, want %.6g ± %.2g", what, got, want, tolerance)
	}
}

// What published inputs give when worked through: the inputs are published, the
// results computed by ourselves.
func TestWorkedClaims(t *testing.T) {
	kJ, gram, MJ := quantity.Kilojoule, quantity.Gram, quantity.MegajoulePerKilogram
	for _, c := range []struct {
		name string
		Claim
		want, tolerance float64
	}{
		{"drink-can gel burner, all the gel fired", Claim{Heat: quantity.Energy(4.186*400*67 + 2260*58), Fuel: 25 * gram, HeatingValue: 16717.36905e3}, 0.5821, 1e-4},
		{"1 kg from 21 to 100 °C on 22 g", Claim{Heat: quantity.Energy(heatTo100(t, 21)), Fuel: 22 * gram, HeatingValue: 26.80 * MJ}, 0.561, 5e-4},
		{"1 kg from 21 to 100 °C on 23 g", Claim{Heat: quantity.Energy(heatTo100(t, 21)), Fuel: 23 * gram, HeatingValue: 26.80 * MJ}, 0.537, 5e-4},
		{"3 kg and 0.4 kg of steam on 1 kg at 4000 kcal/kg", Claim{Heat: quantity.Energy(3*75+0.4*540) * 4186.8, Fuel: 1, HeatingValue: 4000 * 4186.8}, 0.11025, 1e-5},
		{"school, 1.50 g of ethanol", Claim{Heat: 21.318 * kJ, Fuel: 1.5 * gram, HeatingValue: quantity.SpecificEnergy(1367e3 / 46.1e-3)}, 0.4793, 1e-4},
	} {
		eta, found := c.Efficiency()
		within(t, c.name, float64(eta), c.want, c.tolerance)
		if len(found) > 0 {
			t.Errorf("%s: %v", c.name, found)
		}
	}
}

// heatTo100 is the heat of a kilogram of water from celsius to its boil under
// one atmosphere, J.
func heatTo100(t *testing.T, celsius float64) float64 {
	t.Helper()
	from, err := water.Enthalpy(quantity.Celsius(celsius), quantity.StandardAtmosphere)
	if err != nil {
		t.Fatal(err)
	}
	to, err := water.Enthalpy(quantity.Celsius(100), quantity.StandardAtmosphere)
	if err != nil {
		t.Fatal(err)
	}
	return float64(to - from)
}
