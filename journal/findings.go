package journal

import (
	"fmt"
	"maps"
	"slices"

	"fairburn/finding"
)

// Findings lists what a person should know about the records, in a fixed order:
// record_set_aside, record_newer, kind_unknown, replaces_missing,
// replaces_another_subject, records_disagree and record_proposed. shunned is the
// store's list: what is missing because it was shunned needs no finding. It reads
// every body.
func (f *Fold) Findings(shunned []Shunned) []finding.Finding {
	erased := map[ID]bool{}
	for _, s := range shunned {
		erased[s.ID] = true
	}
	var out []finding.Finding
	unknown := map[string]int{}
	for _, id := range slices.SortedFunc(maps.Keys(f.records), compareID) {
		fact, aside := f.fact(f.records[id])
		if _, known := f.kinds[fact.Record.Kind]; !known {
			unknown[fact.Record.Kind]++
		}
		out = append(out, f.bodyFindings(fact, aside)...)
		for _, target := range fact.Record.Replaces {
			if !erased[target] {
				out = append(out, f.targetFindings(fact, target)...)
			}
		}
	}
	for _, kind := range slices.Sorted(maps.Keys(unknown)) {
		out = append(out, finding.Finding{Code: "kind_unknown", Severity: finding.Note,
			Sentence: fmt.Sprintf("%d records are of the kind %s, which this program does not know; they are kept and passed on", unknown[kind], kind),
			Remedy:   "a newer fairburn may read them"})
	}
	for _, kind := range slices.Sorted(maps.Keys(f.groups)) {
		for _, subject := range f.Subjects(kind) {
			out = append(out, stateFindings(f.State(kind, subject), at(kind, subject))...)
		}
	}
	return out
}

func at(kind, subject string) finding.Place { return finding.Place{Subject: kind + " " + subject} }

func (f *Fold) bodyFindings(fact Fact, aside error) []finding.Finding {
	where := at(fact.Record.Kind, fact.Record.Subject)
	if aside != nil {
		return []finding.Finding{{Code: "record_set_aside", Severity: finding.Fault, Where: where,
			Sentence: fmt.Sprintf("record %v by %s cannot be used: %v", fact.ID, fact.Record.Name, aside),
			Remedy:   "its author can replace it"}}
	}
	if fact.Newer {
		return []finding.Finding{{Code: "record_newer", Severity: finding.Caution, Where: where,
			Sentence: fmt.Sprintf("record %v is of version %d; this program reads up to %d, so what it says is missing here",
				fact.ID, fact.Record.Version, f.kinds[fact.Record.Kind].Newest),
			Remedy: "use a newer fairburn"}}
	}
	return nil
}

func (f *Fold) targetFindings(fact Fact, target ID) []finding.Finding {
	where := at(fact.Record.Kind, fact.Record.Subject)
	other, here := f.Record(target)
	if !here {
		return []finding.Finding{{Code: "replaces_missing", Severity: finding.Note, Where: where,
			Sentence: fmt.Sprintf("record %v replaces %v, which is not here", fact.ID, target),
			Remedy:   "merge the bench it came from"}}
	}
	if other.Kind == fact.Record.Kind && other.Subject == fact.Record.Subject {
		return nil
	}
	return []finding.Finding{{Code: "replaces_another_subject", Severity: finding.Caution, Where: where,
		Sentence: fmt.Sprintf("record %v would replace %v, which is about %s %s; that is not applied",
			fact.ID, target, other.Kind, other.Subject)}}
}

func stateFindings(s State, where finding.Place) []finding.Finding {
	var out []finding.Finding
	if s.Disagree {
		out = append(out, finding.Finding{Code: "records_disagree", Severity: finding.Caution, Where: where,
			Sentence: fmt.Sprintf("%d records contradict each other: %s", len(s.Live), authors(s.Live)),
			Remedy:   "compare them and write one that replaces them all"})
	}
	for _, p := range s.Proposals {
		out = append(out, finding.Finding{Code: "record_proposed", Severity: finding.Note, Where: where,
			Sentence: fmt.Sprintf("%s proposes record %v in place of another author's; it is not applied", p.Fact.Record.Name, p.Fact.ID),
			Remedy:   "the author of the other can take it over or answer it"})
	}
	return out
}

// authors lists facts as "ab12cd34 by Rowan, ..." in order of id.
func authors(facts []Fact) string {
	text := ""
	for i, fact := range facts {
		if i > 0 {
			text += ", "
		}
		text += fmt.Sprintf("%.8s by %s", fact.ID.String(), fact.Record.Name)
	}
	return text
}
