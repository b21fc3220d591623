package web

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strings"

	"fairburn/carry"
	"fairburn/quantity"
)

// after is what is written down on a trip and when it is over: the fuel really
// used, and the tester's own notes on local rules.
type after struct {
	Used  []carry.Past // what this trip says of itself
	Kits  []choice     // by their stoves, each once
	Legs  []field
	Note  []field
	Notes []noteRow

	values, wrong map[string]string
}

type noteRow struct {
	Number int
	carry.RuleNote
}

// after lays these forms out, with what was typed into them.
func (v *tripView) after(ctx context.Context, t carry.Trip, a asking, typed after) (after, error) {
	out := after{Used: v.used, values: typed.values, wrong: typed.wrong}
	for i, n := range v.Rules {
		out.Notes = append(out.Notes, noteRow{i, n})
	}
	fill := func(f field) field {
		f.Value, f.Wrong = out.values[f.Name], out.wrong[f.Name]
		return f
	}
	for i, l := range v.Legs {
		f := field{Name: fmt.Sprintf("used.%d", i), Label: "Fuel used", As: "text", Example: "130 mL"}
		if len(v.Legs) > 1 {
			f.Label += " on leg " + fmt.Sprint(i+1)
			if l.Name != "" {
				f.Label += ", " + l.Name
			}
		}
		out.Legs = append(out.Legs, fill(f))
	}
	out.Note = []field{
		fill(field{Name: "place", Label: "Place", As: "text", Example: "the pass"}),
		fill(field{Name: "text", Label: "What you noted", As: "long", Must: true}),
		fill(field{Name: "checked", Label: "The day on which you looked", As: "text", Example: "3 May", Help: "shown as “not checked since”"}),
		fill(field{Name: "link", Label: "Where to look again", As: "text"}),
	}
	if len(a.wrong) > 0 {
		return out, nil
	}
	c, err := v.answer(ctx, t, a.key(), false)
	if err != nil {
		return out, err
	}
	for _, k := range c.Answer.Kits {
		if k.Kit.Kind != carry.NoStove && !slices.ContainsFunc(out.Kits, func(c choice) bool { return c.Value == k.Kit.Stove }) {
			out.Kits = append(out.Kits, choice{k.Kit.Stove, k.Kit.Stove, k.Kit.Stove == out.values["stove"]})
		}
	}
	return out, nil
}

// WrongStove is why the stove could not be taken.
func (a after) WrongStove() string { return a.wrong["stove"] }

// again shows the page of the trip with what was typed and why it was not taken.
func (s *Site) again(w http.ResponseWriter, r *http.Request, values, wrong map[string]string) error {
	return s.showTrip(w, r, http.StatusUnprocessableEntity, after{values: values, wrong: wrong})
}

// usedTrip keeps the fuel that was really used; later plans of other trips take it
// into account.
func (s *Site) usedTrip(w http.ResponseWriter, r *http.Request) error {
	v, err := s.tripNamed(r.PathValue("title"))
	if err != nil {
		return err
	}
	values, err := posted(r)
	if err != nil {
		return err
	}
	wrong := map[string]string{}
	legs, doses := v.walked(values, wrong)
	var past carry.Past
	if len(wrong) == 0 {
		if past, err = v.past(r.Context(), legs, doses, values["stove"]); err != nil {
			var m misuse
			if !errors.As(err, &m) {
				return err
			}
			wrong["stove"] = err.Error()
		}
	}
	if len(wrong) > 0 {
		return s.again(w, r, values, wrong)
	}
	kept, _, err := s.keptTrip(v.Title)
	if err != nil {
		return err
	}
	own := func(p carry.Past) bool { return p.Trip == past.Trip && p.Stove == past.Stove }
	kept.Past = append(slices.DeleteFunc(slices.Clone(kept.Past), own), past)
	return s.putTrip(w, r, kept, "the fuel used is kept; it corrects the plans of other trips")
}

