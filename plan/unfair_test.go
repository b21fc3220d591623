package plan

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"fairburn/finding"
	"fairburn/gear"
	"fairburn/matter/fuel"
	"fairburn/quantity"
	"fairburn/trial"
)

// ready is a wish that leaves nothing open for the entries a, b, c.
func ready() Wish {
	dose := quantity.Dose{Volume: quantity.Given(30 * quantity.Millilitre)}
	return Wish{
		Blocks: 5, Snuffed: 3, CV: 0.02, CoolDown: handling, Start: quantity.Given(quantity.Celsius(20)),
		Doses: map[string]quantity.Dose{"a": dose, "b": dose, "c": dose},
	}
}

func TestNothingUnfairInAFairPlan(t *testing.T) {
	_, fs, err := Make(bench("a", "b", "c"), ready())
	if err != nil || len(fs) > 0 {
		t.Errorf("%v, %v", err, fs)
	}
}

func TestUnfair(t *testing.T) {
	for _, row := range []struct {
		code  string
		spoil func(*trial.Trial, *Wish)
		want  string
	}{
		{"differ_in_more", func(tr *trial.Trial, w *Wish) {
			tr.Shelf.Lids = []gear.Lid{{Name: "lid"}}
			tr.Shelf.Pots = append(tr.Shelf.Pots, gear.Pot{Name: "pan"})
			tr.Entries[2].Lid, tr.Entries[2].Pot, tr.Entries[0].Lid = "lid", "pan", "lid"
		}, "entry c: caution: it differs from b in burner, pot, lid, so a difference belongs to all of it together; let entries differ in one thing, or ask the question about the whole set"},
		{"fuels_differ", func(tr *trial.Trial, w *Wish) {
			other := tr.Shelf.Batches[0]
			other.Name = "another"
			tr.Shelf.Batches = append(tr.Shelf.Batches, other)
			tr.Entries[1].Fuel = "another"
		}, "trial: fuel: caution: the entries burn different batches: another, bottle; fill all from one bottle, unless the fuel is the question"},
		{"strength_unknown", func(tr *trial.Trial, w *Wish) { tr.Shelf.Batches[0].Components = nil },
			"fuel bottle: strength: caution: its strength is not written down, so no energy or efficiency can be computed; write what label or safety sheet say, such as 95 % vol"},
		{"scale_missing", func(tr *trial.Trial, w *Wish) { tr.Shelf.Tools.Scales[0].For = gear.ForWater },
			"shelf: scale: caution: no scale is listed that weighs fuel: a dose poured is not fuel burned; list the scale with what its display resolves, 0.1 g or finer"},
		{"thermometer_missing", func(tr *trial.Trial, w *Wish) { tr.Shelf.Tools.Thermometers[0].For = gear.ForAir },
			"shelf: thermometer: caution: no thermometer is listed that reads water: without its start temperature no boil can be corrected; list the thermometer with what its display resolves"},
		{"gear_missing", func(tr *trial.Trial, w *Wish) { tr.Entries[0].Pot = "" },
			"entry a: pot: caution: the entry names no pot; name what was used; the whole system is compared, not the burner alone"},
		{"few_burns", func(tr *trial.Trial, w *Wish) { w.Blocks, w.Snuffed = 2, 0 },
			"plan: blocks: caution: fewer than 3 burns are planned: a 2, b 2, c 2; plan at least 3 of each; one burn says nothing about the next"},
		{"no_still_level", func(tr *trial.Trial, w *Wish) {
			w.Factor = trial.Factor{Name: "Wind", Levels: []string{"fan low", "fan high"}}
		}, `plan: factor: caution: the levels of Wind are fan low, fan high, and none is still air; add the level "still": without it nobody knows what the wind did`},
		{"dose_missing", func(tr *trial.Trial, w *Wish) { delete(w.Doses, "b") },
			"fuel bottle: dose: caution: no dose is planned for 8 burns; fix the dose of each entry beforehand, and pour the same in each of its burns"},
		{"start_not_planned", func(tr *trial.Trial, w *Wish) { w.Start = quantity.Reading[quantity.Temperature]{} },
			"plan: start: note: no start temperature of the water is planned; draw all the water at once, let it stand until it no longer changes, and read it before each burn"},
		{"start_out_of_range", func(tr *trial.Trial, w *Wish) { w.Start = quantity.Given(quantity.Celsius(3.9)) },
			"plan: start: caution: water at 3.9 °C leaves a rise of 96.1 °C to 100 °C, and the correction to reference conditions holds from 64 to 96 °C; let the water stand until it is nearer to the reference"},
		{"fewer_than_needed", func(tr *trial.Trial, w *Wish) { w.CV, w.Difference = 0.05, 0.05 },
			"plan: blocks: caution: 8 burns of each entry planned, but 24 burns of each entry show a difference of 5 % where burns of one entry scatter by 5 % (as the tester expects); plan more blocks, or be content with a larger difference"},
		{"fuel_not_answered", func(tr *trial.Trial, w *Wish) { tr.Settings.JudgeBy, w.Snuffed = trial.LeastFuel, 0 },
			"plan: snuffed: caution: the trial is judged by least fuel and no burn is snuffed at the boil; plan at least 3 snuffed burns of each entry, or burn on a scale"},
		{"one_pot", func(tr *trial.Trial, w *Wish) { w.Stations = 2 },
			"pot pot: note: a, b, c share it, so it cannot stand on 2 stations at once; burn one after the other: one pot for all is the fairer trial"},
		{"stations_differ", func(tr *trial.Trial, w *Wish) { w.Stations = 2 },
			"plan: stations: note: 2 burners burn at the same time, and no two places have the same draught; write the station of each burn down, and let entries change places from block to block"},
		{"burned_before_planning", func(tr *trial.Trial, w *Wish) { boiled(tr, "a", 300) },
			"trial: caution: 1 burn made before there was a plan; take them for their scatter and burn the whole plan: a plan made after a look at the burns can be made to suit them"},
	} {
		tr, w := bench("a", "b", "c"), ready()
		row.spoil(tr, &w)
		_, fs, err := Make(tr, w)
		if err != nil {
			t.Errorf("%s: %v", row.code, err)
			continue
		}
		i := slices.IndexFunc(fs, func(f finding.Finding) bool { return f.Code == row.code && f.String() == row.want })
		if i < 0 {
			t.Errorf("%s: %v\nwant %s", row.code, fs, row.want)
		}
	}
}

