package web

import (
	"cmp"
	"fmt"
	"html/template"
	"net/http"
	"slices"
	"strings"

	"fairburn/burn"
	"fairburn/finding"
	"fairburn/plan"
	"fairburn/reduce"
	"fairburn/report"
	"fairburn/sheet"
	"fairburn/station"
	"fairburn/trial"
)

// trialPages are the pages of a trial as a whole.
func (s *Site) trialPages() map[string]handler {
	return map[string]handler{
		"GET /trials/new":               s.newTrial,
		"POST /trials/new":              s.addTrial,
		"GET /trial/{title}":            s.trial,
		"GET /trial/{title}/sheet.toml": s.download("application/toml", sheet.Write),
		"GET /trial/{title}/burns.csv":  s.download("text/csv; charset=utf-8", sheet.WriteTable),
		"GET /trial/{title}/edit":       s.editTrial,
		"POST /trial/{title}/edit":      s.saveTrial,
		"GET /trial/{title}/entries":    s.editEntries,
		"POST /trial/{title}/entries":   s.saveEntries,
		"GET /trial/{title}/plan":       s.plan,
		"POST /trial/{title}/plan":      s.keepPlan,
		"GET /trial/{title}/checklist":  s.checklist,
	}
}

// judged says in plain words what decides a trial.
var judged = map[trial.JudgeBy]string{
	trial.Fastest:   "which boils first, timed from light",
	trial.LeastFuel: "which needs the least fuel for the same water",
	trial.Surest:    "which boils most surely on its fuel",
	trial.Lightest:  "which is the lightest to carry, pot and all",
}

// trialBody is what the page of a trial shows.
type trialBody struct {
	*trial.Trial
	Judged   string
	Progress progress
	Last     *lastBurn // of the entry that is next
	Next     *trial.Slot
	Missing  []station.Ask // of gear and place, to be put right beforehand
	AtBench  []string      // read anew for each burn
	Burning  []string      // ids of burns whose flame has not ended
	Disagree []string      // ids of burns whose records contradict each other
	Findings template.HTML
	Found    string // how many there are, in words
	List     template.HTML
}

// progress is how far the plan is; what was set up is not burned yet.
type progress struct {
	station.Progress
	SetUp, Lit int // of the burns that hold a turn of the plan
}

func (v *view) progress(stages map[string]string) progress {
	p := progress{Progress: station.Of(v.Trial)}
	for id, stage := range stages {
		switch _, planned := station.SlotOf(v.Trial, id); {
		case planned && stage == unlit:
			p.SetUp++
		case planned:
			p.Lit++
		}
	}
	return p
}

// Made is how many planned burns have ended.
func (p progress) Made() int { return p.Done - p.SetUp - p.Lit }

// Share is how much of the plan that is, in hundredths.
func (p progress) Share() int { return 100 * p.Made() / max(1, p.Planned) }

// lastBurn is under what an entry burned last, as it was written down, so that a
// tester sees what has changed since.
type lastBurn struct{ ID, Conditions string }

func (v *view) lastBurn(entry string) *lastBurn {
	b, ok := station.Last(v.Trial, burn.Record{Entry: entry})
	if !ok {
		return nil
	}
	site := v.Site.Over(b.Site)
	pressure := site.Station.Text
	if pressure == "" && site.Altimeter.Given {
		pressure = "altimeter setting " + site.Altimeter.Text
	}
	said := func(what, text string) string {
		if text == "" {
			return what + " not written down"
		}
		return what + " " + text
	}
	return &lastBurn{b.ID, facts(b.Date, said("air", site.Air.Text), said("pressure", cmp.Or(pressure, site.Elevation.Text)), said("wind", cmp.Or(site.Wind.Text, site.WindWord)))}
}

// trial is the page from which everything of a trial is reached.
func (s *Site) trial(w http.ResponseWriter, r *http.Request) error {
	v, err := s.shown(r)
	if err != nil {
		return err
	}
	stages, err := s.stages(v)
	if err != nil {
		return err
	}
	b, err := part(v, "trial", func() (trialBody, error) { return s.trialBody(v, stages) })
	if err != nil {
		return err
	}
	return s.show(w, r, "trial.html", frame{Title: v.Title, Section: "trials", Live: v.Title, Units: v.Units().String(), Body: b})
}

func (s *Site) trialBody(v *view, stages map[string]string) (trialBody, error) {
	b := trialBody{Trial: v.Trial, Judged: judged[v.Settings.JudgeBy], Progress: v.progress(stages)}
	if slot, ok := b.Progress.Next(); ok {
		b.Next, b.Last = &slot, v.lastBurn(slot.Entry)
		b.missing(slot)
	}
	for id, stage := range stages {
		if stage != unlit {
			b.Burning = append(b.Burning, id)
		}
	}
	slices.SortFunc(b.Burning, trial.CompareIDs)
	found := v.beforehand()
	b.Found = counted(len(report.Group(found)), "thing")
	var err error
	if b.Disagree, err = s.disagreeing(v.Trial); err != nil {
		return b, err
	}
	if b.Findings, err = findingsHTML(found); err != nil {
		return b, err
	}
	b.List, err = burnsHTML(v, stages)
	return b, err
}

