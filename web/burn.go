package web

import (
	"cmp"
	"fmt"
	"html/template"
	"net/http"
	"slices"
	"strings"
	"time"

	"fairburn/bench"
	"fairburn/burn"
	"fairburn/journal"
	"fairburn/quantity"
	"fairburn/report"
	"fairburn/station"
	"fairburn/trial"
)

// burnPages are the pages of one burn.
func (s *Site) burnPages() map[string]handler {
	return map[string]handler{
		"GET /trial/{title}/burns/new":           s.newBurn,
		"POST /trial/{title}/burns/new":          s.addBurn,
		"GET /trial/{title}/burn/{id}":           s.burn,
		"GET /trial/{title}/burn/{id}/edit":      s.editBurn,
		"POST /trial/{title}/burn/{id}/edit":     s.saveBurn,
		"GET /trial/{title}/burn/{id}/after":     s.afterBurn,
		"POST /trial/{title}/burn/{id}/after":    s.saveAfter,
		"POST /trial/{title}/burn/{id}/void":     s.voidBurn,
		"POST /trial/{title}/burn/{id}/settle":   s.settleBurn,
		"POST /trial/{title}/burn/{id}/takeback": s.takeBack,
	}
}

// one is a burn of a trial as it stands.
type one struct {
	*view
	Burn burn.Record
	at   int // among the burns of the trial
}

// one finds the burn of a request. Where the records of a burn contradict each
// other it has an id and nothing else, and at is -1.
func (s *Site) one(r *http.Request) (one, error) {
	id := r.PathValue("id")
	v, err := s.shown(r)
	if err != nil {
		return one{}, err
	}
	i := slices.IndexFunc(v.Trial.Burns, func(b burn.Record) bool { return b.ID == id })
	if i >= 0 {
		return one{v, v.Trial.Burns[i], i}, nil
	}
	if _, live, _ := s.Bench.Thing("burn", bench.BurnSubject(v.Title, id)); len(live) > 1 {
		return one{v, burn.Record{ID: id}, -1}, nil
	}
	return one{}, fmt.Errorf("burn %.60q of %q is %w", id, v.Title, bench.ErrUnknown)
}

// held finds the burn of a request, which must not be contradicted.
func (s *Site) held(r *http.Request) (one, error) {
	x, err := s.one(r)
	if err == nil && x.at < 0 {
		err = refuse("two records disagree on burn %s: choose one on its page first", x.Burn.ID)
	}
	return x, err
}

func (x one) subject() string { return bench.BurnSubject(x.Title, x.Burn.ID) }

// alone is a burn by itself, as the bench takes it.
func (x one) alone(r burn.Record) *trial.Trial {
	t := &trial.Trial{Settings: trial.DefaultSettings(), Burns: []burn.Record{r}}
	t.Settings.System = x.Settings.System
	return t
}

// burnBody is what the page of a burn shows.
type burnBody struct {
	Title, ID      string
	Record         burn.Record
	Marker         int
	Plan           string
	Going          bool // the flame may still burn
	Missing        int  // readings to be written down after the burn
	Figures        template.HTML
	Moments        []momentRow
	Marks          []markRow
	Previous, Next string
	Saw            string
	Rivals         []historyRow // records that contradict each other
	Disputed       []string     // moments marked at different times
	Timeless       bool         // light is among them, so no other mark has a time
	History        []historyRow
	Album          album
	Subject        string
}

// momentRow is one press as a person reads it.
type momentRow struct {
	bench.Moment
	Label string
	Clock string // time of day
	Sure  string // half-width of the clock, "" where that is nothing to speak of
	From  string // time from light
	By    string
	Takes bool   // it can be taken back
	Nonce string // for the press that does
}

// markRow is one mark as it stands.
type markRow struct{ Label, Text string }

// historyRow is one record about the burn.
type historyRow struct {
	bench.Version
	When  string
	First bool
	Own   string // lines that not all its rivals have
}

