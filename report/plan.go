package report

import (
	"fmt"
	"io"
	"strings"

	"fairburn/finding"
	"fairburn/plan"
	"fairburn/quantity"
	"fairburn/trial"
)

// Plan writes a proposal: what it answers and how many burns that takes, the
// order, what to do when, and what would be unfair.
func Plan(w io.Writer, t *trial.Trial, p *plan.Proposal, found []finding.Finding, o Options) error {
	var text page
	text.words("", p.Needed.Sentence())
	if t.Invented {
		text.words("", InventedWords)
	}
	text.WriteString("\n")
	text.words("", t.Title)
	if t.Question != "" {
		text.words("", t.Question)
	}
	text.table(answerTable(p))
	text.table(orderTable(t, p))
	text.items("What it takes", session(p.Session, o.System))
	text.steps(p.Checklist)
	text.findings(found)
	return text.to(w)
}

func answerTable(p *plan.Proposal) Table {
	t := Table{ID: "answers", Caption: "What these burns can answer", Columns: columns("*about", "burns", "*answered", "*that is")}
	for _, a := range p.Answers {
		t.add(0, a.About, fmt.Sprint(a.Burns), pick(a.Answered, "yes", "no"), a.Sentence)
	}
	return t
}

func orderTable(of *trial.Trial, p *plan.Proposal) Table {
	t := Table{ID: "order", Caption: "Order of burning", Columns: columns("burn", "*block", "*entry", "*"+p.Plan.Factor.Name, "*ends by")}
	for _, s := range p.Plan.Slots {
		t.add(of.Marker(s.Entry), fmt.Sprint(s.Order), s.Block, s.Entry, s.Level, pick(s.Snuff, "snuff at the boil, weigh", "flame-out"))
	}
	t.Notes = append(t.Notes, fmt.Sprintf("shuffled by seed %d; each burner rests %s between its burns", p.Plan.Seed, plan.Minutes(p.Plan.CoolDown)))
	t.prune()
	return t
}

// canister says how much water to bring, by the vessels it is carried in. A
// litre of cold water is a kilogram here: it is drawn with some to spare.
func canister(m quantity.Mass, sys quantity.System) string {
	litres := quantity.Volume(m/quantity.Kilogram) * quantity.Litre
	if sys == quantity.Metric {
		return fmt.Sprintf("%.1f L", litres/quantity.Litre)
	}
	gallon, name := quantity.USGallon, "US gallons"
	if sys != quantity.US {
		gallon, name = quantity.ImperialGallon, "imperial gallons"
	}
	return fmt.Sprintf("%.1f %s", litres/gallon, name)
}

// session says in lines what the burns take.
func session(s plan.Session, sys quantity.System) []string {
	lines := []string{
		"about " + plan.Minutes(s.Length) + " from the first burn to the end of the last",
		"water: about " + canister(s.Water, sys),
	}
	if s.Waits > 0 {
		lines = append(lines, fmt.Sprintf("before %d %s a burner is still warm: %s of waiting in all", s.Waits, pick(s.Waits == 1, "burn", "burns"), plan.Minutes(s.Waiting)))
	}
	for _, n := range s.Fuel {
		var parts []string
		if n.Volume > 0 {
			parts = append(parts, quantity.FormatBrief(n.Volume, sys))
		}
		if n.Mass > 0 {
			parts = append(parts, quantity.FormatBrief(n.Mass, sys))
		}
		if n.Unknown > 0 {
			parts = append(parts, fmt.Sprintf("%s%d doses that nobody named", pick(len(parts) > 0, "and ", ""), n.Unknown))
		}
		lines = append(lines, strings.TrimSpace("fuel "+n.Batch)+": "+strings.Join(parts, ", "))
	}
	return lines
}

// steps writes the checklist by moment, cautions marked.
func (p *page) steps(steps []plan.Step) {
	for _, m := range byMoment(steps) {
		p.head(m.When)
		for _, s := range m.Do {
			p.words(pick(s.Caution, "! ", "[ ] "), s.Do)
		}
	}
}
