package film

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"time"

	"fairburn/burn"
	"fairburn/finding"
	"fairburn/quantity"
)

// usualMark is what a mark by hand is worth where nobody said (common practice, no source).
const usualMark = time.Second

// Time gives burns the marks that were seen in footage, in time from light, and
// returns all burns; those given are not changed. A live mark stays and is
// compared. A reading's tolerance is the half-width that the two frames leave
// open, the light's and the mark's: an event seen first in a frame may be as old as
// a frame lasts, so it is half the sum of the two steps. Their difference lies
// between; where times were typed more coarsely than a frame, that step counts.
func (f *Film) Time(burns []burn.Record) ([]burn.Record, []finding.Finding) {
	var n notes
	burns = slices.Clone(burns)
	for _, t := range f.Timed {
		where := in(t.Where, "burn "+t.Burn, "")
		clip, ok := f.only(t.Clip)
		i := slices.IndexFunc(burns, func(b burn.Record) bool { return b.ID == t.Burn })
		switch {
		case !ok:
			n.fault("clip_unknown", where, fmt.Sprintf("no clip is called %q", t.Clip), "write the name of a [[clip]]")
		case i < 0:
			n.fault("burn_unknown", where, fmt.Sprintf("the trial has no burn %q", t.Burn), "write the id of a burn, and name the trial with --sheet")
		default:
			burns[i].Marks = n.time(t, clip, burns[i])
		}
	}
	return burns, n.found
}

// time reads the marks of one burn.
func (n *notes) time(t Timed, clip *Clip, b burn.Record) map[burn.Mark]quantity.Reading[time.Duration] {
	marks := maps.Clone(b.Marks)
	if marks == nil {
		marks = map[burn.Mark]quantity.Reading[time.Duration]{}
	}
	where := in(t.Where, "burn "+t.Burn, string(burn.Light))
	light := t.Marks[burn.Light]
	if !light.Given {
		n.fault("light_unseen", where, "nothing says when the fuel is seen to catch fire, and every mark counts from there", "write light = the clip's time of it")
		return marks
	}
	lit, err := clip.at(light)
	if err != nil {
		n.fault("clip_time", where, err.Error(), "write the time as the player shows it")
		return marks
	}
	for _, m := range burn.Marks()[1:] {
		seen := t.Marks[m]
		if !seen.Given {
			continue
		}
		where.Field = string(m)
		at, err := clip.at(seen)
		switch {
		case err != nil:
			n.fault("clip_time", where, err.Error(), "write the time as the player shows it")
		case at < lit:
			n.fault("mark_before_light", where, fmt.Sprintf("%s is seen at %s of the clip, before light at %s", m.Label(), span(at), span(lit)), "check the two times")
		default:
			half := (clip.Rate.step(light)+clip.Rate.step(seen))/2 + light.Tolerance + seen.Tolerance
			n.keep(marks, m, footage(at-lit, half), where)
		}
	}
	return marks
}

// footage is a reading as a person would write it in a sheet, and as a sheet reads it.
func footage(d time.Duration, half float64) quantity.Reading[time.Duration] {
	text := quantity.FormatDuration(d, 3)
	if half > 0 {
		text += fmt.Sprintf(" ± %.3f s", math.Ceil(1000*half-1e-6)/1000)
	}
	r, err := quantity.ParseDuration(text)
	if err != nil {
		panic(err) // the text is our own
	}
	return r
}

// keep sets a mark that the burn lacks, and compares one that it has.
func (n *notes) keep(marks map[burn.Mark]quantity.Reading[time.Duration], m burn.Mark, seen quantity.Reading[time.Duration], where finding.Place) {
	live := marks[m]
	if !live.Given {
		marks[m] = seen
		return
	}
	apart := (live.Value - seen.Value).Seconds()
	most := pick(live.Tolerance > 0, live.Tolerance, usualMark.Seconds()) + seen.Tolerance
	if math.Abs(apart) > most {
		n.say(finding.Caution, "footage_differs", where, fmt.Sprintf("%s was marked at %s from light and is seen at %s, %.2f s apart where %.2f s are expected; the mark was kept", m.Label(), span(live.Value), seen.Text, math.Abs(apart), most),
			"look at the footage again; correct the mark in the sheet if it is wrong")
	}
}
