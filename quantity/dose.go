package quantity

import (
	"fmt"
	"slices"
	"strings"
)

// Dose is fuel as poured, by mass or by volume: exactly one of them is given.
type Dose struct {
	Mass   Reading[Mass]   `json:"mass,omitzero"`
	Volume Reading[Volume] `json:"volume,omitzero"`
}

// Text is what was written.
func (d Dose) Text() string { return d.Mass.Text + d.Volume.Text }

func wantDose() string { return "a dose by mass (g, oz mass) or by volume (mL, fl oz)" }

// ParseDose reads a dose by mass ("23 g", "0.8 oz mass") or by volume ("30 mL",
// "1 fl oz", read by sys). A bare "oz" is refused with both readings shown.
func ParseDose(s string, sys System) (Dose, error) {
	volumes := volumeTables[sys]
	w, err := scan(s, wantDose)
	if err != nil {
		return Dose{}, err
	}
	first := w.parts[0]
	if len(w.parts) == 1 && slices.Contains([]string{"oz", "ounce", "ounces"}, strings.ToLower(first.unit)) {
		return Dose{}, &ParseError{Text: s, Want: wantDose(), Column: first.unitColumn, Hint: twoOunces(first, sys)}
	}
	if _, ok := volumes.find(first.unit); ok {
		a, err := volumes.understand(w)
		if err != nil {
			return Dose{}, err
		}
		return Dose{Volume: reading(Volume(a.value), s, a)}, nil
	}
	masses := *massTable
	masses.kind, masses.refused = "a dose: a volume in mL or fl oz, or a mass", volumes.refused
	a, err := masses.understand(w)
	if err != nil {
		return Dose{}, err
	}
	return Dose{Mass: reading(Mass(a.value), s, a)}, nil
}

// twoOunces shows what a bare "oz" of fuel can mean.
func twoOunces(p part, sys System) string {
	fluid, name := USFluidOunce, "US fl oz"
	if sys == Imperial {
		fluid, name = ImperialFluidOunce, "imp fl oz"
	}
	return fmt.Sprintf("oz can be read two ways: %s oz of mass is %.1f g, %s %s is %.1f mL; write %q or %q",
		p.plain, p.value*float64(Ounce/Gram), p.plain, name, p.value*float64(fluid/Millilitre), p.plain+" oz mass", p.plain+" "+name)
}

// Basis says what a strength counts, in words that JSON keeps.
type Basis string

const (
	// ByMass is kilograms of spirit a kilogram of mixture.
	ByMass Basis = "by_mass"
	// ByVolume is litres of spirit, measured alone at 20 °C, a litre of mixture at 20 °C.
	ByVolume Basis = "by_volume"
	// ByProof is US proof over 200: the same at 60 °F, which is not quite ByVolume.
	ByProof Basis = "by_proof"
)

// Strength is how much of a liquid is spirit, on one of three bases; to go from
// one to another needs densities.
type Strength struct {
	Basis Basis   `json:"basis"`
	Value float64 `json:"value"` // 0 to 1
}

// MassFraction returns the strength, and false unless it is by mass.
func (s Strength) MassFraction() (MassFraction, bool) {
	return MassFraction(s.Value), s.Basis == ByMass
}

// VolumeFraction returns the strength, and false unless it is by volume at 20 °C.
func (s Strength) VolumeFraction() (VolumeFraction, bool) {
	return VolumeFraction(s.Value), s.Basis == ByVolume
}

// Proof returns the US proof, 0 to 200, and false unless it was written as proof.
func (s Strength) Proof() (float64, bool) { return 200 * s.Value, s.Basis == ByProof }

var strengthTable = &table{kind: "a strength", units: []unit{
	{"% by mass", 0.01, "% m/m|%m/m|% w/w|%w/w|% by weight|wt%|wt %|% wt|% mass"},
	{"% vol", 0.01, "%vol|vol%|vol %|% v/v|%v/v|% by volume|% ABV|ABV|% volume"},
	{"proof", 0.005, "US proof|° proof"},
}, refused: map[string]string{
	"%":        "% can be read two ways, and they differ by several %: write % by mass or % vol, as the label says",
	"uk proof": "British proof is another scale: write % vol",
}}

var basisOf = map[string]Basis{"% by mass": ByMass, "% vol": ByVolume, "proof": ByProof}

// ParseStrength reads a strength: "95 % vol", "70 % m/m", "190 proof" (US). A
// bare "%" is refused, and so is a half-width on another basis.
//
// Source of US proof: 27 CFR 5.1, twice the per cent of ethanol by volume at
// 60 °F (from memory).
func ParseStrength(s string) (Reading[Strength], error) {
	a, err := read(s, strengthTable)
	if err != nil {
		return Reading[Strength]{}, err
	}
	switch {
	case a.value > 1:
		return Reading[Strength]{}, strengthTable.fail(s, 1, "a strength is at most 100 % (200 proof)")
	case a.tolerance > 0 && a.marginUnit.name != a.unit:
		return Reading[Strength]{}, strengthTable.fail(s, 1, "write the half-width in "+a.unit+" as well")
	}
	return reading(Strength{Basis: basisOf[a.unit], Value: a.value}, s, a), nil
}
