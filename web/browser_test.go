package web

import (
	"context"
	"crypto/rand"
	"encoding/json"
	"fmt"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	cdplog "github.com/chromedp/cdproto/log"
	cdpage "github.com/chromedp/cdproto/page"
	cdpruntime "github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"

	"fairburn/bench"
	"fairburn/browsertest"
	"fairburn/journal/journaltest"
	"fairburn/journal/sqlite"
	"fairburn/web/guard"
)

// patience is how long a test waits for what should come at once.
const patience = 30 * time.Second

// chromium is one browser for all tests of the package.
var chromium struct {
	once sync.Once
	ctx  context.Context
	stop func()
	dir  string
	err  error
}

func TestMain(m *testing.M) {
	code := m.Run()
	if chromium.stop != nil {
		chromium.stop()
	}
	if chromium.dir != "" {
		_ = os.RemoveAll(chromium.dir)
	}
	os.Exit(code)
}

// browser starts chromium at the first call.
func browser(t testing.TB) context.Context {
	t.Helper()
	chromium.once.Do(func() {
		if chromium.dir, chromium.err = os.MkdirTemp("", "fairburn-browser"); chromium.err == nil {
			chromium.ctx, chromium.stop, chromium.err = browsertest.Start(chromium.dir)
		}
	})
	browsertest.Need(t, chromium.err)
	return chromium.ctx
}

// stand is a bench in a file, served over a real connection on a port that it
// keeps when it is stopped and started again.
type stand struct {
	testing.TB
	*Site
	file, port string
	devices    *guard.Devices
	ahead      atomic.Int64 // how far its clock is ahead of the machine's, nanoseconds
	turn       sync.RWMutex // held by requests, so that the clock is not set under them
	deaf       atomic.Bool  // answers to marks are lost on the way
	stop       func()
	lost       atomic.Int64 // answers that were
}

func newStand(t testing.TB) *stand {
	t.Helper()
	s := &stand{TB: t, file: filepath.Join(t.TempDir(), "bench.db"), port: "0"}
	var err error
	if s.devices, err = guard.OpenDevices("", time.Now, rand.Reader); err != nil {
		t.Fatal(err)
	}
	s.start()
	t.Cleanup(func() { s.stop() })
	return s
}

// atTheFlame is a phone on the timing page of a burn that is ready to be lit.
func atTheFlame(t testing.TB) (*stand, *tab) {
	t.Helper()
	s := newStand(t)
	unburned(t, s.Site)
	ready(t, s.Site, 1, "Tansy")
	x := newTab(t, phoneScreen)
	lit(x, s.own("trial", demoTitle, "bench"))
	return s, x
}

func (s *stand) now() time.Time { return time.Now().Add(time.Duration(s.ahead.Load())) }

// start opens the bench and serves it.
func (s *stand) start() {
	s.Helper()
	store, err := sqlite.Open(s.file)
	if err != nil {
		s.Fatal(err)
	}
	b, err := bench.Open(context.Background(), store, bench.Tester{Key: journaltest.NewMaker(1).Key, Name: "Hazel", Now: s.now, Random: rand.Reader})
	if err != nil {
		s.Fatal(err)
	}
	l, err := net.Listen("tcp", "127.0.0.1:"+s.port)
	if err != nil {
		s.Fatal(err)
	}
	_, s.port, _ = net.SplitHostPort(l.Addr().String())
	ctx, cancel := context.WithCancel(context.Background())
	s.Site = New(ctx, Config{Bench: b, Store: store, Place: "bench.db", Devices: s.devices, LAN: true, Hosts: []string{"bench.test"},
		Root: func() string { return "http://bench.test:" + s.port }, Version: "test", Now: s.now})
	server := &http.Server{Handler: s.loses(s.Handler())}
	served := make(chan struct{})
	go func() { defer close(served); _ = server.Serve(l) }()
	s.stop = sync.OnceFunc(func() {
		_ = server.Close()
		<-served
		cancel()
		_ = store.Close()
	})
}

