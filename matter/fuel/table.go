package fuel

import "fairburn/quantity"

// table holds the rows in the order of the constants.
//
// Sources, by column (short names in fuel.go):
//
//	Formation     CRC, Standard Thermodynamic Properties, liquid; water CODATA (from memory).
//	              MIBK: Yaws' gas value -286.4 less CRC vaporisation 40.61 kJ/mol.
//	Density20     ethanol, water R22; methanol, ethyl acetate CRC Physical Constants at 20 °C; the others
//	              CRC at 25 °C (780.9, 799.7, 784.5, 799.9, 796.5) moved by Expansion.
//	Expansion     mean of the PERRY8 and PPDS (VDI Heat Atlas) correlations about 20 °C.
//	Boiling       CRC Physical Constants.
//	SpecificHeat  PERRY8 Table 2-153 evaluated at 25 °C.
//	vaporisation  CRC Enthalpy of Vaporization at boiling point and 25 °C, critical point CRC; the exponent is
//	              fitted to these two values (the usual 0.38 errs by 1.5 % for ethanol).
//	antoine       PGL5 Appendix A. extended: PERRY8 Table 2-8.
//	IEC, NFPA     as named.
var table = [...]Data{
	{
		Name: "ethanol", Also: []string{"ethyl alcohol", "alcohol", "grain alcohol", "bioethanol"}, CAS: "64-17-5",
		Atoms: Atoms{2, 6, 1}, MolarMass: 46.069e-3, Formation: -277.6e3,
		Density20: 789.24, Boiling: quantity.Celsius(78.29), SpecificHeat: 2439,
		IEC:          flammable(12, 3.1, 19.0),
		NFPA:         flammable(13, 3.3, 19.0),
		vaporisation: watson{38.56e3, 42.32e3, 513.9, 0.3280},
		antoine:      antoine{10.33675, 1648.22, -42.232, 276.5, 369.54},
		extended:     &extendedVapourFormula{73.304, -7122.3, -7.1424, 2.8853e-6, 159.05, 514},
	},
	{
		Name: "methanol", Also: []string{"methyl alcohol", "wood alcohol", "wood spirit"}, CAS: "67-56-1",
		Atoms: Atoms{1, 4, 1}, MolarMass: 32.042e-3, Formation: -239.2e3,
		Density20: 791.4, Expansion: 1.20e-3, Boiling: quantity.Celsius(64.60), SpecificHeat: 2533,
		IEC:          flammable(9, 6.0, 36.0),
		NFPA:         flammable(12, 6.0, 36.0),
		vaporisation: watson{35.21e3, 37.43e3, 512.64, 0.2996},
		antoine:      antoine{10.20277, 1580.08, -33.65, 262.59, 356},
		extended:     &extendedVapourFormula{82.718, -6904.5, -8.8622, 7.4664e-6, 175.47, 512.5},
	},
	{
		Name: "2-propanol", Also: []string{"propan-2-ol", "isopropanol", "isopropyl alcohol", "ipa"}, CAS: "67-63-0",
		Atoms: Atoms{3, 8, 1}, MolarMass: 60.096e-3, Formation: -318.1e3,
		Density20: 785.6, Expansion: 1.20e-3, Boiling: quantity.Celsius(82.30), SpecificHeat: 2610,
		IEC:          flammable(12, 2.0, 12.7),
		NFPA:         flammable(12, 2.0, 12.7),
		vaporisation: watson{39.85e3, 45.39e3, 508.3, 0.4089},
		antoine:      antoine{10.24268, 1580.92, -53.54, 281.28, 373.46},
	},
	{
		Name: "1-propanol", Also: []string{"propan-1-ol", "n-propanol", "propyl alcohol"}, CAS: "71-23-8",
		Atoms: Atoms{3, 8, 1}, MolarMass: 60.096e-3, Formation: -302.6e3,
		Density20: 804.0, Expansion: 1.06e-3, Boiling: quantity.Celsius(97.20), SpecificHeat: 2404,
		IEC:          flammable(15, 2.1, 17.5),
		NFPA:         flammable(15, 2.2, 13.7),
		vaporisation: watson{41.44e3, 47.45e3, 536.8, 0.3759},
		antoine:      antoine{9.99991, 1512.94, -67.343, 293.19, 389.32},
	},
	{
		Name: "acetone", Also: []string{"propanone", "2-propanone"}, CAS: "67-64-1",
		Atoms: Atoms{3, 6, 1}, MolarMass: 58.080e-3, Formation: -248.4e3,
		Density20: 790.2, Expansion: 1.42e-3, Boiling: quantity.Celsius(56.05), SpecificHeat: 2175,
		IEC:          flammable(-20, 2.5, 14.3),
		NFPA:         flammable(-20, 2.5, 12.8),
		vaporisation: watson{29.10e3, 30.99e3, 508.2, 0.3934},
		antoine:      antoine{9.2184, 1197.01, -45.09, 247.38, 350.65},
	},
	{
		Name: "MEK", Also: []string{"methyl ethyl ketone", "butanone", "2-butanone", "ethyl methyl ketone"}, CAS: "78-93-3",
		Atoms: Atoms{4, 8, 1}, MolarMass: 72.107e-3, Formation: -273.3e3,
		Density20: 805.3, Expansion: 1.35e-3, Boiling: quantity.Celsius(79.59), SpecificHeat: 2200,
		IEC:          flammable(-10, 1.5, 13.4),
		NFPA:         flammable(-6, 1.4, 11.4),
		vaporisation: watson{31.30e3, 34.79e3, 535.5, 0.4045},
		antoine:      antoine{9.1386, 1232.63, -54.46, 265.62, 375.66},
	},
	{
		Name: "ethyl acetate", Also: []string{"ethyl ethanoate"}, CAS: "141-78-6",
		Atoms: Atoms{4, 8, 2}, MolarMass: 88.106e-3, Formation: -479.3e3,
		Density20: 900.3, Expansion: 1.30e-3, Boiling: quantity.Celsius(77.11), SpecificHeat: 1939,
		IEC:          flammable(-4, 2.0, 12.8),
		NFPA:         flammable(-4, 2.0, 11.5),
		vaporisation: watson{31.94e3, 35.60e3, 523.3, 0.4121},
		antoine:      antoine{9.13361, 1195.13, -60.68, 265.5, 372.51},
	},
	{
		Name: "MIBK", Also: []string{"methyl isobutyl ketone", "4-methylpentan-2-one", "4-methyl-2-pentanone", "hexone"}, CAS: "108-10-1",
		Atoms: Atoms{6, 12, 1}, MolarMass: 100.161e-3, Formation: -327.0e3,
		Density20: 801.0, Expansion: 1.11e-3, Boiling: quantity.Celsius(116.50), SpecificHeat: 2135,
		IEC:          flammable(16, 1.2, 8.0),
		vaporisation: watson{34.49e3, 40.61e3, 574.6, 0.4064},
		antoine:      antoine{8.8222, 1190.6904, -77.7, 293.4, 415.85},
	},
	{
		// The water row serves mixtures only: by its Antoine row water boils at 100.08 °C. Use package water for pots.
		Name: "water", CAS: "7732-18-5",
		Atoms: Atoms{0, 2, 1}, MolarMass: 18.015e-3, Formation: -285.83e3,
		Density20: 998.20, Boiling: quantity.Celsius(99.97), SpecificHeat: 4185,
		vaporisation: watson{40.65e3, 43.98e3, 647.096, 0.3255},
		antoine:      antoine{10.11564, 1687.537, -42.98, 273.2, 473.2},
		extended:     &extendedVapourFormula{73.649, -7258.2, -7.3037, 4.1653e-6, 273.16, 647.096},
	},
}

// flammable makes a row from a flash point in °C and limits in % by volume.
func flammable(flash, lower, upper float64) Flammability {
	return Flammability{
		Flash: quantity.Celsius(flash),
		Lower: quantity.Ratio(lower / 100), Upper: quantity.Ratio(upper / 100),
		Given: true,
	}
}
