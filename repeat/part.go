package repeat

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"fairburn/burn"
	"fairburn/finding"
	"fairburn/trial"
	"fairburn/verdict"
)

// Source is a trial whose burns may be of one tester or of several.
type Source struct {
	Trial *trial.Trial
	// Signed tells who signed the record of a burn, by its id, where a bench
	// knows. It speaks for burns that do not name their tester.
	Signed map[string]string
	Found  []finding.Finding // in reading the trial
}

// Part is one tester's burns of a trial, reduced and judged.
type Part struct {
	Tester  string
	Named   bool // false: the burns name nobody, and Tester is "unnamed tester"
	Reduced *trial.Reduced
	Verdict *verdict.Verdict
}

// Judge compares the testers of trials, of which one is repeated by the others:
// the one that another says it repeats, else the first. Errors are as of Compare.
func Judge(sources ...Source) (*Comparison, error) {
	parts, found := Parts(sources...)
	c, err := Compare(parts)
	if err != nil {
		return nil, err
	}
	c.Findings = append(found, c.Findings...)
	finding.Sort(c.Findings)
	return c, nil
}

// Parts splits trials by tester and judges every part on the terms of the trial
// that is repeated, so that all stand on one reference boil. Burns whose tester nobody can
// tell from others', a trial without burns, and a tester's second trial are left
// out, with a finding, as are burns that are given twice.
func Parts(sources ...Source) ([]Part, []finding.Finding) {
	var parts []Part
	sources, found := inOrder(sources)
	seen := map[string]string{} // the trial of a tester
	var set trial.Settings
	if len(sources) > 0 {
		set = terms(sources[0].Trial)
	}
	unnamed := 0
	for _, s := range sources {
		shares, fs := s.split()
		found = append(found, fs...)
		for _, p := range shares {
			if !p.named {
				unnamed++
				p.tester = nobody(unnamed)
			}
			title, twice := seen[same(p.tester)]
			if twice {
				found = append(found, say("tester_twice", finding.Caution, s.Trial.Title,
					fmt.Sprintf("%s burned both %q and %q: the same hands twice are no repeat by another, so only the first counts here", p.tester, title, s.Trial.Title),
					"put all burns of one tester into one trial, or correct the names"))
				continue
			}
			own := p.judged(set, s.Found)
			if i := slices.IndexFunc(parts, own.copies); i >= 0 {
				found = append(found, say("burns_twice", finding.Caution, s.Trial.Title,
					fmt.Sprintf("%s of %s read exactly as those of %s: they are the same burns, and count once", own.shared(parts[i]), own.Tester, parts[i].Tester), "leave one of the two out"))
				continue
			}
			seen[same(p.tester)] = s.Trial.Title
			parts = append(parts, own)
		}
	}
	return parts, found
}

// inOrder puts the trial first that another one repeats, and tells of one that
// says it repeats something else.
func inOrder(sources []Source) ([]Source, []finding.Finding) {
	at := func(title string) int {
		return slices.IndexFunc(sources, func(s Source) bool { return s.Trial.Title == title })
	}
	first := 0
	for _, s := range sources {
		if i := at(s.Trial.Repeats); s.Trial.Repeats != "" && i >= 0 && sources[i].Trial.Repeats == "" {
			first = i
			break
		}
	}
	ordered := slices.Clone(sources)
	if first > 0 {
		ordered = slices.Insert(slices.Delete(ordered, first, first+1), 0, sources[first])
	}
	var found []finding.Finding
	for _, s := range ordered {
		if r := s.Trial.Repeats; r != "" && at(r) < 0 && len(sources) > 1 && r != ordered[0].Trial.Repeats {
			found = append(found, say("repeats_another", finding.Caution, s.Trial.Title,
				fmt.Sprintf("%q says that it repeats %q, and is compared here with %q", s.Trial.Title, r, ordered[0].Trial.Title), "compare it with what it repeats, or correct repeats in its sheet"))
		}
	}
	return ordered, found
}

// same is by what a tester is known again: case and spaces do not matter.
func same(name string) string { return strings.ToLower(strings.Join(strings.Fields(name), " ")) }

// nobody is what a tester is called whose name was not written down.
func nobody(number int) string {
	if number == 1 {
		return "unnamed tester"
	}
	return fmt.Sprintf("unnamed tester %d", number)
}

