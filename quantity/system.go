package quantity

import (
	"fmt"
	"slices"
)

// System is the customary system a person uses: how a bare "cup" or "fl oz" is
// read, and which units printers choose. The zero value is Metric.
type System int

const (
	// Metric prints g, mL, °C, hPa, mm; a cup is 250 mL, and a bare fl oz is refused.
	Metric System = iota
	// US prints oz, fl oz, °F, inHg, in; cup and fl oz are the US customary ones.
	US
	// Imperial prints oz, imperial fl oz, °C, hPa, in; cup and fl oz are the imperial ones.
	Imperial
)

var systemNames = []string{"metric", "us", "imperial"}

// String returns "metric", "us" or "imperial".
func (s System) String() string {
	if s < Metric || s > Imperial {
		return fmt.Sprintf("system(%d)", int(s))
	}
	return systemNames[s]
}

// MarshalText writes the system as its word.
func (s System) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads the word that MarshalText writes.
func (s *System) UnmarshalText(text []byte) error {
	i := slices.Index(systemNames, string(text))
	if i < 0 {
		return fmt.Errorf("read units %q, expected metric, us or imperial", text)
	}
	*s = System(i)
	return nil
}
