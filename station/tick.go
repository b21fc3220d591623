package station

import "fmt"

// Tick is one thing that a person confirms before each light.
type Tick struct {
	Key   string // tells it apart in forms
	Words string
}

// Ticks lists what to confirm before each light with that many stations in use.
// They are the usual cautions (common practice, no source) and take no rule's
// place.
func Ticks(stations int) []Tick {
	ticks := []Tick{
		{"bottle", "fuel bottle closed and moved away"},
		{"ground", "level, bare, cleared ground"},
		{"snuffer", "lid or snuffer within reach"},
		{"outdoors", "outdoors, and not in a tent"},
		{"water", "water at hand"},
		{"people", "sleeves and hair tied back; children and pets away"},
		{"rules", "local rules and bans looked up today; they and the maker's instructions come first"},
	}
	if stations > 1 {
		ticks = append(ticks,
			Tick{"pots", fmt.Sprintf("a pot and a scale for each of the %d stations", stations)},
			Tick{"room", "room between the flames: nobody reaches over one to get to another"})
	}
	return ticks
}

// SnufferTest lists the steps that show whether a flame has ended (common
// practice, no source). Only after them is "out" offered.
func SnufferTest() []string {
	return []string{
		"shade the burner and look from the side: a spirit flame can be invisible in daylight",
		"lean over nothing and touch nothing: hold the tip of a long dry twig above the burner",
		"a tip that smokes or chars means a flame: dip it in water, mark nothing, and wait or put the flame out",
		"a tip that stays as it was: lay the lid or snuffer over the burner with a long tool and count to ten",
		"take it off with the tool, look from the side again, and hold a fresh tip above",
		"no flame either time: mark out, at the moment from which none was seen",
		"the burner is still hot and the fuel bottle stays closed and away until it has cooled",
	}
}
