package repeat

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"fairburn/finding"
	"fairburn/gear"
	"fairburn/quantity"
	"fairburn/trial"
)

// By how much two builds of one name may differ before they are called clearly
// different (common practice, no source): hand work and rulers of two testers
// stay within these.
const (
	alikeLength = 0.10
	alikeMass   = 0.20
	alikeHeat   = 0.03 // net heating value of the fuel
)

// built is what an entry is made of, in the figures that are compared. A figure
// that nobody wrote down is not there.
type built []figure

// figure is one of them: as it is shown, and what is compared, which is a number
// with the share by which it may differ, or else the words.
type figure struct {
	name   string
	shown  string
	number float64
	alike  float64 // 0: a count or words, which are alike or not
}

// ofRing marks the figures of one ring of jets, which are only compared where
// both have as many rings.
const ofRing = " of ring "

// describe lists the figures of an entry.
func describe(t *trial.Trial, name string, sys quantity.System) built {
	e, _ := t.Entry(name)
	var b built
	burner, _ := t.Burner(e)
	b.burner(burner, sys)
	b.cookware(t, e, sys)
	b.fuel(t, e)
	return b
}

func (b *built) add(f figure) {
	if strings.TrimSpace(f.shown) != "" {
		*b = append(*b, f)
	}
}

func (b *built) words(name, s string) { b.add(figure{name: name, shown: s}) }

func measured[Q quantity.Printable](b *built, name string, r quantity.Reading[Q], number, alike float64, sys quantity.System) {
	if r.Given {
		b.add(figure{name, quantity.Format(r.Value, sys), number, alike})
	}
}

func (b *built) length(name string, r quantity.Reading[quantity.Length], sys quantity.System) {
	measured(b, name, r, float64(r.Value), alikeLength, sys)
}

func (b *built) mass(name string, r quantity.Reading[quantity.Mass], sys quantity.System) {
	measured(b, name, r, float64(r.Value), alikeMass, sys)
}

func (b *built) burner(g gear.Burner, sys quantity.System) {
	b.words("family", string(g.Family))
	b.length("diameter of the can", g.Can, sys)
	b.length("height", g.Height, sys)
	b.length("wall gap", g.WallGap, sys)
	b.length("fill hole", g.FillHole, sys)
	b.length("height of the inner wall", g.InnerWall.Height, sys)
	if len(g.Jets) > 0 {
		b.words("rings of jets", strconv.Itoa(len(g.Jets)))
	}
	for i, ring := range g.Jets {
		of := ofRing + strconv.Itoa(i+1)
		if ring.Count > 0 {
			b.words("jets"+of, strconv.Itoa(ring.Count))
		}
		b.length("diameter of jets"+of, ring.Diameter, sys)
		b.length("height of jets"+of, ring.Height, sys)
		b.words("direction of jets"+of, ring.Direction)
	}
	b.words("wick", g.Wicking.Material)
	b.mass("mass of the wick", g.Wicking.Mass, sys)
	b.words("seam", g.Seam.Kind)
	b.mass("mass of the burner", g.DryMass, sys)
}

func (b *built) cookware(t *trial.Trial, e trial.Entry, sys quantity.System) {
	if pot, ok := gear.Find(t.Shelf.Pots, e.Pot); ok {
		b.words("pot", pot.Material)
		b.mass("mass of the pot", pot.Mass, sys)
		b.length("diameter of the pot", pot.Diameter, sys)
	}
	b.words("lid", presence(e.Lid))
	if lid, ok := gear.Find(t.Shelf.Lids, e.Lid); ok {
		b.words("material of the lid", lid.Material)
	}
	b.words("screen", presence(e.Screen))
	if screen, ok := gear.Find(t.Shelf.Screens, e.Screen); ok {
		b.length("gap of the screen", screen.Gap, sys)
	}
	b.words("stand", presence(e.Stand))
	if stand, ok := gear.Find(t.Shelf.Stands, e.Stand); ok {
		b.length("height of the stand", stand.Height, sys)
	}
}

// fuel compares fuels by the heat that they hold, whatever their labels say.
func (b *built) fuel(t *trial.Trial, e trial.Entry) {
	batch, ok := gear.Find(t.Shelf.Batches, e.Fuel)
	if !ok {
		return
	}
	blend, err := batch.Blend()
	if err != nil {
		return
	}
	heat, _ := blend.LHV()
	b.add(figure{"heating value of the fuel", fmt.Sprintf("%.1f MJ/kg", float64(heat)/1e6), float64(heat), alikeHeat})
}

func presence(name string) string {
	if name == "" {
		return "none"
	}
	return "used"
}

// differs reports whether two figures of one name are clearly different.
func (f figure) differs(g figure) bool {
	if f.alike == 0 {
		return same(f.shown) != same(g.shown)
	}
	small, large := min(f.number, g.number), max(f.number, g.number)
	return large > small*(1+f.alike)*(1+1e-12) // a figure at the limit is alike, whatever its last bit
}

// against compares a build with the first one: the figures that differ clearly,
// and those that only one of the two states.
func (b built) against(first built) (differ [][2]figure, unstated []string) {
	const rings = "rings of jets"
	if i, j := b.at(rings), first.at(rings); i >= 0 && j >= 0 && b[i].differs(first[j]) {
		b, first = b.without(ofRing), first.without(ofRing)
	}
	for _, f := range b {
		if at := first.at(f.name); at >= 0 && f.differs(first[at]) {
			differ = append(differ, [2]figure{f, first[at]})
		} else if at < 0 {
			unstated = append(unstated, f.name)
		}
	}
	for _, f := range first {
		if b.at(f.name) < 0 {
			unstated = append(unstated, f.name)
		}
	}
	return differ, unstated
}

func (b built) without(part string) built {
	return slices.DeleteFunc(slices.Clone(b), func(f figure) bool { return strings.Contains(f.name, part) })
}

func (b built) at(name string) int {
	return slices.IndexFunc(b, func(f figure) bool { return f.name == name })
}

// compareBuilds fills in how the testers' builds of an entry differ from the
// first one's, and says so.
func (e *Entry) compareBuilds(parts []Part, sys quantity.System) []finding.Finding {
	var found []finding.Finding
	first := parts[0]
	original := describe(first.Reduced.Trial, e.Name, sys)
	for _, p := range parts[1:] {
		differ, unstated := describe(p.Reduced.Trial, e.Name, sys).against(original)
		for _, name := range unstated {
			if !slices.Contains(e.Unstated, name) {
				e.Unstated = append(e.Unstated, name)
			}
		}
		var said []string
		for _, d := range differ {
			e.Built = append(e.Built, Difference{p.Tester, d[0].name, d[0].shown, first.Tester, d[1].shown})
			said = append(said, fmt.Sprintf("%s %s against %s", d[0].name, d[0].shown, d[1].shown))
		}
		if len(said) > 0 {
			found = append(found, finding.Finding{Code: "built_differently", Severity: finding.Caution, Where: finding.Place{Subject: "entry " + e.Name},
				Sentence: fmt.Sprintf("%s's and %s's are clearly different things under one name: %s", p.Tester, first.Tester, strings.Join(said, ", ")),
				Remedy:   "give what is another burner another name; figures of both stand side by side here and are not those of one burner"})
		}
	}
	if len(e.Unstated) > 0 {
		found = append(found, finding.Finding{Code: "build_not_stated", Severity: finding.Note, Where: finding.Place{Subject: "entry " + e.Name},
			Sentence: "not every tester wrote down " + strings.Join(e.Unstated, ", ") + ", so nothing says whether these are alike",
			Remedy:   "measure them, and write them on the shelf"})
	}
	return found
}
