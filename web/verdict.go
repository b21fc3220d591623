package web

import (
	"fmt"
	"html/template"
	"io"
	"mime"
	"net/http"
	"strings"
	"time"

	"fairburn/quantity"
	"fairburn/report"
)

// verdictPages are the pages of the verdict. A small machine may need minutes for
// a large trial.
func (s *Site) verdictPages() map[string]handler {
	return map[string]handler{
		"GET /trial/{title}/verdict":      patiently(s.verdict),
		"GET /trial/{title}/verdict.json": patiently(s.verdictJSON),
		"GET /trial/{title}/report.html":  patiently(s.report),
	}
}

func patiently(h handler) handler {
	return func(w http.ResponseWriter, r *http.Request) error {
		patient(w)
		return h(w, r)
	}
}

// verdictBody is what the page of a verdict shows.
type verdictBody struct {
	Title, Question string
	Invented        bool
	Burns           int
	Entries         int
	Planned         int // turns of the plan
	Report          template.HTML
	Owner           bool
}

// verdict shows the answer to the trial's question, or what it takes to have one.
func (s *Site) verdict(w http.ResponseWriter, r *http.Request) error {
	v, err := s.shown(r)
	if err != nil {
		return err
	}
	b := verdictBody{Title: v.Title, Question: v.Question, Invented: v.Invented, Burns: len(v.Burns), Entries: len(v.Entries), Planned: len(v.Plan.Slots), Owner: isOwner(r)}
	if b.Burns > 0 {
		b.Report, err = s.verdictPart(v)
	}
	if err != nil {
		return err
	}
	return s.show(w, r, "verdict.html", frame{Title: "Verdict: " + v.Title, Section: "trials", Live: v.Title, Units: v.Units().String(), Body: b})
}

// verdictPart is the verdict with what other testers' burns say of it.
func (s *Site) verdictPart(v *view) (template.HTML, error) {
	others, err := s.testers(v)
	if err != nil {
		return "", err
	}
	o := s.options(v.Units())
	o.Repeat = others
	return part(v, fmt.Sprintf("verdict %p", others), func() (template.HTML, error) {
		return html(func(w *strings.Builder) error { return report.VerdictBody(w, v.Verdict(), v.Reduced(), o) })
	})
}

func (s *Site) options(sys quantity.System) report.Options {
	return report.Options{System: sys, Version: s.Version, Made: s.Now().Format(time.DateOnly)}
}

// report hands the verdict over as one page that needs neither bench nor network.
func (s *Site) report(w http.ResponseWriter, r *http.Request) error {
	v, err := s.shown(r)
	if err != nil {
		return err
	}
	others, err := s.testers(v)
	if err != nil {
		return err
	}
	o := s.options(v.Units())
	o.Repeat = others
	text, err := part(v, fmt.Sprintf("report %p", others), func() (template.HTML, error) {
		return html(func(w *strings.Builder) error { return report.HTML(w, v.Verdict(), v.Reduced(), o) })
	})
	if err != nil {
		return err
	}
	return attach(w, "text/html; charset=utf-8", v.Title+".html", func(w io.Writer) error {
		_, err := io.WriteString(w, string(text))
		return err
	})
}

// verdictJSON hands the verdict and every burn over for other programs.
func (s *Site) verdictJSON(w http.ResponseWriter, r *http.Request) error {
	v, err := s.view(r.PathValue("title"))
	if err != nil {
		return err
	}
	others, err := s.testers(v)
	if err != nil {
		return err
	}
	text, err := part(v, fmt.Sprintf("json %p", others), func() (string, error) {
		var b strings.Builder
		err := report.RepeatJSON(&b, v.Verdict(), v.Reduced(), others)
		return b.String(), err
	})
	if err != nil {
		return err
	}
	return attach(w, "application/json", v.Title+".json", func(w io.Writer) error {
		_, err := io.WriteString(w, text)
		return err
	})
}

// inFileName takes out of a title what would lead a file astray.
var inFileName = strings.NewReplacer("/", "-", `\`, "-")

// attach hands over a file. Once it has begun, an error can only cut it short.
func attach(w http.ResponseWriter, kind, name string, write func(io.Writer) error) error {
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": inFileName.Replace(name)}))
	if err := write(w); err != nil {
		panic(http.ErrAbortHandler) // so that nobody takes the half for the whole
	}
	return nil
}
