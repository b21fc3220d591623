// Package quantity holds the physical values of the house: one defined type a
// quantity, always in SI inside, so that swapped arguments do not compile.
//
// A temperature is a point and a temperature difference is an amount: two
// points cannot be added. Mass fraction and volume fraction are different
// types, since strength by mass taken for strength by volume is this trade's
// classic slip. There is no generic quantity and no run-time dimension: a
// formula unwraps to float64 once, computes, and wraps once.
//
// It refuses what can be read two ways: a bare "oz" in a dose, a bare "%" of
// strength, a decimal comma. It never guesses a unit.
//
// Read quantity.go (types), reading.go (a value as a person wrote it), unit.go
// and system.go (the units), scan.go and parse.go (reading what people write),
// dose.go and clock.go (doses, strengths, times), print.go and stated.go
// (printing, and rounding by uncertainty), word.go (words of small vocabularies).
package quantity

import "encoding/json"

// The quantities. Each is a float64 in the SI unit named beside it.
type (
	Mass           float64 // kg
	Volume         float64 // m³
	Length         float64 // m
	Energy         float64 // J
	Power          float64 // W
	Pressure       float64 // Pa
	Density        float64 // kg/m³
	Speed          float64 // m/s
	TempDiff       float64 // K, an amount
	SpecificHeat   float64 // J/(kg·K)
	HeatCapacity   float64 // J/K
	SpecificEnergy float64 // J/kg: heating value, latent heat, enthalpy
	Conductance    float64 // W/K
	MassFraction   float64 // kg/kg, 0 to 1
	VolumeFraction float64 // m³/m³ at 20 °C before mixing, 0 to 1
	Ratio          float64 // dimensionless, such as relative humidity or efficiency
)

// Units as constants: 12.5 * quantity.Gram is a Mass.
// Sources: exact definitions as collected in NIST SP 811 (2008), appendix B;
// conventional millimetre and inch of mercury as printed there.
const (
	Kilogram  Mass = 1
	Gram      Mass = 1e-3
	Milligram Mass = 1e-6
	Pound     Mass = 0.45359237
	Ounce     Mass = Pound / 16 // avoirdupois, 28.349523125 g

	CubicMetre         Volume = 1
	Litre              Volume = 1e-3
	Millilitre         Volume = 1e-6
	USGallon           Volume = 3.785411784e-3
	USFluidOunce       Volume = USGallon / 128
	USCup              Volume = USGallon / 16
	ImperialGallon     Volume = 4.54609e-3
	ImperialFluidOunce Volume = ImperialGallon / 160
	ImperialCup        Volume = ImperialGallon / 16 // 10 imperial fl oz
	MetricCup          Volume = 250e-6

	Metre      Length = 1
	Millimetre Length = 1e-3
	Inch       Length = 0.0254
	Foot       Length = 0.3048

	Joule     Energy = 1
	Kilojoule Energy = 1e3
	Megajoule Energy = 1e6
	BTU       Energy = 1055.05585262 // International Table

	Watt     Power = 1
	Kilowatt Power = 1e3

	Pascal                 Pressure       = 1
	Hectopascal            Pressure       = 100 // the millibar
	Kilopascal             Pressure       = 1e3
	InchOfMercury          Pressure       = 3386.389
	MillimetreOfMercury    Pressure       = 133.322387415
	PoundPerSquareInch     Pressure       = 6894.757293168361
	StandardAtmosphere     Pressure       = 101325
	MetrePerSecond         Speed          = 1
	KilometrePerHour       Speed          = 1.0 / 3.6
	MilePerHour            Speed          = 0.44704
	Knot                   Speed          = 1852.0 / 3600
	JoulePerKilogramKelvin SpecificHeat   = 1
	MegajoulePerKilogram   SpecificEnergy = 1e6
	KilojoulePerKilogram   SpecificEnergy = 1e3
)

// Temperature is a point on the thermodynamic scale. Make one with Celsius,
// Fahrenheit or Kelvin; the zero value is 0 K, which no bench has seen.
type Temperature struct{ kelvin float64 }

// Kelvin makes a temperature from kelvins.
func Kelvin(k float64) Temperature { return Temperature{k} }

// Celsius makes a temperature from degrees Celsius.
func Celsius(c float64) Temperature { return Temperature{c + 273.15} }

// Fahrenheit makes a temperature from degrees Fahrenheit: t/°C = (t/°F − 32)/1.8
// (NIST SP 811, appendix B.8).
func Fahrenheit(f float64) Temperature { return Celsius((f - 32) / 1.8) }

// MarshalJSON writes the temperature as its number of kelvins.
func (t Temperature) MarshalJSON() ([]byte, error) { return json.Marshal(t.kelvin) }

// UnmarshalJSON reads a number of kelvins.
func (t *Temperature) UnmarshalJSON(text []byte) error { return json.Unmarshal(text, &t.kelvin) }

// Kelvin returns the temperature in K.
func (t Temperature) Kelvin() float64 { return t.kelvin }

// Celsius returns the temperature in °C.
func (t Temperature) Celsius() float64 { return t.kelvin - 273.15 }

// Fahrenheit returns the temperature in °F.
func (t Temperature) Fahrenheit() float64 { return t.Celsius()*1.8 + 32 }

// Sub returns the difference t − u.
func (t Temperature) Sub(u Temperature) TempDiff { return TempDiff(t.kelvin - u.kelvin) }

// Add returns the point d above t.
func (t Temperature) Add(d TempDiff) Temperature { return Temperature{t.kelvin + float64(d)} }
