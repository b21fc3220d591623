package web

import (
	"fmt"
	htmlpkg "html"
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"fairburn/bench"
)

// newKey lets phones pair with a site.
func newKey(t *testing.T, s *Site) string {
	t.Helper()
	s.LAN, s.Hosts = true, []string{"192.168.1.7"}
	key, err := s.Devices.NewKey()
	if err != nil {
		t.Fatal(err)
	}
	return key.Text
}

// pressAt is a press as JSON, so many milliseconds after the time of the bench.
func pressAt(s *Site, nonce int, what string, ms int64, more string) string {
	now := s.Now().UnixMilli()
	return strings.Replace(pressOf(s, nonce, what, more), fmt.Sprintf(`"at":%d`, now), fmt.Sprintf(`"at":%d`, now+ms), 1)
}

// TestADeviceDoesNotContradictItself presses one mark twice on one device.
func TestADeviceDoesNotContradictItself(t *testing.T) {
	for name, c := range map[string]struct {
		lots [][]int64 // each a lot of presses, in milliseconds after light
		want string    // boil after light, of the one that stands
		n    int       // moments of the boil that are kept
	}{
		"twice at once":             {[][]int64{{0, 300}}, "0s", 1},
		"twice, sent apart":         {[][]int64{{0}, {1500}}, "0s", 1},
		"again, later":              {[][]int64{{0}, {1501}}, "1.501s", 3},
		"again in one lot":          {[][]int64{{0, 20000}}, "20s", 3},
		"three times":               {[][]int64{{0}, {20000}, {20100}, {60000}}, "1m0s", 5},
		"an earlier time for it":    {[][]int64{{0}, {-5000}}, "-5s", 3},
		"again, and then once more": {[][]int64{{0, 9000}, {0}}, "0s", 5},
	} {
		t.Run(name, func(t *testing.T) {
			s, nonce := oneReady(t), 1
			pressed(t, s, "["+pressAt(s, nonce, "light", 0, "")+"]")
			for _, lot := range c.lots {
				var all []string
				for _, ms := range lot {
					nonce++
					all = append(all, pressAt(s, nonce, "boil", ms, ""))
				}
				body := "[" + strings.Join(all, ",") + "]"
				for range 2 { // the answer may be lost: all is sent again
					if a := answered(t, pressed(t, s, body)); len(a.Kept) != len(lot) {
						t.Fatalf("kept %v, refused %v", a.Kept, a.Refused)
					}
				}
			}
			if m := moment(t, s, "1", "boil"); m.State != "holds" || m.At.Sub(s.Now()).String() != c.want {
				t.Errorf("boil %s at %v", m.State, m.At.Sub(s.Now()))
			}
			all := slices.DeleteFunc(s.Bench.Moments(demoTitle, "1"), func(m bench.Moment) bool { return m.What != "boil" })
			if len(all) != c.n {
				t.Errorf("%d moments of the boil are kept, wanted %d: %v", len(all), c.n, all)
			}
		})
	}
}

// What can happen again is kept as often as it is marked.
func TestWhatCanHappenAgainIsNoDouble(t *testing.T) {
	s := oneReady(t)
	pressed(t, s, "["+pressAt(s, 1, "spill", 0, "")+","+pressAt(s, 2, "spill", 100, "")+","+pressAt(s, 3, "not_boiling", 0, "")+","+pressAt(s, 4, "not_boiling", 200, "")+"]")
	if got := held(s, "1"); len(got) != 4 {
		t.Errorf("the bench has %v", got)
	}
}

// scriptless presses a button of the timing page as a browser without script does,
// and returns the page that comes.
type scriptless struct {
	*testing.T
	*Site
	page string
}

func (x *scriptless) press(name, value string, more ...string) {
	x.Helper()
	form := url.Values{"title": {demoTitle}, "burn": {"1"}, "station": {"1"}, "nonce": {newNonce()}, name: {value}}
	for i := 0; i+1 < len(more); i += 2 {
		form.Set(more[i], more[i+1])
	}
	w := post(x.T, x.Site, "/marks", form)
	if w.Code != http.StatusSeeOther {
		x.Fatalf("%s=%s: %d %s", name, value, w.Code, w.Body)
	}
	x.page = page(x.T, x.Site, w.Header().Get("Location"))
}

// offered is the value and the words of a button, "" and "" where it is hidden.
func (x *scriptless) offered(name string) (value, words string) {
	m := regexp.MustCompile(`<button class="` + name + `[ "][^>]*value="([^"]*)"[^>]*>(.*?)</button>`).FindStringSubmatch(x.page)
	if m == nil {
		return "", ""
	}
	return htmlpkg.UnescapeString(m[1]), regexp.MustCompile(`<[^>]*>`).ReplaceAllString(m[2], "")
}

func TestScriptlessUndoIsPutBack(t *testing.T) {
	s := oneReady(t)
	x := &scriptless{T: t, Site: s}
	x.press("what", "light", "ago", "100")
	x.press("what", "boil", "ago", "30")
	boil := moment(t, s, "1", "boil")
	undo, words := x.offered("undo")
	if words != "Undo: boil 1:10.0" {
		t.Errorf("the page offers %q", words)
	}
	x.press("undo", undo)
	if got := held(s, "1"); !slices.Equal(got, []string{"light"}) {
		t.Fatalf("the bench has %v", got)
	}
	back, words := x.offered("back")
	if words != "Put back: boil 1:10.0" {
		t.Errorf("after the undo the page offers %q", words)
	}
	x.press("back", back)
	if again := moment(t, s, "1", "boil"); !again.At.Equal(boil.At) || again.Nonce == boil.Nonce {
		t.Errorf("boil is back at %v, was at %v", again.At, boil.At)
	}
	if back, words := x.offered("back"); back != "" {
		t.Errorf("the page still offers %q", words)
	}
	for _, form := range []url.Values{{"back": {"77"}}, {"undo": {"unseen"}}, {"undo": {"boil 77"}}, {"replace": {"boil"}}, {"replace": {"boil soon"}}} {
		form.Set("title", demoTitle)
		form.Set("burn", "1")
		form.Set("nonce", newNonce())
		if w := post(t, s, "/marks", form); w.Code < 400 || w.Code >= 500 {
			t.Errorf("%v: %d", form, w.Code)
		}
	}
}

func TestScriptlessSecondMarkIsAsked(t *testing.T) {
	s := oneReady(t)
	at := s.Now()
	s.Now = func() time.Time { return at }
	x := &scriptless{T: t, Site: s}
	x.press("what", "light")
	at = at.Add(time.Second)
	x.press("what", "light") // the glass was wet
	if _, words := x.offered("replace"); words != "" {
		t.Errorf("a double press is asked about: %q", words)
	}
	at = at.Add(time.Minute)
	x.press("what", "light")
	replace, words := x.offered("replace")
	if words != "Replace it by 1:01.0" || !strings.Contains(x.page, `<span class="was">light </span> stands already`) {
		t.Errorf("the page asks %q", words)
	}
	if m := moment(t, s, "1", "light"); !m.At.Equal(at.Add(-61 * time.Second)) {
		t.Errorf("light at %v before it was answered", m.At)
	}
	x.press("leave", "yes")
	at = at.Add(time.Minute) // whoever thinks about it has the time of the press
	x.press("replace", replace)
	if m := moment(t, s, "1", "light"); m.State != "holds" || !m.At.Equal(at.Add(-time.Minute)) {
		t.Errorf("light %s at %v", m.State, m.At)
	}
}
