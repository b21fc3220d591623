package reduce

import (
	"math"
	"testing"
	"time"

	"fairburn/burn"
	"fairburn/gear"
	"fairburn/matter/fuel"
	"fairburn/quantity"
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

func TestWorkedReductions(t *testing.T) {
	a, setA := exampleA()
	a2, setA2 := exampleA2()
	for _, example := range []struct {
		name  string
		burn  burn.Record
		setup Setup
		pot   float64 // J/K
		want  map[string]float64
	}{
		{"A", a, setA, 145.3, map[string]float64{
			"LHV_MJ_kg": 25.635, "Q_w_kJ": 169.38, "Q_pot_kJ": 11.752, "Q_ev_kJ": 14.681, "E_in_kJ": 323.00,
			"eta_water": 0.52439, "eta_water_evap": 0.56985, "eta_water_pot": 0.56078, "eta_all": 0.60623,
			"P_mean_W": 749.33, "P_heat_W": 761.77, "burn_rate_g_min": 1.7829, "P_cook_W": 475.61, "t_raw_s": 432,
			"K": 0.98907, "t_ref_s": 427.77, "t75_s": 358.85, "f_L_g": 25.2, "f_ref_g": 11.930, "E_spec_kJ_kg": 646.00,
		}},
		{"A2", a2, setA2, 50.2, map[string]float64{
			"LHV_MJ_kg": 19.910, "Q_w_kJ": 122.97, "Q_pot_kJ": 4.2126, "Q_ev_kJ": 5.0028, "E_in_kJ": 275.75,
			"eta_water": 0.44595, "eta_water_evap": 0.46409, "eta_water_pot": 0.46123, "eta_all": 0.47937,
			"P_mean_W": 795.41, "P_heat_W": 817.06, "burn_rate_g_min": 2.4623, "P_cook_W": 402.44, "t_raw_s": 348,
			"K": 0.95333, "t_ref_s": 333.16, "t75_s": 284.21, "f_L_g": 39.571, "f_ref_g": 9.8350, "E_spec_kJ_kg": 787.87,
		}},
	} {
		t.Run(example.name, func(t *testing.T) {
			// The pot whose heat capacity the example states.
			metal := 918.0 // J/(kg K) aluminium at 60 °C
			example.setup.Pot = gear.Pot{Name: "pot", Material: "aluminium", Mass: grams(example.pot/metal*1e3, 0.1)}
			got := Reduce(example.burn, example.setup)
			for _, m := range Metrics() {
				info := m.Info()
				want, ok := example.want[info.Key]
				if !ok {
					continue
				}
				f, has := got.Figure(m)
				if !has {
					t.Errorf("%s is missing", info.Key)
					continue
				}
				if v := f.Value / info.Scale; math.Abs(v/want-1) > 0.002 {
					t.Errorf("%s = %.6g, worked by hand %.6g", info.Key, v, want)
				}
			}
		})
	}
}
