package bench

import (
	"context"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"fairburn/burn"
	"fairburn/finding"
	"fairburn/journal/journaltest"
)

// two benches of two testers, Fern's trial on both.
func two(t *testing.T) (fern, rowan *Bench) {
	fern, rowan = open(t, journaltest.NewMemory(), tester(1, "Fern")), open(t, journaltest.NewMemory(), tester(2, "Rowan"))
	take(t, fern, ring, Refuse)
	if m := merge(t, fern, rowan); len(m.New) != 7 || len(m.Findings) > 0 {
		t.Fatalf("%+v", m)
	}
	return fern, rowan
}

func boil(t *testing.T, b *Bench, id string) string {
	t.Helper()
	for _, x := range get(t, b, "Ring").Burns {
		if x.ID == id {
			return x.Marks[burn.Boil].Text
		}
	}
	return ""
}

func TestWhatAnotherTesterTookIsKnown(t *testing.T) {
	_, rowan := two(t)
	if r := take(t, rowan, ring, Refuse); r.Kept != 7 || len(r.Added)+len(r.Proposed)+len(r.Findings) > 0 {
		t.Errorf("%+v", r)
	}
	if d := cmp.Diff(read(t, ring), get(t, rowan, "Ring"), same); d != "" {
		t.Error(d)
	}
	r := take(t, rowan, ring+"[[burn]]\nid = 3\nentry = \"Heron\"\nboil = \"6:50\"\n", Refuse) // a burn of Rowan's own
	if len(r.Added) != 1 || r.Added[0] != "burn 3" || boil(t, rowan, "3") != "6:50" {
		t.Errorf("%+v", r)
	}
}

func TestACorrectionOfAnothersIsAProposal(t *testing.T) {
	fern, rowan := two(t)
	mended := swap(`"6:33"`, `"6:35"`)
	if r := take(t, rowan, mended, Refuse); len(r.Proposed) != 1 || r.Kept != 6 {
		t.Fatalf("%+v", r)
	}
	if r := take(t, rowan, mended, Refuse); len(r.Proposed) != 0 || r.Kept != 7 {
		t.Fatalf("made twice: %+v", r)
	}
	m := merge(t, rowan, fern)
	const said = `boil = "6:35" in place of boil = "6:33"; it is not applied`
	has(t, m.Findings, "record_proposed", said)
	if boil(t, fern, "1") != "6:33" || boil(t, rowan, "1") != "6:33" {
		t.Error("applied")
	}
	_, fs, _ := fern.Trial("Ring")
	has(t, fs, "record_proposed", said)
	if worst, _ := finding.Worst(fs); worst != finding.Note {
		t.Error(fs)
	}
	for _, answer := range []struct {
		text  string
		clash Clash
		boil  string
	}{{mended, Refuse, "6:35"}, {ring, Replace, "6:33"}} { // accepted; declined
		fern, rowan := two(t)
		take(t, rowan, mended, Refuse)
		merge(t, rowan, fern)
		if r := take(t, fern, answer.text, answer.clash); len(r.Replaced) != 1 {
			t.Errorf("%+v", r)
		}
		merge(t, fern, rowan)
		for _, b := range []*Bench{fern, rowan} {
			if fs := b.Findings(); len(fs) > 0 || boil(t, b, "1") != answer.boil {
				t.Error(boil(t, b, "1"), fs)
			}
		}
	}
}

func TestGearCorrectedOnAnothersTrialIsAProposal(t *testing.T) {
	_, rowan := two(t)
	heavy := swap(`"118 g"`, `"120 g"`)
	if _, err := rowan.Take(context.Background(), read(t, heavy), Refuse); err == nil {
		t.Error("taken")
	}
	if r := take(t, rowan, heavy, Replace); len(r.Proposed) != 1 || r.Proposed[0].Thing != "pot pot" {
		t.Errorf("%+v", r)
	}
	if m := get(t, rowan, "Ring").Shelf.Pots[0].Mass.Text; m != "118 g" {
		t.Error(m)
	}
}