func TestWarmBurner(t *testing.T) {
	w := ready()
	w.Blocks, w.Snuffed, w.CoolDown = 8, 0, 2*handling // two entries turn about: the last of a block is the first of the next
	delete(w.Doses, "c")
	_, fs, err := Make(bench("a", "b"), w)
	if err != nil || !finding.Has(fs, "warm_burner") {
		t.Fatalf("%v, %v", fs, err)
	}
	for _, f := range fs {
		if f.Code == "warm_burner" && !strings.HasPrefix(f.Sentence, "7 turns would come before the burner has rested for 10 min") {
			t.Error(f)
		}
	}
}

func TestOneDifferenceIsFair(t *testing.T) {
	tr := bench("a", "b")
	tr.Entries[1].Burner = "a" // the pots are the question
	tr.Entries[1].Pot = "pan"
	tr.Shelf.Pots = append(tr.Shelf.Pots, gear.Pot{Name: "pan"})
	if fs := Unfair(tr, trial.Plan{}); finding.Has(fs, "differ_in_more") {
		t.Error(fs)
	}
}

func TestStillAirIsALevel(t *testing.T) {
	for level, want := range map[string]bool{"still": false, "Still": false, "0 m/s": false, "no wind": false, "2 m/s": true, "0.5 m/s": true} {
		w := ready()
		w.Factor = trial.Factor{Name: "wind", Levels: []string{"4 m/s", level}}
		_, fs, err := Make(bench("a", "b", "c"), w)
		if err != nil || finding.Has(fs, "no_still_level") != want {
			t.Errorf("level %q: %v, %v", level, fs, err)
		}
	}
}

// TestPlansByHand judges orders that nobody shuffled.
func TestPlansByHand(t *testing.T) {
	for _, row := range []struct {
		blocks []string // the entries of each block in order
		want   []string
	}{
		{[]string{"ab", "ba", "ab"}, nil},
		{[]string{"ab", "ba", "ba", "ab"}, nil},
		{[]string{"ab", "ab", "ab"}, []string{"order_not_shuffled"}},
		{[]string{"aaabbb"}, []string{"few_blocks", "order_not_shuffled"}},
		{[]string{"abab", "baba"}, []string{"few_blocks"}},
		{[]string{"ab", "ab", "ab", "ba"}, []string{"first_too_often"}},
		{[]string{"ab", "ba", "a"}, []string{"few_burns"}},
		{[]string{"ab", "ba", "ax", "bax"}, []string{"entry_unknown", "entry_unknown"}},
		{nil, []string{"few_burns"}},
	} {
		var p trial.Plan
		for b, block := range row.blocks {
			for _, e := range block {
				p.Slots = append(p.Slots, trial.Slot{Order: len(p.Slots) + 1, Block: fmt.Sprint(b + 1), Entry: string(e)})
			}
		}
		var got []string
		for _, f := range Unfair(bench("a", "b"), p) {
			got = append(got, f.Code)
		}
		if !slices.Equal(got, row.want) {
			t.Errorf("blocks %v: %v, want %v", row.blocks, got, row.want)
		}
	}
}

// TestMadePlansPass: whatever Make lays out, Unfair finds nothing in its order.
func TestMadePlansPass(t *testing.T) {
	for seed := range uint64(50) {
		tr := bench("a", "b", "c", "d", "e")
		p := made(t, tr, Wish{Blocks: 3 + int(seed%7), Snuffed: int(seed % 4), Seed: seed + 1})
		if fs := Unfair(tr, p.Plan); len(fs) > 0 {
			t.Errorf("seed %d: %v", seed+1, fs)
		}
	}
}

func TestMethanolAddsItsCaution(t *testing.T) {
	tr := bench("a", "b")
	tr.Shelf.Batches[0].Components[0].Substance = fuel.Methanol
	if !slices.ContainsFunc(made(t, tr, Wish{}).Checklist, func(s Step) bool { return s.Caution && strings.Contains(s.Do, "poisonous") }) {
		t.Error("methanol without its caution")
	}
}
