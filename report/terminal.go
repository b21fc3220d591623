package report

import (
	"fmt"
	"io"
	"strings"
	"unicode"

	"fairburn/finding"
	"fairburn/pack"
	"fairburn/trial"
	"fairburn/verdict"
)

// page is a text being written for a terminal of 80 columns.
type page struct{ strings.Builder }

func (p *page) words(lead, text string) { writeWords(&p.Builder, lead, text) }

func (p *page) head(text string) { p.WriteString("\n" + strings.ToUpper(text) + "\n") }

func (p *page) items(head string, texts []string) {
	if len(texts) == 0 {
		return
	}
	p.head(head)
	for _, t := range texts {
		p.words("- ", t)
	}
}

func (p *page) table(t Table) {
	p.WriteString("\n")
	_ = writeTable(p, t) // a strings.Builder never fails
}

// findings lists what was found, notes last.
func (p *page) findings(fs []finding.Finding) {
	var texts []string
	for _, s := range Group(fs) {
		texts = append(texts, s.String())
	}
	p.items("Findings", texts)
}

func (p *page) to(w io.Writer) error {
	_, err := io.WriteString(w, Plain(p.String()))
	return err
}

// Plain is a text without what a terminal obeys, or what turns the direction of the
// rest: a sheet may be a stranger's. Lines and tabs stay.
func Plain(s string) string {
	return strings.Map(func(r rune) rune {
		if r != '\n' && r != '\t' && pack.Commands(r) {
			return unicode.ReplacementChar
		}
		return r
	}, s)
}

// InventedWords mark data that nobody burned, in every document.
const InventedWords = "INVENTED DATA: an example; nobody burned these burns."

// Terminal writes the verdict of a trial for a terminal of 80 columns: the
// sentence first, then what stands behind it, the figures, and what is open.
func Terminal(w io.Writer, v *verdict.Verdict, r *trial.Reduced, o Options) error {
	var p page
	p.words("", v.Sentence)
	if o.Repeat != nil {
		p.words("", repeated(o.Repeat, v.Title)+" "+o.Repeat.Sentence)
	}
	if v.Invented {
		p.words("", InventedWords)
	}
	if warned := warning(v.Findings); warned != "" {
		p.words("", capital(warned)+" (under FINDINGS).")
	}
	p.WriteString("\n")
	p.words("", v.Title)
	if v.Question != "" {
		p.words("", v.Question)
	}
	p.items("Beside the verdict", v.Because)
	p.items("What would settle the rest", v.Next)
	for _, t := range EntryTables(v, r, o.System) {
		p.table(t)
	}
	for _, t := range PairTables(v, r, o.System) {
		p.table(t)
	}
	p.items("Not tested", v.NotTested)
	p.findings(v.Findings)
	if o.Repeat != nil {
		p.testers(o.Repeat, o.System)
	}
	return p.to(w)
}

// Burns writes every burn, one table an entry, raw beside corrected, and what
// was found.
func Burns(w io.Writer, r *trial.Reduced, o Options) error {
	var p page
	p.words("", r.Title)
	if r.Invented {
		p.words("", InventedWords)
	}
	p.words("", "Reference: "+referenceWords(r, Units(o.System))+".")
	if len(r.Results) == 0 {
		p.words("", "No burns yet.")
	}
	for _, t := range BurnTables(r, o.System) {
		p.table(t)
	}
	p.findings(allFindings(r))
	return p.to(w)
}

// allFindings are those of the trial and of every burn, void ones too.
func allFindings(r *trial.Reduced) []finding.Finding {
	fs := append([]finding.Finding{}, r.Findings...)
	for i := range r.Results {
		fs = append(fs, r.Results[i].Result.Findings...)
	}
	finding.Sort(fs)
	return fs
}

// Burn writes everything known of one burn: figures with half-width and largest
// cause, the budgets of the headline figures, findings. It is an error if the
// trial has no burn of that id.
func Burn(w io.Writer, r *trial.Reduced, id string, o Options) error {
	b, err := burnOf(r, id)
	if err != nil {
		return err
	}
	var p page
	p.words("", fmt.Sprintf("Burn %s of %s: %s", b.ID, b.Entry, StatusOf(b)))
	if r.Invented {
		p.words("", InventedWords)
	}
	if b.Void != "" {
		p.words("", "Left out by the tester: "+b.Void)
	}
	p.words("", "Fuel to boil: "+knownBy(&b.Result))
	if b.Notes != "" {
		p.words("", "Notes: "+b.Notes)
	}
	for _, t := range BurnSheet(b, float64(r.Settings.Level), o.System) {
		p.table(t)
	}
	p.findings(b.Result.Findings)
	return p.to(w)
}

// burnOf finds a burn.
func burnOf(r *trial.Reduced, id string) (*trial.Burned, error) {
	for i := range r.Results {
		if r.Results[i].ID == id {
			return &r.Results[i], nil
		}
	}
	return nil, fmt.Errorf("burn %q: not in the trial %q, which has %d burns", id, r.Title, len(r.Results))
}
