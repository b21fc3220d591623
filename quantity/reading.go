package quantity

// Reading is a value as a person wrote it: the digits typed are evidence and
// are kept. The zero Reading was not given: zero is a value, missing is missing.
//
// T is one of the quantities of this package, Temperature, or time.Duration.
type Reading[T any] struct {
	// Value is the reading in SI. Meaningless unless Given.
	Value T `json:"value"`
	// Text is what was written, unit and all: "7/8 oz", "58 °F", "7:12".
	Text string `json:"text,omitempty"`
	// Unit is the unit that was understood, as this package prints it: "oz", "°F";
	// "lb oz" when the value was written in parts, "m:ss" for a time with colons.
	Unit string `json:"unit,omitempty"`
	// Step is half of what the last written digit leaves open, doubled: the
	// place value of that digit in SI ("18.3 °C" -> 0.1 K, "1 3/4 oz" -> 1/4 oz).
	Step float64 `json:"step,omitempty"`
	// Tolerance is the half-width written after ±, in SI (s for a time); 0 when
	// none was written. What it covers, the writer must say.
	Tolerance float64 `json:"tolerance,omitempty"`
	// Instrument names the instrument that was read, "" when nobody said.
	Instrument string `json:"instrument,omitempty"`
	// Given tells a reading from a missing one.
	Given bool `json:"given"`
}

// Given makes a reading from a value that did not come from text.
func Given[T any](v T) Reading[T] { return Reading[T]{Value: v, Given: true} }
