package reduce

import (
	"testing"

	"fairburn/burn"
	"fairburn/finding"
	"fairburn/quantity"
)

func TestWithoutBoil(t *testing.T) {
	r, s := exampleA()
	s.Rules.Loss, s.Rules.LossHalf = 1, 0.5
	r.Fuel.AtBoil, r.Fuel.ToBoilBy = none, burn.NotMeasured
	r.Marks = marks(times{potOn: 45, out: 520})
	r.Water.Peak = celsius(90, 0.1)
	got := Reduce(r, s)
	figures(t, "no boil", got, []Metric{RiseFraction, EtaWater, FuelToBoil, FuelToBoilLow, FuelExtrapolated, RefFuel}, []Metric{BoilTime, RefTime, EtaAll})
	if want := "net, water, to the highest temperature"; got.Basis(EtaWater) != want {
		t.Errorf("basis %q", got.Basis(EtaWater))
	}
	for _, m := range estimates {
		if !got.figures[m].Estimated {
			t.Errorf("%s is not marked as estimated", m.Info().Key)
		}
	}
	// With a loss the last kelvins cost more than the share of the rise says.
	lossless := s
	lossless.Rules.Loss, lossless.Rules.LossHalf = 0, 0
	plain := Reduce(r, lossless)
	phi := value(t, plain, RiseFraction)
	within(t, "without loss, g", value(t, plain, FuelToBoil)*1e3, 1.1+14.1/phi, 0.01)
	if closed := value(t, got, FuelToBoil); closed <= value(t, plain, FuelToBoil) {
		t.Errorf("with loss %g kg, without %g kg", closed, value(t, plain, FuelToBoil))
	}
	r.Water.Peak = celsius(98.1, 0.1)
	if finding.Has(Reduce(r, s).Findings, "boil_not_marked") {
		t.Error("98.1 °C of 99.18 °C counts as boiling")
	}
	r.Water.Peak = celsius(98.2, 0.1)
	if !finding.Has(Reduce(r, s).Findings, "boil_not_marked") {
		t.Error("98.2 °C of 99.18 °C does not ask for the mark")
	}
	// So weak that the loss at the boil is more than its power.
	r.Water.Peak = celsius(60, 0.1)
	s.Pot.Loss = quantity.Given(quantity.Conductance(8))
	got = Reduce(r, s)
	figures(t, "out of reach", got, []Metric{RiseFraction, FuelExtrapolated}, []Metric{FuelToBoil, RefFuel})
	if !finding.Has(got.Findings, "boil_out_of_reach") {
		t.Error(got.Findings)
	}
	// Snuffed: what burned is what heated. Pot taken off earlier: it is not.
	r.Marks = marks(times{potOn: 45, snuffed: 520})
	figures(t, "snuffed", Reduce(r, s), []Metric{EtaWater}, []Metric{FuelToBoilLow})
	r.Marks = marks(times{potOn: 45, potOff: 400, out: 520})
	figures(t, "pot off", Reduce(r, s), []Metric{RiseFraction, FuelTotal, MeanPower}, []Metric{EtaWater, FuelToBoil, FuelExtrapolated, FuelToBoilLow})
}
