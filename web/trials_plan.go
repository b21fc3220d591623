package web

import (
	"cmp"
	"fmt"
	"html/template"
	"net/http"
	"slices"
	"sort"
	"strconv"
	"strings"

	"fairburn/plan"
	"fairburn/quantity"
	"fairburn/report"
	"fairburn/station"
	"fairburn/trial"
)

// wishKeys are what the form of a plan asks, by name.
var wishKeys = []string{"blocks", "snuffed", "stations", "cool_down", "factor", "seed"}

// planBody is what the page of a plan shows.
type planBody struct {
	Title    string
	Fields   []field
	Values   map[string]string // of the proposal, to be kept
	Saw      string
	Proposal proposal
	Kept     []slotRow // the plan that holds
	Progress progress
	Alone    bool // nothing else is asked for
}

// proposal is a plan that is not kept yet.
type proposal struct {
	Text    template.HTML // "" without one
	Trouble string        // why there is none
	Changes string        // what to keep it would change
}

// slotRow is one burn to be made.
type slotRow struct {
	trial.Slot
	Marker int
	Stage  string // "yes" where it was burned, "" where it is left
}

// plan shows the plan that holds, and a proposal where one is asked for or none holds.
func (s *Site) plan(w http.ResponseWriter, r *http.Request) error {
	v, err := s.shown(r)
	if err != nil {
		return err
	}
	values := map[string]string{}
	for _, name := range wishKeys {
		values[name] = strings.TrimSpace(r.URL.Query().Get(name))
	}
	asked := r.URL.Query().Has("blocks")
	if !asked {
		values = wishWords(v.Plan)
	}
	if len(v.Plan.Slots) > 0 && !asked {
		return s.showPlan(w, r, v, values, proposal{})
	}
	make := func() (proposal, error) { return propose(v.Trial, values) }
	var p proposal
	if asked {
		p, err = make()
	} else {
		p, err = part(v, "plan", make)
	}
	if err != nil {
		return err
	}
	return s.showPlan(w, r, v, values, p)
}

func (s *Site) showPlan(w http.ResponseWriter, r *http.Request, v *view, values map[string]string, p proposal) error {
	_, saw, _ := s.Bench.Thing("trial", v.Title)
	_, wrong := wishOf(values)
	stages, err := s.stages(v)
	if err != nil {
		return err
	}
	b := planBody{Title: v.Title, Values: values, Saw: sawText(saw), Kept: v.slotRows(stages), Progress: v.progress(stages), Proposal: p, Fields: wishFields(values, wrong),
		Alone: p == proposal{} && len(wrong) == 0}
	status := http.StatusOK
	if len(wrong) > 0 || p.Trouble != "" {
		status = http.StatusUnprocessableEntity
	}
	return s.showStatus(w, r, status, "plan.html", frame{Title: "Plan of " + v.Title, Section: "trials", Live: v.Title, Units: v.Units().String(), Body: b})
}

// propose lays the trial out by a wish as typed; where that cannot be read,
// there is no proposal.
func propose(t *trial.Trial, values map[string]string) (proposal, error) {
	var b proposal
	wish, wrong := wishOf(values)
	if len(wrong) > 0 {
		return b, nil
	}
	p, found, err := plan.Make(t, wish)
	if err != nil {
		b.Trouble = err.Error()
		return b, nil
	}
	b.Changes = planChanges(t, p.Plan)
	b.Text, err = html(func(w *strings.Builder) error {
		return report.PlanBody(w, t, p, found, report.Options{System: t.Units()})
	})
	return b, err
}

// planChanges says what becomes of the burns that were made already.
func planChanges(t *trial.Trial, p trial.Plan) string {
	if len(t.Burns) == 0 {
		return ""
	}
	next := *t
	next.Plan = p
	now := station.Of(&next)
	out := ""
	if n := len(now.Void); n > 0 {
		out = fmt.Sprintf(", %d left out", n)
	}
	return fmt.Sprintf("Burns made so far: %d with a place in this plan, %d without one%s. All of them stay, with their figures. Left to make: %d.",
		now.Done, len(now.Extra), out, len(now.Left))
}

// keepPlan puts the proposal on the bench.
func (s *Site) keepPlan(w http.ResponseWriter, r *http.Request) error {
	head, _, err := s.head(r.PathValue("title"))
	if err != nil {
		return err
	}
	v, err := s.shown(r)
	if err != nil {
		return err
	}
	values, err := posted(r)
	if err != nil {
		return err
	}
	wish, wrong := wishOf(values)
	if len(wrong) > 0 {
		return s.showPlan(w, r, v, values, proposal{})
	}
	p, _, err := plan.Make(v.Trial, wish)
	if err != nil {
		return s.showPlan(w, r, v, values, proposal{Trouble: err.Error()})
	}
	head.Plan = p.Plan
	return s.putHead(w, r, head, "plan kept")
}

