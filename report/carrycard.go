package report

import (
	"fmt"
	"html/template"
	"io"
	"strings"

	"fairburn/carry"
)

// doseHead heads the fuel of one boil.
func doseHead(k *carry.Carried) string {
	return pick(k.Kit.Kind == carry.Spirit, "Marks for the cap", "Fuel of one boil")
}

// dose is the fuel of one boil in words: mild, in the middle, hard.
type dose struct{ Of, Low, Middle, High string }

func (c carried) span(d carry.Dose) dose {
	out := dose{strings.TrimPrefix(d.Leg, "leg "), c.mass(d.Low), c.mass(d.Middle), c.mass(d.High)}
	if d.Poured > 0 {
		out.Low, out.Middle, out.High = c.volume(d.Least), c.volume(d.Poured), c.volume(d.Most)
	}
	if d.Boil != "" {
		out.Of += ", " + d.Boil
	}
	return out
}

// doses are the marks for the cap: what one boil takes.
func (c carried) doses(k *carry.Carried) []string {
	var all []string
	for _, d := range k.Doses {
		s := c.span(d)
		text := s.Of + ": " + s.Middle
		if d.Low < d.High {
			text += fmt.Sprintf("; %s when all is mild, %s when all is hard", s.Low, s.High)
		}
		all = append(all, text)
	}
	return all
}

// carryCautions are those that count for the fuel that is carried; local rules and
// the makers' instructions lead.
func carryCautions(best *carry.Carried) []string {
	const leads = "Local rules and the maker's instructions lead. Nothing here claims that any of this is safe, legal or approved."
	if best == nil || best.Kit.Kind == carry.NoStove {
		return nil
	}
	if best.Kit.Kind != carry.Spirit {
		return []string{cautions[0], "Carbon monoxide cannot be smelled. Never burn in a tent or a closed room.", leads}
	}
	return []string{
		"Label the bottle by fuel: burns came from fuel taken for water.",
		"Never refuel a burner that is hot or may still burn. Take the burner to the fuel, with the bottle closed and away before you light.",
		"The flame is hard to see in daylight; a lid or snuffer within reach.",
		"Outdoors, on level, bare, cleared ground; never in a tent.",
		leads,
	}
}

// carryPage is what the templates show.
type carryPage struct {
	*carry.Answer
	Title, Sentence, InventedSay string
	Lead, Pack, Doses, Turns     []string
	Why, Rules, Cautions         []string
	Pictures                     []picture
	Tables                       []Table
	Drivers                      *Table
	DoseHead                     string
	Said                         []Said
	Made                         string
	Card                         card
}

// card is what is printed and folded.
type card struct {
	Stove   string
	Things  string
	Chance  string
	Loads   []cardLoad
	Weights string
	Doses   []dose
}

type cardLoad struct {
	When, Fuel string
	Vessels    []Fact
	Reserve    string
}

func newCarryPage(answer Carry, o Options) *carryPage {
	c := newCarried(answer, o.System)
	p := &carryPage{Answer: c.Answer, Title: c.Answer.Title, Sentence: c.sentence(), Lead: c.lead(), Turns: c.turns(), Rules: c.rules(),
		Said: Group(c.Answer.Findings), Cautions: carryCautions(c.Answer.Best), Made: o.Made}
	if c.Answer.Invented {
		p.InventedSay = inventedTrip
	}
	if b := c.Answer.Best; b != nil {
		p.Pack, p.DoseHead, p.Doses, p.Why, p.Card = c.pack(b), doseHead(b), c.doses(b), b.Need.Why, c.card(b)
	}
	if len(c.Answer.Kits) > 0 {
		p.Tables = []Table{c.kits(), c.grounds(), c.days()}
	}
	if len(c.Drivers) > 0 {
		t := c.drivers()
		p.Drivers = &t
	}
	return p
}

// card is the best kit in the words of a card.
func (c carried) card(k *carry.Carried) card {
	out := card{Stove: k.Kit.Name(), Chance: chance(k.Dry.Share), Weights: fmt.Sprintf("%s on the first morning, %s at the end", c.mass(k.Start), c.mass(k.End))}
	if k.Kit.Kind == carry.NoStove {
		return card{Stove: k.Kit.Stove, Chance: absent, Weights: out.Weights}
	}
	for i, p := range k.Kit.Parts {
		out.Things += pick(i > 0, ", ", "") + p.Name
	}
	for _, d := range k.Doses {
		out.Doses = append(out.Doses, c.span(d))
	}
	for _, l := range k.Loads {
		load := cardLoad{When: fmt.Sprintf("from day %d, %s", l.FromDay, daysOf(l.Days)), Fuel: c.fuel(l.Mass, l.Volume), Reserve: fmt.Sprintf("%.1f days", l.Reserve)}
		for _, v := range l.Vessels {
			text := pick(v.Mass > 0, c.mass(v.Mass), "empty")
			if v.Volume > 0 {
				text = c.volume(v.Volume)
			}
			load.Vessels = append(load.Vessels, Fact{v.Name, text})
		}
		out.Loads = append(out.Loads, load)
	}
	return out
}

// CarryBody writes the answer to a trip as HTML below a page's heading: the chance
// of running dry, the risk curve, what is carried by day, and what it rests on. It
// has classes only, and wants Style, Script and Sprite beside it.
func CarryBody(w io.Writer, answer Carry, o Options) error {
	p := newCarryPage(answer, o)
	var err error
	if p.Pictures, err = pictures(func(at Layout) ([]Chart, error) { return CarryCharts(answer, o.System, at) }); err != nil {
		return err
	}
	return fill(w, "carry", p.Title, p)
}

// CarryCard writes the card to print and fold as HTML: millilitres for each bottle,
// marks for the cap, the reserve, the cautions that count, and the tester's own
// notes on local rules.
func CarryCard(w io.Writer, answer Carry, o Options) error {
	p := newCarryPage(answer, o)
	return fill(w, "carry-card", p.Title, p)
}

// cardFile is a card as a page of its own.
type cardFile struct {
	Title, Policy string
	Style         template.CSS
	Card          template.HTML
}

// CarryCardFile writes the card as one page that asks nothing of a network.
func CarryCardFile(w io.Writer, answer Carry, o Options) error {
	var b strings.Builder
	if err := CarryCard(&b, answer, o); err != nil {
		return err
	}
	style := template.CSS(Style())
	return fill(w, "carry-card-file", answer.Answer.Title, cardFile{answer.Answer.Title,
		fmt.Sprintf("default-src 'none'; style-src '%s'; base-uri 'none'; form-action 'none'", hash(string(style))), style, template.HTML(b.String())})
}
