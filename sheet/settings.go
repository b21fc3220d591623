package sheet

import (
	"cmp"
	"fmt"
	"strings"
	"time"

	"fairburn/quantity"
	"fairburn/reduce"
	"fairburn/trial"
)

// The keys that stand before any section.
var topKeys = []*key[*trial.Trial]{
	{name: "fairburn", holds: "1, the version of this layout; must be there", read: func(*reader, place, *node, *trial.Trial) {}},
	words("title", "title of the trial", func(t *trial.Trial) *string { return &t.Title }),
	prose("question", "question, in your words", func(t *trial.Trial) *string { return &t.Question }),
	word("judge_by", "what decides it: fastest, least fuel, surest boil, lightest system", one("judge_by", trial.JudgeBys()...), func(t *trial.Trial) *trial.JudgeBy { return &t.Settings.JudgeBy }),
	words("repeats", "repeats; title of the trial that this one repeats, with burners built anew", func(t *trial.Trial) *string { return &t.Repeats }),
	yes("invented", "invented data; the figures are a made-up example", func(t *trial.Trial) *bool { return &t.Invented }),
	prose("notes", "notes; anything else", func(t *trial.Trial) *string { return &t.Notes }),
}

var settingsKeys = []*key[*trial.Settings]{
	units(func(t *trial.Settings) *quantity.System { return &t.System }),
	checked(setting("margin", "difference worth having; a smaller one is not", ratios, func(s *trial.Settings) *quantity.Ratio { return &s.Margin }), func(s *trial.Settings) string { return share(s.Margin) }),
	checked(setting("cap", "longest wait for a boil; a burn that did not boil counts as this", spans, func(s *trial.Settings) *time.Duration { return &s.Cap }).like("15:00", "15:00", "15:00"), func(s *trial.Settings) string { return aboveZero(s.Cap) }),
	checked(setting("level", "confidence of the verdict", ratios, func(s *trial.Settings) *quantity.Ratio { return &s.Level }).like("95 %", "95 %", "95 %"), func(s *trial.Settings) string { return share(s.Level) }),
	checked(setting("power", "chance to see a difference worth having; decides how many burns a plan has", ratios, func(s *trial.Settings) *quantity.Ratio { return &s.Power }).like("80 %", "80 %", "80 %"), func(s *trial.Settings) string { return share(s.Power) }),
	checked(setting("least_dose_share", "share of burns that the least dose must boil", ratios, func(s *trial.Settings) *quantity.Ratio { return &s.DoseShare }).like("90 %", "90 %", "90 %"), func(s *trial.Settings) string { return share(s.DoseShare) }),
	written(count("seed", "seed of everything random", func(s *trial.Settings) *uint64 { return &s.Seed })),
}

// units is the system by which bare cups and fluid ounces are read.
func units[P any](get func(P) *quantity.System) *key[P] {
	return &key[P]{
		name: "units", holds: "units; how a bare cup or fl oz is read: metric, us or imperial",
		form: shape{kind: Choice, choices: []string{quantity.Metric.String(), quantity.US.String(), quantity.Imperial.String()}},
		read: func(r *reader, p place, v *node, into P) {
			if s, ok := r.text(p, v, "us"); ok {
				if err := get(into).UnmarshalText([]byte(strings.ToLower(s))); err != nil {
					r.refuse(p, v, err)
				}
			}
		},
		write: func(w *writer, from P) string { return w.quote(get(from).String()) },
	}
}

// written is for a number that is written even where it is 0, which is not the
// default.
func written[P any](k *key[P]) *key[P] {
	write := k.write
	k.write = func(w *writer, from P) string { return cmp.Or(write(w, from), "0") }
	return k
}

// checked takes a value back when it lies outside what wrong allows.
//
//go:noinline
func checked(k *key[*trial.Settings], wrong func(*trial.Settings) string) *key[*trial.Settings] {
	read := k.read
	k.read = func(r *reader, p place, v *node, into *trial.Settings) {
		was := *into
		read(r, p, v, into)
		if why := wrong(into); why != "" {
			*into = was
			r.say("out_of_range", v.at, p.path, "read "+v.shown()+", "+why, r.remedy("mend it, or leave the key out for the default", "mend it, or leave the field empty for the default"))
		}
	}
	return k
}

func share(q quantity.Ratio) string {
	if q > 0 && q < 1 {
		return ""
	}
	return "expected a share above 0 % and below 100 %"
}

func aboveZero(d time.Duration) string {
	if d > 0 {
		return ""
	}
	return "expected a time above zero"
}

var referenceKeys = []*key[*trial.Settings]{
	only(checked(referenceWater(), func(s *trial.Settings) string {
		if s.Reference.Water > 0 {
			return ""
		}
		return "expected a mass above zero"
	}), func(s *trial.Settings) bool { return s.NominalSet }),
	checked(setting("from", "start of the reference boil; 20 °C unless given", temperatures, func(s *trial.Settings) *quantity.Temperature { return &s.Reference.From }).like("20 °C", "68 °F", "20 °C"), warms),
	checked(setting("to", "end of the reference boil; 100 °C unless given", temperatures, func(s *trial.Settings) *quantity.Temperature { return &s.Reference.To }).like("100 °C", "212 °F", "100 °C"), warms),
}

func warms(s *trial.Settings) string {
	if s.Reference.To.Sub(s.Reference.From) > 0 {
		return ""
	}
	return fmt.Sprintf("expected a reference boil that warms the water; it would run from %.1f °C to %.1f °C", s.Reference.From.Celsius(), s.Reference.To.Celsius())
}