// burn is the page of one burn.
func (s *Site) burn(w http.ResponseWriter, r *http.Request) error {
	x, err := s.one(r)
	if err != nil {
		return err
	}
	moments := s.Bench.Moments(x.Title, x.Burn.ID)
	b := burnBody{Title: x.Title, ID: x.Burn.ID, Record: x.Burn, Marker: x.Marker(x.Burn.Entry), Subject: x.subject(),
		Moments: momentRows(moments), Marks: markRows(x.Burn)}
	if b.Album, err = s.album(r.Context(), "burn", x.subject(), r.URL.EscapedPath()); err != nil {
		return err
	}
	for _, m := range b.Moments {
		if m.State == "rival" && !slices.Contains(b.Disputed, m.Label) {
			b.Disputed = append(b.Disputed, m.Label)
			b.Timeless = b.Timeless || m.What == string(burn.Light)
		}
	}
	_, saw, _ := s.Bench.Thing("burn", x.subject())
	b.Saw = sawText(saw)
	if err := s.addHistory(r, &b); err != nil {
		return err
	}
	if x.at >= 0 {
		if err := x.describe(&b, moments); err != nil {
			return err
		}
	}
	return s.show(w, r, "burn.html", frame{Title: "Burn " + b.ID + " of " + x.Title, Section: "trials", Live: x.Title, Units: x.Units().String(), Body: b})
}

// describe adds what is known of a burn whose records agree.
func (x one) describe(b *burnBody, moments []bench.Moment) error {
	burns := x.Trial.Burns
	if x.at > 0 {
		b.Previous = burns[x.at-1].ID
	}
	if x.at+1 < len(burns) {
		b.Next = burns[x.at+1].ID
	}
	now := newBurning(x.Trial, x.Burn, moments)
	b.Plan = now.Plan
	b.Missing = now.Owed()
	if b.Going = len(moments) > 0 && now.Stage != station.Ended; b.Going {
		return nil
	}
	var err error
	b.Figures, err = part(x.view, "burn "+x.Burn.ID, func() (template.HTML, error) {
		return html(func(w *strings.Builder) error {
			return report.BurnBody(w, x.Reduced(), x.Burn.ID, report.Options{System: x.Units()})
		})
	})
	return err
}

// addHistory adds all records about the burn, the latest first, and those that
// contradict each other.
func (s *Site) addHistory(r *http.Request, b *burnBody) error {
	versions, err := s.Bench.History(r.Context(), "burn", b.Subject)
	if err != nil {
		return err
	}
	for _, v := range slices.Backward(versions) {
		row := historyRow{Version: v, When: dayTime(v.At), First: len(b.History) == len(versions)-1}
		b.History = append(b.History, row)
		if v.State == "stands" {
			b.Rivals = append(b.Rivals, row)
		}
	}
	setApart(b.Rivals)
	return nil
}

// setApart finds in each record the lines that not all of them have.
func setApart(rows []historyRow) {
	with := map[string]int{}
	for _, row := range rows {
		for line := range strings.Lines(row.Text) {
			with[line]++
		}
	}
	for i := range rows {
		for line := range strings.Lines(rows[i].Text) {
			if with[line] < len(rows) {
				rows[i].Own += line
			}
		}
	}
}

// dayTime is a moment by the clock of the machine of the bench.
func dayTime(t time.Time) string { return t.Local().Format("2 Jan 2006, 15:04:05") }

func momentRows(moments []bench.Moment) []momentRow {
	var rows []momentRow
	i := slices.IndexFunc(moments, func(m bench.Moment) bool { return m.What == string(burn.Light) && m.State == "holds" })
	for _, m := range moments {
		row := momentRow{Moment: m, Label: cmp.Or(labelOf(m.What), m.What), Clock: m.At.Local().Format("15:04:05.0"), By: cmp.Or(m.Device, m.Tester)}
		if m.Within >= 50*time.Millisecond {
			row.Sure = fmt.Sprintf("± %.1f s", m.Within.Seconds())
		}
		if i >= 0 && m.What != bench.Ready {
			row.From = fromLight(m.At.Sub(moments[i].At))
		}
		if row.Takes = m.State == "holds" || m.State == "rival"; row.Takes {
			row.Nonce = newNonce()
		}
		rows = append(rows, row)
	}
	return rows
}

// fromLight is a time from light, with a sign before it.
func fromLight(d time.Duration) string {
	if d < 0 {
		return "−" + quantity.FormatDuration(-d, 1)
	}
	return quantity.FormatDuration(d, 1)
}