// loses is the way between the pages and the bench.
func (s *stand) loses(h http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path == "/events" {
			h.ServeHTTP(w, r)
			return
		}
		s.turn.RLock()
		defer s.turn.RUnlock()
		if !s.deaf.Load() || r.URL.Path != "/marks" {
			h.ServeHTTP(w, r)
			return
		}
		h.ServeHTTP(httptest.NewRecorder(), r)
		s.lost.Add(1)
		panic(http.ErrAbortHandler)
	})
}

// own is the address of a page at the machine itself, phone that for a phone.
func (s *stand) own(parts ...string) string   { return "http://localhost:" + s.port + at(parts...) }
func (s *stand) phone(parts ...string) string { return "http://bench.test:" + s.port + at(parts...) }

// tab is a page in a browser of its own (its cookies and its store are nobody else's).
type tab struct {
	testing.TB
	ctx context.Context
	mu  sync.Mutex
	bad []string // what a page must never do: dialogs, errors of script, breaches of the content policy
}

// screens are the two sizes every page is looked at.
var (
	phoneScreen   = emulation.SetDeviceMetricsOverrideParams{Width: 390, Height: 844, DeviceScaleFactor: 1, Mobile: true}
	desktopScreen = emulation.SetDeviceMetricsOverrideParams{Width: 1280, Height: 800, DeviceScaleFactor: 1}
)

// clockScript lets a test set the clocks of a page: ahead moves both, date only
// the wall clock, drift lets the wall clock run fast by that part of its time.
const clockScript = `(() => {
  const date = Date.now.bind(Date), since = performance.now.bind(performance), begun = date();
  window.__ahead = window.__ahead || 0; window.__date = window.__date || 0; window.__drift = window.__drift || 0;
  Date.now = () => date() + __ahead + __date + (date() - begun) * __drift;
  performance.now = () => since() + __ahead;
})();`

// newTab opens a browser with a store of its own.
func newTab(t testing.TB, screen emulation.SetDeviceMetricsOverrideParams) *tab {
	t.Helper()
	ctx, end := chromedp.NewContext(browser(t), chromedp.WithNewBrowserContext())
	t.Cleanup(end)
	ctx, end = context.WithTimeout(ctx, 3*time.Minute)
	t.Cleanup(end)
	x := &tab{TB: t, ctx: ctx}
	if err := chromedp.Listen(ctx, x.hear); err != nil {
		t.Fatal(err)
	}
	x.screen(screen)
	x.before(clockScript)
	_, err := chromedp.Call(ctx, emulation.SetFocusEmulationEnabled, emulation.SetFocusEmulationEnabledParams{Enabled: true})
	x.must(err)
	t.Cleanup(func() {
		x.mu.Lock()
		defer x.mu.Unlock()
		for _, b := range x.bad {
			t.Error("in the browser:", b)
		}
	})
	return x
}

func (x *tab) must(err error) {
	x.Helper()
	if err != nil {
		x.Fatal(err)
	}
}

func (x *tab) screen(p emulation.SetDeviceMetricsOverrideParams) {
	x.Helper()
	_, err := chromedp.Call(x.ctx, emulation.SetDeviceMetricsOverride, p)
	x.must(err)
	_, err = chromedp.Call(x.ctx, emulation.SetTouchEmulationEnabled, emulation.SetTouchEmulationEnabledParams{Enabled: p.Mobile})
	x.must(err)
}

// before runs a script at the start of every page to come, after those given earlier.
func (x *tab) before(script string) {
	x.Helper()
	_, err := chromedp.Call(x.ctx, cdpage.AddScriptToEvaluateOnNewDocument, cdpage.AddScriptToEvaluateOnNewDocumentParams{Source: script})
	x.must(err)
}

func (x *tab) open(address string) {
	x.Helper()
	x.must(chromedp.Do(x.ctx, chromedp.Navigate(address)))
}

// eval is what a script comes to.
func eval[T any](x *tab, format string, args ...any) T {
	x.Helper()
	script := fmt.Sprintf(format, args...)
	v, err := chromedp.Run(x.ctx, chromedp.Evaluate[T](script))
	if err != nil {
		x.Fatalf("%s: %v", script, err)
	}
	return v
}