// referenceWater notes that the sheet chose the water, which else is the trial's own.
func referenceWater() *key[*trial.Settings] {
	k := setting("water", "water of the reference boil; without one the trial's own", masses, func(s *trial.Settings) *quantity.Mass { return &s.Reference.Water }).like("500 g", "16 oz", "500 g")
	read := k.read
	k.read = func(r *reader, p place, v *node, into *trial.Settings) {
		was := into.Reference.Water
		into.Reference.Water = -1
		read(r, p, v, into)
		if into.Reference.Water < 0 {
			into.Reference.Water = was
			return
		}
		into.NominalSet = true
	}
	return k
}

var rulesKeys = []*key[*reduce.Rules]{
	rule("grace", "latest boil after flame-out that still counts", spans, func(x *reduce.Rules) *time.Duration { return &x.Grace }).like("60 s", "60 s", "60 s"),
	rule("proration", "half-width of fuel to boil prorated from the total", ratios, func(x *reduce.Rules) *quantity.Ratio { return &x.Proration }),
	rule("range", "share of the reference within which corrections hold", ratios, func(x *reduce.Rules) *quantity.Ratio { return &x.Range }),
	rule("fuel_range", "distance of a heating value from the reference that is flagged", ratios, func(x *reduce.Rules) *quantity.Ratio { return &x.FuelRange }),
	rule("lowest_boil", "lowest boiling point at which corrections hold", temperatures, func(x *reduce.Rules) *quantity.Temperature { return &x.LowestBoil }).like("93 °C", "199 °F", "93 °C"),
	rule("high_evaporation", "share of the water gone as steam that is flagged", ratios, func(x *reduce.Rules) *quantity.Ratio { return &x.HighEvaporation }),
	rule("boil_call", "half-width of the temperature at which a boil is called", differences, func(x *reduce.Rules) *quantity.TempDiff { return &x.BoilCall }),
	rule("boil_mark", "half-width of the boil mark by eye", spans, func(x *reduce.Rules) *time.Duration { return &x.BoilMark }).like("3 s", "3 s", "3 s"),
	rule("stratification", "half-width of the start temperature for water not quite stirred", differences, func(x *reduce.Rules) *quantity.TempDiff { return &x.Stratification }),
	rule("pressure", "half-width of a pressure whose barometer is not named", pressures, func(x *reduce.Rules) *quantity.Pressure { return &x.Pressure }).like("2 hPa", "0.06 inHg", "2 hPa"),
	rule("loss", "heat loss of a pot whose cooling was not measured", losses, func(x *reduce.Rules) *quantity.Conductance { return &x.Loss }),
	rule("loss_half", "half-width of that heat loss", losses, func(x *reduce.Rules) *quantity.Conductance { return &x.LossHalf }),
}

// rule is a setting that stands in the sheet only where it was changed.
func rule[Q comparable](name, holds string, s *spell[Q], get func(*reduce.Rules) *Q) *key[*reduce.Rules] {
	usual := reduce.DefaultRules()
	return only(setting(name, holds, s, get), func(x *reduce.Rules) bool { return *get(x) != *get(&usual) })
}

var entryKeys = []*key[*trial.Entry]{
	label("name", "name; its own", func(e *trial.Entry) *string { return &e.Name }),
	label("burner", "name of a [[burner]]", func(e *trial.Entry) *string { return &e.Burner }),
	label("pot", "name of a [[pot]]", func(e *trial.Entry) *string { return &e.Pot }),
	label("lid", "name of a [[lid]]; left out: none", func(e *trial.Entry) *string { return &e.Lid }),
	label("screen", "name of a [[screen]]; left out: none", func(e *trial.Entry) *string { return &e.Screen }),
	label("stand", "name of a [[stand]]; left out: none", func(e *trial.Entry) *string { return &e.Stand }),
	label("fuel", "name of a [[fuel]]", func(e *trial.Entry) *string { return &e.Fuel }),
	prose("notes", "notes; anything else", func(e *trial.Entry) *string { return &e.Notes }),
}

var planKeys = []*key[*trial.Plan]{
	count("seed", "seed that drew the order", func(p *trial.Plan) *uint64 { return &p.Seed }),
	only(setting("cool_down", "rest of a burner between two burns", spans, func(p *trial.Plan) *time.Duration { return &p.CoolDown }), func(p *trial.Plan) bool { return p.CoolDown != 0 }),
	inner("factor", "one more thing varied on purpose; { name, levels }", factorKeys, func(p *trial.Plan) *trial.Factor { return &p.Factor }),
	rows("slots", "burns to be made; { order, block, entry, level, snuff }", item[*trial.Slot]{one: "burn", keys: slotKeys}, func(p *trial.Plan) *[]trial.Slot { return &p.Slots }),
}

var factorKeys = []*key[*trial.Factor]{
	words("name", "", func(f *trial.Factor) *string { return &f.Name }),
	labels("levels", "", func(f *trial.Factor) *[]string { return &f.Levels }),
}

var slotKeys = []*key[*trial.Slot]{
	count("order", "", func(s *trial.Slot) *int { return &s.Order }),
	label("block", "", func(s *trial.Slot) *string { return &s.Block }),
	label("entry", "", func(s *trial.Slot) *string { return &s.Entry }),
	label("level", "", func(s *trial.Slot) *string { return &s.Level }),
	yes("snuff", "", func(s *trial.Slot) *bool { return &s.Snuff }),
}