// Two testers took the same trial before they knew of each other.
func TestRivalsAreLeftOutUntilSettled(t *testing.T) {
	fern, rowan := open(t, journaltest.NewMemory(), tester(1, "Fern")), open(t, journaltest.NewMemory(), tester(2, "Rowan"))
	take(t, fern, ring, Refuse)
	take(t, rowan, swap(`"6:33"`, `"6:35"`), Refuse)
	m := merge(t, rowan, fern)
	merge(t, fern, rowan)
	ids := fern.fold.State("burn", "Ring/1").Live
	has(t, m.Findings, "records_disagree", "2 records contradict each other and none of them is used: ")
	for i, f := range ids {
		b := map[string]string{"Fern": `6:33`, "Rowan": `6:35`}[f.Record.Name]
		has(t, m.Findings, "records_disagree", fmt.Sprintf(`%.8v by %s (boil = "%s")`, ids[i].ID, f.Record.Name, b))
	}
	if boil(t, fern, "1") != "" || boil(t, fern, "2") != "6:40" {
		t.Error("a rival was used")
	}
	if r := take(t, fern, ring, Refuse); r.Kept != 7 { // said again, it settles nothing
		t.Errorf("%+v", r)
	}
	r, err := fern.Take(context.Background(), read(t, swap(`"6:33"`, `"6:36"`)), Refuse)
	if err == nil {
		t.Error("taken over rivals")
	}
	has(t, r.Findings, "records_disagree", "contradict")
	take(t, fern, ring, Replace)
	if _, fs, _ := fern.Trial("Ring"); boil(t, fern, "1") != "6:33" || len(fs) > 0 {
		t.Error(boil(t, fern, "1"), fs)
	}
	merge(t, fern, rowan)
	if boil(t, rowan, "1") != "" { // Rowan's word was not asked
		t.Error("settled for Rowan")
	}
	take(t, rowan, ring, Replace) // Rowan agrees
	merge(t, rowan, fern)
	if fs := append(fern.Findings(), rowan.Findings()...); boil(t, rowan, "1") != "6:33" || len(fs) > 0 {
		t.Error(fs)
	}
}

func TestTrialsOfOneTitleByTwoTesters(t *testing.T) {
	fern, rowan := open(t, journaltest.NewMemory(), tester(1, "Fern")), open(t, journaltest.NewMemory(), tester(2, "Rowan"))
	take(t, fern, ring, Refuse)
	take(t, rowan, swap("invented = true", `question = "Which?"`), Refuse)
	merge(t, rowan, fern)
	if _, _, err := fern.Trial("Ring"); err == nil || !strings.HasPrefix(err.Error(), `trial "Ring" cannot be put together: 2 records contradict each other and none of them is used: `) {
		t.Fatal(err)
	}
	if s := fern.Trials(); len(s) != 1 || s[0].Burns != 2 || s[0].Findings != 1 || strings.Join(s[0].Testers, " ") != "Fern Rowan" {
		t.Errorf("%+v", s)
	}
	take(t, fern, ring, Replace)
	if d := cmp.Diff(read(t, ring), get(t, fern, "Ring"), same); d != "" {
		t.Error(d)
	}
}

// Everybody has a pot named pot: each trial is put together with its tester's own.
func TestGearNamesBelongToTheirTesters(t *testing.T) {
	fern, rowan := two(t)
	own := strings.NewReplacer(`"Ring"`, `"Rowan's ring"`, `"118 g"`, `"95 g"`).Replace(ring)
	if r := take(t, rowan, own, Refuse); len(r.Added) != 7 {
		t.Fatalf("%+v", r)
	}
	if m := merge(t, rowan, fern); len(m.Findings) > 0 {
		t.Error(m.Findings)
	}
	for _, b := range []*Bench{fern, rowan} {
		for _, text := range []string{ring, own} {
			want := read(t, text)
			if d := cmp.Diff(want, get(t, b, want.Title), same); d != "" {
				t.Error(d)
			}
		}
		if v, err := b.Verify(context.Background()); err != nil || len(v.Findings) > 0 {
			t.Error(err, v.Findings)
		}
	}
}

// Three testers take, correct and settle at random; whoever merges what in which
// order sees the same trials with the same findings.
func TestOrderOfMergingDoesNotMatter(t *testing.T) {
	t.Parallel()
	for seed := range uint64(20) {
		r := rand.New(rand.NewPCG(seed, 7))
		var benches []*Bench
		for i := range uint64(3) {
			benches = append(benches, open(t, journaltest.NewMemory(), tester(10*seed+i+1, fmt.Sprint("tester ", i))))
		}
		for range 12 {
			b := benches[r.IntN(3)]
			text := strings.NewReplacer(`"6:33"`, fmt.Sprintf(`"6:%d"`, 30+r.IntN(3)), `"118 g"`, fmt.Sprintf(`"%d g"`, 118+r.IntN(2)),
				`"Ring"`, []string{`"Ring"`, `"Wing"`}[r.IntN(2)]).Replace(ring)
			if report, err := b.Take(context.Background(), read(t, text), Clash(r.IntN(2))); err != nil && len(report.Findings) == 0 {
				t.Fatal(err)
			}
			merge(t, benches[r.IntN(3)], benches[r.IntN(3)])
		}
		looks := make([]*Bench, 2) // two onlookers of one key, each merging in another order
		for i := range looks {
			looks[i] = open(t, journaltest.NewMemory(), tester(10*seed+1, "tester 0"))
			for _, j := range r.Perm(3) {
				merge(t, benches[j], looks[i])
			}
		}
		for _, title := range []string{"Ring", "Wing"} {
			x, fs, err := looks[0].Trial(title)
			y, gs, also := looks[1].Trial(title)
			if d := cmp.Diff(x, y, same) + cmp.Diff(fs, gs); d != "" || fmt.Sprint(err) != fmt.Sprint(also) {
				t.Fatalf("seed %d: %s\n%v\n%v", seed, d, err, also)
			}
		}
	}
}
