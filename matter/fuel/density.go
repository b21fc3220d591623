package fuel

import (
	"fmt"
	"math"

	"fairburn/linear"
	"fairburn/quantity"
)

// Density of the pure liquid at t. Ethanol (−20 to 40 °C) and water (0 to
// 40 °C) by OIML R 22; the others ρ20·(1 − β·(t − 20 °C)) from −10 to 40 °C,
// about ±0.1 %. Source: the columns of the table.
func (s Substance) Density(t quantity.Temperature) (quantity.Density, error) {
	low, high, source := s.densityRange()
	if c := t.Celsius(); !(c >= low && c <= high) {
		return 0, outOfRange(s.String()+": density: temperature in °C", c, low, high, source)
	}
	return quantity.Density(s.density(t.Celsius())), nil
}

func (s Substance) densityRange() (low, high float64, source string) {
	switch s {
	case Ethanol:
		return -20, 40, "OIML R 22"
	case Water:
		return 0, 40, "OIML R 22"
	}
	return -10, 40, "CRC densities and linear expansion"
}

// density is Density in kg/m³ without the check of the range.
func (s Substance) density(celsius float64) float64 {
	switch s {
	case Ethanol:
		return ethanolWater(1, celsius)
	case Water:
		return ethanolWater(0, celsius)
	}
	d := s.row()
	return float64(d.Density20) * (1 - d.Expansion*(celsius-20))
}

// Relative half-widths, equally likely within, of what the density model leaves open.
const (
	alcoholometricFit = 1.5e-4 // R 22 against 56 densities of the NBS tables of 1913
	linearDensity     = 1e-3   // table of pure liquids, −10 to 40 °C
	tabledContraction = 2e-3   // tables below; tried on ethanol at the same points, up to 0.17 %
	// contractionDrift is the change, per 20 K, of a contraction taken as constant
	// over t, as a share of it; tried on ethanol, where R 22 knows, it errs so much.
	contractionDrift = 0.1
	idealVolumes     = 5e-3 // volumes of unlike liquids added, half and half (from memory)
	// looseWater is for water with no alcohol to take it up, half and half: acetone
	// and water contract by about 3 % (common practice, no source).
	looseWater = 0.03
)

// Density of the blend at t, with its standard uncertainty. The water is shared
// among the alcohols by mass; each alcohol with its water has the volume that
// R 22 (ethanol) or a table of contraction (the others) gives, and these volumes
// and those of the other liquids add up. Range −20 to 40 °C for ethanol and
// water alone, else −10 to 40 °C. Uncertainty: stated ranges, pure densities,
// contraction off 20 °C, and up to 0.5 % for volumes added.
// Source: OIML R 22; CRC, Concentrative Properties of Aqueous Solutions; adding volumes, common practice.
func (b Blend) Density(t quantity.Temperature) (value, u quantity.Density, err error) {
	if err := b.checkDensityRange(t); err != nil {
		return 0, 0, err
	}
	c := t.Celsius()
	at := func(mass []float64) float64 {
		var volume float64
		for _, g := range b.groups(mass, c) {
			volume += g.volume
		}
		return 1 / volume
	}
	rho := at(b.mass)
	return quantity.Density(rho), quantity.Density(math.Hypot(b.spread(at), rho*b.densityModel(c))), nil
}

// MassOf is the mass of a volume of the blend measured at t, with the standard
// uncertainty that the density alone brings to it; the reading of the volume
// brings its own.
func (b Blend) MassOf(v quantity.Volume, t quantity.Temperature) (value, u quantity.Mass, err error) {
	rho, uRho, err := b.Density(t)
	if err != nil {
		return 0, 0, err
	}
	return quantity.Mass(float64(rho) * float64(v)), quantity.Mass(float64(uRho) * math.Abs(float64(v))), nil
}

// VolumeOf is the volume that a mass of the blend has at t.
func (b Blend) VolumeOf(m quantity.Mass, t quantity.Temperature) (quantity.Volume, error) {
	rho, _, err := b.Density(t)
	if err != nil {
		return 0, err
	}
	return quantity.Volume(float64(m) / float64(rho)), nil
}

func (b Blend) checkDensityRange(t quantity.Temperature) error {
	if len(b.mass) == 0 {
		return fmt.Errorf("density: blend has no component")
	}
	for i, s := range b.substances {
		low, high, source := s.densityRange()
		if s == Water && b.mass[i] < 1 {
			continue // stays liquid in spirit; R 22 covers it with the ethanol row
		}
		if c := t.Celsius(); !(c >= low && c <= high) {
			return outOfRange(s.String()+": density: temperature in °C", c, low, high, source)
		}
	}
	return nil
}

