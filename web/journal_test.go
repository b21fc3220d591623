package web

import (
	"bytes"
	"context"
	"math/rand/v2"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"fairburn/bench"
	"fairburn/burn"
	"fairburn/journal"
	"fairburn/journal/journaltest"
	"fairburn/sheet"
)

// other is the bench of another tester, beginning with the records given.
type other struct {
	*bench.Bench
	store journal.Store
}

func newOther(t testing.TB, seed uint64, name string, records string) other {
	t.Helper()
	now := time.Date(2026, 5, 2, 9, 0, 0, 0, time.UTC)
	clock := func() time.Time { now = now.Add(time.Second); return now }
	o := other{store: journaltest.NewMemory()}
	var err error
	o.Bench, err = bench.Open(t.Context(), o.store, bench.Tester{Key: journaltest.NewMaker(seed).Key, Name: name, Now: clock, Random: rand.NewChaCha8([32]byte{byte(seed)})})
	if err != nil {
		t.Fatal(err)
	}
	if records != "" {
		if _, err := o.Merge(t.Context(), strings.NewReader(records), "test"); err != nil {
			t.Fatal(err)
		}
	}
	return o
}

// takes a sheet as its tester has it.
func (o other) takes(t testing.TB, text string) {
	t.Helper()
	x, _, err := sheet.Read("x.toml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	if r, err := o.Take(t.Context(), x, bench.Correct); err != nil {
		t.Fatal(err, r.Findings)
	}
}