// until waits for a script to come to true.
func (x *tab) until(format string, args ...any) {
	x.Helper()
	script := fmt.Sprintf(format, args...)
	for deadline := time.Now().Add(patience); ; time.Sleep(15 * time.Millisecond) {
		ok, err := chromedp.Run(x.ctx, chromedp.Evaluate[bool]("!!("+script+")"))
		if ok && err == nil {
			return
		}
		if time.Now().After(deadline) {
			x.shot("failed-" + strings.ReplaceAll(x.Name(), "/", "-"))
			x.Fatalf("never came true: %s (%v); the page says:\n%s", script, err, eval[string](x, "document.body ? document.body.innerText : ''"))
		}
	}
}

// press clicks with the mouse, or taps, what a selector finds. A page that follows
// others may exchange it at that moment: then what stands there now is pressed.
func (x *tab) press(selector string) {
	x.Helper()
	x.settled(selector)
	for deadline := time.Now().Add(patience); ; {
		err := chromedp.Do(x.ctx, chromedp.Click(chromedp.CSS(selector), chromedp.NodeVisible))
		if err == nil {
			return
		}
		moved := strings.Contains(err.Error(), "node") || strings.Contains(err.Error(), "invalid dimensions") // redrawn meanwhile
		if !moved || time.Now().After(deadline) {
			x.Fatalf("pressing %s: %v", selector, err)
		}
	}
}

// settled waits until what a selector finds stays where it is, as a person's eye does:
// what another station shows meanwhile may push it down.
func (x *tab) settled(selector string) {
	x.Helper()
	const where = `(() => { const e = document.querySelector(%s), b = e && e.getBoundingClientRect();
		return b ? [b.x, b.y + scrollY, b.width, b.height].join() : ""; })()`
	last := ""
	for deadline := time.Now().Add(patience); time.Now().Before(deadline); time.Sleep(40 * time.Millisecond) {
		now, err := chromedp.Run(x.ctx, chromedp.Evaluate[string](fmt.Sprintf(where, quoted(selector))))
		if err == nil && now != "" && now == last {
			return
		}
		last = now
	}
}

// follow goes on to another page by pressing something.
func (x *tab) follow(selector string) {
	x.Helper()
	eval[bool](x, "window.__left = true")
	x.press(selector)
	x.until("!window.__left && document.readyState === 'complete'")
}

func (x *tab) fill(selector, value string) {
	x.Helper()
	x.must(chromedp.Do(x.ctx, chromedp.SetValue(chromedp.CSS(selector), value, chromedp.NodeReady)))
}

func (x *tab) key(keys string) {
	x.Helper()
	x.must(chromedp.Do(x.ctx, chromedp.KeyEvent(keys)))
}

func (x *tab) text(selector string) string {
	x.Helper()
	return eval[string](x, "document.querySelector(%s)?.innerText || ''", quoted(selector))
}

// shot keeps a picture where FAIRBURN_SHOTS names a folder.
func (x *tab) shot(name string) {
	folder := os.Getenv("FAIRBURN_SHOTS")
	if folder == "" {
		return
	}
	png, err := chromedp.Run(x.ctx, chromedp.FullScreenshot(100))
	if err == nil {
		err = os.WriteFile(filepath.Join(folder, name+".png"), png, 0o644)
	}
	if err != nil {
		x.Log(err)
	}
}

func quoted(s string) string {
	b, _ := json.Marshal(s) // a string can be written
	return string(b)
}

// hear notes what no page of ours may do.
func (x *tab) hear(event any) {
	var bad string
	switch e := event.(type) {
	case *cdpage.EventJavascriptDialogOpening:
		bad = "a dialog: " + e.Message
	case *cdpruntime.EventExceptionThrown:
		bad = "an error of script: " + e.ExceptionDetails.Text
		if e.ExceptionDetails.Exception != nil {
			bad += " " + e.ExceptionDetails.Exception.Description
		}
	case *cdplog.EventEntryAdded:
		if e.Entry.Source == cdplog.EntrySourceSecurity || e.Entry.Source == cdplog.EntrySourceJavascript {
			bad = "a breach: " + e.Entry.Text
		}
	}
	if bad != "" {
		x.mu.Lock()
		defer x.mu.Unlock()
		x.bad = append(x.bad, bad)
	}
}
