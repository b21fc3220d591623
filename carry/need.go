package carry

// referenceRise is the heat that a kilogram of water takes from 20 to 100 °C, J.
//
// Source: IAPWS R7-97(2012), equation 7: 419.1 less 83.9 kJ/kg.
const referenceRise = 335.1e3