// walked are the legs whose fuel was written down, with that fuel.
func (v *tripView) walked(values, wrong map[string]string) (legs []carry.Leg, doses []quantity.Dose) {
	for i, l := range v.Legs {
		name := fmt.Sprintf("used.%d", i)
		text := strings.TrimSpace(values[name])
		if text == "" {
			continue
		}
		d, err := quantity.ParseDose(text, v.System)
		if err != nil {
			wrong[name] = err.Error()
		}
		legs, doses = append(legs, l), append(doses, d)
	}
	if len(doses) == 0 {
		wrong["used.0"] = "write the fuel used on one leg or on each, such as “130 mL” or “95 g”"
	}
	return legs, doses
}

// past sets the fuel used beside the middle of the need of the same legs, with no
// correction in it. What is poured is weighed by the density of the stove's fuel.
func (v *tripView) past(ctx context.Context, legs []carry.Leg, doses []quantity.Dose, stove string) (carry.Past, error) {
	t := v.Trip.Trip
	t.Legs, t.Limits, t.Choose = legs, carry.Limits{}, carry.LeastStart
	a, err := v.planner.Choose(ctx, t, v.shelf, nil)
	if err != nil {
		return carry.Past{}, err
	}
	i := slices.IndexFunc(a.Kits, func(k carry.Carried) bool { return k.Kit.Stove == stove && k.Kit.Kind != carry.NoStove })
	if i < 0 {
		return carry.Past{}, refuse("choose the stove that you carried")
	}
	need, load := a.Kits[i].Need, a.Kits[i].Loads[0]
	used := quantity.Mass(0)
	for _, d := range doses {
		used += d.Mass.Value
		if !d.Volume.Given {
			continue
		}
		if load.Volume == 0 {
			return carry.Past{}, refuse("%s burns nothing that is poured: write the fuel used in g", stove)
		}
		used += quantity.Mass(float64(d.Volume.Value) * float64(load.Mass) / float64(load.Volume))
	}
	return carry.Past{Trip: v.Title, Stove: stove, Planned: gramsOf(need.Median / quantity.Mass(need.Corrected)), Used: gramsOf(used)}, nil
}

// gramsOf writes a mass to a tenth of a gram, as a scale shows it.
func gramsOf(m quantity.Mass) quantity.Reading[quantity.Mass] {
	x, err := quantity.ParseMass(fmt.Sprintf("%.1f g", float64(m/quantity.Gram)))
	if err != nil {
		return quantity.Reading[quantity.Mass]{}
	}
	return x
}

// noteTrip keeps a note on a local rule as it was written, or takes one out.
func (s *Site) noteTrip(w http.ResponseWriter, r *http.Request) error {
	t, _, err := s.keptTrip(r.PathValue("title"))
	if err != nil {
		return err
	}
	values, err := posted(r)
	if err != nil {
		return err
	}
	if out := values["remove"]; out != "" {
		t.Rules = slices.DeleteFunc(slices.Clone(t.Rules), func(n carry.RuleNote) bool { return n.String()+n.Link == out })
		return s.putTrip(w, r, t, "the note is taken out")
	}
	n := carry.RuleNote{Place: strings.TrimSpace(values["place"]), Text: strings.TrimSpace(strings.ReplaceAll(values["text"], "\r\n", "\n")),
		Checked: strings.TrimSpace(values["checked"]), Link: strings.TrimSpace(values["link"])}
	wrong := map[string]string{}
	if n.Text == "" {
		wrong["text"] = "write what you noted"
	}
	for name, text := range values {
		if why := textTrouble(name, text); why != "" {
			wrong[name] = why
		}
	}
	t.Rules = append(slices.Clone(t.Rules), n)
	f := tripForm{}
	if len(wrong) == 0 && !f.holds(t) {
		wrong["text"] = whyNot(f.Other[0])
	}
	if len(wrong) > 0 {
		return s.again(w, r, values, wrong)
	}
	return s.putTrip(w, r, t, "the note is kept")
}

// Key tells notes from each other.
func (n noteRow) Key() string { return n.String() + n.Link }
