package burn

import (
	"slices"
	"strings"
)

// Mark is a moment of a burn, in time from light.
type Mark string

// The marks, in the order in which most burns pass them.
const (
	Light       Mark = "light"
	Bloom       Mark = "bloom"
	PotOn       Mark = "pot_on"
	NotBoiling  Mark = "not_boiling" // the last look at which the water did not boil yet
	Boil        Mark = "boil"
	SimmerStart Mark = "simmer_start"
	SimmerEnd   Mark = "simmer_end"
	PotOff      Mark = "pot_off"
	Out         Mark = "out"     // the flame ended by itself
	Snuffed     Mark = "snuffed" // the tester put it out
)

var marks = [...]Mark{Light, Bloom, PotOn, NotBoiling, Boil, SimmerStart, SimmerEnd, PotOff, Out, Snuffed}

// Marks lists every mark in that order.
func Marks() []Mark { return slices.Clone(marks[:]) }

// Label is the mark in words: "pot on".
func (m Mark) Label() string { return strings.ReplaceAll(string(m), "_", " ") }

// FaultKind is something that went wrong at a moment of the burn.
type FaultKind string

// The faults. Each makes boil time and efficiency of the burn invalid when it
// comes before the boil, except BoilOver, which can only follow it.
const (
	Spill      FaultKind = "spill"
	BoilOver   FaultKind = "boil_over"
	Refilled   FaultKind = "refilled"
	Relit      FaultKind = "relit"
	LidChanged FaultKind = "lid_changed"
	PotSwapped FaultKind = "pot_swapped"
	PotLifted  FaultKind = "pot_lifted" // off the flame and on again
	BlownOut   FaultKind = "blown_out"
)

// FaultKinds lists every fault.
func FaultKinds() []FaultKind {
	return []FaultKind{Spill, BoilOver, Refilled, Relit, LidChanged, PotSwapped, PotLifted, BlownOut}
}

// Failure is a way a burner fails that builders tell apart (common practice,
// no source); a burn may show several.
type Failure string

// The failures.
const (
	SeamLeak      Failure = "seam_leak"
	Burst         Failure = "burst"
	NoBloom       Failure = "no_bloom"
	Uneven        Failure = "uneven"
	Starved       Failure = "starved"
	Spitting      Failure = "spitting"
	Runaway       Failure = "runaway"
	FlamePastPot  Failure = "flame_past_pot"
	ScreenMelt    Failure = "screen_melt"
	WouldNotLight Failure = "would_not_light"
	StuckPot      Failure = "stuck_pot"
)

// Failures lists every failure code.
func Failures() []Failure {
	return []Failure{SeamLeak, Burst, NoBloom, Uneven, Starved, Spitting, Runaway, FlamePastPot, ScreenMelt, WouldNotLight, StuckPot}
}

// BoilKind says by which rule the boil was called. Kinds are not pooled in one
// comparison: first bubbles and a rolling boil differ by many seconds.
type BoilKind string

// The kinds.
const (
	Rolling   BoilKind = "rolling"   // by eye, a rolling boil
	Bubbles   BoilKind = "bubbles"   // by eye, first bubbles from the base
	Threshold BoilKind = "threshold" // a thermometer passed a set temperature
	Plateau   BoilKind = "plateau"   // a thermometer stopped rising
)

// BoilKinds lists every kind.
func BoilKinds() []BoilKind { return []BoilKind{Rolling, Bubbles, Threshold, Plateau} }
