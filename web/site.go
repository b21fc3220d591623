// Package web is the local web app: the pages of a bench for whoever sits at the
// machine and for the phones paired with it.
//
// It computes no metric and decides nothing about data: figures come from verdict
// and reduce through report, what comes next at the bench from station, and every
// change is a record that bench keeps. Forms work without script; live timing is
// the one thing that wants it. Who may ask at all is decided by web/guard.
//
// Read site.go (the addresses), view.go (a trial worked out once and kept),
// layout.go (what all pages share), then one page: trials.go, burn.go, shelf.go,
// setup.go, timing.go with marks.go, verdict.go, trips.go, journal.go, devices.go.
package web

import (
	"context"
	"errors"
	"fmt"
	"html/template"
	"net/http"
	"net/url"
	"strings"
	"sync"
	"time"

	"fairburn/bench"
	"fairburn/journal"
	"fairburn/web/guard"
)

// Config is what a Site is made of.
type Config struct {
	Bench   *bench.Bench
	Store   journal.Store  // of the same bench, for watching and backing up
	Place   string         // of the bench, as it may be shown
	Devices *guard.Devices // paired with it
	LAN     bool           // other machines may come
	TLS     bool
	Hosts   []string // names it answers to beside the loopback names
	// Root is the address under which phones reach it now, such as
	// "http://192.168.1.7:8417", "" where the machine is in no network. It is asked each
	// time, for networks change; nil without LAN.
	Root    func() string
	Version string
	Now     func() time.Time
	Log     func(line string)
}

// Site serves the pages of one bench.
type Site struct {
	Config
	views  views
	walks  tripViews
	logs   untilChanged[int, listedLog]       // by the records passed over
	things untilChanged[[2]string, thingView] // by kind and name
	live   live
	setups sync.Mutex // one burn is set up at a time, so that each has an id of its own
	photos chan struct{}
	packs  sync.Mutex // one pack is made at a time
}

// New makes a Site. Its live updates end with ctx.
func New(ctx context.Context, c Config) *Site {
	if c.Root == nil {
		c.Root = func() string { return "" }
	}
	if c.Log == nil {
		c.Log = func(string) {}
	}
	s := &Site{Config: c, photos: make(chan struct{}, photosAtOnce)}
	go s.live.run(ctx, c.Store.Watch(ctx), func() error { return c.Bench.Refresh(ctx) })
	return s
}

// Handler returns all pages behind their guard.
func (s *Site) Handler() http.Handler {
	mux := http.NewServeMux()
	s.files(mux)
	for pattern, h := range s.pages() {
		mux.Handle(pattern, s.page(h))
	}
	for pattern, h := range s.ownerPages() {
		mux.Handle(pattern, guard.OwnerOnly(s.page(h)))
	}
	mux.Handle("/", s.page(func(http.ResponseWriter, *http.Request) error {
		return fmt.Errorf("there is no such page: %w", bench.ErrUnknown)
	}))
	return guard.New(guard.Config{
		Hosts: s.Hosts, Devices: s.Devices, LAN: s.LAN, TLS: s.TLS, Log: s.Log,
		Open:   []string{"GET /style.css", "GET /script.js", "GET /icon.svg"},
		Large:  []string{"POST /photo/{kind}/{subject}", "POST /journal/merge", "POST /trial/{title}/publish"},
		Render: s.renderBare,
	}).Handler(mux)
}

// pages are what the owner and paired devices may ask for.
func (s *Site) pages() map[string]handler {
	pages := map[string]handler{
		"GET /{$}":    s.home,
		"POST /units": s.setUnits,
		"POST /undo":  s.undo,
	}
	for _, part := range []map[string]handler{s.trialPages(), s.burnPages(), s.shelfPages(), s.timingPages(), s.verdictPages(), s.tripPages(), s.journalPages()} {
		for pattern, h := range part {
			pages[pattern] = h
		}
	}
	return pages
}

// handler answers a request or says in words why not.
type handler func(http.ResponseWriter, *http.Request) error

// misuse is an error of whoever asked: what was read, what was expected.
type misuse struct{ error }

func (m misuse) Unwrap() error { return m.error }

func refuse(format string, args ...any) error { return misuse{fmt.Errorf(format, args...)} }

// failed logs what is no fault of whoever asked, in one line and with neither what
// they sent nor what stands behind the path. That they left is no trouble.
func (s *Site) failed(r *http.Request, err error) {
	if r.Context().Err() == nil {
		s.Log(fmt.Sprintf("%s %q failed: %q", r.Method, r.URL.Path, err.Error()))
	}
}