// wishOf reads the form; what could not be read is said by field.
func wishOf(values map[string]string) (plan.Wish, map[string]string) {
	var w plan.Wish
	wrong := map[string]string{}
	count := func(name string, into *int) {
		n, err := strconv.Atoi(values[name])
		if values[name] != "" && (err != nil || n < 0 || n > 1000) {
			wrong[name] = fmt.Sprintf("read %.20q, expected a whole number from 0 to 1000", values[name])
		}
		*into = n
	}
	count("blocks", &w.Blocks)
	count("snuffed", &w.Snuffed)
	count("stations", &w.Stations)
	if text := values["seed"]; text != "" {
		seed, err := strconv.ParseUint(text, 10, 63)
		if err != nil {
			wrong["seed"] = fmt.Sprintf("read %.30q, expected a whole number", text)
		}
		w.Seed = seed
	}
	if text := values["cool_down"]; text != "" {
		d, err := quantity.ParseDuration(text)
		if err != nil {
			wrong["cool_down"] = err.Error()
		}
		w.CoolDown = d.Value
	}
	if text := values["factor"]; text != "" {
		name, levels, ok := strings.Cut(text, ":")
		if !ok {
			wrong["factor"] = fmt.Sprintf("read %.60q, expected a name and its levels, such as “wind: still, fan low”", text)
		}
		w.Factor.Name = strings.TrimSpace(name)
		for l := range strings.SplitSeq(levels, ",") {
			w.Factor.Levels = append(w.Factor.Levels, strings.TrimSpace(l))
		}
	}
	return w, wrong
}

// wishWords is the wish by which a plan was made, as far as it tells.
func wishWords(p trial.Plan) map[string]string {
	values := map[string]string{}
	blocks, snuffed := map[string]bool{}, map[string]bool{}
	for _, slot := range p.Slots {
		if slot.Snuff {
			snuffed[slot.Block] = true
		} else {
			blocks[slot.Block] = true
		}
	}
	if len(p.Slots) > 0 {
		values["blocks"], values["snuffed"] = strconv.Itoa(len(blocks)), strconv.Itoa(len(snuffed))
		values["seed"] = strconv.FormatUint(p.Seed, 10)
	}
	if p.CoolDown > 0 {
		values["cool_down"] = plan.Minutes(p.CoolDown)
	}
	if p.Factor.Name != "" {
		values["factor"] = p.Factor.Name + ": " + strings.Join(p.Factor.Levels, ", ")
	}
	return values
}

func wishFields(values, wrong map[string]string) []field {
	fs := []field{
		{Name: "blocks", Label: "Blocks that run to flame-out", Example: "as many as the question needs", Help: "a block is one day or session in which every entry burns once; these burns time the boil", Numeric: true},
		{Name: "snuffed", Label: "Blocks snuffed at the boil", Example: "as many as the question needs", Help: "the flame is put out at the boil and the fuel weighed: that is how fuel to boil is measured", Numeric: true},
		{Name: "cool_down", Label: "Rest of a burner between its burns", Example: "10 min"},
		{Name: "stations", Label: "Burners that burn at the same time", Example: "1", Help: "each wants a pot and a scale of its own, and room between the flames", Numeric: true},
		{Name: "factor", Label: "One more thing varied on purpose", Example: "wind: still, fan low"},
		{Name: "seed", Label: "Seed of the order", Help: "the same seed draws the same order; another one draws another", Numeric: true},
	}
	for i := range fs {
		fs[i].As, fs[i].Value, fs[i].Wrong = "text", values[fs[i].Name], wrong[fs[i].Name]
	}
	return fs
}

// slotRows are the burns of the plan that holds, in order; stages are those of
// burns that have not ended.
func (v *view) slotRows(stages map[string]string) []slotRow {
	left, taken := station.Of(v.Trial).Left, map[trial.Slot]string{}
	for id, stage := range stages {
		if slot, ok := station.SlotOf(v.Trial, id); ok {
			taken[slot] = stage
		}
	}
	var rows []slotRow
	for _, slot := range v.Plan.Slots {
		row := slotRow{slot, v.Marker(slot.Entry), ""}
		if !slices.Contains(left, slot) {
			row.Stage = cmp.Or(taken[slot], "yes")
		}
		rows = append(rows, row)
	}
	sort.SliceStable(rows, func(i, j int) bool { return rows[i].Order < rows[j].Order })
	return rows
}

// checklistBody is what the page to be printed shows.
type checklistBody struct {
	*trial.Trial
	Slots []slotRow
	Rest  string
	Steps template.HTML
}

// checklist is the plan that holds, to be printed.
func (s *Site) checklist(w http.ResponseWriter, r *http.Request) error {
	v, err := s.shown(r)
	if err != nil {
		return err
	}
	stages, err := s.stages(v)
	if err != nil {
		return err
	}
	b, err := part(v, "checklist", func() (checklistBody, error) { return v.checklist(stages) })
	if err != nil {
		return err
	}
	return s.show(w, r, "plan_checklist.html", frame{Title: "Checklist of " + v.Title, Section: "trials", Units: v.Units().String(), Body: b})
}

func (v *view) checklist(stages map[string]string) (checklistBody, error) {
	b := checklistBody{Trial: v.Trial, Slots: v.slotRows(stages), Rest: plan.Minutes(v.Plan.CoolDown)}
	wish, _ := wishOf(wishWords(v.Plan))
	p, _, err := plan.Make(v.Trial, wish)
	if err != nil {
		return b, refuse("%w", err)
	}
	b.Steps, err = html(func(w *strings.Builder) error { return report.Checklist(w, p.Checklist) })
	return b, err
}
