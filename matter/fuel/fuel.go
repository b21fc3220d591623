// Package fuel knows the liquids a small spirit burner burns: nine pure
// substances, ethanol of any strength, and blends of these as a label or a
// safety data sheet states them. It gives heating value, density, vapour
// pressure, boiling point and air need, each with its source and, where the
// composition is a range, with the uncertainty the range brings.
//
// It refuses to extrapolate: a temperature, strength or pressure outside the
// range of a source is an error that names the range. It refuses to guess a
// composition: fractions that cannot sum to one are an error. It knows no
// petrol, kerosene or gas, and nothing about flames.
//
// Heating values are always named: LHV is net (liquid fuel at 25 °C, water
// formed leaves as vapour), HHV is gross (water formed is liquid). Strength by
// volume (Strength, of the mixture), volume before mixing
// (quantity.VolumeFraction) and mass fraction are three types, because taking
// one for another is the classic slip of this trade.
//
// Read substance.go and table.go (pure substances), vapour.go (one substance
// alone), strength.go (ethanol and water), blend.go (compositions), heat.go,
// density.go, bubble.go (what a blend does), known.go (named compositions),
// judge.go (what there is to say about it).
//
// Short names of sources in the tables:
//
//	CRC    CRC Handbook of Chemistry and Physics: Standard Thermodynamic Properties of Chemical
//	       Substances; Enthalpy of Vaporization; Physical Constants of Organic Compounds;
//	       Concentrative Properties of Aqueous Solutions (20 °C)
//	PERRY8 Green and Perry (eds.), 2008, Perry's Chemical Engineers' Handbook, 8th ed., Tables 2-8, 2-153
//	PGL5   Poling, Prausnitz, O'Connell, 2001, The Properties of Gases and Liquids, 5th ed., Appendix A (Antoine)
//	IEC    IEC 60079-20-1:2010, Annex B
//	NFPA   NFPA 497-2008, Table 4.4.2
//	R22    OIML R 22, 1975, International Alcoholometric Tables, general formula
package fuel