// page turns errors into pages.
func (s *Site) page(h handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		unwritten(r)
		err := h(w, r)
		if err == nil {
			return
		}
		trouble, status, what := err, http.StatusInternalServerError, "That did not work"
		var m misuse
		var large *http.MaxBytesError
		switch {
		case errors.Is(err, journal.ErrFull):
			status, what = http.StatusInsufficientStorage, "The disk is full"
			err = errors.New("nothing was kept and nothing was lost; make room on the disk of the bench and do it again")
		case errors.Is(err, journal.ErrAway):
			status, what = http.StatusServiceUnavailable, "The bench does not answer"
			err = fmt.Errorf("%w; marks stay on the phone until it does", err)
		case errors.Is(err, bench.ErrUnknown), errors.Is(err, journal.ErrAbsent):
			status, what = http.StatusNotFound, "Not on this bench"
		case errors.As(err, &large):
			status, what = http.StatusRequestEntityTooLarge, "Too large"
			err = fmt.Errorf("more than %d kB came, expected at most that; nothing was kept: send it smaller", large.Limit>>10)
		case errors.As(err, &m), errors.Is(err, bench.ErrRefused):
			status, what = http.StatusBadRequest, "Not as expected"
		}
		if status >= http.StatusInternalServerError {
			s.failed(r, trouble)
		}
		s.renderError(w, r, status, what, err)
	})
}

// back answers a form: it leads to a page of the site and says what was done.
func back(w http.ResponseWriter, r *http.Request, to string, d done) error {
	if q := d.query(); q != "" {
		to += "?" + q
	}
	http.Redirect(w, r, to, http.StatusSeeOther)
	return nil
}

// done is what a page says of the change that led to it, and how to undo it.
type done struct{ Said, Kind, Subject string }

func (d done) query() string {
	if d.Said == "" {
		return ""
	}
	v := url.Values{"said": {d.Said}}
	if d.Kind != "" {
		v.Set("kind", d.Kind)
		v.Set("subject", d.Subject)
	}
	return v.Encode()
}

func doneOf(r *http.Request) done {
	q := r.URL.Query()
	return done{brief(q.Get("said")), brief(q.Get("kind")), brief(q.Get("subject"))}
}

// brief keeps what came in an address short; a page shows it as text.
func brief(s string) string { return cut(s, 200) }

// cut keeps at most n bytes of a text, and of those what is UTF-8.
func cut(s string, n int) string { return strings.ToValidUTF8(s[:min(len(s), n)], "") }

// undo takes the tester's last word on a subject back.
func (s *Site) undo(w http.ResponseWriter, r *http.Request) error {
	kind, subject := r.PostFormValue("kind"), r.PostFormValue("subject")
	if err := s.Bench.Undo(r.Context(), kind, subject); err != nil {
		return err
	}
	return back(w, r, s.standing(kind, subject, local(r.PostFormValue("to"))), done{Said: "undone", Kind: kind, Subject: subject})
}

// standing is the page to go to after an undo: where a page went with what was
// undone, the one above it.
func (s *Site) standing(kind, subject, page string) string {
	x, live, _ := s.Bench.Thing(kind, subject)
	switch {
	case x != nil || len(live) > 1:
		return page
	case kind == "photo": // of something that still stands
		return page
	case kind == "trial":
		return "/"
	case kind == "trip":
		if _, _, err := s.Bench.Trip(subject); errors.Is(err, bench.ErrUnknown) {
			return "/trips"
		}
	case kind == "burn":
		page, _, _ = strings.Cut(page, "/burn/")
	case strings.HasPrefix(page, "/shelf/"):
		return "/shelf"
	}
	return page
}

// local is an address of this site; anything else becomes its first page.
func local(to string) string {
	if u, err := url.Parse(to); err == nil && !u.IsAbs() && u.Host == "" && strings.HasPrefix(to, "/") && !strings.HasPrefix(to, "//") && !strings.Contains(to, `\`) {
		return u.EscapedPath()
	}
	return "/"
}

// at builds the address of a page from parts that may hold anything.
func at(parts ...string) string {
	var b strings.Builder
	for _, p := range parts {
		if dots(p) {
			p = "~" + p
		}
		b.WriteString("/" + url.PathEscape(p))
	}
	return b.String()
}

// dots reports a part of an address that every browser takes for a step to another
// place, "." or "..", and one that is written as such a part is.
func dots(part string) bool {
	rest := strings.TrimLeft(part, "~")
	return rest == "." || rest == ".."
}

// unwritten gives the parts of a request's address back as they were before at.
func unwritten(r *http.Request) {
	for _, name := range []string{"title", "id", "name", "subject"} {
		if part := r.PathValue(name); dots(part) {
			r.SetPathValue(name, strings.TrimPrefix(part, "~"))
		}
	}
}

// html marks what a package of this house has escaped itself.
func html(render func(w *strings.Builder) error) (template.HTML, error) {
	var b strings.Builder
	err := render(&b)
	return template.HTML(b.String()), err
}
