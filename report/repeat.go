package report

import (
	"fmt"
	"slices"

	"fairburn/quantity"
	"fairburn/repeat"
)

// repeated says in short who else burned the trial of a title.
func repeated(c *repeat.Comparison, title string) string {
	n := len(c.Testers)
	elsewhere := slices.ContainsFunc(c.Testers, func(t repeat.Tester) bool { return t.Title != title })
	switch {
	case n > 1 && !elsewhere:
		return fmt.Sprintf("The burns are of %d testers.", n)
	case title != c.Title:
		return fmt.Sprintf("This repeats %s, of which there are burns by %d %s.", c.Title, n, pick(n == 1, "tester", "testers"))
	case n == 1:
		return "No other tester's burns count here."
	case n == 2:
		return "1 other tester repeated this."
	}
	return fmt.Sprintf("%d other testers repeated this.", n-1)
}

// repeatMethod says by what testers are compared.
var repeatMethod = []string{
	"Each tester's burns are judged alone, brought to the reference boil of the trial that is repeated. Only figures at the reference are compared between testers, since benches differ in pressure, water and air.",
	"Means of two testers: each one's own scatter and instruments, all testers of an entry at once.",
	"Repeatability r and reproducibility R: ISO 5725-2:1994, on the log scale. Two burns of one tester differ by more than r, single burns of two testers by more than R, in about 5 of 100 cases. h, k and Cochran's C: the same, sec. 7.3.",
	"Critical difference: ISO 5725-6:1994, for the mean of a further tester against one of these. It is no test of these testers, whose own difference is in R.",
	"Entry against entry over testers: the testers are the sample (Hartung, Knapp 2001, Statistics in Medicine 20:3875; Paule, Mandel 1982, Journal of Research of the National Bureau of Standards 87:377; Röver, Knapp, Friede 2015, BMC Medical Research Methodology 15:99).",
}

// testers writes the comparison of testers.
func (p *page) testers(c *repeat.Comparison, sys quantity.System) {
	p.head("Tester by tester: " + string(c.Class))
	p.words("", c.Sentence)
	for _, b := range c.Because {
		p.words("- ", b)
	}
	d := testimony{c, Units(sys)}
	p.table(d.testers())
	for _, t := range d.tables() {
		p.table(t)
	}
	var texts []string
	for _, s := range Group(c.Findings) {
		texts = append(texts, s.String())
	}
	p.items("Found between testers", texts)
}

// repeatPage is what the template of a comparison shows.
type repeatPage struct {
	*repeat.Comparison
	Repeated    string
	InventedSay string
	Testers     Table
	Tables      []Table
	Pictures    []picture
	Said        []Said
	Method      []string
}

// newRepeatPage is for the page of a trial of that title.
func newRepeatPage(c *repeat.Comparison, title string, sys quantity.System) (*repeatPage, error) {
	d := testimony{c, Units(sys)}
	p := &repeatPage{Comparison: c, Repeated: repeated(c, title), Testers: d.testers(), Tables: d.tables(), Said: Group(c.Findings), Method: repeatMethod}
	if c.Invented {
		p.InventedSay = InventedWords
	}
	var err error
	p.Pictures, err = pictures(func(at Layout) ([]Chart, error) { return RepeatCharts(c, sys, at) })
	return p, err
}