// unlit is a burn that was set up.
const unlit = "not lit yet"

// stages says of the burns at the stations how far they are, where they have not
// ended.
func (s *Site) stages(v *view) (map[string]string, error) {
	bays, err := s.bays(v, mostStations)
	stages := map[string]string{}
	for _, x := range bays {
		switch {
		case x.Burn == nil || x.Burn.Stage == station.Ended:
		case x.Burn.Going():
			stages[x.Burn.ID] = string(x.Burn.Stage)
		default:
			stages[x.Burn.ID] = unlit
		}
	}
	return stages, err
}

// beforehand is what was found in putting the trial together and what would
// make its next burns unfair.
func (v *view) beforehand() []finding.Finding {
	fs := slices.Clone(v.found)
	for _, f := range plan.Unfair(v.Trial, v.Plan) {
		if !slices.Contains(fs, f) {
			fs = append(fs, f)
		}
	}
	finding.Sort(fs)
	return fs
}

// missing tells what can be put right beforehand from what is read at the bench.
func (b *trialBody) missing(slot trial.Slot) {
	r := station.Start(b.Trial, slot, station.Turn{ID: station.NextID(b.Trial)})
	for _, a := range station.Before(b.Trial, r, slot, false) {
		switch {
		case a.Section == "[[entry]]" || a.Key == "station_pressure" || a.Key == "elevation":
			b.Missing = append(b.Missing, a)
		case a.Need != station.May:
			b.AtBench = append(b.AtBench, a.Words)
		}
	}
}

// disagreeing lists the burns that are left out because their records
// contradict each other.
func (s *Site) disagreeing(t *trial.Trial) ([]string, error) {
	parts, err := s.Bench.Parts(t.Title)
	if err != nil {
		return nil, err
	}
	here := map[string]bool{}
	for _, b := range t.Burns {
		here[b.ID] = true
	}
	var ids []string
	for _, p := range parts {
		if p.Kind != "burn" || here[p.Name] {
			continue
		}
		if _, live, _ := s.Bench.Thing("burn", p.Subject); len(live) > 1 {
			ids = append(ids, p.Name)
		}
	}
	return ids, nil
}

// burnRow is one burn in the list of a trial.
type burnRow struct {
	Title, ID, Entry, Level string
	Marker                  int
	Status, Boil            string
	Void                    bool
	Look                    bool // a finding could change the answer
}

// latest is how many burns are listed before one asks for all.
const latest = 8

// burnList is the list of burns, the latest first.
type burnList struct {
	Latest, Older []burnRow
	Count         int
}

// burnsHTML lists the burns of a trial; stages are those of burns that have not
// ended, by id.
func burnsHTML(v *view, stages map[string]string) (template.HTML, error) {
	results := v.Reduced().Results
	rows := make([]burnRow, 0, len(results))
	for i := range slices.Backward(results) {
		b := &results[i]
		worst, found := finding.Worst(b.Result.Findings)
		row := burnRow{
			Title: v.Title, ID: b.ID, Entry: b.Entry, Marker: v.Marker(b.Entry), Level: b.Levels[v.Plan.Factor.Name],
			Status: cmp.Or(stages[b.ID], report.StatusOf(b)), Boil: report.Units(v.Units()).Raw(&b.Result, reduce.BoilTime),
			Void: b.Void != "", Look: found && worst > finding.Note,
		}
		rows = append(rows, row)
	}
	n := min(latest, len(rows))
	list := burnList{rows[:n], rows[n:], len(rows)}
	return html(func(w *strings.Builder) error { return templates["trial.html"].ExecuteTemplate(w, "burns", list) })
}

// download hands a trial over as a file; the address names it.
func (s *Site) download(kind string, write func(*trial.Trial) ([]byte, error)) handler {
	return func(w http.ResponseWriter, r *http.Request) error {
		v, err := s.view(r.PathValue("title"))
		if err != nil {
			return err
		}
		text, err := write(v.Trial)
		if err != nil {
			return err
		}
		w.Header().Set("Content-Type", kind)
		w.Header().Set("Content-Disposition", "attachment")
		_, _ = w.Write(text) // a reader who has left is no error
		return nil
	}
}

func counted(n int, thing string) string {
	if n != 1 {
		thing += "s"
	}
	return fmt.Sprint(n, " ", thing)
}

// findingsHTML lists findings, "" where there is none.
func findingsHTML(fs []finding.Finding) (template.HTML, error) {
	if len(fs) == 0 {
		return "", nil
	}
	return html(func(w *strings.Builder) error { return report.Findings(w, fs) })
}
