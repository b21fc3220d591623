package water

import (
	"testing"

	"fairburn/quantity"
)

func BenchmarkEnthalpy(b *testing.B) {
	for b.Loop() {
		Enthalpy(quantity.Celsius(20), 95000)
	}
}

func BenchmarkDensity(b *testing.B) {
	for b.Loop() {
		Density(quantity.Celsius(20), 95000)
	}
}

func BenchmarkSpecificHeat(b *testing.B) {
	for b.Loop() {
		SpecificHeat(quantity.Celsius(20), 95000)
	}
}

func BenchmarkLatentHeat(b *testing.B) {
	for b.Loop() {
		LatentHeat(quantity.Celsius(98))
	}
}

func BenchmarkSaturationTemperature(b *testing.B) {
	for b.Loop() {
		SaturationTemperature(95000)
	}
}

func BenchmarkSaturationPressure(b *testing.B) {
	for b.Loop() {
		SaturationPressure(quantity.Celsius(98))
	}
}

// The sum as it is printed, for comparison with BenchmarkEnthalpy.
func BenchmarkPrintedSum(b *testing.B) {
	for b.Loop() {
		plain(region1ByB, 7.09, 3.5)
	}
}
