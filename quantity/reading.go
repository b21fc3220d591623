package quantity

// Reading is a value as a person wrote it: the digits typed are evidence and
// are kept. The zero Reading was not given: zero is a value, missing is missing.
//
// T is one of the quantities of this package, Temperature, or time.Duration.
type Reading[T any] struct {
	// Value is the reading in SI. Meaningless unless Given.
	Value T
	// Text is what was written, unit and all: "7/8 oz", "58 °F", "7:12".
	Text string
	// Unit is the unit that was understood, as this package prints it: "oz", "°F".
	Unit string
	// Step is half of what the last written digit leaves open, doubled: the
	// place value of that digit in SI ("18.3 °C" -> 0.1 K, "1 3/4 oz" -> 1/4 oz).
	Step float64
	// Instrument names the instrument that was read, "" when nobody said.
	Instrument string
	// Given tells a reading from a missing one.
	Given bool
}

// Given makes a reading from a value that did not come from text.
func Given[T any](v T) Reading[T] { return Reading[T]{Value: v, Given: true} }