// group is an alcohol with its share of the water, or one other liquid.
type group struct {
	mass, volume float64 // shares of 1 kg of blend: kg, m³
	open         float64 // relative half-width of its volume
	loose        bool    // water that no alcohol took up
}

func (b Blend) groups(mass []float64, celsius float64) []group {
	var water, alcohol float64
	for i, s := range b.substances {
		switch {
		case s == Water:
			water = mass[i]
		case s.isAlcohol():
			alcohol += mass[i]
		}
	}
	var all []group
	for i, s := range b.substances {
		switch {
		case s.isAlcohol():
			all = append(all, wetAlcohol(s, mass[i], alcohol, water, celsius))
		case s != Water:
			all = append(all, group{mass: mass[i], volume: mass[i] / s.density(celsius), open: linearDensity})
		case alcohol == 0:
			all = append(all, group{mass: water, volume: water / s.density(celsius), open: alcoholometricFit, loose: true})
		}
	}
	return all
}

// wetAlcohol is the group of one alcohol of mass m among all alcohol and all water.
func wetAlcohol(s Substance, m, alcohol, water, celsius float64) group {
	if m == 0 {
		return group{}
	}
	p := alcohol / (alcohol + water)
	g := group{mass: m / p}
	if s == Ethanol {
		g.volume, g.open = g.mass/ethanolWater(p, celsius), alcoholometricFit
		return g
	}
	c := contraction(s, p)
	apart := p/s.density(celsius) + (1-p)/Water.density(celsius)
	g.volume = g.mass * apart * (1 + c)
	off := contractionDrift * c * (celsius - 20) / 20
	g.open = math.Sqrt(linearDensity*linearDensity + off*off)
	if p < 1 {
		g.open = math.Hypot(g.open, tabledContraction)
	}
	return g
}

// densityModel is the relative standard uncertainty of the density model itself.
func (b Blend) densityModel(celsius float64) float64 {
	groups := b.groups(b.mass, celsius)
	var volume, square, largest, loose float64
	for _, g := range groups {
		volume += g.volume
		largest = max(largest, g.mass)
		if g.loose {
			loose = g.mass
		}
	}
	for _, g := range groups {
		square += math.Pow(g.open*g.volume/volume, 2)
	}
	mixed := 4 * max(largest, 0.5) * (1 - max(largest, 0.5))
	square += math.Pow(idealVolumes*mixed, 2) + math.Pow(looseWater*4*loose*(1-loose), 2)
	return math.Sqrt(square / 3)
}

// contraction is the change of volume on mixing an alcohol with water, relative
// to the volumes apart, at 20 °C and mass fraction p of the alcohol; negative.
func contraction(s Substance, p float64) float64 { return contractions[s].At(p) }

// contractions are splines through tabled densities, each taken relative to the
// ends of its own table, so that the density of the pure alcohol stays that of table.go.
// Source: CRC, Concentrative Properties of Aqueous Solutions: Density, 20 °C.
var contractions = map[Substance]linear.Spline{
	Methanol: contractionSpline([][2]float64{
		{0, 998.2}, {.05, 989.6}, {.1, 981.6}, {.15, 974.0}, {.2, 966.6}, {.3, 951.4}, {.4, 934.7}, {.5, 915.6},
		{.6, 894.4}, {.7, 871.5}, {.8, 846.8}, {.9, 820.4}, {.96, 803.4}, {1, 791.7}}),
	Propanol2: contractionSpline([][2]float64{
		{0, 998.2}, {.05, 988.4}, {.1, 981.6}, {.14, 977.2}, {.2, 969.6}, {.4, 930.2}, {.6, 882.4}, {.8, 834.1}, {1, 784.8}}),
	Propanol1: contractionSpline([][2]float64{
		{0, 998.2}, {.05, 989.6}, {.1, 982.9}, {.14, 977.9}, {.2, 968.6}, {.28, 953.3}, {.4, 928.8}, {.6, 887.5},
		{.8, 847.0}, {1, 803.4}}),
}

// contractionSpline makes the spline from mass fractions of alcohol and densities in kg/m³.
func contractionSpline(rows [][2]float64) linear.Spline {
	water, alcohol := rows[0][1], rows[len(rows)-1][1]
	p, c := make([]float64, len(rows)), make([]float64, len(rows))
	for i, row := range rows {
		p[i] = row[0]
		c[i] = 1/row[1]/(p[i]/alcohol+(1-p[i])/water) - 1
	}
	return linear.NewSpline(p, c)
}
