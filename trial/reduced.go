package trial

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"fairburn/burn"
	"fairburn/finding"
	"fairburn/gear"
	"fairburn/matter/water"
	"fairburn/quantity"
	"fairburn/reduce"
)

// Reduced is a trial with every burn reduced, in the order of the burns' ids.
type Reduced struct {
	*Trial
	Results  []Burned
	Findings []finding.Finding // of the trial as a whole; each burn has its own
}

// Burned is a burn as recorded with its figures.
type Burned struct {
	burn.Record
	Result reduce.Result
}

// Reduce reduces every burn, void ones too, against the gear of its entry. The
// trial of the result is a copy: its burns are in the order of their ids and,
// where its sheet names no reference water, its own nominal is the reference.
func (t *Trial) Reduce() *Reduced {
	own := *t
	own.Burns = slices.Clone(t.Burns)
	own.SortBurns()
	if nominal := own.nominalWater(); !own.Settings.NominalSet && nominal > 0 {
		own.Settings.Reference.Water = nominal
	}
	r := &Reduced{Trial: &own, Findings: own.Check()}
	setups := map[string]reduce.Setup{}
	for _, b := range own.Burns {
		s, ok := setups[b.Entry]
		if !ok {
			s = own.Setup(b.Entry)
			setups[b.Entry] = s
		}
		r.Results = append(r.Results, Burned{b, reduce.Reduce(b, s)})
	}
	r.Findings = append(r.Findings, r.checkFairness()...)
	return r
}

// Setup gathers what a burn of the entry does not say itself. A name that the
// shelf does not hold is left out; Check says so.
func (t *Trial) Setup(entry string) reduce.Setup {
	e, _ := t.Entry(entry)
	s := reduce.Setup{Tools: t.Shelf.Tools, Site: t.Site, Reference: t.Settings.Reference, Rules: t.Settings.Rules, Units: t.Units()}
	b, _ := t.Burner(e)
	s.Family = b.Family
	s.Pot, _ = gear.Find(t.Shelf.Pots, e.Pot)
	s.Lid, _ = gear.Find(t.Shelf.Lids, e.Lid)
	s.Batch, _ = gear.Find(t.Shelf.Batches, e.Fuel)
	return s.Prepared()
}

// nominalWater is the middle mass of water over the burns that count, to the
// gram; between two middle ones, the smaller, which someone did boil.
func (t *Trial) nominalWater() quantity.Mass {
	rho, _ := water.Density(quantity.Celsius(20), quantity.StandardAtmosphere) // inside every range
	var masses []float64
	for _, b := range t.Burns {
		if b.Void != "" {
			continue
		}
		b, _ = b.Usable()
		switch {
		case b.Water.Mass.Given:
			masses = append(masses, float64(b.Water.Mass.Value))
		case b.Water.Volume.Given:
			masses = append(masses, float64(rho)*float64(b.Water.Volume.Value))
		}
	}
	if len(masses) == 0 {
		return 0
	}
	slices.Sort(masses)
	return quantity.Mass(math.Round(masses[(len(masses)-1)/2]/float64(quantity.Gram))) * quantity.Gram
}

// Of returns the burns of an entry that count: not void.
func (r *Reduced) Of(entry string) []*Burned {
	var bs []*Burned
	for i := range r.Results {
		if b := &r.Results[i]; b.Entry == entry && b.Void == "" {
			bs = append(bs, b)
		}
	}
	return bs
}

// SystemMass is the mass of an entry's hardware, and the names of the parts
// that nobody weighed.
func (t *Trial) SystemMass(e Entry) (quantity.Mass, []string) {
	var sum quantity.Mass
	var missing []string
	add := func(name string, mass quantity.Reading[quantity.Mass]) {
		switch {
		case name == "":
		case mass.Given:
			sum += mass.Value
		default:
			missing = append(missing, name)
		}
	}
	b, _ := gear.Find(t.Shelf.Burners, e.Burner)
	p, _ := gear.Find(t.Shelf.Pots, e.Pot)
	l, _ := gear.Find(t.Shelf.Lids, e.Lid)
	sc, _ := gear.Find(t.Shelf.Screens, e.Screen)
	st, _ := gear.Find(t.Shelf.Stands, e.Stand)
	add(e.Burner, b.DryMass)
	add(e.Pot, p.Mass)
	add(e.Lid, l.Mass)
	add(e.Screen, sc.Mass)
	add(e.Stand, st.Mass)
	return sum, missing
}

