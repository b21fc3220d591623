package quantity

import (
	"math"
	"slices"
	"strings"
	"unicode/utf8"
)

// unit is one unit that people write.
type unit struct {
	name   string  // as this package prints it
	factor float64 // SI value of one unit
	also   string  // other spellings, separated by |
}

// si returns x units in SI. A unit such as g or % divides, so that 95 % is the
// float64 nearest to 0.95, which 95*0.01 is not.
func (u unit) si(x float64) float64 {
	if parts := 1 / u.factor; parts == math.Trunc(parts) {
		return x / parts
	}
	return x * u.factor
}

// in returns the SI value v in this unit; it undoes si.
func (u unit) in(v float64) float64 {
	if parts := 1 / u.factor; parts == math.Trunc(parts) {
		return v * parts
	}
	return v / u.factor
}

// table holds what can be read as one quantity.
type table struct {
	kind    string // "a mass"
	units   []unit
	refused map[string]string // lower-case spelling -> why, and what to write
	signed  bool              // may be negative
	chain   bool              // may be written in parts: 1 lb 3 oz
}

// find looks a spelling up: exactly first, so that mJ is never taken for MJ;
// then, for spellings of three letters and more, whatever the case.
func (t *table) find(spelling string) (unit, bool) {
	for _, u := range t.units {
		if u.spelled(spelling, func(a, b string) bool { return a == b }) {
			return u, true
		}
	}
	for _, u := range t.units {
		if utf8.RuneCountInString(spelling) >= 3 && u.spelled(spelling, strings.EqualFold) {
			return u, true
		}
	}
	return unit{}, false
}

func (u unit) spelled(spelling string, equal func(a, b string) bool) bool {
	if equal(u.name, spelling) {
		return true
	}
	for also := range strings.SplitSeq(u.also, "|") {
		if also != "" && equal(also, spelling) {
			return true
		}
	}
	return false
}

// want says what can be read: "a mass in g, kg, mg, oz or lb".
func (t *table) want() string {
	var names []string
	for _, u := range t.units {
		if u.name != "" && !slices.Contains(names, u.name) {
			names = append(names, u.name)
		}
	}
	last := len(names) - 1
	if last == 0 {
		return t.kind + " in " + names[0]
	}
	return t.kind + " in " + strings.Join(names[:last], ", ") + " or " + names[last]
}

// The tables. Factors are the exact definitions collected in NIST SP 811
// (2008), appendix B, by way of the constants of this package.
var (
	massTable = &table{kind: "a mass", chain: true, units: []unit{
		{"g", float64(Gram), "gm|gram|grams|gramme|grammes"},
		{"kg", float64(Kilogram), "kilogram|kilograms"},
		{"mg", float64(Milligram), "milligram|milligrams"},
		{"oz", float64(Ounce), "Oz|OZ|ounce|ounces|oz mass|oz by mass|oz wt|oz by weight|ounces by mass|ounces by weight"},
		{"lb", float64(Pound), "lbs|Lb|LB|pound|pounds"},
	}, refused: map[string]string{
		"gr": `"gr" is also the grain of 64.8 mg: write g for grams`,
	}}

	temperatureTable = &table{kind: "a temperature", signed: true, units: degrees}
	tempDiffTable    = &table{kind: "a temperature difference", signed: true, units: degrees}
	degrees          = []unit{
		{"°C", 1, "C|c|℃|° C|degC|deg C|celsius|degrees C|degrees celsius"},
		{"°F", 5.0 / 9, "F|f|℉|° F|degF|deg F|fahrenheit|degrees F|degrees fahrenheit"},
		{"K", 1, "kelvin|kelvins"},
	}

	pressureTable = &table{kind: "a pressure", units: []unit{
		{"hPa", float64(Hectopascal), "hectopascal|hectopascals"},
		{"mbar", float64(Hectopascal), "mb|millibar|millibars"},
		{"kPa", float64(Kilopascal), "kilopascal|kilopascals"},
		{"Pa", float64(Pascal), "pascal|pascals"},
		{"inHg", float64(InchOfMercury), "in Hg|inches of mercury"},
		{"mmHg", float64(MillimetreOfMercury), "mm Hg"},
		{"psi", float64(PoundPerSquareInch), "psia|lbf/in²"},
		{"bar", 1e5, ""},
	}}

	lengthTable = &table{kind: "a length", chain: true, units: []unit{
		{"mm", float64(Millimetre), "millimetre|millimetres|millimeter|millimeters"},
		{"cm", 10 * float64(Millimetre), "centimetre|centimetres|centimeter|centimeters"},
		{"m", float64(Metre), "metre|metres|meter|meters"},
		{"in", float64(Inch), "\"|''|inch|inches"},
		{"ft", float64(Foot), "'|foot|feet"},
	}}
	// An elevation can lie below the sea.
	elevationTable = &table{kind: "an elevation", signed: true, units: []unit{
		{"m", float64(Metre), "metre|metres|meter|meters"},
		{"ft", float64(Foot), "'|foot|feet"},
		{"km", 1e3 * float64(Metre), ""},
	}}

	powerTable = &table{kind: "a power", units: []unit{
		{"W", float64(Watt), "watt|watts"},
		{"kW", float64(Kilowatt), "kilowatt|kilowatts"},
		{"BTU/h", float64(BTU) / 3600, "btu/hr"},
	}}

	conductanceTable = &table{kind: "a heat loss", units: []unit{{"W/K", 1, "W/°C|W/degC"}}}

	energyTable = &table{kind: "an energy", units: []unit{
		{"J", float64(Joule), "joule|joules"},
		{"kJ", float64(Kilojoule), "kilojoule|kilojoules"},
		{"MJ", float64(Megajoule), "megajoule|megajoules"},
		{"Wh", 3600, ""},
		{"kWh", 3.6e6, ""},
		{"BTU", float64(BTU), ""},
		{"kcal_IT", 4186.8, ""},
		{"kcal_th", 4184, ""},
	}, refused: map[string]string{
		"kcal": "the kilocalorie is 4184 J (thermochemical) or 4186.8 J (International Table): write kcal_th or kcal_IT",
	}}

	speedTable = &table{kind: "a speed", units: []unit{
		{"m/s", float64(MetrePerSecond), "mps"},
		{"km/h", float64(KilometrePerHour), "kmh|kph"},
		{"mph", float64(MilePerHour), "mi/h"},
		{"kn", float64(Knot), "kt|kts|knot|knots"},
	}}

	ratioTable = &table{kind: "a ratio", units: []unit{
		{"%", 0.01, "percent|per cent"},
		{"", 1, ""},
	}}

	spanTable = &table{kind: "a time span", chain: true, units: []unit{
		{"s", 1, "sec|secs|second|seconds"},
		{"min", 60, "m|mins|minute|minutes"},
		{"h", 3600, "hr|hrs|hour|hours"},
	}}
)

