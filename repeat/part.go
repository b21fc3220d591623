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
	Named   bool // false: the burns name nobody, and Tester is made of the title
	Reduced *trial.Reduced
	Verdict *verdict.Verdict
}

// Judge compares the testers of trials; the first is the one that the others
// repeat. Errors are as of Compare.
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

// Parts splits trials by tester and judges every part on the terms of the first
// trial, so that all stand on one reference boil. Burns whose tester nobody can
// tell from others', a trial without burns, and a tester's second trial are left
// out, with a finding.
func Parts(sources ...Source) ([]Part, []finding.Finding) {
	var parts []Part
	var found []finding.Finding
	seen := map[string]string{} // the trial of a tester
	var set trial.Settings
	if len(sources) > 0 {
		set = terms(sources[0].Trial)
	}
	for i, s := range sources {
		shares, fs := s.split(i + 1)
		found = append(found, fs...)
		for _, p := range shares {
			title, twice := seen[same(p.tester)]
			if twice {
				found = append(found, say("tester_twice", finding.Caution, s.Trial.Title,
					fmt.Sprintf("%s burned both %q and %q: the same hands twice are no repeat by another, so only the first counts here", p.tester, title, s.Trial.Title),
					"put all burns of one tester into one trial, or correct the names"))
				continue
			}
			seen[same(p.tester)] = s.Trial.Title
			parts = append(parts, p.judged(set, s.Found))
		}
	}
	return parts, found
}

// same is by what a tester is known again: case and spaces do not matter.
func same(name string) string { return strings.ToLower(strings.Join(strings.Fields(name), " ")) }

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

// split gives each tester the burns that are theirs. number is the trial's place
// among the sources.
func (s Source) split(number int) ([]share, []finding.Finding) {
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
		name := "unnamed tester of " + cmp.Or(t.Title, fmt.Sprintf("trial %d", number))
		return []share{{name, false, t}}, []finding.Finding{say("tester_not_named", finding.Caution, t.Title,
			fmt.Sprintf("no burn of %q names its tester; its burns are taken as one tester's, and as another's than all that are named here", t.Title), "write the tester beside each burn")}
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
