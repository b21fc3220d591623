package gear

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"fairburn/finding"
	"fairburn/matter/fuel"
	"fairburn/quantity"
)

func strong(t *testing.T, text string) quantity.Reading[quantity.Strength] {
	t.Helper()
	r, err := quantity.ParseStrength(text)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func part1(t *testing.T, s fuel.Substance, text string) Component {
	t.Helper()
	return Component{Substance: s, Low: strong(t, text)}
}

func between(t *testing.T, s fuel.Substance, low, high string) Component {
	t.Helper()
	return Component{Substance: s, Low: strong(t, low), High: strong(t, high)}
}

func rest(s fuel.Substance) Component { return Component{Substance: s, Rest: true} }

// The mass fraction of each way to state a batch, against the fuel package
// asked directly.
func TestBlend(t *testing.T) {
	want := func(b fuel.Blend, err error) fuel.Blend {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	byMass := func(parts ...fuel.Part[quantity.MassFraction]) fuel.Blend { return want(fuel.ByMass(parts...)) }
	byVolume := func(parts ...fuel.Part[quantity.VolumeFraction]) fuel.Blend { return want(fuel.ByVolume(parts...)) }
	mass := func(s fuel.Substance, share, half quantity.MassFraction) fuel.Part[quantity.MassFraction] {
		return fuel.Part[quantity.MassFraction]{Substance: s, Share: share, HalfWidth: half}
	}
	volume := func(s fuel.Substance, share, half quantity.VolumeFraction) fuel.Part[quantity.VolumeFraction] {
		return fuel.Part[quantity.VolumeFraction]{Substance: s, Share: share, HalfWidth: half}
	}
	root3 := math.Sqrt(3)
	for name, c := range map[string]struct {
		batch FuelBatch
		want  fuel.Blend
	}{
		"% vol":            {FuelBatch{Strength: strong(t, "95 % vol")}, want(fuel.FromStrength(0.95, fuel.Strength(0.01/root3)))},
		"% vol with range": {FuelBatch{Strength: strong(t, "95 % vol ± 0.5 % vol")}, want(fuel.FromStrength(0.95, fuel.Strength(0.005/root3)))},
		"proof":            {FuelBatch{Strength: strong(t, "190 proof")}, want(fuel.FromProof(190, fuel.Proof(2/root3)))},
		"by mass":          {FuelBatch{Strength: strong(t, "96 % m/m")}, byMass(mass(fuel.Ethanol, 0.96, 0.01), fuel.Rest[quantity.MassFraction](fuel.Water))},
		"a label in components": {FuelBatch{Components: []Component{part1(t, fuel.Ethanol, "95 % vol"), rest(fuel.Water)}},
			want(fuel.FromStrength(0.95, fuel.Strength(0.01/root3)))},
		"the label the other way round": {FuelBatch{Components: []Component{rest(fuel.Water), part1(t, fuel.Ethanol, "95 % vol")}},
			want(fuel.FromStrength(0.95, fuel.Strength(0.01/root3)))},
		"three by mass": {FuelBatch{Components: []Component{part1(t, fuel.Ethanol, "90 % m/m"), part1(t, fuel.MEK, "2 % m/m ± 0.5 % m/m"), rest(fuel.Water)}},
			byMass(mass(fuel.Ethanol, 0.90, 0.01), mass(fuel.MEK, 0.02, 0.005), fuel.Rest[quantity.MassFraction](fuel.Water))},
		"three by volume": {FuelBatch{Components: []Component{part1(t, fuel.Ethanol, "90 % vol"), part1(t, fuel.MEK, "2 % vol"), rest(fuel.Water)}},
			byVolume(volume(fuel.Ethanol, 0.90, 0.01), volume(fuel.MEK, 0.02, 0.01), fuel.Rest[quantity.VolumeFraction](fuel.Water))},
		"a range": {FuelBatch{Components: []Component{between(t, fuel.Methanol, "40 % m/m", "60 % m/m"), rest(fuel.Ethanol)}},
			byMass(fuel.Between(fuel.Methanol, quantity.MassFraction(0.4), 0.6), fuel.Rest[quantity.MassFraction](fuel.Ethanol))},
		"a trace keeps above nothing": {FuelBatch{Components: []Component{part1(t, fuel.MIBK, "0.3 % m/m"), rest(fuel.Ethanol)}},
			byMass(mass(fuel.MIBK, 0.003, 0.003), fuel.Rest[quantity.MassFraction](fuel.Ethanol))},
		"pure is pure": {FuelBatch{Components: []Component{part1(t, fuel.Methanol, "100 % m/m")}}, byMass(mass(fuel.Methanol, 1, 0))},
	} {
		got, err := c.batch.Blend()
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		gotHeat, gotU := got.LHV()
		wantHeat, wantU := c.want.LHV()
		if math.Abs(float64(gotHeat/wantHeat-1)) > 1e-12 || math.Abs(float64(gotU/wantU-1)) > 1e-9 {
			t.Errorf("%s: %.6g ± %.3g J/kg, want %.6g ± %.3g", name, gotHeat, gotU, wantHeat, wantU)
		}
		if a, b := fmt.Sprint(got.Shares()), fmt.Sprint(c.want.Shares()); a != b && !strings.Contains(name, "other way") {
			t.Errorf("%s: %s, want %s", name, a, b)
		}
	}
	// Proof counts at 60 °F, so 190 proof is not quite 95 % vol.
	proof, _ := FuelBatch{Strength: strong(t, "190 proof")}.Blend()
	label, _ := FuelBatch{Strength: strong(t, "95 % vol")}.Blend()
	if d := math.Abs(float64(proof.MassFraction(fuel.Ethanol) - label.MassFraction(fuel.Ethanol))); d < 1e-5 || d > 5e-3 {
		t.Errorf("190 proof and 95 %% vol differ by %g of mass", d)
	}
}

func TestBlendRefused(t *testing.T) {
	missing := strong(t, "95 % vol")
	missing.Value.Value = math.NaN()
	unstated := quantity.Reading[quantity.Strength]{Value: quantity.Strength{Value: 0.95}, Text: "95", Given: true}
	for want, b := range map[string]FuelBatch{
		`fuel "x": the composition of the fuel is not given`:                                   {Product: "spirit"},
		`fuel "x": both a strength and components are given: keep one`:                         {Strength: strong(t, "95 % vol"), Components: []Component{rest(fuel.Water)}},
		`fuel "x": the strength is not a number`:                                               {Strength: missing},
		`fuel "x": strength "95" does not say what it counts: write % vol, % by mass or proof`: {Strength: unstated},
		`fuel "x": MEK is stated on another basis (2 % vol) than the first component: state all by mass or all by volume`: {
			Components: []Component{part1(t, fuel.Ethanol, "90 % m/m"), part1(t, fuel.MEK, "2 % vol"), rest(fuel.Water)}},
		`fuel "x": MEK is stated on another basis (2 % m/m) than the first component: state all by mass or all by volume`: {
			Components: []Component{part1(t, fuel.Ethanol, "90 % vol"), part1(t, fuel.MEK, "2 % m/m"), rest(fuel.Water)}},
		`fuel "x": methanol is stated on another basis (40 % m/m) than the first component: state all by mass or all by volume`: {
			Components: []Component{between(t, fuel.Methanol, "40 % m/m", "60 % vol"), rest(fuel.Ethanol)}},
		`fuel "x": ethanol is stated in proof (190 proof), which is for spirit and water alone: state components by mass or by volume`: {
			Components: []Component{part1(t, fuel.Ethanol, "190 proof"), rest(fuel.Water)}},
		`fuel "x": MEK has no share: write one, or mark it as the rest`: {Components: []Component{part1(t, fuel.Ethanol, "90 % m/m"), {Substance: fuel.MEK}}},
		`fuel "x": water is marked as the rest and has a share of its own: give one of the two`: {
			Components: []Component{part1(t, fuel.Ethanol, "90 % m/m"), {Substance: fuel.Water, Low: strong(t, "10 % m/m"), Rest: true}}},
		`fuel "x": methanol ranges from 60 % m/m down to 40 % m/m: write the lower end first`: {
			Components: []Component{between(t, fuel.Methanol, "60 % m/m", "40 % m/m"), rest(fuel.Ethanol)}},
		`fuel "x": components sum to 90 % by mass (91 % at the high ends), expected 100 %: name what is missing or mark one component as the rest`: {
			Components: []Component{part1(t, fuel.Ethanol, "90 % m/m")}},
	} {
		b.Name = "x"
		if _, err := b.Blend(); err == nil || err.Error() != want {
			t.Errorf("got %v\nwant %s", err, want)
		}
	}
	if _, err := (FuelBatch{Name: "x"}).Blend(); !errors.Is(err, ErrNoComposition) {
		t.Error(err)
	}
}

func TestShelfCheck(t *testing.T) {
	s := Shelf{
		Burners: []Burner{
			{Name: "first"}, {Name: "second", Parent: "first"}, {Name: "orphan", Parent: "nobody"},
			{Name: "a", Parent: "b"}, {Name: "b", Parent: "c"}, {Name: "c", Parent: "a"},
			{Name: "below", Parent: "a"}, {Name: "self", Parent: "self"}, {Name: ""},
		},
		Pots: []Pot{{Name: "pot"}, {Name: "pot"}}, Lids: []Lid{{Name: "lid"}, {Name: "lid"}}, Screens: []Screen{{}}, Stands: []Stand{{Name: "pot"}},
		Batches: []FuelBatch{{Name: "bottle"}, {Name: "can", Components: []Component{part1(t, fuel.Ethanol, "190 proof")}}},
		Tools: Tools{
			Scales: []Scale{{Name: "s"}, {Name: "s"}}, Thermometers: []Thermometer{{Name: "t"}, {Name: "t"}},
			Barometers: []Barometer{{Name: "b"}, {Name: "b"}}, Measures: []Measure{{Name: "m"}, {Name: "m"}},
		},
	}
	var got []string
	for _, f := range s.Check() {
		got = append(got, f.String())
		if f.Remedy == "" {
			t.Errorf("%s has no remedy", f.Code)
		}
	}
	const rename = "; rename one, and the entries that mean it"
	want := []string{
		"burner: fault: burner number 9 has no name; give it a name of its own",
		`pot pot: fault: two pots are named "pot"` + rename,
		`lid lid: fault: two lids are named "lid"` + rename,
		"screen: fault: screen number 1 has no name; give it a name of its own",
		`scale s: fault: two scales are named "s"` + rename,
		`thermometer t: fault: two thermometers are named "t"` + rename,
		`barometer b: fault: two barometers are named "b"` + rename,
		`measure m: fault: two measures are named "m"` + rename,
		`burner orphan: parent: caution: parent "nobody" is not on the shelf; list the parent or leave the key out`,
		`burner a: parent: fault: "a" descends from itself through "c"; a parent must have been built earlier`,
		`burner b: parent: fault: "b" descends from itself through "a"; a parent must have been built earlier`,
		`burner c: parent: fault: "c" descends from itself through "b"; a parent must have been built earlier`,
		`burner self: parent: fault: "self" descends from itself through "self"; a parent must have been built earlier`,
		`fuel can: fault: fuel "can": ethanol is stated in proof (190 proof), which is for spirit and water alone: state components by mass or by volume; copy the strength or the components from the label or the safety data sheet`,
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	if fs := (Shelf{}).Check(); fs != nil {
		t.Error(fs)
	}
	if finding.Has(Shelf{Batches: []FuelBatch{{Name: "unknown"}}}.Check(), "fuel_impossible") {
		t.Error("a bottle without a strength is called impossible")
	}
}

func TestPick(t *testing.T) {
	scales := []Scale{{Name: "all"}, {Name: "all too"}, {Name: "water", For: ForWater}, {Name: "fuel", For: ForFuel}, {Name: "fuel too", For: ForFuel}}
	for _, c := range []struct {
		list []Scale
		name string
		use  Use
		want string
	}{
		{scales, "", ForFuel, "fuel"}, {scales, "", ForWater, "water"}, {scales, "", ForAir, "all"}, {scales, "", ForAll, "all"},
		{scales, "fuel too", ForWater, "fuel too"}, // a name leads over the use
		{scales, "gone", ForFuel, ""}, {scales[2:3], "", ForFuel, ""}, {nil, "", ForFuel, ""},
	} {
		if got, ok := Pick(c.list, c.name, c.use); got.Name != c.want || ok != (c.want != "") {
			t.Errorf("%q for %q: %q %t, want %q", c.name, c.use, got.Name, ok, c.want)
		}
	}
}

func TestWords(t *testing.T) {
	for _, f := range []Family{OpenCup, CapillaryRim, NotchedRings, RimHoles, AirJacket, SideJets, TopJets, SlitSeam, Wick, LowPressure} {
		if got, err := ParseFamily(strings.ToUpper(string(f))); err != nil || got != f {
			t.Errorf("%s: %s %v", f, got, err)
		}
	}
	blooms := map[Family]bool{RimHoles: true, SideJets: true, TopJets: true, SlitSeam: true, LowPressure: true, CapillaryRim: true}
	for _, w := range families {
		if w.Kept.Blooms() != blooms[w.Kept] || w.Kept.TakesPotBeforeBloom() != (w.Kept == RimHoles) {
			t.Errorf("%s: blooms %t, takes the pot before it %t", w.Kept, w.Kept.Blooms(), w.Kept.TakesPotBeforeBloom())
		}
	}
	for _, k := range []TraitKind{StandsAlone, StoresFuel, Simmers, NeedsPriming, Soots} {
		if got, err := ParseTrait(string(k)); err != nil || got != k {
			t.Errorf("%s: %s %v", k, got, err)
		}
	}
	for _, u := range []Use{ForFuel, ForWater, ForAir} {
		if got, err := ParseUse(string(u)); err != nil || got != u {
			t.Errorf("%s: %s %v", u, got, err)
		}
	}
	for _, err := range []error{
		second(ParseFamily("rocket")), second(ParseTrait("rocket")), second(ParseUse("rocket")),
	} {
		if err == nil || !strings.Contains(err.Error(), "rocket") {
			t.Error(err)
		}
	}
}

func second[T any](_ T, err error) error { return err }
