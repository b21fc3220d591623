package web

import (
	"cmp"
	"context"
	"crypto/rand"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"fairburn/bench"
	"fairburn/burn"
	"fairburn/journal"
)

// pressing is one press as a page sends it. Times are milliseconds of Unix time; at
// is on the bench's clock as far as the page knows it, within half-width.
type pressing struct {
	Nonce     string  `json:"nonce"`
	Title     string  `json:"title"`
	Burn      string  `json:"burn"`
	What      string  `json:"what"`
	At        float64 `json:"at"`
	Within    float64 `json:"within"`
	Pressed   float64 `json:"pressed"`
	Zone      int     `json:"zone"` // minutes east of UTC where the device is
	Detail    string  `json:"detail"`
	TakesBack string  `json:"takes_back"`
}

func (x pressing) press(device string) bench.Press {
	zone := max(-24*60+1, min(x.Zone, 24*60-1))
	return bench.Press{
		Nonce: x.Nonce, Title: x.Title, Burn: x.Burn, What: x.What, Detail: x.Detail, TakesBack: x.TakesBack, Device: device,
		At: instant(x.At), Within: time.Duration(max(0, min(x.Within, 1e12)) * float64(time.Millisecond)),
		Pressed: instant(x.Pressed).In(time.FixedZone("", zone*60)),
	}
}

// instant is a time of Unix in milliseconds; what no clock can show becomes year 1970.
func instant(ms float64) time.Time {
	if !(ms > 0 && ms < 2e14) {
		ms = 0
	}
	return time.UnixMilli(int64(ms)).UTC()
}

// mostPresses is how many a page may send at once.
const mostPresses = 200

// marks keeps presses: of a page's script many at once, of a form one.
func (s *Site) marks(w http.ResponseWriter, r *http.Request) error {
	if !strings.HasPrefix(r.Header.Get("Content-Type"), "application/json") {
		return s.markByForm(w, r)
	}
	var all []pressing
	if err := json.NewDecoder(r.Body).Decode(&all); err != nil {
		return misuse{fmt.Errorf("expected a list of presses as JSON: %w", err)}
	}
	if len(all) > mostPresses {
		return refuse("%d presses at once: expected at most %d", len(all), mostPresses)
	}
	kept, refused, err := s.keepPresses(r.Context(), all, deviceOf(r))
	if err != nil {
		return err
	}
	writeJSON(w, http.StatusOK, map[string]any{"kept": kept, "refused": refused, "now": s.Now().UnixMilli()})
	return nil
}

// keepPresses keeps the lot or, where one of them cannot be kept, each by
// itself, and says of that one why. The error is for a bench that cannot keep
// anything now: the page sends all of them again.
func (s *Site) keepPresses(ctx context.Context, all []pressing, device string) (kept []string, refused map[string]string, err error) {
	kept, refused = []string{}, map[string]string{}
	var lot []bench.Press
	for _, x := range all {
		lot = append(lot, x.press(device))
	}
	switch err := s.Bench.Press(ctx, s.withoutDoubles(lot)); {
	case errors.Is(err, journal.ErrAway): // each would wait as long again
		return kept, refused, err
	case err == nil:
		for _, x := range all {
			kept = append(kept, x.Nonce)
		}
		return kept, refused, nil
	}
	for _, p := range lot {
		err := s.Bench.Press(ctx, s.withoutDoubles([]bench.Press{p}))
		switch {
		case err == nil:
			kept = append(kept, p.Nonce)
		case errors.Is(err, bench.ErrRefused):
			refused[p.Nonce] = err.Error()
		default:
			return kept, refused, err
		}
	}
	return kept, refused, nil
}

