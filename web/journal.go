package web

import (
	"bytes"
	"cmp"
	"fmt"
	"html/template"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"fairburn/bench"
	"fairburn/journal"
)

// journalPages are the pages of the records.
func (s *Site) journalPages() map[string]handler {
	return map[string]handler{
		"GET /journal":             s.journal,
		"GET /journal/record/{id}": s.recordPage,
		"POST /journal/settle":     s.settle,
	}
}

// onePage is how many records the journal shows at a time.
const onePage = 50

// journalBody is what the journal shows.
type journalBody struct {
	listedLog
	MayKeep    bool // the owner's part is shown
	BackupName string
}

// journal lists who added what when, and what is to be settled.
func (s *Site) journal(w http.ResponseWriter, r *http.Request) error {
	from, err := strconv.Atoi(cmp.Or(r.URL.Query().Get("from"), "0"))
	if err != nil || from < 0 {
		return refuse("from %.20q: expected a number from 0", r.URL.Query().Get("from"))
	}
	listed, err := s.logs.page(s.Bench.Version(""), from, func() (listedLog, error) { return s.list(from) })
	if err != nil {
		return err
	}
	b := journalBody{listed, isOwner(r), s.backupName()}
	return s.show(w, r, "journal.html", frame{Title: "Journal", Section: "journal", Live: "*", Body: b})
}

// listedLog is one page of the list.
type listedLog struct {
	All  int
	List template.HTML
}

// logBody is what the list shows.
type logBody struct {
	Open  []openChoice
	Log   []logRow
	All   int
	From  int // records passed over
	Newer int // where the page before begins, where there is one
	Older int // where the next begins, 0 for none
	To    int // how far this page goes
}

// First is the number of the first record shown.
func (b logBody) First() int { return b.From + 1 }

func (s *Site) list(from int) (listedLog, error) {
	log, all := s.Bench.Log(from, onePage)
	b := logBody{Log: rowsOf(log), All: all, From: from, Newer: max(0, from-onePage), To: from + len(log)}
	if b.To < all {
		b.Older = from + onePage
	}
	if from == 0 {
		b.Open = s.open()
	}
	list, err := html(func(w *strings.Builder) error { return templates["journal.html"].ExecuteTemplate(w, "list", b) })
	return listedLog{all, list}, err
}

// logRow is a record as the list shows it.
type logRow struct {
	bench.Logged
	Words, Page    string
	When, Received string
	State          string // "" for one that holds
}

// states are what became of a record, in words; one that holds needs none.
var states = map[string]string{
	"rival": "contradicted, not used", "proposed": "proposed, not applied", "replaced": "replaced since", "unreadable": "cannot be read",
}

func rowsOf(log []bench.Logged) []logRow {
	rows := make([]logRow, len(log))
	for i, l := range log {
		rows[i] = logRow{l, topicWords(l.About), topicPage(l.About), dayMinute(l.At), dayMinute(l.Received), states[l.State]}
	}
	return rows
}

// dayMinute is a moment as precisely as a list needs it.
func dayMinute(t time.Time) string { return t.Local().Format("2 Jan 2006, 15:04") }

// openChoice is something to settle, as the page shows it.
type openChoice struct {
	bench.Unsettled
	Words, Page string
	Versions    []versionRow
	Stands      string // who recorded what stands, where it waits for their word
}

// versionRow is one of several records to choose from.
type versionRow struct {
	bench.Version
	When     string
	Proposed bool
}

// open lists what is to be settled.
func (s *Site) open() []openChoice {
	var all []openChoice
	for _, u := range s.Bench.Unsettled() {
		c := openChoice{Unsettled: u, Words: topicWords(u.About), Page: topicPage(u.About)}
		for _, v := range u.Versions {
			c.Versions = append(c.Versions, versionRow{v, dayMinute(v.At), v.State == "proposed"})
			if v.State == "stands" {
				c.Stands = v.Tester
			}
		}
		all = append(all, c)
	}
	return all
}

