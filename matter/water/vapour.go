package water

import "fairburn/quantity"

// The vapour is γ = γ° + γʳ with π = p/1 MPa and τ = 540 K/T. Its enthalpy
// needs γ_τ alone, and the term ln π of γ° has no part in that.
const vapourKelvin = 540.0

// Coefficients of the ideal-gas part, γ° = ln π + Σ n° τ^J°, in columns 0, J°, n°.
// Source: IAPWS R7-97(2012), Table 10 and equation 16.
var region2Ideal = newSeries([]term{
	{0, 0, -9.6927686500217},
	{0, 1, 1.0086655968018e1},
	{0, -5, -5.6087911283020e-3},
	{0, -4, 7.1452738081455e-2},
	{0, -3, -4.0710498223928e-1},
	{0, -2, 1.4240819171444},
	{0, -1, -4.3839511319450},
	{0, 2, -2.8408632460772e-1},
	{0, 3, 2.1268463753307e-2},
})

// Coefficients of the residual part, γʳ = Σ n π^I (τ − 0.5)^J, in columns I, J, n.
// Source: IAPWS R7-97(2012), Table 11 and equation 17.
var region2Residual = newSeries([]term{
	{1, 0, -1.7731742473213e-3},
	{1, 1, -1.7834862292358e-2},
	{1, 2, -4.5996013696365e-2},
	{1, 3, -5.7581259083432e-2},
	{1, 6, -5.0325278727930e-2},
	{2, 1, -3.3032641670203e-5},
	{2, 2, -1.8948987516315e-4},
	{2, 4, -3.9392777243355e-3},
	{2, 7, -4.3797295650573e-2},
	{2, 36, -2.6674547914087e-5},
	{3, 0, 2.0481737692309e-8},
	{3, 1, 4.3870667284435e-7},
	{3, 3, -3.2277677238570e-5},
	{3, 6, -1.5033924542148e-3},
	{3, 35, -4.0668253562649e-2},
	{4, 1, -7.8847309559367e-10},
	{4, 2, 1.2790717852285e-8},
	{4, 3, 4.8225372718507e-7},
	{5, 7, 2.2922076337661e-6},
	{6, 3, -1.6714766451061e-11},
	{6, 16, -2.1171472321355e-3},
	{6, 35, -2.3895741934104e1},
	{7, 0, -5.9059564324270e-18},
	{7, 11, -1.2621808899101e-6},
	{7, 25, -3.8946842435739e-2},
	{8, 8, 1.1256211360459e-11},
	{8, 36, -8.2311340897998},
	{9, 13, 1.9809712802088e-8},
	{10, 4, 1.0406965210174e-19},
	{10, 10, -1.0234747095929e-13},
	{10, 14, -1.0018179379511e-9},
	{16, 29, -8.0882908646985e-11},
	{16, 50, 1.0693031879409e-1},
	{18, 57, -3.3662250574171e-1},
	{20, 20, 8.9185845355421e-25},
	{20, 35, 3.0629316876232e-13},
	{20, 48, -4.2002467698208e-6},
	{21, 21, -5.9056029685639e-26},
	{22, 53, 3.7826947613457e-6},
	{23, 39, -1.2768608934681e-15},
	{24, 26, 7.3087610595061e-29},
	{24, 40, 5.5414715350778e-17},
	{24, 58, -9.4369707241210e-7},
})

var (
	region2IdealByB    = region2Ideal.byB()
	region2ResidualByB = region2Residual.byB()
)

// LatentHeat returns the heat that evaporates 1 kg of water at temperature t on
// its boiling line: the enthalpy of the vapour (region 2) less that of the
// liquid (region 1) under the boiling pressure. While water boils take t as the
// boiling point; water that leaves below it takes its own, larger, heat.
//
// Range: 0 °C to 350 °C.
//
// Source: IAPWS R7-97(2012), equations 7, 15 and 30.
func LatentHeat(t quantity.Temperature) (quantity.SpecificEnergy, error) {
	if err := checkTemperature("heat of evaporation of water", t, highestKelvin); err != nil {
		return 0, err
	}
	k := t.Kelvin()
	p := boilingPascal(k)
	return quantity.SpecificEnergy(vapourEnthalpy(k, p) - liquidEnthalpy(k, p)), nil
}

// vapourEnthalpy is h = R·T·τ·(γ°_τ + γʳ_τ), t in K, p in Pa.
func vapourEnthalpy(t, p float64) float64 {
	tau := vapourKelvin / t
	return gasConstant * vapourKelvin * (region2IdealByB.at(1, tau) + region2ResidualByB.at(p/1e6, tau-0.5))
}