// copies reports whether two parts hold the same burns: every time and mass alike in
// all of them, or in more than half of the burns of one, as with two editions of a
// trial. By chance, or read roughly, burns of two testers do read alike, so some must
// be alike that are not like each other (fewDistinct: common practice, no source).
func (p Part) copies(o Part) bool {
	alike, distinct := p.alike(o)
	n, m := len(p.readings()), len(o.readings())
	return alike > 0 && alike == n && n == m || distinct >= fewDistinct && 2*alike > min(n, m)
}

const fewDistinct = 3

// shared says which burns of a part are those of another.
func (p Part) shared(o Part) string {
	if alike, _ := p.alike(o); alike < len(p.readings()) {
		return fmt.Sprintf("%d of the %d burns", alike, len(p.readings()))
	}
	return "the burns"
}

// alike counts the burns of two parts that read alike, and the readings among them
// that differ from each other.
func (p Part) alike(o Part) (burns, distinct int) {
	theirs := map[string]int{}
	for _, r := range o.readings() {
		theirs[r]++
	}
	counted := map[string]bool{}
	for _, r := range p.readings() {
		if theirs[r] > 0 {
			theirs[r]--
			burns, counted[r] = burns+1, true
		}
	}
	return burns, len(counted)
}

func (p Part) readings() []string {
	var all []string
	for i := range p.Reduced.Results {
		if b := &p.Reduced.Results[i]; len(b.Marks) > 0 { // what was never lit is like nothing
			all = append(all, fmt.Sprint(b.Entry, b.Marks, b.Fuel, b.Water))
		}
	}
	return all
}

func say(code string, sev finding.Severity, title, sentence, remedy string) finding.Finding {
	return finding.Finding{Code: code, Severity: sev, Where: finding.Place{Subject: "trial " + title}, Sentence: sentence, Remedy: remedy}
}

// terms are the settings of a trial with its own reference water written down.
func terms(t *trial.Trial) trial.Settings {
	set := t.Settings
	if !set.NominalSet {
		set = t.Reduce().Settings
		set.NominalSet = true
	}
	return set
}

// share is the burns of one tester before they are judged.
type share struct {
	tester string
	named  bool
	trial  *trial.Trial
}

func (p share) judged(set trial.Settings, found []finding.Finding) Part {
	own := *p.trial
	own.Settings = set
	r := own.Reduce()
	r.Findings = slices.Concat(found, r.Findings)
	return Part{Tester: p.tester, Named: p.named, Reduced: r, Verdict: verdict.Judge(r)}
}

// split gives each tester the burns that are theirs.
func (s Source) split() ([]share, []finding.Finding) {
	t := s.Trial
	if len(t.Burns) == 0 {
		return nil, []finding.Finding{say("nothing_burned", finding.Caution, t.Title, fmt.Sprintf("no burn is recorded in %q, so it says nothing of any tester", t.Title), "burn it, or leave it out")}
	}
	burns := map[string][]burn.Record{}
	names := map[string]string{}
	var order, nameless []string
	for _, b := range t.Burns {
		name := cmp.Or(strings.TrimSpace(b.Tester), strings.TrimSpace(s.Signed[b.ID]))
		if name == "" {
			nameless = append(nameless, b.ID)
			continue
		}
		id := same(name)
		if burns[id] == nil {
			order, names[id] = append(order, id), name
		}
		burns[id] = append(burns[id], b)
	}
	if len(order) == 0 {
		return []share{{"", false, t}}, []finding.Finding{say("tester_not_named", finding.Caution, t.Title,
			fmt.Sprintf("no burn of %q names its tester; its burns are taken as one tester's, who is none of the others here", t.Title), "write the tester beside each burn")}
	}
	var found []finding.Finding
	if len(nameless) > 0 {
		found = append(found, say("burns_without_tester", finding.Caution, t.Title,
			fmt.Sprintf("%s of %q name no tester while others do; they are left out between testers", trial.NameBurns(nameless), t.Title), "write the tester beside each burn"))
	}
	var shares []share
	for _, id := range order {
		own := t
		if len(burns[id]) < len(t.Burns) {
			own = part(t, burns[id])
		}
		shares = append(shares, share{names[id], true, own})
	}
	return shares, found
}

// part is a trial with some of its burns: the entries that these burned, and no
// plan, which was one for all.
func part(t *trial.Trial, burns []burn.Record) *trial.Trial {
	own := *t
	own.Burns, own.Plan, own.Entries = burns, trial.Plan{}, nil
	for _, e := range t.Entries {
		if slices.ContainsFunc(burns, func(b burn.Record) bool { return b.Entry == e.Name }) {
			own.Entries = append(own.Entries, e)
		}
	}
	return &own
}