func markRows(r burn.Record) []markRow {
	var rows []markRow
	for _, m := range burn.Marks() {
		if at, ok := r.Marks[m]; ok && at.Given {
			rows = append(rows, markRow{m.Label(), cmp.Or(at.Text, quantity.FormatDuration(at.Value, 1))})
		}
	}
	return rows
}

// change is a burn as a form would have it, what its person had before them, the
// page that follows and what that says.
type change struct {
	rec      burn.Record
	saw      []journal.ID
	to, said string
}

// put keeps a change and goes on to its page.
func (s *Site) put(w http.ResponseWriter, r *http.Request, x one, c change) error {
	rep, subject, err := s.Bench.Put(r.Context(), bench.Edit{Kind: "burn", Title: x.Title, Thing: x.alone(c.rec), Saw: c.saw})
	if err != nil {
		return err
	}
	to, said := c.to, c.said
	switch {
	case len(rep.Proposed) > 0:
		said += "; another tester recorded it, so this is a proposal to them"
	case len(rep.Added)+len(rep.Replaced) == 0:
		return back(w, r, to, done{Said: "nothing was changed"})
	}
	return back(w, r, to, done{Said: said, Kind: "burn", Subject: subject})
}

// voidBurn leaves a burn out for a reason, or lets it count again.
func (s *Site) voidBurn(w http.ResponseWriter, r *http.Request) error {
	x, err := s.held(r)
	if err != nil {
		return err
	}
	rec, page := x.Burn, at("trial", x.Title, "burn", x.Burn.ID)
	rec.Void = strings.Join(strings.Fields(r.PostFormValue("void")), " ")
	said := "burn " + rec.ID + " is left out"
	switch {
	case r.PostFormValue("counts") != "":
		rec.Void, said = "", "burn "+rec.ID+" counts again"
	case rec.Void == "":
		return refuse("no reason was given: a burn is left out for a reason that others can weigh, such as “the lid slid off”")
	case len(rec.Void) > 2000:
		return refuse("read a reason of %d bytes, expected at most 2000", len(rec.Void))
	}
	return s.put(w, r, x, change{rec, sawOf(r), page, said})
}

// settleBurn makes one of several records or moments that contradict each other
// the one that holds.
func (s *Site) settleBurn(w http.ResponseWriter, r *http.Request) error {
	x, err := s.one(r)
	if err != nil {
		return err
	}
	var id journal.ID
	if err := id.UnmarshalText([]byte(r.PostFormValue("record"))); err != nil {
		return refuse("the record to keep: %w", err)
	}
	to := at("trial", x.Title, "burn", x.Burn.ID)
	moments := s.Bench.Moments(x.Title, x.Burn.ID)
	if i := slices.IndexFunc(moments, func(m bench.Moment) bool { return m.ID == id }); i >= 0 {
		if err := s.Bench.SettleMark(r.Context(), x.Title, x.Burn.ID, id); err != nil {
			return err
		}
		return back(w, r, to, done{Said: "that moment holds", Kind: "mark", Subject: moments[i].Subject})
	}
	versions, err := s.Bench.History(r.Context(), "burn", x.subject())
	if err != nil {
		return err
	}
	if !slices.ContainsFunc(versions, func(v bench.Version) bool { return v.ID == id }) {
		return fmt.Errorf("record %.8v of burn %s is %w", id, x.Burn.ID, bench.ErrUnknown)
	}
	if err := s.Bench.Settle(r.Context(), id); err != nil {
		return err
	}
	return back(w, r, to, done{Said: "that record holds", Kind: "burn", Subject: x.subject()})
}

// takeBack takes a press back that did not happen after all.
func (s *Site) takeBack(w http.ResponseWriter, r *http.Request) error {
	x, err := s.one(r)
	if err != nil {
		return err
	}
	now := s.Now()
	p := bench.Press{Nonce: r.PostFormValue("nonce"), Title: x.Title, Burn: x.Burn.ID, What: r.PostFormValue("what"),
		At: now, Pressed: now, Device: deviceOf(r), TakesBack: r.PostFormValue("press")}
	if p.TakesBack == "" {
		return refuse("the press to take back is not named: load the page again")
	}
	if err := s.Bench.Press(r.Context(), []bench.Press{p}); err != nil {
		return err
	}
	return back(w, r, at("trial", x.Title, "burn", x.Burn.ID), done{Said: cmp.Or(labelOf(p.What), p.What) + " taken back; mark it anew in the form where it did happen"})
}
