package bench

import (
	"context"
	"errors"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"fairburn/journal"
	"fairburn/journal/journaltest"
	"fairburn/sheet"
)

// everySection is an invented trip with something under every section.
const everySection = `fairburn = 1
title = "Über den <Paß>/2"
invented = true
people = 2
choose = "mean carried mass"
reserve = "5 % dry"
leave = ["pot"]
seed = 7
currency = "EUR"

[limits]
wait = "2 h"

[[leg]]
name = "up"
days = 2
boils = [{ name = "supper", water = "0.5 L", each = true, simmer = "3 min" }, { water = "2.0 cups", per_day = 2 }]
water_start = "6 ± 3 °C"
snow = "20 %"
elevation = "1100 m"
air = "2 ± 5 °C"
wind = "breeze"
resupply = ["spirit"]

[[rule]]
place = "pass"
text = "ask \"again\""
checked = "2 May"

[[fuel]]
name = "can"
price = "4.00"

[[stove]]
name = "canister top"
burns = "gas"
mass = "78 g"
per_litre = "14 ± 2 g"

[[bottle]]
name = "bottle"
holds = "250 mL"
mass = "32 g"

[[cartridge]]
name = "small"
gas = "100 g"
full = "196 g"

[[tablet]]
name = "tablet"
mass = "14 g"

[[lighter]]
name = "lighter"
mass = "11 g"

[[past]]
trip = "Über den <Paß>/2"
stove = "Heron"
planned = "240 g"
used = "262 g"
`

func tripOf(t fataler, text string) *sheet.Trip {
	t.Helper()
	x, fs, err := sheet.ReadTrip("trip.toml", []byte(text))
	if err != nil || len(fs) > 0 {
		t.Fatal(err, fs)
	}
	return x
}

func putTrip(t fataler, b *Bench, text string, saw []journal.ID) Report {
	t.Helper()
	x := tripOf(t, text)
	r, subject, err := b.PutTrip(context.Background(), x, saw)
	if err != nil || subject != x.Title {
		t.Fatal(err, subject)
	}
	return r
}

// peopleOf is how many go on the trip that holds, -1 where none does.
func peopleOf(b *Bench, title string) int {
	if x, _, err := b.Trip(title); err == nil {
		return x.People
	}
	return -1
}

const tripTitle = "Über den <Paß>/2"

func TestATripIsKeptAsATrialIs(t *testing.T) {
	ctx := context.Background()
	store := journaltest.NewMemory()
	b := open(t, store, tester(1, "Fern"))
	if r := putTrip(t, b, everySection, []journal.ID{}); !slices.Equal(r.Added, []string{"trip " + tripTitle}) {
		t.Errorf("%+v", r)
	}
	if r := putTrip(t, b, everySection, nil); r.Kept != 1 {
		t.Errorf("%+v", r)
	}
	got, saw, err := open(t, store, tester(1, "Fern")).Trip(tripTitle)
	if err != nil || len(saw) != 1 {
		t.Fatal(err, saw)
	}
	if d := cmp.Diff(tripOf(t, everySection), got, same); d != "" {
		t.Error(d)
	}
	three := strings.Replace(everySection, "people = 2", "people = 3", 1)
	if r := putTrip(t, b, three, saw); len(r.Replaced) != 1 || r.Replaced[0].String() != "people = 3 in place of people = 2" {
		t.Errorf("%+v", r)
	}
	if h, err := b.History(ctx, "trip", tripTitle); err != nil || len(h) != 2 || h[1].State != "holds" {
		t.Error(err, h)
	}
	undo(t, b, "trip", tripTitle)
	if n := peopleOf(b, tripTitle); n != 2 {
		t.Error(n)
	}
	if err := b.Withdraw(ctx, "trip", tripTitle); err != nil {
		t.Fatal(err)
	}
	if _, _, err := b.Trip(tripTitle); !errors.Is(err, ErrUnknown) || len(b.Trips()) != 0 {
		t.Error(err, b.Trips())
	}
	undo(t, b, "trip", tripTitle)
	if n := peopleOf(b, tripTitle); n != 2 || len(b.Trips()) != 1 {
		t.Error(n)
	}
	if _, _, err := b.PutTrip(ctx, &sheet.Trip{}, nil); err == nil || err.Error() != "a trip without a title cannot be found again" {
		t.Error(err)
	}
	long := &sheet.Trip{}
	long.Title = strings.Repeat("o", longestSubject+1)
	if _, _, err := b.PutTrip(ctx, long, nil); err == nil || !strings.Contains(err.Error(), "expected at most 150") {
		t.Error(err)
	}
}