// markByForm keeps the press of a page without script, by the clock of the bench.
func (s *Site) markByForm(w http.ResponseWriter, r *http.Request) error {
	if r.PostFormValue("leave") != "" { // what stands is not replaced
		return back(w, r, besideStation(r.PostFormValue("title"), r.PostFormValue("station"), nil), done{})
	}
	p, sure, err := s.pressOfForm(r)
	if err != nil {
		return err
	}
	number := r.PostFormValue("station")
	before := s.before(nil, p)
	if len(before) > 0 && !sure && !slices.ContainsFunc(before, func(m bench.Press) bool { return bounced(m, p) }) {
		return back(w, r, besideStation(p.Title, number, questionAddress(p)), done{})
	}
	if err := s.Bench.Press(r.Context(), s.withoutDoubles([]bench.Press{p})); err != nil {
		return err
	}
	var more url.Values
	if p.TakesBack != "" {
		more = url.Values{"undone": {p.Nonce}}
	}
	return back(w, r, besideStation(p.Title, number, more), done{})
}

// pressOfForm reads a press: a mark, now or some seconds ago; one that takes another
// back; one that puts back what was taken back; or one that is sure to replace an
// earlier mark of the same device.
func (s *Site) pressOfForm(r *http.Request) (p bench.Press, sure bool, err error) {
	now := s.Now()
	ago, err := strconv.ParseFloat(cmp.Or(r.PostFormValue("ago"), "0"), 64)
	if err != nil || !(ago >= 0 && ago <= 3600) {
		return p, false, refuse("%.20q seconds ago: expected 0 to 3600", r.PostFormValue("ago"))
	}
	p = bench.Press{Nonce: r.PostFormValue("nonce"), Title: r.PostFormValue("title"), Burn: r.PostFormValue("burn"), What: r.PostFormValue("what"),
		At: now.Add(-time.Duration(ago * float64(time.Second))), Pressed: now, Device: deviceOf(r)}
	switch undo, again, replace := r.PostFormValue("undo"), r.PostFormValue("back"), r.PostFormValue("replace"); {
	case undo != "":
		p.What, p.TakesBack, _ = strings.Cut(undo, " ")
		p.At = now
		return p, true, s.taking(&p)
	case again != "":
		m, found := s.takenBack(p.Title, p.Burn, again)
		if !found {
			return p, false, fmt.Errorf("what was taken back is %w", bench.ErrUnknown)
		}
		p.What, p.At, p.Within, p.Detail = m.What, m.At, m.Within, m.Detail
		return p, true, nil
	case replace != "":
		what, at, _ := strings.Cut(replace, " ")
		ms, err := strconv.ParseFloat(at, 64)
		if err != nil {
			return p, false, refuse("%.40q: expected a mark and its time", replace)
		}
		p.What, p.At = what, instant(ms)
		return p, true, nil
	}
	s.byTheTest(&p)
	return p, false, nil
}

// taking gives an undo the nonce, where it came without one, and the time of what
// it takes back, so that this can be put back.
func (s *Site) taking(p *bench.Press) error {
	for _, m := range s.Bench.Moments(p.Title, p.Burn) {
		if stands(m) && m.What == p.What && (m.Nonce == p.TakesBack || p.TakesBack == "") {
			p.TakesBack, p.At, p.Within = m.Nonce, m.At, m.Within
		}
	}
	if p.TakesBack == "" {
		return fmt.Errorf("what it would take back is %w", bench.ErrUnknown)
	}
	return nil
}

// byTheTest gives the end of the flame, as the snuffer test found it, the time from
// which no flame was seen.
func (s *Site) byTheTest(p *bench.Press) {
	for _, m := range s.Bench.Moments(p.Title, p.Burn) {
		if p.What == string(burn.Out) && m.What == bench.Unseen && stands(m) {
			p.At, p.Within = m.At, m.Within
		}
	}
}

// clock tells the time of the bench, by which pages align theirs.
func (s *Site) clock(w http.ResponseWriter, _ *http.Request) error {
	now := s.Now()
	writeJSON(w, http.StatusOK, map[string]float64{"now": float64(now.UnixMicro()) / 1000})
	return nil
}

func newNonce() string {
	n, err := journal.NewNonce(rand.Reader)
	if err != nil {
		panic(err) // the system's random source does not fail
	}
	return n
}

// writeJSON answers a program.
func writeJSON(w http.ResponseWriter, status int, v any) {
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	_ = json.NewEncoder(w).Encode(v) // a reader who has left is no error
}
