package bench

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"fairburn/journal"
	"fairburn/journal/journaltest"
)

// brief says what waits for a decision in one line each.
func brief(b *Bench) []string {
	var lines []string
	for _, u := range b.Unsettled() {
		line := fmt.Sprintf("%s %s/%s rivals=%v yours=%v", u.Kind, u.About.Title, u.About.Name, u.Rivals, u.Yours)
		for _, v := range u.Versions {
			line += fmt.Sprintf("; %s %s", v.Tester, v.State)
			for _, c := range v.Changes {
				line += ": " + c.Is
			}
		}
		lines = append(lines, line)
	}
	return lines
}

func waits(t *testing.T, b *Bench, want ...string) {
	t.Helper()
	if got := brief(b); strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("waits:\n%s\nwant:\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// choose settles on the version of a tester.
func choose(t *testing.T, b *Bench, tester string) {
	t.Helper()
	for _, u := range b.Unsettled() {
		for _, v := range u.Versions {
			if v.Tester == tester {
				if err := b.Settle(context.Background(), v.ID); err != nil {
					t.Fatal(err)
				}
				return
			}
		}
	}
	t.Fatalf("nothing of %s's to choose in %v", tester, brief(b))
}

func TestNothingWaitsOnAQuietBench(t *testing.T) {
	fern, rowan := two(t)
	waits(t, fern)
	waits(t, rowan)
	take(t, fern, swap(`"6:33"`, `"6:35"`), Refuse) // a correction of one's own
	waits(t, fern)
}

func TestAProposalWaitsForWhomItCorrects(t *testing.T) {
	for choice, want := range map[string]string{"Rowan": "6:35", "Fern": "6:33"} { // taken over; declined
		fern, rowan := two(t)
		take(t, rowan, swap(`"6:33"`, `"6:35"`), Refuse)
		waits(t, rowan, `burn Ring/1 rivals=false yours=false; Fern stands: boil = "6:33"; Rowan proposed: boil = "6:35"`)
		merge(t, rowan, fern)
		waits(t, fern, `burn Ring/1 rivals=false yours=true; Fern stands: boil = "6:33"; Rowan proposed: boil = "6:35"`)
		choose(t, fern, choice)
		merge(t, fern, rowan)
		for _, b := range []*Bench{fern, rowan} {
			if waits(t, b); boil(t, b, "1") != want {
				t.Error(choice, boil(t, b, "1"))
			}
		}
	}
}

// A third tester's word on rivals holds on the third tester's bench, and asks
// nobody else's.
func TestRivalsOfOthersAreSettledOnOnesOwnBench(t *testing.T) {
	fern, rowan := open(t, journaltest.NewMemory(), tester(1, "Fern")), open(t, journaltest.NewMemory(), tester(2, "Rowan"))
	hazel := open(t, journaltest.NewMemory(), tester(3, "Hazel"))
	take(t, fern, ring, Refuse)
	take(t, rowan, swap(`"6:33"`, `"6:35"`), Refuse)
	merge(t, fern, hazel)
	merge(t, rowan, hazel)
	if got := brief(hazel); len(got) != 1 || !strings.HasPrefix(got[0], "burn Ring/1 rivals=true yours=true; ") || boil(t, hazel, "1") != "" {
		t.Fatal(got)
	}
	choose(t, hazel, "Rowan")
	if waits(t, hazel); boil(t, hazel, "1") != "6:35" {
		t.Error(boil(t, hazel, "1"))
	}
	merge(t, hazel, fern)
	if boil(t, fern, "1") != "" {
		t.Error("settled for Fern")
	}
	choose(t, fern, "Fern")
	if waits(t, fern); boil(t, fern, "1") != "6:33" {
		t.Error(boil(t, fern, "1"))
	}
}

func TestOthersGearOfOneNameWaitsForNobody(t *testing.T) {
	fern, rowan := two(t)
	take(t, rowan, strings.NewReplacer(`"Ring"`, `"Wing"`, `"118 g"`, `"95 g"`).Replace(ring), Refuse)
	merge(t, rowan, fern)
	waits(t, fern)
	hazel := open(t, journaltest.NewMemory(), tester(3, "Hazel"))
	merge(t, fern, hazel)
	waits(t, hazel)
	take(t, rowan, swap(`"118 g"`, `"120 g"`), Replace)
	waits(t, rowan, `pot /pot rivals=false yours=false; Fern stands: mass = "118 g"; Rowan proposed: mass = "120 g"`) // in Fern's trial
}

// press presses one moment on a bench.
func press(t *testing.T, b *Bench, nonce byte, what string, at time.Time, back ...byte) {
	t.Helper()
	p := Press{Nonce: strings.Repeat(fmt.Sprintf("%02x", nonce), 16), Title: "Ring", Burn: "1", What: what, At: at, Pressed: at, Within: 50 * time.Millisecond, Device: "phone"}
	for _, n := range back {
		p.TakesBack = strings.Repeat(fmt.Sprintf("%02x", n), 16)
	}
	if err := b.Press(context.Background(), []Press{p}); err != nil {
		t.Fatal(err)
	}
}

func states(b *Bench) string {
	var all []string
	for _, m := range b.Moments("Ring", "1") {
		all = append(all, m.Tester+" "+m.State)
	}
	return strings.Join(all, ", ")
}

func TestMomentsOfTwoTestersAreSettledOnOnesOwnBench(t *testing.T) {
	fern, rowan := two(t)
	hazel := open(t, journaltest.NewMemory(), tester(3, "Hazel"))
	at := fern.now()
	press(t, fern, 1, "light", at)
	press(t, rowan, 2, "light", at.Add(3*time.Second))
	merge(t, rowan, fern)
	merge(t, fern, hazel)
	if got := states(fern); got != "Fern rival, Rowan rival" || len(brief(fern)) != 1 {
		t.Fatal(got, brief(fern))
	}
	choose(t, fern, "Rowan")
	if got := states(fern); got != "Fern replaced, Fern holds, Rowan replaced" && got != "Fern replaced, Rowan replaced, Fern holds" {
		t.Error(got)
	}
	choose(t, hazel, "Fern")
	if got := states(hazel); strings.Count(got, "holds") != 1 || strings.Contains(got, "rival") {
		t.Error(got)
	}
	waits(t, fern)
	waits(t, hazel)
}

func TestAnothersMomentTakenBackIsAProposal(t *testing.T) {
	fern, rowan := two(t)
	press(t, fern, 1, "light", time.Date(2026, 5, 1, 9, 30, 0, 0, time.UTC))
	merge(t, fern, rowan)
	press(t, rowan, 2, "light", rowan.now(), 1)
	merge(t, rowan, fern)
	waits(t, fern, "mark Ring/1 rivals=false yours=true; Fern stands: light at 2026-05-01 09:30:00.0 UTC by the clock of phone; Rowan proposed: light did not happen")
	choose(t, fern, "Rowan")
	waits(t, fern)
	if got := states(fern); strings.Contains(got, "holds") {
		t.Error(got)
	}
}

func TestSettlingWhatDoesNotStand(t *testing.T) {
	fern, _ := two(t)
	if err := fern.Settle(context.Background(), journal.ID{1}); err == nil {
		t.Error("settled on nothing")
	}
	id := fern.fold.State("burn", "Ring/1").Live[0].ID
	take(t, fern, swap(`"6:33"`, `"6:35"`), Refuse)
	if err := fern.Settle(context.Background(), id); err == nil || err.Error() != fmt.Sprintf("record %.8v does not stand any more: not on the bench", id) {
		t.Error(err)
	}
	if err := fern.SettleMark(context.Background(), "Ring", "1", id); err == nil {
		t.Error("a burn settled as a moment")
	}
}

func TestTheLogNamesWhatARecordIsAbout(t *testing.T) {
	for _, x := range []struct {
		kind, subject string
		want          Topic
	}{
		{"trial", "A/B", Topic{Kind: "trial", Name: "A/B"}},
		{"burn", burnSubject("A/B", "1/2%"), Topic{Kind: "burn", Title: "A/B", Name: "1/2%"}},
		{"mark", markSubject(burnSubject("A/B", "7"), "pot_on", ""), Topic{Kind: "burn", Title: "A/B", Name: "7", What: "pot on"}},
		{"mark", markSubject(burnSubject("A", "7"), "spill", "00ff"), Topic{Kind: "burn", Title: "A", Name: "7", What: "spill"}},
		{"photo", photosOf("burn", burnSubject("A/B", "7")) + "/00ff", Topic{Kind: "burn", Title: "A/B", Name: "7", What: "photo"}},
		{"photo", photosOf("pot", "a/b") + "/00ff", Topic{Kind: "pot", Name: "a/b", What: "photo"}},
		{"kettle", "x", Topic{Kind: "kettle", Name: "x"}},
		{"mark", "", Topic{Kind: "burn"}},
		{"photo", "", Topic{What: "photo"}},
	} {
		if got := TopicOf(x.kind, x.subject); got != x.want {
			t.Errorf("%s %q: %+v, want %+v", x.kind, x.subject, got, x.want)
		}
	}
}

func TestARecordIsReadAnewAndChecked(t *testing.T) {
	fern, rowan := two(t)
	first := fern.fold.State("burn", "Ring/1").Live[0].ID
	take(t, fern, swap(`"6:33"`, `"6:35"`), Refuse)
	second := fern.fold.State("burn", "Ring/1").Live[0].ID
	x, err := fern.Record(context.Background(), first)
	if err != nil || x.State != "replaced" || len(x.ReplacedBy) != 1 || x.ReplacedBy[0] != second || !strings.Contains(x.Text, `boil = "6:33"`) || x.Fault != "" {
		t.Errorf("%v %+v", err, x)
	}
	if y, err := fern.Record(context.Background(), second); err != nil || y.State != "holds" || len(y.Replaces) != 1 || y.Tester != "Fern" {
		t.Errorf("%v %+v", err, y)
	}
	if _, err := fern.Record(context.Background(), journal.ID{1}); err == nil {
		t.Error("a record from nowhere")
	}
	b := open(t, alteredGet{rowan.store}, tester(2, "Rowan"))
	if y, err := b.Record(context.Background(), first); err != nil || y.State != "unreadable" || !strings.HasPrefix(y.Fault, "the bytes hash to ") || y.Text != "" {
		t.Errorf("%v %+v", err, y)
	}
}

// alteredGet hands out every record with a byte changed.
type alteredGet struct{ journal.Store }

func (a alteredGet) Get(ctx context.Context, id journal.ID) (journal.Entry, error) {
	e, err := a.Store.Get(ctx, id)
	e.Bytes = append([]byte(nil), e.Bytes...)
	if len(e.Bytes) > 0 {
		e.Bytes[len(e.Bytes)-3] ^= 1
	}
	return e, err
}

func TestTheLogSaysWhatBecameOfRivals(t *testing.T) {
	fern, rowan := two(t)
	take(t, fern, swap(`"6:33"`, `"6:35"`), Refuse)
	at := fern.now()
	press(t, fern, 1, "light", at)
	press(t, rowan, 2, "light", at.Add(3*time.Second))
	merge(t, rowan, fern)
	count := func() map[string]int {
		all, _ := fern.Log(0, 100)
		n := map[string]int{}
		for _, l := range all {
			n[l.State]++
		}
		return n
	}
	if n := count(); n["rival"] != 2 || n["replaced"] != 1 {
		t.Error(n)
	}
	choose(t, fern, "Rowan")
	if n := count(); n["rival"] != 0 || n["replaced"] != 3 {
		t.Error(n)
	}
}
