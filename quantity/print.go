package quantity

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
)

// Printable is every quantity that printers know.
type Printable interface {
	Mass | Volume | Length | Energy | Power | Pressure | Density | Speed | Temperature | TempDiff |
		SpecificHeat | HeatCapacity | SpecificEnergy | Conductance |
		MassFraction | VolumeFraction | Ratio | time.Duration
}

// shown is a unit with the digits after the point that a plain figure gets.
type shown struct {
	unit
	decimals int
	point    func(Temperature) float64 // for temperatures, whose zero is not 0 K
}

// look is how a quantity is shown, by System.
type look [3]shown

func same(name string, factor float64, decimals int) look {
	s := shown{unit: unit{name: name, factor: factor}, decimals: decimals}
	return look{s, s, s}
}

// us replaces the US unit, and imperial the imperial one.
func (l look) us(name string, factor float64, decimals int) look {
	l[US] = shown{unit: unit{name: name, factor: factor}, decimals: decimals}
	return l
}

func (l look) imperial(name string, factor float64, decimals int) look {
	l[Imperial] = shown{unit: unit{name: name, factor: factor}, decimals: decimals}
	return l
}

func celsius() shown {
	return shown{unit: unit{name: "°C", factor: 1}, decimals: 1, point: Temperature.Celsius}
}

// The looks. Names are those that Parse functions read back in the same System.
var (
	massLook           = same("g", float64(Gram), 1).us("oz", float64(Ounce), 2).imperial("oz", float64(Ounce), 2)
	volumeLook         = same("mL", float64(Millilitre), 1).us("fl oz", float64(USFluidOunce), 2).imperial("fl oz", float64(ImperialFluidOunce), 2)
	lengthLook         = same("mm", float64(Millimetre), 1).us("in", float64(Inch), 3).imperial("in", float64(Inch), 3)
	elevationLook      = same("m", float64(Metre), 0).us("ft", float64(Foot), 0).imperial("ft", float64(Foot), 0)
	energyLook         = same("kJ", float64(Kilojoule), 1)
	powerLook          = same("W", float64(Watt), 0)
	pressureLook       = same("hPa", float64(Hectopascal), 1).us("inHg", float64(InchOfMercury), 2)
	densityLook        = same("kg/m³", 1, 1)
	speedLook          = same("m/s", 1, 1).us("mph", float64(MilePerHour), 1).imperial("mph", float64(MilePerHour), 1)
	temperatureLook    = look{celsius(), {unit{name: "°F", factor: 5.0 / 9}, 1, Temperature.Fahrenheit}, celsius()}
	tempDiffLook       = same("°C", 1, 1).us("°F", 5.0/9, 1)
	specificHeatLook   = same("J/(kg·K)", 1, 0)
	heatCapacityLook   = same("J/K", 1, 0)
	specificEnergyLook = same("MJ/kg", float64(MegajoulePerKilogram), 2)
	conductanceLook    = same("W/K", 1, 2)
	massFractionLook   = same("% by mass", 0.01, 1)
	volumeFractionLook = same("% vol", 0.01, 1)
	ratioLook          = same("%", 0.01, 1)
	durationLook       = same("s", 1, 1)
)

// lookOf returns how q is shown, and its value in SI.
func lookOf[Q Printable](q Q) (look, float64) {
	switch v := any(q).(type) {
	case Mass:
		return massLook, float64(v)
	case Volume:
		return volumeLook, float64(v)
	case Length:
		return lengthLook, float64(v)
	case Energy:
		return energyLook, float64(v)
	case Power:
		return powerLook, float64(v)
	case Pressure:
		return pressureLook, float64(v)
	case Density:
		return densityLook, float64(v)
	case Speed:
		return speedLook, float64(v)
	case Temperature:
		return temperatureLook, v.kelvin
	case TempDiff:
		return tempDiffLook, float64(v)
	case SpecificHeat:
		return specificHeatLook, float64(v)
	case HeatCapacity:
		return heatCapacityLook, float64(v)
	case SpecificEnergy:
		return specificEnergyLook, float64(v)
	case Conductance:
		return conductanceLook, float64(v)
	case MassFraction:
		return massFractionLook, float64(v)
	case VolumeFraction:
		return volumeFractionLook, float64(v)
	case Ratio:
		return ratioLook, float64(v)
	case time.Duration:
		return durationLook, v.Seconds()
	}
	panic(fmt.Sprintf("quantity: no look for %T", q))
}

// of returns the SI value v as it is shown.
func (s shown) of(v float64) float64 {
	if s.point != nil {
		return s.point(Kelvin(v))
	}
	return s.in(v)
}

// In returns q as a number in the unit that sys prefers, and the unit: 25.2, "g".
// Lengths are in mm or in (a height above the sea: FormatElevation), ratios in
// %, times in s.
func In[Q Printable](q Q, sys System) (float64, string) {
	l, v := lookOf(q)
	return l[sys].of(v), l[sys].name
}

