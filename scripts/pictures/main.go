// Command pictures takes the pictures of the README from the real program: it
// opens the demo's bench, sets a burn up and marks it, and photographs the pages
// in headless chromium. Run it from the project's root: go run ./scripts/pictures
package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"

	"github.com/chromedp/chromedp"

	"fairburn/browsertest"
)

// The demo's trials, one judged and the other still to be burned, and one of its trips.
const (
	judged = "Four burners for an autumn walk"
	next   = "Tansy against Yarrow on a frosty morning"
	cold   = "Ten cold days for two"
)

// shot is one picture of a page.
type shot struct {
	name string
	path string
	browsertest.View
	at   string // selector brought to the top
	then string // script that brings the page to the moment that is shown
}

var shots = []shot{
	{"timing.png", page(next, "bench"), browsertest.View{Width: 390, Height: 844, Phone: true, Scheme: "light"}, "body", ""},
	{"setup.png", page(next, "setup") + "?station=2", browsertest.View{Width: 390, Height: 844, Phone: true, Scheme: "dark"}, "body", ""},
	{"trial.png", page(next, ""), browsertest.View{Width: 1180, Height: 800, Phone: false, Scheme: "light"}, "body", ""},
	{"shelf.png", "/shelf", browsertest.View{Width: 1180, Height: 800, Phone: false, Scheme: "light"}, "body", ""},
	{"verdict.png", page(judged, "verdict"), browsertest.View{Width: 1180, Height: 900, Phone: false, Scheme: "light"}, "body", ""},
	{"pictures.png", page(judged, "verdict"), browsertest.View{Width: 1180, Height: 1150, Phone: false, Scheme: "light"}, "#pictures", ""},
	{"trip.png", "/trip/" + url.PathEscape(cold), browsertest.View{Width: 1180, Height: 1150, Phone: false, Scheme: "light"}, "body", ""},
}

func page(title, part string) string {
	return strings.TrimSuffix("/trial/"+url.PathEscape(title)+"/"+part, "/")
}

func main() {
	if err := run(); err != nil {
		log.Fatal(err)
	}
}

func run() error {
	work, err := os.MkdirTemp("", "pictures")
	if err != nil {
		return err
	}
	defer os.RemoveAll(work)
	root, stop, err := demo(work)
	if err != nil {
		return err
	}
	defer stop()
	if err := burn(root); err != nil {
		return err
	}
	ctx, stopBrowser, err := browsertest.Start(filepath.Join(work, "profile"))
	if err != nil {
		return err
	}
	defer stopBrowser()
	ctx, cancel := context.WithTimeout(ctx, 2*time.Minute)
	defer cancel()
	if err := os.MkdirAll("docs/pictures", 0o755); err != nil {
		return err
	}
	for _, s := range shots {
		if err := s.take(ctx, root); err != nil {
			return fmt.Errorf("%s: %w", s.name, err)
		}
	}
	return published(ctx, work)
}

// published publishes the demo's trial, photographs its burns in mid-run and keeps its
// card.
func published(ctx context.Context, work string) error {
	to := filepath.Join(work, "published")
	if out, err := exec.Command(filepath.Join(work, "fairburn"), "publish", filepath.Join(work, "trial.toml"), to).CombinedOutput(); err != nil {
		return fmt.Errorf("publishing: %w: %s", err, out)
	}
	replay := shot{"replay.png", filepath.Join(to, "replay.html"), browsertest.View{Width: 1180, Height: 700, Phone: false, Scheme: "light"}, "body", `(s => { s.value = 430; s.dispatchEvent(new Event("input")); return true })(document.getElementById("scrub"))`}
	if err := replay.take(ctx, "file://"); err != nil {
		return err
	}
	card, err := os.ReadFile(filepath.Join(to, "cards", "card.png"))
	if err != nil {
		return err
	}
	return os.WriteFile("docs/pictures/card.png", card, 0o644)
}

// demo opens the demo's bench and returns its address.
func demo(work string) (root string, stop func(), err error) {
	program := filepath.Join(work, "fairburn")
	if out, err := exec.Command("go", "build", "-o", program, "./cmd/fairburn").CombinedOutput(); err != nil {
		return "", nil, fmt.Errorf("building: %w: %s", err, out)
	}
	c := exec.Command(program, "demo", "--out", work, "--addr", "127.0.0.1:0")
	out, err := c.StdoutPipe()
	if err != nil {
		return "", nil, err
	}
	if err := c.Start(); err != nil {
		return "", nil, err
	}
	stop = func() {
		_ = c.Process.Signal(os.Interrupt) // so that it throws its bench away
		_ = c.Wait()
	}
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		if _, rest, found := strings.Cut(lines.Text(), "open:"); found {
			root, _, _ = strings.Cut(strings.TrimSpace(rest), "/  ")
			return root, stop, nil
		}
	}
	stop()
	return "", nil, errors.New("the demo did not say where it is")
}

// burn sets a burn up and marks it as if it had been lit some minutes ago.
func burn(root string) error {
	form := url.Values{"station": {"1"}, "entry": {"Tansy"}, "go_on": {"yes"}, "water": {"500 g"}, "start": {"6.4 °C"}, "air": {"−1.5 °C"},
		"dose": {"20 mL"}, "poured": {"25.7 g"}, "weighed": {"burner and fuel"}, "boil_by": {"rolling"},
		"tick": {"bottle", "ground", "snuffer", "outdoors", "water", "people", "rules"}}
	answer, err := http.PostForm(root+page(next, "setup"), form)
	if err != nil {
		return err
	}
	answer.Body.Close()
	var presses []map[string]any
	now := time.Now()
	for i, m := range []struct {
		what string
		ago  time.Duration
	}{{"light", 312 * time.Second}, {"bloom", 268 * time.Second}, {"pot_on", 259 * time.Second}} {
		at := now.Add(-m.ago).UnixMilli()
		presses = append(presses, map[string]any{"nonce": fmt.Sprintf("%032x", i+1), "title": next, "burn": "1", "what": m.what, "at": at, "pressed": at, "within": 8})
	}
	body, err := json.Marshal(presses)
	if err != nil {
		return err
	}
	answer, err = http.Post(root+"/marks", "application/json", bytes.NewReader(body))
	if err != nil {
		return err
	}
	defer answer.Body.Close()
	if answer.StatusCode != http.StatusOK {
		return fmt.Errorf("marking: %s", answer.Status)
	}
	return nil
}

func (s shot) take(ctx context.Context, root string) error {
	if err := browsertest.Look(ctx, s.View); err != nil {
		return err
	}
	if err := chromedp.Do(ctx, chromedp.Navigate(root+s.path), chromedp.Sleep(time.Second)); err != nil {
		return err
	}
	if s.then != "" {
		if _, err := chromedp.Run(ctx, chromedp.Evaluate[bool](s.then)); err != nil {
			return err
		}
	}
	top := fmt.Sprintf("(document.querySelector(%q).scrollIntoView({behavior: 'instant'}), true)", s.at)
	if _, err := chromedp.Run(ctx, chromedp.Evaluate[bool](top)); err != nil {
		return err
	}
	png, err := chromedp.Run(ctx, chromedp.CaptureScreenshot())
	if err != nil {
		return err
	}
	return os.WriteFile(filepath.Join("docs/pictures", s.name), png, 0o644)
}
