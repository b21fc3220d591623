package trial

import (
	"fmt"

	"fairburn/finding"
	"fairburn/gear"
)

// Check says what is wrong with the trial as written: names that point to
// nothing or to two things, entries that were never burned, a plan that was
// not kept.
func (t *Trial) Check() []finding.Finding {
	fs := t.Shelf.Check()
	fs = append(fs, t.checkEntries()...)
	fs = append(fs, t.checkBurns()...)
	fs = append(fs, t.checkPressure()...)
	return append(fs, t.checkPlan()...)
}

// checkPressure tells when one station pressure serves burns of several days.
func (t *Trial) checkPressure() []finding.Finding {
	days := map[string]bool{}
	for _, b := range t.Burns {
		if b.Date != "" && !b.Site.Station.Given && !b.Site.Altimeter.Given {
			days[b.Date] = true
		}
	}
	if len(days) < 2 || !t.Site.Station.Given && !t.Site.Altimeter.Given {
		return nil
	}
	return []finding.Finding{say("pressure_of_one_day", finding.Note, finding.Place{Subject: "trial", Field: "site"},
		fmt.Sprintf("one pressure stands for burns of %d days, and weather moves it from day to day", len(days)),
		"write the station pressure beside each burn")}
}

func say(code string, sev finding.Severity, where finding.Place, sentence, remedy string) finding.Finding {
	return finding.Finding{Code: code, Severity: sev, Where: where, Sentence: sentence, Remedy: remedy}
}

func (t *Trial) checkEntries() []finding.Finding {
	var fs []finding.Finding
	seen := map[string]bool{}
	for _, e := range t.Entries {
		where := finding.Place{Subject: "entry " + e.Name}
		switch {
		case e.Name == "":
			fs = append(fs, say("name_missing", finding.Fault, where, "an entry has no name", "give it a name of its own"))
		case seen[e.Name]:
			fs = append(fs, say("name_twice", finding.Fault, where, fmt.Sprintf("two entries are named %q", e.Name), "rename one, and the burns that mean it"))
		}
		seen[e.Name] = true
		for _, part := range []struct {
			field, name string
			known       bool
		}{
			{"burner", e.Burner, has(t.Shelf.Burners, e.Burner)}, {"pot", e.Pot, has(t.Shelf.Pots, e.Pot)},
			{"lid", e.Lid, has(t.Shelf.Lids, e.Lid)}, {"screen", e.Screen, has(t.Shelf.Screens, e.Screen)},
			{"stand", e.Stand, has(t.Shelf.Stands, e.Stand)}, {"fuel", e.Fuel, has(t.Shelf.Batches, e.Fuel)},
		} {
			where.Field = part.field
			switch {
			case part.name != "" && !part.known:
				fs = append(fs, say("gear_unknown", finding.Fault, where, fmt.Sprintf("%s %q is not on the shelf", part.field, part.name), "list it, or correct the name"))
			case part.name == "" && (part.field == "burner" || part.field == "pot" || part.field == "fuel"):
				fs = append(fs, say("gear_missing", finding.Caution, where, "the entry names no "+part.field, "name what was used; the whole system is compared, not the burner alone"))
			}
		}
	}
	return fs
}

func has[T gear.Named](list []T, name string) bool {
	_, ok := gear.Find(list, name)
	return ok
}

func (t *Trial) checkBurns() []finding.Finding {
	var fs []finding.Finding
	seen := map[string]bool{}
	burned := map[string]bool{}
	for _, b := range t.Burns {
		where := b.Where
		where.Subject = "burn " + b.ID
		switch {
		case b.ID == "":
			fs = append(fs, say("id_missing", finding.Fault, where, "a burn has no id", "number the burns"))
		case seen[b.ID]:
			fs = append(fs, say("id_twice", finding.Fault, where, fmt.Sprintf("two burns have the id %q", b.ID), "number them apart"))
		}
		seen[b.ID] = true
		if _, ok := t.Entry(b.Entry); !ok {
			fs = append(fs, say("entry_unknown", finding.Fault, where, fmt.Sprintf("entry %q is not listed, so nothing says which pot and fuel were used", b.Entry), "list the entry, or correct the name"))
		}
		burned[b.Entry] = true
	}
	for _, e := range t.Entries {
		if !burned[e.Name] && len(t.Burns) > 0 {
			fs = append(fs, say("entry_not_burned", finding.Note, finding.Place{Subject: "entry " + e.Name}, "the entry has no burns", "burn it, or leave it out"))
		}
	}
	return fs
}

// checkPlan says where the burns left the plan. Stopping when it looks good
// inflates error, so a trial longer than planned is told.
func (t *Trial) checkPlan() []finding.Finding {
	if len(t.Plan.Slots) == 0 {
		return nil
	}
	planned := map[string]int{}
	var fs []finding.Finding
	for _, s := range t.Plan.Slots {
		if _, ok := t.Entry(s.Entry); !ok && planned[s.Entry] == 0 {
			fs = append(fs, say("entry_unknown", finding.Fault, finding.Place{Subject: "plan"}, fmt.Sprintf("entry %q is planned and not listed", s.Entry), "list the entry, or correct the name"))
		}
		planned[s.Entry]++
	}
	made := map[string]int{}
	for _, b := range t.Burns {
		if b.Void == "" {
			made[b.Entry]++
		}
	}
	for _, e := range t.Entries {
		where := finding.Place{Subject: "entry " + e.Name}
		switch n, want := made[e.Name], planned[e.Name]; {
		case n > want:
			fs = append(fs, say("more_burns_than_planned", finding.Caution, where,
				fmt.Sprintf("%d burns count where %d were planned: going on until a difference shows finds differences that are not there", n, want), "plan the number before burning"))
		case n < want:
			fs = append(fs, say("fewer_burns_than_planned", finding.Note, where, fmt.Sprintf("%d of %d planned burns count so far", n, want), "burn what is missing, in the planned order"))
		}
	}
	return fs
}