// settle makes one of several records the one that holds. What is settled between
// several testers can be undone.
func (s *Site) settle(w http.ResponseWriter, r *http.Request) error {
	var id journal.ID
	if err := id.UnmarshalText([]byte(r.PostFormValue("id"))); err != nil {
		return refuse("the record to keep: %w", err)
	}
	all := s.Bench.Unsettled()
	i := slices.IndexFunc(all, func(u bench.Unsettled) bool {
		return slices.ContainsFunc(u.Versions, func(v bench.Version) bool { return v.ID == id })
	})
	if i < 0 {
		return back(w, r, "/journal", done{Said: "that is settled already; nothing was changed"})
	}
	u := all[i]
	if !u.Yours {
		return refuse("record %.8v: it waits for the word of whoever recorded what it would replace", id)
	}
	if err := s.Bench.Settle(r.Context(), id); err != nil {
		return err
	}
	d := done{Said: "settled: " + topicWords(u.About)}
	if undoable(u, id) {
		d.Kind, d.Subject = u.Kind, u.Subject
	}
	return back(w, r, "/journal", d)
}

// undoable tells whether to undo brings back what was before the choice: of several
// records by one author only one would come back, but for moments, and who declined
// said nothing new.
func undoable(u bench.Unsettled, id journal.ID) bool {
	if u.Kind == "mark" && u.Rivals {
		return u.Subject == brief(u.Subject)
	}
	seen := map[journal.Author]bool{}
	for _, v := range u.Versions {
		if seen[v.Author] || v.ID == id && v.State == "stands" && !u.Rivals {
			return false
		}
		seen[v.Author] = true
	}
	return u.Subject == brief(u.Subject)
}

// verifiedBody is what was read and found.
type verifiedBody struct {
	Records int
	Found   int
	List    template.HTML
}

// verify reads every record again and says what it found.
func (s *Site) verify(w http.ResponseWriter, r *http.Request) error {
	patient(w)
	v, err := s.Bench.Verify(r.Context())
	if err != nil {
		return err
	}
	list, err := findingsHTML(v.Findings)
	if err != nil {
		return err
	}
	return s.show(w, r, "journal_verified.html", frame{Title: "Verified", Section: "journal", Body: verifiedBody{v.Records, len(v.Findings), list}})
}

// recordBody is one record as its page shows it.
type recordBody struct {
	bench.Recorded
	Words, Page    string
	When, Received string
	State          string
	MayShun        bool
}

// IsPhoto reports whether there is a picture to show.
func (b recordBody) IsPhoto() bool {
	return b.Kind == "photo" && b.Text != "withdrawn" && b.Recorded.State != "unreadable"
}

// recordPage shows one record, read anew and checked.
func (s *Site) recordPage(w http.ResponseWriter, r *http.Request) error {
	id, err := recordID(r.PathValue("id"))
	if err != nil {
		return err
	}
	x, err := s.Bench.Record(r.Context(), id)
	if err != nil {
		return err
	}
	b := recordBody{x, topicWords(x.About), topicPage(x.About), dayTime(x.At), dayTime(x.Received), cmp.Or(states[x.State], x.State), isOwner(r)}
	return s.show(w, r, "record.html", frame{Title: fmt.Sprintf("Record %.8v", id), Section: "journal", Live: "*", Body: b})
}

func recordID(text string) (journal.ID, error) {
	var id journal.ID
	if err := id.UnmarshalText(bytes.TrimSpace([]byte(text))); err != nil {
		return id, refuse("the record %.80q: %w", text, err)
	}
	return id, nil
}

// topicWords names what a record is about.
func topicWords(t bench.Topic) string {
	words := t.Kind + " " + t.Name
	switch {
	case t.Kind == "trial", t.Kind == "trip":
		words = "the " + t.Kind + " " + t.Name
	case t.Title != "":
		words += " of " + t.Title
	}
	if t.What != "" {
		words = cmp.Or(labelOf(t.What), t.What) + " of " + words
	}
	return words
}

// topicPage is the page of what a record is about, "" where there is none.
func topicPage(t bench.Topic) string {
	switch t.Kind {
	case "trial", "trip":
		return at(t.Kind, t.Name)
	case "burn":
		return at("trial", t.Title, "burn", t.Name)
	case "burner", "pot", "lid", "screen", "stand", "fuel", "scale", "thermometer", "barometer", "measure":
		return at("shelf", t.Kind, t.Name)
	}
	return ""
}