// A trip and a trial may have one title; neither changes the other.
func TestATripIsNoTrial(t *testing.T) {
	b := open(t, journaltest.NewMemory(), tester(1, "Fern"))
	take(t, b, ring, Refuse)
	before := b.Version("Ring")
	putTrip(t, b, strings.Replace(everySection, tripTitle, "Ring", 1), nil)
	if b.Version("Ring") != before || len(b.Trials()) != 1 || len(b.Trips()) != 1 {
		t.Error(b.Trials(), b.Trips())
	}
	if shelf, _ := b.Shelf(); len(shelf.Burners) != 1 {
		t.Error(shelf.Burners)
	}
}

func TestTripsThatContradictEachOtherAreSettled(t *testing.T) {
	ctx := context.Background()
	fern, rowan := open(t, journaltest.NewMemory(), tester(1, "Fern")), open(t, journaltest.NewMemory(), tester(2, "Rowan"))
	putTrip(t, fern, everySection, nil)
	putTrip(t, rowan, strings.Replace(everySection, "people = 2", "people = 4", 1), nil)
	merge(t, rowan, fern)
	_, _, err := fern.Trip(tripTitle)
	if err == nil || !strings.Contains(err.Error(), "2 records contradict each other") {
		t.Fatal(err)
	}
	if all := fern.Trips(); len(all) != 1 || all[0].Trip != nil {
		t.Error(all)
	}
	has(t, fern.Findings(), "records_disagree", "people = 4")
	u := fern.Unsettled()
	if len(u) != 1 || u[0].Kind != "trip" || !u[0].Rivals || len(u[0].Versions) != 2 {
		t.Fatalf("%+v", u)
	}
	if err := fern.Settle(ctx, u[0].Versions[1].ID); err != nil {
		t.Fatal(err)
	}
	if n := peopleOf(fern, tripTitle); n != 4 || len(fern.Unsettled()) > 0 {
		t.Error(n)
	}
	log, n := fern.Log(0, 5)
	if n != 3 || log[0].About != (Topic{Kind: "trip", Name: tripTitle}) || log[0].State != "holds" {
		t.Error(n, log)
	}
}

// What a trip says of itself counts for all others; what it says of earlier ones
// counts for itself alone.
func TestWhatTripsUsedCountsForOthers(t *testing.T) {
	b := open(t, journaltest.NewMemory(), tester(1, "Fern"))
	putTrip(t, b, everySection+"\n[[past]]\ntrip = \"before\"\nstove = \"Heron\"\nplanned = \"100 g\"\nused = \"50 g\"\n", nil)
	if got := b.Used("Weekend"); len(got) != 1 || got[0].Used.Text != "262 g" {
		t.Error(got)
	}
	if got := b.Used(tripTitle); len(got) != 0 {
		t.Error(got)
	}
}

// Records of trips stay readable for ever.
func TestTripRecordsAreReadForEver(t *testing.T) {
	b := stored(t, "testdata/records-3.txt", func(b *Bench) {
		putTrip(t, b, strings.Replace(everySection, "people = 2", "people = 3", 1), nil)
		putTrip(t, b, everySection, nil)
		putTrip(t, b, strings.Replace(everySection, tripTitle, "Weekend", 1), nil)
		undo(t, b, "trip", "Weekend")
	})
	got, _, err := b.Trip(tripTitle)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(tripOf(t, everySection), got, same); d != "" {
		t.Error(d)
	}
	if all := b.Trips(); len(all) != 1 {
		t.Error(all)
	}
}
