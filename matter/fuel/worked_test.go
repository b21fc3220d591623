package fuel

import (
	"testing"

	"fairburn/quantity"
)

// This file holds values worked out from the cited sources, not printed by them.

func TestWorkedHeatsOfPureLiquids(t *testing.T) {
	// Worked from the formation enthalpies of the table, to the last digit given.
	for s, want := range map[Substance][3]float64{ // HHV, LHV in MJ/kg, air need
		Ethanol: {29.671, 26.805, 9.005}, Methanol: {22.657, 19.910, 6.474}, Propanol2: {33.376, 30.447, 10.355},
		Propanol1: {33.634, 30.705, 10.355}, Acetone: {30.813, 28.540, 9.524}, MEK: {33.895, 31.454, 10.548},
		EthylAcetate: {25.402, 23.404, 7.848}, MIBK: {37.430, 34.794, 11.735}, Water: {0, -2.4426, 0},
	} {
		b, err := Pure(s)
		if err != nil {
			t.Fatal(err)
		}
		near(t, s.String()+" HHV", float64(s.HHV())/1e6, want[0], 0.0006)
		near(t, s.String()+" LHV", float64(s.LHV())/1e6, want[1], 0.0006)
		near(t, s.String()+" air need", float64(b.AirFuelRatio()), want[2], 0.0006)
	}
	for s, want := range map[Substance][2]float64{ // latent heat, kJ/kg: at the boiling point, at 25 °C
		Ethanol: {837, 919}, Methanol: {1099, 1168}, Propanol2: {663, 755}, Water: {2257, 2441},
	} {
		for i, at := range []quantity.Temperature{s.row().Boiling, quantity.Celsius(25)} {
			h, err := s.VaporisationHeat(at)
			if err != nil {
				t.Fatal(err)
			}
			near(t, s.String()+" latent heat", float64(h)/1e3, want[i], 0.6)
		}
	}
}

func TestWorkedStrengths(t *testing.T) {
	for _, r := range []struct{ q, p, rho, perKg, perLitre float64 }{ // %vol, mass fraction, kg/m³, LHV MJ/kg, MJ/L
		{96.0, 0.93838, 807.42, 25.003, 20.188}, {95.0, 0.92408, 811.38, 24.584, 19.947}, {92.5, 0.88961, 820.63, 23.576, 19.348},
		{90.0, 0.85665, 829.18, 22.612, 18.750}, {80.0, 0.73480, 859.27, 19.049, 16.368}, {70.0, 0.62386, 885.56, 15.804, 13.995},
	} {
		b, err := FromStrength(Strength(r.q/100), 0)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "mass fraction", float64(b.MassFraction(Ethanol)), r.p, 0.6e-5)
		rho, _, err := b.Density(quantity.Celsius(20))
		if err != nil {
			t.Fatal(err)
		}
		near(t, "density", float64(rho), r.rho, 0.006)
		lhv, _ := b.LHV()
		near(t, "MJ/kg", float64(lhv)/1e6, r.perKg, 0.001) // worked with 26.805 rounded
		near(t, "MJ/L", float64(lhv)/1e6*float64(rho)/1e3, r.perLitre, 0.001)
	}
	for _, r := range []struct{ proof, p, q float64 }{
		{195, 0.96058, 97.503}, {190, 0.92418, 95.007}, {185, 0.88977, 92.511}, {160, 0.73517, 80.032}, {100, 0.42483, 50.061},
	} {
		p, err := Proof(r.proof).MassFraction()
		if err != nil {
			t.Fatal(err)
		}
		q, err := StrengthOf(p)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "mass fraction of proof", float64(p), r.p, 0.6e-5)
		near(t, "% vol of proof", 100*float64(q), r.q, 0.0006)
	}
}

func TestWorkedWetEthanol(t *testing.T) {
	for _, r := range [][2]float64{ // water mass fraction, LHV MJ/kg
		{0, 26.805}, {0.04, 25.635}, {0.05, 25.343}, {0.06, 25.050}, {0.08, 24.465}, {0.10, 23.880}, {0.20, 20.955}, {0.30, 18.031}, {0.40, 15.106},
	} {
		lhv, _ := wet(t, Ethanol, 1-r[0]).LHV()
		near(t, "wet ethanol", float64(lhv)/1e6, r[1], 0.001) // worked with 26.805 rounded
	}
}

func TestWorkedDenatured(t *testing.T) {
	for _, r := range []struct {
		lhv   float64
		extra []added
	}{
		{26.887, []added{{Propanol2, 1}, {MEK, 1}}},
		{27.042, []added{{Propanol2, 3}, {MEK, 3}}},
		{26.476, []added{{Methanol, 5}}},
		{26.619, []added{{Methanol, 4}, {MIBK, 1}}},
		{23.353, []added{{Methanol, 100}}},
		{21.286, []added{{Methanol, 400}}},
	} {
		b, err := denatured(200, r.extra...)
		if err != nil {
			t.Fatal(err)
		}
		lhv, _ := b.LHV()
		near(t, "denatured", float64(lhv)/1e6, r.lhv, 0.0006)
	}
}

func TestWorkedVapourPressures(t *testing.T) {
	for _, r := range []struct {
		s          Substance
		celsius, p float64 // kPa
	}{{Ethanol, 20, 5.861}, {Ethanol, 25, 7.876}, {Methanol, 25, 16.94}} {
		p, err := r.s.VapourPressure(quantity.Celsius(r.celsius))
		if err != nil {
			t.Fatal(err)
		}
		near(t, r.s.String(), float64(p)/1e3, r.p, 0.006)
	}
	// Vapour over the liquid at 20 °C lies inside the flammable range.
	for s, percent := range map[Substance]float64{Ethanol: 5.8, Methanol: 12.8, Propanol2: 4.4} {
		p, err := s.VapourPressure(quantity.Celsius(20))
		if err != nil {
			t.Fatal(err)
		}
		share := float64(p) / 101325
		near(t, s.String()+" headspace", 100*share, percent, 0.06)
		if limits := s.Data().IEC; !(share > float64(limits.Lower) && share < float64(limits.Upper)) {
			t.Errorf("%s: %.3f outside %v", s, share, limits)
		}
	}
}

func TestWorkedEquivalentMass(t *testing.T) {
	ethanol, err := Pure(Ethanol)
	if err != nil {
		t.Fatal(err)
	}
	// 10 g of 96 % by mass: 10·25.635/26.805.
	m, err := wet(t, Ethanol, 0.96).EquivalentMass(10*quantity.Gram, ethanol)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "grams", float64(m)*1e3, 9.5635, 0.0005)
}

func TestWorkedVolumesBeforeAndAfterMixing(t *testing.T) {
	// 95 % vol of the mixture is 0.92408 by mass: 0.92408/789.24 of ethanol against 0.07592/998.20 of water poured, 93.90 %.
	b, err := ByVolume(Part[quantity.VolumeFraction]{Substance: Ethanol, Share: 0.93900}, Rest[quantity.VolumeFraction](Water))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "mass fraction", float64(b.MassFraction(Ethanol)), 0.92408, 2e-5)
}
