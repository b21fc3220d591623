package guard

import (
	"context"
	"fmt"
	"html/template"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"fairburn/browsertest"
)

// site is a guarded server with a page, a form that marks, and what was marked by whom.
type site struct {
	*Devices
	port  string
	marks []string
}

func newSite(t *testing.T) *site {
	s := &site{Devices: newDevices("", time.Now, &counter{})}
	g := New(Config{Hosts: []string{"bench.test"}, Devices: s.Devices, LAN: true, Open: []string{"GET /style.css"}})
	mux := http.NewServeMux()
	mux.HandleFunc("GET /{$}", func(w http.ResponseWriter, r *http.Request) {
		d, _ := DeviceOf(r.Context())
		code, err := QRSVG("http://bench.test/")
		if err != nil {
			t.Error(err)
		}
		bare(w, r, http.StatusOK, "First page", template.HTML(fmt.Sprintf(`<p id="who">%s %s</p>%s
<form method="post" action="/mark"><button>Mark</button></form>
<script>document.title = "inline script ran"</script>`, RoleOf(r.Context()), template.HTMLEscapeString(d.Name), code)))
	})
	mux.HandleFunc("POST /mark", func(w http.ResponseWriter, r *http.Request) {
		s.marks = append(s.marks, RoleOf(r.Context()).String())
		bare(w, r, http.StatusOK, "Marked", "")
	})
	server := httptest.NewServer(g.Handler(mux))
	t.Cleanup(server.Close)
	_, s.port, _ = net.SplitHostPort(server.Listener.Addr().String())
	return s
}

// foreign is another server, known to the browser as evil.test.
func foreign(t *testing.T, page string) string {
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		fmt.Fprint(w, page)
	}))
	t.Cleanup(server.Close)
	return strings.Replace(server.URL, "127.0.0.1", "evil.test", 1)
}

// shows opens pages or presses things and reads an element afterwards.
func shows(t *testing.T, ctx context.Context, selector, want string, steps ...chromedp.Action[chromedp.Void]) {
	t.Helper()
	if err := chromedp.Do(ctx, steps...); err != nil {
		t.Fatal(err)
	}
	got, err := chromedp.Run(ctx, chromedp.Text(chromedp.CSS(selector)))
	if err != nil || strings.TrimSpace(got) != want {
		t.Errorf("%s: %q, %v; wanted %q", selector, got, err, want)
	}
}

// TestPairingInABrowser comes to the pairing page by a link on another site, the
// hardest case for a SameSite=Strict cookie, then meets what other sites may try.
func TestPairingInABrowser(t *testing.T) {
	ctx := browsertest.Context(t)
	s := newSite(t)
	bench, own := "http://bench.test:"+s.port, "http://localhost:"+s.port
	camera := foreign(t, `<a href="`+bench+"/pair/"+newKey(t, s.Devices)+`">scanned</a>`)

	shows(t, ctx, "h1", "This device is not paired", chromedp.Navigate(bench+"/"))
	shows(t, ctx, "h1", "Pair this device", chromedp.Navigate(camera),
		chromedp.Click(chromedp.CSS("a")), chromedp.WaitVisible(chromedp.CSS("#name")))
	shows(t, ctx, "#who", "paired <b>phone</b>", chromedp.SendKeys(chromedp.CSS("#name"), "<b>phone</b>"),
		chromedp.Click(chromedp.CSS("button")), chromedp.WaitVisible(chromedp.CSS("#who")))
	shows(t, ctx, "#who", "paired <b>phone</b>", chromedp.Navigate(bench+"/"))
	for script, want := range map[string]string{
		`document.title`:  "First page",
		`document.cookie`: "",
		`getComputedStyle(document.querySelector(".qr-dark")).fill`: "rgb(0, 0, 0)",
	} {
		if got, err := chromedp.Run(ctx, chromedp.Evaluate[string](script)); err != nil || got != want {
			t.Errorf("%s: %q, %v; wanted %q", script, got, err, want)
		}
	}
	press := []chromedp.Action[chromedp.Void]{chromedp.Click(chromedp.CSS("button")), chromedp.WaitNotPresent(chromedp.CSS("#who"))}
	shows(t, ctx, "h1", "Marked", press...)
	shows(t, ctx, "#who", "owner", chromedp.Navigate(own+"/"))
	shows(t, ctx, "h1", "Marked", press...)
	if got := fmt.Sprint(s.marks); got != "[paired owner]" {
		t.Errorf("marks by %s", got)
	}
	otherSitesInABrowser(t, ctx, s, bench, own)
}

// otherSitesInABrowser lets a foreign site press and fetch with the cookie of a paired
// device and with the owner's address, and rebind its own name.
func otherSitesInABrowser(t *testing.T, ctx context.Context, s *site, targets ...string) {
	t.Helper()
	for _, target := range targets {
		evil := foreign(t, `<form method="post" action="`+target+`/mark"><button>win</button></form>`)
		shows(t, ctx, "h1", "Sent by another site", chromedp.Navigate(evil),
			chromedp.Click(chromedp.CSS("button")), chromedp.WaitVisible(chromedp.CSS("main.guard")))
		fetch := `fetch("` + target + `/mark", {method: "POST", mode: "no-cors", credentials: "include"}).then(() => "sent", () => "stopped")`
		if _, err := chromedp.Run(ctx, chromedp.Navigate(evil)); err != nil {
			t.Fatal(err)
		}
		if _, err := chromedp.Run(ctx, chromedp.Evaluate[string](fetch, chromedp.EvalAwaitPromise)); err != nil {
			t.Error(err)
		}
	}
	shows(t, ctx, "body", "this server does not go by that name: open the address printed when it was started, or the one that its page Phones shows on the machine itself",
		chromedp.Navigate("http://rebound.test:"+s.port+"/"))
	if len(s.marks) != 2 {
		t.Errorf("other sites marked: %v", s.marks)
	}
}
