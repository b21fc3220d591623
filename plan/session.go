package plan

import (
	"slices"
	"sort"
	"strings"
	"time"

	"fairburn/burn"
	"fairburn/quantity"
	"fairburn/trial"
)

// Session is what the planned burns take.
type Session struct {
	Length  time.Duration `json:"length_s"`  // from setting up the first burn to the end of the last, without a break
	Waits   int           `json:"waits"`     // burns before which a burner was still warm
	Waiting time.Duration `json:"waiting_s"` // in all, for burners to cool
	Water   quantity.Mass `json:"water_kg"`  // one fill of the reference water for each burn
	Fuel    []FuelNeed    `json:"fuel"`      // by batch name
}

// FuelNeed is the sum of the doses of one batch, as they are poured: by volume,
// by mass, or not known. It holds no spare.
type FuelNeed struct {
	Batch   string          `json:"batch"`
	Volume  quantity.Volume `json:"volume_m3"`
	Mass    quantity.Mass   `json:"mass_kg"`
	Unknown int             `json:"unknown"` // burns whose dose is not known
}

// handling is the time that one burn takes beside burning: rinse the pot, fill,
// weigh, light, write down (common practice, no source).
const handling = 5 * time.Minute

// session plays the plan through: the next burn takes the station that is free
// first, as soon as its pot is free and its burner has cooled.
func session(t *trial.Trial, w Wish, slots []trial.Slot) Session {
	s := Session{Water: t.Settings.Reference.Water * quantity.Mass(len(slots)), Fuel: fuelNeeds(t, w, slots)}
	station := make([]time.Duration, w.Stations) // free from
	pot, burner := map[string]time.Duration{}, map[string]time.Duration{}
	for _, slot := range slots {
		e, _ := t.Entry(slot.Entry)
		b := burnerOf(e)
		i := slices.Index(station, slices.Min(station))
		start := station[i] + handling
		if e.Pot != "" {
			start = max(start, pot[e.Pot]+handling)
		}
		if wait := burner[b] - start; wait > 0 {
			s.Waits++
			s.Waiting += wait
			start += wait
		}
		end := start + w.Burn
		station[i], pot[e.Pot], burner[b] = end, end, end+w.CoolDown
		s.Length = max(s.Length, end)
	}
	return s
}

// burnerOf names what must cool: two entries with one burner share its warmth.
func burnerOf(e trial.Entry) string {
	if e.Burner == "" {
		return "entry " + e.Name
	}
	return e.Burner
}

func fuelNeeds(t *trial.Trial, w Wish, slots []trial.Slot) []FuelNeed {
	known := dosesSoFar(t)
	for entry, d := range w.Doses {
		known[entry] = d
	}
	var needs []FuelNeed
	for _, slot := range slots {
		e, _ := t.Entry(slot.Entry)
		i := slices.IndexFunc(needs, func(n FuelNeed) bool { return n.Batch == e.Fuel })
		if i < 0 {
			i = len(needs)
			needs = append(needs, FuelNeed{Batch: e.Fuel})
		}
		d := known[slot.Entry]
		if strings.Contains(strings.ToLower(w.Factor.Name), "dose") {
			// A level that is no dose in words leaves it unknown.
			d, _ = quantity.ParseDose(slot.Level, t.Settings.System)
		}
		switch {
		case d.Volume.Given:
			needs[i].Volume += d.Volume.Value
		case d.Mass.Given:
			needs[i].Mass += d.Mass.Value
		default:
			needs[i].Unknown++
		}
	}
	sort.SliceStable(needs, func(i, j int) bool { return needs[i].Batch < needs[j].Batch })
	return needs
}

// dosesSoFar is the dose of each entry's last burn that names one.
func dosesSoFar(t *trial.Trial) map[string]quantity.Dose {
	last := map[string]quantity.Dose{}
	inOrder := slices.SortedStableFunc(slices.Values(t.Burns), func(a, b burn.Record) int { return trial.CompareIDs(a.ID, b.ID) })
	for _, b := range inOrder {
		if b.Fuel.DoseVolume.Given || b.Fuel.DoseMass.Given {
			last[b.Entry] = quantity.Dose{Volume: b.Fuel.DoseVolume, Mass: b.Fuel.DoseMass}
		}
	}
	return last
}
