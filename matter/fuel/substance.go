package fuel

import (
	"fmt"
	"slices"
	"strings"

	"fairburn/quantity"
)

// Substance is one of the pure liquids of the table. The zero value names none.
type Substance int

// The substances. Water is one, since most spirit holds some.
const (
	Ethanol Substance = iota + 1
	Methanol
	Propanol2 // 2-propanol, isopropyl alcohol
	Propanol1 // 1-propanol
	Acetone
	MEK // 2-butanone, methyl ethyl ketone
	EthylAcetate
	MIBK // 4-methyl-2-pentanone, methyl isobutyl ketone
	Water
)

// Atoms counts carbon, hydrogen and oxygen in a molecule, or their mean in a blend.
type Atoms struct{ C, H, O float64 }

// Flammability is what a list prints for the vapour of a pure liquid in air.
// Editions and test cups differ by 1 to 4 K in flash point: a caution, not a limit to work to.
type Flammability struct {
	Flash        quantity.Temperature
	Lower, Upper quantity.Ratio // volume of vapour in volume of air and vapour
	Given        bool           // false where the list has no row or an incomplete one
}

// Data is the row of one substance. Liquid, pure; sources stand in table.go.
type Data struct {
	Name         string
	Also         []string // other names on labels and data sheets, lower case
	CAS          string
	Atoms        Atoms
	MolarMass    float64                // kg/mol
	Formation    float64                // enthalpy of formation of the liquid at 25 °C, J/mol
	Density20    quantity.Density       // at 20 °C
	Expansion    float64                // 1/K, about 20 °C; 0 where R22 is used
	Boiling      quantity.Temperature   // at 101325 Pa
	SpecificHeat quantity.SpecificHeat  // liquid at 25 °C
	IEC, NFPA    Flammability           // two lists; they disagree and both are kept
	vaporisation watson                 // read through VaporisationHeat
	antoine      antoine                // read through VapourPressure
	extended     *extendedVapourFormula // for temperatures outside antoine; nil where no source
}

// Substances lists all of them in the order of the table.
func Substances() []Substance {
	all := make([]Substance, len(table))
	for i := range all {
		all[i] = Substance(i + 1)
	}
	return all
}

// Valid reports whether s is a substance of the table.
func (s Substance) Valid() bool { return s >= Ethanol && int(s) <= len(table) }

// Data returns the row of a valid substance.
func (s Substance) Data() Data { return *s.row() }

// String returns the plain name, such as "2-propanol".
func (s Substance) String() string {
	if !s.Valid() {
		return fmt.Sprintf("substance(%d)", int(s))
	}
	return s.row().Name
}

// Named finds a substance by a name people write, in any case: "IPA",
// "methyl ethyl ketone", "alcohol". The error lists the plain names.
func Named(name string) (Substance, error) {
	key := strings.ToLower(strings.TrimSpace(name))
	var names []string
	for _, s := range Substances() {
		d := s.row()
		if key == strings.ToLower(d.Name) || slices.Contains(d.Also, key) {
			return s, nil
		}
		names = append(names, d.Name)
	}
	return 0, fmt.Errorf("no substance is called %q, expected one of %s", name, strings.Join(names, ", "))
}

// row is the table's own row; s must be valid.
func (s Substance) row() *Data { return &table[s-1] }

// isAlcohol tells the substances that share the water of a blend, see density.go.
func (s Substance) isAlcohol() bool {
	return s == Ethanol || s == Methanol || s == Propanol1 || s == Propanol2
}

// outOfRange is the one wording for a value outside the range of a source.
func outOfRange(what string, got, low, high float64, source string) error {
	return fmt.Errorf("%s %.6g is outside %.6g to %.6g (%s)", what, got, low, high, source)
}
