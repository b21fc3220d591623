package reduce

import (
	"encoding/json"
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"fairburn/burn"
	"fairburn/quantity"
)

func object(t *testing.T, r burn.Record, s Setup) map[string]any {
	t.Helper()
	text, err := json.Marshal(Reduce(r, s))
	if err != nil {
		t.Fatal(err)
	}
	o := map[string]any{}
	if err := json.Unmarshal(text, &o); err != nil {
		t.Fatal(err)
	}
	return o
}

// The flat keys of the worked examples, each with its uncertainty.
func TestJSONKeys(t *testing.T) {
	for name, example := range map[string]func() (burn.Record, Setup, map[string]float64){
		"A": func() (burn.Record, Setup, map[string]float64) {
			r, s := exampleA()
			s.Pot = potOf(145.3)
			return r, s, workedA
		},
		"A2": func() (burn.Record, Setup, map[string]float64) {
			r, s := exampleA2()
			s.Pot = potOf(50.2)
			return r, s, workedA2
		},
	} {
		r, s, want := example()
		o := object(t, r, s)
		u := o["u"].(map[string]any)
		for key, w := range want {
			v, ok := o[key].(float64)
			if !ok {
				t.Errorf("%s has no %s", name, key)
				continue
			}
			near(t, name+" "+key, v, w, 0.002)
			if spread, ok := u[key].(float64); !ok || spread <= 0 {
				t.Errorf("%s: u of %s is %v", name, key, u[key])
			}
		}
	}
}

func TestJSONShape(t *testing.T) {
	r, s := exampleA()
	s.Pot = potOf(145.3)
	o := object(t, r, s)
	for key, want := range map[string]any{"status": "boiled", "burn": "A", "entry": "A", "event_time_s": 387.0, "fuel_to_boil_by": "scale under the burner"} {
		if o[key] != want {
			t.Errorf("%s = %v, want %v", key, o[key], want)
		}
	}
	for _, key := range []string{"competing", "censor_time_s", "void", "block", "estimated", "at_most", "at_least", "out_of_range", "findings", "rise_fraction", "m_f_boil_prorated_g"} {
		if v, ok := o[key]; ok {
			t.Errorf("%s = %v, want no such key", key, v)
		}
	}
	if flags := o["flags"].([]any); len(flags) > 0 {
		t.Errorf("flags %v", flags)
	}
	basis := o["basis"].(map[string]any)
	if len(basis) != 4 || basis["eta_all"] != "net water+pot+evap boil" || basis["eta_water"] != "net water boil" {
		t.Errorf("basis %v", basis)
	}
	budget := o["budget"].(map[string]any)
	if keys := slices.Sorted(maps.Keys(budget)); strings.Join(keys, " ") != "P_heat_W P_mean_W eta_all eta_water f_ref_g m_f_boil_g t_raw_s t_ref_s" {
		t.Errorf("budgets of %v", keys)
	}
	first := budget["eta_water"].([]any)[0].(map[string]any)
	if first["cause"] != "fuel: bottle" || first["shared"] != true {
		t.Errorf("largest cause %v", first)
	}
	var sum float64
	for _, c := range budget["eta_water"].([]any) {
		sum += c.(map[string]any)["share"].(float64)
	}
	within(t, "shares", sum, 1, 0.005)
}

func TestJSONApart(t *testing.T) {
	group := func(o map[string]any, name, key string) float64 {
		t.Helper()
		if v, ok := o[key]; ok {
			t.Errorf("%s stands as measured: %v", key, v)
		}
		g, _ := o[name].(map[string]any)
		f, ok := g[key].(map[string]any)
		if !ok {
			t.Fatalf("%s has no %s: %v", name, key, g)
		}
		return f["value"].(float64)
	}
	r, s := exampleA()
	r.Fuel = burn.Fuel{DoseMass: grams(16, 0.1)}
	o := object(t, r, s)
	within(t, "bound", group(o, "at_most", "m_f_boil_g"), 16, 1e-9)
	group(o, "at_least", "eta_water")

	r, s = exampleA()
	r.Water.Start = celsius(40, 0.1)
	o = object(t, r, s)
	group(o, "out_of_range", "t_ref_s")
	if o["t_raw_s"] != 432.0 {
		t.Errorf("raw time %v", o["t_raw_s"])
	}

	r, s = exampleA()
	r.Fuel.AtBoil = none
	r.Marks = marks(times{potOn: 45, out: 520})
	r.Water.Peak = celsius(90, 0.1)
	o = object(t, r, s)
	group(o, "estimated", "m_f_boil_g")
	for _, key := range []string{"eta_water_at_peak", "extrapolated_fuel_g", "fuel_to_boil_g_per_L_lower", "rise_fraction"} {
		if _, ok := o[key].(float64); !ok {
			t.Errorf("%s = %v", key, o[key])
		}
	}
	if o["status"] != "no_boil" || o["competing"] != "flame_out" || o["censor_time_s"] != 475.0 {
		t.Errorf("%v %v %v", o["status"], o["competing"], o["censor_time_s"])
	}
	for _, key := range []string{"event_time_s", "t_raw_s", "eta_water"} {
		if v, ok := o[key]; ok {
			t.Errorf("%s = %v of a burn that did not boil", key, v)
		}
	}
	if basis := o["basis"].(map[string]any); basis["eta_water_at_peak"] != "net water peak" {
		t.Errorf("basis %v", basis)
	}

	r, s = exampleA()
	r.Fuel.AtBoil, r.Void, r.Block = none, "wind", "day 1"
	r.Marks[burn.NotBoiling] = quantity.Given(400 * time.Second)
	o = object(t, r, s)
	if o["m_f_boil_prorated_g"] != o["m_f_boil_g"] || o["void"] != "wind" || o["block"] != "day 1" {
		t.Errorf("%v", o)
	}
	if iv := o["event_interval_s"].([]any); iv[0] != 355.0 || iv[1] != 387.0 || o["event_time_s"] != 371.0 {
		t.Errorf("interval %v, event %v", iv, o["event_time_s"])
	}
	if flags := o["flags"].([]any); !slices.Contains(flags, any("prorated")) || !slices.Contains(flags, any("boil_interval")) {
		t.Errorf("flags %v", flags)
	}
}
