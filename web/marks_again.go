package web

import (
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"fairburn/bench"
)

// bounce is how far apart two presses of one mark on one device may be that were
// meant as one (common practice, no source).
const bounce = 1500 * time.Millisecond

// withoutDoubles are presses as the bench is to keep them, where a device marks
// what it has marked before: of two within a moment the first is kept; one that
// comes later takes the earlier back. So no device contradicts itself.
func (s *Site) withoutDoubles(lot []bench.Press) (kept []bench.Press) {
	for _, p := range lot {
		before := s.before(kept, p)
		if slices.ContainsFunc(before, func(m bench.Press) bool { return bounced(m, p) }) {
			continue
		}
		for _, m := range before {
			m.TakesBack, m.Nonce, m.Pressed = m.Nonce, newNonce(), p.Pressed
			kept = append(kept, m)
		}
		kept = append(kept, p)
	}
	return kept
}

func bounced(m, p bench.Press) bool { return p.At.Sub(m.At).Abs() <= bounce }

// before are the presses by which the device of p marked the same before, and that
// stand; lot are those that are kept with p, before it. A press that is here
// already, and is sent again, has none.
func (s *Site) before(lot []bench.Press, p bench.Press) (mine []bench.Press) {
	if p.TakesBack != "" || !bench.Once(p.What) {
		return nil
	}
	for _, m := range s.Bench.Moments(p.Title, p.Burn) {
		if m.Nonce == p.Nonce {
			return nil
		}
		if stands(m) && m.What == p.What && m.Device == p.Device && m.Tester == s.Bench.Tester() {
			mine = append(mine, pressOfMoment(p, m))
		}
	}
	for _, q := range lot {
		switch {
		case q.Title != p.Title || q.Burn != p.Burn || q.What != p.What || q.Device != p.Device:
		case q.TakesBack == "":
			mine = append(mine, q)
		default:
			mine = slices.DeleteFunc(mine, func(m bench.Press) bool { return m.Nonce == q.TakesBack })
		}
	}
	return mine
}

// pressOfMoment is the press of a moment of the burn of p.
func pressOfMoment(p bench.Press, m bench.Moment) bench.Press {
	return bench.Press{Nonce: m.Nonce, Title: p.Title, Burn: p.Burn, What: m.What, At: m.At, Within: m.Within, Device: p.Device, Detail: m.Detail}
}

// undone is a press that was taken back a moment ago and can be put back.
type undone struct{ Burn, Nonce, Words string }

// undone reads from an address what the page before it took back.
func (s *Site) undone(r *http.Request, bays []bay) *undone {
	nonce := r.URL.Query().Get("undone")
	for _, b := range bays {
		if nonce == "" || b.Burn == nil {
			continue
		}
		if m, found := s.takenBack(r.PathValue("title"), b.Burn.ID, nonce); found {
			return &undone{b.Burn.ID, nonce, strings.TrimSpace("Put back: " + labelOf(m.What) + " " + b.Burn.from(m.At))}
		}
	}
	return nil
}

// UndoneOf is what was taken back of a burn, nil for nothing.
func (b benchView) UndoneOf(id string) *undone {
	if b.Undone == nil || b.Undone.Burn != id {
		return nil
	}
	return b.Undone
}

// takenBack finds the press that took another back. Its time is that of the other.
func (s *Site) takenBack(title, id, nonce string) (bench.Moment, bool) {
	for _, m := range s.Bench.Moments(title, id) {
		if m.Nonce == nonce && m.State == "taken back" {
			return m, true
		}
	}
	return bench.Moment{}, false
}

// question asks whether a mark is to be replaced that was made before.
type question struct{ Burn, Was, Now, Replace string }

// questionAddress names the press that is asked about.
func questionAddress(p bench.Press) url.Values {
	return url.Values{"again": {p.What}, "burn": {p.Burn}, "at": {strconv.FormatInt(p.At.UnixMilli(), 10)}}
}

// questionOf reads from an address which press is asked about.
func questionOf(r *http.Request, bays []bay) *question {
	what, q := r.URL.Query().Get("again"), r.URL.Query()
	ms, err := strconv.ParseInt(q.Get("at"), 10, 64)
	if what == "" || err != nil {
		return nil
	}
	for _, b := range bays {
		if b.Burn == nil || b.Burn.ID != q.Get("burn") {
			continue
		}
		i := slices.IndexFunc(b.Burn.Moments, func(m momentState) bool { return m.What == what })
		if i < 0 {
			continue
		}
		was := b.Burn.Moments[i]
		return &question{b.Burn.ID, was.Label + " " + was.From, b.Burn.from(time.UnixMilli(ms)), what + " " + strconv.FormatInt(ms, 10)}
	}
	return nil
}

// AsksOf is what is asked about a burn, nil for nothing.
func (b benchView) AsksOf(id string) *question {
	if b.Asks == nil || b.Asks.Burn != id {
		return nil
	}
	return b.Asks
}