// Format prints q in the unit that sys prefers, with the digits usual for it:
// "25.2 g", "0.89 oz", "18.3 °C". It knows no uncertainty; a figure that has
// one is printed by FormatWith. For a time it prints seconds: see FormatDuration.
func Format[Q Printable](q Q, sys System) string {
	l, v := lookOf(q)
	return l[sys].format(v)
}

// FormatBrief prints q as Format does, without zeros after the point: a value that
// somebody set, such as "500 g" or "95 °F", whose digits are no claim.
func FormatBrief[Q Printable](q Q, sys System) string {
	number, unit, _ := strings.Cut(Format(q, sys), " ")
	if strings.Contains(number, ".") {
		number = strings.TrimSuffix(strings.TrimRight(number, "0"), ".")
	}
	return number + " " + unit
}

func (s shown) format(v float64) string {
	return roundTo(s.of(v), s.decimals) + " " + s.name
}

// FormatWith prints q with its half-width, in SI, rounded by it as State does
// by NearestEven: "25.20 ± 0.31 g". Where the half-width is not a positive
// number it prints as Format does.
func FormatWith[Q Printable](q Q, halfWidth float64, sys System) string {
	l, v := lookOf(q)
	s := l[sys]
	st := State(s.of(v), s.in(halfWidth), NearestEven)
	if st.HalfWidth == "" {
		return s.format(v)
	}
	return st.String() + " " + s.name
}

// FormatInterval prints an interval, both ends rounded to the second
// significant digit of half its width: "0.4 to 9.2 %". An end at infinity gives
// "0.4 % or more", "9.2 % or less"; no end at all gives "not known".
func FormatInterval[Q Printable](low, high Q, sys System) string {
	l, from := lookOf(low)
	_, to := lookOf(high)
	s := l[sys]
	below, above := math.IsInf(from, -1), math.IsInf(to, 1)
	switch {
	case math.IsNaN(from) || math.IsNaN(to) || below && above:
		return "not known"
	case below:
		return s.format(to) + " or less"
	case above:
		return s.format(from) + " or more"
	case from == to:
		return s.format(from)
	}
	places := s.decimals
	if half := math.Abs(s.of(to)/2 - s.of(from)/2); half > 0 && !math.IsInf(half, 0) {
		places, _ = twoDigits(half, NearestEven)
	}
	return roundTo(s.of(from), places) + " to " + roundTo(s.of(to), places) + " " + s.name
}

// FormatElevation prints a height above the sea: "2100 m", "6890 ft".
func FormatElevation(h Length, sys System) string { return elevationLook[sys].format(float64(h)) }

// FormatEighths prints a mass to the nearest eighth of an ounce the way the
// trade does: reduced, whole part first: "1 3/4 oz", "1/2 oz", "0 oz". Exactly
// between two eighths it takes the larger (common practice, no source).
func FormatEighths(m Mass) string {
	const eighth = Ounce / 8
	size := Mass(math.Abs(float64(m)))
	if !(size < 1<<40*eighth) {
		return Format(m, US) // not a number, or so large that eighths mean nothing
	}
	n := math.Floor(float64(size / eighth))
	// The boundary is computed, not the remainder: a mass read from "3/16 oz"
	// then lies on it exactly.
	if size >= Mass(2*n+1)*Ounce/16 {
		n++
	}
	sign := ""
	if m < 0 && n > 0 {
		sign = "-"
	}
	whole, part := int64(n)/8, int64(n)%8
	names := [8]string{"", "1/8", "1/4", "3/8", "1/2", "5/8", "3/4", "7/8"}
	number := strconv.FormatInt(whole, 10) + " " + names[part]
	if whole == 0 && part > 0 {
		number = names[part]
	}
	return sign + strings.TrimSpace(number) + " oz"
}

// FormatDuration prints a time as m:ss, or h:mm:ss from an hour, with decimals
// digits (0 to 9) of a second, rounded half away from zero: 59.96 s with one
// decimal is "1:00.0". A negative time has a minus sign.
func FormatDuration(d time.Duration, decimals int) string {
	sign := ""
	if d < 0 {
		sign = "-"
	}
	d = d.Round(time.Duration(math.Pow10(9 - decimals))).Abs()
	if d == 0 {
		sign = ""
	}
	width := 2
	if decimals > 0 {
		width = 3 + decimals
	}
	whole, fraction := d/time.Minute, (d % time.Minute).Seconds()
	if whole < 60 {
		return fmt.Sprintf("%s%d:%0*.*f", sign, whole, width, decimals, fraction)
	}
	return fmt.Sprintf("%s%d:%02d:%0*.*f", sign, whole/60, whole%60, width, decimals, fraction)
}