// MoreThanBurner lists in what two entries differ besides their burners, in
// the words of the sheet: a verdict on such a pair is not one on the burners.
func MoreThanBurner(a, b Entry) []string {
	var parts []string
	for _, p := range []struct{ what, a, b string }{
		{"pot", a.Pot, b.Pot}, {"lid", a.Lid, b.Lid}, {"screen", a.Screen, b.Screen},
		{"stand", a.Stand, b.Stand}, {"fuel", a.Fuel, b.Fuel},
	} {
		if p.a != p.b {
			parts = append(parts, p.what)
		}
	}
	return parts
}

// Marker returns the index of the colour and shape that stand for the entry:
// its burner's own, else its place in the list. Two entries never share one.
func (t *Trial) Marker(entry string) int {
	taken := map[int]bool{}
	markers := map[string]int{}
	for _, e := range t.Entries {
		if b, ok := t.Burner(e); ok && b.Marker > 0 && !taken[b.Marker] {
			markers[e.Name], taken[b.Marker] = b.Marker, true
		}
	}
	for _, e := range t.Entries {
		if markers[e.Name] != 0 {
			continue
		}
		next := 1
		for taken[next] {
			next++
		}
		markers[e.Name], taken[next] = next, true
	}
	return markers[entry]
}

// checkFairness compares the entries' conditions over the burns that count.
func (r *Reduced) checkFairness() []finding.Finding {
	var fs []finding.Finding
	low, high := math.Inf(1), math.Inf(-1)
	var lowName, highName string
	for _, e := range r.Entries {
		var sum, n float64
		for _, b := range r.Of(e.Name) {
			if b.Water.Start.Given {
				sum += b.Water.Start.Value.Celsius()
				n++
			}
		}
		if n == 0 {
			continue
		}
		if mean := sum / n; mean < low {
			low, lowName = mean, e.Name
		}
		if mean := sum / n; mean > high {
			high, highName = mean, e.Name
		}
	}
	if high-low > 5 {
		fs = append(fs, finding.Finding{
			Code: "start_temperatures_differ", Severity: finding.Note, Where: finding.Place{Subject: "trial"},
			Sentence: fmt.Sprintf("%s began with water at %s on average and %s at %s; only the corrected figures compare them",
				highName, quantity.Format(quantity.Celsius(high), r.Units()), lowName, quantity.Format(quantity.Celsius(low), r.Units())),
			Remedy: "draw all the water at once and let it stand",
		})
	}
	return append(fs, r.checkBoilKinds()...)
}

// checkBoilKinds does not let boils called by different rules be pooled in
// silence. A burn that does not say its rule is not held against the others.
func (r *Reduced) checkBoilKinds() []finding.Finding {
	var kinds []string
	for _, b := range r.Results {
		if kind := string(b.BoilBy); b.Void == "" && b.Result.Status.HasBoil() && kind != "" && !slices.Contains(kinds, kind) {
			kinds = append(kinds, kind)
		}
	}
	if len(kinds) < 2 {
		return nil
	}
	slices.Sort(kinds)
	return []finding.Finding{{
		Code: "boil_kinds_mixed", Severity: finding.Caution, Where: finding.Place{Subject: "trial"},
		Sentence: fmt.Sprintf("the boil was called by different rules in different burns (%s), and first bubbles and a rolling boil differ by many seconds", strings.Join(kinds, ", ")),
		Remedy:   "call every boil by one rule and write it down",
	}}
}
