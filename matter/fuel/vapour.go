package fuel

import (
	"math"

	"fairburn/quantity"
)

// antoine holds log10(P/Pa) = A − B/(T + C), T in K from low to high.
type antoine struct{ a, b, c, low, high float64 }

func (n antoine) pressure(kelvin float64) float64 {
	return math.Pow(10, n.a-n.b/(kelvin+n.c))
}

// extendedVapourFormula holds P = exp(C1 + C2/T + C3·ln T + C4·T²) Pa, T in K from low to high.
type extendedVapourFormula struct{ c1, c2, c3, c4, low, high float64 }

func (e *extendedVapourFormula) pressure(kelvin float64) float64 {
	return math.Exp(e.c1 + e.c2/kelvin + e.c3*math.Log(kelvin) + e.c4*kelvin*kelvin)
}

// watson holds H(T) = H(Tb)·((Tc − T)/(Tc − Tb))^n, heats in J/mol, Tc in K.
type watson struct{ atBoiling, at25, critical, exponent float64 }

// VapourPressure is the saturation pressure over the pure liquid: the Antoine
// equation inside its range; outside it, for ethanol, methanol and water, the
// wider equation. The two agree within 1 % where they meet (3 % for methanol at
// −11 °C). Elsewhere an error.
// Stated agreement with other correlations 1 %, 2-propanol 5 % below 30 °C,
// MEK and ethyl acetate 2 %.
// Source: PGL5 Appendix A; PERRY8 Table 2-8.
func (s Substance) VapourPressure(t quantity.Temperature) (quantity.Pressure, error) {
	k := t.Kelvin()
	if low, high := s.vapourRange(); !(k >= low && k <= high) {
		return 0, outOfRange(s.String()+": vapour pressure: temperature in °C", t.Celsius(), low-273.15, high-273.15, "Poling 2001 and Perry 2008")
	}
	return quantity.Pressure(s.saturation(k)), nil
}

// vapourRange is the span of kelvins in which saturation may be asked.
func (s Substance) vapourRange() (low, high float64) {
	d := s.row()
	low, high = d.antoine.low, d.antoine.high
	if d.extended != nil {
		low, high = min(low, d.extended.low), max(high, d.extended.high)
	}
	return low, high
}

// saturation is VapourPressure in Pa without the check of the range.
func (s Substance) saturation(kelvin float64) float64 {
	d := s.row()
	if d.extended != nil && (kelvin < d.antoine.low || kelvin > d.antoine.high) {
		return d.extended.pressure(kelvin)
	}
	return d.antoine.pressure(kelvin)
}

// VaporisationHeat is the latent heat of the pure liquid, from 0 °C to its
// boiling point: H(T) = H(Tb)·((Tc − T)/(Tc − Tb))^n with n fitted to two
// tabled values, so that it is an interpolation. Another correlation (PERRY8
// Table 2-150) lies within 1 %.
// Source: CRC, Enthalpy of Vaporization; form Watson, 1943, Ind. Eng. Chem. 35, 398.
func (s Substance) VaporisationHeat(t quantity.Temperature) (quantity.SpecificEnergy, error) {
	d := s.row()
	if c := t.Celsius(); !(c >= 0 && c <= d.Boiling.Celsius()) {
		return 0, outOfRange(s.String()+": latent heat: temperature in °C", c, 0, d.Boiling.Celsius(), "CRC, enthalpy of vaporization")
	}
	w := d.vaporisation
	h := w.atBoiling * math.Pow((w.critical-t.Kelvin())/(w.critical-d.Boiling.Kelvin()), w.exponent)
	return quantity.SpecificEnergy(h / d.MolarMass), nil
}

// bisect finds where f changes sign between low and high, to the last bit that
// matters. f(low) and f(high) must differ in sign or be 0; callers see to that.
func bisect(f func(float64) float64, low, high float64) float64 {
	if f(low) == 0 {
		return low
	}
	if f(high) == 0 {
		return high
	}
	negative := f(low) < 0
	for range 200 {
		mid := low + (high-low)/2
		if mid <= low || mid >= high {
			break
		}
		if (f(mid) < 0) == negative {
			low = mid
		} else {
			high = mid
		}
	}
	return low + (high-low)/2
}