// volumeUnits spells volumes that need no system. A pint is 1/8 gallon; a US
// table or tea spoon is 1/256 or 1/768 gallon.
var volumeUnits = []unit{
	{"mL", float64(Millilitre), "ml|ML|cc|cm³|millilitre|millilitres|milliliter|milliliters"},
	{"cL", 10 * float64(Millilitre), "cl|centilitre|centilitres|centiliter|centiliters"},
	{"dL", 100 * float64(Millilitre), "dl|decilitre|decilitres|deciliter|deciliters"},
	{"L", float64(Litre), "l|ℓ|litre|litres|liter|liters"},
	{"US fl oz", float64(USFluidOunce), "US fluid ounce|US fluid ounces"},
	{"US cup", float64(USCup), "US cups"},
	{"US pint", float64(USGallon) / 8, "US pints|US pt"},
	{"US tbsp", float64(USGallon) / 256, "US tablespoon|US tablespoons"},
	{"US tsp", float64(USGallon) / 768, "US teaspoon|US teaspoons"},
	{"imp fl oz", float64(ImperialFluidOunce), "UK fl oz|imperial fl oz|UK fluid ounce|imperial fluid ounce|UK fluid ounces|imperial fluid ounces"},
	{"imp cup", float64(ImperialCup), "imp cups|UK cup|UK cups|imperial cup|imperial cups"},
	{"imp pint", float64(ImperialGallon) / 8, "imp pints|UK pint|UK pints|imperial pint|imperial pints"},
	{"metric cup", float64(MetricCup), "metric cups"},
	{"metric tbsp", 15 * float64(Millilitre), "metric tablespoon|metric tablespoons"},
	{"metric tsp", 5 * float64(Millilitre), "metric teaspoon|metric teaspoons"},
}

// bare tells which unit a spelling without a system means in each system.
// There is no metric fluid ounce or pint, and British spoons are metric today
// (common practice, no source).
var bare = []struct {
	spellings string
	means     [3]string // by System; "" is refused
}{
	{"fl oz|fl ozs|floz|fluid ounce|fluid ounces", [3]string{"", "US fl oz", "imp fl oz"}},
	{"cup|cups", [3]string{"metric cup", "US cup", "imp cup"}},
	{"pint|pints|pt", [3]string{"", "US pint", "imp pint"}},
	{"tbsp|tbsps|tablespoon|tablespoons", [3]string{"metric tbsp", "US tbsp", "metric tbsp"}},
	{"tsp|tsps|teaspoon|teaspoons", [3]string{"metric tsp", "US tsp", "metric tsp"}},
}

var volumeTables = [3]*table{newVolumeTable(Metric), newVolumeTable(US), newVolumeTable(Imperial)}

func newVolumeTable(sys System) *table {
	t := &table{kind: "a volume", chain: true, units: slices.Clone(volumeUnits), refused: map[string]string{}}
	for _, b := range bare {
		i := slices.IndexFunc(t.units, func(u unit) bool { return u.name == b.means[sys] })
		if i >= 0 {
			t.units[i].also += "|" + b.spellings
			continue
		}
		for s := range strings.SplitSeq(b.spellings, "|") {
			t.refused[s] = "US and imperial measures differ: write " + b.means[US] + " or " + b.means[Imperial]
		}
	}
	return t
}

// everyTable is asked when a unit belongs to another quantity.
var everyTable = []*table{massTable, volumeTables[Metric], temperatureTable, pressureTable, lengthTable, powerTable, energyTable, speedTable, conductanceTable, spanTable}