// records are all of its records as a file.
func (o other) records(t testing.TB) string {
	t.Helper()
	var b bytes.Buffer
	if _, err := journal.WriteExchange(&b, o.store.Since(context.Background(), 0, journal.Whole)); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// uploadRecords sends a file of records as the owner does.
func uploadRecords(t testing.TB, s *Site, name, text string) *httptest.ResponseRecorder {
	t.Helper()
	var b bytes.Buffer
	form := multipart.NewWriter(&b)
	file, err := form.CreateFormFile("file", name)
	if err == nil {
		_, err = file.Write([]byte(text))
	}
	if err != nil || form.Close() != nil {
		t.Fatal(err)
	}
	r := httptest.NewRequestWithContext(t.Context(), http.MethodPost, "/journal/merge", &b)
	r.Header.Set("Content-Type", form.FormDataContentType())
	return ask(s, r)
}

const small = "fairburn = 1\ntitle = \"Ring\"\n[[pot]]\nname = \"kettle\"\nmass = \"118 g\"\n[[burner]]\nname = \"Gull\"\nfamily = \"open\"\n" +
	"[[entry]]\nname = \"Gull\"\nburner = \"Gull\"\npot = \"kettle\"\n[[burn]]\nid = 1\nentry = \"Gull\"\nboil = \"6:33\"\n[[burn]]\nid = 2\nentry = \"Gull\"\nboil = \"6:40\"\n"

func boils(text string) string { return strings.Replace(small, `"6:33"`, `"`+text+`"`, 1) }

// rivals is a site whose burn 1 another tester has otherwise.
func rivals(t testing.TB) *Site {
	t.Helper()
	s := emptySite(t)
	take(t, s, small)
	rowan := newOther(t, 2, "Rowan", "")
	rowan.takes(t, boils("6:35"))
	if w := uploadRecords(t, s, "from-rowan.txt", rowan.records(t)); w.Code != http.StatusOK || !strings.Contains(w.Body.String(), "contradict each other") {
		t.Fatalf("%d %s", w.Code, w.Body)
	}
	return s
}

// proposed is a site to which another tester proposes a correction of burn 1.
func proposed(t testing.TB) *Site {
	t.Helper()
	s := emptySite(t)
	take(t, s, small)
	rowan := newOther(t, 2, "Rowan", page(t, s, "/journal/records.txt"))
	rowan.takes(t, boils("6:35"))
	if w := uploadRecords(t, s, "from-rowan.txt", rowan.records(t)); w.Code != http.StatusOK {
		t.Fatalf("%d %s", w.Code, w.Body)
	}
	return s
}

// boil is when a burn of the small trial boiled, "" where nothing holds.
func boil(t testing.TB, s *Site, id string) string {
	t.Helper()
	x, _, err := s.Bench.Trial("Ring")
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range x.Burns {
		if b.ID == id {
			return b.Marks[burn.Boil].Text
		}
	}
	return ""
}

// contains tells what a page lacks.
func contains(t testing.TB, body string, want ...string) {
	t.Helper()
	for _, w := range want {
		if !strings.Contains(body, w) {
			t.Errorf("the page lacks %q", w)
		}
	}
}

// idOfVersion is the record of a tester in what is to be settled first.
func idOfVersion(t testing.TB, s *Site, tester string) string {
	t.Helper()
	for _, v := range s.Bench.Unsettled()[0].Versions {
		if v.Tester == tester {
			return v.ID.String()
		}
	}
	t.Fatalf("nothing of %s's is to be settled", tester)
	return ""
}

func TestAnEmptyJournalTeaches(t *testing.T) {
	s := emptySite(t)
	body := page(t, s, "/journal")
	contains(t, body, "It is empty", "A correction is a new record", `href="/trials/new"`, "Back up", `enctype="multipart/form-data"`)
	if strings.Contains(body, "Download the records") != true {
		t.Error("an empty bench cannot be handed on")
	}
}

func TestTheJournalSaysWhoAddedWhatWhen(t *testing.T) {
	s := newSite(t)
	body := page(t, s, "/journal")
	x, _ := s.view(demoTitle)
	last := x.Burns[len(x.Burns)-1].ID
	contains(t, body, "<strong>Hazel</strong>", `href="`+at("trial", demoTitle, "burn", last)+`"`, "burn "+last+" of "+demoTitle, "/journal?from=50", "1 to 50 of ")
	if n := strings.Count(body, "/journal/record/"); n != onePage {
		t.Errorf("%d records on a page", n)
	}
	second := page(t, s, "/journal?from=50")
	contains(t, second, "/journal?from=0", "51 to ")
	contains(t, page(t, s, "/journal?from=100000"), "none that far back")
	for from, code := range map[string]int{"-1": 400, "x": 400, "9999999999999999999999": 400, "": 200} {
		if w := get(t, s, "/journal?from="+from); w.Code != code {
			t.Errorf("from %q: %d", from, w.Code)
		}
	}
	before := strings.Count(body, "corrected")
	sent(t, s, at("trial", demoTitle, "burn", last, "void"), url.Values{"void": {"the lid slid off"}})
	body = page(t, s, "/journal")
	if got := strings.Count(body, "<em>corrected</em>"); got != before+1 {
		t.Errorf("%d corrections listed", got)
	}
	contains(t, body, "replaced since")
}

func TestRivalsAreShownSideBySideAndSettled(t *testing.T) {
	s := rivals(t)
	body := page(t, s, "/journal")
	contains(t, body, "contradict each other", `boil = &#34;6:33&#34;`, `boil = &#34;6:35&#34;`, "This one holds", `href="/trial/Ring/burn/1"`, "contradicted, not used")
	if boil(t, s, "1") != "" {
		t.Error("a rival is used")
	}
	to := sent(t, s, "/journal/settle", url.Values{"id": {idOfVersion(t, s, "Rowan")}})
	if boil(t, s, "1") != "6:35" {
		t.Error(boil(t, s, "1"))
	}
	body = page(t, s, to)
	contains(t, body, "settled: burn 1 of Ring", `action="/undo"`)
	if strings.Contains(body, "To settle") {
		t.Error("settled and still listed")
	}
	sent(t, s, "/undo", url.Values{"kind": {"burn"}, "subject": {"Ring/1"}, "to": {"/journal"}})
	contains(t, page(t, s, "/journal"), "To settle")
}

func TestProposalsAreTakenOverOrDeclined(t *testing.T) {
	for tester, want := range map[string]string{"Rowan": "6:35", "Hazel": "6:33"} {
		s := proposed(t)
		contains(t, page(t, s, "/journal"), "A correction is proposed", "Take it over", "Decline, keep this", `boil = &#34;6:35&#34;`)
		id := idOfVersion(t, s, tester)
		sent(t, s, "/journal/settle", url.Values{"id": {id}})
		if body := page(t, s, "/journal"); boil(t, s, "1") != want || strings.Contains(body, "To settle") {
			t.Error(tester, boil(t, s, "1"))
		}
		if to := sent(t, s, "/journal/settle", url.Values{"id": {id}}); !strings.Contains(to, "settled+already") {
			t.Error("settled twice:", to)
		}
	}
}

func TestAnothersWordIsNotTakenForThem(t *testing.T) {
	s := emptySite(t)
	rowan := newOther(t, 2, "Rowan", "")
	rowan.takes(t, small)
	fern := newOther(t, 3, "Fern", rowan.records(t))
	fern.takes(t, boils("6:35"))
	uploadRecords(t, s, "fern.txt", fern.records(t))
	body := page(t, s, "/journal")
	contains(t, body, "It waits for the word of Rowan")
	if strings.Contains(body, "Take it over") {
		t.Error("another's proposal to another can be taken over")
	}
	if w := post(t, s, "/journal/settle", url.Values{"id": {idOfVersion(t, s, "Fern")}}); w.Code != http.StatusBadRequest || !strings.Contains(w.Body.String(), "whoever recorded") {
		t.Error(w.Code)
	}
}

func TestSettleRefusesWhatIsNoRecord(t *testing.T) {
	s := rivals(t)
	for _, id := range []string{"", "x", strings.Repeat("g", 64), strings.Repeat("A", 64)} {
		if w := post(t, s, "/journal/settle", url.Values{"id": {id}}); w.Code != http.StatusBadRequest {
			t.Errorf("%q: %d", id, w.Code)
		}
	}
}

func TestVerifyTellsWhatItReadAndFound(t *testing.T) {
	s := newSite(t)
	w := post(t, s, "/journal/verify", nil)
	contains(t, w.Body.String(), "All is whole", "records were read again")
	w = post(t, rivals(t), "/journal/verify", nil)
	contains(t, w.Body.String(), "1 thing to look at", "records_disagree", "Ring: burn 1")
}

func TestARecordIsShownWithItsProof(t *testing.T) {
	s := emptySite(t)
	take(t, s, small)
	h, err := s.Bench.History(t.Context(), "burn", "Ring/1")
	if err != nil {
		t.Fatal(err)
	}
	first := h[0].ID.String()
	contains(t, page(t, s, "/journal/record/"+first), "burn 1 of Ring", "checked just now: right", `boil = &#34;6:33&#34;`, "by their own clock", "Hazel", ">holds<", "Shun this record")
	take(t, s, boils("6:34"))
	h, err = s.Bench.History(t.Context(), "burn", "Ring/1")
	if err != nil {
		t.Fatal(err)
	}
	second := h[1].ID.String()
	contains(t, page(t, s, "/journal/record/"+first), "/journal/record/"+second, "newer records that name it", "replaced since")
	contains(t, page(t, s, "/journal/record/"+second), "/journal/record/"+first, "stands in for")
	for id, code := range map[string]int{strings.Repeat("0", 64): 404, "x": 400, strings.ToUpper(first): 400} {
		if w := get(t, s, "/journal/record/"+id); w.Code != code {
			t.Errorf("%s: %d", id, w.Code)
		}
	}
}

// bitten hands out every record with a byte changed.
type bitten struct{ journal.Store }

func (b bitten) Get(ctx context.Context, id journal.ID) (journal.Entry, error) {
	e, err := b.Store.Get(ctx, id)
	if e.Bytes = bytes.Clone(e.Bytes); len(e.Bytes) > 0 {
		e.Bytes[len(e.Bytes)-3] ^= 1
	}
	return e, err
}

func TestADamagedRecordIsNamed(t *testing.T) {
	s := emptySite(t)
	take(t, s, small)
	b, err := bench.Open(t.Context(), bitten{s.Store}, bench.Tester{Key: journaltest.NewMaker(1).Key, Name: "Hazel", Now: time.Now, Random: rand.NewChaCha8([32]byte{9})})
	if err != nil {
		t.Fatal(err)
	}
	id := regexp.MustCompile(`/journal/record/([0-9a-f]{64})`).FindString(page(t, s, "/journal"))
	s.Bench = b
	contains(t, page(t, s, id), "damaged and is not used", "the bytes hash to", "Restore a backup")
}

func TestTheRecordOfAPhotoShowsIt(t *testing.T) {
	s := emptySite(t)
	take(t, s, small)
	if _, err := s.Bench.AddPhoto(t.Context(), bench.Shot{Kind: "burner", Subject: "Gull", Caption: `seen <from> above`, JPEG: []byte("\xff\xd8\xff\xd9")}); err != nil {
		t.Fatal(err)
	}
	id := s.Bench.Photos("burner", "Gull")[0].ID.String()
	contains(t, page(t, s, "/journal"), "photo of burner Gull", `href="/shelf/burner/Gull"`)
	contains(t, page(t, s, "/journal/record/"+id), `src="/photo/`+id+`"`, "seen &lt;from&gt; above")
}
